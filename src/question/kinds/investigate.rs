//! A plan, marked in strands: one mark for each, whatever of it is well said.

use super::{Asked, Form, Point, Response};

impl Asked<'_, '_> {
    pub(super) fn investigate(&self, strands: &[(&'static str, Vec<String>)]) -> Response {
        let points: Vec<Point> = strands
            .iter()
            .map(|(strand, says)| Point {
                text: format!("{strand}: {}", says.join("; ")),
                marks: 1,
                ..Point::default()
            })
            .collect();
        let mut response = self.made(Form::Prose { lines: 0 }, String::new(), points);
        response.form = Form::Prose { lines: self.lines(response.marks) };
        let rule = "a strand earns its mark where most of what is listed is said, in any order; \
                    accept other sound ideas";
        response.guidance.push(rule.to_owned());
        response
    }
}
