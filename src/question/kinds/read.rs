//! A value read between the points of a row, on straight lines.

use crate::quantity::{print_number, round_places};
use crate::reading::model::kinds::Reading;

use super::super::solution::with_unit;
use super::{Asked, Form, Response, Value, point};

impl Asked<'_, '_> {
    pub(super) fn read(&self, reading: &Reading) -> Response {
        let at = self.solution.evaluated(&reading.at);
        let x = reading.across.from_si(at);
        let value = between(&reading.points, x).unwrap_or(f64::NAN);
        let printed = print_number(&round_places(value, reading.places));
        let name = self.solution.checked.question.parts[self.part]
            .name
            .as_ref()
            .map_or_else(|| reading.name.clone(), |name| name.value.clone());
        let words = with_unit(&printed, &reading.unit);
        let points = vec![point(format!("{name}: **{words}**"))];
        let form = Form::Reading { table: reading.table.clone() };
        let mut response = self.made(form, printed.clone(), points);
        let (lowest, highest) = (value - reading.half, value + reading.half);
        let shown = |value: f64| print_number(&round_places(value, reading.places + 1));
        let range = format!("{} to {}", shown(lowest), with_unit(&shown(highest), &reading.unit));
        response.guidance.push(format!("accept {range}"));
        let unit = reading.unit.clone();
        response.values = vec![Value { name, unit, value, printed, lowest, highest }];
        response
    }
}

/// The value of a row at `x`; none beyond its ends.
pub(super) fn between(points: &[(f64, f64)], x: f64) -> Option<f64> {
    points.windows(2).find_map(|pair| {
        let ((x0, y0), (x1, y1)) = (pair[0], pair[1]);
        let slack = 1e-9 * (x1 - x0).abs();
        let inside = x >= x0 - slack && x <= x1 + slack;
        inside.then(|| y0 + (y1 - y0) * (x - x0) / (x1 - x0))
    })
}
