//! The lines along which streams may run, and the cheapest way between two places
//! on them.
//!
//! Takes symbols, words and the streams so far as obstacles; gives a way with as few
//! crossings, then bends, then millimetres as there can be. Symbols are never
//! crossed; words and other streams cost so much that it happens only where there
//! is no other way.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::Area;
use super::placing::{Pin, Plan};
use super::symbols::Side;

/// Lines stand so far apart, in mm.
const APART: f64 = 3.0;

/// So far off a place for a stream the usual lines give way to its own.
const CLOSE: f64 = 1.3;

/// Round a symbol nothing runs but its own streams.
const CLEAR: f64 = 1.3;

/// The last run before a head, and the least before a stream may turn.
const LAST_RUN: f64 = 4.4;
const FIRST_RUN: f64 = 1.6;

/// Costs in thousandths of a millimetre.
const BEND: u64 = 5_000;
const CROSSING: u64 = 300_000;
const BESIDE: u64 = 20_000;
const TOUCH: u64 = 600_000;
const WORDS: u64 = 700_000;
const OVERLAP: u64 = 900_000;

/// Two streams side by side want so much between them.
const PARALLEL: f64 = 2.0;

pub(super) struct Grid {
    xs: Vec<f64>,
    ys: Vec<f64>,
    /// By edge, to the right of each node and below it: the symbol in the way (from
    /// 1), the stream that runs there (from 1), words that stand there.
    level: Vec<Edge>,
    upright: Vec<Edge>,
}

#[derive(Debug, Clone, Copy, Default)]
struct Edge {
    unit: u16,
    stream: u16,
    words: bool,
}

/// A way through the grid: its corners, and what it cost.
#[derive(Debug, Clone)]
pub(super) struct Way {
    pub(super) points: Vec<(f64, f64)>,
    pub(super) start: Pin,
    /// The place where it ends, if it ends at a symbol.
    pub(super) end: Option<Pin>,
    pub(super) cost: u64,
}

/// Where a way is to end.
pub(super) enum Goal<'a> {
    Pins(&'a [Pin]),
    /// In the open, wherever this finds room: the place, the direction, and how far
    /// the way has run straight.
    Open(&'a dyn Fn((f64, f64), Side, f64) -> bool),
}

/// What is wanted of a way beside being short.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Manner {
    /// It ends with a head where it begins here: a feed is led from its unit outwards.
    pub(super) backwards: bool,
    pub(super) rather: Rather,
    /// What a turn costs more than it does elsewhere.
    pub(super) turn: u64,
    /// What each place after the first costs.
    pub(super) rank: u64,
}

/// On which side of a row a way rather runs.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) enum Rather {
    #[default]
    Either,
    Below,
    Above,
}

const SIDES: [Side; 4] = [Side::Left, Side::Right, Side::Up, Side::Down];

fn is_level(side: Side) -> bool {
    matches!(side, Side::Left | Side::Right)
}

fn opposite(side: Side) -> Side {
    match side {
        Side::Left => Side::Right,
        Side::Right => Side::Left,
        Side::Up => Side::Down,
        Side::Down => Side::Up,
    }
}

impl Grid {
    pub(super) fn new(plan: &Plan, pins: &[Pin], units: usize) -> Grid {
        let xs = lines(plan.width, pins.iter().map(|pin| pin.at.0));
        let ys = lines(plan.height, pins.iter().map(|pin| pin.at.1));
        let count = xs.len() * ys.len();
        let mut grid = Grid {
            xs,
            ys,
            level: vec![Edge::default(); count],
            upright: vec![Edge::default(); count],
        };
        for unit in 0..units {
            let area = plan.area(unit);
            grid.mark(&area, CLEAR, &|edge| edge.unit = unit as u16 + 1);
        }
        grid
    }

    /// Words stand here.
    pub(super) fn keep_off(&mut self, area: &Area) {
        self.mark(area, 1.0, &|edge| edge.words = true);
    }

