//! The blocks that Markdown has of itself: headings, paragraphs, lists, boxes.

use super::composer::{Composer, Hanging};
use super::lines::{self, Line, Type};
use super::page::{Face, Ink, Mark, Segment};
use super::slab::{NEVER, Slab, level, solid, upright};
use crate::document::math::Row;
use crate::document::{Block, ListItem, Run, plain};

/// The strip of slanted bars along the top of a caution, in points.
const STRIP: f64 = 6.0;
const BAR: f64 = 2.6;
const PITCH: f64 = 8.0;
const INSIDE: f64 = 7.0;

impl Composer<'_> {
    pub(super) fn heading(&mut self, depth: u8, runs: &[Run]) {
        if runs.is_empty() {
            return;
        }
        if self.group != 0 {
            // Within a question a heading is a line of its text.
            self.text(runs, self.look(Face::Semibold, 3.0, 4.0), self.u(2.0));
            self.keep_with_next();
            return;
        }
        self.flush_hanging();
        self.leave();
        let (look, before, after) = match depth {
            0..=2 => (self.look(Face::Semibold, 3.75, 5.0), 6.0, 2.0),
            3 => (self.look(Face::Semibold, 3.0, 4.0), 4.0, 0.0),
            _ => (self.look(Face::Bold, 3.0, 4.0), 3.0, 0.0),
        };
        let (before, after) = (self.u(before), self.u(after));
        if depth <= 2 {
            let mut slab = self.shelf(2.6, 0.5);
            slab.before = before;
            slab.after = self.u(1.5);
            self.push(slab);
        }
        let set = self.set(runs, look, self.measures.text);
        let count = set.len();
        for (i, line) in set.into_iter().enumerate() {
            let mut slab = self.line_slab(line, look, 0.0);
            slab.glue = NEVER;
            if i == 0 {
                slab.heading = Some((usize::from(depth.clamp(2, 4)) - 1, plain(runs)));
                slab.before = if depth <= 2 { 0.0 } else { before };
            }
            if i + 1 == count {
                slab.after = after;
                slab.heading = slab.heading.or(Some((0, String::new())));
            }
            self.push(slab);
        }
    }

    /// Out of any question: text at the left again.
    pub(super) fn leave(&mut self) {
        self.indent = 0.0;
        self.leads = false;
        self.framed = false;
        self.group = 0;
    }

    /// A shelf across the block: thin, its first stretch thick.
    pub(super) fn shelf(&self, thick: f64, thin: f64) -> Slab {
        let m = &self.measures;
        let (thick, thin) = (m.rule(thick), m.rule(thin));
        let marks =
            vec![solid(0.0, 0.0, m.number, thick), solid(m.number, 0.0, m.block - m.number, thin)];
        Slab { marks, glue: NEVER, ..Slab::default() }
    }

    pub(super) fn paragraph(&mut self, runs: &[Run]) {
        let from = self.slabs.len();
        self.text(runs, self.body(), self.u(2.0));
        if runs.iter().all(|run| run.bold) && self.slabs.len() == from + 1 {
            // A bold line is a heading in all but name.
            self.slabs[from].heading = Some((0, String::new()));
        }
    }

    /// A formula on lines of its own, at the left edge of the text.
    pub(super) fn formula(&mut self, run: &Run) {
        let Some(math) = &run.math else { return };
        if self.hanging.is_empty() && self.slabs.last().is_some_and(|slab| slab.heading.is_none()) {
            // It ends the sentence before it.
            self.keep_with_next();
        }
        let look = self.body();
        let room = self.measure();
        let set = |row: &Row, width: f64| lines::formula(row, look, width, self.faces);
        let width = |lines: &[Line]| lines.iter().map(|line| line.width).fold(0.0, f64::max);
        let lefts: Vec<Vec<Line>> = math.lines.iter().map(|line| set(&line.left, room)).collect();
        let widest = lefts.iter().map(|left| width(left)).fold(0.0, f64::max);
        // Signs stand under each other where enough room is left beside them.
        let aligned = widest > 0.0 && widest < 0.6 * room;
        let gap = if aligned { 0.28 * look.size } else { 0.0 };
        let mut slabs = Vec::new();
        for (line, left) in math.lines.iter().zip(lefts) {
            if !aligned {
                let whole: Row = line.left.iter().chain(&line.right).cloned().collect();
                slabs.extend(set(&whole, room).into_iter().map(|line| (None, line)));
                continue;
            }
            let mut left = left.into_iter().next();
            let mut rights = set(&line.right, room - widest - gap).into_iter();
            let first = rights.next().unwrap_or_default();
            slabs.push((left.take(), first));
            slabs.extend(rights.map(|line| (None, line)));
        }
        let before = self.u(2.0);
        let count = slabs.len();
        for (i, (left, line)) in slabs.into_iter().enumerate() {
            let indent = self.indent;
            let slab = if aligned {
                let left = left.unwrap_or_default();
                self.hanging.push(Hanging { x: indent + widest - left.width, line: left, look });
                self.line_slab(line, look, indent + widest + gap)
            } else {
                self.line_slab(line, look, indent)
            };
            let before = if i == 0 { before } else { self.u(1.0) };
            let after = if i + 1 == count { self.u(2.0) } else { 0.0 };
            let glue = if self.leads || i + 1 < count { NEVER } else { 0.0 };
            self.push(Slab { before, after, glue, ..slab });
        }
    }

    pub(super) fn literal(&mut self, lines: &[String]) {
        let look = self.body();
        for (i, line) in lines.iter().enumerate() {
            let indented = line.trim_start_matches([' ', '\t']);
            let blanks = line[..line.len() - indented.len()].replace('\t', "    ");
            let text = "\u{a0}".repeat(blanks.len()) + indented;
            let run = Run { text, ..Run::default() };
            let before = if i == 0 { self.u(2.0) } else { 0.0 };
            self.text(&[run], look, before);
        }
    }

    pub(super) fn list(&mut self, start: Option<u64>, tight: bool, items: &[ListItem]) {
        let edge = self.indent;
        let m = self.measures;
        // Numbers stand in the margin of a step, dashes a little way in.
        let (mark_at, text_at) = match start {
            Some(_) if edge == 0.0 => (0.0, m.mm(8.0)),
            _ => (m.mm(5.0), m.mm(10.0)),
        };
        let look = self.body();
        if self.slabs.last().is_some_and(|slab| slab.glue == 0.0) {
            // The text that leads to a list.
            self.keep_with_next();
        }
        let mut laid = Vec::new();
        for (i, item) in items.iter().enumerate() {
            let first = self.slabs.len();
            self.indent = self.deeper(text_at);
            match start {
                // Deep down no room is left beside the text.
                _ if self.indent < edge + text_at => {}
                Some(from) => {
                    let number = (from + i as u64).to_string();
                    self.hang(edge + mark_at, &number, self.look(Face::Bold, 3.0, 4.0));
                }
                None => self.hang(edge + mark_at, "–", look),
            }
            self.blocks(&item.blocks);
            self.flush_hanging();
            self.indent = edge;
            laid.push((first, self.slabs.len()));
            if i + 1 < items.len() && !self.leads {
                // One item alone on its page looks forgotten.
                self.glue(if i == 0 || i + 2 == items.len() { 120.0 } else { 40.0 });
            }
        }
        // All items alike: with room between them as soon as one takes two lines.
        let long = laid.iter().any(|(first, end)| end - first > 1);
        let between = if !tight || long || start.is_some() { m.u } else { 0.0 };
        for (i, (first, end)) in laid.into_iter().enumerate() {
            let under_heading = first > 0 && self.slabs[first - 1].heading.is_some() && i == 0;
            if let Some(slab) = self.slabs.get_mut(first) {
                slab.before = match i {
                    0 if under_heading => 0.0,
                    0 => m.u,
                    _ => slab.before.min(between),
                };
            }
            if let Some(slab) = self.slabs.get_mut(end - 1).filter(|_| end > first) {
                slab.after = slab.after.max(between);
            }
        }
    }

    pub(super) fn note(&mut self, inner: &[Block]) {
        self.flush_hanging();
        let edge = self.indent;
        let start = self.slabs.len();
        self.indent = self.deeper(self.measures.mm(10.0));
        // The word runs in before the first line of text.
        let word = Run { text: "Note  ".to_owned(), bold: true, ..Run::default() };
        match inner.split_first() {
            Some((Block::Paragraph(runs), rest)) => {
                let mut all = vec![word];
                all.extend(runs.iter().cloned());
                self.paragraph(&all);
                self.blocks(rest);
            }
            _ => {
                self.paragraph(&[word]);
                self.keep_with_next();
                self.blocks(inner);
            }
        }
        self.indent = edge;
        self.boxed(start);
        let weight = self.measures.rule(2.0);
        for slab in &mut self.slabs[start..] {
            slab.marks.push(upright(edge + weight / 2.0, 0.0, slab.height, weight));
        }
    }

    /// Space around a box that begins at slab `start`, and no gaps in it; short
    /// boxes are not parted.
    fn boxed(&mut self, start: usize) {
        self.flush_hanging();
        self.fuse(start);
        let count = self.slabs.len() - start;
        let (space, leads) = (self.u(3.0), self.leads);
        for (i, slab) in self.slabs[start..].iter_mut().enumerate() {
            if i == 0 {
                slab.before = space;
            }
            if i + 1 == count {
                slab.after = space;
                slab.glue = if leads { NEVER } else { 0.0 };
            } else if count <= 14 {
                slab.glue = NEVER;
            }
        }
    }

    pub(super) fn caution(&mut self, inner: &[Block]) {
        self.flush_hanging();
        if let Some(last) = self.slabs.last_mut() {
            // A caution stands with what it warns of.
            last.glue += 200.0;
        }
        let edge = self.indent;
        let m = self.measures;
        let inside = m.inside(INSIDE);
        let right = m.text;
        let start = self.slabs.len();
        let frame = m.rule(1.2);
        let top = STRIP + m.rule(0.6) + inside - self.u(0.5);
        self.push(Slab { height: top, glue: NEVER, ..Slab::default() });
        // Text stands within the frame on both sides: the measure is narrowed by
        // the indent on the left and by the frame's inside on the right.
        self.indent = edge + inside;
        let look = self.look(Face::Bold, 3.0, 4.0);
        self.text(&[Run { text: "Caution".to_owned(), ..Run::default() }], look, 0.0);
        self.keep_with_next();
        self.measures.text = right - inside;
        let first = self.slabs.len();
        self.blocks(inner);
        self.measures.text = right;
        self.indent = edge;
        if let Some(slab) = self.slabs.get_mut(first) {
            slab.before = 0.0;
        }
        if let Some(last) = self.slabs.last_mut() {
            last.after = 0.0;
        }
        self.boxed(start);
        let height: f64 = self.slabs[start..].iter().map(|slab| slab.height).sum();
        let foot = m.whole(height + inside - self.u(0.5)) - height;
        let count = self.slabs.len() - start;
        for (i, slab) in self.slabs[start..].iter_mut().enumerate() {
            if i + 1 == count {
                slab.height += foot;
                slab.marks.push(level(edge, right, slab.height - frame / 2.0, frame));
            }
            slab.marks.push(upright(edge + frame / 2.0, 0.0, slab.height, frame));
            slab.marks.push(upright(right - frame / 2.0, 0.0, slab.height, frame));
            if i == 0 {
                slab.marks.push(level(edge, right, frame / 2.0, frame));
                slab.marks.push(bars(edge, right));
                slab.marks.push(level(edge, right, STRIP, m.rule(0.6)));
            }
        }
    }

    pub(super) fn quote(&mut self, inner: &[Block]) {
        let edge = self.indent;
        self.indent = self.deeper(self.measures.mm(10.0));
        self.blocks(inner);
        self.indent = edge;
    }

    pub(super) fn rule(&mut self) {
        self.flush_hanging();
        let m = &self.measures;
        let mark = level(self.indent, m.text, 0.0, m.rule(0.5));
        let space = self.u(3.0);
        self.push(Slab { marks: vec![mark], before: space, after: space, ..Slab::default() });
    }

    pub(super) fn caption(&mut self, label: &str, text: &[Run]) {
        let mut runs = Vec::with_capacity(text.len() + 1);
        if !label.is_empty() {
            let gap = if text.is_empty() { "" } else { "\u{a0}\u{a0}" };
            runs.push(Run { text: format!("{label}{gap}"), bold: true, ..Run::default() });
        }
        runs.extend_from_slice(text);
        let look = Type { face: self.measures.caption_face(), ..self.small() };
        self.text(&runs, look, self.u(3.0));
        let last = self.slabs.len();
        if last > 0 {
            self.keep_with_next();
            self.slabs[last - 1].after = self.measures.u;
        }
    }

    /// What follows stands behind the questions.
    pub(super) fn leave_behind(&mut self) {
        self.flush_hanging();
        self.leave();
        self.behind = true;
    }

    /// From here pages are counted anew.
    pub(super) fn pages(&mut self, counts: &str) {
        self.flush_hanging();
        self.leave();
        self.opens = Some(counts.to_owned());
    }
}

