//! Numbered text with room to answer: shelf, hanging number, part labels, working
//! space, answer lines, marks; and what a teacher's copy writes into that room.

use super::composer::Composer;
use super::lines::{Line, Type};
use super::page::{Face, Ink, Mark};
use super::slab::{NEVER, Slab, level, upright};
use crate::document::{Answer, AnswerLine, Mistake, Room, Run};

/// Between an answer line and the words beside it, in points.
const GAP: f64 = 5.0;

/// Between a working rule and its words, in points.
pub(super) const BESIDE: f64 = 6.0;

/// The least size, in points, at which coloured ink may set text.
pub(super) const LEAST_COLOURED: f64 = 12.0;

impl Composer<'_> {
    pub(super) fn question(&mut self, number: &str) {
        self.flush_hanging();
        self.leave();
        self.groups += 1;
        self.group = self.groups;
        let mut slab = self.shelf(2.6, 0.5);
        slab.before = self.u(3.0);
        slab.after = self.u(2.0);
        slab.heading = Some((1, format!("Question {number}")));
        self.push(slab);
        self.hang(0.0, number, self.look(Face::Bold, 3.5, 4.0));
        self.indent = self.measures.number;
        self.leads = true;
    }

    /// The label of a part, of a part within it, or of both on one line.
    pub(super) fn part(&mut self, label: &str, sub: &str) {
        // A second label without text between would print over the first.
        if self.hanging.iter().any(|hanging| hanging.x > 0.0) {
            self.flush_hanging();
        }
        let look = self.look(Face::Semibold, 3.0, 4.0);
        let mut x = self.measures.number;
        self.hang(x, label, look);
        x += self.measures.part;
        if !sub.is_empty() {
            self.hang(x, sub, look);
            x += self.measures.part;
        }
        self.indent = x;
        self.leads = true;
    }

    pub(super) fn total(&mut self, marks: u32) {
        self.flush_hanging();
        let m = self.measures;
        let look = self.look(Face::Bold, 3.0, 4.0);
        let line = self.label(&format!("[Total: {marks}]"), look);
        self.keep_with_next();
        let x = m.block - line.width;
        let slab = self.line_slab(line, look, x);
        self.push(slab);
        self.leave();
    }

    pub(super) fn example(&mut self, label: &str) {
        self.flush_hanging();
        self.leave();
        self.groups += 1;
        self.group = self.groups;
        let mut slab = self.shelf(2.6, 0.5);
        slab.before = self.u(3.0);
        slab.after = self.u(2.0);
        self.push(slab);
        let look = self.look(Face::Bold, 3.0, 4.0);
        let line = self.label(label, look);
        let mut slab = self.line_slab(line, look, 0.0);
        slab.glue = NEVER;
        slab.heading = Some((2, label.to_owned()));
        self.push(slab);
        self.indent = self.measures.number;
        self.leads = true;
        self.framed = true;
    }

    pub(super) fn close(&mut self) {
        self.flush_hanging();
        if self.framed {
            let m = self.measures;
            self.keep_with_next();
            let mark = level(0.0, m.block, 0.0, m.rule(0.5));
            let (before, after) = (self.u(2.0), self.u(4.0));
            self.push(Slab { marks: vec![mark], before, after, ..Slab::default() });
        } else {
            self.glue(0.0);
        }
        self.leave();
    }

    pub(super) fn answer(&mut self, answer: &Answer) {
        self.flush_hanging();
        if !answer.lines.is_empty() || answer.room != Room::Usual {
            self.keep_with_next();
            if !answer.tight {
                self.room(answer);
            }
            for line in &answer.lines {
                self.keep_with_next();
                self.answer_line(line);
            }
        }
        if answer.marks > 0 {
            self.marks(answer.marks);
        }
        if let Some(judged) = &answer.judged {
            // Codes stand in the room above, where it has a place for them.
            let blank = matches!(answer.room, Room::Usual | Room::Blank(_) | Room::Drawing(_));
            let above = blank && !answer.tight && !answer.lines.is_empty();
            self.given(judged, answer.marks, judged.codes.is_empty() || !above);
        }
        self.glue(50.0);
        self.leads = false;
    }

    /// `[n]` at the outer edge, on the baseline of the last line.
    pub(super) fn marks(&mut self, marks: u32) {
        let look = self.body();
        let line = self.label(&format!("[{marks}]"), look);
        let x = self.measures.block - line.width;
        let faces = self.faces;
        if let Some(last) = self.slabs.last_mut() {
            let baseline = last.baseline.unwrap_or(last.height);
            line.draw(x, baseline, look, faces, &mut last.marks);
        }
    }

    /// The working at the left, the mistakes at the right. What does not fit goes:
    /// first mistakes, then size, then all but where the full working stands.
    pub(super) fn write_working(&self, answer: &Answer, slab: &mut Slab) {
        let m = &self.measures;
        let left = self.indent;
        let notes_at = m.text * (100.0 / 158.0);
        let room = slab.height - self.u(1.0);
        let usual = self.legible(2.5, 3.25);
        let small = self.legible(2.25, 2.925);
        let beside = notes_at - BESIDE - left - BESIDE;
        let alone = m.text - left - BESIDE;
        let narrow = self.working_lines(&answer.working, usual, beside);
        if self.heights(&narrow, usual) <= room && !answer.mistakes.is_empty() {
            self.write_lines(narrow, usual, left, Ink::Water, None, slab);
            self.write_mistakes(&answer.mistakes, notes_at, room, slab);
            return;
        }
        for look in [usual, small] {
            let lines = self.working_lines(&answer.working, look, alone);
            if self.heights(&lines, look) <= room {
                self.write_lines(lines, look, left, Ink::Water, None, slab);
                return;
            }
        }
        let text = format!("see worked answers, {}", answer.see);
        let line = self.label(&text, usual);
        self.write_lines(vec![line], usual, left, Ink::Water, None, slab);
    }

    pub(super) fn heights(&self, lines: &[Line], look: Type) -> f64 {
        lines.iter().map(|line| self.slot(line, look).0).sum()
    }

    pub(super) fn working_lines(&self, working: &[Vec<Run>], look: Type, width: f64) -> Vec<Line> {
        working.iter().flat_map(|line| self.set(line, look, width)).collect()
    }

    /// Lines behind an upright rule, from the top of the space.
    pub(super) fn write_lines(
        &self,
        lines: Vec<Line>,
        look: Type,
        x: f64,
        ink: Ink,
        dash: Option<(f64, f64)>,
        slab: &mut Slab,
    ) {
        if lines.is_empty() {
            return;
        }
        let m = &self.measures;
        let top = self.u(1.0);
        let weight = m.rule(1.4);
        let mut rule = upright(x + weight / 2.0, top, top + self.heights(&lines, look), weight);
        if let Mark::Rule { ink: drawn, dash: dashed, .. } = &mut rule {
            *drawn = ink;
            *dashed = dash;
        }
        slab.added.push(rule);
        let mut y = top;
        for line in lines {
            let (height, baseline) = self.slot(&line, look);
            line.draw(x + BESIDE, y + baseline, look, self.faces, &mut slab.added);
            y += height;
        }
    }

    /// As many mistakes as the space holds whole.
    fn write_mistakes(&self, mistakes: &[Mistake], x: f64, room: f64, slab: &mut Slab) {
        let look = self.legible(2.375, 3.25);
        let width = self.measures.text - x - BESIDE;
        let mut lines = Vec::new();
        for mistake in mistakes {
            let mut runs: Vec<Run> =
                mistake.value.iter().map(|run| Run { bold: true, ..run.clone() }).collect();
            runs.push(Run { text: " ".to_owned(), ..Run::default() });
            runs.extend_from_slice(&mistake.says);
            let note = self.set(&runs, look, width);
            if self.heights(&lines, look) + self.heights(&note, look) > room {
                break;
            }
            lines.extend(note);
        }
        self.write_lines(lines, look, x, Ink::Kiln, Some((3.0, 2.0)), slab);
    }

    /// `name = ____ unit`, its right edge at the edge of the text.
    fn answer_line(&mut self, answer: &AnswerLine) {
        let m = self.measures;
        let look = self.body();
        let slot = self.u(6.0);
        let baseline = m.baseline(slot, look.size);
        let mut slab =
            Slab { height: slot, baseline: Some(baseline), glue: NEVER, ..Slab::default() };
        let unit = super::lines::one(&answer.unit, look, self.faces);
        let unit_x = m.text - unit.width;
        let line_to = if unit.width > 0.0 { unit_x - GAP } else { m.text };
        unit.draw(unit_x, baseline, look, self.faces, &mut slab.marks);
        let length = answer.width.map_or(m.answer_line, |mm| m.mm(mm));
        let line_from = (line_to - length).max(self.indent + self.u(4.0));
        slab.marks.push(level(line_from, line_to, baseline + 2.5, m.rule(0.6)));

        let equals = Run { text: "\u{a0}=".to_owned(), ..Run::default() };
        let mut name = answer.name.clone();
        if !name.is_empty() {
            name.push(equals);
        }
        let set = super::lines::one(&name, look, self.faces);
        let fits = set.width <= m.mm(70.0) && line_from - GAP - set.width >= self.indent;
        if fits {
            let x = line_from - GAP - set.width;
            set.draw(x, baseline, look, self.faces, &mut slab.marks);
        } else {
            // A long name stands above, at the left of the text.
            self.text(&name, look, 0.0);
            self.keep_with_next();
        }
        self.write_value(&answer.value, line_from, line_to, baseline, &mut slab);
        let by_hand = self.look(Face::Regular, 3.25, 4.0);
        let within = (line_from, line_to);
        self.handwritten(&answer.wrote, by_hand, within, true, baseline, &mut slab.added);
        self.push(slab);
    }

    /// The answer in the middle of its line, smaller where it is long.
    fn write_value(&self, value: &[Run], from: f64, to: f64, baseline: f64, slab: &mut Slab) {
        let room = to - from;
        let mut look = Type { ink: Ink::Water, ..self.look(Face::Bold, 3.5, 6.0) };
        let mut line = super::lines::one(value, look, self.faces);
        if line.width > room {
            look.size *= room / line.width;
            if look.size < LEAST_COLOURED {
                look.ink = Ink::Black;
            }
            line = super::lines::one(value, look, self.faces);
        }
        let x = from + (room - line.width) / 2.0;
        line.draw(x, baseline, look, self.faces, &mut slab.added);
    }
}
