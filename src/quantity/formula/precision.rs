//! How many figures the result of a formula deserves.
//!
//! Takes the tree and, for each name, its value in base units with its precision;
//! gives both for the result by the rules of `figures`. A whole number typed
//! without a unit is a count and exact; any other typed number claims its figures.

use super::evaluate::{Scale, apply, call};
use super::{Formula, Node, NodeKind, Operator, words};
use crate::quantity::Precision;
use crate::quantity::figures::{of_product, of_sum};

/// The value of a name in base units, and the place of its last significant digit there.
pub type Known<'a> = &'a dyn Fn(&[&str]) -> Option<(f64, Precision)>;

impl Formula {
    /// Value and precision of the result, in base units; none where a name has no
    /// value or the result is not finite. Move a precision between units with
    /// `Precision::scaled`.
    pub fn precision(&self, lookup: Known) -> Option<(f64, Precision)> {
        known(&self.root, lookup).filter(|(value, _)| value.is_finite())
    }
}

fn known(node: &Node, lookup: Known) -> Option<(f64, Precision)> {
    Some(match &node.kind {
        NodeKind::Number(typed) => {
            let counted = typed.unit.is_none() && typed.number.is_whole();
            let written = if counted { Precision::Exact } else { Precision::of(&typed.number) };
            // A reading keeps its place: 20 degC is 293 K, to the kelvin.
            let precision = if typed.unit.offset() == 0.0 || typed.unit.factor() != 1.0 {
                written.scaled(typed.number.value, typed.unit.factor())
            } else {
                written
            };
            (typed.si(), precision)
        }
        NodeKind::Name(path) => lookup(&words(path))?,
        NodeKind::Negate(inner) => {
            let (value, precision) = known(inner, lookup)?;
            (-value, precision)
        }
        NodeKind::Call { function, argument } => {
            let (x, precision) = known(argument, lookup)?;
            let value = call(*function, x, Scale::of(argument, &|_| None));
            (value, of_product(value, &[(x, precision)]))
        }
        NodeKind::Binary { op, left, right } => {
            let (a, b) = (known(left, lookup)?, known(right, lookup)?);
            let value = apply(*op, a.0, b.0);
            let precision = match op {
                Operator::Add | Operator::Subtract => of_sum(&[a.1, b.1]),
                Operator::Multiply | Operator::Divide => of_product(value, &[a, b]),
                // The power is a count as a rule; the base's figures decide.
                Operator::Power => of_product(value, &[a]),
            };
            (value, precision)
        }
    })
}
