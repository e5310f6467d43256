//! The dimension of a formula, and the faults no calculation can have: masses
//! added to percentages, logarithms of a mass, powers that are no number.
//!
//! Takes the tree and a look-up for the dimensions of names. A name the look-up
//! does not know fits anywhere (that it is unknown is said elsewhere), and so
//! does a bare zero.

use std::fmt;

use super::{Comparison, Formula, Function, Node, NodeKind, Operator, words};
use crate::diag::Span;
use crate::quantity::{Dimension, UnitKind};

/// Why a formula cannot be worked out, said for the person who wrote it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DimensionError {
    /// Place in the file.
    pub span: Span,
    pub message: String,
    pub found: String,
    pub expected: String,
    /// One next step.
    pub next: String,
}

impl fmt::Display for DimensionError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for DimensionError {}

/// What a name measures.
pub type Dimensions<'a> = &'a dyn Fn(&[&str]) -> Option<Dimension>;

/// What a piece measures, as far as is known.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Measure {
    /// Fits anywhere.
    Any,
    Of(Dimension),
    /// A typed share (%), which is a plain number that says so.
    Share,
    /// A typed ratio (g/100 g water), which is a plain number but no share.
    Ratio,
}

impl Measure {
    fn dimension(self) -> Option<Dimension> {
        match self {
            Measure::Any => None,
            Measure::Of(dimension) => Some(dimension),
            Measure::Share | Measure::Ratio => Some(Dimension::NONE),
        }
    }

    fn words(self) -> String {
        match self {
            Measure::Any => "any quantity".to_owned(),
            Measure::Of(dimension) => dimension.words(),
            Measure::Share => "a percentage".to_owned(),
            Measure::Ratio => "a mass ratio".to_owned(),
        }
    }

    /// What a sum of both measures, if they may be added at all.
    fn with(self, other: Measure) -> Option<Measure> {
        match (self, other) {
            (Measure::Any, known) | (known, Measure::Any) => Some(known),
            (Measure::Share, Measure::Ratio) | (Measure::Ratio, Measure::Share) => None,
            (a, b) if a.dimension() != b.dimension() => None,
            (Measure::Of(_), b) => Some(b),
            (a, _) => Some(a),
        }
    }
}

impl Formula {
    /// What the formula measures; a plain number if nothing known limits it.
    ///
    /// # Errors
    /// The first piece that cannot be worked out.
    pub fn dimension(&self, lookup: Dimensions) -> Result<Dimension, DimensionError> {
        Ok(measure(&self.root, lookup)?.dimension().unwrap_or(Dimension::NONE))
    }
}

impl Comparison {
    /// What both sides measure.
    ///
    /// # Errors
    /// The first piece that cannot be worked out, or sides that are unlike.
    pub fn dimension(&self, lookup: Dimensions) -> Result<Dimension, DimensionError> {
        let left = measure(&self.left.root, lookup)?;
        let right = measure(&self.right.root, lookup)?;
        match left.with(right) {
            Some(both) => Ok(both.dimension().unwrap_or(Dimension::NONE)),
            None => Err(DimensionError {
                span: self.span,
                message: format!("{} cannot be compared with {}", left.words(), right.words()),
                found: format!("{} on the left, {} on the right", left.words(), right.words()),
                expected: "the same kind of quantity on both sides".to_owned(),
                next: "compare like with like, or give the number its unit".to_owned(),
            }),
        }
    }
}

fn measure(node: &Node, lookup: Dimensions) -> Result<Measure, DimensionError> {
    match &node.kind {
        NodeKind::Number(typed) => Ok(match typed.unit.kind() {
            UnitKind::None if typed.number.value == 0.0 => Measure::Any,
            UnitKind::Percent | UnitKind::MolePercent | UnitKind::Ppm => Measure::Share,
            UnitKind::PerHundred => Measure::Ratio,
            _ => Measure::Of(typed.unit.dimension()),
        }),
        NodeKind::Name(path) => Ok(lookup(&words(path)).map_or(Measure::Any, Measure::Of)),
        NodeKind::Negate(inner) => measure(inner, lookup),
        NodeKind::Call { function, argument } => call(*function, argument, lookup),
        NodeKind::Binary { op, left, right } => {
            let (a, b) = (measure(left, lookup)?, measure(right, lookup)?);
            match op {
                Operator::Add | Operator::Subtract => sum(*op, (left, a), (right, b)),
                Operator::Multiply | Operator::Divide => {
                    let (Some(x), Some(y)) = (a.dimension(), b.dimension()) else {
                        return Ok(Measure::Any);
                    };
                    Ok(Measure::Of(if *op == Operator::Multiply { x * y } else { x / y }))
                }
                Operator::Power => power(node, a, (right, b)),
            }
        }
    }
}

