//! `print PAPER --moderation`: a copy to be timed for each version, a check sheet, and the
//! moderation file beside the paper, which remembers what was signed.
//!
//! The file keeps every signature whose content is still what was signed; one that holds
//! all that it should is not written anew.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::composing::faces::Faces;
use crate::composing::page::Composed;
use crate::composing::{Profile, compose};
use crate::diag::{Diagnostic, Diagnostics, Severity};
use crate::document::context::SheetContext;
use crate::document::{
    MOST_VERSIONS, Moderation, Outcome, VersionCells, check_sheet, moderation_copy, read,
    read_with, said, shared, sheet, symbols, version_cells,
};
use crate::paper::{self, Bank, Content, Contents, mark_of, stays_signed};
use crate::question::{Answer, Assessment, Fairness, Profile as Asks, Solution};
use crate::reading;
use crate::reading::paper::{Moderated, moderated};
use crate::rules;
use crate::version::{Draws, letters};
use crate::writing::{Subset, write_pdf};

use super::super::figures::drawings;
use super::super::files::write_whole;
use super::super::load;
use super::super::press::{Press, characters, code_of};
use super::super::print::{Trouble, templates_beside, unread};
use super::super::solving;
use super::load::{Loaded, shown};

/// Versions that each have a sheet to fill in; of more, only the first has.
const MOST_SHEETS: u32 = 4;

/// What there was before anything is printed.
pub(super) struct Begun {
    old: Option<Moderated>,
    bank: Bank,
}

/// Reads what was signed before, and where each question counts; none if something must be
/// mended first.
pub(super) fn begun(loaded: &Loaded, out: &mut Diagnostics) -> Option<Begun> {
    let path = loaded.moderation_path();
    let old = match path.exists() {
        false => None,
        true => {
            let file = reading::file::read(&path, &shown(&path), out)?;
            Some(moderated(&file, out).filter(|old| paper::is_of(old, &loaded.paper.id, out))?)
        }
    };
    // What `set` advises is for `set` to tell.
    let mut found = Diagnostics::new();
    let worths = loaded.worths(&mut found);
    let bank = loaded.bank(&worths, &mut found);
    let errors = found.sorted().into_iter().filter(|f: &Diagnostic| f.severity == Severity::Error);
    errors.for_each(|finding| out.push(finding));
    Some(Begun { old, bank: bank? })
}

/// A version as far as it is moderated.
struct Version<'a> {
    sheet: SheetContext,
    solved: Vec<(Solution<'a>, Vec<Answer>)>,
}

/// What every version says, by marks, in the first `told` versions. `each` is handed every
/// version of the paper on the way.
fn contents_of<'a>(
    loaded: &Loaded,
    asked: &Assessment<'a>,
    (draws, told): (&[Draws], u32),
    each: &mut dyn FnMut(u32, Version<'a>),
) -> Result<Contents, Trouble> {
    let front = &loaded.paper.front;
    // Of one kind of sheet, whatever is printed.
    let drawn = drawings(asked, &Profile::default(), &Faces::embedded());
    let mut contents = Contents {
        paper: loaded.paper.id.clone(),
        seed: front.seed,
        versions: front.versions as usize,
        front_page: String::new(),
        questions: asked
            .questions
            .iter()
            .map(|listed| Content {
                id: format!("{}/{}", listed.unit_id(), listed.checked.question.id.value),
                section: listed.section.and_then(|n| u32::try_from(n + 1).ok()),
                versions: Vec::new(),
            })
            .collect(),
    };
    for version in 0..told {
        let solved = solving::questions(asked, draws, front.seed, version)?;
        let sheet = sheet(asked, &solved, &letters(u64::from(version)), front.seed, false);
        if version == 0 {
            contents.front_page = mark_of(shared(asked, &sheet).iter().map(String::as_str));
        }
        let listed = asked.questions.iter().zip(&sheet.questions);
        for (content, (listed, question)) in contents.questions.iter_mut().zip(listed) {
            let said = said(listed, question, &drawn);
            content.versions.push(mark_of(said.iter().map(String::as_str)));
        }
        if version < front.versions {
            each(version, Version { sheet, solved });
        }
    }
    Ok(contents)
}

/// The content of a paper now, in as many versions as it has and as were checked before.
pub(super) fn contents<'a>(
    loaded: &Loaded,
    asked: &Assessment<'a>,
    old: Option<&Moderated>,
) -> Result<Contents, Trouble> {
    contents_with(loaded, asked, old, &mut |_, _, _| {})
}

