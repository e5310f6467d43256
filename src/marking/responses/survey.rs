//! A file looked at once before it is marked, and then read row by row.
//!
//! The first look finds the columns, learners that are there twice, versions in use, and
//! which mark is decimal, where any number in the file leaves no doubt. The second gives
//! rows; each fault is that of a row or a cell, and the other rows stand.

use std::collections::{BTreeSet, HashMap};
use std::hash::{DefaultHasher, Hash, Hasher};
use std::io::{self, Read};

use super::cell::{Decimal, Entry, entry};
use super::fault::{Fault, FaultKind};
use super::head::Head;
use super::number::{Mark, number};
use super::rows::{Cell, RawRow, Rows};
use crate::marking::columns::Column;
use crate::version::{version_of, version_of_code};

/// Opens the file anew, from its beginning.
pub type Opened<'a> = &'a mut dyn FnMut() -> io::Result<Box<dyn Read>>;

/// What the first look found.
#[derive(Debug)]
pub struct Survey {
    pub head: Head,
    pub decimal: Option<Decimal>,
    pub versions: BTreeSet<u32>,
    /// Columns that are passed over.
    pub passed: Vec<Fault>,
    /// The first row of each learner who is there more than once, by the hash of name
    /// and class.
    twice: HashMap<u64, usize>,
}

/// A learner's row, whole and read.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    pub number: usize,
    pub learner: Learner,
    pub version: u32,
    /// The check behind the version's letters, where it was typed.
    pub code: Option<String>,
    pub minutes: Option<f64>,
    /// In the order of the paper's columns.
    pub entries: Vec<Entry>,
}

/// Who it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Learner {
    pub name: String,
    pub class: String,
}

/// Looks a file through.
///
/// # Errors
/// What keeps any of it from being marked.
pub fn survey(
    open: Opened<'_>,
    columns: &[Column],
    decimal: Option<Decimal>,
) -> Result<Survey, Vec<Fault>> {
    let mut rows = opened(open).map_err(|fault| vec![fault])?;
    let head = match rows.next_row() {
        Some(Ok(row)) => row,
        Some(Err(fault)) => return Err(vec![fault]),
        None => {
            return Err(vec![Fault::of_file(
                "the file has no rows.",
                "an empty table",
                "a head and a row for each learner",
                "fill in the blank form that `print` makes",
            )]);
        }
    };
    let (head, passed) = Head::of(&head, columns)?;
    let (mut points, mut commas) = (0u64, 0u64);
    let mut seen: HashMap<u64, usize> = HashMap::new();
    let mut twice = HashMap::new();
    let mut versions = BTreeSet::new();
    while let Some(row) = rows.next_row() {
        // What cannot be read is told at the second look.
        let Ok(row) = row else { break };
        let learner = learner_of(&row, &head);
        if !learner.name.is_empty() {
            let key = hash(&learner);
            match seen.get(&key) {
                Some(first) => {
                    twice.insert(key, *first);
                }
                None => {
                    seen.insert(key, row.number);
                }
            }
        }
        versions.extend(version_in(&cell_text(&row, head.version)));
        for (at, column) in head.answers.iter().zip(columns) {
            // Letters and words tell of no mark.
            if column.answer.is_none() {
                continue;
            }
            let Some(Cell::Text(text)) = row.cells.get(*at) else { continue };
            let text = text.split('[').next().unwrap_or("");
            match number(text, None).ok().and_then(|given| given.shows) {
                Some(Mark::Point) => points += 1,
                Some(Mark::Comma) => commas += 1,
                None => {}
            }
        }
    }
    let shown = match (points, commas) {
        (0, 1..) => Some(Mark::Comma),
        (1.., 0) => Some(Mark::Point),
        _ => None,
    };
    Ok(Survey { head, decimal: decimal.or(shown), versions, passed, twice })
}

