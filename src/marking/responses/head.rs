//! The head of a file of responses: which column is what.

use super::fault::{Fault, FaultKind};
use super::rows::RawRow;
use crate::marking::columns::Column;

/// Where things stand, from 0.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Head {
    pub learner: usize,
    pub version: usize,
    pub class: Option<usize>,
    /// Whether a row holds answers or marks.
    pub entry: Option<usize>,
    pub minutes: Option<usize>,
    /// Of each column of the paper.
    pub answers: Vec<usize>,
    /// How many cells the head has.
    pub width: usize,
}

const LEARNER: [&str; 5] = ["learner", "name", "student", "pupil", "candidate"];
const VERSION: [&str; 2] = ["version", "code"];
const CLASS: [&str; 2] = ["class", "group"];
const ENTRY: [&str; 2] = ["entry", "holds"];
const MINUTES: [&str; 2] = ["minutes", "time"];

impl Head {
    /// Finds the columns in a file's first row.
    ///
    /// # Errors
    /// Columns that are missing or there twice: nothing can be marked.
    pub fn of(row: &RawRow, columns: &[Column]) -> Result<(Head, Vec<Fault>), Vec<Fault>> {
        let names: Vec<String> = row.cells.iter().map(|cell| tidy(&cell.text())).collect();
        let width = names.iter().rposition(|name| !name.is_empty()).map_or(0, |last| last + 1);
        let mut faults = Vec::new();
        let mut used = vec![false; names.len()];
        let mut find = |known: &[&str], faults: &mut Vec<Fault>| -> Option<usize> {
            let places: Vec<usize> =
                (0..names.len()).filter(|at| known.contains(&names[*at].as_str())).collect();
            places.iter().for_each(|at| used[*at] = true);
            if let Some(second) = places.get(1) {
                let twice =
                    format!("the column `{}` is there twice.", row.cells[*second].text().trim());
                faults.push(
                    Fault::new(FaultKind::Column, row, Some(second + 1), &twice)
                        .expected("each column once")
                        .next("take one of the two out"),
                );
            }
            places.first().copied()
        };
        let learner = find(&LEARNER, &mut faults);
        let version = find(&VERSION, &mut faults);
        let class = find(&CLASS, &mut faults);
        let entry = find(&ENTRY, &mut faults);
        let minutes = find(&MINUTES, &mut faults);
        let answers: Vec<Option<usize>> = columns
            .iter()
            .map(|column| {
                let key = tidy(&column.key);
                find(&[&key], &mut faults)
            })
            .collect();
        let mut missing: Vec<&str> = Vec::new();
        for (name, place) in [("learner", learner), ("version", version)] {
            missing.extend(place.is_none().then_some(name));
        }
        missing.extend(
            columns
                .iter()
                .zip(&answers)
                .filter(|(_, at)| at.is_none())
                .map(|(c, _)| c.key.as_str()),
        );
        if !missing.is_empty() {
            let several = if missing.len() == 1 { "a column is" } else { "columns are" };
            let all: Vec<&str> = ["learner", "version"]
                .into_iter()
                .chain(columns.iter().map(|c| c.key.as_str()))
                .collect();
            faults.push(
                Fault::new(FaultKind::Column, row, None, &format!("{several} missing: {}.", missing.join(", ")))
                    .found(&format!("{} columns", width))
                    .expected(&all.join(", "))
                    .next("add the columns, left empty where nobody answered, or begin with the blank form that `print` makes"),
            );
        }
        if !faults.is_empty() {
            return Err(faults);
        }
        let strange = (0..names.len()).filter(|at| !used[*at] && !names[*at].is_empty());
        let passed = strange
            .map(|at| {
                let name = row.cells[at].text();
                Fault::new(
                    FaultKind::Passed,
                    row,
                    Some(at + 1),
                    &format!(
                        "the column `{}` is none of this paper and is passed over.",
                        name.trim()
                    ),
                )
                .expected("columns of the form")
                .next("nothing, if it is a note of yours")
            })
            .collect();
        let (Some(learner), Some(version)) = (learner, version) else { return Err(Vec::new()) };
        let answers = answers.into_iter().flatten().collect();
        Ok((Head { learner, version, class, entry, minutes, answers, width }, passed))
    }
}

/// `Q1 (a)`, `1A` and `1a` are one name.
fn tidy(name: &str) -> String {
    let plain: String = name
        .chars()
        .filter(|c| c.is_alphanumeric() || *c == '.')
        .flat_map(char::to_lowercase)
        .collect();
    let number = plain.strip_prefix("question").or_else(|| plain.strip_prefix('q'));
    match number {
        Some(rest) if rest.starts_with(|c: char| c.is_ascii_digit()) => rest.to_owned(),
        _ => plain,
    }
}
