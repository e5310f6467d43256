//! Paths of the pen.
//!
//! Takes the written form of sketches, or a few measures; gives moves. A path is
//! written with `M x y`, `L x y`, `H x`, `V y`, `C` and three points, `Z`, or as a
//! circle `o x y r`; a letter stands for as many pairs as follow it. Never fails
//! quietly: what is not a path gives none.

use super::drawing::Move;

/// How far along a side the handles of a quarter circle lie: 4/3 (sqrt 2 - 1).
const ROUND: f64 = 0.552_284_749_8;
/// Pieces that a curve is cut into to be measured.
const PIECES: usize = 16;

/// A path from its written form.
pub(crate) fn path(text: &str) -> Option<Vec<Move>> {
    let mut words = Words { left: text };
    let mut moves = Vec::new();
    let mut at = (0.0, 0.0);
    let mut letter = words.letter()?;
    loop {
        match letter {
            'M' => {
                at = words.pair()?;
                moves.push(Move::To(at.0, at.1));
                // More pairs after a start are lines.
                letter = 'L';
            }
            'L' | 'H' | 'V' => {
                at = match letter {
                    'H' => (words.number()?, at.1),
                    'V' => (at.0, words.number()?),
                    _ => words.pair()?,
                };
                moves.push(Move::Line(at.0, at.1));
            }
            'C' => {
                let (first, second) = (words.pair()?, words.pair()?);
                at = words.pair()?;
                moves.push(Move::Curve(first, second, at));
            }
            'Z' => moves.push(Move::Close),
            'o' => {
                let (x, y) = words.pair()?;
                moves.extend(circle(x, y, words.number()?));
            }
            _ => return None,
        }
        if words.ended() {
            return Some(moves);
        }
        if let Some(next) = words.letter() {
            letter = next;
        } else if matches!(letter, 'Z' | 'o') {
            return None;
        }
    }
}

/// What of a written path is still to be read.
struct Words<'a> {
    left: &'a str,
}

impl Words<'_> {
    fn ended(&mut self) -> bool {
        self.left = self.left.trim_start_matches([' ', ',', '\n']);
        self.left.is_empty()
    }

    fn letter(&mut self) -> Option<char> {
        self.ended();
        let first = self.left.chars().next().filter(char::is_ascii_alphabetic)?;
        self.left = &self.left[1..];
        Some(first)
    }

    fn number(&mut self) -> Option<f64> {
        self.ended();
        let part = |c: char| c.is_ascii_digit() || c == '.' || c == '-';
        let end = self.left.find(|c| !part(c)).unwrap_or(self.left.len());
        let number = self.left[..end].parse().ok()?;
        self.left = &self.left[end..];
        Some(number)
    }

    fn pair(&mut self) -> Option<(f64, f64)> {
        Some((self.number()?, self.number()?))
    }
}

pub(crate) fn circle(x: f64, y: f64, radius: f64) -> Vec<Move> {
    let (r, k) = (radius, ROUND * radius);
    vec![
        Move::To(x + r, y),
        Move::Curve((x + r, y + k), (x + k, y + r), (x, y + r)),
        Move::Curve((x - k, y + r), (x - r, y + k), (x - r, y)),
        Move::Curve((x - r, y - k), (x - k, y - r), (x, y - r)),
        Move::Curve((x + k, y - r), (x + r, y - k), (x + r, y)),
        Move::Close,
    ]
}

/// The left half of a disc.
pub(crate) fn half_disc(x: f64, y: f64, radius: f64) -> Vec<Move> {
    let (r, k) = (radius, ROUND * radius);
    vec![
        Move::To(x, y + r),
        Move::Curve((x - k, y + r), (x - r, y + k), (x - r, y)),
        Move::Curve((x - r, y - k), (x - k, y - r), (x, y - r)),
        Move::Close,
    ]
}

pub(crate) fn rectangle(x: f64, y: f64, width: f64, height: f64) -> Vec<Move> {
    vec![
        Move::To(x, y),
        Move::Line(x + width, y),
        Move::Line(x + width, y + height),
        Move::Line(x, y + height),
        Move::Close,
    ]
}

/// Straight lines through points.
pub(crate) fn lines(points: &[(f64, f64)]) -> Vec<Move> {
    points
        .iter()
        .enumerate()
        .map(|(index, &(x, y))| if index == 0 { Move::To(x, y) } else { Move::Line(x, y) })
        .collect()
}

