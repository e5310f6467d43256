//! Mathematics as a tree: what `$...$` says, and how it is said in plain text.
//!
//! `read` makes the tree of what is typed, or says what cannot be read and where;
//! `unread` says it of a whole text;
//! `symbols` is the table of signs. Nothing here measures or draws.

mod find;
mod read;
mod said;
mod symbols;
#[cfg(test)]
mod tests;

pub use find::unread;
pub use read::{MathFault, read};
pub(super) use symbols::signs;

/// A formula: one line, or several that the author parted.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Math {
    pub lines: Vec<MathLine>,
    /// On a line of its own: fractions at full size, limits above and below.
    pub display: bool,
}

/// A line; `right` is what stands behind an alignment sign, if there is one.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct MathLine {
    pub left: Row,
    pub right: Row,
}

pub type Row = Vec<Node>;

/// What a sign is to its neighbours, which decides the space between them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Class {
    Ordinary,
    /// A sum, a product, a function's name.
    Large,
    Binary,
    Relation,
    Open,
    Close,
    Punctuation,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Node {
    Sign {
        text: String,
        class: Class,
        italic: bool,
    },
    /// In thousandths of an em; may be negative.
    Space(i16),
    Group(Row),
    Fraction {
        over: Row,
        under: Row,
    },
    Root {
        degree: Row,
        under: Row,
    },
    Scripts {
        base: Row,
        below: Row,
        above: Row,
    },
    /// Brackets as tall as what they hold; none where the author wrote a dot.
    Fenced {
        open: Option<char>,
        inside: Row,
        close: Option<char>,
    },
    Accent {
        accent: Accent,
        under: Row,
    },
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Accent {
    Bar,
    Hat,
    Arrow,
    Dot,
}

impl Node {
    pub(super) fn sign(text: impl Into<String>, class: Class) -> Node {
        Node::Sign { text: text.into(), class, italic: false }
    }
}

impl Math {
    /// The formula as plain text: `(a + b)/c`, `x^2`.
    pub fn said(&self) -> String {
        let lines = self.lines.iter().map(|line| {
            let (left, right) = (said::row(&line.left), said::row(&line.right));
            format!("{left} {right}").trim().to_owned()
        });
        lines.collect::<Vec<String>>().join("; ")
    }
}

/// Some nodes as plain text.
pub fn said(row: &[Node]) -> String {
    said::row(row)
}
