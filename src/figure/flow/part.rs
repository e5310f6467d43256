//! A few steps of a process as a flow of their own, for sheets too small for all.

use std::ops::Range;

use super::{Flow, diagram};
use crate::figure::{Drawing, Frame};

/// The steps of a range with their streams. What comes from other steps comes from
/// outside, and what goes to them goes there. Uses of by-products are left out: such
/// sheets tell them elsewhere.
pub fn part(flow: &Flow, steps: Range<usize>) -> Flow {
    let mut part = Flow { units: flow.units[steps.clone()].to_vec(), streams: Vec::new() };
    for stream in &flow.streams {
        let inside = |end: Option<super::End>| {
            end.filter(|end| steps.contains(&end.unit))
                .map(|end| super::End { unit: end.unit - steps.start, ..end })
        };
        let (from, to) = (inside(stream.from), inside(stream.to));
        if from.is_some() || to.is_some() {
            part.streams.push(super::Stream { from, to, purpose: None, ..stream.clone() });
        }
    }
    part
}

/// The diagram of a flow in the first frame that holds it, or where none does those of
/// its steps shared out evenly over as few sheets as hold them.
pub fn diagrams(flow: &Flow, frames: &[Frame<'_>]) -> Vec<Drawing> {
    // Such sheets tell the uses of by-products elsewhere.
    let flow = &part(flow, 0..flow.units.len());
    let mut made = Vec::new();
    for sheets in 1..=flow.units.len() {
        for frame in frames {
            made = shared_out(flow, sheets, frame);
            let fits = |drawing: &Drawing| {
                drawing.height <= frame.height && drawing.width <= frame.width + 0.1
            };
            if made.iter().all(fits) {
                return made;
            }
        }
    }
    made
}

fn shared_out(flow: &Flow, sheets: usize, frame: &Frame<'_>) -> Vec<Drawing> {
    if sheets == 1 {
        return vec![diagram(flow, frame)];
    }
    let end = |sheet: usize| sheet * flow.units.len() / sheets;
    (0..sheets).map(|sheet| diagram(&part(flow, end(sheet)..end(sheet + 1)), frame)).collect()
}
