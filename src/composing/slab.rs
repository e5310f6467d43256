//! Slabs: strips of a page that no page break cuts, with what is drawn on them.

use super::page::{Ink, Mark, Segment};

/// A page break here costs more than any page can gain.
pub(super) const NEVER: f64 = 1e6;
/// What stands before all else that may not be parted either: where something must be, because
/// it is longer than a page, it is not here.
pub(super) const WHOLE: f64 = 4.0 * NEVER;
/// A table of so few rows stays whole if it is short.
pub(super) const FEW_ROWS: usize = 8;

/// A strip of the page. Marks are placed from the block's left edge and the
/// slab's top.
#[derive(Debug, Clone, Default)]
pub(super) struct Slab {
    pub(super) height: f64,
    /// Space wanted above and below; of two that meet the larger counts.
    pub(super) before: f64,
    pub(super) after: f64,
    pub(super) marks: Vec<Mark>,
    /// What only a teacher's copy shows.
    pub(super) added: Vec<Mark>,
    /// The cost of ending a page below this slab.
    pub(super) glue: f64,
    /// What follows may stand on the page that faces this one, never on its back.
    pub(super) facing: bool,
    /// The last baseline, from the slab's top.
    pub(super) baseline: Option<f64>,
    /// The question or frame that it belongs to; 0 for none.
    pub(super) group: usize,
    /// Depth and words, if it opens something that an outline lists; without words
    /// it only wants what follows on its page.
    pub(super) heading: Option<(usize, String)>,
    /// The table head to be drawn again if a page begins here.
    pub(super) head: Option<usize>,
    /// A new count of pages begins here.
    pub(super) opens: Option<String>,
    /// It stands behind the questions, at the top of a page.
    pub(super) behind: bool,
    /// The element that its marks belong to; of a table's row that of its first cell.
    pub(super) element: Option<usize>,
    /// Of a table's row: where the marks of each cell begin, and where the last ends.
    pub(super) cells: Vec<usize>,
}

/// Moves a mark.
pub(super) fn move_by(mark: &mut Mark, dx: f64, dy: f64) {
    let shift = |point: &mut (f64, f64)| {
        point.0 += dx;
        point.1 += dy;
    };
    match mark {
        Mark::Text { x, baseline, .. } => {
            *x += dx;
            *baseline += dy;
        }
        Mark::Rule { from, to, .. } => {
            shift(from);
            shift(to);
        }
        Mark::Box { x, y, .. } | Mark::Pixels { x, y, .. } => {
            *x += dx;
            *y += dy;
        }
        Mark::Path { segments, .. } | Mark::Holed { segments, .. } => {
            for segment in segments {
                match segment {
                    Segment::Move(x, y) | Segment::Line(x, y) => {
                        *x += dx;
                        *y += dy;
                    }
                    Segment::Curve(a, b, c) => {
                        shift(a);
                        shift(b);
                        shift(c);
                    }
                    Segment::Close => {}
                }
            }
        }
        Mark::Said { marks, .. } => marks.iter_mut().for_each(|mark| move_by(mark, dx, dy)),
    }
}

/// A level rule.
pub(super) fn level(x0: f64, x1: f64, y: f64, weight: f64) -> Mark {
    Mark::Rule { from: (x0, y), to: (x1, y), weight, ink: Ink::Black, dash: None }
}

/// An upright rule.
pub(super) fn upright(x: f64, y0: f64, y1: f64, weight: f64) -> Mark {
    Mark::Rule { from: (x, y0), to: (x, y1), weight, ink: Ink::Black, dash: None }
}

/// A filled rectangle.
pub(super) fn solid(x: f64, y: f64, width: f64, height: f64) -> Mark {
    Mark::Box { x, y, width, height, weight: None, ink: Ink::Black }
}
