//! The value of a formula, in base units.
//!
//! Takes the tree and a look-up for names (values in base units: kg, mol, m, s,
//! K, fractions). Gives none where a name has no value or the result is no
//! finite number. `program` does the same over slots, for many versions.

use super::{Comparison, Formula, Function, Node, NodeKind, Operator, words};
use crate::quantity::Unit;
use crate::quantity::figures::figures_needed;

/// What a name stands for.
pub type Lookup<'a> = &'a dyn Fn(&[&str]) -> Option<f64>;
/// The unit in which a name is shown to the learner.
pub type Shown<'a> = &'a dyn Fn(&[&str]) -> Option<Unit>;

impl Formula {
    /// The value, with `sf` counting figures in base units.
    pub fn evaluate(&self, lookup: Lookup) -> Option<f64> {
        self.evaluate_shown(lookup, &|_| None)
    }

    /// The value, with `sf` counting figures in the units that are shown.
    pub fn evaluate_shown(&self, lookup: Lookup, shown: Shown) -> Option<f64> {
        value(&self.root, lookup, shown).filter(|v| v.is_finite())
    }
}

impl Comparison {
    /// Does it hold? None where a side has no value.
    pub fn holds(&self, lookup: Lookup, shown: Shown) -> Option<bool> {
        let left = self.left.evaluate_shown(lookup, shown)?;
        let right = self.right.evaluate_shown(lookup, shown)?;
        Some(self.op.holds(left, right))
    }
}

fn value(node: &Node, lookup: Lookup, shown: Shown) -> Option<f64> {
    Some(match &node.kind {
        NodeKind::Number(typed) => typed.si(),
        NodeKind::Name(path) => lookup(&words(path))?,
        NodeKind::Negate(inner) => -value(inner, lookup, shown)?,
        NodeKind::Binary { op, left, right } => {
            apply(*op, value(left, lookup, shown)?, value(right, lookup, shown)?)
        }
        NodeKind::Call { function, argument } => {
            let x = value(argument, lookup, shown)?;
            call(*function, x, Scale::of(argument, shown))
        }
    })
}

pub(super) fn apply(op: Operator, left: f64, right: f64) -> f64 {
    match op {
        Operator::Add => left + right,
        Operator::Subtract => left - right,
        Operator::Multiply => left * right,
        Operator::Divide => left / right,
        Operator::Power => left.powf(right),
    }
}

pub(super) fn call(function: Function, x: f64, scale: Scale) -> f64 {
    match function {
        Function::Sqrt => x.sqrt(),
        Function::Ln => x.ln(),
        Function::Exp => x.exp(),
        Function::Sf if x.is_finite() => {
            f64::from(figures_needed((x - scale.offset) / scale.factor))
        }
        Function::Sf => f64::NAN,
    }
}

/// The unit in which a piece of a formula is shown: base value = shown × factor + offset.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Scale {
    pub(super) factor: f64,
    pub(super) offset: f64,
}

impl Scale {
    const BASE: Scale = Scale { factor: 1.0, offset: 0.0 };

    fn by(factor: f64) -> Scale {
        Scale { factor, offset: 0.0 }
    }

    fn of_unit(unit: &Unit) -> Scale {
        Scale { factor: unit.factor(), offset: unit.offset() }
    }

    /// Names carry the unit they are shown in, numbers the one they are typed in;
    /// a sum is shown in its first term's, a product in the product of both.
    pub(super) fn of(node: &Node, shown: Shown) -> Scale {
        match &node.kind {
            NodeKind::Number(typed) => Scale::of_unit(&typed.unit),
            NodeKind::Name(path) => {
                shown(&words(path)).map_or(Scale::BASE, |unit| Scale::of_unit(&unit))
            }
            NodeKind::Negate(inner) => Scale::of(inner, shown),
            NodeKind::Binary { op, left, right } => {
                let (a, b) = (Scale::of(left, shown), Scale::of(right, shown));
                match op {
                    Operator::Add | Operator::Subtract if a == Scale::BASE => Scale::by(b.factor),
                    Operator::Add | Operator::Subtract => Scale::by(a.factor),
                    Operator::Multiply => Scale::by(a.factor * b.factor),
                    Operator::Divide => Scale::by(a.factor / b.factor),
                    Operator::Power => match &right.kind {
                        NodeKind::Number(typed) => Scale::by(a.factor.powf(typed.si())),
                        _ => Scale::BASE,
                    },
                }
            }
            NodeKind::Call { function: Function::Sqrt, argument } => {
                Scale::by(Scale::of(argument, shown).factor.sqrt())
            }
            NodeKind::Call { .. } => Scale::BASE,
        }
    }
}
