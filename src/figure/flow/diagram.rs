//! The diagram of a flow: the best of a few ways of leading its streams, drawn.

use std::collections::{BTreeSet, VecDeque};

use super::closing::Closing;
use super::placing::Plan;
use super::routing::{
    HEAD, Led, NUMBER, ORDERS, Routed, crossing_pairs, crossing_points, routed, routed_by,
};
use super::symbols::{self, circle};
use super::{Area, Flow};
use crate::figure::{Anchor, DROP, Drawing, Frame, Label, Move, RISE, Role, Shape, Weight};

/// The white on each side of a line that another jumps over.
const JUMP: f64 = 2.0 * 25.4 / 72.0;

/// Beside words in a gap of their line.
const GAP: f64 = 1.0;

/// Sizes of symbols, tried in turn until the diagram is no higher than its page.
const SIZES: [f64; 3] = [1.0, 0.86, 0.74];

/// How many orders are tried to undo crossings.
const MENDINGS: usize = 24;

/// In how many ways symbols are spread over rows.
const FEWER: usize = 2;

/// From one baseline to the next in the list of numbers, as a share of the size.
const LEADING: f64 = 1.3;

/// The diagram of a process.
pub fn diagram(flow: &Flow, frame: &Frame<'_>) -> Drawing {
    let mut lowest: Option<Drawing> = None;
    for shrink in SIZES {
        let (plan, best) = best(flow, frame, shrink);
        let made = drawn(flow, &plan, frame, &best);
        if made.height <= frame.height {
            return made;
        }
        // One that needs two pages is cut between its rows: the lowest is best.
        if lowest.as_ref().is_none_or(|other| made.height < other.height) {
            lowest = Some(made);
        }
    }
    lowest.unwrap_or_default()
}

/// How often streams cross each other on the diagram.
pub fn crossings(flow: &Flow, frame: &Frame<'_>) -> usize {
    best(flow, frame, 1.0).1.crossings
}

/// Symbols placed and streams led in several ways; the first that needs no crossing
/// and no number is taken, else the cheapest.
fn best(flow: &Flow, frame: &Frame<'_>, shrink: f64) -> (Plan, Routed) {
    let plan = Plan::of(flow, frame, shrink, 0);
    let first = routed(flow, &plan, frame, 0);
    let mut best = (plan, first);
    for fewer in 0..FEWER {
        for order in 0..ORDERS {
            if best.1.is_clean() {
                return best;
            }
            if (fewer, order) == (0, 0) {
                continue;
            }
            let plan = Plan::of(flow, frame, shrink, fewer);
            let other = routed(flow, &plan, frame, order);
            if other.score < best.1.score {
                best = (plan, other);
            }
        }
    }
    let (plan, first) = best;
    let mended = mended(flow, &plan, frame, first);
    (plan, mended)
}

/// Of two streams that cross, the one led later is led before the other, again and
/// again, as long as new orders come of it.
fn mended(flow: &Flow, plan: &Plan, frame: &Frame<'_>, first: Routed) -> Routed {
    let mut seen: BTreeSet<Vec<usize>> = BTreeSet::new();
    let mut waiting = VecDeque::from([(first.order.clone(), first.over)]);
    let mut best = first;
    for turn in 0..MENDINGS {
        let Some((order, over)) = waiting.pop_front() else { break };
        let routed = match turn {
            0 => None,
            _ => Some(routed_by(flow, plan, frame, order.clone(), over)),
        };
        let pairs = crossing_pairs(routed.as_ref().map_or(&best.streams, |r| &r.streams));
        if let Some(routed) = routed
            && routed.score < best.score
        {
            best = routed;
            if best.is_clean() {
                break;
            }
        }
        for (a, b) in pairs {
            let at = |n: usize| order.iter().position(|other| *other == n).unwrap_or(0);
            let (early, late) = (at(a).min(at(b)), at(a).max(at(b)));
            let mut next = order.clone();
            let moved = next.remove(late);
            next.insert(early, moved);
            if seen.insert(next.clone()) {
                waiting.push_back((next.clone(), over));
                waiting.push_back((next, !over));
            }
        }
    }
    best
}

impl Routed {
    fn is_clean(&self) -> bool {
        self.crossings == 0 && self.streams.iter().all(|s| s.number.is_none())
    }
}

