//! Process flow diagrams: operations as symbols, streams as lines between them.
//!
//! Takes a process as units and streams; gives a drawing. `from` makes that of a
//! process of a unit file; `symbols` holds the symbols as data; `placing` puts
//! them in rows; `routing` leads the streams; `labels` finds room for words;
//! `closing` takes out the height that nothing uses. Lengths are millimetres.
//!
//! Nothing here is random: one process has one diagram.

mod closing;
mod diagram;
mod from;
mod grid;
mod part; // some of the steps
mod labels;
mod placing;
mod routing;
mod symbols;
mod values;

use crate::balance::operations::Symbol;

pub use diagram::{crossings, diagram};
pub use from::{flow_of, words};
pub use part::{diagrams, part};
pub use values::values;

/// A process as a diagram shows it.
#[derive(Debug, Clone, Default)]
pub struct Flow {
    /// In the order of flow.
    pub units: Vec<Unit>,
    pub streams: Vec<Stream>,
}

/// An operation.
#[derive(Debug, Clone)]
pub struct Unit {
    pub name: String,
    pub symbol: Symbol,
    /// What one symbol stands for, where it is several: "× 3 stages".
    pub stages: Option<String>,
}

/// A stream from a unit or from outside to a unit or to outside.
#[derive(Debug, Clone, Default)]
pub struct Stream {
    pub name: String,
    pub from: Option<End>,
    pub to: Option<End>,
    /// What is known of it: "400 kg, 5.0 % salt".
    pub value: Option<String>,
    /// What a by-product is used for.
    pub purpose: Option<String>,
    /// Its name is for the learner to write.
    pub asked: bool,
}

/// Where a stream meets a unit: the unit's number and the key of the port.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct End {
    pub unit: usize,
    pub port: &'static str,
}

impl Stream {
    /// It runs back to a unit that stands before, or to where it comes from.
    pub fn is_recycle(&self) -> bool {
        matches!((self.from, self.to), (Some(from), Some(to)) if to.unit <= from.unit)
    }
}

/// A rectangle that words or a symbol take up.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Area {
    left: f64,
    top: f64,
    right: f64,
    foot: f64,
}

impl Area {
    fn meets(&self, other: &Area, apart: f64) -> bool {
        self.left < other.right + apart
            && other.left < self.right + apart
            && self.top < other.foot + apart
            && other.top < self.foot + apart
    }

    /// The area that a straight line between two points takes up.
    fn of_line(a: (f64, f64), b: (f64, f64)) -> Area {
        Area { left: a.0.min(b.0), top: a.1.min(b.1), right: a.0.max(b.0), foot: a.1.max(b.1) }
    }
}
