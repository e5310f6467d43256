//! Whether a typed temperature is a reading or a rise.
//!
//! `hot - 20 degC` takes a reading away from a reading; `hot + 5 degC` adds a rise
//! of five kelvin. In base units the two differ by 273.15. Takes a tree just
//! parsed and gives the rises the unit for differences; changes nothing else.
//!
//! The rule: within one sum, count readings (a name is one, so is a typed
//! temperature) with their signs and whole factors. A sum that comes to one
//! reading, or to none (a difference of readings), is right as it stands; any
//! other is right only when the typed temperatures are rises. The two sides of a
//! comparison are one sum that must come to none. A typed temperature alone in a
//! product or a quotient is a rise.

use super::{Formula, Node, NodeKind, Operator};
use crate::quantity::{Typed, UnitKind};

pub(super) fn settle(root: &mut Node) {
    let count = readings(root);
    mark(root, !(is(count, 0.0) || is(count, 1.0)));
}

pub(super) fn settle_both(left: &mut Node, right: &mut Node) {
    let rises = !is(readings(left) - readings(right), 0.0);
    mark(left, rises);
    mark(right, rises);
}

impl Formula {
    /// For a formula that comes to a temperature whose names are readings: is the
    /// result a difference (`hot - cold`), to be shown in `Unit::difference`,
    /// rather than a reading?
    pub fn is_difference(&self) -> bool {
        is(readings(&self.root), 0.0)
    }
}

fn is(count: f64, whole: f64) -> bool {
    (count - whole).abs() < 1e-9
}

fn affine(typed: &Typed) -> bool {
    typed.unit.kind() == UnitKind::Temperature && typed.unit.offset() != 0.0
}

/// A factor that only repeats or shares what it stands beside.
fn plain(node: &Node) -> Option<f64> {
    match &node.kind {
        NodeKind::Number(typed) if typed.unit.is_none() => Some(typed.number.value),
        _ => None,
    }
}

/// How many readings a sum comes to.
fn readings(node: &Node) -> f64 {
    match &node.kind {
        NodeKind::Number(typed) => f64::from(u8::from(affine(typed))),
        NodeKind::Name(_) => 1.0,
        NodeKind::Negate(inner) => -readings(inner),
        NodeKind::Call { .. } => 0.0,
        NodeKind::Binary { op, left, right } => match op {
            Operator::Add => readings(left) + readings(right),
            Operator::Subtract => readings(left) - readings(right),
            Operator::Multiply => match (plain(left), plain(right)) {
                (Some(times), _) => times * readings(right),
                (_, Some(times)) => times * readings(left),
                _ => 0.0,
            },
            Operator::Divide => plain(right).map_or(0.0, |by| readings(left) / by),
            Operator::Power => 0.0,
        },
    }
}

/// Gives typed temperatures of this sum the unit for differences if they are
/// rises, and settles what lies deeper on its own.
fn mark(node: &mut Node, rises: bool) {
    match &mut node.kind {
        NodeKind::Number(typed) => {
            if rises && affine(typed) {
                typed.unit = typed.unit.difference();
            }
        }
        NodeKind::Name(_) => {}
        NodeKind::Negate(inner) => mark(inner, rises),
        NodeKind::Call { argument, .. } => settle(argument),
        NodeKind::Binary { op, left, right } => {
            let linear = match op {
                Operator::Add | Operator::Subtract => true,
                Operator::Multiply => plain(left).is_some() || plain(right).is_some(),
                Operator::Divide => plain(right).is_some(),
                Operator::Power => false,
            };
            for side in [left, right] {
                if linear {
                    mark(side, rises);
                } else if matches!(side.kind, NodeKind::Number(_)) {
                    mark(side, true);
                } else {
                    settle(side);
                }
            }
        }
    }
}
