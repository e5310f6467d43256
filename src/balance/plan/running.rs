//! Running a plan on any version, and what the unknowns of a let are.
//!
//! A straight let is settled exactly from trial values; a bent one by looking for
//! its roots where the unknown can be. Takes slots whose known ones are filled;
//! a quantity that has no value is left NaN, never guessed.

use super::super::problem::What;
use super::super::relations::{Node, Slot, System};
use super::{Basis, Find, Form, Let, Plan, Step};

/// Where a closing relation holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Root {
    pub x: f64,
    /// A quantity that the root makes impossible, and its value.
    pub refused: Option<(Slot, f64)>,
}

/// Shares and masses this far out of bounds are rounding.
const NEGLIGIBLE: f64 = 1e-9;
/// A root's residual, relative to its terms; at a pole it is about 1.
const ROOT: f64 = 1e-7;
/// Places between 0 and 1 where a residual is looked at, beside those at the ends.
const EVEN: usize = 40;
const NEAR_ENDS: [f64; 6] = [1e-6, 1e-5, 1e-4, 1e-3, 4e-3, 8e-3];
const MOST_POLISHING: usize = 100;

impl Plan {
    /// Runs the plan on slots whose known ones are filled. `round` may replace a
    /// found value (a learner rounds on the way); the identity gives exact values.
    pub fn run(&self, system: &System, slots: &mut [f64], round: &dyn Fn(Slot, f64) -> f64) {
        run_steps(&self.steps, system, slots, round);
    }
}

pub(super) fn run_steps<R>(steps: &[Step], system: &System, slots: &mut [f64], round: &R)
where
    R: Fn(Slot, f64) -> f64 + ?Sized,
{
    for step in steps {
        match step {
            Step::Find(find) => {
                let value = find.value(system, slots);
                slots[find.target] = round(find.target, value);
            }
            Step::Let(letting) => {
                let found = letting.solve(system, slots);
                for (slot, value) in letting.unknowns.iter().zip(found) {
                    slots[*slot] = round(*slot, value);
                }
                for find in &letting.inner {
                    let value = find.value(system, slots);
                    slots[find.target] = round(find.target, value);
                }
            }
            Step::Basis(basis) => {
                let mut scratch = slots.to_vec();
                basis.fill(system, &mut scratch, Basis::AMOUNT, round);
                slots[basis.wanted] = scratch[basis.wanted];
            }
        }
    }
}

impl Basis {
    /// Fills the steps' slots as if there were this much of the stream.
    pub fn fill<R>(&self, system: &System, slots: &mut [f64], amount: f64, round: &R)
    where
        R: Fn(Slot, f64) -> f64 + ?Sized,
    {
        slots[self.of] = amount;
        run_steps(&self.inner, system, slots, round);
    }
}

impl Plan {
    /// Fills what else follows, where it has a value. Where no amount is known at
    /// all, the amounts of a basis are as good as any.
    pub(in crate::balance) fn run_rest(&self, system: &System, slots: &mut [f64]) {
        let is_amount = |slot: &usize| matches!(system.nodes[*slot], Node::Amount(..));
        let no_amount = !(0..slots.len()).filter(is_amount).any(|slot| slots[slot].is_finite());
        let basis = self.steps.iter().find_map(|step| match step {
            Step::Basis(basis) if no_amount => Some(basis),
            _ => None,
        });
        if let Some(basis) = basis {
            basis.fill(system, slots, Basis::AMOUNT, &|_, value| value);
        }
        for find in &self.rest {
            if !slots[find.target].is_finite() {
                slots[find.target] = find.value(system, slots);
            }
        }
    }
}

impl Find {
    pub fn value(&self, system: &System, slots: &mut [f64]) -> f64 {
        system.relations[self.relation].solve(self.target, slots)
    }
}

impl Let {
    /// Fills the unknowns with these values, and all that is found from them.
    pub fn fill(&self, system: &System, slots: &mut [f64], at: &[f64]) {
        for (slot, value) in self.unknowns.iter().zip(at) {
            slots[*slot] = *value;
        }
        for find in &self.inner {
            slots[find.target] = find.value(system, slots);
        }
    }

