//! What steps and lets cost a person, counted in plain steps. These figures gave
//! the routes that textbooks take; goldens judge them.

use super::super::flowsheet::Envelope;
use super::super::problem::{At, What};
use super::super::relations::{Node, Slot, System, Why};

/// An envelope of k operations costs 1 + this for each beyond the first.
const ENVELOPE_EACH: f64 = 0.9;
/// The whole process is a border that everyone sees.
const WHOLE: f64 = 1.3;
const PLAIN: f64 = 1.0;
/// The author's own relation or fact is in front of the learner's eyes.
const FACT: f64 = 0.8;
const MASS: f64 = 0.3;
const SHARE: f64 = 0.6;
const INNER: f64 = 0.2;
/// The share of the component that is named, rather than one less the rest.
const REST: f64 = 0.1;
pub(super) const LET: f64 = 2.0;
/// A second unknown beside the first: there is an elimination to do.
pub(super) const SECOND_LET: f64 = 3.0;
/// A quadratic, or worse.
pub(super) const BENT: f64 = 3.0;
/// A let had better be what is asked, then a total.
const LET_ASKED: f64 = -1.5;
const LET_NOT_TOTAL: f64 = 0.5;
/// More than any derivation: the let does not lead to what is asked.
pub(super) const ASTRAY: f64 = 50.0;
/// A step that the author pins is taken wherever it can be.
pub(super) const PINNED: f64 = 0.05;

/// The cost of finding `target` from a relation that holds for this reason.
pub(super) fn of_step(system: &System, why: Why, target: Slot) -> f64 {
    let base = match why {
        Why::Balance { envelope, .. } => {
            let Envelope { operations, whole, .. } = &system.envelopes[envelope];
            let drawn = PLAIN + ENVELOPE_EACH * (operations.len() as f64 - 1.0);
            if *whole { drawn.min(WHOLE) } else { drawn }
        }
        Why::Fact(_) | Why::FactFor(..) | Why::Author(_) | Why::Asked(_) => FACT,
        Why::FactForAll(_) => FACT + REST,
        Why::SharesMakeOne(_) => PLAIN + REST,
        _ => PLAIN,
    };
    let is_inner = |at: &At| at.part.is_some();
    let kind = match &system.nodes[target] {
        Node::Amount(at, of) => {
            let inner = if is_inner(at) { INNER } else { 0.0 };
            inner + if *of == What::Total { 0.0 } else { MASS }
        }
        Node::Share(at, _) => SHARE + if is_inner(at) { INNER } else { 0.0 },
        _ => 0.0,
    };
    base + kind
}

/// How little a person likes to let `x` be unknown where `asked` is wanted.
pub(super) fn of_liking(system: &System, x: Slot, asked: Slot) -> f64 {
    let wanted = if x == asked { LET_ASKED } else { 0.0 };
    wanted
        + match system.nodes[x] {
            Node::Amount(at, What::Total) if at.part.is_none() => 0.0,
            _ => LET_NOT_TOTAL,
        }
}
