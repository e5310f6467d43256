//! Symbols in rows: as many in each as the width allows, in the order of flow.
//!
//! Takes a flow and a frame; gives the place of every symbol, generous in height:
//! what turns out to be empty is taken out at the end.

use super::labels::narrowest;
use super::symbols::{SIDE, STEP, Side, drawn, has_own, places};
use super::{Area, Flow, Stream};
use crate::balance::operations::Symbol;
use crate::figure::{Frame, Weight};

/// The least and the most from one symbol to the next in mm at full size.
const LEAST_PITCH: f64 = 30.0;
const MOST_PITCH: f64 = 46.0;

/// The room kept for streams and words above and below each row of symbols, in mm.
const ABOVE: f64 = 30.0;
const BELOW: f64 = 42.0;

/// Beside a symbol at the left and right ends of a row.
const MARGIN: f64 = 12.0;

/// A place at a symbol where a stream may end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pin {
    pub(super) unit: usize,
    pub(super) at: (f64, f64),
    pub(super) side: Side,
}

/// Where everything that does not bend stands.
pub(super) struct Plan {
    /// Millimetres to a step of a symbol's grid.
    pub(super) step: f64,
    /// The top left corner of each unit's grid.
    pub(super) corners: Vec<(f64, f64)>,
    /// The height of a row with all its room.
    pub(super) row: f64,
    pub(super) per_row: usize,
    pub(super) width: f64,
    pub(super) height: f64,
    symbols: Vec<Symbol>,
}

impl Plan {
    /// `shrink` makes symbols smaller than usual where a page is short; `fewer` puts
    /// so many fewer in a row than there is room for, so that streams find theirs.
    pub(super) fn of(flow: &Flow, frame: &Frame<'_>, shrink: f64, fewer: usize) -> Plan {
        let count = flow.units.len().max(1);
        let side = SIDE * shrink;
        // Words between neighbours stand in two lines where one is too long.
        let beside = |stream: &&Stream| matches!((stream.from, stream.to), (Some(a), Some(b)) if b.unit == a.unit + 1);
        let between = flow
            .streams
            .iter()
            .filter(beside)
            .map(|stream| room_of(stream, frame))
            .fold(0.0, f64::max);
        let first = flow
            .streams
            .iter()
            .filter(|s| s.from.is_none() && s.to.is_some_and(|to| to.unit == 0))
            .map(|stream| room_of(stream, frame) + 2.0)
            .fold(MARGIN, f64::max);
        let lead = first.min(0.3 * frame.width);
        // What leaves a single row at its end has its words there.
        let last = flow
            .streams
            .iter()
            .filter(|s| s.to.is_none() && s.from.is_some_and(|from| from.unit + 1 == count))
            .map(|stream| room_of(stream, frame) + 8.0)
            .fold(MARGIN, f64::max);
        let pitch = (0.72 * side + between + 7.0).clamp(LEAST_PITCH * shrink, MOST_PITCH);
        let single = frame.width - lead - last - side;
        let fits_single = single >= (count - 1) as f64 * pitch;
        let room = if fits_single { single } else { frame.width - lead - MARGIN - side };
        let fits = if fits_single { count } else { 1 + (room / pitch).max(0.0).floor() as usize };
        let fits = fits.saturating_sub(fewer).max(1);
        let rows = count.div_ceil(fits);
        let per_row = count.div_ceil(rows);
        let pitch = match per_row {
            1 => pitch,
            _ => (room / (per_row - 1) as f64).min(1.15 * pitch.max(LEAST_PITCH * shrink + 8.0)),
        };
        let row = ABOVE + side + BELOW;
        let corners = (0..flow.units.len())
            .map(|i| {
                let (line, column) = (i / per_row, i % per_row);
                (lead + column as f64 * pitch, line as f64 * row + ABOVE)
            })
            .collect();
        Plan {
            step: STEP * shrink,
            corners,
            row,
            per_row,
            width: frame.width,
            height: rows as f64 * row,
            symbols: flow.units.iter().map(|unit| unit.symbol).collect(),
        }
    }

    /// What the symbol of a unit takes up.
    pub(super) fn area(&self, unit: usize) -> Area {
        let (left, top, right, foot) = drawn(self.symbols[unit]).fills;
        let (x, y) = self.corners[unit];
        let s = self.step;
        Area { left: x + left * s, top: y + top * s, right: x + right * s, foot: y + foot * s }
    }

    /// The places where a stream may meet a unit. A port with one stream has one
    /// place, but for units that are the same from all sides.
    pub(super) fn pins(&self, flow: &Flow, number: usize, inlet: bool) -> Vec<Pin> {
        let stream = &flow.streams[number];
        let Some(end) = (if inlet { stream.to } else { stream.from }) else { return Vec::new() };
        let symbol = self.symbols[end.unit];
        let same = |other: &&Stream| (if inlet { other.to } else { other.from }) == Some(end);
        let several = flow.streams.iter().filter(same).count() > 1;
        let any_side = matches!(symbol, Symbol::Mixer | Symbol::Splitter | Symbol::Box);
        let mut found = places(symbol, end.port, inlet);
        if !several && !any_side {
            let own = has_own(symbol, end.port, inlet);
            // One that has several places of its own may choose among them.
            let kept = match (own, symbol) {
                (true, Symbol::Condenser) => 2,
                _ => 1,
            };
            found.truncate(kept);
        }
        let (x, y) = self.corners[end.unit];
        found
            .into_iter()
            .map(|(px, py, side)| Pin {
                unit: end.unit,
                at: (x + px * self.step, y + py * self.step),
                side,
            })
            .collect()
    }

    /// Above the middle of the symbols of its row.
    pub(super) fn is_above(&self, y: f64) -> bool {
        y.rem_euclid(self.row) < ABOVE + 12.0 * self.step
    }
}

/// The width that a stream's words need where its name may take two lines.
fn room_of(stream: &Stream, frame: &Frame<'_>) -> f64 {
    let name = match stream.asked {
        true => super::labels::BLANK.max((frame.measure)(&stream.name, Weight::Semibold)),
        false => narrowest(&stream.name, Weight::Semibold, 2, frame),
    };
    let value = stream.value.as_ref().map_or(0.0, |v| narrowest(v, Weight::Regular, 2, frame));
    name.max(value)
}
