//! Which data blocks a question has printed with it, and which it reads without.
//!
//! Takes a checked question; gives the blocks, and the built-in tables that stand in
//! where there is none.

use crate::balance::problem::{Curve, Says};
use crate::balance::properties::{self, Table};
use crate::diag::{Code, Diagnostics};
use crate::reading::parsed::{Data, Item, Question};

use super::names::UnitNames;
use super::saturation::curve_in;
use super::{Checked, Model};

impl Model {
    /// The tables that a question names, in its order.
    pub fn tables_named(&self, question: &Question) -> Vec<&Data> {
        let named = question.data.iter();
        named.filter_map(|id| self.data().find(|data| data.id.value == id.value)).collect()
    }

    /// The tables that a question reads and whose numbers its text does not give: one
    /// with a table of its own has said them.
    pub fn tables_read(&self, checked: &Checked) -> Vec<&Data> {
        let curves = self.curves_read(checked);
        self.data().filter(|data| curves.iter().any(|curve| holds(data, curve))).collect()
    }

    /// The built-in tables that a question reads, which no block of the unit holds.
    pub fn built_in_read(&self, checked: &Checked) -> Vec<&'static Table> {
        let curves = self.curves_read(checked);
        let own = |curve: &Curve| self.data().any(|data| holds(data, curve));
        let read: Vec<&Curve> = curves.into_iter().filter(|curve| !own(curve)).collect();
        properties::solubility::all()
            .filter(|table| {
                let curve = table.curve();
                read.iter().any(|own| own.name == curve.name && own.points == curve.points)
            })
            .collect()
    }

    /// The curves that a question reads and whose numbers its text does not give.
    fn curves_read<'c>(&self, checked: &'c Checked) -> Vec<&'c Curve> {
        let question = &checked.question;
        let text = self.parsed.file.slice(question.span);
        if !question.data.is_empty() || text.lines().any(|line| line.trim().starts_with('|')) {
            return Vec::new();
        }
        let facts = checked.engine.problem.facts.iter();
        facts
            .filter_map(|fact| match &fact.says {
                Says::Saturated { table, .. } | Says::SaturatedWhen { table, .. } => Some(table),
                _ => None,
            })
            .collect()
    }

    fn data(&self) -> impl Iterator<Item = &Data> {
        self.parsed.items.iter().filter_map(|item| match item {
            Item::Data(data) => Some(data),
            _ => None,
        })
    }
}

/// Whether a curve is one of a table's rows.
fn holds(data: &Data, curve: &Curve) -> bool {
    data.rows.iter().any(|(row, _)| {
        curve_in(data, &row.value.replace('_', " "))
            .is_some_and(|own| own.name == curve.name && own.points == curve.points)
    })
}

/// The tables that a question names are there.
pub(super) fn check_named(
    unit: &UnitNames<'_>,
    question: &Question,
    diagnostics: &mut Diagnostics,
) {
    for id in &question.data {
        if unit.tables.contains_key(id.value.as_str()) || unit.may_be_a_block(&id.value) {
            continue;
        }
        let known = unit.tables.keys().copied();
        diagnostics.push(unit.unknown(Code::UnknownTable, id, "data block", "this unit", known));
    }
}
