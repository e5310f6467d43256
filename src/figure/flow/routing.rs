//! All streams led and named, one after another.
//!
//! Takes symbols in their places and an order to begin with; gives lines, words and
//! what could not be named beside its line. Short streams go first, what runs back
//! goes last and round the outside.

use super::grid::{Goal, Grid, Manner, Rather, Way};
use super::labels::{self, Put, Room};
use super::placing::{Pin, Plan};
use super::symbols::Side;
use super::{Area, Flow};
use crate::balance::operations::Symbol;
use crate::figure::{Frame, Label};

/// In how many orders streams are tried.
pub(super) const ORDERS: usize = 12;

/// A stream that has to be numbered is as bad as a long detour, one that is not
/// drawn at all must never win.
const NUMBERED: u64 = 60_000;
const LOST: u64 = 100_000_000;

/// A head: 8 by 5.2 points.
pub(super) const HEAD: (f64, f64) = (8.0 * 25.4 / 72.0, 5.2 * 25.4 / 72.0);

/// The radius of a number on a stream.
pub(super) const NUMBER: f64 = 2.0;

/// A stream on the diagram.
#[derive(Debug, Clone, Default)]
pub(super) struct Led {
    /// Corners in the direction of flow.
    pub(super) points: Vec<(f64, f64)>,
    pub(super) labels: Vec<Label>,
    pub(super) areas: Vec<Area>,
    /// The words stand in a gap of the line.
    pub(super) in_gap: bool,
    /// Where its number stands, if its words stand below the figure.
    pub(super) number: Option<(f64, f64)>,
}

pub(super) struct Routed {
    /// The order in which the streams were led, and whether what runs back was led
    /// above the symbols.
    pub(super) order: Vec<usize>,
    pub(super) over: bool,
    pub(super) streams: Vec<Led>,
    pub(super) names: Vec<Put>,
    pub(super) crossings: usize,
    pub(super) score: u64,
}

/// The places where lines cross.
pub(super) fn crossing_points(streams: &[Led]) -> Vec<(f64, f64)> {
    let mut found = Vec::new();
    for (i, one) in streams.iter().enumerate() {
        for (j, other) in streams.iter().enumerate() {
            if i == j {
                continue;
            }
            for a in one.points.windows(2).filter(|a| a[0].0 == a[1].0) {
                for b in other.points.windows(2).filter(|b| b[0].1 == b[1].1) {
                    let (x, y) = (a[0].0, b[0].1);
                    let (across, along) = (Area::of_line(b[0], b[1]), Area::of_line(a[0], a[1]));
                    let within = across.left < x && x < across.right;
                    if within && along.top < y && y < along.foot {
                        found.push((x, y));
                    }
                }
            }
        }
    }
    found
}

/// Streams led in one of the orders that are tried first.
pub(super) fn routed(flow: &Flow, plan: &Plan, frame: &Frame<'_>, order: usize) -> Routed {
    let work = Work::new(flow, plan, frame);
    let sorted = work.sorted(order);
    work.routed(sorted, order >= OVER)
}

/// Streams led in an order of one's own.
pub(super) fn routed_by(
    flow: &Flow,
    plan: &Plan,
    frame: &Frame<'_>,
    order: Vec<usize>,
    over: bool,
) -> Routed {
    Work::new(flow, plan, frame).routed(order, over)
}

/// The streams that cross each other.
pub(super) fn crossing_pairs(streams: &[Led]) -> Vec<(usize, usize)> {
    let mut found = Vec::new();
    for i in 0..streams.len() {
        for j in i + 1..streams.len() {
            let pair = [streams[i].clone(), streams[j].clone()];
            if !crossing_points(&pair).is_empty() {
                found.push((i, j));
            }
        }
    }
    found
}

/// From this order on what runs back is led above the symbols.
const OVER: usize = 8;

struct Work<'a> {
    rather: Rather,
    flow: &'a Flow,
    plan: &'a Plan,
    frame: &'a Frame<'a>,
    grid: Grid,
    room: Room,
    taken: Vec<Pin>,
    streams: Vec<Led>,
    names: Vec<Put>,
    cost: u64,
}