/// All that is used of the height.
fn used(flow: &Flow, plan: &Plan, routed: &Routed) -> Vec<(f64, f64)> {
    let of_area = |area: &Area| (area.top, area.foot);
    let mut used: Vec<(f64, f64)> =
        (0..flow.units.len()).map(|unit| of_area(&plan.area(unit))).collect();
    used.extend(routed.names.iter().map(|put| of_area(&put.area)));
    for led in &routed.streams {
        used.extend(led.areas.iter().map(of_area));
        for pair in led.points.windows(2) {
            if pair[0].1 == pair[1].1 {
                used.push((pair[0].1, pair[0].1));
            }
        }
        if let [.., before, tip] = led.points.as_slice()
            && before.0 == tip.0
        {
            let far = tip.1 + (before.1 - tip.1).clamp(-4.6, 4.6);
            used.push((tip.1.min(far), tip.1.max(far)));
        }
    }
    used
}

fn drawn(flow: &Flow, plan: &Plan, frame: &Frame<'_>, routed: &Routed) -> Drawing {
    let closing = Closing::of(used(flow, plan, routed));
    let left = left_edge(flow, plan, routed);
    let place = |(x, y): (f64, f64)| (x - left, closing.place(y));
    let mut made = Drawing { height: closing.height, ..Drawing::default() };

    let streams: Vec<Led> = routed
        .streams
        .iter()
        .map(|led| Led {
            points: led.points.iter().map(|point| place(*point)).collect(),
            number: led.number.map(place),
            ..led.clone()
        })
        .collect();
    let jumps = crossing_points(&streams);
    for (number, led) in streams.iter().enumerate() {
        draw_stream(flow, number, led, left, &closing, &jumps, &mut made);
    }
    for (number, unit) in flow.units.iter().enumerate() {
        let corner = plan.corners[number];
        // A symbol keeps its height, so it moves as its top does.
        let area = plan.area(number);
        let at = (corner.0 - left, corner.1 + closing.place(area.top) - area.top);
        made.shapes.extend(symbols::shapes(unit.symbol, at, plan.step));
    }
    let mut numbered = 0;
    let mut listed: Vec<(usize, usize)> = Vec::new();
    for (stream, led) in streams.iter().enumerate() {
        if let Some((x, y)) = led.number {
            numbered += 1;
            listed.push((numbered, stream));
            made.shapes.push(Shape { role: Role::Front, path: circle((x, y), NUMBER) });
            made.labels.push(Label {
                x,
                y: y + 0.33 * frame.em,
                text: numbered.to_string(),
                anchor: Anchor::Middle,
                weight: Weight::Semibold,
                ..Label::default()
            });
        }
    }
    let moved = |labels: &[Label], area: &Area| -> Vec<Label> {
        let down = closing.place(area.top) - area.top;
        labels
            .iter()
            .map(|label| Label { x: label.x - left, y: label.y + down, ..label.clone() })
            .collect()
    };
    for put in &routed.names {
        made.labels.extend(moved(&put.labels, &put.area));
    }
    for led in routed.streams.iter().filter(|led| led.number.is_none()) {
        for label in &led.labels {
            // Each line of words moves with the area that it stands in.
            let holds = |area: &&Area| label.y > area.top && label.y < area.foot + 0.1;
            if let Some(area) = led.areas.iter().find(holds) {
                made.labels.extend(moved(std::slice::from_ref(label), area));
            }
        }
    }
    list(flow, frame, &listed, &mut made);
    made.width = right_edge(&made, frame);
    made.words = super::words(flow);
    made
}

fn left_edge(flow: &Flow, plan: &Plan, routed: &Routed) -> f64 {
    let units = (0..flow.units.len()).map(|unit| plan.area(unit).left);
    let names = routed.names.iter().map(|put| put.area.left);
    let words = routed.streams.iter().flat_map(|s| s.areas.iter().map(|a| a.left));
    let lines = routed.streams.iter().flat_map(|s| s.points.iter().map(|p| p.0));
    let least = units.chain(names).chain(words).chain(lines).fold(f64::INFINITY, f64::min);
    if least.is_finite() { least } else { 0.0 }
}

fn right_edge(made: &Drawing, frame: &Frame<'_>) -> f64 {
    let words = made.labels.iter().map(|label| {
        let width = width_of(label, frame);
        match label.anchor {
            Anchor::Start => label.x + width,
            Anchor::Middle => label.x + width / 2.0,
            Anchor::End => label.x,
        }
    });
    let lines = made.shapes.iter().flat_map(|shape| &shape.path).map(|step| match step {
        Move::To(x, _) | Move::Line(x, _) | Move::Curve(_, _, (x, _)) => *x,
        Move::Close => 0.0,
    });
    words.chain(lines).fold(0.0, f64::max)
}

fn width_of(label: &Label, frame: &Frame<'_>) -> f64 {
    let words = (frame.measure)(&label.text, label.weight);
    if label.asked { words.max(super::labels::BLANK) } else { words }
}

