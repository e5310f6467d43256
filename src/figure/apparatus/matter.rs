//! What a vessel holds: dashes of a liquid and dots of a solid, kept within the walls.
//!
//! Takes a box and the walls around it; gives paths in the same measures. Never
//! crosses a wall: a row reaches from the nearest wall on the left of the box's middle
//! to the nearest on its right.

use super::super::drawing::Move;
use super::super::pen;

/// Left, top, right, bottom.
pub(super) type Room = [f64; 4];
/// A straight piece of a wall.
pub(super) type Piece = ((f64, f64), (f64, f64));

/// Rows of a liquid, the dashes in them, and where the next dash begins.
const ROW: f64 = 2.4;
const DASH: f64 = 2.2;
const STEP: f64 = 4.4;
/// A dash cut shorter than this would look like a grain.
const SHORTEST: f64 = 0.9;
/// From a wall's middle to what stands beside it.
const CLEAR: f64 = 0.9;
/// Dots of a solid: radius, from dot to dot, from row to row.
const DOT: f64 = 0.36;
const DOT_STEP: f64 = 1.3;
const DOT_ROW: f64 = 1.1;

/// How a solid lies in its box.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Lie {
    /// Wide above, a point below.
    Cone,
    /// Rounded above, wide below.
    Heap,
}

/// The dashes of a liquid whose surface is the top of the box.
pub(super) fn liquid(room: Room, walls: &[Piece]) -> Vec<Vec<Move>> {
    let mut dashes = Vec::new();
    let mut y = room[1] + ROW;
    let mut shifted = false;
    while y <= room[3] {
        if let Some((left, right)) = between(room, walls, y) {
            let mut x = room[0] + if shifted { STEP / 2.0 } else { 0.0 };
            while x < right {
                let (from, to) = (x.max(left), (x + DASH).min(right));
                if to - from >= SHORTEST {
                    dashes.push(pen::lines(&[(from, y), (to, y)]));
                }
                x += STEP;
            }
        }
        y += ROW;
        shifted = !shifted;
    }
    dashes
}

/// The dots of a solid.
pub(super) fn solid(room: Room, lie: Lie, walls: &[Piece]) -> Vec<Vec<Move>> {
    let [left, top, right, bottom] = room;
    let (middle, half) = ((left + right) / 2.0, (right - left) / 2.0);
    let mut dots = Vec::new();
    let mut y = top;
    let mut shifted = false;
    while y <= bottom + 1e-9 {
        let down = if bottom > top { (y - top) / (bottom - top) } else { 0.0 };
        let reach = half
            * match lie {
                Lie::Cone => 1.0 - down,
                Lie::Heap => (0.15 + 0.85 * down).sqrt(),
            };
        if let Some((from, to)) = between([middle - reach, top, middle + reach, bottom], walls, y) {
            let start = middle + if shifted { DOT_STEP / 2.0 } else { 0.0 };
            // The first dot of the row that is still inside, counted from the middle.
            let mut x = start - ((start - from) / DOT_STEP).floor() * DOT_STEP;
            while x <= to + 1e-9 {
                dots.push(pen::circle(x, y, DOT));
                x += DOT_STEP;
            }
        }
        y += DOT_ROW;
        shifted = !shifted;
    }
    dots
}

/// How far a row may reach at a height, within the box and between the walls.
fn between(room: Room, walls: &[Piece], y: f64) -> Option<(f64, f64)> {
    let middle = (room[0] + room[2]) / 2.0;
    let (mut left, mut right) = (room[0], room[2]);
    for &((x0, y0), (x1, y1)) in walls {
        // A row that is near the end of a slanting piece must not touch it either.
        if y0 == y1 || y < y0.min(y1) - 1e-9 || y > y0.max(y1) + 1e-9 {
            continue;
        }
        let x = x0 + (x1 - x0) * (y - y0) / (y1 - y0);
        if x <= middle {
            left = left.max(x + CLEAR);
        } else {
            right = right.min(x - CLEAR);
        }
    }
    (left < right).then_some((left, right))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_liquid_keeps_off_slanting_walls() {
        // A V from (0, 0) down to (10, 10) and up to (20, 0).
        let walls = [((0.0, 0.0), (10.0, 10.0)), ((10.0, 10.0), (20.0, 0.0))];
        let dashes = liquid([0.0, 0.0, 20.0, 9.0], &walls);
        assert!(dashes.len() > 3);
        for piece in dashes.iter().flat_map(|dash| pen::pieces(dash)) {
            let ((from, y), (to, _)) = piece;
            assert!(from >= y + CLEAR - 1e-9 && to <= 20.0 - y - CLEAR + 1e-9, "{piece:?}");
        }
    }

    #[test]
    fn a_cone_narrows_and_a_heap_widens() {
        let reach = |lie| {
            let dots = solid([0.0, 0.0, 20.0, 10.0], lie, &[]);
            let width = |rows: std::ops::Range<f64>| {
                dots.iter()
                    .flat_map(|dot| pen::pieces(dot))
                    .filter(|piece| rows.contains(&piece.0.1))
                    .map(|piece| (piece.0.0 - 10.0).abs())
                    .fold(0.0, f64::max)
            };
            (width(-0.5..0.5), width(8.5..10.5))
        };
        let (cone, heap) = (reach(Lie::Cone), reach(Lie::Heap));
        assert!(cone.0 > cone.1 && heap.0 < heap.1, "{cone:?} {heap:?}");
    }
}
