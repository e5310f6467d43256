//! `check PAPER --since FILE`: what of a paper is open again since a second person checked
//! it, and what stays signed.
//!
//! Takes a paper and its moderation file; gives findings and a line on the whole. Writes
//! nothing.

use std::path::Path;

use crate::diag::{Code, Diagnostic, Diagnostics, Place};
use crate::paper::{self, Since};
use crate::question::Assessment;
use crate::reading;
use crate::reading::paper::moderated;

use super::super::print::Trouble;
use super::asked::asked;
use super::load::shown;
use super::{moderation, set};

/// What came of it.
#[derive(Debug)]
pub struct Reopened {
    pub findings: Vec<Diagnostic>,
    /// One line for people, with its end; empty where the files could not be compared.
    pub says: String,
    /// Whether anything must be checked, signed or mended.
    pub is_open: bool,
}

/// Compares a paper with its moderation file.
///
/// # Errors
/// What kept a sound paper from being compared.
pub fn since(paper: &Path, file: &Path) -> Result<Reopened, Trouble> {
    let mut out = Diagnostics::new();
    let says = compared(paper, file, &mut out)?.unwrap_or_default();
    let is_open = out.has_errors() || says.is_empty();
    Ok(Reopened { findings: out.sorted(), says, is_open })
}

fn compared(paper: &Path, file: &Path, out: &mut Diagnostics) -> Result<Option<String>, Trouble> {
    let Some(source) = reading::file::read(file, &shown(file), out) else { return Ok(None) };
    let Some(old) = moderated(&source, out) else { return Ok(None) };
    let Some(loaded) = set::read(paper, out) else { return Ok(None) };
    let mut own = Diagnostics::new();
    let asked = asked(&loaded, &mut own);
    // The chosen list knows less of a question than the moderation file.
    let found = own.sorted().into_iter().filter(|finding| finding.code != Code::PaperChanged);
    found.for_each(|finding| out.push(finding));
    let Some(asked) = asked.filter(|_| !out.has_errors()) else { return Ok(None) };
    let drawn = super::super::load::draw(
        &asked,
        loaded.paper.front.seed,
        u64::from(loaded.paper.front.versions),
        out,
    );
    if drawn.is_none() {
        return Ok(None);
    }
    let now = moderation::contents(&loaded, &asked, Some(&old))?;
    let since = paper::since(&old, &now, &|id| place_of(&asked, id), out);
    Ok(since.map(|since| format!("{}: {}\n", source.name(), told(&since))))
}

/// Where a question stands in its unit; one that is no longer asked may still be there.
fn place_of(asked: &Assessment<'_>, id: &str) -> Option<Place> {
    asked.units.iter().find_map(|unit| {
        let checked = unit.question_of_paper(id)?;
        Some(Place::new(&unit.parsed.file, checked.question.id.span))
    })
}

fn told(since: &Since) -> String {
    let count = |n: usize, one: &str| format!("{n} {one}{}", if n == 1 { "" } else { "s" });
    let signed = match (since.versions_signed, since.questions_signed) {
        (0, 0) => "nothing is signed".to_owned(),
        (0, questions) => format!("{} stay signed", count(questions, "question")),
        (versions, 0) => format!("{} stay signed", count(versions, "version")),
        (versions, questions) => format!(
            "{} and {} stay signed",
            count(versions, "version"),
            count(questions, "question")
        ),
    };
    match (since.changed, since.open) {
        (false, 0) => format!("nothing has changed since; {signed}."),
        (false, open) => {
            format!("nothing has changed since; {} to be signed; {signed}.", count(open, "version"))
        }
        (true, open) => {
            let again = if since.reopened == 1 { "re-opens" } else { "re-open" };
            format!(
                "{} {again}, {} open; {signed}.",
                count(since.reopened, "question"),
                count(open, "version")
            )
        }
    }
}
