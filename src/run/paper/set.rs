//! `set`: the questions of a paper are chosen and written beside it.

use std::path::{Path, PathBuf};

use crate::diag::{Diagnostic, Diagnostics};
use crate::paper::{self, Bank, Difference, Line, Picked, Place, in_order};
use crate::reading;

use super::super::files::write_whole;
use super::super::print::Trouble;
use super::load::{self, Loaded};

#[derive(Debug, Clone)]
pub struct SetJob {
    pub paper: PathBuf,
    /// Choose anew where a list stands already.
    pub again: bool,
}

/// What came of it.
#[derive(Debug)]
pub struct SetPaper {
    pub findings: Vec<Diagnostic>,
    /// None if there were mistakes.
    pub outcome: Option<SetOutcome>,
}

#[derive(Debug)]
pub struct SetOutcome {
    /// The chosen list.
    pub list: PathBuf,
    pub questions: usize,
    pub marks: u32,
    pub minutes: u32,
    /// How many questions there were to choose from.
    pub from: usize,
    /// Whether a list stood there already.
    pub stood: bool,
    /// Whether the list was written now.
    pub wrote: bool,
    /// Against the list that stood there.
    pub differences: Vec<Difference>,
}

/// Chooses the questions of a paper. A list that stands there already is left alone
/// unless the job says otherwise.
///
/// # Errors
/// What kept a sound paper from being set.
pub fn set(job: &SetJob) -> Result<SetPaper, Trouble> {
    let mut out = Diagnostics::new();
    let outcome = chosen(job, &mut out)?;
    Ok(SetPaper { findings: out.sorted(), outcome })
}

fn chosen(job: &SetJob, out: &mut Diagnostics) -> Result<Option<SetOutcome>, Trouble> {
    let Some(loaded) = read(&job.paper, out) else { return Ok(None) };
    let old = loaded.chosen(out);
    if out.has_errors() && !job.again {
        return Ok(None);
    }
    let worths = loaded.worths(out);
    let Some(bank) = loaded.bank(&worths, out) else { return Ok(None) };
    let picked = match paper::pick(&bank.candidates, &bank.wanted).map_err(Trouble::Ours)? {
        Ok(picked) => picked,
        Err(unfillable) => {
            paper::unfillable(&loaded.paper, &bank, &unfillable, out);
            return Ok(None);
        }
    };
    let lines = lines(&bank, &picked);
    let seed = loaded.paper.front.seed;
    let differences =
        old.as_ref().map(|old| paper::differences(old, seed, &lines)).unwrap_or_default();
    let list = loaded.chosen_path();
    let wrote = old.is_none() || job.again && !differences.is_empty();
    if wrote {
        let text = paper::written(&loaded.paper.id, seed, &lines);
        write_whole(&list, text.as_bytes())?;
        let mut ledger = loaded.ledger.clone();
        ledger.enter(&loaded.paper.id, lines.iter().map(|line| line.id.clone()));
        write_whole(&loaded.ledger_path(), ledger.written().as_bytes())?;
    }
    let taken = picked.questions.iter().map(|(number, _)| &bank.candidates[*number]);
    Ok(Some(SetOutcome {
        list,
        questions: lines.len(),
        marks: lines.iter().map(|line| line.marks).sum(),
        minutes: taken.map(|candidate| candidate.seconds).sum::<u32>().div_ceil(60),
        from: bank.candidates.len(),
        stood: old.is_some(),
        wrote,
        differences,
    }))
}

/// Reads a file that must be a paper, and all that it names.
pub(super) fn read(path: &Path, out: &mut Diagnostics) -> Option<Loaded> {
    let file = reading::file::read(path, &path.display().to_string(), out)?;
    load::load(path, &file, out).filter(|_| !out.has_errors())
}

fn lines(bank: &Bank, picked: &Picked) -> Vec<Line> {
    let place = |number: usize| {
        let question = &bank.questions[number];
        Place { level: question.level, row: question.row, has_figure: question.has_figure }
    };
    let order = in_order(&picked.questions, &bank.candidates, place);
    order
        .into_iter()
        .map(|(number, section)| Line {
            id: bank.questions[number].id.clone(),
            marks: bank.candidates[number].marks,
            hash: bank.questions[number].hash.clone(),
            section,
        })
        .collect()
}
