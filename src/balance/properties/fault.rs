//! Why a text is no chemical formula, in a sentence for its author.
//!
//! Takes nothing, reads nothing: `formula` finds the faults, here they are named.

use std::fmt;

/// A text that is no formula: where, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChemicalFault {
    /// Byte in the text that was parsed.
    pub at: usize,
    pub kind: FaultKind,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FaultKind {
    /// No symbol where one is due: an empty text, a dot at its end.
    Nothing,
    /// A symbol that no element has.
    Unknown(String),
    /// A small letter where a symbol begins.
    Small(char),
    /// An element without stable atoms.
    Unweighed(&'static str),
    Unclosed(char),
    Unopened(char),
    /// A bracket closed by one of the other shape: the one that closes, the one open.
    Unlike(char, char),
    EmptyBracket(char),
    /// A number before anything that it could count.
    Number(String),
    /// A count that is nought, too large or a fraction over nought.
    Count(String),
    Charge,
    Unexpected(char),
    /// More than any molecule holds.
    TooLarge,
}

impl fmt::Display for ChemicalFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.kind {
            FaultKind::Nothing => write!(f, "A chemical formula is missing here."),
            FaultKind::Unknown(symbol) if symbol.chars().count() == 1 => write!(
                f,
                "`{symbol}` is no element; the second letter of a symbol is small, as in `Na`."
            ),
            FaultKind::Unknown(symbol) => write!(f, "`{symbol}` is no element."),
            FaultKind::Small(letter) => {
                write!(f, "`{letter}` cannot begin a symbol: that takes a capital, as in `Na`.")
            }
            FaultKind::Unweighed(symbol) => {
                write!(f, "`{symbol}` has no standard atomic weight: give the molar mass.")
            }
            FaultKind::Unclosed(open) => write!(f, "The bracket `{open}` is never closed."),
            FaultKind::Unopened(close) => write!(f, "The bracket `{close}` closes nothing."),
            FaultKind::Unlike(close, open) => {
                write!(f, "The bracket `{close}` stands where `{open}` is open.")
            }
            FaultKind::EmptyBracket(open) => write!(f, "The bracket `{open}` holds nothing."),
            FaultKind::Number(number) => {
                write!(f, "The number {number} counts nothing: it follows what it counts.")
            }
            FaultKind::Count(number) => {
                write!(f, "{number} cannot be a count: that is 1 to {MOST}.")
            }
            FaultKind::Charge => {
                write!(f, "A charge comes last, after `^`, as in `SO4^2-`.")
            }
            FaultKind::Unexpected(c) if c.is_whitespace() => {
                write!(f, "A chemical formula is written without blanks.")
            }
            FaultKind::Unexpected(c) => write!(f, "`{c}` has no place in a chemical formula."),
            FaultKind::TooLarge => write!(f, "This formula holds more atoms than a molecule can."),
        }
    }
}

/// The largest count that may follow a symbol.
pub(super) const MOST: u32 = 99_999;
