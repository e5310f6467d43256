//! How far every quantity of a solved version may be trusted, carried along the
//! plan: sums by decimal places, products by significant figures.

use crate::balance::{Find, Node, Shape, Slot, Step};
use crate::quantity::figures::{of_product, of_sum};
use crate::quantity::{Formula, Precision, Unit};
use crate::reading::model::Source;

use super::{Solution, basis};

/// Fewest figures an answer is printed to, whatever its data.
pub(super) const LEAST: u32 = 2;
/// Most figures an answer is printed to where its data are exact.
pub(super) const MOST: u32 = 4;

/// The precision of every slot that is filled, in the unit it is shown in.
pub(super) fn of_slots(solution: &Solution<'_>) -> Vec<Option<Precision>> {
    let engine = &solution.checked.engine;
    let system = &engine.system;
    let mut found: Vec<Option<Precision>> = vec![None; system.nodes.len()];
    for (slot, node) in system.nodes.iter().enumerate() {
        match node {
            Node::Zero | Node::One => found[slot] = Some(Precision::Exact),
            Node::Value(value) => found[slot] = Some(of_value(solution, *value)),
            _ => {}
        }
    }
    for given in &system.givens {
        let precision = match solution.checked.facts.get(given.fact).and_then(Option::as_ref) {
            Some(formula) => {
                let unit = solution.unit_of(given.slot);
                of_formula(solution, formula, &unit, &found)
            }
            None => Precision::Exact,
        };
        found[given.slot] = Some(precision);
    }
    of_steps(solution, &engine.plan.steps, &mut found);
    found
}

/// Carries the precision through steps.
pub(super) fn of_steps(solution: &Solution<'_>, steps: &[Step], found: &mut [Option<Precision>]) {
    let system = &solution.checked.engine.system;
    for step in steps {
        match step {
            Step::Find(find) => {
                let precision = of_find(solution, *find, found);
                found[find.target] = Some(precision);
            }
            Step::Let(letting) => {
                // A let is as good as the poorest of all that goes into it.
                let mut figures = crate::quantity::EXACT;
                for relation in letting.relations() {
                    for slot in system.relations[relation].slots() {
                        if let Some(precision) = found[slot] {
                            figures = figures.min(precision.figures(solution.shown_value(slot)));
                        }
                    }
                }
                for slot in letting.targets() {
                    let value = solution.shown_value(slot);
                    found[slot] = Some(Precision::from_figures(value, figures));
                }
            }
            Step::Basis(taken) => {
                found[taken.wanted] = basis::taken(solution, taken, found).precision[taken.wanted];
            }
        }
    }
}

/// The precision of an author's value, in its own unit.
pub(super) fn of_value(solution: &Solution<'_>, value: usize) -> Precision {
    match (&solution.checked.values[value].source, solution.numbers[value]) {
        (Source::Drawn(_), Some(number)) => Precision::of(number),
        (Source::Derived { formula, .. }, _) => {
            let unit = &solution.checked.values[value].unit;
            of_formula(solution, formula, unit, &[])
        }
        _ => Precision::Exact,
    }
}

fn of_find(solution: &Solution<'_>, find: Find, found: &[Option<Precision>]) -> Precision {
    let system = &solution.checked.engine.system;
    let relation = &system.relations[find.relation];
    let of = |slot: Slot| found[slot].unwrap_or(Precision::Exact);
    let value = solution.shown_value(find.target);
    let figures_of = |slot: Slot| (solution.shown_value(slot), of(slot));
    match &relation.shape {
        Shape::Sum { terms, .. } => {
            let others: Vec<Precision> =
                terms.iter().filter(|(_, s)| *s != find.target).map(|(_, s)| of(*s)).collect();
            of_sum(&others)
        }
        Shape::Product { whole, part, factor } => {
            let others: Vec<(f64, Precision)> = [whole, part, factor]
                .into_iter()
                .filter(|s| **s != find.target)
                .map(|s| figures_of(*s))
                .collect();
            of_product(value, &others)
        }
        Shape::OfRatio { share, ratio } => {
            let other = if find.target == *share { *ratio } else { *share };
            of_product(value, &[figures_of(other)])
        }
        Shape::OfSolubility { .. } => of_product(value, &[(1.0, Precision::Place(-2))]),
        Shape::Saturation { solute, solvent, .. } => {
            let other = if find.target == *solute { *solvent } else { *solute };
            of_product(value, &[figures_of(other), (1.0, Precision::Place(-2))])
        }
        // Tables of saturated steam give four figures.
        Shape::WaterPressure { .. } => Precision::from_figures(value, 4),
        Shape::Proportion { .. } | Shape::Power { .. } | Shape::Recount { .. } => {
            let others: Vec<(f64, Precision)> = relation
                .slots()
                .into_iter()
                .filter(|s| *s != find.target)
                .map(figures_of)
                .collect();
            of_product(value, &others)
        }
        Shape::Algebra { slots, .. } => {
            if let Node::Asked(number) = system.nodes[find.target] {
                let asked = &solution.checked.asked[number];
                return of_formula(solution, &asked.formula, &asked.unit, found);
            }
            let others: Vec<(f64, Precision)> =
                slots.iter().filter(|s| **s != find.target).map(|s| figures_of(*s)).collect();
            of_product(value, &others)
        }
    }
}

/// The precision of a formula's value, in `unit`.
pub(super) fn of_formula(
    solution: &Solution<'_>,
    formula: &Formula,
    unit: &Unit,
    found: &[Option<Precision>],
) -> Precision {
    let known = |path: &[&str]| {
        if let Some(value) = solution.value_index(&path.join(".")) {
            let own = &solution.checked.values[value].unit;
            let si = solution.values[value];
            let precision = of_value(solution, value);
            return Some((si, precision.scaled(own.from_si(si), own.factor())));
        }
        let slot = solution.slot_of_path(path)?;
        let own = solution.unit_of(slot);
        let precision = found.get(slot).copied().flatten()?;
        let si = solution.slots[slot];
        Some((si, precision.scaled(own.from_si(si), own.factor())))
    };
    formula
        .precision(&known)
        .map_or(Precision::Exact, |(si, precision)| precision.scaled(si, 1.0 / unit.factor()))
}
