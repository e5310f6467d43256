//! Figures as plain shapes, labels and words: processes, apparatus in section, curves,
//! plates, sieves and charts.
//!
//! Takes plain data or blocks of a unit; gives a `Drawing`, or none where the data cannot be drawn.
//! Never knows of pages: weights, dashes and faces are chosen where it is printed.

pub mod apparatus; // nine sketches of apparatus, typed as paths
pub mod chart; // bars, lines, pies
pub mod class; // a class: what was gained on each part, who had how many marks
pub mod chromatogram; // a paper or plate with its spots, to scale
pub mod curve; // solubility, heating and distillation curves
pub mod flow; // the flow diagram of a process
pub mod seats; // who sits where in a room, with which version
pub mod sieve; // a stack of sieves with what each kept

mod cutting; // a figure higher than its page, in pieces
mod drawing; // the shapes, labels and words themselves
mod axes; // scales at 1-2-5 steps, grids, ticks, what stands at the ends
mod pen; // paths: from their written form, circles, markers, extents
mod shown; // what a figure block shows, drawn
mod table; // a data block as curves, bars, sieves and the like
mod room; // how much room words take, keeping labels apart, the frame

use crate::question::joined;
pub(crate) use crate::reading::model::capital;

pub use cutting::pieces;
pub use drawing::{Anchor, Drawing, Label, Move, Role, Shape, Weight};

pub use shown::{Subject, shown, shown_in_parts, step_of, subject};
pub use table::{Misfit, axis, natural};

/// What stands at the things a learner may be asked about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Labelling {
    /// Their names or values.
    #[default]
    Named,
    /// A, B, C in the order in which the labels are read, for a question to speak of.
    Lettered,
    /// A line to write on; the names are there for a key.
    Blank,
}

/// A, B, ... Z, then A2, B2 and so on.
pub fn letter(index: usize) -> String {
    let letter = char::from(b'A' + (index % 26) as u8);
    match index / 26 {
        0 => letter.to_string(),
        round => format!("{letter}{}", round + 1),
    }
}

/// Names in a row, as a sentence has them: "a, b and c".
pub(crate) fn listed(names: &[String]) -> String {
    joined(names, "and")
}

/// A number of things in words up to ten.
pub(crate) fn counted(number: usize) -> String {
    const WORDS: [&str; 11] =
        ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"];
    WORDS.get(number).map_or_else(|| number.to_string(), |word| (*word).to_owned())
}

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
