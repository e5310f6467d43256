//! A statement to judge, with lines for the reason.

use crate::reading::model::kinds::Mark;

use super::{Asked, Form, Response, point, points_of};

impl Asked<'_, '_> {
    pub(super) fn true_false(&self, answer: bool, reasons: &[Mark]) -> Response {
        let word = if answer { "true" } else { "false" };
        let mut points = vec![point(format!("**{word}**"))];
        points.extend(points_of(reasons));
        let lines = if reasons.is_empty() {
            0
        } else {
            let marks: u32 = reasons.iter().map(|reason| reason.marks).sum();
            self.lines(marks)
        };
        let reasons: Vec<String> = reasons.iter().map(|reason| reason.text.clone()).collect();
        let has_reasons = !reasons.is_empty();
        let form = Form::Judgement { answer, lines, reasons };
        let mut response = self.made(form, word.to_owned(), points);
        if has_reasons {
            response.guidance.push("no mark for a reason that goes with the wrong box".to_owned());
        }
        response
    }
}
