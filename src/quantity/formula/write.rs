//! A formula as it stands on a page: × ÷ −, raised powers, no bracket too many.
//!
//! Takes the tree and the text of each name, so that one walk prints symbols
//! (names become words) and substitution (names become values with units). What
//! is written parses again to the same value, if the names do.

use super::{Comparison, Formula, Function, Node, NodeKind, Operator, words};
use crate::quantity::print::{MINUS, NARROW, print_quantity, superscript};

/// The text of a name.
pub type NameText<'a> = &'a dyn Fn(&[&str]) -> String;

/// How tightly a written piece holds together, loosest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Hold {
    Sum,
    Product,
    /// Begins with a minus.
    Sign,
    /// Is a power.
    Power,
    /// Words with blanks or a number with its unit: whole, but not under a power.
    Words,
    Atom,
}

impl Formula {
    /// The formula on one line.
    pub fn write(&self, name: NameText) -> String {
        write(&self.root, name).0
    }
}

impl Comparison {
    /// Both sides with the sign between.
    pub fn write(&self, name: NameText) -> String {
        format!("{} {} {}", self.left.write(name), self.op.print(), self.right.write(name))
    }
}

fn write(node: &Node, name: NameText) -> (String, Hold) {
    match &node.kind {
        NodeKind::Number(typed) => {
            let text = print_quantity(&typed.number, &typed.unit);
            let hold = hold_of(&text);
            (text, hold)
        }
        NodeKind::Name(path) => {
            let text = name(&words(path));
            let hold = hold_of(&text);
            (text, hold)
        }
        NodeKind::Negate(inner) => {
            (format!("{MINUS}{}", held(write(inner, name), Hold::Power)), Hold::Sign)
        }
        NodeKind::Call { function, argument } => {
            let (argument, _) = write(argument, name);
            let sign = if *function == Function::Sqrt { "√" } else { function.name() };
            (format!("{sign}({argument})"), Hold::Atom)
        }
        NodeKind::Binary { op, left, right } => binary(*op, write(left, name), right, name),
    }
}

fn binary(op: Operator, left: (String, Hold), right: &Node, name: NameText) -> (String, Hold) {
    let (sign, hold, left_floor, right_floor) = match op {
        Operator::Add => ('+', Hold::Sum, Hold::Sum, Hold::Product),
        Operator::Subtract => (MINUS, Hold::Sum, Hold::Sum, Hold::Product),
        Operator::Multiply => ('×', Hold::Product, Hold::Product, Hold::Power),
        Operator::Divide => ('÷', Hold::Product, Hold::Product, Hold::Power),
        Operator::Power => return power(left, right, name),
    };
    let right = write(right, name);
    // A minus directly behind another sign always stands in brackets.
    let right = if right.0.starts_with(MINUS) {
        format!("({})", right.0)
    } else {
        held(right, right_floor)
    };
    (format!("{} {sign} {right}", held(left, left_floor)), hold)
}

fn power(base: (String, Hold), exponent: &Node, name: NameText) -> (String, Hold) {
    let base = held(base, Hold::Atom);
    let whole = match &exponent.kind {
        NodeKind::Number(typed) if typed.unit.is_none() && typed.number.is_whole() => {
            typed.number.text.parse::<i32>().ok()
        }
        _ => None,
    };
    let text = match whole {
        // A raised digit behind a digit or a letter reads as a power of it: right.
        Some(whole) => format!("{base}{}", superscript(whole)),
        None => format!("{base}^({})", write(exponent, name).0),
    };
    (text, Hold::Power)
}

/// In brackets if it holds together less tightly than asked.
fn held((text, hold): (String, Hold), floor: Hold) -> String {
    if hold < floor { format!("({text})") } else { text }
}

/// How tightly a number's or name's text holds together.
fn hold_of(text: &str) -> Hold {
    let body = text.strip_prefix(MINUS).unwrap_or(text);
    let signs = |c: char| matches!(c, '×' | '÷');
    // A stroke in the number itself (1/3), not in the unit behind it (kg/h).
    let number = body.split([NARROW, ' ', '\u{a0}']).next().unwrap_or("");
    let fraction = number.starts_with(|c: char| c.is_ascii_digit()) && number.contains('/');
    if body.contains(signs) || fraction {
        return Hold::Product;
    }
    if body.len() < text.len() {
        return Hold::Sign;
    }
    if body.contains(char::is_whitespace) {
        return Hold::Words;
    }
    Hold::Atom
}
