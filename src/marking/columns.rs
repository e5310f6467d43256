//! The columns of a paper: one for each answer line, under a key that is the same in
//! every version.

use crate::quantity::Unit;
use crate::question::Solution;

/// An answer line: where it stands, what it can earn, what is written there.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// "1a"; of several lines of one part "1a.1", "1a.2".
    pub key: String,
    /// Index of the question and of the answer in it.
    pub question: usize,
    pub answer: usize,
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
        for (number, answer) in answers.iter().enumerate() {
            let of_part = answers.iter().filter(|a| a.part == answer.part).count();
            let before = answers[..number].iter().filter(|a| a.part == answer.part).count();
            let letter = asked.parts[answer.part].label.as_ref().map_or("", |l| l.value.as_str());
            let several = if of_part > 1 { format!(".{}", before + 1) } else { String::new() };
            let letter_shown =
                if letter.is_empty() { String::new() } else { format!("({letter})") };
            columns.push(Column {
                key: format!("{}{letter}{several}", question + 1),
                question,
                answer: number,
                part: answer.part,
                most: marks[number].iter().map(|mark| mark.count).sum(),
                name: answer.name.clone(),
                unit: answer.unit.clone(),
                objective: asked.objective.as_ref().map(|o| o.value.clone()),
                question_id: asked.id.value.clone(),
                label: format!("{}{letter_shown}{several}", question + 1),
            });
        }
    }
    columns
}
