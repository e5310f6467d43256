//! Following through: what later answers come to for a learner who goes on from a
//! wrong one, and which answers rest on which.
//!
//! Takes a solved version and one wrong value; runs the same plan on with that
//! quantity held. Never decides how many marks a mistake itself is worth.

use super::figures::LEAST;
use super::{Answer, Solution};
use crate::balance::Slot;
use crate::quantity::{print_number, round_figures};

/// Where a wrong answer leads in a later one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Led {
    /// Nowhere: the later answer does not rest on it, or hardly.
    Right,
    /// To this value, printed as the answer is, which can be and earns its marks.
    Through(String),
    /// To something that cannot be.
    Absurd,
}

/// By how much a value is moved to see what moves with it.
const NUDGE: f64 = 1.01;
/// What moves less than this, relative, does not move.
const STILL: f64 = 1e-9;

impl<'a> Solution<'a> {
    /// The same version as a learner goes on in it who took these values, in base units,
    /// for the answers of these numbers: its answers and slips are those that follow.
    pub fn going_on(&self, from: &[(usize, f64)]) -> Solution<'a> {
        let asked = &self.checked.engine.system.asked;
        let held: Vec<(Slot, f64)> =
            from.iter().map(|(number, value)| (asked[*number], *value)).collect();
        let slots = self.checked.engine.follow(&self.values, &held);
        Solution { slots, held, ..self.clone() }
    }

    /// Whether an answer of someone who goes on from others can be: neither it nor what
    /// follows from it breaks a balance or a bound.
    pub fn can_be(&self, number: usize) -> bool {
        let engine = &self.checked.engine;
        let own = engine.system.asked[number];
        let value = self.slots[own];
        if !value.is_finite() {
            return false;
        }
        // What is counted from nothing does not go below it, whatever formula it is asked by.
        let counted = self.checked.asked[number].unit.to_si(0.0) == 0.0;
        if counted && value < 0.0 && engine.run(&self.values)[own] >= 0.0 {
            return false;
        }
        let impossible = engine.impossible(&self.slots);
        if impossible.is_empty() {
            return true;
        }
        // Impossible is what it is itself, or what moves with it.
        let mut nudged = self.held.clone();
        nudged.push((own, value * NUDGE));
        let nudged = engine.follow(&self.values, &nudged);
        !impossible.iter().any(|slot| *slot == own || differ(self.slots[*slot], nudged[*slot]))
    }

    /// What each answer after number `from` comes to if that one is `wrong`, a value
    /// in base units. In the order asked.
    pub fn led(&self, answers: &[Answer], from: usize, wrong: f64) -> Vec<Led> {
        let asked = &self.checked.engine.system.asked;
        let own = self.going_on(&[(from, wrong)]);
        (from + 1..answers.len())
            .map(|later| {
                let answer = &answers[later];
                let shown = answer.unit.from_si(own.slots[asked[later]]);
                if !shown.is_finite() {
                    return Led::Absurd;
                }
                // What is left of two equal numbers is nothing.
                let right = answer.unit.from_si(answer.value);
                let shown = if shown.abs() < STILL * right.abs() { 0.0 } else { shown };
                if (answer.lowest..=answer.highest).contains(&shown) {
                    return Led::Right;
                }
                if !own.can_be(later) {
                    return Led::Absurd;
                }
                // A learner's odd number deserves no more figures than the answer has.
                let figures = self.rounded(later, shown).figures().min(answer.rounded.figures());
                Led::Through(print_number(&round_figures(shown, figures.max(LEAST))))
            })
            .collect()
    }

    /// For each answer the earlier ones whose values it is worked out from.
    pub fn rests_on(&self) -> Vec<Vec<usize>> {
        let engine = &self.checked.engine;
        let asked = &engine.system.asked;
        let exact = engine.follow(&self.values, &[]);
        let mut rests = vec![Vec::new(); asked.len()];
        for (from, slot) in asked.iter().enumerate() {
            let moved = engine.follow(&self.values, &[(*slot, exact[*slot] * NUDGE)]);
            for later in from + 1..asked.len() {
                if asked[later] != *slot && differ(exact[asked[later]], moved[asked[later]]) {
                    rests[later].push(from);
                }
            }
        }
        rests
    }
}

fn differ(one: f64, other: f64) -> bool {
    one.is_nan() != other.is_nan() || (one - other).abs() > STILL * one.abs().max(other.abs())
}
