//! Rules of the trade over a unit that can be printed: hazards of the work it
//! describes, the craft of its questions, its words and signs.
//!
//! Takes a checked unit without mistakes; gives findings, less those that the author
//! waives with a reason, and the waivers in force. `table` lists every rule with its
//! source. Never changes what is printed.

mod asking;
mod choices;
mod clues;
mod data;
mod hazards;
mod language;
mod load;
mod ranks;
pub mod readability;
mod signs;
pub mod table;
mod texts;
mod waivers;

use crate::diag::{Diagnostic, Diagnostics, Place};
use crate::reading::model::Model;

pub use load::{time_of, words_of_question};

/// A rule that an author breaks on purpose.
#[derive(Debug, Clone)]
pub struct Waiver {
    pub place: Place,
    /// The rule's code.
    pub rule: &'static str,
    pub reason: String,
}

/// Checks a unit by every rule: findings go to `out`, waivers in force are given back.
pub fn check(model: &Model, out: &mut Diagnostics) -> Vec<Waiver> {
    let unit = &model.parsed;
    let blocks = texts::blocks(unit);
    let mut waivers = waivers::Waivers::of(unit, &blocks, out);
    let mut found: Vec<(Option<usize>, Diagnostic)> = Vec::new();
    for (index, block) in blocks.iter().enumerate() {
        let mut say = |finding| found.push((Some(index), finding));
        hazards::check(unit, block, &mut say);
        asking::check(model, block, &mut say);
        data::check(model, block, &mut say);
        choices::check(model, block, &mut say);
        ranks::check(model, block, &mut say);
        load::check(model, block, &mut say);
        signs::check(unit, block, &mut say);
    }
    asking::check_unit(model, &blocks, &mut |index, finding| found.push((Some(index), finding)));
    clues::check_unit(model, &blocks, &mut |index, finding| found.push((Some(index), finding)));
    load::check_unit(model, &blocks, &mut |finding| found.push((None, finding)));
    choices::check_unit(model, &blocks, &mut |finding| found.push((None, finding)));
    signs::check_unit(unit, &blocks, &mut |finding| found.push((None, finding)));
    for (block, finding) in found {
        if !waivers.cover(block, finding.code) {
            out.push(finding);
        }
    }
    waivers.in_force(unit, out)
}
