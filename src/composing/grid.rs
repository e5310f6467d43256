//! Grids: tables whose columns have their widths told, with rows that go on below
//! each other and marks to cut a table out.

use super::composer::Composer;
use super::lines::{Line, Type};
use super::page::Face;
use super::slab::{FEW_ROWS, NEVER, Slab, WHOLE, level, upright};
use crate::document::{Grid, GridRow, Runs};

/// Padding in points: at the sides of a cell, above and below its text.
const SIDE: f64 = 4.0;
const ABOVE: f64 = 2.5;
/// A page rather ends between rows that have a rule between them.
const BETWEEN: f64 = 40.0;
const WITHIN: f64 = 300.0;
/// The share of a page that a short table takes at most.
const SHORT: f64 = 0.25;
/// Cutting marks: their length, how far they stand off, their weight (mm, mm, pt).
const CUT: f64 = 5.0;
const CUT_OFF: f64 = 2.0;
const CUT_WEIGHT: f64 = 0.35;

/// Where columns stand: left edge of the text, and its width.
type Places = Vec<(f64, f64)>;

impl Composer<'_> {
    pub(super) fn grid(&mut self, grid: &Grid) {
        self.flush_hanging();
        let m = self.measures;
        let look = self.body();
        let bold = Type { face: Face::Bold, ..look };
        let asked: f64 = m.mm(grid.columns.iter().map(|column| column.width).sum());
        // Wider than the page it is drawn together; never the other way.
        let scale = if asked > 0.0 { (self.measure() / asked).min(1.0) } else { 1.0 };
        let mut places: Places = Vec::with_capacity(grid.columns.len());
        let mut x = self.indent;
        for column in &grid.columns {
            let width = m.mm(column.width) * scale;
            places.push((x + SIDE, (width - 2.0 * SIDE).max(1.0)));
            x += width;
        }
        let (left, right) = (self.indent, x);
        let spans = spans(grid, &places);
        let across = |slab: &mut Slab, y: f64, weight: f64| {
            slab.marks.extend(spans.iter().map(|(left, right)| level(*left, *right, y, weight)));
        };
        let least = m.whole(m.mm(grid.least));
        let (strong, under, thin) = (m.rule(1.2), m.rule(0.6), m.rule(0.35));

        let start = self.slabs.len();
        let heads: Vec<Vec<Runs>> =
            grid.columns.iter().map(|column| vec![column.head.clone()]).collect();
        let mut head = self.grid_row(&heads, &places, bold, (true, true), 0.0, None);
        across(&mut head, strong / 2.0, strong);
        let foot = head.height - under / 2.0;
        across(&mut head, foot, under);
        let between = |slab: &mut Slab| {
            for (x, _) in places.iter().skip(1).filter(|_| grid.ruled) {
                slab.marks.push(upright(x - SIDE, 0.0, slab.height, thin));
            }
        };
        between(&mut head);
        head.glue = NEVER;
        self.heads.push(head.clone());
        let repeats = self.heads.len() - 1;
        self.push(head);

        let count = grid.rows.len();
        for (i, row) in grid.rows.iter().enumerate() {
            let next = grid.rows.get(i + 1);
            let closes = next.is_none_or(|next| !next.goes_on);
            let look = if row.total { bold } else { look };
            let words = row.total.then_some(1);
            let least = if row.goes_on { 0.0 } else { least };
            let mut slab =
                self.grid_row(&row.cells, &places, look, (!row.goes_on, closes), least, words);
            slab.head = (i > 0).then_some(repeats);
            let foot = slab.height;
            if i + 1 == count {
                across(&mut slab, foot - strong / 2.0, strong);
            } else if closes {
                across(&mut slab, foot - thin / 2.0, thin);
            }
            between(&mut slab);
            slab.glue = glue(row, next, i, count);
            self.push(slab);
        }
        let height: f64 = self.slabs[start..].iter().map(|slab| slab.height).sum();
        if count <= FEW_ROWS && height <= SHORT * m.height {
            self.slabs[start..].iter_mut().for_each(|slab| slab.glue = WHOLE);
        }
        if grid.cut {
            let between = spans.windows(2).map(|pair| f64::midpoint(pair[0].1, pair[1].0));
            let between: Vec<f64> = between.collect();
            self.cutting_marks(start, (left, right), &between);
        }
        let (before, after) = (self.u(2.0), self.u(3.0));
        if let Some(first) = self.slabs.get_mut(start) {
            first.before = first.before.max(before);
        }
        if let Some(last) = self.slabs.last_mut() {
            last.after = last.after.max(after);
            last.glue = 0.0;
        }
    }

    /// A row with room above and below where it opens and closes what belongs
    /// together. `words` is the column whose text stands at its right.
    fn grid_row(
        &self,
        cells: &[Vec<Runs>],
        places: &Places,
        look: Type,
        (opens, closes): (bool, bool),
        least: f64,
        words: Option<usize>,
    ) -> Slab {
        let m = &self.measures;
        let edge = places.last().map_or(0.0, |(x, width)| x + width);
        let last = cells.len().saturating_sub(1);
        let reach =
            |at: usize, (x, width): (f64, f64)| (x, if at == last { edge - x } else { width });
        let places: Places =
            places.iter().enumerate().map(|(at, place)| reach(at, *place)).collect();
        let sets: Vec<Vec<Line>> = cells
            .iter()
            .zip(&places)
            .map(|(cell, (_, width))| {
                cell.iter().flat_map(|runs| self.set(runs, look, width + 1e-6)).collect()
            })
            .collect();
        let tallest = sets.iter().map(Vec::len).max().unwrap_or(0).max(1);
        let text = tallest as f64 * look.leading;
        let pad = |has: bool| if has { ABOVE } else { 0.0 };
        let height = m.whole(text + pad(opens) + pad(closes)).max(least);
        let mut slab = Slab { height, ..Slab::default() };
        let spare = height - text - pad(opens) - pad(closes);
        // A tall row has its text in the middle; one that only fills a unit does not.
        let top = pad(opens) + if least > 0.0 || (opens && closes) { spare / 2.0 } else { 0.0 };
        for (i, (set, (x, width))) in sets.into_iter().zip(&places).enumerate() {
            slab.cells.push(slab.marks.len());
            for (j, line) in set.into_iter().enumerate() {
                let x = x + if words == Some(i) { width - line.width } else { 0.0 };
                let baseline = top + j as f64 * look.leading + m.baseline(look.leading, look.size);
                line.draw(x, baseline, look, self.faces, &mut slab.marks);
                slab.baseline = Some(baseline);
            }
        }
        slab.cells.push(slab.marks.len());
        slab
    }

    /// Two strokes at each corner of the table, outside it, and one wherever it comes apart.
    fn cutting_marks(&mut self, start: usize, (left, right): (f64, f64), between: &[f64]) {
        let m = self.measures;
        let (long, off) = (m.mm(CUT), m.mm(CUT_OFF));
        let last = self.slabs.len() - 1;
        let foot = self.slabs[last].height;
        for (slab, y, away) in [(start, 0.0, -1.0), (last, foot, 1.0)] {
            let marks = &mut self.slabs[slab].marks;
            marks.push(level(left - off - long, left - off, y, CUT_WEIGHT));
            marks.push(level(right + off, right + off + long, y, CUT_WEIGHT));
            for x in [left, right].iter().chain(between).copied() {
                marks.push(upright(x, y + away * off, y + away * (off + long), CUT_WEIGHT));
            }
        }
        self.slabs[start].before = m.whole(long + off);
        self.slabs[last].after = m.whole(long + off);
    }
}

/// From where to where the rules go: over everything but gaps.
fn spans(grid: &Grid, places: &Places) -> Vec<(f64, f64)> {
    let mut spans: Vec<(f64, f64)> = Vec::new();
    let mut open = false;
    for (column, (x, width)) in grid.columns.iter().zip(places) {
        let right = x + width + SIDE;
        match spans.last_mut().filter(|_| open) {
            _ if column.gap => {}
            Some(span) => span.1 = right,
            None => spans.push((x - SIDE, right)),
        }
        open = !column.gap;
    }
    spans
}

/// The cost of a page that ends below a row.
fn glue(row: &GridRow, next: Option<&GridRow>, index: usize, count: usize) -> f64 {
    match next {
        // A sum stands with what it sums up.
        Some(next) if next.total => NEVER,
        // One row alone at either end of a table is hard to read.
        _ if index == 0 || index + 2 == count => NEVER,
        Some(next) if next.goes_on => WITHIN,
        _ if row.total => 0.0,
        _ => BETWEEN,
    }
}
