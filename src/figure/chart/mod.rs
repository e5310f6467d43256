//! Charts of given data: bars, lines, pies.
//!
//! Takes names, values and how each value is written; gives drawings. Fills are lines,
//! dots or none, so that a grey copy loses nothing, and names stand at the things: a
//! fill never has to be looked up. Where values are asked for they are left out of the
//! words too.

mod bars;
mod pie;

use super::axes::{Axis, Grid};
use super::curve::{Plot, Series};
use super::drawing::{Drawing, Role};
use super::{Labelling, listed};

pub use bars::bars;
pub(super) use bars::bars_of;
pub use pie::pie;

/// One bar or segment.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Datum {
    pub name: String,
    pub value: f64,
    /// The value as it is printed beside it; empty for none.
    pub written: String,
}

impl Datum {
    pub fn new(name: &str, value: f64, written: &str) -> Datum {
        Datum { name: name.to_owned(), value, written: written.to_owned() }
    }
}

/// Lines on a light grid, each named at its right end.
pub fn lines(x: Axis, y: Axis, series: Vec<Series>, labelling: Labelling) -> Option<Drawing> {
    Plot { x, y, series, labelling, markers: true, grid: Grid::Light, ..Plot::default() }.draw()
}

/// The fill of a bar or segment: neighbours never share one, nor do the last and the
/// first of a ring.
fn fill(index: usize, count: usize, ring: bool) -> Role {
    const FILLS: [Role; 3] = [Role::Hatched, Role::Dotted, Role::Outline];
    // The last of a ring of 4, 7, 10 would meet the first: it takes the second's.
    let closes = ring && count > 3 && count % 3 == 1 && index + 1 == count;
    if closes { FILLS[1] } else { FILLS[index % 3] }
}

/// Names, with values where none is asked for.
fn told(data: &[Datum], labelling: Labelling) -> String {
    let parts: Vec<String> = data
        .iter()
        .map(|datum| {
            if labelling == Labelling::Named && !datum.written.is_empty() {
                format!("{} {}", datum.name, datum.written)
            } else {
                datum.name.clone()
            }
        })
        .collect();
    listed(&parts)
}
