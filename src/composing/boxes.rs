//! Boxes to tick or to write a sign in, lines for answers in words, a bank of words,
//! and what a teacher's copy adds in the room that they leave.

use super::answers::LEAST_COLOURED;
use super::composer::Composer;
use super::feedback::by_hand;
use super::lines::{self, Filling, Line, Type};
use super::page::{Face, Ink, Mark, Segment};
use super::slab::{NEVER, Slab, level, upright};
use crate::document::{BoxItem, Boxes, Run, Runs, Written, plain};

/// A box's side, where its letter and its text stand from the box's left edge, in
/// points beside text of 12 pt.
const SIDE: f64 = 10.0;
const LETTER: f64 = 16.0;
const TEXT: f64 = 30.0;
/// Where the text stands that has no letter.
const CLOSE: f64 = 18.0;
/// What a cell of a row keeps from its text.
const CELL: f64 = 36.0;
/// The solid square of a right option, and how far out its frame stands.
const TICK: f64 = 6.0;
const OUT: f64 = 6.0;
/// The share of a box that a learner's cross fills.
const CROSS: f64 = 0.7;
/// The share of the width that the left of two columns has.
const LEFT: f64 = 0.42;

/// Sizes of a learner's words on ruled lines, in units, the largest that fits first.
const HAND: [f64; 5] = [3.25, 3.0, 2.75, 2.5, 2.25];