/// A line with its head, broken where it jumps another and where its words stand.
fn draw_stream(
    flow: &Flow,
    number: usize,
    led: &Led,
    left: f64,
    closing: &Closing,
    jumps: &[(f64, f64)],
    made: &mut Drawing,
) {
    let Some(([.., before], tip)) = led.points.split_last().map(|(tip, rest)| (rest, *tip)) else {
        return;
    };
    let stream = &flow.streams[number];
    let role = match () {
        () if stream.is_recycle() => Role::Recycle,
        () if is_product(flow, number) => Role::Product,
        () => Role::Stream,
    };
    let (dx, dy) = ((tip.0 - before.0).signum(), (tip.1 - before.1).signum());
    let (dx, dy) = if tip.0 == before.0 { (0.0, dy) } else { (dx, 0.0) };
    let mut points = led.points.clone();
    if let Some(last) = points.last_mut() {
        *last = (tip.0 - dx * 0.8 * HEAD.0, tip.1 - dy * 0.8 * HEAD.0);
    }
    let gap = led.in_gap.then(|| led.areas.first()).flatten().map(|area| {
        // The line runs through the middle of the first line of words.
        let first = led.labels.first().map_or(area.foot, |label| label.y);
        let y = closing.place(area.top) + (first - area.top);
        (area.left - left - GAP, area.right - left + GAP, y)
    });
    let mut path = vec![Move::To(points[0].0, points[0].1)];
    for pair in points.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        if a.0 == b.0 {
            let down = (b.1 - a.1).signum();
            let within = |y: f64| (y - a.1) * down > JUMP && (b.1 - y) * down > JUMP;
            let mut over: Vec<f64> =
                jumps.iter().filter(|(x, y)| *x == a.0 && within(*y)).map(|(_, y)| *y).collect();
            over.sort_by(|p, q| (p * down).total_cmp(&(q * down)));
            for y in over {
                path.push(Move::Line(a.0, y - down * JUMP));
                path.push(Move::To(a.0, y + down * JUMP));
            }
        } else if let Some((from, to, y)) = gap {
            let across = a.0.min(b.0) < from && a.0.max(b.0) > to;
            if across && (y - a.1).abs() < 3.0 {
                let (near, far) = if a.0 < b.0 { (from, to) } else { (to, from) };
                path.push(Move::Line(near, a.1));
                path.push(Move::To(far, a.1));
            }
        }
        path.push(Move::Line(b.0, b.1));
    }
    made.shapes.push(Shape { role, path });
    let (half, base) = (HEAD.1 / 2.0, (tip.0 - dx * HEAD.0, tip.1 - dy * HEAD.0));
    made.shapes.push(Shape {
        role: Role::Solid,
        path: vec![
            Move::To(tip.0, tip.1),
            Move::Line(base.0 - dy * half, base.1 + dx * half),
            Move::Line(base.0 + dy * half, base.1 - dx * half),
            Move::Close,
        ],
    });
}

/// What leaves the last step and has no other use named is what the works is for.
fn is_product(flow: &Flow, number: usize) -> bool {
    let stream = &flow.streams[number];
    let last = flow.units.len().checked_sub(1);
    let gas = |port: &str| matches!(port, "vapour" | "gas" | "gas out");
    stream.to.is_none()
        && stream.purpose.is_none()
        && stream.from.is_some_and(|from| Some(from.unit) == last && !gas(from.port))
}

/// The words of numbered streams, under the figure.
fn list(flow: &Flow, frame: &Frame<'_>, listed: &[(usize, usize)], made: &mut Drawing) {
    if listed.is_empty() {
        return;
    }
    let mut y = made.height + 3.0 + RISE * frame.em;
    for (number, stream) in listed {
        let stream = &flow.streams[*stream];
        let mut x = 0.0;
        let mut add = |text: String, weight, asked| {
            let line = super::labels::BLANK;
            let label = Label { x, y, text, weight, asked, line, ..Label::default() };
            x = f64::max(x + width_of(&label, frame), 5.0 * f64::from(u8::from(x == 0.0)));
            made.labels.push(label);
        };
        add(number.to_string(), Weight::Semibold, false);
        add(stream.name.clone(), Weight::Semibold, stream.asked);
        let rest: Vec<&str> =
            [&stream.value, &stream.purpose].into_iter().flatten().map(String::as_str).collect();
        if !rest.is_empty() {
            add(format!(", {}", rest.join(", ")), Weight::Regular, false);
        }
        y += LEADING * frame.em;
    }
    made.height = y - LEADING * frame.em + DROP * frame.em;
}
