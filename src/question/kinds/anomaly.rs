//! The value of a table that departs from what the others do.

use crate::reading::kinds::Rule;
use crate::reading::model::kinds::{Mark, Odd, Table};

use super::{Asked, Form, Point, Response, point, points_of};

impl Asked<'_, '_> {
    pub(super) fn anomaly(&self, table: &Table, odd: &Odd, reasons: &[Mark]) -> Response {
        let mut value = point(format!("**{}** ({} at {})", odd.value, odd.row, odd.column));
        value.reject.push("a value that only lies beside it".to_owned());
        let reasons: Vec<Point> = match reasons {
            [] => vec![point(because(odd.rule))],
            own => points_of(own),
        };
        let texts: Vec<String> = reasons.iter().map(|reason| reason.text.clone()).collect();
        let marks: u32 = reasons.iter().map(|reason| reason.marks).sum();
        let mut points = vec![value];
        points.extend(reasons);
        let form = Form::Odd { table: table.clone(), lines: self.lines(marks), reasons: texts };
        self.made(form, odd.value.clone(), points)
    }
}

fn because(rule: Rule) -> &'static str {
    match rule {
        Rule::Line => "the other values lie on a straight line, and this one does not",
        Rule::Trend => "the other values rise or fall throughout, and this one breaks the trend",
        Rule::Sum => "it is not the sum of the values above it",
    }
}
