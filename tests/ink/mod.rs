//! What of a page is inked, from the outlines of the faces: the box of each glyph, and
//! the words of marks.

use std::collections::BTreeMap;

use stillroom::composing::faces::Faces;
use stillroom::composing::page::{Face, Glyph, Mark, Segment};

/// Left, top, right, bottom, in points.
pub(crate) type Bounds = (f64, f64, f64, f64);

/// A text on the page: its words, its glyphs' boxes and the box of them all.
pub(crate) struct Inked {
    pub(crate) said: String,

    pub(crate) size: f64,

    pub(crate) baseline: f64,
    pub(crate) all: Bounds,
    pub(crate) glyphs: Vec<Bounds>,
    /// The place of its mark among the page's.
    pub(crate) at: usize,
}

pub(crate) struct Outlines(BTreeMap<Face, ttf_parser::Face<'static>>);

impl Outlines {
    pub(crate) fn of(faces: &Faces) -> Outlines {
        let all = [Face::Regular, Face::Italic, Face::Semibold, Face::Bold, Face::Fallback];
        let read = |face| ttf_parser::Face::parse(faces.bytes(face), 0).expect("a sound face");
        Outlines(all.into_iter().map(|face| (face, read(face))).collect())
    }

    /// The texts of some marks, those of formulas too.
    pub(crate) fn texts(&self, marks: &[Mark]) -> Vec<Inked> {
        let mut found = Vec::new();
        for (at, mark) in marks.iter().enumerate() {
            self.collect(mark, at, &mut found);
        }
        found
    }

    fn collect(&self, mark: &Mark, at: usize, to: &mut Vec<Inked>) {
        match mark {
            Mark::Said { marks, .. } => marks.iter().for_each(|mark| self.collect(mark, at, to)),
            Mark::Text { face, size, x, baseline, glyphs, .. } => {
                let boxes = self.boxes(*face, *size, (*x, *baseline), glyphs);
                let Some(all) = boxes.iter().copied().reduce(around) else { return };
                to.push(Inked {
                    said: glyphs.iter().map(|glyph| glyph.text.as_str()).collect(),

                    size: *size,

                    baseline: *baseline,
                    all,
                    glyphs: boxes,
                    at,
                });
            }
            _ => {}
        }
    }

    fn boxes(&self, face: Face, size: f64, (x, y): (f64, f64), glyphs: &[Glyph]) -> Vec<Bounds> {
        let face = &self.0[&face];
        let unit = size / f64::from(face.units_per_em());
        let mut pen = x;
        let mut boxes = Vec::new();
        for glyph in glyphs {
            if let Some(b) = face.glyph_bounding_box(ttf_parser::GlyphId(glyph.id)) {
                let across = |v: i16| pen + unit * f64::from(v);
                let down = |v: i16| y - unit * f64::from(v);
                boxes.push((across(b.x_min), down(b.y_max), across(b.x_max), down(b.y_min)));
            }
            pen += glyph.advance * size / 1000.0;
        }
        boxes
    }
}

pub(crate) fn around(a: Bounds, b: Bounds) -> Bounds {
    (a.0.min(b.0), a.1.min(b.1), a.2.max(b.2), a.3.max(b.3))
}

/// Whether two boxes share more than `by` points in both directions.
pub(crate) fn meet(a: Bounds, b: Bounds, by: f64) -> bool {
    a.2.min(b.2) - a.0.max(b.0) > by && a.3.min(b.3) - a.1.max(b.1) > by
}

/// The box of a mark that is no text, by its corners.
pub(crate) fn drawn(mark: &Mark) -> Option<Bounds> {
    let of = |points: &[(f64, f64)]| points.iter().map(|(x, y)| (*x, *y, *x, *y)).reduce(around);
    match mark {
        Mark::Rule { from, to, .. } => of(&[*from, *to]),
        Mark::Box { x, y, width, height, .. } => Some((*x, *y, x + width, y + height)),
        Mark::Path { segments, .. } => {
            let points: Vec<(f64, f64)> = segments
                .iter()
                .flat_map(|segment| match segment {
                    Segment::Move(x, y) | Segment::Line(x, y) => vec![(*x, *y)],
                    Segment::Curve(a, b, c) => vec![*a, *b, *c],
                    Segment::Close => Vec::new(),
                })
                .collect();
            of(&points)
        }
        Mark::Pixels { x, y, width, height, .. } => Some((*x, *y, x + width, y + height)),
        Mark::Holed { .. } => None,
        Mark::Said { marks, .. } => marks.iter().filter_map(drawn).reduce(around),
        Mark::Text { .. } => None,
    }
}