impl<'a> Work<'a> {
    fn new(flow: &'a Flow, plan: &'a Plan, frame: &'a Frame<'a>) -> Work<'a> {
        let pins: Vec<Pin> = (0..flow.streams.len())
            .flat_map(|n| [plan.pins(flow, n, true), plan.pins(flow, n, false)])
            .flatten()
            .collect();
        let mut grid = Grid::new(plan, &pins, flow.units.len());
        let mut room = Room {
            width: plan.width,
            height: plan.height,
            symbols: (0..flow.units.len()).map(|unit| plan.area(unit)).collect(),
            ..Room::default()
        };
        let mut names = Vec::new();
        for (number, unit) in flow.units.iter().enumerate() {
            let foot = foot_taken(flow, plan, number);
            let area = plan.area(number);
            if let Some(put) = labels::of_unit(unit, &area, foot, &room, frame) {
                room.take(&put);
                grid.keep_off(&put.area);
                names.push(put);
            }
        }
        let streams = vec![Led::default(); flow.streams.len()];
        let rather = Rather::Below;
        Work { rather, flow, plan, frame, grid, room, taken: Vec::new(), streams, names, cost: 0 }
    }

    /// Leads all streams.
    fn routed(mut self, order: Vec<usize>, over: bool) -> Routed {
        self.rather = if over { Rather::Above } else { Rather::Below };
        for number in &order {
            self.lead(*number);
        }
        self.mend_words();
        let crossings = crossing_points(&self.streams).len();
        let numbered = self.streams.iter().filter(|s| s.number.is_some()).count() as u64;
        let lost = self.streams.iter().filter(|s| s.points.is_empty()).count() as u64;
        let lost_names = (self.flow.units.len() - self.names.len()) as u64;
        let score = self.cost + NUMBERED * (numbered + lost_names) + LOST * lost;
        Routed { order, over, streams: self.streams, names: self.names, crossings, score }
    }

    /// The streams in the order in which they are led.
    fn sorted(&self, order: usize) -> Vec<usize> {
        const RANKS: [[usize; 5]; ORDERS] = [
            [0, 1, 2, 3, 4],
            [0, 2, 1, 3, 4],
            [0, 3, 1, 2, 4],
            [0, 4, 1, 3, 2],
            [1, 2, 0, 3, 4],
            [0, 2, 1, 4, 3],
            [0, 4, 1, 2, 3],
            [4, 3, 2, 1, 0],
            [0, 3, 2, 4, 1],
            [0, 2, 3, 4, 1],
            [0, 3, 1, 4, 2],
            [1, 3, 2, 4, 0],
        ];
        let ranks = RANKS[order % ORDERS];
        let span = |n: usize| match (self.flow.streams[n].from, self.flow.streams[n].to) {
            (Some(from), Some(to)) => from.unit.abs_diff(to.unit),
            _ => 0,
        };
        let mut all: Vec<usize> = (0..self.flow.streams.len()).collect();
        all.sort_by_key(|n| {
            let span = span(*n);
            (
                ranks[self.class(*n)],
                if order.is_multiple_of(2) { span } else { usize::MAX - span },
                *n,
            )
        });
        all
    }

    /// 0 between neighbours, 1 with one end in the open, 2 forwards within a row,
    /// 3 to another row, 4 back.
    fn class(&self, number: usize) -> usize {
        let stream = &self.flow.streams[number];
        let (Some(from), Some(to)) = (stream.from, stream.to) else { return 1 };
        let row = |unit: usize| unit / self.plan.per_row;
        match () {
            () if stream.is_recycle() => 4,
            () if row(from.unit) != row(to.unit) => 3,
            () if to.unit == from.unit + 1 => 0,
            () => 2,
        }
    }

    fn free(&self, pins: Vec<Pin>) -> Vec<Pin> {
        let free: Vec<Pin> = pins.iter().copied().filter(|p| !self.taken.contains(p)).collect();
        if free.is_empty() { pins } else { free }
    }

    fn lead(&mut self, number: usize) {
        let stream = &self.flow.streams[number];
        let from = self.free(self.plan.pins(self.flow, number, false));
        let to = self.free(self.plan.pins(self.flow, number, true));
        let (way, inwards) = match (from.is_empty(), to.is_empty()) {
            (false, false) => {
                let rather = if stream.is_recycle() { self.rather } else { Rather::Either };
                let manner = Manner { rather, ..Manner::default() };
                (self.grid.way(self.plan, &from, &Goal::Pins(&to), manner), false)
            }
            (false, true) => (self.open(number, &from, false), false),
            (true, false) => (self.open(number, &to, true), true),
            (true, true) => (None, false),
        };
        let Some(way) = way else { return };
        self.cost += way.cost;
        self.taken.push(way.start);
        self.taken.extend(way.end);
        self.grid.occupy(&way.points, number);
        let mut points = way.points;
        self.room.lines.extend(points.windows(2).map(|p| Area::of_line(p[0], p[1])));
        let ended = self.end_of(&points);
        let before_end: Vec<Area> = points[..points.len().saturating_sub(1)]
            .windows(2)
            .map(|p| Area::of_line(p[0], p[1]))
            .collect();
        if inwards {
            points.reverse();
        }
        self.room.lines.extend(head(&points));
        self.streams[number].points = points;
        if from.is_empty() || to.is_empty() {
            let put = labels::at_end(stream, ended, inwards, &self.unlined(number), self.frame);
            // Nor may they stand over an earlier run of their own stream.
            let clear = |put: &Put| !before_end.iter().any(|run| run.meets(&put.area, 0.2));
            if let Some(put) = put.filter(clear) {
                self.name(number, put.labels, vec![put.area]);
                return;
            }
        }
        self.name_along(number);
    }

    /// The room without a stream's own lines, which its words at an end may touch.
    fn unlined(&self, number: usize) -> Room {
        let own: Vec<Area> = self.own_lines(number);
        let mut room = self.room.clone();
        room.lines.retain(|line| !own.contains(line));
        room
    }

    fn own_lines(&self, number: usize) -> Vec<Area> {
        let points = &self.streams[number].points;
        let runs = points.windows(2).map(|p| Area::of_line(p[0], p[1]));
        runs.chain(head(points)).collect()
    }

    fn name(&mut self, number: usize, labels: Vec<Label>, areas: Vec<Area>) {
        for area in &areas {
            self.room.words.push(*area);
            self.grid.keep_off(area);
        }
        self.streams[number].labels = labels;
        self.streams[number].areas = areas;
    }

    fn name_along(&mut self, number: usize) {
        let stream = &self.flow.streams[number];
        let points = self.streams[number].points.clone();
        if stream.is_recycle()
            && let Some((labels, areas)) = labels::in_gap(stream, &points, &self.room, self.frame)
        {
            self.streams[number].in_gap = true;
            self.name(number, labels, areas);
            return;
        }
        match labels::along(stream, &points, &self.room, self.frame) {
            Some((labels, areas)) => self.name(number, labels, areas),
            None => self.streams[number].number = Some(middle(&points)),
        }
    }

    /// Where a way ends: the place, the direction, the length of the last run.
    fn end_of(&self, points: &[(f64, f64)]) -> ((f64, f64), Side, f64) {
        let [.., a, b] = points else { return ((0.0, 0.0), Side::Right, 0.0) };
        let side = match () {
            () if b.0 > a.0 => Side::Right,
            () if b.0 < a.0 => Side::Left,
            () if b.1 > a.1 => Side::Down,
            () => Side::Up,
        };
        let run = (a.0 - b.0).abs() + (a.1 - b.1).abs();
        (*b, side, run)
    }

    /// The way of a stream with one end in the open, where its words find room.
    fn open(&self, number: usize, pins: &[Pin], inwards: bool) -> Option<Way> {
        let stream = &self.flow.streams[number];
        // A feed comes in by the best place, what leaves goes straight on.
        let (turn, rank) = if inwards { (12_000, 20_000) } else { (12_000, 0) };
        let manner = Manner { backwards: inwards, turn, rank, ..Manner::default() };
        let fits = |at: (f64, f64), side: Side, straight: f64| {
            straight > 5.0
                && labels::at_end(stream, (at, side, straight), inwards, &self.room, self.frame)
                    .is_some()
        };
        self.grid.way(self.plan, pins, &Goal::Open(&fits), manner).or_else(|| {
            let anywhere = |_: (f64, f64), _: Side, straight: f64| straight > 8.0;
            self.grid.way(self.plan, pins, &Goal::Open(&anywhere), manner)
        })
    }

    /// Words that a later line ran over find another place, or become a number.
    fn mend_words(&mut self) {
        let lines: Vec<(usize, Area)> = (0..self.streams.len())
            .flat_map(|n| self.own_lines(n).into_iter().map(move |line| (n, line)))
            .collect();
        for number in 0..self.streams.len() {
            let led = &self.streams[number];
            let struck = led
                .areas
                .iter()
                .any(|area| lines.iter().any(|(of, line)| *of != number && area.meets(line, 0.2)));
            if struck {
                let old = std::mem::take(&mut self.streams[number].areas);
                self.room.words.retain(|area| !old.contains(area));
                self.streams[number].labels.clear();
                self.streams[number].in_gap = false;
                self.name_along(number);
            }
        }
        // Names of steps that are struck are put anew where there is room.
        for number in 0..self.names.len() {
            let struck = lines.iter().any(|(_, line)| self.names[number].area.meets(line, 0.2));
            if struck {
                self.cost += NUMBERED;
            }
        }
        for number in 0..self.streams.len() {
            if self.streams[number].number.is_some() {
                self.streams[number].number = Some(self.place_for_number(number, &lines));
            }
        }
    }

    /// On its own line, where nothing else is.
    fn place_for_number(&mut self, number: usize, lines: &[(usize, Area)]) -> (f64, f64) {
        let points = self.streams[number].points.clone();
        let r = NUMBER + 0.3;
        for pair in points.windows(2) {
            let (a, b) = (pair[0], pair[1]);
            let length = (a.0 - b.0).abs() + (a.1 - b.1).abs();
            let steps = (length / 1.0) as usize;
            for step in 0..=steps {
                // From the middle outwards.
                let half = step.div_ceil(2);
                let share = 0.5
                    + if step % 2 == 0 { 1.0 } else { -1.0 } * half as f64 / steps.max(1) as f64;
                let from_end = share.min(1.0 - share) * length;
                if from_end < r + 1.0 {
                    continue;
                }
                let (x, y) = (a.0 + share * (b.0 - a.0), a.1 + share * (b.1 - a.1));
                let area = Area { left: x - r, top: y - r, right: x + r, foot: y + r };
                let free = !self.room.symbols.iter().any(|s| s.meets(&area, 0.4))
                    && !self.room.words.iter().any(|w| w.meets(&area, 0.4))
                    && !lines.iter().any(|(of, line)| *of != number && line.meets(&area, 0.2));
                if free {
                    self.room.words.push(area);
                    self.streams[number].areas = vec![area];
                    return (x, y);
                }
            }
        }
        self.cost += NUMBERED;
        middle(&points)
    }
}

