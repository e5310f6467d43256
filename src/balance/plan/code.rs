//! Straight code over numbered places, and the hand that writes it.
//!
//! A [`Writer`] takes sums, products and quotients and gives the fewest simple
//! instructions that find them: what is nothing, one or minus one whatever the
//! version costs none. Code allocates nothing when run and branches nowhere but on
//! the kind of its instructions.

use super::super::relations::{ONE, Slot, System, ZERO};
use super::{Plan, Step};

/// A place of a number: a slot, or behind the slots a number on the way. Four bytes,
/// since an instruction that is read in one piece is sooner run.
pub(super) type Place = u32;

#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Op {
    /// A number that the author's values must have given.
    Told {
        to: Place,
        from: Place,
    },
    Copy {
        to: Place,
        from: Place,
    },
    Negate {
        to: Place,
        from: Place,
    },
    Add {
        to: Place,
        a: Place,
        b: Place,
    },
    Subtract {
        to: Place,
        a: Place,
        b: Place,
    },
    /// a + b + c, and the same with the last or the last two taken off.
    AddTwo {
        to: Place,
        a: Place,
        b: Place,
        c: Place,
    },
    AddOne {
        to: Place,
        a: Place,
        b: Place,
        c: Place,
    },
    SubtractTwo {
        to: Place,
        a: Place,
        b: Place,
        c: Place,
    },
    Times {
        to: Place,
        a: Place,
        b: Place,
    },
    Over {
        to: Place,
        a: Place,
        b: Place,
    },
    MinusOver {
        to: Place,
        a: Place,
        b: Place,
    },
    /// base + slope x.
    Line {
        to: Place,
        base: Place,
        slope: Place,
        x: Place,
    },
    /// base - part x factor.
    Less {
        to: Place,
        base: Place,
        part: Place,
        factor: Place,
    },
    /// A given's formula, by number.
    Given {
        to: Place,
        given: u32,
    },
    /// Any other relation, by number.
    Relation {
        to: Place,
        relation: u32,
    },
    /// A step that the plan itself runs, by number.
    Whole {
        step: u32,
    },
}

/// Instructions, and what stands in the places before the first of them.
#[derive(Debug, Clone)]
pub(in crate::balance) struct Code {
    ops: Vec<Op>,
    /// Blank slots, then numbers that are the same in every version and room for
    /// those on the way.
    blank: Vec<f64>,
    slots: usize,
}

impl Code {
    /// Runs on an author's values; leaves the slots alone in `places`.
    pub(in crate::balance) fn run(
        &self,
        system: &System,
        plan: &Plan,
        values: &[f64],
        places: &mut Vec<f64>,
    ) {
        places.clone_from(&self.blank);
        system.put_values(values, places);
        let all = places.as_mut_slice();
        for op in &self.ops {
            let (to, value) = match *op {
                Op::Told { to, from } => {
                    let value = all[from as usize];
                    (to, if value.is_finite() { value } else { f64::NAN })
                }
                Op::Copy { to, from } => (to, all[from as usize]),
                Op::Negate { to, from } => (to, -all[from as usize]),
                Op::Add { to, a, b } => (to, all[a as usize] + all[b as usize]),
                Op::Subtract { to, a, b } => (to, all[a as usize] - all[b as usize]),
                Op::AddTwo { to, a, b, c } => {
                    (to, all[a as usize] + all[b as usize] + all[c as usize])
                }
                Op::AddOne { to, a, b, c } => {
                    (to, all[a as usize] + all[b as usize] - all[c as usize])
                }
                Op::SubtractTwo { to, a, b, c } => {
                    (to, all[a as usize] - all[b as usize] - all[c as usize])
                }
                Op::Times { to, a, b } => (to, all[a as usize] * all[b as usize]),
                Op::Over { to, a, b } => (to, all[a as usize] / all[b as usize]),
                Op::MinusOver { to, a, b } => (to, -all[a as usize] / all[b as usize]),
                Op::Line { to, base, slope, x } => {
                    (to, all[base as usize] + all[slope as usize] * all[x as usize])
                }
                Op::Less { to, base, part, factor } => {
                    (to, all[base as usize] - all[part as usize] * all[factor as usize])
                }
                Op::Given { to, given } => (to, system.givens[given as usize].program.run(all)),
                Op::Relation { to, relation } => {
                    (to, system.relations[relation as usize].solve(to as Slot, all))
                }
                Op::Whole { step } => {
                    let step: &[Step] = std::slice::from_ref(&plan.steps[step as usize]);
                    super::running::run_steps(step, system, all, &|_, value| value);
                    continue;
                }
            };
            all[to as usize] = value;
        }
        places.truncate(self.slots);
    }
}

