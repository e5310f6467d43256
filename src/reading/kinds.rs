//! What a part asks of a learner besides a number worked out: the kinds of
//! questions as the file says them.
//!
//! Plain data with places. That a figure, a table or a technique exists, and that
//! exactly one option is right, is for the model to check.

use crate::diag::Span;
use crate::quantity::Number;
use crate::quantity::formula::Formula;

use super::parsed::{Placed, Text};

/// The kind of a part.
#[derive(Debug, Clone, Default)]
pub enum Kind {
    /// A number on an answer line; what is asked stands in the part's `find`.
    #[default]
    Find,
    /// A number among options; what is asked stands in the part's `find`.
    ChooseNumber {
        options: Placed<u32>,
    },
    Choose(Choose),
    TrueFalse(TrueFalse),
    Match(Match),
    Order(Order),
    Explain(Vec<Point>),
    Fill(Fill),
    Label(Label),
    Read(Read),
    Complete(Complete),
    Anomaly(Anomaly),
    Investigate(Investigate),
}

impl Kind {
    /// The formulas in it, beside what the part's plan works out.
    pub fn formulas(&self) -> impl Iterator<Item = &Formula> {
        let at = match self {
            Kind::Read(read) => Some(&read.at.value),
            _ => None,
        };
        let cells = match self {
            Kind::Complete(complete) => complete.blank.as_slice(),
            _ => &[],
        };
        at.into_iter().chain(cells.iter().filter_map(|cell| Some(&cell.answer.as_ref()?.value)))
    }
}

/// Something that earns marks, and what a marker is to know of it. Texts are
/// Markdown; a word in bold must be there.
#[derive(Debug, Clone)]
pub struct Point {
    pub point: Text,
    pub or: Vec<Text>,
    pub accept: Vec<Text>,
    pub reject: Vec<Text>,
    pub ignore: Vec<Text>,
    pub marks: Option<Placed<u32>>,
}

/// `choose: {answer: ..., wrong: ...}` or with all its `options`.
#[derive(Debug, Clone)]
pub struct Choose {
    pub answer: Vec<Text>,
    /// Written as a list: the learner is told how many are right.
    pub several: bool,
    /// A wrong option and what it shows.
    pub wrong: Vec<(Text, Option<Text>)>,
    /// Every option in its order, which then stays as it is.
    pub options: Vec<Text>,
}

#[derive(Debug, Clone)]
pub struct TrueFalse {
    pub answer: Placed<bool>,
    pub reasons: Vec<Point>,
}

#[derive(Debug, Clone)]
pub struct Match {
    pub pairs: Vec<(Text, Text)>,
    pub spare: Vec<Text>,
}

#[derive(Debug, Clone)]
pub enum Order {
    Lines(Vec<Text>),
    /// The steps of this technique.
    Steps(Text),
    /// The operations of this process.
    Operations(Text),
}

#[derive(Debug, Clone)]
pub struct Fill {
    pub words: Vec<Text>,
    /// Words of the bank that belong nowhere.
    pub spare: Vec<Text>,
    pub bank: bool,
}

#[derive(Debug, Clone)]
pub struct Label {
    pub figure: Text,
    pub names: Vec<Text>,
}

#[derive(Debug, Clone)]
pub struct Read {
    /// The id of a figure or of a data block.
    pub figure: Text,
    pub row: Text,
    pub at: Placed<Formula>,
}

#[derive(Debug, Clone)]
pub struct Complete {
    pub data: Text,
    pub blank: Vec<Blank>,
}

/// A cell left open; its value is that of the table unless a formula is given.
#[derive(Debug, Clone)]
pub struct Blank {
    pub span: Span,
    pub row: Text,
    pub column: Placed<Number>,
    pub answer: Option<Placed<Formula>>,
}

#[derive(Debug, Clone)]
pub struct Anomaly {
    pub data: Text,
    pub row: Option<Text>,
    pub rule: Option<Placed<Rule>>,
    pub reasons: Vec<Point>,
}

/// How an anomaly shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rule {
    /// The others lie on a straight line.
    Line,
    /// The others rise throughout, or fall throughout.
    Trend,
    /// In every other column the last row is the sum of those above it.
    Sum,
}

impl Rule {
    pub const NAMED: &'static [(&'static str, Rule)] =
        &[("line", Rule::Line), ("trend", Rule::Trend), ("sum", Rule::Sum)];
}

/// A plan that a learner writes; its scheme has six strands.
#[derive(Debug, Clone)]
pub struct Investigate {
    pub change: Text,
    pub measure: Text,
    pub keep: Vec<Text>,
    /// Its apparatus, steps and cautions go into the scheme.
    pub technique: Option<Text>,
    pub apparatus: Vec<Text>,
    pub method: Vec<Text>,
    pub safety: Vec<Text>,
    pub evaluation: Vec<Text>,
}
