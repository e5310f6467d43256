//! Part by version: the values of every version, and its common wrong answers.
//!
//! A version's cells are made where it is solved and are all that is kept of it.

use crate::question::{Answer, Solution};
use crate::reading::department::Department;

use super::super::context::{CellsContext, WidthContext};
use super::super::escape::escape;
use super::points::label;

/// Versions that the tables hold; of more, the table of answers tells.
pub const MOST_VERSIONS: u32 = 60;

/// In mm: the first column, a version among few and among many, the block.
const FIRST: f64 = 34.0;
/// The first column where it names a mistake.
const FIRST_OF_SLIPS: f64 = 72.0;
const WIDE: f64 = 28.0;
const NARROW: f64 = 20.0;
const ALL: f64 = 174.0;
/// Versions that count as few.
const FEW: usize = 4;
/// A column of relations narrower than this says too little.
const LEAST_RELATION: f64 = 40.0;

/// What the tables say of one version.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct VersionCells {
    pub letters: String,
    /// For each question the values that are drawn.
    pub given: Vec<String>,
    /// Every answer as printed, in order.
    pub answers: Vec<String>,
    /// The wrong answers that can be told from the key, for each part that is answered on
    /// a line: what goes wrong, and the number it gives.
    pub slips: Vec<Vec<(String, String)>>,
}

