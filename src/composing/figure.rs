//! Figures on pages: a drawing at the size of the sheet, its caption below it.
//!
//! Takes a drawing in millimetres; gives marks. How heavy a line is and where it is
//! broken follows from the role of its shape. What a learner is to write stands as
//! a line; the words go to the teacher's copy alone.

use super::cards;
use super::composer::Composer;
use super::fills;
use super::lines::Type;
use super::page::{Face, Ink, Mark, Segment};
use super::profile::{Measures, Profile};
use super::slab::{NEVER, Slab, level};
use super::slides;
use crate::document::Run;
use crate::figure::{
    Anchor, DROP, Drawing, Label, Move, RISE, Role, Shape, Weight, letter, pieces,
};

/// Millimetres to a point.
const MM: f64 = 25.4 / 72.0;

/// How a kind of sheet draws: the scale at most, the size of labels at that scale, and
/// below which size they do not shrink with the drawing. Sizes in points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Sizes {
    pub(super) most: f64,
    label: f64,
    least: f64,
}

impl Sizes {
    pub(super) const USUAL: Sizes = Sizes { most: 1.0, label: 10.0, least: 0.0 };
    pub(super) const LARGE: Sizes = Sizes { most: 1.6, label: 15.0, least: 0.0 };
    pub(super) const A5: Sizes = Sizes { most: 0.9, label: 9.5, least: 0.0 };
    pub(super) const SLIDE: Sizes = Sizes { most: 2.4, label: 24.0, least: 14.0 };
    pub(super) const CARD: Sizes = Sizes { most: 1.15, label: 10.0, least: 8.5 };

    /// The same, all drawn so much larger.
    pub(super) fn by(self, factor: f64) -> Sizes {
        Sizes { most: self.most * factor, label: self.label * factor, ..self }
    }
}

/// The share of a slide's width that a drawing may take beside the names of its
/// letters, and the space between them in points.
const BESIDE: f64 = 0.5;
const APART: f64 = 24.0;

/// The line for a name to be written: its weight and how far below the baseline it
/// lies, in points.
const BLANK_WEIGHT: f64 = 0.6;
const UNDER: f64 = 2.0;
/// The size of what a learner wrote there, beside that of labels.
const HAND: f64 = 1.3;

/// The cost of a page that ends within a figure.
const CUT: f64 = 300.0;

/// The cost of a page that ends between a stem's figure and the first part. In large print a
/// question rather opens a page.
const LEFT: f64 = 400.0;
const LEFT_IN_LARGE: f64 = 800.0;

/// The white on each side of a leader.
const CASING: f64 = 1.25;

/// What a page keeps beside a figure for its caption and the lines before it, in
/// units.
const KEPT: f64 = 24.0;

/// The room that a sheet gives a figure, in mm of the drawing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FigureRoom {
    pub width: f64,
    pub height: f64,
    /// The size of labels.
    pub em: f64,
}

impl FigureRoom {
    pub fn of(profile: &Profile, in_question: bool) -> FigureRoom {
        let m = Measures::of(profile);
        let indent = if in_question { m.number } else { 0.0 };
        FigureRoom::within(m.text - indent, m.height - KEPT * m.u, m.figures)
    }

    /// The room on a slide where the drawing is made so many times as large as on a page.
    pub fn on_a_slide(scale: f64) -> FigureRoom {
        let (sizes, usual) = (Sizes::SLIDE, Sizes::SLIDE.most);
        let label = sizes.label * scale / usual;
        FigureRoom::within(slides::INSIDE, slides::ROOM, Sizes { most: scale, label, ..sizes })
    }

    /// The scales on a slide, from that with the largest letters to that with letters of
    /// 14 pt.
    pub const ON_A_SLIDE: [f64; 5] = [2.4, 2.1, 1.8, 1.6, 1.4];

    /// The scale on a slide of what takes more room when its letters are smaller.
    pub const PLOT_ON_A_SLIDE: f64 = 1.6;

    /// The room at the foot of a card.
    pub fn on_a_card() -> FigureRoom {
        FigureRoom::within(cards::STEP / MM, cards::STEP / MM, Sizes::CARD)
    }

    fn within(width: f64, height: f64, sizes: Sizes) -> FigureRoom {
        let mm = MM / sizes.most;
        FigureRoom { width: width * mm, height: height * mm, em: sizes.label * mm }
    }
}

/// A drawing with what its block says of it.
pub(super) struct Shown<'a> {
    pub(super) drawing: &'a Drawing,
    pub(super) blanks: bool,
    pub(super) letters: &'a [String],
}

/// The face of a figure's labels.
pub fn label_face(profile: &Profile, weight: Weight) -> Face {
    face(Measures::of(profile).is_heavy(), weight)
}

