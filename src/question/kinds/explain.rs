//! A short answer in words, marked by points.

use crate::reading::model::kinds::Mark;

use super::{Asked, Form, Response, points_of};

impl Asked<'_, '_> {
    pub(super) fn explain(&self, points: &[Mark]) -> Response {
        let mut response = self.made(Form::Prose { lines: 0 }, String::new(), points_of(points));
        response.form = Form::Prose { lines: self.lines(response.marks) };
        response
    }
}
