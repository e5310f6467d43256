//! Cells of a table that a learner fills in.

use crate::quantity::{print_number, round_places};
use crate::reading::model::kinds::{Gap, Table};

use super::super::solution::with_unit;
use super::{Asked, Form, Response, Value, point};

impl Asked<'_, '_> {
    pub(super) fn complete(&self, table: &Table, gaps: &[Gap]) -> Response {
        let values: Vec<Value> = gaps.iter().map(|gap| self.cell(gap)).collect();
        let points = values
            .iter()
            .map(|value| {
                point(format!("{}: **{}**", value.name, with_unit(&value.printed, &value.unit)))
            })
            .collect();
        let key: Vec<&str> = values.iter().map(|value| value.printed.as_str()).collect();
        let key = key.join("; ");
        let cells =
            gaps.iter().zip(&values).map(|(gap, v)| (gap.row, gap.column, v.printed.clone()));
        let form = Form::Cells { table: table.clone(), gaps: cells.collect() };
        let mut response = self.made(form, key, points);
        response.values = values;
        response
    }

    fn cell(&self, gap: &Gap) -> Value {
        let half = 0.5 * 10f64.powi(-gap.places);
        let (value, printed) = match &gap.formula {
            Some(formula) => {
                let value = gap.unit.from_si(self.solution.evaluated(formula));
                (value, print_number(&round_places(value, gap.places)))
            }
            None => (
                gap.printed.replace('\u{2212}', "-").parse().unwrap_or(f64::NAN),
                gap.printed.clone(),
            ),
        };
        Value {
            name: gap.name.clone(),
            unit: gap.unit.clone(),
            value,
            printed,
            lowest: value - half,
            highest: value + half,
        }
    }
}