    /// The closing residuals at these values of the unknowns; the second is 0
    /// where there is but one.
    pub(super) fn residuals(&self, system: &System, slots: &mut [f64], at: &[f64]) -> [f64; 2] {
        self.fill(system, slots, at);
        self.left_over(system, slots)
    }

    /// The closing residuals where all that the let finds is filled.
    fn left_over(&self, system: &System, slots: &[f64]) -> [f64; 2] {
        let mut residuals = [0.0; 2];
        for (residual, close) in residuals.iter_mut().zip(&self.closes) {
            *residual = system.relations[*close].residual(slots);
        }
        residuals
    }

    /// The unknowns' values (the first alone, where there is but one); NaN where
    /// there is none, or more than one.
    pub fn solve(&self, system: &System, slots: &mut [f64]) -> [f64; 2] {
        match &self.form {
            Form::Straight { trials } => {
                straight(trials, &mut |at| self.residuals(system, slots, at))
            }
            Form::Bent { .. } => {
                let roots = self.roots(system, slots);
                let mut possible = roots.iter().filter(|root| root.refused.is_none());
                match (possible.next(), possible.next()) {
                    (Some(root), None) => [root.x, f64::NAN],
                    _ => [f64::NAN; 2],
                }
            }
        }
    }

    /// Every place where the one closing relation holds, smallest unknown first.
    pub fn roots(&self, system: &System, slots: &mut [f64]) -> Vec<Root> {
        let size = self.size(system, slots);
        let is_share = system.is_fraction(self.unknowns[0]);
        // A share lies between 0 and 1; an amount anywhere above 0.
        let unknown = |t: f64| if is_share { t } else { size * t / (1.0 - t) };
        let even = (1..EVEN).map(|place| place as f64 / EVEN as f64);
        let low = NEAR_ENDS.iter().copied();
        let high = NEAR_ENDS.iter().rev().map(|near| 1.0 - near);
        let mut roots: Vec<Root> = Vec::new();
        let mut before: Option<(f64, f64)> = None;
        for t in low.chain(even).chain(high) {
            let x = unknown(t);
            let here = self.residuals(system, slots, &[x])[0];
            if let Some((from, residual)) = before
                && here.is_finite()
                && residual.is_finite()
                && (residual < 0.0) != (here < 0.0)
            {
                let x = self.polish(system, slots, (from, residual), (x, here));
                roots.extend(self.root_at(system, slots, x, size));
            }
            before = Some((x, here));
        }
        roots
    }

    /// The largest known amount.
    fn size(&self, system: &System, slots: &[f64]) -> f64 {
        let Form::Bent { sized_by, .. } = &self.form else { return 1.0 };
        largest_amount(system, sized_by, slots)
    }

    /// The root between two places of unlike signs: false position, halving where
    /// that is slow.
    fn polish(
        &self,
        system: &System,
        slots: &mut [f64],
        (mut a, mut at_a): (f64, f64),
        (mut b, mut at_b): (f64, f64),
    ) -> f64 {
        let mut kept = 0i32;
        for round in 0..MOST_POLISHING {
            if at_b == 0.0 {
                return b;
            }
            if at_a == 0.0 || (b - a).abs() <= 2.0 * f64::EPSILON * a.abs().max(b.abs()) {
                return a;
            }
            let between = (a * at_b - b * at_a) / (at_b - at_a);
            let inside = between > a.min(b) && between < a.max(b);
            let x = if inside && round % 5 != 4 { between } else { 0.5 * (a + b) };
            let here = self.residuals(system, slots, &[x])[0];
            if !here.is_finite() {
                return f64::NAN;
            }
            if (here < 0.0) == (at_b < 0.0) {
                (b, at_b) = (x, here);
                // The other end has stayed: count it for less, so that it moves.
                if kept == 1 {
                    at_a *= 0.5;
                }
                kept = 1;
            } else {
                (a, at_a) = (x, here);
                if kept == -1 {
                    at_b *= 0.5;
                }
                kept = -1;
            }
        }
        0.5 * (a + b)
    }

