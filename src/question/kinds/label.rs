//! Names to be written on the figure of the question.

use super::{Asked, Form, Response, point};

impl Asked<'_, '_> {
    pub(super) fn label(&self, names: &[String]) -> Response {
        let points = names.iter().map(|name| point(format!("**{name}**"))).collect();
        self.made(Form::Names, names.join(", "), points)
    }
}
