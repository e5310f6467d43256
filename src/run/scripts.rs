//! Sheets for learners: their marked copy, and a follow-up sheet of what they lost with
//! its key.

use std::path::Path;

use crate::composing::faces::Faces;
use crate::composing::{Pair, compose, compose_pair};
use crate::diag::Diagnostics;
use crate::document::context::SheetContext;
use crate::document::{MarkedFor, Templates, follow_up, marked, read_with, sheet};
use crate::marking::Verdict;
use crate::question::{Answer, Solution};
use crate::version::{Draws, letters};
use crate::writing::{Subset, write_pdf};

use super::files::write_whole;
use super::load;
use super::mark::{Desk, Script};
use super::press::{characters, code_of};
use super::print::{Trouble, templates_beside, unread};
use super::solving;

/// Fresh versions, beyond those printed, that follow-up sheets may be drawn from.
const FRESH: u32 = 4;

/// What all learners' sheets share.
pub(super) struct Sheets {
    templates: Templates,
    faces: std::sync::Arc<Faces>,
    subset: std::sync::Arc<Subset>,
    /// Draws of the printed versions and of fresh ones, and the numbers of those to draw
    /// follow-up sheets from.
    draws: Vec<Draws>,
    candidates: Vec<u32>,
}

/// A learner's files: name and bytes.
pub(super) type Files = Vec<(String, Vec<u8>)>;

impl Sheets {
    pub(super) fn new(desk: &Desk<'_>, names: &str) -> Result<Sheets, Trouble> {
        let folder = templates_beside(&desk.job.unit);
        let faces = Faces::embedded();
        let mut letters = characters(desk.asked, &folder);
        // Names and answers bring letters of their own; those without a face print as boxes
        // nowhere, because they are looked for in the fallback too.
        letters.extend(names.chars().filter(|c| !c.is_control()));
        let subset = Subset::of(&letters, &faces)?;
        let printed = desk.job.versions;
        let draw = |wanted: u32| {
            load::draw(desk.asked, desk.job.seed, u64::from(wanted), &mut Diagnostics::new())
        };
        let (draws, candidates) = match draw(printed.saturating_add(FRESH)) {
            Some(draws) => (draws, (printed..printed.saturating_add(FRESH)).collect()),
            // A unit with few versions gives the numbers of another learner's sheet.
            None => (draw(printed).unwrap_or_default(), (0..printed).collect()),
        };
        Ok(Sheets { templates: Templates::new(Some(&folder)), faces, subset, draws, candidates })
    }

    /// The files of one learner.
    pub(super) fn of(&self, desk: &Desk<'_>, script: &Script) -> Result<Files, Trouble> {
        let solved = solving::questions(desk.asked, desk.draws, desk.job.seed, script.version)?;
        let lost: Vec<(usize, usize)> = desk
            .columns
            .iter()
            .zip(&script.judged)
            .filter(|(column, one)| one.marks < column.most)
            .map(|(column, _)| (column.question, column.part))
            .collect();
        let version = letters(u64::from(script.version));
        let mut context = sheet(desk.asked, &solved, &version, desk.job.seed, true);
        context.code = code_of(&context, desk.job.seed, script.version, &desk.drawings);
        context.key = false;
        let fresh = if lost.is_empty() { None } else { self.fresh(desk, script, &lost)? };
        let who = MarkedFor {
            learner: &script.learner.name,
            class: &script.learner.class,
            follow_up: fresh.as_ref(),
        };
        marked(&mut context, desk.asked, &solved, &desk.columns, &script.judged, who);
        let name = file_name(script);
        let mut files = vec![(format!("marked-{name}.pdf"), self.pdf(desk, &context, &name)?)];
        if let Some(fresh) = &fresh {
            files.extend(self.follow_up(desk, fresh, &name)?);
        }
        Ok(files)
    }

    fn document(
        &self,
        desk: &Desk<'_>,
        context: &SheetContext,
    ) -> Result<crate::document::Document, Trouble> {
        read_with(&self.templates.fill("sheet.md", context)?, &desk.drawings)
            .map_err(|fault| unread("sheet.md", fault))
    }

    fn pdf(&self, desk: &Desk<'_>, context: &SheetContext, name: &str) -> Result<Vec<u8>, Trouble> {
        let document = self.document(desk, context)?;
        let composed = compose(&document, &desk.job.profile, &self.faces);
        Ok(write_pdf(&composed, &self.subset, &format!("{} {name} marked", context.code))?)
    }

    /// The parts that were lost in fresh numbers; nothing where there are none. For each
    /// question the first version in which the learner's own mistakes can be told from the
    /// answer again.
    fn fresh(
        &self,
        desk: &Desk<'_>,
        script: &Script,
        lost: &[(usize, usize)],
    ) -> Result<Option<SheetContext>, Trouble> {
        let fresh: Vec<u32> =
            self.candidates.iter().copied().filter(|version| *version != script.version).collect();
        let Some(first) = fresh.first() else { return Ok(None) };
        let mut versions = Vec::new();
        for version in &fresh {
            versions.push(solving::questions(desk.asked, &self.draws, desk.job.seed, *version)?);
        }
        let shows_again = |question: usize, solved: &[(Solution<'_>, Vec<Answer>)]| {
            let (solution, answers) = &solved[question];
            desk.columns
                .iter()
                .zip(&script.judged)
                .filter(|(column, one)| {
                    column.question == question && one.verdict == Verdict::Named
                })
                .all(|(column, one)| {
                    let Some(answer) = column.answer else { return true };
                    let slips = solution.slips(column.part, &answers[answer]);
                    one.mistake
                        .as_ref()
                        .is_none_or(|says| slips.iter().any(|slip| slip.says == *says))
                })
        };
        let questions = versions[0].len();
        let solved: Vec<(Solution<'_>, Vec<Answer>)> = (0..questions)
            .map(|question| {
                let fine = versions.iter().find(|solved| shows_again(question, solved));
                fine.unwrap_or(&versions[0])[question].clone()
            })
            .collect();
        let mut context =
            sheet(desk.asked, &solved, &letters(u64::from(*first)), desk.job.seed, true);
        follow_up(&mut context, lost, &solved);
        context.code = code_of(&context, desk.job.seed, *first, &desk.drawings);
        Ok(Some(context))
    }

    /// The follow-up sheet and its key.
    fn follow_up(
        &self,
        desk: &Desk<'_>,
        context: &SheetContext,
        name: &str,
    ) -> Result<Files, Trouble> {
        let document = self.document(desk, context)?;
        let Pair { learner, teacher } = compose_pair(&document, &desk.job.profile, &self.faces);
        let identity = format!("{} {name}", context.code);
        Ok(vec![
            (
                format!("follow-up-{name}.pdf"),
                write_pdf(&learner, &self.subset, &format!("{identity} follow-up"))?,
            ),
            (
                format!("follow-up-{name}-key.pdf"),
                write_pdf(&teacher, &self.subset, &format!("{identity} follow-up key"))?,
            ),
        ])
    }
}

/// Writes a learner's files.
pub(super) fn keep(folder: &Path, files: &Files) -> Result<(), Trouble> {
    for (name, bytes) in files {
        write_whole(&folder.join(name), bytes)?;
    }
    Ok(())
}

/// "003-ivo-marram": the number keeps apart who share a name.
fn file_name(script: &Script) -> String {
    const MOST: usize = 40;
    let words: Vec<String> = script
        .learner
        .name
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect();
    let name: String = words.join("-").chars().take(MOST).collect();
    format!("{:03}-{}", script.number, name)
}