    /// A root, unless it is a pole; with what speaks against it.
    fn root_at(&self, system: &System, slots: &mut [f64], x: f64, size: f64) -> Option<Root> {
        if !x.is_finite() {
            return None;
        }
        let residual = self.residuals(system, slots, &[x])[0];
        let terms = self.closes.first().map_or(0.0, |c| system.relations[*c].size(slots));
        if residual.is_nan() || residual.abs() > ROOT * terms {
            return None;
        }
        Some(Root { x, refused: self.impossible_at(system, slots, x, size) })
    }

    /// What a value of the one unknown would make impossible, if anything.
    pub fn refusal(&self, system: &System, slots: &mut [f64], x: f64) -> Option<(Slot, f64)> {
        let size = self.size(system, slots);
        self.impossible_at(system, slots, x, size)
    }

    fn impossible_at(
        &self,
        system: &System,
        slots: &mut [f64],
        x: f64,
        size: f64,
    ) -> Option<(Slot, f64)> {
        self.fill(system, slots, &[x]);
        let Form::Bent { checks, .. } = &self.form else { return None };
        for find in checks {
            slots[find.target] = find.value(system, slots);
        }
        self.targets()
            .chain(checks.iter().map(|find| find.target))
            .find(|slot| !is_possible(system, *slot, slots[*slot], size))
            .map(|slot| (slot, slots[slot]))
    }
}

/// One or two unknowns on which residuals depend in a straight line, from two trial
/// values of each.
fn straight(trials: &[[f64; 2]], residuals: &mut dyn FnMut(&[f64]) -> [f64; 2]) -> [f64; 2] {
    let count = trials.len().min(2);
    let mut base = [f64::NAN; 2];
    base.iter_mut().zip(trials).for_each(|(value, trial)| *value = trial[0]);
    let first = residuals(&base[..count]);
    // How each residual grows with each unknown.
    let mut slopes = [[0.0; 2]; 2];
    for (column, trial) in trials.iter().enumerate().take(count) {
        let mut at = base;
        at[column] = trial[1];
        let moved = residuals(&at[..count]);
        for row in 0..2 {
            slopes[row][column] = (moved[row] - first[row]) / (trial[1] - trial[0]);
        }
    }
    let step = |residuals: [f64; 2]| -> [f64; 2] {
        if count == 1 {
            return [residuals[0] / slopes[0][0], 0.0];
        }
        let [[a, b], [c, d]] = slopes;
        let determinant = a * d - b * c;
        [
            (residuals[0] * d - residuals[1] * b) / determinant,
            (a * residuals[1] - c * residuals[0]) / determinant,
        ]
    };
    let mut at = base;
    let mut left = first;
    // Once more from close by: the trials may be far larger than the unknowns.
    for round in 0..2 {
        for (value, step) in at.iter_mut().zip(step(left)) {
            *value -= step;
        }
        if round == 0 {
            left = residuals(&at[..count]);
        }
    }
    at
}

/// The largest of the amounts among these slots, as a mass.
pub(super) fn largest_amount(system: &System, among: &[Slot], slots: &[f64]) -> f64 {
    let largest = among
        .iter()
        .filter(|slot| {
            matches!(system.nodes[**slot], Node::Amount(_, of)
                if !matches!(of, What::Volume | What::Density))
        })
        .map(|slot| slots[*slot].abs())
        .filter(|value| value.is_finite())
        .fold(0.0, f64::max);
    if largest > 0.0 { largest } else { 1.0 }
}

/// True for a value that a real process could have: no negative mass, no share
/// outside 0 to 1, no stream of nothing.
pub(super) fn is_possible(system: &System, slot: Slot, value: f64, size: f64) -> bool {
    match system.nodes[slot] {
        _ if system.is_fraction(slot) => (-NEGLIGIBLE..=1.0 + NEGLIGIBLE).contains(&value),
        Node::Share(..) => value.is_finite() && value >= 0.0,
        Node::Amount(_, What::Total) => value.is_finite() && value > NEGLIGIBLE * size,
        Node::Amount(..) => value.is_finite() && value >= -NEGLIGIBLE * size,
        _ => value.is_finite(),
    }
}
