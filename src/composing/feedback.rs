//! What a marked copy adds: a learner's own writing, ticks and crosses with their codes,
//! and the panel that tells a learner what to do next.

use super::composer::Composer;
use super::lines::{self, Type};
use super::page::{Face, Ink, Mark, Segment};
use super::slab::{NEVER, Slab, upright};
use crate::document::{Judged, Run, Slant, StripCell};

/// Sizes of a tick and a cross, in points, and their weight.
const TICK: f64 = 11.0;
const CROSS: f64 = 9.0;
/// The width of a tick as a share of its size.
const WIDE: f64 = 0.85;
const STROKE: f64 = 1.7;
/// Where notes on mistakes begin, in mm from the left.
const NOTES_AT: f64 = 80.0;
/// Cells of a strip, in mm: width, width of the total's, height.
const CELL: (f64, f64, f64) = (14.0, 22.0, 5.6);
/// Between a cell's side and its words, in points.
const INSIDE: f64 = 3.0;
/// Where the cells begin, in mm.
const CELLS_AT: f64 = 22.0;

impl Composer<'_> {
    /// What a learner wrote, in italics between two places; smaller where it is long.
    pub(super) fn handwritten(
        &self,
        runs: &[Run],
        mut look: Type,
        (from, to): (f64, f64),
        middle: bool,
        baseline: f64,
        to_marks: &mut Vec<Mark>,
    ) {
        if runs.is_empty() {
            return;
        }
        let slanted = by_hand(runs);
        let mut line = lines::one(&slanted, look, self.faces);
        if line.width > to - from {
            look.size *= (to - from) / line.width;
            line = lines::one(&slanted, look, self.faces);
        }
        let x = if middle { from + (to - from - line.width) / 2.0 } else { from };
        line.draw(x, baseline, look, self.faces, to_marks);
    }

    /// The marks given, left of the bracket with those that there are; with a tick or a
    /// cross in the gutter where no sign stands above.
    pub(super) fn given(&mut self, judged: &Judged, of: u32, signed: bool) {
        let bracket = self.label(&format!("[{of}]"), self.body());
        let look = self.look(Face::Bold, 3.25, 4.0);
        let digits = self.label(&judged.given.to_string(), look);
        let x = self.measures.block - bracket.width - 5.0 - digits.width;
        let faces = self.faces;
        let scale = self.measures.u / 4.0;
        // Between the text and the digits; two digits leave no room, so that it stands
        // before the edge of the text.
        let (from, to) = (self.measures.text + 1.5, x - 1.5);
        let (at, scale) = match (to - from) / (WIDE * TICK) {
            room if room < 0.5 * scale => (to - WIDE * TICK * scale, scale),
            room => (from, scale.min(room)),
        };
        let weight = Some(self.measures.rule(STROKE));
        if let Some(last) = self.slabs.last_mut() {
            let baseline = last.baseline.unwrap_or(last.height);
            digits.draw(x, baseline, look, faces, &mut last.added);
            if signed {
                let segments = sign(judged.given > 0, at, baseline, scale);
                last.added.push(Mark::Path { segments, weight, ink: Ink::Kiln, dash: None });
            }
        }
    }

    /// A marker's signs in the working space: one line for each mark above the bracket,
    /// and the note on a mistake.
    pub(super) fn judged(&self, judged: &Judged, slab: &mut Slab) {
        let m = &self.measures;
        let look = Type {
            size: m.legible(2.375 * m.u).min(3.0 * m.u),
            ..self.look(Face::Bold, 2.375, 4.0)
        };
        let pitch = self.u(4.0).min(slab.height / judged.codes.len().max(1) as f64);
        let scale = m.u / 4.0;
        for (back, (code, earned)) in judged.codes.iter().rev().enumerate() {
            let baseline = slab.height - self.u(0.5) - pitch * back as f64;
            let x = m.text - m.mm(1.0);
            slab.added.push(Mark::Path {
                segments: sign(*earned, x, baseline, scale),
                weight: Some(m.rule(STROKE)),
                ink: Ink::Kiln,
                dash: None,
            });
            let line = self.label(code, look);
            line.draw(x + TICK * scale + 2.0, baseline, look, self.faces, &mut slab.added);
        }
        if !judged.note.is_empty() {
            let note = self.legible(2.375, 3.25);
            let left = m.mm(NOTES_AT);
            let set = self.set(&judged.note, note, m.text - left - m.mm(4.0));
            let room = slab.height - self.u(1.0);
            let fitting = set.into_iter().scan(0.0, |height, line| {
                *height += self.heights(std::slice::from_ref(&line), note);
                (*height <= room).then_some(line)
            });
            let fitting: Vec<_> = fitting.collect();
            self.write_lines(fitting, note, left, Ink::Kiln, Some((3.0, 2.0)), slab);
        }
    }

    /// A shelf of its own ink, the title, and whose it is at the right.
    pub(super) fn feedback(&mut self, title: &[Run], right: &[Run]) {
        self.flush_hanging();
        self.leave();
        let mut shelf = self.shelf(2.6, 0.5);
        for mark in &mut shelf.marks {
            if let Mark::Box { ink, .. } = mark {
                *ink = Ink::Kiln;
            }
        }
        shelf.after = self.u(1.5);
        self.push(shelf);
        let look = self.look(Face::Semibold, 3.75, 5.0);
        let beside = self.look(Face::Semibold, 3.0, 4.0);
        let line = lines::one(right, beside, self.faces);
        let at = self.measures.block - line.width;
        let title = lines::one(title, look, self.faces);
        let mut slab = self.line_slab(title, look, 0.0);
        let baseline = slab.baseline.unwrap_or(slab.height);
        line.draw(at, baseline, beside, self.faces, &mut slab.marks);
        slab.glue = NEVER;
        slab.after = self.u(2.0);
        slab.heading = Some((1, "Feedback".to_owned()));
        self.push(slab);
    }

    /// Two rows of cells, the parts and the marks under them, as often as they need it.
    pub(super) fn strip(&mut self, cells: &[StripCell]) {
        let m = self.measures;
        let bold = Type { face: Face::Bold, ..self.small() };
        let wide = |cell: &StripCell| {
            let words = [&cell.head, &cell.says].map(|text| self.label(text, bold).width);
            let least = m.mm(if cell.total { CELL.1 } else { CELL.0 });
            words.into_iter().fold(least, |width, words| width.max(words + 2.0 * INSIDE))
        };
        let usual = cells.iter().filter(|cell| !cell.total).map(wide).fold(0.0, f64::max);
        let widths: Vec<f64> =
            cells.iter().map(|cell| if cell.total { wide(cell) } else { usual }).collect();
        let left = m.mm(CELLS_AT) * if m.is_large() { 1.2 } else { 1.0 };
        let mut from = 0;
        while from < cells.len() {
            let mut x = left;
            let ends = |width: &&f64| {
                x += **width;
                x <= m.block
            };
            let count = widths[from..].iter().take_while(ends).count().max(1);
            let row = &cells[from..(from + count).min(cells.len())];
            // The total stands in the head of the panel, too; it gets no row of its own.
            if from == 0 || !matches!(row, [StripCell { total: true, .. }]) {
                self.row_of_cells(row, &widths[from..], left);
            }
            from += count;
        }
    }

    fn row_of_cells(&mut self, cells: &[StripCell], widths: &[f64], left: f64) {
        let m = self.measures;
        let height = m.mm(CELL.2) * if m.is_large() { 1.5 } else { 1.0 };
        let small = self.small();
        let mut slab =
            Slab { height: m.whole(2.0 * height), after: self.u(1.0), ..Slab::default() };
        let word = |row: f64| row * height + (height + 0.66 * small.size) / 2.0;
        for (row, words) in ["question", "marks"].into_iter().enumerate() {
            let line = self.label(words, small);
            line.draw(0.0, word(row as f64), small, self.faces, &mut slab.marks);
        }
        let mut x = left;
        for (cell, width) in cells.iter().zip(widths.iter().copied()) {
            let weight = m.rule(if cell.total { 1.2 } else { 0.6 });
            for row in [0.0, 1.0] {
                slab.marks.push(Mark::Box {
                    x,
                    y: row * height,
                    width,
                    height,
                    weight: Some(weight),
                    ink: Ink::Black,
                });
            }
            for (row, text, bold) in [(0.0, &cell.head, true), (1.0, &cell.says, cell.full)] {
                let look = Type { face: if bold { Face::Bold } else { Face::Regular }, ..small };
                let line = self.label(text, look);
                let at = x + (width - line.width) / 2.0;
                line.draw(at, word(row), look, self.faces, &mut slab.marks);
            }
            x += width;
        }
        self.push(slab);
    }

    /// A heading and lines behind an upright rule.
    pub(super) fn told(&mut self, heading: &[Run], lines: &[Vec<Run>], dashed: bool) {
        self.flush_hanging();
        let edge = self.indent;
        let start = self.slabs.len();
        if heading.is_empty() {
            // A remark on the answer above it stays with it.
            self.keep_with_next();
            self.indent = self.deeper(self.u(3.0));
        } else {
            self.indent = self.deeper(self.measures.mm(10.0));
        }
        let head = self.look(Face::Semibold, 3.0, 4.0);
        if !heading.is_empty() {
            self.text(heading, head, self.u(3.0));
            self.keep_with_next();
        }
        for (n, line) in lines.iter().enumerate() {
            let before = if n == 0 && heading.is_empty() { self.u(1.0) } else { 0.0 };
            self.text(line, self.body(), before);
            self.keep_with_next();
        }
        self.glue(0.0);
        self.indent = edge;
        self.fuse(start);
        let weight = self.measures.rule(2.0);
        for slab in &mut self.slabs[start..] {
            let mut rule = upright(edge + weight / 2.0, 0.0, slab.height, weight);
            if let Mark::Rule { ink, dash, .. } = &mut rule {
                *ink = if dashed { Ink::Kiln } else { Ink::Water };
                *dash = dashed.then_some((3.0, 2.0));
            }
            slab.marks.push(rule);
        }
        if let Some(last) = self.slabs.last_mut() {
            last.after = last.after.max(2.0 * self.measures.u);
        }
    }
}

/// Text as a learner's own writing.
pub(super) fn by_hand(runs: &[Run]) -> Vec<Run> {
    runs.iter().map(|run| Run { slant: Slant::Italic, ..run.clone() }).collect()
}

fn sign(earned: bool, x: f64, baseline: f64, scale: f64) -> Vec<Segment> {
    if earned { tick(x, baseline, TICK * scale) } else { cross(x, baseline, CROSS * scale) }
}

/// A tick that stands on the baseline.
fn tick(x: f64, baseline: f64, z: f64) -> Vec<Segment> {
    // The figure's own y runs up from the foot of the tick.
    let at = |dx: f64, dy: f64| (x + dx * z, baseline - z * 0.78 + dy * z);
    let (a, b, c) = (at(0.0, 0.40), at(0.3, 0.78), at(WIDE, 0.0));
    vec![Segment::Move(a.0, a.1), Segment::Line(b.0, b.1), Segment::Line(c.0, c.1)]
}

fn cross(x: f64, baseline: f64, z: f64) -> Vec<Segment> {
    let w = 0.75 * z;
    vec![
        Segment::Move(x, baseline - w),
        Segment::Line(x + w, baseline),
        Segment::Move(x, baseline),
        Segment::Line(x + w, baseline - w),
    ]
}
