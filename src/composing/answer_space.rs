//! The room above an answer line: blank, ruled, framed to draw in, graph paper.
//!
//! Takes what an answer asks for; gives slabs, with a key's working where it has a
//! place. A key's room is as large as a learner's.

use super::answers::BESIDE;
use super::composer::Composer;
use super::page::{Ink, Mark, Segment};
use super::slab::{NEVER, Slab, upright};
use crate::document::{Answer, Room};

/// Ruled lines by marks, and how many each further mark adds.
const LINES: [u32; 7] = [2, 2, 3, 4, 6, 8, 11];
const FURTHER: u32 = 2;

/// A frame to draw in: its height for no mark and for each, in mm.
const FRAME: (f64, f64) = (40.0, 10.0);

/// The side of a small square of graph paper in mm; every fifth line is bolder.
const SQUARE: f64 = 2.0;
const BOLD: usize = 5;

/// Blank room for one mark and for each further one, in units: in an examination more is
/// written down.
const ON_A_SHEET: (f64, f64) = (8.0, 5.0);
const ON_A_PAPER: (f64, f64) = (14.0, 8.0);

/// What a page keeps beside a frame or grid for the words that lead to it, in units.
const KEPT: f64 = 40.0;

/// What answer lines take below graph paper, in units; what it costs if the paper stands on the
/// page that faces its demand.
const ANSWERED: f64 = 10.0;
const FACING: f64 = 400.0;

impl Composer<'_> {
    pub(super) fn room(&mut self, answer: &Answer) {
        let m = self.measures;
        match answer.room {
            // For one mark and for each further one, within reason.
            Room::Usual => {
                let further = f64::from(answer.marks.saturating_sub(1).min(12));
                let (first, each) = if self.is_paper() { ON_A_PAPER } else { ON_A_SHEET };
                self.blank_room(answer, self.u(first + each * further));
            }
            Room::None => {}
            Room::Blank(height) => self.blank_room(answer, self.fitting(m.mm(height))),
            Room::Ruled(lines) => {
                let lines = lines.unwrap_or_else(|| lines_for(answer.marks));
                self.ruled_room(answer, lines);
            }
            Room::Drawing(height) => {
                let usual = FRAME.0 + FRAME.1 * f64::from(answer.marks.min(12));
                self.frame_to_draw_in(answer, self.fitting(m.mm(height.unwrap_or(usual))));
            }
            Room::Graph(width, height) => self.graph_paper(m.mm(width), m.mm(height)),
        }
    }

    /// A height that leaves room for words on its page.
    fn fitting(&self, height: f64) -> f64 {
        height.min(self.measures.height - self.u(KEPT))
    }

    fn blank_room(&mut self, answer: &Answer, height: f64) {
        let mut slab = Slab { height: self.measures.whole(height), ..Slab::default() };
        self.write_if_any(answer, &mut slab);
        self.push(slab);
    }

    fn write_if_any(&self, answer: &Answer, slab: &mut Slab) {
        if !answer.working.is_empty() || !answer.mistakes.is_empty() {
            self.write_working(answer, slab);
        }
        if let Some(judged) = &answer.judged {
            self.judged(judged, slab);
        }
    }

    /// A key's working stands on the lines, one link a line; what does not fit is told
    /// by where it stands.
    fn ruled_room(&mut self, answer: &Answer, count: u32) {
        let first = self.slabs.len();
        self.ruled_lines(count);
        let m = self.measures;
        let look = self.legible(2.5, 3.25);
        let room = m.text - self.indent - BESIDE;
        let mut lines = self.working_lines(&answer.working, look, room);
        if lines.len() > count as usize {
            lines = vec![self.label(&format!("see worked answers, {}", answer.see), look)];
        }
        let x = self.indent;
        let (faces, weight) = (self.faces, m.rule(1.4));
        for (line, slab) in lines.into_iter().zip(&mut self.slabs[first..]) {
            let mut rule = upright(x + weight / 2.0, 1.0, slab.height - 2.0, weight);
            if let Mark::Rule { ink, .. } = &mut rule {
                *ink = Ink::Water;
            }
            slab.added.push(rule);
            // Clear of the line below, with its descenders.
            let baseline = slab.height - 0.3 * look.size;
            line.draw(x + BESIDE, baseline, look, faces, &mut slab.added);
        }
        if let Some(last) = self.slabs.last_mut() {
            last.after = 2.0 * m.u;
        }
    }

    fn frame_to_draw_in(&mut self, answer: &Answer, height: f64) {
        let m = self.measures;
        let gap = self.u(1.0);
        let height = m.whole(height);
        let weight = m.rule(0.8);
        let mut slab = Slab { height, ..Slab::default() };
        let (left, inset) = (self.indent, self.u(1.0));
        self.indent += inset;
        self.write_if_any(answer, &mut slab);
        self.indent = left;
        slab.marks.push(Mark::Box {
            x: left + weight / 2.0,
            y: weight / 2.0,
            width: m.text - left - weight,
            height: height - weight,
            weight: Some(weight),
            ink: Ink::Black,
        });
        (slab.before, slab.after) = (gap, gap);
        self.push(slab);
    }

    /// Whole bold squares of graph paper, as many as have been asked for and fit. Large
    /// print has larger ones.
    fn graph_paper(&mut self, width: f64, height: f64) {
        let m = self.measures;
        let scale = if m.figures.most > 1.0 { 2.0 } else { 1.0 };
        let square = m.mm(SQUARE) * scale;
        let bold = BOLD as f64 * square;
        let whole = |length: f64, most: f64| {
            (((scale * length).min(most) + 1e-6) / bold).floor().max(1.0) as usize * BOLD
        };
        let across = whole(width, m.text - self.indent);
        let down = whole(height, m.height - self.u(KEPT));
        let (wide, high) = (across as f64 * square, down as f64 * square);
        let left = self.indent;
        let edge = m.grid(true) / 2.0;
        let mut slab = Slab { height: m.whole(high + 2.0 * edge), ..Slab::default() };
        for strong in [false, true] {
            let mut segments = Vec::new();
            let of = |count: usize| (0..=count).filter(move |i| (i % BOLD == 0) == strong);
            for i in of(across) {
                let x = left + i as f64 * square;
                segments.extend([Segment::Move(x, edge), Segment::Line(x, edge + high)]);
            }
            for i in of(down) {
                let y = edge + i as f64 * square;
                segments.extend([Segment::Move(left, y), Segment::Line(left + wide, y)]);
            }
            let weight = Some(m.grid(strong));
            slab.marks.push(Mark::Path { segments, weight, ink: Ink::Grey, dash: None });
        }
        let gap = self.u(2.0);
        (slab.before, slab.after) = (gap, gap);
        // Beside a long demand with its table there is no room: then the two face each other.
        let first = self.slabs.iter().rposition(|slab| slab.glue < NEVER).map_or(0, |at| at + 1);
        let asked: f64 = self.slabs[first..].iter().map(|s| s.height + s.before.max(s.after)).sum();
        if asked + slab.height + self.u(ANSWERED) > m.height
            && let Some(last) = self.slabs.last_mut()
        {
            last.glue = FACING;
            last.facing = true;
        }
        self.push(slab);
    }
}

/// More for more marks.
fn lines_for(marks: u32) -> u32 {
    let last = LINES.len() - 1;
    let index = (marks as usize).min(last);
    LINES[index] + FURTHER * marks.saturating_sub(last as u32).min(12)
}
