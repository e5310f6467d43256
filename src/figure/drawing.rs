//! A figure as plain shapes and labels, before anything of it is on a page.
//!
//! Lengths are millimetres of the printed figure at the usual size, y runs down from
//! the top left corner. Weights and dashes belong to roles, so that large print and
//! high contrast can redraw a figure without knowing what it shows.

/// A figure that knows its size, its shapes in the order they are drawn, its labels
/// and what it shows in words.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Drawing {
    pub width: f64,
    pub height: f64,
    pub shapes: Vec<Shape>,
    pub labels: Vec<Label>,
    /// Whether it is never cut where a page ends.
    pub whole: bool,
    /// What a person who cannot see it is told; gives no answer away.
    pub words: String,
}

/// How a shape is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Role {
    /// A vessel's wall, a pipe.
    Wall,
    /// A surface, a level, a thin part.
    Thin,
    /// A mesh, a membrane, a cut.
    Dashed,
    /// Filled black.
    Solid,
    /// White inside, wall around it: what stands in front.
    Front,
    /// A strong wall, a stand.
    Strong,
    /// Dots of a solid, dashes of a liquid.
    Matter,
    /// A line from a label to its thing; with a white casing.
    Leader,
    Stream,
    Product,
    Recycle,
    Grid,
    GridStrong,
    Axis,
    /// Data lines of the first, second, third series, told apart by dash.
    Data(u8),
    /// A bar or segment with lines across it; another with dots.
    Hatched,
    Dotted,
    Outline,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    pub role: Role,
    pub path: Vec<Move>,
}

/// One move of the pen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Move {
    To(f64, f64),
    Line(f64, f64),
    Curve((f64, f64), (f64, f64), (f64, f64)),
    Close,
}

/// Where a label's text stands to its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Anchor {
    #[default]
    Start,
    Middle,
    End,
}

/// How heavy a label is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Weight {
    #[default]
    Regular,
    Semibold,
    Bold,
}

/// Words at a place: the left end, middle or right end of their baseline.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Label {
    pub x: f64,
    pub y: f64,
    pub text: String,
    pub anchor: Anchor,
    pub weight: Weight,
    /// What a learner is to write there: a blank line stands in its place on a copy
    /// without answers.
    pub asked: bool,
    /// The length of that line, in mm; at least as long as the words.
    pub line: f64,
    /// White behind the words, where a line runs through.
    pub gap: bool,
}