fn contents_with<'a>(
    loaded: &Loaded,
    asked: &Assessment<'a>,
    old: Option<&Moderated>,
    each: &mut dyn FnMut(&[Draws], u32, Version<'a>),
) -> Result<Contents, Trouble> {
    let front = &loaded.paper.front;
    let own = front.versions;
    let before = old.map_or(0, |old| u32::try_from(old.versions.len()).unwrap_or(u32::MAX));
    let draw = |wanted: u32| {
        let draws = load::draw(asked, front.seed, u64::from(wanted), &mut Diagnostics::new());
        draws.map(|draws| (draws, wanted))
    };
    // Where the old ones can no longer be had, their questions have changed.
    let draws = draw(own.max(before)).or_else(|| draw(own));
    let (draws, told) = draws.ok_or_else(|| {
        Trouble::Ours(format!("the versions of {} could not be drawn again", loaded.paper.id))
    })?;
    contents_of(loaded, asked, (&draws, told), &mut |version, made| each(&draws, version, made))
}

/// The files of a pack, none written.
pub(super) struct Pack {
    files: Vec<(String, Vec<u8>)>,
    /// The moderation file, if it must be written.
    record: Option<(PathBuf, String)>,
}

impl Pack {
    pub(super) fn keep(&self, folder: &Path) -> Result<(), Trouble> {
        for (name, bytes) in &self.files {
            write_whole(&folder.join(name), bytes)?;
        }
        if let Some((path, text)) = &self.record {
            write_whole(path, text.as_bytes())?;
        }
        Ok(())
    }
}

/// A file of the pack as it is laid out.
pub(super) struct Laid {
    pub(super) name: String,
    pub(super) composed: Composed,
    identity: String,
    subset: Arc<Subset>,
}

impl Begun {
    /// Makes the pack of the versions that a press prints.
    pub(super) fn pack(&self, press: &Press<'_>, loaded: &Loaded) -> Result<Pack, Trouble> {
        let mut files = Vec::new();
        let record = self.lay(press, loaded, &mut |laid| {
            let pdf = write_pdf(&laid.composed, &laid.subset, &laid.identity)?;
            files.push((format!("{}.pdf", laid.name), pdf));
            Ok(())
        })?;
        Ok(Pack { files, record })
    }