/// The moves, each point put elsewhere.
pub(crate) fn moved(path: &[Move], to: impl Fn((f64, f64)) -> (f64, f64)) -> Vec<Move> {
    path.iter()
        .map(|step| match *step {
            Move::To(x, y) => {
                let (x, y) = to((x, y));
                Move::To(x, y)
            }
            Move::Line(x, y) => {
                let (x, y) = to((x, y));
                Move::Line(x, y)
            }
            Move::Curve(first, second, end) => Move::Curve(to(first), to(second), to(end)),
            Move::Close => Move::Close,
        })
        .collect()
}

/// A path as straight pieces from point to point, curves cut up.
pub(crate) fn pieces(path: &[Move]) -> Vec<((f64, f64), (f64, f64))> {
    let mut found = Vec::new();
    let (mut start, mut at) = ((0.0, 0.0), (0.0, 0.0));
    for step in path {
        match *step {
            Move::To(x, y) => {
                start = (x, y);
                at = start;
            }
            Move::Line(x, y) => {
                found.push((at, (x, y)));
                at = (x, y);
            }
            Move::Curve(first, second, end) => {
                let from = at;
                for piece in 1..=PIECES {
                    let t = piece as f64 / PIECES as f64;
                    let to = (
                        bezier(from.0, first.0, second.0, end.0, t),
                        bezier(from.1, first.1, second.1, end.1, t),
                    );
                    found.push((at, to));
                    at = to;
                }
            }
            Move::Close => {
                found.push((at, start));
                at = start;
            }
        }
    }
    found
}

fn bezier(from: f64, first: f64, second: f64, end: f64, t: f64) -> f64 {
    let s = 1.0 - t;
    s * s * s * from + 3.0 * s * s * t * first + 3.0 * s * t * t * second + t * t * t * end
}

/// Whether any of a straight piece lies within left, top, right, bottom.
pub(crate) fn touches((from, to): ((f64, f64), (f64, f64)), area: [f64; 4]) -> bool {
    let [left, top, right, bottom] = area;
    let inside = |p: (f64, f64)| p.0 > left && p.0 < right && p.1 > top && p.1 < bottom;
    inside(from)
        || inside(to)
        || cross((from, to), ((left, top), (right, bottom)))
        || cross((from, to), ((left, bottom), (right, top)))
}

/// Whether two straight pieces cross, inside both.
pub(crate) fn cross(a: ((f64, f64), (f64, f64)), b: ((f64, f64), (f64, f64))) -> bool {
    let side = |from: (f64, f64), to: (f64, f64), p: (f64, f64)| {
        (to.0 - from.0) * (p.1 - from.1) - (to.1 - from.1) * (p.0 - from.0)
    };
    side(a.0, a.1, b.0) * side(a.0, a.1, b.1) < 0.0
        && side(b.0, b.1, a.0) * side(b.0, b.1, a.1) < 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_written_path_is_read_and_slips_are_none() {
        let read = path("M1 2 H4 V-3 L5,6 C0 0 1 1 2 2 Z M7 8 9 10").unwrap();
        assert_eq!(
            read,
            [
                Move::To(1.0, 2.0),
                Move::Line(4.0, 2.0),
                Move::Line(4.0, -3.0),
                Move::Line(5.0, 6.0),
                Move::Curve((0.0, 0.0), (1.0, 1.0), (2.0, 2.0)),
                Move::Close,
                Move::To(7.0, 8.0),
                Move::Line(9.0, 10.0),
            ]
        );
        for wrong in ["", "M1", "M1 2 Q3 4", "Z 3", "1 2", "M1 2 L3 x"] {
            assert_eq!(path(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn a_circle_is_round() {
        for ((x, y), _) in pieces(&circle(3.0, 4.0, 2.0)) {
            let radius = (x - 3.0).hypot(y - 4.0);
            assert!((radius - 2.0).abs() < 0.001, "{radius}");
        }
    }

    #[test]
    fn pieces_cross_only_inside_both() {
        let level = ((0.0, 0.0), (4.0, 0.0));
        assert!(cross(level, ((2.0, -1.0), (2.0, 1.0))));
        assert!(!cross(level, ((2.0, 0.5), (2.0, 1.0))));
        assert!(!cross(level, ((5.0, -1.0), (5.0, 1.0))));
    }
}
