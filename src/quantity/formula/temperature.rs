//! Whether a typed temperature is a reading or a rise.
//!
//! `hot - 20 degC` takes a reading away from a reading; `hot + 5 degC` adds a rise
//! of five kelvin. In base units the two differ by 273.15. Takes a tree just
//! parsed and gives the rises the unit for differences; changes nothing else.
//!
//! The rule: within one sum, count readings (a name that is one, and a typed
//! temperature) with their signs and whole factors. A sum that comes to one
//! reading, or to none (a difference of readings), is right as it stands; any
//! other is right only when the typed temperatures are rises. The two sides of a
//! comparison are one sum that must come to none. A typed temperature alone in a
//! product or a quotient is a rise.

use super::{Formula, Node, NodeKind, Operator, words};
use crate::quantity::{Typed, UnitKind};

/// Is a name a reading? A rise, or what is no temperature at all, is none.
type IsReading<'a> = &'a dyn Fn(&[&str]) -> bool;

pub(super) fn settle(root: &mut Node, names: IsReading) {
    let count = readings(root, names);
    mark(root, !(is(count, 0.0) || is(count, 1.0)), names);
}

pub(super) fn settle_both(left: &mut Node, right: &mut Node, names: IsReading) {
    let rises = !is(readings(left, names) - readings(right, names), 0.0);
    mark(left, rises, names);
    mark(right, rises, names);
}

impl Formula {
    /// Decides anew which typed temperatures are rises, now that it is known which
    /// names are readings; at first every name is taken for one.
    pub fn settle_temperatures(&mut self, names: IsReading) {
        restore(&mut self.root);
        settle(&mut self.root, names);
    }

    /// The same for the two sides of an equation or a comparison.
    pub fn settle_sides(left: &mut Formula, right: &mut Formula, names: IsReading) {
        restore(&mut left.root);
        restore(&mut right.root);
        settle_both(&mut left.root, &mut right.root, names);
    }

    /// By how many kelvin the result moves if the zero of every reading moves by
    /// one: 1 for a reading (`(hot + cold) / 2`), 0 for a difference (`hot - cold`),
    /// another number for what has no meaning (`hot + cold`).
    pub fn readings(&self, names: IsReading) -> Option<f64> {
        let at = |shift: f64| {
            let mut moved = self.clone();
            move_typed(&mut moved.root, shift);
            let mut seen: Vec<Vec<String>> = Vec::new();
            for (path, _) in self.names() {
                let path: Vec<String> = path.into_iter().map(str::to_owned).collect();
                if !seen.contains(&path) {
                    seen.push(path);
                }
            }
            moved.evaluate(&|path| {
                // Any numbers will do, as long as they are all different.
                let number = seen.iter().position(|other| other == path)? as f64;
                let own =
                    if names(path) { 300.0 + 7.0 * number + shift } else { 0.3 + 0.17 * number };
                Some(own)
            })
        };
        Some(at(1.0)? - at(0.0)?)
    }
}

/// Gives every typed temperature its reading's unit again.
fn restore(node: &mut Node) {
    visit_typed(node, &mut |typed| {
        if typed.unit.kind() == UnitKind::Temperature {
            typed.unit = typed.unit.reading();
        }
    });
}

/// Moves the zero of typed readings by so many kelvin.
fn move_typed(node: &mut Node, shift: f64) {
    visit_typed(node, &mut |typed| {
        if affine(typed) {
            typed.number.value += shift / typed.unit.factor();
        }
    });
}

fn visit_typed(node: &mut Node, visit: &mut dyn FnMut(&mut Typed)) {
    match &mut node.kind {
        NodeKind::Number(typed) => visit(typed),
        NodeKind::Name(_) => {}
        NodeKind::Negate(inner) | NodeKind::Call { argument: inner, .. } => {
            visit_typed(inner, visit);
        }
        NodeKind::Binary { left, right, .. } => {
            visit_typed(left, visit);
            visit_typed(right, visit);
        }
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
fn readings(node: &Node, names: IsReading) -> f64 {
    match &node.kind {
        NodeKind::Number(typed) => f64::from(u8::from(affine(typed))),
        NodeKind::Name(path) => f64::from(u8::from(names(&words(path)))),
        NodeKind::Negate(inner) => -readings(inner, names),
        NodeKind::Call { .. } => 0.0,
        NodeKind::Binary { op, left, right } => match op {
            Operator::Add => readings(left, names) + readings(right, names),
            Operator::Subtract => readings(left, names) - readings(right, names),
            Operator::Multiply => match (plain(left), plain(right)) {
                (Some(times), _) => times * readings(right, names),
                (_, Some(times)) => times * readings(left, names),
                _ => 0.0,
            },
            Operator::Divide => plain(right).map_or(0.0, |by| readings(left, names) / by),
            Operator::Power => 0.0,
        },
    }
}

/// Gives typed temperatures of this sum the unit for differences if they are
/// rises, and settles what lies deeper on its own.
fn mark(node: &mut Node, rises: bool, names: IsReading) {
    match &mut node.kind {
        NodeKind::Number(typed) => {
            if rises && affine(typed) {
                typed.unit = typed.unit.difference();
            }
        }
        NodeKind::Name(_) => {}
        NodeKind::Negate(inner) => mark(inner, rises, names),
        NodeKind::Call { argument, .. } => settle(argument, names),
        NodeKind::Binary { op, left, right } => {
            let linear = match op {
                Operator::Add | Operator::Subtract => true,
                Operator::Multiply => plain(left).is_some() || plain(right).is_some(),
                Operator::Divide => plain(right).is_some(),
                Operator::Power => false,
            };
            for side in [left, right] {
                if linear {
                    mark(side, rises, names);
                } else if matches!(side.kind, NodeKind::Number(_)) {
                    mark(side, true, names);
                } else {
                    settle(side, names);
                }
            }
        }
    }
}
