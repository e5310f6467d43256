//! A plan as flat code, run once a version.
//!
//! Takes a system and a plan; gives code that finds what the plan's own steps find,
//! to rounding: a straight let is settled from lines, not from trials. Curves and
//! bases stay with the plan: they are rare, and their cost lies elsewhere.

use super::super::relations::System;
use super::code::{Code, Op, Place, Writer};
use super::{Form, Let, Plan, Step, lines};

/// All that a plan finds in a version, the facts first.
pub(in crate::balance) fn tape(system: &System, plan: &Plan) -> Code {
    let mut writer = Writer::new(system);
    for (number, given) in system.givens.iter().enumerate() {
        let to = given.slot as Place;
        writer.write(match given.program.as_slot() {
            Some(from) => Op::Told { to, from: from as Place },
            None => Op::Given { to, given: number as u32 },
        });
    }
    for (number, step) in plan.steps.iter().enumerate() {
        let is_written = match step {
            Step::Find(find) => {
                lines::write_find(system, &mut writer, *find);
                true
            }
            Step::Let(letting @ Let { form: Form::Straight { .. }, .. }) => {
                lines::write_let(system, &mut writer, letting)
            }
            Step::Let(_) | Step::Basis(_) => false,
        };
        if !is_written {
            writer.write(Op::Whole { step: number as u32 });
        }
    }
    writer.finish()
}
