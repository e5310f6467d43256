//! A few steps of a process as a flow of their own, for sheets too small for all.

use std::ops::Range;

use super::{Flow, diagram};
use crate::figure::{Drawing, Frame};

/// The most steps that a part has.
const MOST: usize = 3;

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

/// The diagram of a flow, or where its sheet is too small for it those of as many of
/// its steps in turn as the sheet holds.
pub fn diagrams(flow: &Flow, frame: &Frame<'_>) -> Vec<Drawing> {
    let mut made = Vec::new();
    let mut from = 0;
    while from < flow.units.len() {
        let most = MOST.min(flow.units.len() - from);
        let fits = (1..=most).rev().find_map(|count| {
            let drawing = diagram(&part(flow, from..from + count), frame);
            let fits = drawing.height <= frame.height && drawing.width <= frame.width + 0.1;
            (fits || count == 1).then_some((count, drawing))
        });
        let Some((count, drawing)) = fits else { break };
        made.push(drawing);
        from += count;
    }
    made
}
