//! Tables of following through: a mistake, where it leads in the parts after it,
//! and the marks that are left.

use crate::quantity::round_figures;
use crate::question::{Answer, Earns, Led, MarkedStep, Solution};

use super::super::context::{CellsContext, FollowContext, WidthContext};
use super::super::escape::escape;
use super::Solved;
use super::points::{FT, letter};

/// Mistakes of one part that get a row.
const MOST_OF_A_PART: usize = 2;
/// Parts that fit beside each other.
const MOST_PARTS: usize = 6;
/// In mm: the mistake, the marks, and all columns together.
const MISTAKE: f64 = 38.0;
const MARKS: f64 = 24.0;
const ALL: f64 = 174.0;

/// A table for every question of every version in which a mistake leads on.
pub(super) fn tables(solved: &[(String, Solved<'_>)]) -> Vec<FollowContext> {
    let mut tables = Vec::new();
    for (version, questions) in solved {
        for (question, (solution, answers)) in (1..).zip(questions) {
            if let Some(cells) = table(solution, answers) {
                tables.push(FollowContext { version: version.clone(), question, cells });
            }
        }
    }
    tables
}

/// A wrong answer: its number, what went wrong, its value in base units and as
/// printed, and whether the method may still be seen in it.
struct Wrong {
    number: usize,
    says: String,
    value: f64,
    printed: String,
    method_stands: bool,
}

fn table(solution: &Solution<'_>, answers: &[Answer]) -> Option<CellsContext> {
    // Only what is worked out follows from anything.
    let parts = worked_parts(solution);
    if !(2..=MOST_PARTS).contains(&parts.len()) {
        return None;
    }
    let worked = solution.marked_working(answers);
    let rests = solution.rests_on();
    let leads_on = |number: usize| rests.iter().any(|from| from.contains(&number));
    let wrong: Vec<Wrong> = (0..answers.len())
        .filter(|number| leads_on(*number))
        .flat_map(|number| mistakes(solution, answers, number))
        .collect();
    if wrong.is_empty() {
        return None;
    }
    let width = (ALL - MISTAKE - MARKS) / parts.len() as f64;
    let mut columns = vec![column("mistake", MISTAKE)];
    for (n, part) in parts.into_iter().enumerate() {
        let letter = letter(solution, part);
        let head = if n == 0 { format!("in {letter}") } else { format!("then {letter}") };
        columns.push(column(&head, width));
    }
    columns.push(column("marks", MARKS));
    let mut rows = vec![right_row(solution, answers, &worked)];
    rows.extend(wrong.iter().map(|wrong| row(solution, answers, &worked, wrong)));
    Some(CellsContext { columns, rows, ..CellsContext::default() })
}

/// The parts that ask for numbers which the plan works out.
fn worked_parts(solution: &Solution<'_>) -> Vec<usize> {
    let parts = solution.checked.question.parts.iter().enumerate();
    parts.filter(|(_, part)| part.is_worked()).map(|(number, _)| number).collect()
}

fn column(head: &str, width: f64) -> WidthContext {
    WidthContext { head: head.to_owned(), width }
}

/// The author's named mistakes, then the catalogue's; where there is none, the point put one place wrong,
/// which every class sees (common practice, no source).
fn mistakes(solution: &Solution<'_>, answers: &[Answer], number: usize) -> Vec<Wrong> {
    let answer = &answers[number];
    let first_of_part = answers.iter().position(|a| a.part == answer.part) == Some(number);
    let common =
        if first_of_part { solution.common_slips(answer.part, answer) } else { Vec::new() };
    let mut wrong: Vec<Wrong> = common
        .into_iter()
        .take(MOST_OF_A_PART)
        .map(|slip| Wrong {
            number,
            says: escape(&slip.says).into_owned(),
            value: slip.value,
            printed: slip.printed,
            method_stands: false,
        })
        .collect();
    // Ten times a temperature or a number that is none means nothing.
    let can_shift = answer.rounded.value != 0.0 && answer.unit.to_si(0.0) == 0.0;
    if wrong.is_empty() && can_shift {
        let shifted = round_figures(10.0 * answer.rounded.value, answer.rounded.figures().max(1));
        wrong.push(Wrong {
            number,
            says: "decimal point one place wrong".to_owned(),
            value: answer.unit.to_si(shifted.value),
            printed: crate::quantity::print_number(&shifted),
            method_stands: true,
        });
    }
    wrong
}

fn right_row(solution: &Solution<'_>, answers: &[Answer], worked: &[MarkedStep]) -> Vec<String> {
    let parts = worked_parts(solution);
    let mut cells = vec!["correct".to_owned()];
    for part in parts.iter().copied() {
        let own: Vec<&str> =
            answers.iter().filter(|a| a.part == part).map(|a| a.printed.as_str()).collect();
        cells.push(own.join("; "));
    }
    cells.push(joined(parts.into_iter().map(|part| marks(worked, part, |_| true))));
    cells
}

fn row(
    solution: &Solution<'_>,
    answers: &[Answer],
    worked: &[MarkedStep],
    wrong: &Wrong,
) -> Vec<String> {
    let led = solution.led(answers, wrong.number, wrong.value);
    let mut cells = vec![wrong.says.clone()];
    let mut earned = Vec::new();
    for part in worked_parts(solution) {
        let mut words = Vec::new();
        let (mut absurd, mut is_wrong) = (false, false);
        for (number, answer) in answers.iter().enumerate().filter(|(_, a)| a.part == part) {
            if number == wrong.number {
                is_wrong = true;
                words.push(format!("**{}**", wrong.printed));
                continue;
            }
            let outcome = number.checked_sub(wrong.number + 1).and_then(|later| led.get(later));
            words.push(match outcome {
                None | Some(Led::Right) => answer.printed.clone(),
                Some(Led::Through(printed)) => format!("{printed} {FT}"),
                Some(Led::Absurd) => {
                    absurd = true;
                    format!("no {FT}, absurd")
                }
            });
        }
        cells.push(words.join("; "));
        let method = |earns| earns == Earns::Method;
        earned.push(match (is_wrong, absurd) {
            (true, _) if !wrong.method_stands => 0,
            (true, _) | (_, true) => marks(worked, part, method),
            _ => marks(worked, part, |_| true),
        });
    }
    cells.push(joined(earned.into_iter()));
    cells
}

fn marks(worked: &[MarkedStep], part: usize, counts: impl Fn(Earns) -> bool) -> u32 {
    let own = worked.iter().filter(|step| step.step.part == part);
    own.flat_map(|step| &step.marks).filter(|m| counts(m.earns)).map(|m| m.count).sum()
}

fn joined(marks: impl Iterator<Item = u32>) -> String {
    marks.map(|n| n.to_string()).collect::<Vec<_>>().join("  ")
}
