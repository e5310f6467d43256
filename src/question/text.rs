//! An author's text with the version's values in its blanks.

use crate::quantity::{print_number, round_figures};
use crate::reading::parsed::{BlankStyle, Written};

use super::Solution;
use super::solution::with_unit;

/// Figures of a computed blank that no value's text gives.
const FIGURES: u32 = 4;

impl Solution<'_> {
    /// The text as Markdown, blanks filled.
    pub fn filled(&self, text: &Written) -> String {
        let mut out = String::with_capacity(text.text.len() + 32);
        let mut done = 0;
        for blank in &text.blanks {
            out.push_str(&text.text[done..blank.at.start]);
            let (number, unit) = self.blank(&blank.formula);
            match blank.style {
                BlankStyle::NumberOnly => out.push_str(&number),
                BlankStyle::WithUnit => match unit {
                    Some(unit) => out.push_str(&with_unit(&number, &unit)),
                    None => out.push_str(&number),
                },
            }
            done = blank.at.end;
        }
        out.push_str(&text.text[done..]);
        out
    }

    fn blank(&self, formula: &crate::quantity::Formula) -> (String, Option<crate::quantity::Unit>) {
        if let Some(path) = formula.as_name() {
            let name = path.join(".");
            if let Some((_, word)) = self.words.iter().find(|(n, _)| *n == name) {
                return ((*word).to_owned(), None);
            }
            if let Some(value) = self.value_index(&name) {
                let unit = self.checked.values[value].unit.clone();
                return (self.typed_number(value), Some(unit));
            }
            if let Some(slot) = self.slot_of_path(&path) {
                let unit = self.unit_of(slot);
                let figures = self.precision[slot]
                    .map_or(FIGURES, |p| p.figures(self.shown_value(slot)).min(FIGURES));
                let rounded = round_figures(self.shown_value(slot), figures);
                return (print_number(&rounded), Some(unit));
            }
        }
        let value = self.evaluated(formula);
        let unit = formula.names().find_map(|(path, _)| {
            self.value_index(&path.join(".")).map(|v| self.checked.values[v].unit.clone())
        });
        let unit = unit.map(|unit| self.checked.unit_for(formula, &unit.reading()));
        let shown = unit.as_ref().map_or(value, |u| u.from_si(value));
        (print_number(&round_figures(shown, FIGURES)), unit)
    }
}