/// Writes code. A number that is nothing whatever the version is `None`.
pub(super) struct Writer {
    ops: Vec<Op>,
    /// What each place holds before the first instruction.
    blank: Vec<f64>,
    /// Numbers that are the same in every version: zero, one and those of
    /// [`Writer::constant`].
    fixed: Vec<(Place, f64)>,
    slots: usize,
}

impl Writer {
    pub(super) fn new(system: &System) -> Writer {
        let blank = system.blank().to_vec();
        let slots = blank.len();
        let fixed = vec![(ZERO as Place, 0.0), (ONE as Place, 1.0)];
        Writer { ops: Vec::new(), blank, fixed, slots }
    }

    pub(super) fn finish(self) -> Code {
        Code { ops: self.ops, blank: self.blank, slots: self.slots }
    }

    /// How much is written; [`Writer::back_to`] takes back what came after.
    pub(super) fn mark(&self) -> usize {
        self.ops.len()
    }

    pub(super) fn back_to(&mut self, mark: usize) {
        self.ops.truncate(mark);
    }

    pub(super) fn write(&mut self, op: Op) {
        self.ops.push(op);
    }

    /// What a slot holds.
    pub(super) fn slot(&self, slot: Slot) -> Option<Place> {
        (slot != ZERO).then_some(slot as Place)
    }

    fn fresh(&mut self) -> Place {
        self.blank.push(f64::NAN);
        (self.blank.len() - 1) as Place
    }

    fn constant(&mut self, value: f64) -> Option<Place> {
        if value == 0.0 {
            return None;
        }
        if let Some((place, _)) = self.fixed.iter().find(|(_, other)| *other == value) {
            return Some(*place);
        }
        let place = self.fresh();
        self.blank[place as usize] = value;
        self.fixed.push((place, value));
        Some(place)
    }

    /// The number that stands at a place in every version.
    fn fixed_at(&self, place: Place) -> Option<f64> {
        self.fixed.iter().find(|(other, _)| *other == place).map(|(_, value)| *value)
    }

    /// constant + sum of coefficient x place, into a slot if one is told.
    pub(super) fn sum(
        &mut self,
        terms: &[(f64, Place)],
        mut constant: f64,
        into: Option<Slot>,
    ) -> Option<Place> {
        // What is added, and what is taken off.
        let (mut more, mut less) = (Vec::new(), Vec::new());
        for (coefficient, place) in terms {
            if let Some(value) = self.fixed_at(*place) {
                constant += coefficient * value;
            } else if *coefficient == 1.0 {
                more.push(*place);
            } else if *coefficient == -1.0 {
                less.push(*place);
            } else if let Some(by) = self.constant(*coefficient) {
                let to = self.fresh();
                self.write(Op::Times { to, a: *place, b: by });
                more.push(to);
            }
        }
        if more.is_empty() && less.is_empty() {
            let found = self.constant(constant);
            return self.bring(found, into);
        }
        let is_less = constant < 0.0;
        if let Some(place) = self.constant(constant.abs()) {
            if is_less { less.push(place) } else { more.insert(0, place) }
        }
        // The first is one that is added, if any is.
        let mut left: std::collections::VecDeque<(Place, bool)> = more
            .into_iter()
            .map(|p| (p, true))
            .chain(less.into_iter().map(|p| (p, false)))
            .collect();
        let (mut so_far, is_more) = left.pop_front()?;
        if !is_more {
            let Some((next, _)) = left.pop_front() else {
                let to = self.place_for(into);
                self.write(Op::Negate { to, from: so_far });
                return Some(to);
            };
            let to = self.fresh();
            self.write(Op::Negate { to, from: so_far });
            left.push_front((next, false));
            so_far = to;
        }
        if left.is_empty() {
            return self.bring(Some(so_far), into);
        }
        while let Some((b, b_is_more)) = left.pop_front() {
            let a = so_far;
            let second = left.pop_front();
            let to = if left.is_empty() { self.place_for(into) } else { self.fresh() };
            self.write(match (b_is_more, second) {
                (true, None) => Op::Add { to, a, b },
                (false, None) => Op::Subtract { to, a, b },
                (true, Some((c, true))) => Op::AddTwo { to, a, b, c },
                (true, Some((c, false))) => Op::AddOne { to, a, b, c },
                (false, Some((c, false))) => Op::SubtractTwo { to, a, b, c },
                (false, Some((c, true))) => Op::AddOne { to, a, b: c, c: b },
            });
            so_far = to;
        }
        Some(so_far)
    }

