//! The columns of a paper: one for each answer line, under a key that is the same in
//! every version.

use crate::quantity::Unit;
use crate::question::Solution;

/// An answer line: where it stands, what it can earn, what is written there.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// "1a"; of several lines of one part "1a.1", "1a.2".
    pub key: String,
    /// Index of the question.
    pub question: usize,
    /// Which answer line of the question; none for a part that is answered otherwise.
    pub answer: Option<usize>,
    pub part: usize,
    pub most: u32,
    /// "mass of slurry".
    pub name: String,
    pub unit: Unit,
    /// The objective's id, if the question names one.
    pub objective: Option<String>,
    pub question_id: String,
    /// "1(b)", as people write it.
    pub label: String,
}

/// The columns of questions in the order of the paper, from one version of each.
pub fn columns(solved: &[(Solution<'_>, Vec<crate::question::Answer>)]) -> Vec<Column> {
    let mut columns = Vec::new();
    for (question, (solution, answers)) in solved.iter().enumerate() {
        let asked = &solution.checked.question;
        let marks = solution.marks_of_answers(answers);
        for (part, own) in asked.parts.iter().enumerate() {
            let lines: Vec<usize> =
                (0..answers.len()).filter(|n| answers[*n].part == part).collect();
            let worth = |line: &usize| marks[*line].iter().map(|mark| mark.count).sum::<u32>();
            let letter: String = own.mark().chars().filter(|c| c.is_alphanumeric()).collect();
            let column = |line: Option<usize>, dot: String, most: u32| Column {
                key: format!("{}{letter}{dot}", question + 1),
                question,
                answer: line,
                part,
                most,
                name: line.map_or_else(String::new, |line| answers[line].name.clone()),
                unit: line.map_or_else(Unit::none, |line| answers[line].unit.clone()),
                objective: asked.objective.as_ref().map(|o| o.value.clone()),
                question_id: asked.id.value.clone(),
                label: format!("{}{}{dot}", question + 1, own.mark()),
            };
            if let Some(response) = solution.response(part) {
                // A choice among numbers has the marks of its working.
                let most =
                    if own.is_worked() { lines.iter().map(worth).sum() } else { response.marks };
                columns.push(column(None, String::new(), most));
                continue;
            }
            for (place, line) in lines.iter().enumerate() {
                let dot = if lines.len() > 1 { format!(".{}", place + 1) } else { String::new() };
                columns.push(column(Some(*line), dot, worth(line)));
            }
        }
    }
    columns
}