fn sum(
    op: Operator,
    (left, a): (&Node, Measure),
    (right, b): (&Node, Measure),
) -> Result<Measure, DimensionError> {
    if let Some(both) = a.with(b) {
        return Ok(both);
    }
    let (first, second) = (a.words(), b.words());
    let message = if op == Operator::Add {
        format!("{second} cannot be added to {first}")
    } else {
        format!("{second} cannot be taken away from {first}")
    };
    Err(DimensionError {
        span: left.span.to(right.span),
        message,
        found: format!("{first} and {second}"),
        expected: "two quantities of one kind".to_owned(),
        next: advice(a, b),
    })
}

/// What most likely went wrong between unlike terms.
fn advice(a: Measure, b: Measure) -> String {
    match (a.dimension(), b.dimension()) {
        (Some(x), Some(y)) if x.is_none() != y.is_none() => {
            "multiply by the share instead, as in `brine * 5 %`, or give the number its unit"
                .to_owned()
        }
        (Some(x), Some(y)) if x * Dimension::TIME == y || y * Dimension::TIME == x => {
            "multiply the rate by a time first".to_owned()
        }
        (Some(_), Some(_)) if a.dimension() == b.dimension() => {
            "turn the ratio into a share first: r / (1 + r)".to_owned()
        }
        _ => "convert one of them first".to_owned(),
    }
}

fn power(
    node: &Node,
    base: Measure,
    (exponent, measured): (&Node, Measure),
) -> Result<Measure, DimensionError> {
    if let Some(dimension) = measured.dimension().filter(|d| !d.is_none()) {
        return Err(DimensionError {
            span: exponent.span,
            message: format!("a power cannot be {}", dimension.words()),
            found: dimension.words(),
            expected: "a plain number".to_owned(),
            next: "raise to a plain number, such as ^2".to_owned(),
        });
    }
    let Some(dimension) = base.dimension() else { return Ok(Measure::Any) };
    if dimension.is_none() {
        return Ok(Measure::Of(Dimension::NONE));
    }
    let typed = match &exponent.kind {
        NodeKind::Number(typed) => Some(typed.si()),
        _ => None,
    };
    match typed {
        Some(x) if x.fract() == 0.0 && x.abs() <= 9.0 => {
            // Whole and small: no rounding, no overflow.
            Ok(Measure::Of(dimension.powi(x as i8)))
        }
        Some(x) if x == 0.5 && dimension.sqrt().is_some() => {
            Ok(Measure::Of(dimension.sqrt().unwrap_or_default()))
        }
        _ => Err(DimensionError {
            span: node.span,
            message: format!("{} can only be raised to a whole number", dimension.words()),
            found: "another power".to_owned(),
            expected: "a whole number such as 2".to_owned(),
            next: "divide by a quantity of the same kind first, so that a plain number is raised"
                .to_owned(),
        }),
    }
}

fn call(
    function: Function,
    argument: &Node,
    lookup: Dimensions,
) -> Result<Measure, DimensionError> {
    let inner = measure(argument, lookup)?;
    let Some(dimension) = inner.dimension() else {
        return Ok(if function == Function::Sqrt {
            Measure::Any
        } else {
            Measure::Of(Dimension::NONE)
        });
    };
    match function {
        Function::Sf => Ok(Measure::Of(Dimension::NONE)),
        Function::Sqrt => dimension.sqrt().map(Measure::Of).ok_or_else(|| DimensionError {
            span: argument.span,
            message: format!("{} has no square root", dimension.words()),
            found: dimension.words(),
            expected: "a plain number, an area, or another square".to_owned(),
            next: "divide by a quantity of the same kind first".to_owned(),
        }),
        Function::Ln | Function::Exp if dimension.is_none() => Ok(Measure::Of(Dimension::NONE)),
        Function::Ln | Function::Exp => Err(DimensionError {
            span: argument.span,
            message: format!(
                "`{}` takes a plain number, not {}",
                function.name(),
                dimension.words()
            ),
            found: dimension.words(),
            expected: "a plain number".to_owned(),
            next: "divide by a quantity of the same kind first, as in `ln(a / b)`".to_owned(),
        }),
    }
}