/// Reads a file row by row: `each` is given every row, or the faults that hold it back,
/// with what is only told.
///
/// # Errors
/// What `each` gives, and a file that cannot be opened again.
pub fn read<E: From<Fault>>(
    open: Opened<'_>,
    columns: &[Column],
    survey: &Survey,
    known: &dyn Fn(u32) -> bool,
    each: &mut dyn FnMut(Result<Row, ()>, Vec<Fault>) -> Result<(), E>,
) -> Result<(), E> {
    let mut rows = opened(open)?;
    let mut head = true;
    while let Some(row) = rows.next_row() {
        if std::mem::take(&mut head) {
            continue;
        }
        match row {
            Err(fault) => return each(Err(()), vec![fault]),
            Ok(raw) => {
                let is_sheet = rows.is_sheet();
                let (row, faults) = row_of(&raw, columns, survey, known, is_sheet);
                each(row.ok_or(()), faults)?;
            }
        }
    }
    Ok(())
}

fn opened(open: Opened<'_>) -> Result<Rows, Fault> {
    let file = open().map_err(|error| Fault::unopened(&error.to_string()))?;
    Rows::open(file)
}

fn row_of(
    raw: &RawRow,
    columns: &[Column],
    survey: &Survey,
    known: &dyn Fn(u32) -> bool,
    is_sheet: bool,
) -> (Option<Row>, Vec<Fault>) {
    let head = &survey.head;
    let mut faults = Vec::new();
    let filled = raw.cells.iter().rposition(|cell| !cell.is_blank()).map_or(0, |last| last + 1);
    if let Some(broken) = raw.cells.iter().position(|cell| cell.text().contains('\n')) {
        faults.push(
            Fault::new(
                FaultKind::Ragged,
                raw,
                Some(broken + 1),
                "a cell goes on over several lines; a quotation mark may not be closed.",
            )
            .expected("one line for each learner")
            .next("close the quotation mark, or save the file anew from the spreadsheet"),
        );
        return (None, faults);
    }
    if filled > head.width {
        faults.push(
            Fault::new(FaultKind::Ragged, raw, Some(filled), &format!("the row has {filled} cells, the head {}; a decimal comma may have parted an answer.", head.width))
                .expected(&format!("{} cells", head.width))
                .next("write decimals with a point, or part the cells with semicolons"),
        );
        return (None, faults);
    }
    if raw.cells.len() < head.width && !is_sheet {
        faults.push(
            Fault::new(
                FaultKind::Ragged,
                raw,
                None,
                &format!("the row has {} cells, the head {}.", raw.cells.len(), head.width),
            )
            .found(&format!("{} cells", raw.cells.len()))
            .expected(&format!("{} cells, empty ones for answers left out", head.width))
            .next("see whether the end of the row is lost"),
        );
        return (None, faults);
    }
    let learner = learner_of(raw, head);
    if learner.name.is_empty() {
        faults.push(
            Fault::new(
                FaultKind::Learner,
                raw,
                Some(head.learner + 1),
                "the row names no learner.",
            )
            .expected("a name or number that stands for one learner")
            .next("write whose answers these are"),
        );
    } else if let Some(first) = survey.twice.get(&hash(&learner)) {
        let message = match *first == raw.number {
            true => {
                format!("`{}` is there more than once; no row of theirs is marked.", learner.name)
            }
            false => format!(
                "`{}` is there more than once, first in row {first}; no row of theirs is marked.",
                learner.name
            ),
        };
        faults.push(
            Fault::new(FaultKind::Learner, raw, Some(head.learner + 1), &message)
                .expected("each learner once")
                .next(
                    "take out the row that does not count, or tell the two apart by name or class",
                ),
        );
    }
    if learner.name.contains('\u{FFFD}') || raw.is_old_page {
        faults.push(
            Fault::new(FaultKind::Passed, raw, None, "some letters of the row are not in UTF-8; they are read as an older spreadsheet writes them (Windows-1252).")
                .found("other bytes")
                .expected("text in UTF-8")
                .next("see that the names are right, or save the file as CSV UTF-8"),
        );
    }
    let typed = cell_text(raw, head.version);
    let version = version_in(&typed).filter(|version| known(*version));
    if version.is_none() {
        let message = if typed.is_empty() {
            "the row does not say which version was sat."
        } else {
            "no such version was printed."
        };
        faults.push(
            Fault::new(FaultKind::Version, raw, Some(head.version + 1), message)
                .expected("the letters, or the whole code, at the foot of the learner's pages")
                .next("look the version up; if more versions were printed, say how many: --versions N"),
        );
    }
    let marks_only = match head.entry.map(|at| cell_text(raw, at).to_lowercase()).as_deref() {
        None | Some("" | "answers" | "answer" | "responses") => false,
        Some("marks" | "mark") => true,
        Some(_) => {
            let at = head.entry.map(|at| at + 1);
            faults.push(
                Fault::new(FaultKind::Cell, raw, at, "the row must hold either answers or marks.")
                    .expected("`answers`, `marks`, or nothing for answers")
                    .next("say which of the two the row holds"),
            );
            false
        }
    };
    let minutes = head.minutes.and_then(|at| {
        let text = cell_text(raw, at);
        if text.is_empty() {
            return None;
        }
        let minutes = number(&text, survey.decimal).ok().map(|given| given.value);
        if !minutes.is_some_and(|minutes| minutes > 0.0 && minutes < 10_000.0) {
            faults.push(
                Fault::new(FaultKind::Cell, raw, Some(at + 1), "these are no minutes.")
                    .expected("how many minutes the learner took, or nothing")
                    .next("write a number above 0"),
            );
        }
        minutes
    });
    let mut entries = Vec::with_capacity(columns.len());
    for (column, at) in columns.iter().zip(&head.answers) {
        match entry(raw, *at, column, survey.decimal, marks_only) {
            Ok((entry, told)) => {
                entries.push(entry);
                faults.extend(told);
            }
            Err(fault) => faults.push(fault),
        }
    }
    let whole = faults.iter().all(Fault::is_harmless);
    let row = version.filter(|_| whole).map(|version| Row {
        number: raw.number,
        learner,
        version,
        code: typed.contains('-').then(|| typed.to_uppercase()),
        minutes,
        entries,
    });
    (row, faults)
}