    fn mark(&mut self, area: &Area, apart: f64, set: &dyn Fn(&mut Edge)) {
        for j in 0..self.ys.len() {
            for i in 0..self.xs.len() {
                let here = (self.xs[i], self.ys[j]);
                let at = self.node(i, j);
                if let Some(x) = self.xs.get(i + 1)
                    && Area::of_line(here, (*x, here.1)).meets(area, apart)
                {
                    set(&mut self.level[at]);
                }
                if let Some(y) = self.ys.get(j + 1)
                    && Area::of_line(here, (here.0, *y)).meets(area, apart)
                {
                    set(&mut self.upright[at]);
                }
            }
        }
    }

    /// A stream runs here from now on.
    pub(super) fn occupy(&mut self, points: &[(f64, f64)], stream: usize) {
        for pair in points.windows(2) {
            let area = Area::of_line(pair[0], pair[1]);
            let (i0, i1) = (index(&self.xs, area.left), index(&self.xs, area.right));
            let (j0, j1) = (index(&self.ys, area.top), index(&self.ys, area.foot));
            for i in i0..i1 {
                let at = self.node(i, j0);
                self.level[at].stream = stream as u16 + 1;
            }
            for j in j0..j1 {
                let at = self.node(i0, j);
                self.upright[at].stream = stream as u16 + 1;
            }
        }
    }

    fn node(&self, i: usize, j: usize) -> usize {
        j * self.xs.len() + i
    }

    fn point(&self, node: usize) -> (f64, f64) {
        (self.xs[node % self.xs.len()], self.ys[node / self.xs.len()])
    }

    /// The node next to one, the edge between them, and its length.
    fn step(&self, node: usize, side: Side) -> Option<(usize, Edge, f64)> {
        let width = self.xs.len();
        let (i, j) = (node % width, node / width);
        match side {
            Side::Right if i + 1 < width => {
                Some((node + 1, self.level[node], self.xs[i + 1] - self.xs[i]))
            }
            Side::Left if i > 0 => {
                Some((node - 1, self.level[node - 1], self.xs[i] - self.xs[i - 1]))
            }
            Side::Down if j + 1 < self.ys.len() => {
                Some((node + width, self.upright[node], self.ys[j + 1] - self.ys[j]))
            }
            Side::Up if j > 0 => {
                Some((node - width, self.upright[node - width], self.ys[j] - self.ys[j - 1]))
            }
            _ => None,
        }
    }

    /// The streams that meet a node: left, right, up, down.
    fn around(&self, node: usize) -> [u16; 4] {
        SIDES.map(|side| self.step(node, side).map_or(0, |(_, edge, _)| edge.stream))
    }

    /// What it costs to pass a node that another stream runs through.
    fn passing(&self, node: usize, from: Side, to: Side) -> u64 {
        let [left, right, up, down] = self.around(node);
        if left == 0 && right == 0 && up == 0 && down == 0 {
            return 0;
        }
        let through_level = left != 0 && left == right && up == 0 && down == 0;
        let through_upright = up != 0 && up == down && left == 0 && right == 0;
        let crosses =
            from == to && (is_level(from) && through_upright || !is_level(from) && through_level);
        if crosses { CROSSING } else { TOUCH }
    }

    /// Another stream runs beside this edge, too close to tell them apart.
    fn beside(&self, node: usize, side: Side) -> bool {
        let width = self.xs.len();
        let (i, j) = (node % width, node / width);
        let near = |a: f64, b: f64| (a - b).abs() < PARALLEL;
        if is_level(side) {
            let i = if side == Side::Left { i - 1 } else { i };
            let low = (0..j).rev().take_while(|k| near(self.ys[*k], self.ys[j]));
            let high = (j + 1..self.ys.len()).take_while(|k| near(self.ys[*k], self.ys[j]));
            low.chain(high).any(|k| self.level[self.node(i, k)].stream != 0)
        } else {
            let j = if side == Side::Up { j - 1 } else { j };
            let low = (0..i).rev().take_while(|k| near(self.xs[*k], self.xs[i]));
            let high = (i + 1..width).take_while(|k| near(self.xs[*k], self.xs[i]));
            low.chain(high).any(|k| self.upright[self.node(k, j)].stream != 0)
        }
    }