/// What the head of a stream takes up.
fn head(points: &[(f64, f64)]) -> Option<Area> {
    let [.., before, tip] = points else { return None };
    let (length, half) = (HEAD.0, HEAD.1 / 2.0);
    let toward = |a: f64, b: f64| if a == b { 0.0 } else { (b - a).signum() };
    let (dx, dy) = (toward(tip.0, before.0), toward(tip.1, before.1));
    let base = (tip.0 + dx * length, tip.1 + dy * length);
    let line = Area::of_line(*tip, base);
    Some(Area {
        left: line.left - dy.abs() * half,
        top: line.top - dx.abs() * half,
        right: line.right + dy.abs() * half,
        foot: line.foot + dx.abs() * half,
    })
}

/// The middle of the longest run.
fn middle(points: &[(f64, f64)]) -> (f64, f64) {
    let length = |p: &[(f64, f64)]| (p[0].0 - p[1].0).abs() + (p[0].1 - p[1].1).abs();
    points
        .windows(2)
        .max_by(|a, b| length(a).total_cmp(&length(b)))
        .map_or((0.0, 0.0), |p| ((p[0].0 + p[1].0) / 2.0, (p[0].1 + p[1].1) / 2.0))
}

/// Where a stream leaves or enters at the foot of a unit.
fn foot_taken(flow: &Flow, plan: &Plan, unit: usize) -> Option<f64> {
    let any_side =
        matches!(flow.units[unit].symbol, Symbol::Mixer | Symbol::Splitter | Symbol::Box);
    (0..flow.streams.len()).find_map(|number| {
        let stream = &flow.streams[number];
        [(stream.from, false), (stream.to, true)].into_iter().find_map(|(end, inlet)| {
            let end = end.filter(|end| end.unit == unit)?;
            let pins = plan.pins(flow, number, inlet);
            let down = pins.iter().find(|pin| pin.side == Side::Down)?;
            let neighbours = stream.from.map(|f| f.unit + 1) == stream.to.map(|t| t.unit);
            let sure = pins.len() == 1 || any_side && !neighbours && end.unit == unit;
            let several = !any_side && pins.len() > 1 && stream.is_recycle();
            (sure || several).then_some(down.at.0)
        })
    })
}
