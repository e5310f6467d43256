//! A cell as what a learner gave for an answer line, or as the marks that a person gave.

use super::fault::{Fault, FaultKind};
use super::number::{Given, Mark, Not, number};
use super::rows::{Cell, RawRow};
use crate::marking::columns::Column;

pub use super::number::Mark as Decimal;

/// What stands in a cell.
#[derive(Debug, Clone, PartialEq)]
pub enum Entry {
    Blank,
    /// What the learner wrote.
    Answer(Response),
    /// Marks given by a person, who saw the paper.
    Marks(u32),
}

/// What the learner wrote, and the marks that a person gave for its working, if any.
#[derive(Debug, Clone, PartialEq)]
pub struct Response {
    pub text: String,
    /// The number in it; none where it is words.
    pub number: Option<Given>,
    pub seen: Option<u32>,
}

/// Reads a cell. `marks_only`: the row holds marks, not answers.
///
/// # Errors
/// A fault with the cell's row and column. A harmless one comes beside the entry.
pub(super) fn entry(
    row: &RawRow,
    at: usize,
    column: &Column,
    mark: Option<Mark>,
    marks_only: bool,
) -> Result<(Entry, Option<Fault>), Fault> {
    let fault = |kind: FaultKind, message: String| Fault::new(kind, row, Some(at + 1), &message);
    let label = &column.label;
    let text = match row.cells.get(at).unwrap_or(&Cell::Empty) {
        Cell::Empty => return Ok((Entry::Blank, None)),
        Cell::Error(_) => {
            return Err(fault(
                FaultKind::Cell,
                format!("the answer to {label} is an error of the spreadsheet."),
            )
            .expected("what the learner wrote")
            .next("type the answer in anew, as text"));
        }
        Cell::Date(_) => {
            return Err(dated(fault(
                FaultKind::Changed,
                format!("the answer to {label} is held for a date."),
            )));
        }
        Cell::Number(value) => plain_number(*value),
        Cell::Text(text) => text.trim().to_owned(),
    };
    // An apostrophe before it makes a spreadsheet take a cell as text.
    let text = text.strip_prefix('\'').map_or(text.as_str(), str::trim);
    if text.is_empty() || matches!(text, "-" | "–" | "—" | "−") {
        return Ok((Entry::Blank, None));
    }
    if text.starts_with('#') && text.ends_with(['!', '?', 'A']) {
        return Err(fault(
            FaultKind::Cell,
            format!("the answer to {label} is an error of the spreadsheet."),
        )
        .expected("what the learner wrote")
        .next("type the answer in anew, as text"));
    }
    let given_marks = |text: &str| -> Result<u32, Fault> {
        text.trim().parse::<u32>().ok().filter(|marks| *marks <= column.most).ok_or_else(|| {
            fault(FaultKind::Cell, format!("{label} cannot be given these marks."))
                .expected(&format!(
                    "a whole number from 0 to {}, or - for an answer left out",
                    column.most
                ))
                .next("write the marks that were given")
        })
    };
    if marks_only {
        let inside = text.trim_start_matches('[').trim_end_matches(']');
        return Ok((Entry::Marks(given_marks(inside)?), None));
    }
    let (text, seen) = match text.strip_suffix(']').and_then(|rest| rest.rsplit_once('[')) {
        Some((before, marks)) => (before.trim(), Some(given_marks(marks)?)),
        None => (text, None),
    };
    if text.is_empty()
        && let Some(marks) = seen
    {
        return Ok((Entry::Marks(marks), None));
    }
    let answer =
        |number: Option<Given>| Entry::Answer(Response { text: text.to_owned(), number, seen });
    if column.answer.is_none() {
        return Ok((answer(None), None));
    }
    match number(text, mark) {
        Ok(given) if given.rest.is_empty() => Ok((answer(Some(given)), None)),
        Ok(given) => {
            let passed = fault(FaultKind::Passed, format!("after the number for {label} stand words that are no unit; they are passed over."))
                .expected("a number, with its unit or without")
                .next("nothing, if the number is the answer");
            Ok((answer(Some(given)), Some(passed)))
        }
        Err(Not::Words) => {
            let passed = fault(FaultKind::Passed, format!("the answer to {label} is words where a number is asked for; it earns nothing."))
                .expected("a number")
                .next("nothing, if this is what the learner wrote; else mend it");
            Ok((answer(None), Some(passed)))
        }
        Err(Not::Date) => Err(dated(fault(FaultKind::Changed, format!("the answer to {label} is a date.")))),
        Err(Not::Ambiguous { less, more }) => Err(fault(
            FaultKind::Ambiguous,
            format!("the answer to {label} may be {less} or {more}."),
        )
        .expected("a number that can be read in one way")
        .next("write it without the comma, or say which mark is decimal: --decimal comma, or --decimal point")),
        Err(Not::Unread) => Err(fault(FaultKind::Cell, format!("the answer to {label} has digits, but no number can be made out."))
            .expected("one number, such as 32.5, 1.2 x 10^3 or 3/4")
            .next("write the learner's answer so that it is one number")),
        Err(Not::TooLarge) => Err(fault(FaultKind::Cell, format!("the answer to {label} is too large a number."))
            .expected("a number below 1e308")
            .next("see whether the learner wrote this")),
    }
}

fn dated(fault: Fault) -> Fault {
    fault
        .expected("a number; spreadsheets turn a fraction such as 3/4 into a date")
        .next("set the cell to text and type the fraction again, or write it as a decimal")
}

/// A spreadsheet's number as it would be typed: its own digits, without the noise of the
/// last bit.
fn plain_number(value: f64) -> String {
    let short = format!("{value:.11e}").parse().unwrap_or(value);
    if short != 0.0 && !(1e-6..1e15).contains(&f64::abs(short)) {
        format!("{short:e}")
    } else {
        format!("{short}")
    }
}
