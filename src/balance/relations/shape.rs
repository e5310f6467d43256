//! What a relation speaks of, what it gives, and by how much it fails to hold.

use crate::balance::properties::water;

use super::{ONE, Relation, Shape, Slot};

impl Relation {
    /// The slots that the relation speaks of.
    pub fn slots(&self) -> Vec<Slot> {
        match &self.shape {
            Shape::Sum { terms, .. } => terms.iter().map(|(_, s)| *s).collect(),
            Shape::Product { whole, part, factor } => vec![*whole, *part, *factor],
            Shape::Algebra { slots, .. } => slots.clone(),
            Shape::Saturation { solute, solvent, temperature, .. } => {
                vec![*solute, *solvent, *temperature]
            }
            Shape::OfRatio { share, ratio } => vec![*share, *ratio],
            Shape::OfSolubility { share, temperature, .. } => vec![*share, *temperature],
            Shape::Proportion { left, right, factor: other }
            | Shape::Power { left, right, exponent: other } => {
                let mut slots = vec![left[0], left[1], right[0], right[1], *other];
                slots.sort_unstable();
                slots.dedup();
                slots
            }
            Shape::Recount { subject, shares, .. } => {
                let mut slots = vec![*subject];
                slots.extend(shares.iter().flat_map(|(share, weight)| [*share, *weight]));
                slots
            }
            Shape::WaterPressure { pressure, temperature } => vec![*pressure, *temperature],
        }
    }

    /// True if the relation can be solved for the slot, the others known.
    pub(in crate::balance) fn gives(&self, slot: Slot) -> bool {
        match &self.shape {
            Shape::Sum { .. } => true,
            Shape::Product { whole, part, factor } => {
                // x = x * f and the like settle nothing.
                [whole, part, factor].iter().filter(|s| ***s == slot).count() == 1
            }
            Shape::Algebra { .. } => true,
            // A table is read backwards only for a temperature that is asked for.
            Shape::Saturation { .. } => true,
            Shape::OfRatio { .. } => true,
            Shape::OfSolubility { share, .. } => *share == slot,
            Shape::Proportion { left, right, factor } => {
                slot > ONE
                    && [left[0], left[1], right[0], right[1], *factor]
                        .iter()
                        .filter(|s| **s == slot)
                        .count()
                        == 1
            }
            Shape::Power { left, right, exponent } => {
                slot != *exponent
                    && [left[0], left[1], right[0], right[1]].iter().filter(|s| **s == slot).count()
                        == 1
            }
            Shape::Recount { subject, shares, .. } => {
                *subject == slot && shares.iter().all(|(share, _)| *share != slot)
            }
            Shape::WaterPressure { .. } => true,
        }
    }

    /// The value of `slot` that the others' values demand; NaN or infinite where
    /// there is none.
    pub fn solve(&self, slot: Slot, slots: &mut [f64]) -> f64 {
        match &self.shape {
            Shape::Sum { terms, constant } => {
                let mut own = 0.0;
                let mut rest = *constant;
                for &(coefficient, s) in terms {
                    if s == slot {
                        own = coefficient;
                    } else {
                        rest += coefficient * slots[s];
                    }
                }
                -rest / own
            }
            Shape::Product { whole, part, factor } => {
                if slot == *whole {
                    slots[*part] * slots[*factor]
                } else if slot == *part {
                    slots[*whole] / slots[*factor]
                } else {
                    slots[*whole] / slots[*part]
                }
            }
            Shape::Algebra { left, right, .. } => {
                if left.as_slot() == Some(slot) {
                    return right.run(slots);
                }
                if right.as_slot() == Some(slot) {
                    return left.run(slots);
                }
                let kept = slots[slot];
                let mut residual = |x: f64| {
                    slots[slot] = x;
                    left.run(slots) - right.run(slots)
                };
                let (at_one, at_two, at_three) = (residual(1.0), residual(2.0), residual(3.0));
                slots[slot] = kept;
                let slope = at_two - at_one;
                let bend = at_three - at_two - slope;
                if bend.abs() > 1e-9 * (at_one.abs() + at_two.abs() + at_three.abs()) {
                    return f64::NAN;
                }
                1.0 - at_one / slope
            }
            Shape::Saturation { solute, solvent, curve, temperature } => {
                if slot == *temperature {
                    return curve.read_back(slots[*solute] / slots[*solvent]);
                }
                let ratio = curve.read(slots[*temperature]);
                if slot == *solute { slots[*solvent] * ratio } else { slots[*solute] / ratio }
            }
            Shape::OfRatio { share, ratio } => {
                let known = slots[if slot == *share { *ratio } else { *share }];
                if slot == *share { known / (1.0 + known) } else { known / (1.0 - known) }
            }
            Shape::OfSolubility { curve, temperature, .. } => {
                let ratio = curve.read(slots[*temperature]);
                ratio / (1.0 + ratio)
            }
            Shape::Proportion { left: [a, b], right: [c, d], factor } => {
                let of = |s: &Slot| slots[*s];
                if slot == *a {
                    of(factor) * of(c) * of(b) / of(d)
                } else if slot == *b {
                    of(a) * of(d) / (of(factor) * of(c))
                } else if slot == *c {
                    of(a) * of(d) / (of(factor) * of(b))
                } else if slot == *d {
                    of(factor) * of(c) * of(b) / of(a)
                } else {
                    of(a) * of(d) / (of(b) * of(c))
                }
            }
            Shape::Power { left: [a, b], right: [c, d], exponent } => {
                let of = |s: &Slot| slots[*s];
                let (left, right) = (of(a) / of(b), of(c) / of(d));
                if slot == *a {
                    of(b) * right.powf(of(exponent))
                } else if slot == *b {
                    of(a) / right.powf(of(exponent))
                } else if slot == *c {
                    of(d) * left.powf(1.0 / of(exponent))
                } else {
                    of(c) / left.powf(1.0 / of(exponent))
                }
            }
            Shape::Recount { own, shares, by_mass, .. } => recounted(*own, shares, *by_mass, slots),
            Shape::WaterPressure { pressure, temperature } => {
                let found = if slot == *pressure {
                    water::saturation_pressure(slots[*temperature])
                } else {
                    water::saturation_temperature(slots[*pressure])
                };
                found.unwrap_or(f64::NAN)
            }
        }
    }