/// The slanted black bars of a caution, cut off at its sides.
fn bars(left: f64, right: f64) -> Mark {
    let across = BAR * std::f64::consts::SQRT_2;
    let mut segments = Vec::new();
    let mut x = left - STRIP;
    while x < right {
        let bar = [(x, STRIP), (x + across, STRIP), (x + across + STRIP, 0.0), (x + STRIP, 0.0)];
        let cut = clip(&clip(&bar, left, 1.0), right, -1.0);
        for (i, point) in cut.iter().enumerate() {
            segments.push(if i == 0 {
                Segment::Move(point.0, point.1)
            } else {
                Segment::Line(point.0, point.1)
            });
        }
        if !cut.is_empty() {
            segments.push(Segment::Close);
        }
        x += PITCH;
    }
    Mark::Path { segments, weight: None, ink: Ink::Black, dash: None }
}

/// The part of a convex outline on one side of an upright line: to the right of
/// `edge` for `side` 1, to the left for -1.
fn clip(outline: &[(f64, f64)], edge: f64, side: f64) -> Vec<(f64, f64)> {
    let mut out = Vec::with_capacity(outline.len() + 2);
    for (i, &from) in outline.iter().enumerate() {
        let to = outline[(i + 1) % outline.len()];
        let (a, b) = ((from.0 - edge) * side, (to.0 - edge) * side);
        if a >= 0.0 {
            out.push(from);
        }
        if a * b < 0.0 {
            let share = a / (a - b);
            out.push((edge, from.1 + share * (to.1 - from.1)));
        }
    }
    out
}