    pub(super) fn times(
        &mut self,
        a: Option<Place>,
        b: Option<Place>,
        into: Option<Slot>,
    ) -> Option<Place> {
        let (Some(a), Some(b)) = (a, b) else { return self.bring(None, into) };
        match (self.fixed_at(a), self.fixed_at(b)) {
            (Some(by), _) if by.abs() == 1.0 => self.sum(&[(by, b)], 0.0, into),
            (_, Some(by)) if by.abs() == 1.0 => self.sum(&[(by, a)], 0.0, into),
            _ => {
                let to = self.place_for(into);
                self.write(Op::Times { to, a, b });
                Some(to)
            }
        }
    }

    pub(super) fn over(&mut self, a: Option<Place>, b: Place, into: Option<Slot>) -> Option<Place> {
        let Some(a) = a else { return self.bring(None, into) };
        let to = self.place_for(into);
        self.write(Op::Over { to, a, b });
        Some(to)
    }

    /// -a / b.
    pub(super) fn minus_over(
        &mut self,
        a: Option<Place>,
        b: Place,
        into: Option<Slot>,
    ) -> Option<Place> {
        let Some(a) = a else { return self.bring(None, into) };
        let to = self.place_for(into);
        self.write(Op::MinusOver { to, a, b });
        Some(to)
    }

    /// base + slope x.
    pub(super) fn line(
        &mut self,
        base: Option<Place>,
        slope: Option<Place>,
        x: Place,
        into: Option<Slot>,
    ) -> Option<Place> {
        match (base, slope, slope.and_then(|slope| self.fixed_at(slope))) {
            (base, None, _) => self.bring(base, into),
            (None, slope, _) => self.times(slope, Some(x), into),
            (Some(base), _, Some(by)) if by.abs() == 1.0 => {
                self.sum(&[(1.0, base), (by, x)], 0.0, into)
            }
            (Some(base), Some(slope), _) => {
                let to = self.place_for(into);
                self.write(Op::Line { to, base, slope, x });
                Some(to)
            }
        }
    }

    /// base - part x factor.
    pub(super) fn less(
        &mut self,
        base: Option<Place>,
        part: Option<Place>,
        factor: Option<Place>,
    ) -> Option<Place> {
        let product = |p: Option<Place>, f: Option<Place>| Some((p?, f?));
        match (base, product(part, factor)) {
            (base, None) => base,
            (Some(base), Some((part, factor)))
                if self.fixed_at(part).is_none() && self.fixed_at(factor).is_none() =>
            {
                let to = self.fresh();
                self.write(Op::Less { to, base, part, factor });
                Some(to)
            }
            (base, _) => {
                let product = self.times(part, factor, None);
                let terms: Vec<(f64, Place)> = [base.map(|b| (1.0, b)), product.map(|p| (-1.0, p))]
                    .into_iter()
                    .flatten()
                    .collect();
                self.sum(&terms, 0.0, None)
            }
        }
    }

    fn place_for(&mut self, into: Option<Slot>) -> Place {
        into.map_or_else(|| self.fresh(), |slot| slot as Place)
    }

    /// What stands somewhere already, in the slot if one is told.
    fn bring(&mut self, found: Option<Place>, into: Option<Slot>) -> Option<Place> {
        match into {
            None => found,
            Some(slot) => {
                let to = slot as Place;
                self.write(Op::Copy { to, from: found.unwrap_or(ZERO as Place) });
                Some(to)
            }
        }
    }
}
