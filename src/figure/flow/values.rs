//! What is written on the streams of a diagram: totals, solved, and the shares that
//! its author gave.

use std::collections::BTreeMap;

use crate::quantity::{UnitKind, print_quantity};
use crate::question::Solution;
use crate::reading::model::Checked;
use crate::reading::parsed::{FactValue, Figure};

/// Texts by stream. Streams that the facts do not settle have none.
pub fn values(figure: &Figure, totals: Option<&Checked>) -> BTreeMap<String, String> {
    let mut found: BTreeMap<String, String> = BTreeMap::new();
    let Some(totals) = totals else { return found };
    let choice = vec![0; totals.axes().len()];
    let Ok(solution) = Solution::of(totals, &choice) else { return found };
    for (asked, answer) in totals.asked.iter().zip(solution.answers()) {
        if let Some([stream, ..]) = asked.formula.as_name().as_deref() {
            found.insert((*stream).to_owned(), print_quantity(&answer.rounded, &answer.unit));
        }
    }
    for given in figure.given.iter().filter(|given| given.part.is_none()) {
        for fact in &given.facts {
            let FactValue::Amount(formula) = &fact.value.value else { continue };
            let Some(typed) = formula.as_typed() else { continue };
            if typed.unit.kind() != UnitKind::Percent || fact.key.value == "total" {
                continue;
            }
            let share = print_quantity(&typed.number, &typed.unit);
            let says = format!("{share} {}", fact.key.value.replace('_', " "));
            found
                .entry(given.stream.value.clone())
                .and_modify(|text| *text = format!("{text}, {says}"))
                .or_insert(says);
        }
    }
    found
}
