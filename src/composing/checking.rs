//! What a sheet for a second person's check is made of: facts in cells, boxes to tick in
//! two columns, and lines for times, names and dates.

use super::composer::Composer;
use super::page::{Ink, Mark};
use super::slab::{NEVER, Slab, level};
use crate::document::{Runs, Slot};

/// Facts beside each other.
const ACROSS: usize = 3;
/// A box to tick and where its text stands, in points beside text of 12 pt.
const SIDE: f64 = 10.0;
const TEXT: f64 = 16.0;
/// Between two columns and between two lines to write on, in mm.
const APART: f64 = 6.0;
/// The cost of a page that ends between lines which may belong together.
const APART_COST: f64 = 200.0;

impl Composer<'_> {
    /// Rows of three cells between rules.
    pub(super) fn fact_cells(&mut self, cells: &[(String, Runs)]) {
        self.flush_hanging();
        let last = cells.chunks(ACROSS).count();
        for (i, row) in cells.chunks(ACROSS).enumerate() {
            self.row_of_facts(row, self.u(3.0));
            let (before, after) = (self.u(3.0), self.u(2.0));
            if let Some(slab) = self.slabs.last_mut() {
                // Rows that follow each other share the rule between them.
                slab.before = if i == 0 { before } else { 0.0 };
                slab.after = if i + 1 == last { after } else { 0.0 };
            }
        }
    }

    /// Boxes to tick, read down the left column and then down the right one.
    pub(super) fn checks(&mut self, lines: &[Runs]) {
        self.flush_hanging();
        let m = self.measures;
        let look = self.body();
        let (side, text) = (SIDE * m.u / 4.0, TEXT * m.u / 4.0);
        let column = (self.measure() - m.mm(APART)) / 2.0;
        let half = lines.len().div_ceil(2);
        let start = self.slabs.len();
        for row in 0..half {
            let mut slab = Slab { before: self.u(1.0), glue: 40.0, ..Slab::default() };
            for (place, line) in [lines.get(row), lines.get(half + row)].into_iter().enumerate() {
                let Some(line) = line else { continue };
                let x = self.indent + place as f64 * (column + m.mm(APART));
                let first = m.baseline(look.leading, look.size);
                slab.marks.push(Mark::Box {
                    x,
                    y: first - 0.33 * look.size - side / 2.0,
                    width: side,
                    height: side,
                    weight: Some(m.rule(0.8)),
                    ink: Ink::Black,
                });
                let mut y = 0.0;
                for line in self.set(line, look, column - text) {
                    let (height, baseline) = self.slot(&line, look);
                    line.draw(x + text, y + baseline, look, self.faces, &mut slab.marks);
                    y += height;
                }
                slab.height = slab.height.max(m.whole(y));
            }
            self.push(slab);
        }
        if let Some(first) = self.slabs.get_mut(start) {
            first.before = 2.0 * m.u;
        }
        if let Some(last) = self.slabs.last_mut() {
            last.after = 3.0 * m.u;
            last.glue = 0.0;
        }
    }

    /// Lines to write on beside each other, each after its word, and small words below.
    pub(super) fn slots(&mut self, slots: &[Slot], below: &Runs) {
        self.flush_hanging();
        let m = self.measures;
        let small = self.small();
        let height = self.u(6.0);
        let baseline = height - self.u(1.5);
        let asked: f64 = slots.iter().map(|slot| m.mm(slot.width)).sum();
        let gaps = slots.len().saturating_sub(1) as f64 * m.mm(APART);
        let room = (m.block - self.indent - gaps).max(1.0);
        let scale = if asked > room { room / asked } else { 1.0 };
        let mut slab = Slab { height, before: self.u(1.0), ..Slab::default() };
        let mut x = self.indent;
        for slot in slots {
            let end = x + m.mm(slot.width) * scale;
            let word = self.label(&slot.label, small);
            let line = x + word.width + 4.0;
            word.draw(x, baseline, small, self.faces, &mut slab.marks);
            slab.marks.push(level(line, end.max(line), baseline + 2.5, m.rule(0.6)));
            x = end + m.mm(APART);
        }
        slab.baseline = Some(baseline);
        slab.glue = if below.is_empty() { APART_COST } else { NEVER };
        self.push(slab);
        let count = self.slabs.len();
        for line in self.set(below, small, m.block - self.indent) {
            let mut slab = self.line_slab(line, small, self.indent);
            slab.glue = NEVER;
            self.push(slab);
        }
        if self.slabs.len() > count {
            self.glue(0.0);
        }
        if let Some(last) = self.slabs.last_mut() {
            last.after = 2.0 * m.u;
        }
    }
}