pub fn version_cells(letters: &str, solved: &[(Solution<'_>, Vec<Answer>)]) -> VersionCells {
    VersionCells {
        letters: letters.to_owned(),
        given: solved.iter().map(|(solution, _)| given(solution)).collect(),
        answers: solved
            .iter()
            .flat_map(|(solution, answers)| entries(solution, answers))
            .map(|entry| entry.printed)
            .collect(),
        slips: solved
            .iter()
            .flat_map(|(solution, answers)| lines(solution, answers))
            .map(|(solution, answer)| {
                let slips = solution.slips(answer.part, answer);
                let names = slips.into_iter().flat_map(|slip| {
                    let printed = slip.printed;
                    slip.turns.into_iter().map(move |turn| (turn.name, printed.clone()))
                });
                names.collect()
            })
            .collect(),
    }
}

/// The first answer of each part that is answered on a line, with its question.
fn lines<'s, 'a>(
    solution: &'s Solution<'a>,
    answers: &'s [Answer],
) -> impl Iterator<Item = (&'s Solution<'a>, &'s Answer)> {
    (0..solution.checked.question.parts.len())
        .filter(|part| solution.response(*part).is_none())
        .filter_map(|part| answers.iter().find(|answer| answer.part == part))
        .map(move |answer| (solution, answer))
}

/// A row of the tables: an answer of a part.
pub(super) struct Entry<'a> {
    pub(super) part: usize,
    pub(super) unit: String,
    printed: String,
    /// Where a number is worked out.
    answer: Option<&'a Answer>,
}

/// Every answer that a key strip can show, part by part: letters of options, numbers
/// and words, but not what only marking points tell.
pub(super) fn entries<'a>(solution: &Solution<'_>, answers: &'a [Answer]) -> Vec<Entry<'a>> {
    let mut entries = Vec::new();
    for part in 0..solution.checked.question.parts.len() {
        if let Some(response) = solution.response(part) {
            if !response.values.is_empty() {
                entries.extend(response.values.iter().map(|value| Entry {
                    part,
                    unit: value.unit.print().to_owned(),
                    printed: value.printed.clone(),
                    answer: None,
                }));
            } else if !response.key.is_empty() {
                let printed = response.key.clone();
                entries.push(Entry { part, unit: String::new(), printed, answer: None });
            }
            continue;
        }
        entries.extend(answers.iter().filter(|answer| answer.part == part).map(|answer| Entry {
            part,
            unit: answer.unit.print().to_owned(),
            printed: answer.printed.clone(),
            answer: Some(answer),
        }));
    }
    entries
}

fn given(solution: &Solution<'_>) -> String {
    let values: Vec<String> = solution.drawn().into_iter().map(|(.., value)| value).collect();
    values.join(", ")
}

/// The names of a question's drawn values: "brine / kg, weak / %".
fn head_cells(solution: &Solution<'_>) -> String {
    let named = |(name, unit, _): (String, String, String)| match unit.as_str() {
        "" => name,
        unit => format!("{name}\u{a0}/\u{a0}{unit}"),
    };
    solution.drawn().into_iter().map(named).collect::<Vec<_>>().join(", ")
}

pub(in super::super) fn values(
    shown: &[(Solution<'_>, Vec<Answer>)],
    cells: &[VersionCells],
) -> Vec<CellsContext> {
    let most = ((ALL - FIRST) / NARROW) as usize;
    let of_table = |cells: &[VersionCells]| {
        let width = if cells.len() <= FEW { WIDE } else { NARROW };
        let rest = ALL - FIRST - width * cells.len() as f64;
        let relations = rest >= LEAST_RELATION;
        let mut columns = vec![column("part", FIRST)];
        columns.extend(cells.iter().map(|version| column(&version.letters, width)));
        if relations {
            columns.push(column("from", rest));
        }
        let mut rows = Vec::new();
        let mut answer = 0;
        for (index, (number, (solution, answers))) in (1..).zip(shown).enumerate() {
            let head = head_cells(solution);
            if !head.is_empty() {
                let mut row = vec![format!("**{number}** {}", escape(&head))];
                row.extend(cells.iter().map(|v| escape(&v.given[index]).into_owned()));
                row.extend(relations.then(String::new));
                rows.push(row);
            }
            for own in entries(solution, answers) {
                let unit = escape(&own.unit);
                let mut row = vec![format!("{} {unit}", label(number, solution, own.part))];
                row.extend(cells.iter().map(|v| escape(&v.answers[answer]).into_owned()));
                row.extend(relations.then(|| {
                    own.answer.map_or_else(String::new, |own| relation(solution, answers, own))
                }));
                rows.push(row);
                answer += 1;
            }
        }
        CellsContext { columns, rows, ..CellsContext::default() }
    };
    parted(cells, most).into_iter().map(of_table).collect()
}

/// The common wrong answers of the version that is shown, and what they come to in the
/// others; a dash where they cannot be told from the key.
pub(super) fn slips(
    shown: &[(Solution<'_>, Vec<Answer>)],
    all: &[VersionCells],
) -> Vec<CellsContext> {
    if all.len() < 2 {
        // Its guidance says them already.
        return Vec::new();
    }
    let lines = (1..).zip(shown).flat_map(|(number, (solution, answers))| {
        lines(solution, answers).map(move |(solution, answer)| (number, solution, answer))
    });
    // The row's head, which line it is, the mistake.
    let mut common: Vec<(String, usize, String)> = Vec::new();
    // How many numbers a mistake leads to: if to more than in another version, or to fewer,
    // its first may be another step's there.
    let numbers = |version: &VersionCells, line: usize, name: &str| {
        version.slips[line].iter().filter(|(own, _)| own == name).count()
    };
    for (line, (number, solution, answer)) in lines.enumerate() {
        let unit = escape(answer.unit.print());
        for slip in solution.common_slips(answer.part, answer) {
            let head =
                format!("{} {unit} {}", label(number, solution, answer.part), escape(&slip.says));
            let name = slip.turns.into_iter().next().map_or_else(String::new, |turn| turn.name);
            common.push((head, line, name));
        }
    }
    if common.is_empty() {
        return Vec::new();
    }
    let most = ((ALL - FIRST_OF_SLIPS) / NARROW) as usize;
    let of_table = |cells: &[VersionCells]| {
        let mut columns = vec![column("part and mistake", FIRST_OF_SLIPS)];
        columns.extend(cells.iter().map(|version| column(&version.letters, NARROW)));
        let row = |(head, line, name): &(String, usize, String)| {
            let value = |version: &VersionCells| {
                let alike = numbers(version, *line, name) == numbers(&all[0], *line, name);
                let found = version.slips[*line].iter().find(|(own, _)| alike && own == name);
                found.map_or_else(|| "–".to_owned(), |(_, printed)| escape(printed).into_owned())
            };
            std::iter::once(head.clone()).chain(cells.iter().map(value)).collect()
        };
        let rows = common.iter().map(row).collect();
        CellsContext { columns, rows, ..CellsContext::default() }
    };
    parted(all, most).into_iter().map(of_table).collect()
}

/// Tables of at most so many versions, as equal as can be.
fn parted(cells: &[VersionCells], most: usize) -> Vec<&[VersionCells]> {
    if cells.is_empty() {
        return Vec::new();
    }
    let tables = cells.len().div_ceil(most.max(1));
    cells.chunks(cells.len().div_ceil(tables)).collect()
}

/// The relation in symbols by which an answer is found last.
fn relation(solution: &Solution<'_>, answers: &[Answer], own: &Answer) -> String {
    let worked = solution.working(answers);
    let mut steps = worked.iter().filter(|step| step.part == own.part && step.answer.is_some());
    let place = answers.iter().filter(|a| a.part == own.part).position(|a| std::ptr::eq(a, own));
    let step = place.and_then(|place| steps.nth(place));
    step.filter(|step| step.chain.len() > 1)
        .map_or_else(String::new, |step| escape(&step.chain[0]).into_owned())
}

pub(super) fn column(head: &str, width: f64) -> WidthContext {
    WidthContext { head: head.to_owned(), width }
}

/// From how many marks on a grade is given.
pub(super) fn grades(department: &Department, total: u32) -> CellsContext {
    let boundaries = department.boundaries(total);
    let rows =
        boundaries.into_iter().zip(&department.grades).map(|((grade, least), (_, share))| {
            vec![escape(grade).into_owned(), least.to_string(), format!("{}\u{202f}%", share)]
        });
    let columns = [("grade", 24.0), ("from marks", 24.0), ("share", 24.0)];
    CellsContext {
        columns: columns
            .iter()
            .map(|(head, width)| WidthContext { head: (*head).to_owned(), width: *width })
            .collect(),
        rows: rows.collect(),
        ..CellsContext::default()
    }
}