    /// The cheapest way from one of the places to the goal.
    pub(super) fn way(
        &self,
        plan: &Plan,
        starts: &[Pin],
        goal: &Goal<'_>,
        manner: Manner,
    ) -> Option<Way> {
        let count = self.xs.len() * self.ys.len() * 4;
        let mut best = vec![u64::MAX; count];
        let mut from = vec![u32::MAX; count];
        let mut queue = BinaryHeap::new();
        let ends: &[Pin] = match goal {
            Goal::Pins(pins) => pins,
            Goal::Open(_) => &[],
        };
        let left = |node: usize| -> u64 {
            let (x, y) = self.point(node);
            let far = |pin: &Pin| 1000.0 * ((pin.at.0 - x).abs() + (pin.at.1 - y).abs());
            ends.iter().map(|pin| far(pin) as u64).min().unwrap_or(0)
        };
        for (rank, pin) in starts.iter().enumerate() {
            let node = self.node(index(&self.xs, pin.at.0), index(&self.ys, pin.at.1));
            let state = node * 4 + pin.side as usize;
            // Of equal places the first is the best.
            let cost = (1_500 + manner.rank) * rank as u64;
            if cost < best[state] {
                best[state] = cost;
                queue.push(Reverse((cost + left(node), state)));
            }
        }
        while let Some(Reverse((estimate, state))) = queue.pop() {
            let (node, side) = (state / 4, SIDES[state % 4]);
            let cost = best[state];
            if estimate > cost + left(node) {
                continue;
            }
            let here = self.point(node);
            let arrived = match goal {
                Goal::Pins(pins) => {
                    pins.iter().find(|pin| close(pin.at, here) && pin.side == opposite(side))
                }
                Goal::Open(_) => None,
            };
            let open = match goal {
                Goal::Open(fits) => {
                    let (start, straight) = self.straight(state, &from);
                    straight > LAST_RUN
                        && self.around(node).iter().all(|stream| *stream == 0)
                        && fits(here, side, if start { straight } else { straight - FIRST_RUN })
                }
                Goal::Pins(_) => false,
            };
            if arrived.is_some() || open {
                return self.traced(state, &from, starts, arrived.copied(), cost);
            }
            for next in SIDES {
                if next == opposite(side)
                    || next != side && !self.may_turn(here, next, starts, ends, manner)
                {
                    continue;
                }
                let Some((to, edge, length)) = self.step(node, next) else { continue };
                let there = self.point(to);
                let own = |pin: &Pin| {
                    edge.unit == pin.unit as u16 + 1 && on_ray(pin, here) && on_ray(pin, there)
                };
                if edge.unit != 0 && !starts.iter().chain(ends).any(own) {
                    continue;
                }
                let mut price = (1000.0 * length) as u64;
                if manner.rather != Rather::Either && is_level(next) {
                    let above = plan.is_above(here.1);
                    if above == (manner.rather == Rather::Below) {
                        price *= 3;
                    }
                }
                if next != side {
                    // Late rather than early, so that the first run has room for words.
                    price += BEND + manner.turn + left(node) / 60;
                }
                let is_start = from[state] == u32::MAX;
                if !is_start {
                    price += self.passing(node, side, next);
                }
                if edge.stream != 0 {
                    price += OVERLAP;
                } else if self.beside(node, next) {
                    price += BESIDE;
                }
                if edge.words {
                    price += WORDS;
                }
                let reached = to * 4 + next as usize;
                if cost + price < best[reached] {
                    best[reached] = cost + price;
                    from[reached] = state as u32;
                    queue.push(Reverse((cost + price + left(to), reached)));
                }
            }
        }
        None
    }

