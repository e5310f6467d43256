//! What an author says of the derivation: balances that it must use, and
//! balances that it must not.
//!
//! Names relations by what they balance and around which operations; changes
//! nothing of what is true, only what is taken.

use std::ops::Range;

use super::super::problem::What;
use super::super::relations::{System, Why};
use super::{Plan, cost};

/// A balance of `of` around these operations, for some of what is asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pin {
    pub of: What,
    /// Indices of operations, ascending.
    pub operations: Vec<usize>,
    /// Numbers of the asked formulas that it is said of.
    pub asked: Range<usize>,
}

/// Balances that a derivation must use, and balances that it must not.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Route {
    pub pinned: Vec<Pin>,
    pub forbidden: Vec<Pin>,
}

/// How much dearer the rivals of a pinned balance become, from try to try.
const INSISTENCE: [f64; 3] = [1.5, 6.0, f64::INFINITY];

impl Pin {
    /// The number of its relation. None where no such border can be drawn, or where
    /// nothing of `of` crosses it.
    pub fn relation(&self, system: &System) -> Option<usize> {
        system.relations.iter().position(|relation| match relation.why {
            Why::Balance { envelope, of } => {
                of == self.of && system.envelopes[envelope].operations == self.operations
            }
            _ => false,
        })
    }
}

impl Route {
    pub(super) fn insistence(&self) -> &'static [f64] {
        if self.pinned.is_empty() { &INSISTENCE[..1] } else { &INSISTENCE }
    }

    /// The first pin that the plan does without.
    pub(super) fn passed_by(&self, system: &System, plan: &Plan) -> Option<usize> {
        self.pinned.iter().position(|pin| {
            let steps = pin.asked.end.checked_sub(1).and_then(|last| plan.reached.get(last));
            let steps = steps.map_or(plan.steps.len(), |count| *count);
            let relation = pin.relation(system);
            !plan.steps[..steps]
                .iter()
                .any(|step| step.relations().iter().any(|used| Some(*used) == relation))
        })
    }

    /// For each relation, what is added to its cost for an asked formula; infinite
    /// where it may not be used, below zero where it is pinned.
    pub(super) fn surcharges(&self, system: &System, insistence: f64, asked: usize) -> Vec<f64> {
        let mut surcharges = vec![0.0; system.relations.len()];
        let in_force = |pin: &&Pin| pin.asked.contains(&asked);
        let pinned: Vec<&Pin> = self.pinned.iter().filter(in_force).collect();
        if !pinned.is_empty() {
            for (number, relation) in system.relations.iter().enumerate() {
                let Why::Balance { of, .. } = relation.why else { continue };
                let is_rival = insistence > INSISTENCE[0] || pinned.iter().any(|p| p.of == of);
                let of_same = pinned.iter().any(|pin| pin.of == of);
                surcharges[number] = match (is_rival, insistence.is_finite()) {
                    (false, _) => 0.0,
                    (true, true) => insistence,
                    (true, false) if of_same => f64::INFINITY,
                    (true, false) => INSISTENCE[1],
                };
            }
        }
        for relation in pinned.iter().filter_map(|pin| pin.relation(system)) {
            surcharges[relation] = -1.0;
        }
        for pin in self.forbidden.iter().filter(in_force) {
            if let Some(relation) = pin.relation(system) {
                surcharges[relation] = f64::INFINITY;
            }
        }
        surcharges
    }
}

/// A step's cost with its relation's surcharge.
pub(super) fn charged(plain: f64, surcharge: f64) -> f64 {
    if surcharge < 0.0 { cost::PINNED } else { plain + surcharge }
}