fn face(heavy: bool, weight: Weight) -> Face {
    match weight {
        Weight::Bold => Face::Bold,
        // All labels are a step heavier, so that names still stand out.
        Weight::Semibold if heavy => Face::Bold,
        Weight::Semibold => Face::Semibold,
        Weight::Regular if heavy => Face::Semibold,
        Weight::Regular => Face::Regular,
    }
}

impl Composer<'_> {
    pub(super) fn figure(&mut self, label: &str, caption: &[Run], shown: &Shown<'_>) {
        self.flush_hanging();
        if self.leads {
            self.keep_with_next();
        }
        let Shown { drawing, blanks, letters } = *shown;
        let m = self.measures;
        let sizes = m.figures;
        let height = if sizes == Sizes::SLIDE { slides::ROOM } else { m.height - KEPT * m.u };
        let width = self.measure() * if letters.is_empty() { 1.0 } else { BESIDE };
        let mut scale = sizes.most.min(width * MM / drawing.width.max(1.0));
        if drawing.whole || sizes == Sizes::SLIDE {
            scale = scale.min(height * MM / drawing.height.max(1.0));
        }
        // Letters have room around them: they are as large as the words beside them.
        let least = if letters.is_empty() { sizes.least } else { sizes.label };
        let size = (sizes.label * scale / sizes.most).max(least);
        let pen = FigurePen { scale: scale / MM, size, left: self.indent };
        let highest = height / pen.scale + 1e-6;
        let parts = pieces(drawing, highest, pen.size / pen.scale);
        for (i, part) in parts.iter().enumerate() {
            let last = i + 1 == parts.len();
            let height = part.height * pen.scale;
            let height = if last { m.whole(height) } else { height };
            let mut slab = Slab { height, ..Slab::default() };
            if i == 0 {
                slab.before = self.u(2.0);
            }
            for shape in &part.shapes {
                self.shape(shape, &pen, &mut slab.marks);
            }
            for label in &part.labels {
                self.figure_label(label, &pen, blanks, &mut slab);
            }
            if last && !letters.is_empty() {
                self.name_letters(letters, pen.left + width + APART, &mut slab);
            }
            slab.glue = if last { NEVER } else { CUT };
            if last {
                let captioned = !label.is_empty() || !caption.is_empty();
                slab.after = self.u(if captioned { 2.0 } else { 3.0 });
            }
            self.push(slab);
        }
        let first = self.slabs.len();
        let mut runs = Vec::with_capacity(caption.len() + 1);
        if !label.is_empty() {
            let gap = if caption.is_empty() { "" } else { "\u{a0}\u{a0}" };
            runs.push(Run { text: format!("{label}{gap}"), bold: true, ..Run::default() });
        }
        runs.extend_from_slice(caption);
        self.text(&runs, self.small(), self.u(2.0));
        let end = self.slabs.len();
        for slab in &mut self.slabs[first..end] {
            slab.glue = NEVER;
        }
        // A question's first part may stand on the next page if need be.
        let facing = self.leads;
        let large = m.figures == Sizes::LARGE;
        let cost = if large { LEFT_IN_LARGE } else { LEFT };
        let (after, cost) = (self.u(3.0), if self.leads { cost } else { 0.0 });
        if let Some(last) = self.slabs.last_mut() {
            last.after = after;
            last.glue = cost;
            last.facing = facing;
        }
    }

    /// What letters stand for, one under another beside the drawing.
    fn name_letters(&self, letters: &[String], x: f64, slab: &mut Slab) {
        let look = self.body();
        let bold = Type { face: Face::Bold, ..look };
        let mut y = 0.0;
        for (i, name) in letters.iter().enumerate() {
            let baseline = y + self.measures.baseline(look.leading, look.size);
            let letter = self.label(&letter(i), bold);
            letter.draw(x, baseline, bold, self.faces, &mut slab.marks);
            let runs = [Run { text: name.clone(), ..Run::default() }];
            let left = x + 1.4 * look.size;
            let room = self.measures.text - left;
            for line in self.set(&runs, look, room) {
                let baseline = y + self.measures.baseline(look.leading, look.size);
                line.draw(left, baseline, look, self.faces, &mut slab.marks);
                y += look.leading;
            }
        }
        slab.height = slab.height.max(y);
    }

    fn figure_label(&self, label: &Label, pen: &FigurePen, blanks: bool, slab: &mut Slab) {
        let face = face(self.measures.is_heavy(), label.weight);
        let look = Type { face, size: pen.size, leading: pen.size, ink: Ink::Black };
        let line = self.label(&label.text, look);
        let blank = label.asked && blanks;
        let by_hand = blank && self.is_marked();
        // What is written by hand fits its line.
        let words = if by_hand { 0.0 } else { line.width };
        let width = if blank { words.max(label.line * pen.scale) } else { words };
        let (x, baseline) = pen.place(label.x, label.y);
        let left = match label.anchor {
            Anchor::Start => x,
            Anchor::Middle => x - width / 2.0,
            Anchor::End => x - width,
        };
        if label.gap {
            slab.marks.push(Mark::Box {
                x: left - 2.0,
                y: baseline - RISE * pen.size,
                width: width + 4.0,
                height: (RISE + DROP) * pen.size,
                weight: None,
                ink: Ink::White,
            });
        }
        if blank {
            let under = baseline + UNDER;
            let weight = self.measures.rule(BLANK_WEIGHT);
            slab.marks.push(level(left, left + width, under, weight));
            if by_hand {
                let runs = [Run { text: label.text.clone(), ..Run::default() }];
                let (face, size) = (self.measures.face(Face::Regular), HAND * pen.size);
                let look = Type { face, size, ..look };
                let within = (left + 2.0, left + width);
                self.handwritten(&runs, look, within, false, baseline, &mut slab.added);
            } else {
                line.draw(left + 2.0, baseline, look, self.faces, &mut slab.added);
            }
        } else {
            line.draw(left, baseline, look, self.faces, &mut slab.marks);
        }
    }

    fn shape(&self, shape: &Shape, pen: &FigurePen, to: &mut Vec<Mark>) {
        let m = &self.measures;
        let path = pen.path(&shape.path);
        let stroke = |weight: f64, ink, dash| Mark::Path {
            segments: path.clone(),
            weight: Some(m.rule(weight)),
            ink,
            dash,
        };
        let fill = |ink| Mark::Path { segments: path.clone(), weight: None, ink, dash: None };
        let black = |weight| stroke(weight, Ink::Black, None);
        let exactly = |weight| Mark::Path {
            segments: path.clone(),
            weight: Some(weight),
            ink: Ink::Grey,
            dash: None,
        };
        let closed = shape.path.iter().any(|step| matches!(step, Move::Close));
        match shape.role {
            Role::Wall | Role::Stream | Role::Axis | Role::Outline => to.push(black(1.0)),
            Role::Thin => to.push(black(0.5)),
            Role::Dashed => to.push(stroke(0.8, Ink::Black, Some((2.4, 1.6)))),
            Role::Strong | Role::Product => to.push(black(1.6)),
            Role::Recycle => to.push(stroke(1.0, Ink::Black, Some((5.0, 2.5)))),
            Role::Solid => to.push(fill(Ink::Black)),
            Role::Front => to.extend([fill(Ink::White), black(1.0)]),
            Role::Matter if closed => to.push(fill(Ink::Black)),
            Role::Matter => to.push(black(0.5)),
            Role::Leader => {
                to.push(stroke(0.5 + 2.0 * CASING, Ink::White, None));
                to.push(black(0.5));
            }
            Role::Grid => to.push(exactly(m.grid(false))),
            Role::GridStrong => to.push(exactly(m.grid(true))),
            Role::Data(series) => {
                let dash = match series % 3 {
                    0 => None,
                    1 => Some((5.0, 3.0)),
                    _ => Some((1.0, 2.5)),
                };
                to.push(stroke(1.4, Ink::Black, dash));
            }
            Role::Hatched => {
                let hatch = fills::hatched(&path);
                to.push(Mark::Path {
                    segments: hatch,
                    weight: Some(m.rule(1.0)),
                    ink: Ink::Black,
                    dash: None,
                });
                to.push(black(0.8));
            }
            Role::Dotted => {
                let dots = fills::dotted(&path);
                to.push(Mark::Path { segments: dots, weight: None, ink: Ink::Black, dash: None });
                to.push(black(0.8));
            }
        }
    }
}

/// From millimetres of a drawing to points of a page.
struct FigurePen {
    scale: f64,
    size: f64,
    left: f64,
}

impl FigurePen {
    fn place(&self, x: f64, y: f64) -> (f64, f64) {
        (self.left + x * self.scale, y * self.scale)
    }

    fn path(&self, moves: &[Move]) -> Vec<Segment> {
        let at = |(x, y): (f64, f64)| self.place(x, y);
        moves
            .iter()
            .map(|step| match *step {
                Move::To(x, y) => {
                    let (x, y) = at((x, y));
                    Segment::Move(x, y)
                }
                Move::Line(x, y) => {
                    let (x, y) = at((x, y));
                    Segment::Line(x, y)
                }
                Move::Curve(a, b, end) => Segment::Curve(at(a), at(b), at(end)),
                Move::Close => Segment::Close,
            })
            .collect()
    }
}
