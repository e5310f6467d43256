//! What is drawn in a formula and is no letter: rules, brackets as tall as what
//! they hold, marks over letters. Places are from the baseline, y down.

use super::page::{Ink, Mark, Segment};
use crate::document::math::Accent;

pub(super) fn level(x0: f64, x1: f64, y: f64, weight: f64, ink: Ink) -> Mark {
    Mark::Rule { from: (x0, y), to: (x1, y), weight, ink, dash: None }
}

pub(super) fn path(segments: Vec<Segment>, weight: f64, ink: Ink) -> Mark {
    Mark::Path { segments, weight: Some(weight), ink, dash: None }
}

/// A drawn bracket that reaches `half` above and below the axis, and its width.
pub(super) fn bracket(
    sign: char,
    opens: bool,
    half: f64,
    axis: f64,
    em: f64,
    weight: f64,
    ink: Ink,
) -> (Option<Mark>, f64) {
    let (top, foot) = (-axis - half, -axis + half);
    let width = match sign {
        '|' => 0.26 * em,
        '[' | ']' => 0.30 * em,
        // Taller ones bow out a little further.
        _ => (0.26 * em + 0.05 * half).min(0.5 * em),
    };
    let (near, far) = (0.06 * em, width - 0.06 * em);
    // Drawn as one that opens, and turned round where it closes.
    let at = |x: f64| if opens { x } else { width - x };
    let middle = -axis;
    let segments = match sign {
        '|' => {
            let x = width / 2.0;
            vec![Segment::Move(x, top), Segment::Line(x, foot)]
        }
        '[' | ']' => vec![
            Segment::Move(at(far), top),
            Segment::Line(at(near), top),
            Segment::Line(at(near), foot),
            Segment::Line(at(far), foot),
        ],
        '{' | '}' => {
            let stem = (near + far) / 2.0;
            let bend = (0.25 * em).min(half / 2.0);
            vec![
                Segment::Move(at(far), top),
                Segment::Curve((at(stem), top), (at(stem), top), (at(stem), top + bend)),
                Segment::Line(at(stem), middle - bend),
                Segment::Curve((at(stem), middle), (at(stem), middle), (at(near), middle)),
                Segment::Curve((at(stem), middle), (at(stem), middle), (at(stem), middle + bend)),
                Segment::Line(at(stem), foot - bend),
                Segment::Curve((at(stem), foot), (at(stem), foot), (at(far), foot)),
            ]
        }
        '(' | ')' => vec![
            Segment::Move(at(far), top),
            // Control points so that the curve's own middle touches `near`.
            Segment::Curve(
                (at(near - (far - near) / 3.0), top + 0.6 * half),
                (at(near - (far - near) / 3.0), foot - 0.6 * half),
                (at(far), foot),
            ),
        ],
        _ => return (None, 0.0),
    };
    (Some(path(segments, weight, ink)), width)
}

/// A mark over what stands between `x0` and `x1`, at a height above the baseline.
pub(super) fn accent(
    accent: Accent,
    x0: f64,
    x1: f64,
    height: f64,
    em: f64,
    weight: f64,
    ink: Ink,
) -> Vec<Mark> {
    let y = -height;
    let middle = (x0 + x1) / 2.0;
    let wing = 0.11 * em;
    match accent {
        Accent::Bar => vec![level(x0, x1, y, weight, ink)],
        Accent::Hat => vec![path(
            vec![
                Segment::Move(middle - 1.4 * wing, y),
                Segment::Line(middle, y - wing),
                Segment::Line(middle + 1.4 * wing, y),
            ],
            weight,
            ink,
        )],
        Accent::Arrow => vec![
            level(x0, x1, y, weight, ink),
            path(
                vec![
                    Segment::Move(x1 - wing, y - 0.6 * wing),
                    Segment::Line(x1, y),
                    Segment::Line(x1 - wing, y + 0.6 * wing),
                ],
                weight,
                ink,
            ),
        ],
        // A dash of no length with round ends is a dot.
        Accent::Dot => vec![Mark::Path {
            segments: vec![Segment::Move(middle, y), Segment::Line(middle + 0.01, y)],
            weight: Some(2.2 * weight),
            ink,
            dash: Some((0.0, 1.0)),
        }],
    }
}

/// A mark at another size, from the baseline's left end.
pub(super) fn scale(mark: &mut Mark, by: f64) {
    let point = |p: &mut (f64, f64)| {
        p.0 *= by;
        p.1 *= by;
    };
    match mark {
        Mark::Text { size, x, baseline, .. } => {
            *size *= by;
            *x *= by;
            *baseline *= by;
        }
        Mark::Rule { from, to, weight, .. } => {
            point(from);
            point(to);
            *weight *= by;
        }
        Mark::Box { x, y, width, height, .. } => {
            for length in [x, y, width, height] {
                *length *= by;
            }
        }
        Mark::Path { segments, weight, .. } => {
            *weight = weight.map(|weight| weight * by);
            for segment in segments {
                match segment {
                    Segment::Move(x, y) | Segment::Line(x, y) => {
                        *x *= by;
                        *y *= by;
                    }
                    Segment::Curve(a, b, c) => {
                        point(a);
                        point(b);
                        point(c);
                    }
                    Segment::Close => {}
                }
            }
        }
        // No formula has any.
        Mark::Holed { .. } | Mark::Pixels { .. } => {}
        Mark::Said { marks, .. } => {
            for mark in marks {
                scale(mark, by);
            }
        }
    }
}
