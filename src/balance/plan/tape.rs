//! A plan as flat code, run once a version.
//!
//! Takes a system and a plan; gives short instructions over slots that allocate
//! nothing when run and find, bit for bit, what the plan's own steps find. Curves
//! and bases stay with the plan: they are rare, and their cost lies elsewhere.

use super::super::relations::{Shape, Slot, System};
use super::running::straight;
use super::{Find, Form, Let, Plan, Step};

/// Instructions with the terms of all their sums.
#[derive(Debug, Clone)]
pub(in crate::balance) struct Tape {
    /// What the facts give, then what the steps find.
    facts: Vec<Op>,
    steps: Vec<Op>,
    terms: Vec<(f64, Slot)>,
}

#[derive(Debug, Clone, Copy)]
enum Op {
    Copy {
        target: Slot,
        from: Slot,
    },
    /// A given's formula, by number.
    Given {
        target: Slot,
        given: usize,
    },
    /// (constant + sum of terms) x by.
    Sum {
        target: Slot,
        by: f64,
        constant: f64,
        first: u32,
        count: u32,
    },
    /// -(constant + sum of terms) / own.
    SumOver {
        target: Slot,
        own: f64,
        constant: f64,
        first: u32,
        count: u32,
    },
    Times {
        target: Slot,
        part: Slot,
        factor: Slot,
    },
    Over {
        target: Slot,
        whole: Slot,
        by: Slot,
    },
    /// Any other relation, by number.
    Relation {
        target: Slot,
        relation: usize,
    },
    /// A straight let, by the number of its step, with so many inner steps behind it.
    Straight {
        step: usize,
        inner: usize,
    },
    /// A step that the plan itself runs.
    Whole {
        step: usize,
    },
}

impl Tape {
    pub(in crate::balance) fn of(system: &System, plan: &Plan) -> Tape {
        let mut tape = Tape { facts: Vec::new(), steps: Vec::new(), terms: Vec::new() };
        for (number, given) in system.givens.iter().enumerate() {
            let target = given.slot;
            tape.facts.push(match given.program.as_slot() {
                Some(from) => Op::Copy { target, from },
                None => Op::Given { target, given: number },
            });
        }
        for (step, of) in plan.steps.iter().enumerate() {
            match of {
                Step::Find(find) => tape.find(system, *find),
                Step::Let(Let { inner, form: Form::Straight { .. }, .. }) => {
                    tape.steps.push(Op::Straight { step, inner: inner.len() });
                    inner.iter().for_each(|find| tape.find(system, *find));
                }
                Step::Let(_) | Step::Basis(_) => tape.steps.push(Op::Whole { step }),
            }
        }
        tape
    }

    fn find(&mut self, system: &System, Find { target, relation }: Find) {
        let op = match &system.relations[relation].shape {
            Shape::Sum { terms, constant } => {
                let first = self.terms.len() as u32;
                self.terms.extend(terms.iter().filter(|(_, slot)| *slot != target));
                let own = terms.iter().find(|(_, slot)| *slot == target).map_or(0.0, |(c, _)| *c);
                let count = self.terms.len() as u32 - first;
                let constant = *constant;
                // A product is found sooner than a quotient; by 1 and -1 they are the same.
                if own.abs() == 1.0 {
                    Op::Sum { target, by: -own, constant, first, count }
                } else {
                    Op::SumOver { target, own, constant, first, count }
                }
            }
            Shape::Product { whole, part, factor } if target == *whole => {
                Op::Times { target, part: *part, factor: *factor }
            }
            Shape::Product { whole, part, factor } => {
                let by = if target == *part { *factor } else { *part };
                Op::Over { target, whole: *whole, by }
            }
            _ => Op::Relation { target, relation },
        };
        self.steps.push(op);
    }

    /// Fills the slots whose author's values are in place.
    pub(in crate::balance) fn run<R>(
        &self,
        system: &System,
        plan: &Plan,
        slots: &mut [f64],
        round: &R,
    ) where
        R: Fn(Slot, f64) -> f64 + ?Sized,
    {
        for op in &self.facts {
            let (target, value) = self.value(op, system, slots);
            slots[target] = value;
        }
        for (number, op) in self.steps.iter().enumerate() {
            match op {
                Op::Straight { step, inner } => {
                    let Step::Let(letting) = &plan.steps[*step] else { continue };
                    let inner = &self.steps[number + 1..number + 1 + inner];
                    let found = self.straight(letting, inner, system, slots);
                    for (slot, value) in letting.unknowns.iter().zip(found) {
                        slots[*slot] = round(*slot, value);
                    }
                }
                Op::Whole { step } => {
                    let step = std::slice::from_ref(&plan.steps[*step]);
                    super::running::run_steps(step, system, slots, round);
                }
                _ => {
                    let (target, value) = self.value(op, system, slots);
                    slots[target] = round(target, value);
                }
            }
        }
    }

    /// What an instruction that finds one value finds.
    #[inline]
    fn value(&self, op: &Op, system: &System, slots: &mut [f64]) -> (Slot, f64) {
        match *op {
            Op::Copy { target, from } => {
                let value = slots[from];
                (target, if value.is_finite() { value } else { f64::NAN })
            }
            Op::Given { target, given } => (target, system.givens[given].program.run(slots)),
            Op::Sum { target, by, constant, first, count } => {
                (target, self.sum(constant, (first, count), slots) * by)
            }
            Op::SumOver { target, own, constant, first, count } => {
                (target, -self.sum(constant, (first, count), slots) / own)
            }
            Op::Times { target, part, factor } => (target, slots[part] * slots[factor]),
            Op::Over { target, whole, by } => (target, slots[whole] / slots[by]),
            Op::Relation { target, relation } => {
                (target, system.relations[relation].solve(target, slots))
            }
            // Neither finds one value alone; `run` keeps them from here.
            Op::Straight { .. } | Op::Whole { .. } => (super::super::relations::ZERO, 0.0),
        }
    }

    #[inline]
    fn sum(&self, constant: f64, (first, count): (u32, u32), slots: &[f64]) -> f64 {
        let mut sum = constant;
        for (coefficient, slot) in &self.terms[first as usize..(first + count) as usize] {
            sum += coefficient * slots[*slot];
        }
        sum
    }

    /// The unknowns of a straight let.
    fn straight(
        &self,
        letting: &Let,
        inner: &[Op],
        system: &System,
        slots: &mut [f64],
    ) -> [f64; 2] {
        let Form::Straight { trials } = &letting.form else { return [f64::NAN; 2] };
        straight(trials, &mut |at| {
            for (slot, value) in letting.unknowns.iter().zip(at) {
                slots[*slot] = *value;
            }
            for op in inner {
                let (target, value) = self.value(op, system, slots);
                slots[target] = value;
            }
            letting.left_over(system, slots)
        })
    }
}
