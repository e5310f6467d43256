//! Figures as plain shapes: what a process, an apparatus or a table looks like,
//! before anything of it is on a page.
//!
//! Takes blocks of a unit; gives a `Drawing` in millimetres with its words. Never
//! knows of typefaces: how wide words are is told by whoever asks for a figure.

mod cutting;
mod drawing;
pub mod flow;

pub use cutting::pieces;
pub use drawing::{Anchor, Drawing, Label, Move, Role, Shape, Weight};

/// The sheet that a figure is drawn for.
pub struct Frame<'a> {
    /// The most that it may take, in mm at the usual size.
    pub width: f64,
    pub height: f64,
    /// The size of labels in mm.
    pub em: f64,
    /// How wide words are in mm.
    pub measure: &'a dyn Fn(&str, Weight) -> f64,
}

/// How far above and below its baseline a label reaches, as shares of its size.
pub const RISE: f64 = 0.72;
pub const DROP: f64 = 0.22;