impl Composer<'_> {
    fn scaled(&self, points: f64) -> f64 {
        points * self.measures.u / 4.0
    }

    pub(super) fn boxes(&mut self, boxes: &Boxes) {
        self.flush_hanging();
        self.keep_with_next();
        if !boxes.beside.is_empty() {
            self.pairs(boxes);
        } else if boxes.row && self.fits_in_a_row(boxes) {
            self.row_of_boxes(boxes);
        } else {
            let edge = self.measures.text;
            for item in &boxes.boxes {
                let mut slab = Slab { before: self.u(1.0), glue: NEVER, ..Slab::default() };
                self.boxed_item(item, self.indent, edge, &mut slab);
                self.push(slab);
            }
        }
        if boxes.marks > 0 {
            self.marks(boxes.marks);
            if let Some(judged) = &boxes.judged {
                self.given(judged, boxes.marks, true);
            }
            self.glue(50.0);
            self.leads = false;
        }
    }

    fn fits_in_a_row(&self, boxes: &Boxes) -> bool {
        let count = boxes.boxes.len().max(4) as f64;
        let cell = (self.measures.text - self.indent) / count;
        let room = cell - self.scaled(CELL);
        let look = self.body();
        let fits = |item: &BoxItem| lines::one(&item.text, look, self.faces).width <= room;
        !self.measures.is_large() && boxes.boxes.len() <= 5 && boxes.boxes.iter().all(fits)
    }

    fn row_of_boxes(&mut self, boxes: &Boxes) {
        let count = boxes.boxes.len().max(4) as f64;
        let cell = (self.measures.text - self.indent) / count;
        let mut slab = Slab { before: self.u(1.0), glue: NEVER, ..Slab::default() };
        for (n, item) in boxes.boxes.iter().enumerate() {
            let x = self.indent + n as f64 * cell;
            self.boxed_item(item, x, x + cell, &mut slab);
        }
        self.push(slab);
    }

    /// Two columns: boxes to write in at the left, lettered texts at the right.
    fn pairs(&mut self, boxes: &Boxes) {
        let edge = self.measures.text;
        let middle = self.indent + LEFT * (edge - self.indent);
        let rows = boxes.boxes.len().max(boxes.beside.len());
        for n in 0..rows {
            let mut slab = Slab { before: self.u(1.0), glue: NEVER, ..Slab::default() };
            if let Some(item) = boxes.boxes.get(n) {
                self.boxed_item(item, self.indent, middle - self.u(2.0), &mut slab);
            }
            if let Some((label, text)) = boxes.beside.get(n) {
                self.lettered(label, text, middle, self.scaled(LETTER), edge, &mut slab);
            }
            self.push(slab);
        }
    }

    /// A box with its letter and text, up to `edge`, added to a slab.
    fn boxed_item(&self, item: &BoxItem, x: f64, edge: f64, slab: &mut Slab) {
        let side = self.scaled(SIDE);
        let text = if item.label.is_empty() { CLOSE } else { TEXT };
        if !item.label.is_empty() {
            let look = self.look(Face::Bold, 3.0, 4.0);
            let line = self.label(&item.label, look);
            let baseline = self.measures.baseline(look.leading, look.size);
            line.draw(x + self.scaled(LETTER), baseline, look, self.faces, &mut slab.marks);
        }
        self.lettered("", &item.text, x, self.scaled(text), edge, slab);
        let look = self.body();
        let baseline = self.measures.baseline(look.leading, look.size);
        let top = baseline - 0.33 * look.size - side / 2.0;
        let frame = |x: f64, y: f64, side: f64, weight: Option<f64>, ink: Ink| Mark::Box {
            x,
            y,
            width: side,
            height: side,
            weight,
            ink,
        };
        let weight = self.measures.rule(0.8);
        slab.marks.push(frame(x, top, side, Some(weight), Ink::Black));
        if item.ticked && self.is_marked() {
            let arm = CROSS * side / 2.0;
            let (x, y) = (x + side / 2.0, top + side / 2.0);
            let segments = vec![
                Segment::Move(x - arm, y - arm),
                Segment::Line(x + arm, y + arm),
                Segment::Move(x - arm, y + arm),
                Segment::Line(x + arm, y - arm),
            ];
            let weight = Some(self.measures.rule(1.4));
            slab.added.push(Mark::Path { segments, weight, ink: Ink::Black, dash: None });
        } else if item.ticked {
            let tick = self.scaled(TICK);
            let inside = (side - tick) / 2.0;
            slab.added.push(frame(x + inside, top + inside, tick, None, Ink::Water));
            // As wide as the widest of its lines.
            let out = self.scaled(OUT);
            let right =
                x + self.scaled(text) + self.width_of(&item.text, edge - x - self.scaled(text));
            let height = slab.height.max(look.leading);
            slab.added.push(Mark::Box {
                x: x - out / 2.0,
                y: 0.0,
                width: (right - x + out).min(edge - x + out),
                height,
                weight: Some(self.measures.rule(1.4)),
                ink: Ink::Water,
            });
        }
        if !item.fill.is_empty() && self.is_marked() {
            let look = Type { size: side, ..self.look(Face::Regular, 2.5, 4.0) };
            let inside = (x + 1.0, x + side - 1.0);
            let runs = [Run { text: item.fill.clone(), ..Run::default() }];
            self.handwritten(&runs, look, inside, true, top + 0.85 * side, &mut slab.added);
        } else if !item.fill.is_empty() {
            let look = Type { size: side, ..self.look(Face::Bold, 2.25, 4.0) };
            let line = self.label(&item.fill, look);
            let at = x + (side - line.width) / 2.0;
            line.draw(at, top + 0.83 * side, look, self.faces, &mut slab.added);
        }
    }

    fn width_of(&self, text: &Runs, room: f64) -> f64 {
        self.set(text, self.body(), room).iter().map(|line| line.width).fold(0.0, f64::max)
    }

    /// A text that hangs from `indent` behind its letter; the slab grows to hold it.
    fn lettered(&self, label: &str, text: &Runs, x: f64, indent: f64, edge: f64, slab: &mut Slab) {
        let look = self.body();
        if !label.is_empty() {
            let bold = self.look(Face::Bold, 3.0, 4.0);
            let baseline = self.measures.baseline(bold.leading, bold.size);
            self.label(label, bold).draw(x, baseline, bold, self.faces, &mut slab.marks);
        }
        let mut y = 0.0;
        for line in self.set(text, look, (edge - x - indent).max(self.u(8.0))) {
            let (height, baseline) = self.slot(&line, look);
            line.draw(x + indent, y + baseline, look, self.faces, &mut slab.marks);
            slab.baseline = Some(slab.baseline.unwrap_or(0.0).max(y + baseline));
            y += height;
        }
        slab.height = slab.height.max(self.measures.whole(y)).max(look.leading);
    }

    /// Ruled lines with the marks behind the last; a teacher's copy has the points on
    /// them, each with what it earns at the end of its line.
    pub(super) fn written(&mut self, written: &Written) {
        let first = self.slabs.len();
        self.ruled(written.count);
        let first = first.max(self.slabs.len() - written.count as usize);
        if self.is_marked() {
            self.write_by_hand(written, first);
        } else {
            self.write_points(written, first);
        }
        if written.marks > 0 {
            self.marks(written.marks);
            if let Some(judged) = &written.judged {
                self.given(judged, written.marks, true);
            }
        }
        self.glue(50.0);
        self.leads = false;
    }

    fn write_points(&mut self, written: &Written, first: usize) {
        let codes = self.u(9.0);
        let width = self.measures.text - self.indent - codes;
        let looks = [self.legible(2.5, 6.0), self.legible(2.25, 6.0)];
        let look_of = |look: Type| Type {
            ink: if look.size < LEAST_COLOURED { Ink::Black } else { Ink::Water },
            ..look
        };
        // A point stands whole or not at all.
        let set =
            |look: Type, most: usize| -> Vec<(Line, String)> {
                let mut all = Vec::new();
                for (text, code) in &written.texts {
                    let lines = self.set(text, look, width);
                    if all.len() + lines.len() > most {
                        break;
                    }
                    let last = lines.len().saturating_sub(1);
                    all.extend(lines.into_iter().enumerate().map(|(n, line)| {
                        (line, if n == last { code.clone() } else { String::new() })
                    }));
                }
                all
            };
        let count = written.count as usize;
        let mut chosen = looks.into_iter().map(|look| (set(look, usize::MAX), look));
        let fitting = chosen.find(|(lines, _)| lines.len() <= count);
        let (lines, look) = fitting.unwrap_or_else(|| {
            let look = looks[1];
            let mut lines = set(look, count.saturating_sub(1));
            let see = format!("see worked answers, {}", written.see);
            lines.push((self.label(&see, look), String::new()));
            (lines, look)
        });
        let look = look_of(look);
        let (left, right) = (self.indent, self.measures.text);
        for (n, (line, code)) in lines.into_iter().enumerate() {
            let code = self.label(&code, Type { face: Face::Bold, ..look });
            let faces = self.faces;
            let lift = self.u(0.75);
            let Some(slab) = self.slabs.get_mut(first + n) else { break };
            let baseline = slab.height - lift;
            line.draw(left, baseline, look, faces, &mut slab.added);
            let bold = Type { face: Face::Bold, ..look };
            code.clone().draw(right - code.width, baseline, bold, faces, &mut slab.added);
        }
    }

    /// A learner's words on ruled lines: smaller where they are long, and cut off where
    /// they do not fit.
    fn write_by_hand(&mut self, written: &Written, first: usize) {
        let texts = written.texts.iter().map(|(text, _)| by_hand(text)).collect::<Vec<_>>();
        let count = written.count as usize;
        let (left, width) = (self.indent, self.measures.text - self.indent);
        let set = |look: Type, texts: &[Runs]| -> Vec<Line> {
            texts.iter().flat_map(|text| self.set(text, look, width)).collect()
        };
        let looks = HAND.map(|size| self.legible(size, 6.0));
        let fitting = looks.iter().map(|look| (set(*look, &texts), *look));
        let fitting = fitting.into_iter().find(|(lines, _)| lines.len() <= count);
        let (lines, look) = fitting.unwrap_or_else(|| {
            let look = looks[looks.len() - 1];
            let all: Vec<String> = texts.iter().map(|text| plain(text)).collect();
            let mut words: Vec<&str> = all.iter().flat_map(|text| text.split(' ')).collect();
            loop {
                words.pop();
                let text = format!("{} …", words.join(" "));
                let runs = by_hand(&[Run { text, ..Run::default() }]);
                let lines = set(look, &[runs]);
                if lines.len() <= count || words.is_empty() {
                    return (lines, look);
                }
            }
        });
        let (faces, lift) = (self.faces, self.u(0.75));
        for (line, slab) in lines.into_iter().zip(&mut self.slabs[first..]) {
            line.draw(left, slab.height - lift, look, faces, &mut slab.added);
        }
    }

    /// Words to choose from, in a frame as wide as the text.
    pub(super) fn bank(&mut self, words: &[Runs]) {
        self.flush_hanging();
        let m = self.measures;
        let (left, right) = (self.indent, m.text);
        let inside = m.inside(6.0);
        let mut runs: Vec<Run> = Vec::new();
        for (n, word) in words.iter().enumerate() {
            if n > 0 {
                runs.push(Run { text: "\u{a0}\u{a0}\u{a0} ".to_owned(), ..Run::default() });
            }
            // No word is parted from itself.
            runs.extend(
                word.iter().map(|run| Run { text: run.text.replace(' ', "\u{a0}"), ..run.clone() }),
            );
        }
        let look = self.body();
        let set = self.set(&runs, look, right - left - 2.0 * inside);
        let mut slab =
            Slab { before: self.u(1.0), after: self.u(2.0), glue: NEVER, ..Slab::default() };
        let mut y = inside / 2.0;
        for line in set {
            let (height, baseline) = self.slot(&line, look);
            line.draw(left + inside, y + baseline, look, self.faces, &mut slab.marks);
            slab.baseline = Some(y + baseline);
            y += height;
        }
        slab.height = m.whole(y + inside / 2.0);
        let weight = m.rule(0.8);
        for y in [weight / 2.0, slab.height - weight / 2.0] {
            slab.marks.push(level(left, right, y, weight));
        }
        for x in [left + weight / 2.0, right - weight / 2.0] {
            slab.marks.push(upright(x, 0.0, slab.height, weight));
        }
        self.push(slab);
    }

    /// What fills the gaps of a line, in the middle of each.
    pub(super) fn write_fillings(
        &self,
        fillings: Vec<Filling>,
        baseline: f64,
        look: Type,
        to: &mut Vec<Mark>,
    ) {
        for filling in fillings {
            if self.is_marked() {
                let look = Type { ink: Ink::Black, ..self.look(Face::Regular, 3.25, 4.0) };
                let runs = [Run { text: filling.fill, ..Run::default() }];
                let within = (filling.x + 2.0, filling.x + filling.width - 2.0);
                self.handwritten(&runs, look, within, true, baseline, to);
                continue;
            }
            let mut bold = Type { face: Face::Bold, ink: Ink::Water, ..look };
            let mut line = self.label(&filling.fill, bold);
            if line.width > filling.width {
                bold.size *= filling.width / line.width;
                line = self.label(&filling.fill, bold);
            }
            if bold.size < LEAST_COLOURED {
                bold.ink = Ink::Black;
            }
            let x = filling.x + (filling.width - line.width) / 2.0;
            line.draw(x, baseline, bold, self.faces, to);
        }
    }
}
