//! School algebra: `+ - * / ^ ( )`, `sqrt ln exp sf`, numbers with units, dotted names.
//!
//! Takes formula text and where it stands in the file; gives a tree that can be
//! evaluated, checked for dimensions, compiled for many versions and written out
//! as it would stand on a page. Knows no name: every use brings a look-up.
//! Values are in base units; a percentage is its fraction.

mod check;
mod evaluate;
mod lexer;
mod parser;
mod precision;
mod program;
mod temperature;
mod write;

use std::fmt;

use super::Typed;
use crate::diag::Span;

pub use check::{DimensionError, Dimensions};
pub use evaluate::{Lookup, Shown};
pub use precision::Known;
pub use program::{Program, Slots, Test};
pub use write::NameText;

/// A parsed formula.
#[derive(Debug, Clone, PartialEq)]
pub struct Formula {
    pub root: Node,
}

/// A piece of a formula and its place in the file.
#[derive(Debug, Clone, PartialEq)]
pub struct Node {
    pub span: Span,
    pub kind: NodeKind,
}

#[derive(Debug, Clone, PartialEq)]
pub enum NodeKind {
    /// A number as typed. Two whole numbers with a stroke between are one exact
    /// number (`1/3`). A temperature that stands for a rise has the unit for
    /// differences (offset zero).
    Number(Typed),
    /// `clear_brine.salt.fraction`: each word and its place.
    Name(Vec<(String, Span)>),
    Negate(Box<Node>),
    Binary {
        op: Operator,
        left: Box<Node>,
        right: Box<Node>,
    },
    Call {
        function: Function,
        argument: Box<Node>,
    },
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Operator {
    Add,
    Subtract,
    Multiply,
    Divide,
    Power,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Function {
    /// Square root.
    Sqrt,
    /// Natural logarithm.
    Ln,
    Exp,
    /// Significant figures needed to write the value exactly.
    Sf,
}

impl Function {
    pub const ALL: [Function; 4] = [Function::Sqrt, Function::Ln, Function::Exp, Function::Sf];

    pub fn name(self) -> &'static str {
        match self {
            Function::Sqrt => "sqrt",
            Function::Ln => "ln",
            Function::Exp => "exp",
            Function::Sf => "sf",
        }
    }
}

/// Why a text is no formula, said for the person who wrote it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FormulaError {
    /// Place in the file.
    pub span: Span,
    pub message: String,
    pub found: String,
    pub expected: String,
    /// One next step.
    pub next: String,
}

impl fmt::Display for FormulaError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for FormulaError {}

impl Formula {
    /// Reads a formula. `at` turns a byte offset in `text` into one in the file.
    ///
    /// # Errors
    /// The first thing that stops the text from being a formula.
    pub fn parse(text: &str, at: impl Fn(usize) -> usize) -> Result<Formula, FormulaError> {
        let mut root = parser::formula(text, &at)?;
        temperature::settle(&mut root, &|_| true);
        Ok(Formula { root })
    }

    /// The whole place of the formula in the file.
    pub fn span(&self) -> Span {
        self.root.span
    }

    /// The words of the name, if the formula is nothing but a name.
    pub fn as_name(&self) -> Option<Vec<&str>> {
        match &self.root.kind {
            NodeKind::Name(path) => Some(words(path)),
            _ => None,
        }
    }

    /// The number with its unit, if the formula is nothing else.
    pub fn as_typed(&self) -> Option<&Typed> {
        match &self.root.kind {
            NodeKind::Number(typed) => Some(typed),
            _ => None,
        }
    }

    /// The whole number, if the formula is nothing but one, without unit.
    pub fn as_whole(&self) -> Option<u32> {
        let typed = self.as_typed()?;
        let plain = typed.unit.is_none() && typed.number.is_whole();
        plain.then(|| typed.number.text.parse().ok()).flatten()
    }

    /// Every name in reading order, repeated if it stands twice.
    pub fn names(&self) -> impl Iterator<Item = (Vec<&str>, Span)> {
        let mut found = Vec::new();
        self.root.walk(&mut |node| {
            if let NodeKind::Name(path) = &node.kind {
                found.push((words(path), node.span));
            }
        });
        found.into_iter()
    }

    /// Every typed number in reading order.
    pub fn numbers(&self) -> impl Iterator<Item = (&Typed, Span)> {
        let mut found = Vec::new();
        self.root.walk(&mut |node| {
            if let NodeKind::Number(typed) = &node.kind {
                found.push((typed, node.span));
            }
        });
        found.into_iter()
    }
}

impl Node {
    /// This node and all below it, in reading order.
    pub fn walk<'a>(&'a self, visit: &mut dyn FnMut(&'a Node)) {
        match &self.kind {
            NodeKind::Number(_) | NodeKind::Name(_) => visit(self),
            NodeKind::Negate(inner) | NodeKind::Call { argument: inner, .. } => {
                visit(self);
                inner.walk(visit);
            }
            NodeKind::Binary { left, right, .. } => {
                left.walk(visit);
                visit(self);
                right.walk(visit);
            }
        }
    }
}

/// The words of a dotted name without their places.
pub fn words(path: &[(String, Span)]) -> Vec<&str> {
    path.iter().map(|(word, _)| word.as_str()).collect()
}

/// How the two sides of a `require` or a relation stand to each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Relation {
    Less,
    AtMost,
    More,
    AtLeast,
    Equal,
    Unequal,
}

impl Relation {
    /// As it stands on a page.
    pub fn print(self) -> &'static str {
        match self {
            Relation::Less => "<",
            Relation::AtMost => "≤",
            Relation::More => ">",
            Relation::AtLeast => "≥",
            Relation::Equal => "=",
            Relation::Unequal => "≠",
        }
    }

    /// Does it hold between two computed values? Values within 1e-9 of each other
    /// (relative) count as equal, so that noise never decides.
    pub fn holds(self, left: f64, right: f64) -> bool {
        let equal = left == right || (left - right).abs() <= 1e-9 * left.abs().max(right.abs());
        match self {
            Relation::Less => left < right && !equal,
            Relation::AtMost => left < right || equal,
            Relation::More => left > right && !equal,
            Relation::AtLeast => left > right || equal,
            Relation::Equal => equal,
            Relation::Unequal => !equal,
        }
    }
}

/// Two formulas and the sign between: a `require`, or with `=` a relation.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    pub left: Formula,
    pub op: Relation,
    pub right: Formula,
    pub span: Span,
}

impl Comparison {
    /// Reads `left < right`; one of `< <= > >= = !=` must stand between.
    ///
    /// # Errors
    /// The first thing that stops the text from being a comparison.
    pub fn parse(text: &str, at: impl Fn(usize) -> usize) -> Result<Comparison, FormulaError> {
        let (mut left, op, mut right) = parser::comparison(text, &at)?;
        temperature::settle_both(&mut left, &mut right, &|_| true);
        let span = left.span.to(right.span);
        Ok(Comparison { left: Formula { root: left }, op, right: Formula { root: right }, span })
    }

    /// Every name on both sides, in reading order.
    pub fn names(&self) -> impl Iterator<Item = (Vec<&str>, Span)> {
        self.left.names().chain(self.right.names())
    }
}

#[cfg(test)]
mod tests;
