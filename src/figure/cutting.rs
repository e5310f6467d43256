//! A drawing too high for its page, cut where nothing but upright streams runs.
//!
//! Takes a drawing and the height of a page; gives pieces that stand one below the
//! other, on one page or on several. Where no such place is left a piece is higher.

use super::{DROP, Drawing, Move, RISE, Role, Shape};

/// The least empty height in mm in which a cut may fall.
const LEAST: f64 = 2.0;

/// The pieces of a drawing, each no higher than `height` if that can be. `em` is
/// the size of its labels.
pub fn pieces(drawing: &Drawing, height: f64, em: f64) -> Vec<Drawing> {
    if drawing.height <= height {
        return vec![drawing.clone()];
    }
    let places = places(drawing, em);
    let mut cuts = vec![0.0];
    let mut from = 0.0;
    while drawing.height - from > height {
        let later = places.iter().copied().filter(|y| *y > from + 1e-6);
        let fits = later.clone().filter(|y| y - from <= height).fold(f64::NAN, f64::max);
        let next = if fits.is_finite() { fits } else { later.fold(f64::INFINITY, f64::min) };
        if !next.is_finite() {
            break;
        }
        cuts.push(next);
        from = next;
    }
    cuts.push(drawing.height);
    cuts.windows(2).map(|band| piece(drawing, band[0], band[1])).collect()
}

/// The middles of the stretches of height that only upright streams use.
fn places(drawing: &Drawing, em: f64) -> Vec<f64> {
    let mut used: Vec<(f64, f64)> =
        drawing.labels.iter().map(|l| (l.y - RISE * em, l.y + DROP * em)).collect();
    for shape in &drawing.shapes {
        if is_stream(shape) {
            let levels = runs(shape).filter(|(a, b)| a.1 == b.1);
            used.extend(levels.map(|(a, _)| (a.1, a.1)));
        } else {
            used.push(extent(shape));
        }
    }
    used.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut found = Vec::new();
    let mut foot = 0.0;
    for (top, end) in used {
        if top - foot >= LEAST {
            found.push((foot + top) / 2.0);
        }
        foot = f64::max(foot, end);
    }
    found
}

fn is_stream(shape: &Shape) -> bool {
    matches!(shape.role, Role::Stream | Role::Product | Role::Recycle)
}

/// The straight pieces of a path.
fn runs(shape: &Shape) -> impl Iterator<Item = ((f64, f64), (f64, f64))> {
    shape.path.windows(2).filter_map(|pair| match (pair[0], pair[1]) {
        (Move::To(a, b) | Move::Line(a, b), Move::Line(x, y)) => Some(((a, b), (x, y))),
        _ => None,
    })
}

fn extent(shape: &Shape) -> (f64, f64) {
    shape.path.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), step| match *step {
        Move::To(_, y) | Move::Line(_, y) => (low.min(y), high.max(y)),
        Move::Curve(a, b, end) => {
            (low.min(a.1).min(b.1).min(end.1), high.max(a.1).max(b.1).max(end.1))
        }
        Move::Close => (low, high),
    })
}

/// What lies between two heights.
fn piece(drawing: &Drawing, from: f64, to: f64) -> Drawing {
    let within = |y: f64| y >= from && y < to;
    let mut piece = Drawing {
        width: drawing.width,
        height: to - from,
        // Told once, with the first piece.
        words: if from == 0.0 { drawing.words.clone() } else { String::new() },
        ..Drawing::default()
    };
    for shape in &drawing.shapes {
        let (top, foot) = extent(shape);
        if is_stream(shape) {
            let path = cut(shape, from, to);
            if !path.is_empty() {
                piece.shapes.push(Shape { role: shape.role, path });
            }
        } else if within((top + foot) / 2.0) {
            let path = shape.path.iter().map(|step| raised(*step, from)).collect();
            piece.shapes.push(Shape { role: shape.role, path });
        }
    }
    for label in drawing.labels.iter().filter(|label| within(label.y)) {
        let mut label = label.clone();
        label.y -= from;
        piece.labels.push(label);
    }
    piece
}

fn raised(step: Move, by: f64) -> Move {
    let up = |(x, y): (f64, f64)| (x, y - by);
    match step {
        Move::To(x, y) => Move::To(x, y - by),
        Move::Line(x, y) => Move::Line(x, y - by),
        Move::Curve(a, b, end) => Move::Curve(up(a), up(b), up(end)),
        Move::Close => Move::Close,
    }
}

/// A stream's line between two heights.
fn cut(shape: &Shape, from: f64, to: f64) -> Vec<Move> {
    let mut path: Vec<Move> = Vec::new();
    let mut pen = None;
    for (a, b) in runs(shape) {
        let (low, high) = (a.1.min(b.1), a.1.max(b.1));
        if high < from || low > to || (low == high && (low < from || low >= to)) {
            continue;
        }
        let (start, end) = ((a.0, a.1.clamp(from, to)), (b.0, b.1.clamp(from, to)));
        if pen != Some(start) {
            path.push(Move::To(start.0, start.1 - from));
        }
        path.push(Move::Line(end.0, end.1 - from));
        pen = Some(end);
    }
    path
}

#[cfg(test)]
mod tests {
    use super::super::{Anchor, Label};
    use super::*;

    /// Two boxes 40 mm apart, joined by a line that goes right, down, left, down.
    fn two_rows() -> Drawing {
        let block = |y: f64| Shape {
            role: Role::Wall,
            path: vec![Move::To(10.0, y), Move::Line(20.0, y + 10.0), Move::Close],
        };
        let line = [(20.0, 5.0), (40.0, 5.0), (40.0, 25.0), (5.0, 25.0), (5.0, 45.0), (10.0, 45.0)];
        let mut path = vec![Move::To(20.0, 5.0)];
        path.extend(line[1..].iter().map(|(x, y)| Move::Line(*x, *y)));
        Drawing {
            whole: false,
            width: 50.0,
            height: 50.0,
            shapes: vec![block(0.0), block(40.0), Shape { role: Role::Stream, path }],
            labels: vec![Label { x: 10.0, y: 14.0, anchor: Anchor::Start, ..Label::default() }],
            words: "two boxes".to_owned(),
        }
    }

    #[test]
    fn a_cut_falls_where_only_an_upright_line_runs() {
        let made = pieces(&two_rows(), 31.0, 3.5);
        assert_eq!(made.len(), 2);
        assert_eq!(made[0].height + made[1].height, 50.0);
        assert!(made.iter().all(|piece| piece.height <= 31.0));
        let all = |drawing: &Drawing| {
            drawing.shapes.iter().flat_map(|s| runs(s).collect::<Vec<_>>()).collect::<Vec<_>>()
        };
        let length = |drawing: &Drawing| -> f64 {
            all(drawing).iter().map(|(a, b)| (a.0 - b.0).abs() + (a.1 - b.1).abs()).sum()
        };
        // Nothing of any line is lost or drawn twice.
        let whole = length(&two_rows());
        assert!((length(&made[0]) + length(&made[1]) - whole).abs() < 1e-9);
        for drawing in &made {
            for (a, b) in all(drawing) {
                assert!(a.1.min(b.1) >= 0.0 && a.1.max(b.1) <= drawing.height, "{a:?} {b:?}");
            }
        }
        assert_eq!((made[0].labels.len(), made[1].words.as_str()), (1, ""));
    }

    #[test]
    fn what_fits_stays_whole() {
        assert_eq!(pieces(&two_rows(), 50.0, 3.5), [two_rows()]);
    }
}
