//! Blank response forms beside the pages, with a row for each learner of a roster.
//!
//! A form that was filled in is never written over: the blank one gets a name of its own
//! then.

use std::fs::File;
use std::path::Path;

use crate::diag::Diagnostics;
use crate::marking::Column;
use crate::marking::responses::{Fault, Rows};
use crate::paper::{self, Learner};
use crate::version::letters;
use crate::writing::{Form, FormColumn, form_csv, form_xlsx};

use super::files::write_whole;
use super::print::Trouble;

/// Rows that are kept for typing where there is no roster.
const FREE: u32 = 200;

/// A learner of a roster: name, class, and the version they are given, if that is said.
pub(super) type Listed = [String; 3];

/// Reads the roster of a unit or a paper of so many versions; none where something in it
/// must be mended first.
pub(super) fn roster(path: &Path, versions: u32, out: &mut Diagnostics) -> Option<Vec<Learner>> {
    let name = path.display().to_string();
    let opened = File::open(path)
        .map_err(|error| Fault::unopened(&error.to_string()))
        .and_then(|file| Rows::open(Box::new(file)));
    match opened {
        Ok(mut rows) => paper::roster(&mut rows, &name, versions, out),
        Err(fault) => {
            out.push(fault.diagnostic(&name));
            None
        }
    }
}

/// The rows of a form, each with the version that the learner must have.
pub(super) fn listed(learners: &[Learner]) -> Vec<Listed> {
    let version = |learner: &Learner| {
        learner.version.map_or_else(String::new, |version| letters(u64::from(version)))
    };
    let row = |learner: &Learner| [learner.name.clone(), learner.class.clone(), version(learner)];
    learners.iter().map(row).collect()
}

/// The form for these columns.
pub(super) fn form(
    title: &str,
    columns: &[Column],
    versions: std::ops::Range<u32>,
    roster: &[Listed],
) -> Form {
    let fixed = |head: &str, note: &str, choices: Vec<String>, width: u32| FormColumn {
        head: head.to_owned(),
        note: note.to_owned(),
        choices,
        width,
    };
    let mut all = vec![
        fixed("learner", "A name or number that stands for one learner. One row each.", vec![], 24),
        fixed("class", "May stay empty.", vec![], 8),
        fixed(
            "version",
            "The letters at the foot of the learner's pages, or the whole code.",
            versions.map(|version| letters(u64::from(version))).collect(),
            9,
        ),
        fixed(
            "entry",
            "Empty or `answers`: the row holds what the learner wrote. `marks`: it holds marks that you gave on paper.",
            vec!["answers".to_owned(), "marks".to_owned()],
            9,
        ),
        fixed("minutes", "How long the learner took, if you know. May stay empty.", vec![], 9),
    ];
    all.extend(columns.iter().map(|column| {
        let unit = match column.unit.print() {
            "" => String::new(),
            unit => format!(", in {unit}"),
        };
        let marks = if column.most == 1 { "1 mark".to_owned() } else { format!("{} marks", column.most) };
        let note = format!(
            "{}: {}{unit}. {marks}. Type what the learner wrote; - or nothing if it was left out. [1] gives a mark yourself, 32.5 [1] one for working that you saw.",
            column.label, column.name
        );
        fixed(&column.key, &note, vec![], 11)
    }));
    let rows = roster
        .iter()
        .map(|[name, class, version]| vec![name.clone(), class.clone(), version.clone()])
        .collect();
    Form { title: format!("Responses: {title}"), columns: all, rows, free: FREE, frozen: 3 }
}

/// Whether an answer stands in a form, behind learner, class and version.
fn is_filled_in(path: &Path) -> bool {
    const FIXED: usize = 3;
    let Ok(file) = File::open(path) else { return false };
    // What cannot be read as a form is not ours to write over.
    let Ok(mut rows) = Rows::open(Box::new(file)) else { return true };
    let mut is_head = true;
    while let Some(row) = rows.next_row() {
        let Ok(row) = row else { return true };
        let answers = row.cells.iter().skip(FIXED);
        if !std::mem::take(&mut is_head) && answers.into_iter().any(|cell| !cell.is_blank()) {
            return true;
        }
    }
    false
}

/// Writes `responses.csv` and `responses.xlsx`.
pub(super) fn keep(folder: &Path, form: &Form) -> Result<(), Trouble> {
    for (kind, bytes) in [("csv", form_csv(form)?), ("xlsx", form_xlsx(form)?)] {
        let usual = folder.join(format!("responses.{kind}"));
        let name = if is_filled_in(&usual) { "responses-blank" } else { "responses" };
        write_whole(&folder.join(format!("{name}.{kind}")), &bytes)?;
    }
    Ok(())
}
