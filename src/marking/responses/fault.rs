//! What is wrong in a file of responses, by row and column.
//!
//! A finding points into the file's own line, which is made anew from the row's cells,
//! since the file itself is not kept.

use crate::diag::{Code, Diagnostic, Place, Severity, SourceFile, Span};

use super::rows::RawRow;

/// What sort of fault it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FaultKind {
    /// The file cannot be read as a table at all.
    File,
    /// A column is missing, twice there, or unknown.
    Column,
    /// The row has more or fewer cells than the head.
    Ragged,
    /// Learner or version missing, unknown or there twice.
    Learner,
    Version,
    /// A cell that may be read in two ways.
    Ambiguous,
    /// A cell that a spreadsheet changed, as to a date.
    Changed,
    /// A cell that cannot be what its column asks for.
    Cell,
    /// Told, but the row is marked all the same.
    Passed,
}

/// One fault. Rows and columns count from 1, as a spreadsheet shows them.
#[derive(Debug, Clone, PartialEq)]
pub struct Fault {
    pub kind: FaultKind,
    pub row: usize,
    pub column: Option<usize>,
    pub message: Box<str>,
    pub found: Box<str>,
    pub expected: Box<str>,
    pub next: Box<str>,
    /// The row's cells, as far as they were read.
    pub(super) cells: Vec<String>,
}

impl Fault {
    pub(super) fn new(
        kind: FaultKind,
        row: &RawRow,
        column: Option<usize>,
        message: &str,
    ) -> Fault {
        let cells: Vec<String> = row.cells.iter().map(|cell| cell.text().into_owned()).collect();
        let found = column.and_then(|column| cells.get(column - 1).cloned()).unwrap_or_default();
        Fault {
            kind,
            row: row.number,
            column,
            message: message.into(),
            found: if found.trim().is_empty() {
                "nothing".into()
            } else {
                format!("`{}`", shortened(&found)).into()
            },
            expected: Box::default(),
            next: Box::default(),
            cells,
        }
    }

    pub(super) fn of_file(message: &str, found: &str, expected: &str, next: &str) -> Fault {
        Fault {
            kind: FaultKind::File,
            row: 1,
            column: None,
            message: message.into(),
            found: found.into(),
            expected: expected.into(),
            next: next.into(),
            cells: Vec::new(),
        }
    }

    /// That a file cannot be opened, and why.
    pub fn unopened(reason: &str) -> Fault {
        Fault::of_file(
            "the file cannot be opened.",
            reason,
            "a file that can be read",
            "see that its name is right and that no other program holds it",
        )
    }

    /// That so many further faults are not told one by one.
    pub fn more(count: usize) -> Fault {
        let mut fault = Fault::of_file(
            &format!("{count} more findings are not shown."),
            "a file with many faults",
            "few faults, each with its row",
            "mend those above and mark again",
        );
        fault.kind = FaultKind::Passed;
        fault
    }

    /// That hardly any number is right, which no class does with the numbers of its own pages.
    pub fn strange(right: u64, answered: u64) -> Fault {
        let mut fault = Fault::of_file(
            "hardly any number is right: these may be the answers to other pages.",
            &format!("{right} right of {answered} numbers"),
            "the versions and the seed that the pages were printed with",
            "look at the last page of an answer key, which tells the seed, and mark again with it",
        );
        fault.kind = FaultKind::Passed;
        fault
    }

    pub(super) fn found(mut self, found: &str) -> Fault {
        self.found = found.into();
        self
    }

    pub(super) fn expected(mut self, expected: &str) -> Fault {
        self.expected = expected.into();
        self
    }

    pub(super) fn next(mut self, next: &str) -> Fault {
        self.next = next.into();
        self
    }

    /// Whether the row is marked all the same.
    pub fn is_harmless(&self) -> bool {
        self.kind == FaultKind::Passed
    }

    /// "row 5, column D".
    pub fn place(&self) -> String {
        named(self.row, self.column)
    }

    /// The finding in the file of this name.
    pub fn diagnostic(&self, file: &str) -> Diagnostic {
        let code = match self.kind {
            FaultKind::File => Code::ResponsesUnread,
            FaultKind::Column => Code::ResponseColumn,
            FaultKind::Ragged => Code::ResponseRow,
            FaultKind::Learner => Code::ResponseLearner,
            FaultKind::Version => Code::ResponseVersion,
            FaultKind::Ambiguous => Code::ResponseAmbiguous,
            FaultKind::Changed => Code::ResponseChanged,
            FaultKind::Cell => Code::ResponseCell,
            FaultKind::Passed => Code::ResponsePassed,
        };
        let at = placed(file, self.row, self.column, &self.cells);
        let place = capital(&self.place());
        let mut diagnostic = Diagnostic::new(code, at, format!("{place}: {}", self.message))
            .found(self.found.clone())
            .expected(self.expected.clone())
            .next(self.next.clone());
        if self.kind == FaultKind::Passed {
            diagnostic.severity = Severity::Warning;
        }
        diagnostic
    }
}

/// A finding of its own code in a row, at a column (from 1) or in the whole of it. The row
/// may be of any table that people fill in.
pub fn in_row(
    code: Code,
    file: &str,
    row: &RawRow,
    column: Option<usize>,
    message: &str,
) -> Diagnostic {
    let cells: Vec<String> = row.cells.iter().map(|cell| cell.text().into_owned()).collect();
    let at = placed(file, row.number, column, &cells);
    let found = column.and_then(|column| cells.get(column - 1)).map_or("", |cell| cell.trim());
    let found =
        if found.is_empty() { "nothing".to_owned() } else { format!("`{}`", shortened(found)) };
    let place = capital(&named(row.number, column));
    Diagnostic::new(code, at, format!("{place}: {message}")).found(found)
}

/// "row 5, column D".
fn named(row: usize, column: Option<usize>) -> String {
    match column {
        Some(column) => format!("row {row}, column {}", letters(column)),
        None => format!("row {row}"),
    }
}

fn capital(text: &str) -> String {
    let mut rest = text.chars();
    rest.next()
        .map_or(String::new(), |first| first.to_uppercase().collect::<String>() + rest.as_str())
}

/// The place of a cell, or of a whole row, in the row made anew.
fn placed(file: &str, row: usize, column: Option<usize>, cells: &[String]) -> Place {
    // Lines before it are empty: only the number of this one matters.
    let mut text = "\n".repeat(row.saturating_sub(1));
    let (mut start, mut end) = (text.len(), text.len());
    for (index, cell) in cells.iter().enumerate() {
        if index > 0 {
            text.push_str(" | ");
        }
        if Some(index + 1) == column {
            start = text.len();
        }
        text.push_str(&shortened(cell));
        if Some(index + 1) == column || column.is_none() {
            end = text.len();
        }
    }
    let (start, end) = if start <= end { (start, end) } else { (text.len(), text.len()) };
    Place::new(&SourceFile::new(file, text), Span::new(start, end))
}

/// Cells are shown on one line, and not at any length.
fn shortened(cell: &str) -> String {
    const MOST: usize = 60;
    let line: String = cell.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    if line.chars().count() <= MOST {
        return line;
    }
    line.chars().take(MOST).collect::<String>() + "…"
}

/// A column as a spreadsheet names it: 1 is A, 27 is AA.
fn letters(column: usize) -> String {
    let mut rest = column;
    let mut letters = Vec::new();
    while rest > 0 {
        rest -= 1;
        letters.push(char::from(b'A' + (rest % 26) as u8));
        rest /= 26;
    }
    letters.into_iter().rev().collect()
}