    /// Not right at a symbol, nor within the last run before a head.
    fn may_turn(
        &self,
        here: (f64, f64),
        next: Side,
        starts: &[Pin],
        ends: &[Pin],
        manner: Manner,
    ) -> bool {
        let first = if manner.backwards { LAST_RUN } else { FIRST_RUN };
        let leaving = |pin: &Pin| on_ray(pin, here) && far(pin.at, here) < first;
        let arriving = |pin: &Pin| {
            next == opposite(pin.side) && on_ray(pin, here) && far(pin.at, here) < LAST_RUN
        };
        !starts.iter().any(leaving) && !ends.iter().any(arriving)
    }

    /// How far a way has run straight up to a state, and whether from its start.
    fn straight(&self, state: usize, from: &[u32]) -> (bool, f64) {
        let (end, side) = (self.point(state / 4), state % 4);
        let mut at = state;
        while from[at] != u32::MAX {
            let before = from[at] as usize;
            at = before;
            if before % 4 != side {
                break;
            }
        }
        (from[at] == u32::MAX, far(self.point(at / 4), end))
    }

    fn traced(
        &self,
        state: usize,
        from: &[u32],
        starts: &[Pin],
        end: Option<Pin>,
        cost: u64,
    ) -> Option<Way> {
        let mut points = vec![self.point(state / 4)];
        let mut at = state;
        while from[at] != u32::MAX {
            let before = from[at] as usize;
            points.push(self.point(before / 4));
            at = before;
        }
        points.reverse();
        let side = SIDES[at % 4];
        let start = starts.iter().find(|pin| close(pin.at, points[0]) && pin.side == side)?;
        Some(Way { points: corners(&points), start: *start, end, cost })
    }
}

/// Without the points that lie on a straight line.
fn corners(points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let mut kept: Vec<(f64, f64)> = Vec::new();
    for (i, point) in points.iter().enumerate() {
        let bends = |a: (f64, f64), b: (f64, f64)| {
            (a.0 == point.0) != (point.0 == b.0) || (a.1 == point.1) != (point.1 == b.1)
        };
        let inner = i > 0 && i + 1 < points.len();
        if !inner || bends(points[i - 1], points[i + 1]) {
            kept.push(*point);
        }
    }
    kept
}

fn far(a: (f64, f64), b: (f64, f64)) -> f64 {
    (a.0 - b.0).abs() + (a.1 - b.1).abs()
}

fn close(a: (f64, f64), b: (f64, f64)) -> bool {
    far(a, b) < 1e-6
}

/// Straight out from a place at a symbol.
fn on_ray(pin: &Pin, (x, y): (f64, f64)) -> bool {
    let (px, py) = pin.at;
    let same = |a: f64, b: f64| (a - b).abs() < 1e-6;
    match pin.side {
        Side::Left => same(y, py) && x <= px + 1e-6,
        Side::Right => same(y, py) && x >= px - 1e-6,
        Side::Up => same(x, px) && y <= py + 1e-6,
        Side::Down => same(x, px) && y >= py - 1e-6,
    }
}

/// Lines at even distances and through every place for a stream.
fn lines(length: f64, places: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut own: Vec<f64> = places.collect();
    own.sort_by(f64::total_cmp);
    own.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    let even = (0..=(length / APART) as usize).map(|i| i as f64 * APART);
    let mut all: Vec<f64> = even.filter(|x| own.iter().all(|at| (at - x).abs() > CLOSE)).collect();
    all.extend(own);
    all.sort_by(f64::total_cmp);
    all
}

fn index(lines: &[f64], at: f64) -> usize {
    lines.partition_point(|line| *line < at - 1e-6).min(lines.len().saturating_sub(1))
}
