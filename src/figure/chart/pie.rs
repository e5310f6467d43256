//! A pie: shares of a whole, each named at its segment.
//!
//! Takes the data; gives a drawing. Segments run clockwise from the top in the given
//! order; names stand right and left of the ring, kept apart, and a leader shows to
//! which segment a name belongs.

use std::f64::consts::TAU;

use super::super::drawing::{Anchor, Drawing, Label, Move, Role, Shape, Weight};
use super::super::{Labelling, counted, letter, pen, room};
use super::{Datum, fill, told};

const RADIUS: f64 = 22.0;
/// How far outside the ring a leader begins: inside, a fill would hide it.
const OFF: f64 = 0.6;
/// From the ring to where names begin.
const BESIDE: f64 = 8.0;
const GAP: f64 = 1.2;
/// The widest that a line of words beside the ring may be.
const NAME: f64 = 40.0;

/// The pie drawn; none without data, or if a value is negative or no number, or all
/// are nought.
pub fn pie(data: &[Datum], labelling: Labelling) -> Option<Drawing> {
    let whole: f64 = data.iter().map(|datum| datum.value).sum();
    let sound = data.iter().all(|datum| datum.value.is_finite() && datum.value >= 0.0);
    if !(sound && whole.is_finite() && whole > 0.0) {
        return None;
    }
    let named = match labelling {
        Labelling::Named => told(data, labelling),
        Labelling::Lettered => super::listed(&(0..data.len()).map(letter).collect::<Vec<_>>()),
        Labelling::Blank => "all to be named".to_owned(),
    };
    let words = format!(
        "Pie chart of {} segment{}, clockwise from the top: {named}.",
        counted(data.len()),
        if data.len() == 1 { "" } else { "s" }
    );
    let mut drawing = Drawing { words, ..Drawing::default() };
    let mut turned = 0.0;
    let mut tips = Vec::new();
    for (index, datum) in data.iter().enumerate() {
        let (from, to) = (turned, turned + datum.value / whole);
        turned = to;
        let role = fill(index, data.len(), true);
        if datum.value > 0.0 {
            drawing.shapes.push(Shape { role, path: segment(from, to) });
        }
        tips.push(at((from + to) / 2.0, RADIUS + OFF));
    }
    name(&mut drawing, data, &tips, labelling);
    Some(room::framed(drawing))
}

/// A point at a share of a turn, clockwise from the top; the ring's middle is nought.
fn at(turn: f64, radius: f64) -> (f64, f64) {
    ((TAU * turn).sin() * radius, -(TAU * turn).cos() * radius)
}

fn segment(from: f64, to: f64) -> Vec<Move> {
    if to - from > 1.0 - 1e-9 {
        return pen::circle(0.0, 0.0, RADIUS);
    }
    let start = at(from, RADIUS);
    let mut path = vec![Move::To(0.0, 0.0), Move::Line(start.0, start.1)];
    // Arcs of at most an eighth of a turn each are round to the eye.
    let arcs = ((to - from) * 8.0).ceil().max(1.0);
    let step = (to - from) / arcs;
    let handle = 4.0 / 3.0 * (TAU * step / 4.0).tan() * RADIUS;
    for index in 0..arcs as usize {
        let (a, b) = (from + step * index as f64, from + step * (index + 1) as f64);
        let ((ax, ay), (bx, by)) = (at(a, RADIUS), at(b, RADIUS));
        // Along the ring, clockwise, at each end of the arc.
        let along = |turn: f64| ((TAU * turn).cos() * handle, (TAU * turn).sin() * handle);
        let ((ux, uy), (vx, vy)) = (along(a), along(b));
        path.push(Move::Curve((ax + ux, ay + uy), (bx - vx, by - vy), (bx, by)));
    }
    path.push(Move::Close);
    path
}

/// Names in a column at each side, each at the height of its segment.
fn name(drawing: &mut Drawing, data: &[Datum], tips: &[(f64, f64)], labelling: Labelling) {
    let asked = labelling == Labelling::Blank;
    let said: Vec<Vec<String>> =
        data.iter().enumerate().map(|(index, datum)| said(index, datum, labelling)).collect();
    let tallest = said.iter().map(Vec::len).max().unwrap_or(1);
    let step = if asked { room::WRITING } else { room::PITCH };
    let pitch = step * tallest as f64;
    for right in [true, false] {
        let mut side: Vec<usize> =
            (0..data.len()).filter(|index| (tips[*index].0 >= 0.0) == right).collect();
        side.sort_by(|a, b| tips[*a].1.total_cmp(&tips[*b].1));
        let wanted: Vec<f64> = side.iter().map(|index| tips[*index].1 * 1.15).collect();
        let sign = if right { 1.0 } else { -1.0 };
        for (index, y) in side.into_iter().zip(room::spread(&wanted, pitch)) {
            let end = (sign * (RADIUS + BESIDE), y);
            let path = room::leader(tips[index], end);
            drawing.shapes.push(Shape { role: Role::Leader, path });
            let (gap, drop) = if asked { (0.0, -room::UNDER) } else { (GAP, room::MIDDLE) };
            // Several lines stand about the leader's height; the first to write on
            // continues it.
            let above = if asked { 0.0 } else { (said[index].len() - 1) as f64 / 2.0 };
            for (line, text) in said[index].iter().enumerate() {
                drawing.labels.push(Label {
                    x: end.0 + sign * gap,
                    y: end.1 + drop + (line as f64 - above) * step,
                    text: text.clone(),
                    anchor: if right { Anchor::Start } else { Anchor::End },
                    weight: match labelling {
                        Labelling::Lettered => Weight::Bold,
                        _ => Weight::Regular,
                    },
                    asked,
                    ..Label::default()
                });
            }
        }
    }
}

/// The lines of words at a segment.
fn said(index: usize, datum: &Datum, labelling: Labelling) -> Vec<String> {
    match labelling {
        Labelling::Lettered => vec![letter(index)],
        Labelling::Blank => room::wrapped(&datum.name, Weight::Regular, NAME),
        Labelling::Named => {
            // A value never parts from its unit.
            let value = datum.written.replace(' ', "\u{A0}");
            let text = format!("{} {value}", datum.name);
            room::wrapped(text.trim_end(), Weight::Regular, NAME)
        }
    }
}
