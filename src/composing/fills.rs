//! Areas filled without a tint: with slanted lines, or with dots.
//!
//! Takes the outline of an area in points; gives the lines or dots inside it.

use super::page::Segment;

/// Slanted lines stand so far apart, dots too; a dot's radius.
const LINES: f64 = 3.5;
const DOTS: f64 = 4.0;
const DOT: f64 = 0.8;

/// Straight pieces that a curve is taken for.
const PIECES: usize = 12;

/// Lines at 45 degrees inside an outline.
pub(super) fn hatched(outline: &[Segment]) -> Vec<Segment> {
    let edges = edges(outline);
    let along = |(x, y): (f64, f64)| x + y;
    let (low, high) = bounds(edges.iter().flat_map(|(a, b)| [along(*a), along(*b)]));
    let mut out = Vec::new();
    let mut at = (low / LINES).ceil() * LINES;
    while at < high {
        // Where the line x + y = at meets the edges.
        let mut meets: Vec<f64> = edges
            .iter()
            .filter_map(|(a, b)| {
                let (p, q) = (along(*a) - at, along(*b) - at);
                ((p < 0.0) != (q < 0.0)).then(|| a.0 + p / (p - q) * (b.0 - a.0))
            })
            .collect();
        meets.sort_by(f64::total_cmp);
        for pair in meets.chunks_exact(2) {
            out.push(Segment::Move(pair[0], at - pair[0]));
            out.push(Segment::Line(pair[1], at - pair[1]));
        }
        at += LINES;
    }
    out
}

/// Dots wholly inside an outline.
pub(super) fn dotted(outline: &[Segment]) -> Vec<Segment> {
    let edges = edges(outline);
    let (left, right) = bounds(edges.iter().flat_map(|(a, b)| [a.0, b.0]));
    let (top, foot) = bounds(edges.iter().flat_map(|(a, b)| [a.1, b.1]));
    let mut out = Vec::new();
    let mut y = top + DOTS / 2.0;
    while y < foot {
        let mut x = left + DOTS / 2.0;
        while x < right {
            let r = DOT;
            let round = [(x - r, y), (x + r, y), (x, y - r), (x, y + r)];
            if round.iter().all(|point| is_inside(&edges, *point)) {
                let k = 0.552_285 * r;
                out.extend([
                    Segment::Move(x + r, y),
                    Segment::Curve((x + r, y + k), (x + k, y + r), (x, y + r)),
                    Segment::Curve((x - k, y + r), (x - r, y + k), (x - r, y)),
                    Segment::Curve((x - r, y - k), (x - k, y - r), (x, y - r)),
                    Segment::Curve((x + k, y - r), (x + r, y - k), (x + r, y)),
                    Segment::Close,
                ]);
            }
            x += DOTS;
        }
        y += DOTS;
    }
    out
}

type Point = (f64, f64);

/// The outline as straight edges, closed.
fn edges(outline: &[Segment]) -> Vec<(Point, Point)> {
    let mut found = Vec::new();
    let (mut first, mut pen) = ((0.0, 0.0), (0.0, 0.0));
    for segment in outline {
        match *segment {
            Segment::Move(x, y) => {
                found.push((pen, first));
                first = (x, y);
                pen = first;
            }
            Segment::Line(x, y) => {
                found.push((pen, (x, y)));
                pen = (x, y);
            }
            Segment::Curve(a, b, end) => {
                let start = pen;
                for i in 1..=PIECES {
                    let t = i as f64 / PIECES as f64;
                    let s = 1.0 - t;
                    let mix = |p: f64, q: f64, r: f64, e: f64| {
                        s * s * s * p + 3.0 * s * s * t * q + 3.0 * s * t * t * r + t * t * t * e
                    };
                    let next = (mix(start.0, a.0, b.0, end.0), mix(start.1, a.1, b.1, end.1));
                    found.push((pen, next));
                    pen = next;
                }
            }
            Segment::Close => {
                found.push((pen, first));
                pen = first;
            }
        }
    }
    found.push((pen, first));
    found.retain(|(a, b)| a != b);
    found
}

fn bounds(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)))
}

fn is_inside(edges: &[(Point, Point)], (x, y): Point) -> bool {
    let crossed = edges
        .iter()
        .filter(|(a, b)| (a.1 > y) != (b.1 > y) && x < a.0 + (y - a.1) / (b.1 - a.1) * (b.0 - a.0));
    crossed.count() % 2 == 1
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A ring of two squares: 40 points wide with a hole of 20.
    fn ring() -> Vec<Segment> {
        let square = |from: f64, to: f64| {
            [
                Segment::Move(from, from),
                Segment::Line(to, from),
                Segment::Line(to, to),
                Segment::Line(from, to),
                Segment::Close,
            ]
        };
        square(0.0, 40.0).into_iter().chain(square(10.0, 30.0)).collect()
    }

    #[test]
    fn fills_stay_out_of_a_hole_and_inside_the_outline() {
        let in_hole = |x: f64, y: f64| x > 10.01 && x < 29.99 && y > 10.01 && y < 29.99;
        let outside = |x: f64, y: f64| !(-0.01..40.01).contains(&x) || !(-0.01..40.01).contains(&y);
        let lines = hatched(&ring());
        assert!(lines.len() > 30);
        for pair in lines.chunks(2) {
            let [Segment::Move(a, b), Segment::Line(c, d)] = pair else { panic!("{pair:?}") };
            assert!(!in_hole((a + c) / 2.0, (b + d) / 2.0), "{pair:?}");
            assert!(!outside(*a, *b) && !outside(*c, *d), "{pair:?}");
        }
        let dots = dotted(&ring());
        assert!(dots.len() > 60);
        for segment in dots {
            if let Segment::Move(x, y) = segment {
                assert!(!in_hole(x, y) && !outside(x, y));
            }
        }
    }
}