    /// Lays the pack out, file by file; gives the moderation file, if it must be written.
    pub(super) fn lay(
        &self,
        press: &Press<'_>,
        loaded: &Loaded,
        each: &mut dyn FnMut(Laid) -> Result<(), Trouble>,
    ) -> Result<Option<(PathBuf, String)>, Trouble> {
        let asked = press.asked;
        let mut sheets: Vec<SheetContext> = Vec::new();
        let mut cells: Vec<VersionCells> = Vec::new();
        let mut first: Vec<(Solution<'_>, Vec<Answer>)> = Vec::new();
        let mut profiles: Vec<Vec<Asks>> = vec![Vec::new(); asked.questions.len()];
        let fair: Vec<Fairness<'_>> = asked
            .questions
            .iter()
            .map(|listed| {
                let checked = listed.checked;
                Fairness::of(checked, &mut |choice| {
                    checked.engine.solve(&checked.values_for(choice)).ok()
                })
            })
            .collect();
        let old = self.old.as_ref();
        let now = contents_with(loaded, asked, old, &mut |draws, version, made| {
            let Version { sheet, solved } = made;
            let printed = press.job.only.is_none_or(|only| only == version);
            if version < MOST_VERSIONS {
                cells.push(version_cells(&sheet.version, &solved));
            }
            if printed {
                sheets.push(sheet);
            }
            if version == 0 {
                first.clone_from(&solved);
            }
            for (at, (solution, _)) in solved.into_iter().enumerate() {
                let checked = asked.questions[at].checked;
                let choice = load::choice_of(checked, &draws[at], u64::from(version));
                let profile =
                    choice.map(|choice| fair[at].profile(&choice, &solution.into_slots()));
                profiles[at].extend(profile);
            }
        })?;
        for sheet in &mut sheets {
            let version = version_number(sheet)?;
            sheet.code = code_of(sheet, press.job.seed, version, &press.drawings);
            each(copy(press, sheet)?)?;
        }
        if press.job.only.is_none() && now.versions > MOST_SHEETS as usize {
            sheets.truncate(1);
        }
        let sheets = sheets
            .into_iter()
            .map(|sheet| {
                let version = version_number(&sheet)?;
                Ok((sheet, now.version(version as usize)))
            })
            .collect::<Result<Vec<_>, Trouble>>()?;
        let marks = |at: usize| sheets.first().map_or(0, |(sheet, _)| sheet.questions[at].total);
        let outcomes = profiles
            .into_iter()
            .enumerate()
            .map(|(at, profiles)| {
                let marks = marks(at);
                let minutes = profiles.first().map_or(0.0, |profile| profile.minutes(marks));
                Outcome { profiles, marks, minutes }
            })
            .collect();
        let (chosen, outside) = self.chosen(&now, &marks);
        let about = Moderation {
            asked,
            covered: (0..now.versions)
                .map(|version| (letters(version as u64), now.version(version)))
                .collect(),
            signed: now
                .questions
                .iter()
                .map(|question| {
                    let signature = stays_signed(old?, &now, &question.id)?;
                    Some(format!("{}, {}", signature.by, signature.on))
                })
                .collect(),
            sheets,
            shown: &first,
            cells: &cells,
            table: &loaded.paper.table,
            chosen,
            outside,
            waived: waived(asked),
            outcomes,
        };
        each(sheet_to_fill_in(press, &about)?)?;
        Ok(self.record(loaded, &now))
    }

    /// The marks chosen in each cell of the table, and outside of it.
    fn chosen(&self, now: &Contents, marks: &dyn Fn(usize) -> u32) -> (Vec<u32>, u32) {
        let mut chosen = vec![0; self.bank.wanted.cells.len()];
        let mut outside = 0;
        for (at, question) in now.questions.iter().enumerate() {
            let own = self.bank.questions.iter().position(|own| own.id == question.id);
            match own.and_then(|own| chosen.get_mut(self.bank.candidates[own].cell)) {
                Some(cell) => *cell += marks(at),
                None => outside += marks(at),
            }
        }
        (chosen, outside)
    }

    /// The moderation file, unless the one that stands there says all of it already.
    fn record(&self, loaded: &Loaded, now: &Contents) -> Option<(PathBuf, String)> {
        let old = self.old.as_ref();
        let same = old.is_some_and(|old| {
            let compared = paper::since(old, now, &|_| None, &mut Diagnostics::new());
            compared.is_some_and(|since| !since.changed)
                && old.versions.len() == now.versions
                && old.questions.len() == now.questions.len()
        });
        (!same).then(|| (loaded.moderation_path(), paper::record(now, old)))
    }
}

fn version_number(sheet: &SheetContext) -> Result<u32, Trouble> {
    let number = crate::version::version_of(&sheet.version);
    number
        .and_then(|number| u32::try_from(number).ok())
        .ok_or_else(|| Trouble::Ours(format!("no version is called {}", sheet.version)))
}

/// The unkeyed copy of a version on which times are written.
fn copy(press: &Press<'_>, sheet: &SheetContext) -> Result<Laid, Trouble> {
    let markdown = press.templates.fill("sheet.md", &moderation_copy(sheet.clone()))?;
    let document =
        read_with(&markdown, &press.drawings).map_err(|fault| unread("sheet.md", fault))?;
    Ok(Laid {
        name: format!("moderation-paper-{}", sheet.version),
        composed: press.pair(&document).learner,
        identity: format!("{} {} moderation", press.id(), sheet.code),
        subset: Arc::clone(&press.subset),
    })
}

/// The check sheet. Its letters are its own: rows, names and places stand in no unit.
fn sheet_to_fill_in(press: &Press<'_>, about: &Moderation<'_>) -> Result<Laid, Trouble> {
    let markdown = press.templates.fill("moderation.md", &check_sheet(about))?;
    let document = read(&markdown).map_err(|fault| unread("moderation.md", fault))?;
    let mut found = characters(press.asked, &templates_beside(&press.job.unit));
    found.extend(symbols(&markdown).chain(markdown.chars()).filter(|c| !c.is_control()));
    let hashes = about.covered.iter().map(|(_, hash)| hash.as_str());
    // Each version, and the setter's pages, on sheets of their own, also printed on both sides.
    let profile = Profile { tables: true, fill: 2, ..press.job.profile.on_sheets() };
    Ok(Laid {
        name: "check-sheet".to_owned(),
        composed: compose(&document, &profile, &press.faces),
        identity: format!("{} check sheet {}", press.id(), mark_of(hashes)),
        subset: Subset::of(&found, &press.faces)?,
    })
}

/// Place, rule and reason of every rule that an author of these units waived.
fn waived(asked: &Assessment<'_>) -> Vec<[String; 3]> {
    let all = asked.units.iter().flat_map(|unit| rules::check(unit, &mut Diagnostics::new()));
    all.map(|waiver| {
        let (line, _) = waiver.place.line_column();
        let name = Path::new(waiver.place.file.name()).file_name();
        let name = name.map_or_else(String::new, |name| name.to_string_lossy().into_owned());
        [format!("{name}, line {line}"), waiver.rule.to_owned(), waiver.reason]
    })
    .collect()
}