/// A fault of a row whose code is not that of its version.
pub fn wrong_code(row: &Row, head: &Head, code: &str) -> Fault {
    let typed = row.code.clone().unwrap_or_default();
    let mut cells = vec![Cell::Empty; head.width];
    cells[head.learner] = Cell::Text(row.learner.name.clone());
    cells[head.version] = Cell::Text(typed.clone());
    let raw = RawRow { number: row.number, cells, is_old_page: false };
    Fault::new(
        FaultKind::Version,
        &raw,
        Some(head.version + 1),
        &format!("this version carries the code {code} now: the pages were printed with another seed, or the unit was changed since."),
    )
    .expected(code)
    .next("mark with the seed and the unit that the pages were printed from, or mend the code")
}

fn learner_of(row: &RawRow, head: &Head) -> Learner {
    let class = head.class.map(|at| cell_text(row, at)).unwrap_or_default();
    Learner { name: cell_text(row, head.learner), class }
}

/// A cell's words with single blanks between them.
fn cell_text(row: &RawRow, at: usize) -> String {
    let text = row.cells.get(at).map(Cell::text).unwrap_or_default();
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn version_in(text: &str) -> Option<u32> {
    let text = text.replace(' ', "");
    let version = version_of_code(&text).or_else(|| version_of(&text))?;
    u32::try_from(version).ok()
}

fn hash(learner: &Learner) -> u64 {
    let mut hasher = DefaultHasher::new();
    learner.name.to_lowercase().hash(&mut hasher);
    learner.class.to_lowercase().hash(&mut hasher);
    hasher.finish()
}