    /// How large the relation's terms are: what its residual is to be judged by.
    pub(in crate::balance) fn size(&self, slots: &[f64]) -> f64 {
        match &self.shape {
            Shape::Sum { terms, constant } => {
                terms.iter().map(|(c, s)| (c * slots[*s]).abs()).sum::<f64>() + constant.abs()
            }
            Shape::Product { whole, part, factor } => {
                slots[*whole].abs() + (slots[*part] * slots[*factor]).abs()
            }
            Shape::Algebra { left, right, .. } => left.run(slots).abs() + right.run(slots).abs(),
            Shape::Saturation { solute, .. } => slots[*solute].abs(),
            Shape::OfRatio { share, .. } | Shape::OfSolubility { share, .. } => slots[*share].abs(),
            Shape::Proportion { left: [a, b], right: [c, d], factor } => {
                (slots[*a] * slots[*d]).abs() + (slots[*factor] * slots[*b] * slots[*c]).abs()
            }
            Shape::Power { left: [a, b], .. } => (slots[*a] / slots[*b]).abs(),
            Shape::Recount { subject, .. } => slots[*subject].abs(),
            Shape::WaterPressure { pressure, .. } => slots[*pressure].abs(),
        }
    }

    /// Left minus right, zero where the relation holds.
    pub fn residual(&self, slots: &[f64]) -> f64 {
        match &self.shape {
            Shape::Sum { terms, constant } => {
                terms.iter().map(|(c, s)| c * slots[*s]).sum::<f64>() + constant
            }
            Shape::Product { whole, part, factor } => slots[*whole] - slots[*part] * slots[*factor],
            Shape::Algebra { left, right, .. } => left.run(slots) - right.run(slots),
            Shape::Saturation { solute, solvent, curve, temperature } => {
                slots[*solute] - slots[*solvent] * curve.read(slots[*temperature])
            }
            Shape::OfRatio { share, ratio } => {
                slots[*share] - slots[*ratio] / (1.0 + slots[*ratio])
            }
            Shape::OfSolubility { share, curve, temperature } => {
                let ratio = curve.read(slots[*temperature]);
                slots[*share] - ratio / (1.0 + ratio)
            }
            Shape::Proportion { left: [a, b], right: [c, d], factor } => {
                slots[*a] * slots[*d] - slots[*factor] * slots[*b] * slots[*c]
            }
            Shape::Power { left: [a, b], right: [c, d], exponent } => {
                slots[*a] / slots[*b] - (slots[*c] / slots[*d]).powf(slots[*exponent])
            }
            Shape::Recount { subject, own, shares, by_mass } => {
                slots[*subject] - recounted(*own, shares, *by_mass, slots)
            }
            Shape::WaterPressure { pressure, temperature } => {
                slots[*pressure]
                    - water::saturation_pressure(slots[*temperature]).unwrap_or(f64::NAN)
            }
        }
    }
}

/// One component's share in the other measure, from all shares in this one.
fn recounted(own: usize, shares: &[(Slot, Slot)], by_mass: bool, slots: &[f64]) -> f64 {
    let counted = |(share, weight): &(Slot, Slot)| {
        if by_mass { slots[*share] / slots[*weight] } else { slots[*share] * slots[*weight] }
    };
    counted(&shares[own]) / shares.iter().map(counted).sum::<f64>()
}
