//! Where a wrong value leads: the plan run on with a quantity overridden, and what
//! cannot be in the end.
//!
//! Takes a version's values and the wrong ones in their slots; gives all slots as a
//! learner would reach them who makes no further mistake. Judges no marks.

use super::engine::{CLOSURE, Engine, filled};
use super::relations::{Node, Slot};

impl Engine {
    /// Every quantity, with these slots held at these values whatever leads to them.
    pub fn follow(&self, values: &[f64], held: &[(Slot, f64)]) -> Vec<f64> {
        let mut slots = self.run_held(values, held, &|_, value| value);
        self.plan.run_rest(&self.system, &mut slots);
        slots
    }

    /// Runs the plan alone with these slots held, and a hand in what each other step
    /// finds.
    pub fn run_held(
        &self,
        values: &[f64],
        held: &[(Slot, f64)],
        round: &dyn Fn(Slot, f64) -> f64,
    ) -> Vec<f64> {
        let mut slots = filled(&self.system, values);
        for (slot, value) in held {
            slots[*slot] = *value;
        }
        let hold = |slot: Slot, value: f64| {
            let wrong = held.iter().find(|(other, _)| *other == slot);
            wrong.map_or_else(|| round(slot, value), |(_, wrong)| *wrong)
        };
        self.plan.run(&self.system, &mut slots, &hold);
        slots
    }

    /// The slots that no process can have: amounts below nothing, fractions outside
    /// 0 to 1.
    pub fn impossible(&self, slots: &[f64]) -> Vec<Slot> {
        let most = slots.iter().filter(|v| v.is_finite()).fold(0.0f64, |m, v| m.max(v.abs()));
        let cannot_be = |slot: &Slot| {
            let value = slots[*slot];
            match self.system.nodes[*slot] {
                Node::Share(..) | Node::OtherShare(..) if self.system.is_fraction(*slot) => {
                    !(-CLOSURE..=1.0 + CLOSURE).contains(&value)
                }
                Node::Amount(..) | Node::Share(..) => value < -1e-12 * most,
                _ => false,
            }
        };
        (0..slots.len()).filter(|slot| slots[*slot].is_finite()).filter(cannot_be).collect()
    }
}
