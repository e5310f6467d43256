//! Tables: natural width at the left of the text, numbers aligned on the decimal
//! point, the head drawn again where a page ends.

use super::composer::Composer;
use super::figure::Sizes;
use super::lines::{self, Line, Type};
use super::page::Face;
use super::slab::{FEW_ROWS, NEVER, Slab, WHOLE, level};
use crate::document::{Align, Run, Runs, Table, plain};

/// Padding in points: at the sides of a cell, above and below its text.
const SIDE: f64 = 4.0;
const ABOVE: f64 = 2.5;
/// The share of a page that a short table takes at most.
const SHORT: f64 = 0.4;

/// A column's place, and how far its decimal points stand from its right edge.
struct Column {
    align: Align,
    x: f64,
    width: f64,
    after_point: f64,
}

impl Composer<'_> {
    /// The padding at the sides of a cell.
    fn side(&self) -> f64 {
        self.measures.inside(SIDE)
    }

    pub(super) fn table(&mut self, table: &Table) {
        self.flush_hanging();
        let room = self.measure();
        let usual = self.look(Face::Regular, self.measures.table, 4.0);
        let small = self.legible(2.5, 3.25);
        let look = if self.natural(table, usual) <= room { usual } else { small };
        let columns = self.columns(table, look, room);
        let Some(last) = columns.last() else { return };
        let right = last.x + last.width + self.side();
        let m = self.measures;
        let start = self.slabs.len();
        let leads = self.leads;

        let head_look = Type { face: Face::Bold, ..look };
        let has_head = table.head.iter().any(|cell| !cell.is_empty());
        let (top, under) = (m.rule(1.2), m.rule(0.6));
        if has_head {
            let mut head = self.row_slab(&table.head, &columns, head_look, true);
            head.marks.push(level(self.indent, right, top / 2.0, top));
            let foot = head.height - under / 2.0;
            head.marks.push(level(self.indent, right, foot, under));
            head.glue = NEVER;
            self.heads.push(head.clone());
            self.push(head);
        }
        let repeats = has_head.then(|| self.heads.len() - 1);
        let count = table.rows.len();
        for (i, cells) in table.rows.iter().enumerate() {
            let mut slab = self.row_slab(cells, &columns, look, false);
            slab.head = repeats.filter(|_| i > 0);
            if i == 0 && !has_head {
                slab.marks.push(level(self.indent, right, top / 2.0, top));
            }
            let weight = if i + 1 == count { top } else { m.rule(0.35) };
            slab.marks.push(level(self.indent, right, slab.height - weight / 2.0, weight));
            // Two rows stay at each end: one alone is hard to read as a table.
            slab.glue = if leads || i == 0 || i + 2 >= count { NEVER } else { 300.0 };
            self.push(slab);
        }
        let height: f64 = self.slabs[start..].iter().map(|slab| slab.height).sum();
        // Slides part their tables by measures of their own.
        let on_paper = m.figures != Sizes::SLIDE;
        if on_paper && count <= FEW_ROWS && height <= SHORT * m.height {
            self.slabs[start..].iter_mut().for_each(|slab| slab.glue = WHOLE);
        }
        let (before, after) = (self.u(2.0), self.u(3.0));
        if let Some(first) = self.slabs.get_mut(start) {
            first.before = if start_after_caption(first) { 0.0 } else { before };
        }
        if self.slabs.len() > start
            && let Some(last) = self.slabs.last_mut()
        {
            last.after = after;
            last.glue = if leads { NEVER } else { 0.0 };
        }
    }

    fn natural(&self, table: &Table, look: Type) -> f64 {
        self.widths(table, look).iter().map(|(natural, _, _)| natural + 2.0 * self.side()).sum()
    }

    /// For each column: its width with no line broken, the width of its longest
    /// word, and the room that stands after the decimal points.
    fn widths(&self, table: &Table, look: Type) -> Vec<(f64, f64, f64)> {
        let count =
            table.rows.iter().map(Vec::len).chain([table.head.len()]).max().unwrap_or_default();
        let bold = Type { face: Face::Bold, ..look };
        let wide = |runs: &[Run], look: Type| lines::one(runs, look, self.faces).width;
        let word = |runs: &[Run], look: Type| {
            let text = plain(runs);
            let widths = text.split(' ').map(|word| self.label(word, look).width);
            widths.fold(0.0, f64::max)
        };
        (0..count)
            .map(|i| {
                let head = table.head.get(i).map_or(&[][..], Vec::as_slice);
                let (mut natural, mut least) = (wide(head, bold), word(head, bold));
                let (mut whole, mut decimals) = (0.0f64, 0.0f64);
                let numbers = table.align.get(i) == Some(&Align::Right);
                for cell in table.rows.iter().filter_map(|row| row.get(i)) {
                    natural = natural.max(wide(cell, look));
                    least = least.max(word(cell, look));
                    if numbers && let Some((before, after)) = self.point(cell, look) {
                        whole = whole.max(before);
                        decimals = decimals.max(after);
                    }
                }
                (natural.max(whole + decimals), least.max(whole + decimals), decimals)
            })
            .collect()
    }

    /// The widths before and from a number's decimal point; none for words.
    fn point(&self, cell: &[Run], look: Type) -> Option<(f64, f64)> {
        let text = plain(cell);
        let number = text.starts_with(|c: char| c.is_ascii_digit())
            || text.starts_with(['−', '-', '+', '<', '>'])
                && text.contains(|c: char| c.is_ascii_digit());
        if !number {
            return None;
        }
        let end = text.find(|c: char| {
            !c.is_ascii_digit() && !matches!(c, '−' | '-' | '+' | '<' | '>' | ' ' | '\u{202f}')
        });
        let all = lines::one(cell, look, self.faces).width;
        let before = end.map_or(all, |end| self.label(&text[..end], look).width);
        Some((before, (all - before).max(0.0)))
    }

    fn columns(&self, table: &Table, look: Type, room: f64) -> Vec<Column> {
        let widths = self.widths(table, look);
        let padding = 2.0 * self.side() * widths.len() as f64;
        let natural: f64 = widths.iter().map(|w| w.0).sum();
        let least: f64 = widths.iter().map(|w| w.1).sum();
        let room = (room - padding).max(0.0);
        let mut x = self.indent + self.side();
        widths
            .iter()
            .enumerate()
            .map(|(i, &(full, word, after_point))| {
                let width = if natural <= room {
                    full
                } else if least < room {
                    // What is left over after the longest words is shared by need.
                    word + (full - word) * (room - least) / (natural - least)
                } else {
                    room * word / least.max(1.0)
                };
                let align = table.align.get(i).copied().unwrap_or_default();
                let column = Column { align, x, width, after_point };
                x += width + 2.0 * self.side();
                column
            })
            .collect()
    }

    fn row_slab(&self, cells: &[Runs], columns: &[Column], look: Type, head: bool) -> Slab {
        let m = &self.measures;
        let sets: Vec<Vec<Line>> = columns
            .iter()
            .enumerate()
            .map(|(i, column)| {
                let cell = cells.get(i).map_or(&[][..], Vec::as_slice);
                self.set(cell, look, column.width + 1e-6)
            })
            .collect();
        let high = |set: &[Line]| set.iter().map(|line| self.slot(line, look).0).sum::<f64>();
        let tallest = sets.iter().map(|set| high(set)).fold(look.leading, f64::max);
        let height = m.whole(tallest + 2.0 * ABOVE);
        let mut slab = Slab { height, ..Slab::default() };
        let pad = (height - tallest) / 2.0;
        for (i, (set, column)) in sets.into_iter().zip(columns).enumerate() {
            slab.cells.push(slab.marks.len());
            // Heads stand at the foot of their row, the rest at the top.
            let count = set.len();
            let mut y = pad + if head { tallest - high(&set) } else { 0.0 };
            for line in set {
                let slack = column.width - line.width;
                let x = column.x
                    + match column.align {
                        Align::Left => 0.0,
                        Align::Middle => slack / 2.0,
                        Align::Right if head || count > 1 => slack,
                        Align::Right => {
                            let cell = cells.get(i).map_or(&[][..], Vec::as_slice);
                            match self.point(cell, look) {
                                Some((before, _)) => column.width - column.after_point - before,
                                None => slack,
                            }
                        }
                    };
                let (slot, baseline) = self.slot(&line, look);
                let baseline = y + baseline;
                y += slot;
                self.write_fillings(line.fillings(x), baseline, look, &mut slab.added);
                line.draw(x, baseline, look, self.faces, &mut slab.marks);
                slab.baseline = Some(baseline);
            }
        }
        slab.cells.push(slab.marks.len());
        slab
    }
}

/// The caption's own space below it stands between the two.
fn start_after_caption(first: &Slab) -> bool {
    first.before > 0.0
}
