//! The letters of marks, as a department calls them.
//!
//! Takes contexts whose marks are named M, A and B; gives them the department's own
//! letters. Touches nothing but the marks.

use super::context::{LettersContext, PartContext, QuestionContext};
use crate::reading::department::Letters;

/// "M1 A0 ft" in a department's letters.
pub(super) fn lettered(marks: &str, letters: &Letters) -> String {
    let each = marks.split(' ').map(|word| {
        let own = match word.chars().next() {
            Some('M') => &letters.method,
            Some('A') => &letters.accuracy,
            Some('B') => &letters.independent,
            _ => return word.to_owned(),
        };
        let count = &word[1..];
        match !count.is_empty() && count.bytes().all(|byte| byte.is_ascii_digit()) {
            true => format!("{own}{count}"),
            false => word.to_owned(),
        }
    });
    each.collect::<Vec<_>>().join(" ")
}

/// The letters for a template that says what they mean.
pub(super) fn spoken(letters: &Letters) -> LettersContext {
    LettersContext {
        method: letters.method.clone(),
        accuracy: letters.accuracy.clone(),
        independent: letters.independent.clone(),
    }
}

/// The marks beside a question's working.
pub(super) fn lettered_question(question: &mut QuestionContext, letters: &Letters) {
    question.parts.iter_mut().for_each(|part| lettered_part(part, letters));
}

fn lettered_part(part: &mut PartContext, letters: &Letters) {
    for step in &mut part.solution {
        step.marks = lettered(&step.marks, letters);
    }
    for line in part.form.iter_mut().flat_map(|form| &mut form.writes) {
        line.marks = lettered(&line.marks, letters);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_change_their_letters_at_once_and_nothing_else_does() {
        let letters = Letters {
            method: "A".to_owned(),
            accuracy: "R".to_owned(),
            independent: "M".to_owned(),
        };
        for (marks, own) in [
            ("M1 A2", "A1 R2"),
            ("A0 ft", "R0 ft"),
            ("B1", "M1"),
            ("", ""),
            ("MAX 2", "MAX 2"),
            ("M1 M1", "A1 A1"),
        ] {
            assert_eq!(lettered(marks, &letters), own, "{marks}");
        }
    }
}
