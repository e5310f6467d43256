//! Short working behind a rule, cells and ruled lines to write in.

use super::composer::Composer;
use super::lines::{self, Type};
use super::page::{Face, Ink, Mark};
use super::slab::{NEVER, Slab, level, upright};
use crate::document::{Choice, Mistake, Run, Runs};

/// Cells to write in are at least so high, in mm.
const CELL: f64 = 9.0;
const SIDE: f64 = 4.0;

/// Half of ruled lines' pitch, in units: they never part in less than three.
const PITCH: f64 = 6.0;
const FEW: usize = 8;

/// The cost of a page that ends within a step.
pub(super) const IN_A_STEP: f64 = 800.0;

/// The tab of a letter, and from its left to the text, in units.
const TAB: f64 = 3.5;
const TO_TEXT: f64 = 5.0;
/// The space from an option to the next, in units: of up to four, of five, of more.
const BETWEEN: [f64; 3] = [1.0, 0.5, 0.0];
/// The share of the width that things to be matched take, when they stand beside.
const MATCHED: f64 = 0.46;

impl Composer<'_> {
    /// Options, a line or more each, their letters before them; a right one's letter is
    /// white on a black tab and its text bold. What they are matched with stands left.
    pub(super) fn choices(&mut self, beside: &[Runs], options: &[Choice]) {
        self.flush_hanging();
        let look = self.body();
        let bold = Type { face: Face::Bold, ..look };
        let m = self.measures;
        let tab = self.u(TAB);
        let left = self.indent;
        let column = if beside.is_empty() { 0.0 } else { MATCHED * (m.text - left) };
        let (at, text_at) = (left + column, left + column + self.u(TO_TEXT));
        let rows = beside.len().max(options.len());
        let between = self.u(BETWEEN[rows.clamp(4, 6) - 4]);
        // Where each line has its number, none stands out by its text.
        let some = options.iter().any(|option| !option.right);
        for row in 0..rows {
            let mut slab = Slab { glue: NEVER, ..Slab::default() };
            slab.before = if row == 0 { self.u(1.5) } else { between };
            let mut height = 0.0;
            if let Some(runs) = beside.get(row) {
                let lines = self.set(runs, look, column - self.u(2.0));
                height = self.draw_lines(lines, look, left, &mut slab);
            }
            if let Some(option) = options.get(row) {
                let baseline = m.baseline(look.leading, look.size);
                let top = (look.leading - tab) / 2.0;
                let shape = |weight: Option<f64>| Mark::Box {
                    x: at,
                    y: top,
                    width: tab,
                    height: tab,
                    weight,
                    ink: Ink::Black,
                };
                let sign = if option.right { Type { ink: Ink::White, ..bold } } else { bold };
                if option.right {
                    slab.marks.push(shape(None));
                } else if option.letter.is_empty() {
                    slab.marks.push(shape(Some(m.rule(1.0))));
                }
                let letter = self.label(&option.letter, sign);
                let x = at + (tab - letter.width) / 2.0;
                letter.draw(x, baseline, sign, self.faces, &mut slab.marks);
                let text = if option.right && some { bold } else { look };
                let lines = self.set(&option.text, text, m.text - text_at);
                height = f64::max(height, self.draw_lines(lines, text, text_at, &mut slab));
            }
            slab.height = height.max(look.leading);
            self.push(slab);
        }
        if let Some(last) = self.slabs.last_mut() {
            last.glue = 0.0;
        }
    }

    /// Draws lines from the top of a slab; gives the height that they take.
    fn draw_lines(&self, lines: Vec<lines::Line>, look: Type, x: f64, slab: &mut Slab) -> f64 {
        let mut y = 0.0;
        for line in lines {
            let (height, baseline) = self.slot(&line, look);
            line.draw(x, y + baseline, look, self.faces, &mut slab.marks);
            y += height;
        }
        y
    }

    /// Lines of working behind a solid rule, then the slips behind a dashed one.
    pub(super) fn working(&mut self, working: &[Runs], mistakes: &[Mistake]) {
        self.flush_hanging();
        let slips: Vec<Runs> = mistakes
            .iter()
            .map(|mistake| {
                let mut runs = vec![Run { text: "Not ".to_owned(), ..Run::default() }];
                runs.extend(mistake.value.iter().map(|run| Run { bold: true, ..run.clone() }));
                runs.push(Run { text: ": ".to_owned(), ..Run::default() });
                runs.extend_from_slice(&mistake.says);
                runs
            })
            .collect();
        let scale = self.measures.u / 4.0;
        // What is asked stands with the first line of its answer.
        self.keep_with_next();
        self.beside_a_rule(working, 2.5 * scale, Ink::Water, None);
        self.beside_a_rule(&slips, 2.0 * scale, Ink::Kiln, Some((5.0 * scale, 3.0 * scale)));
    }

    fn beside_a_rule(&mut self, texts: &[Runs], weight: f64, ink: Ink, dash: Option<(f64, f64)>) {
        let edge = self.indent;
        let start = self.slabs.len();
        self.indent = self.deeper(self.u(3.0));
        for text in texts {
            let first = self.slabs.len();
            self.text(text, self.body(), self.u(0.5));
            for slab in &mut self.slabs[first..] {
                // A long step may be parted; a short one hardly gains by it.
                slab.glue = IN_A_STEP;
            }
            self.glue(60.0);
        }
        self.indent = edge;
        if self.slabs.len() == start {
            return;
        }
        self.fuse(start);
        self.slabs[start].before = self.u(2.0);
        for slab in &mut self.slabs[start..] {
            let mut rule = upright(edge + weight / 2.0, 0.0, slab.height, weight);
            if let Mark::Rule { ink: drawn, dash: dashed, .. } = &mut rule {
                *drawn = ink;
                *dashed = dash;
            }
            slab.marks.push(rule);
        }
    }

    /// A table to write in: its heads, and a row for each name.
    pub(super) fn cells(&mut self, columns: &[Runs], rows: &[Runs]) {
        self.flush_hanging();
        let m = self.measures;
        let (left, right) = (self.indent, m.text);
        let look = self.look(Face::Bold, 2.875, 4.0);
        let body = self.body();
        let names = std::iter::once(columns.first()).flatten().chain(rows);
        let widest = names.map(|runs| lines::one(runs, look, self.faces).width).fold(0.0, f64::max);
        let first = (widest + 2.0 * SIDE).min(0.4 * (right - left));
        // The last column is for words, and twice as wide as one for a number.
        let others = columns.len().saturating_sub(1);
        let width = (right - left - first) / (others as f64 + 1.0).max(1.0);
        let mut edges = vec![left];
        edges.extend((0..others).map(|i| left + first + i as f64 * width));
        edges.push(right);
        let room = |i: usize| edges.get(i + 1).map_or(width, |end| end - edges[i]) - 2.0 * SIDE;
        let start = self.slabs.len();
        let sets: Vec<_> =
            columns.iter().enumerate().map(|(i, runs)| self.set(runs, look, room(i))).collect();
        let tallest = sets.iter().map(Vec::len).max().unwrap_or(0);
        let mut slab = Slab {
            height: m.whole(tallest as f64 * look.leading + 5.0),
            before: self.u(2.0),
            ..Slab::default()
        };
        for (i, set) in sets.into_iter().enumerate() {
            let mut baseline = slab.height - 2.5 - (set.len() as f64) * look.leading;
            for line in set {
                let at = baseline + m.baseline(look.leading, look.size);
                line.draw(edges[i] + SIDE, at, look, self.faces, &mut slab.marks);
                baseline += look.leading;
            }
        }
        self.frame(&edges, &mut slab);
        self.push(slab);
        for name in rows {
            let mut slab = Slab { height: m.whole(m.mm(CELL)), ..Slab::default() };
            self.name_cell(name, body, room(0), edges[0] + SIDE, &mut slab);
            self.frame(&edges, &mut slab);
            self.push(slab);
        }
        for slab in &mut self.slabs[start..] {
            slab.glue = NEVER;
        }
        self.glue(0.0);
        if let Some(last) = self.slabs.last_mut() {
            last.after = 3.0 * m.u;
        }
    }

    fn name_cell(&self, name: &Runs, look: Type, room: f64, x: f64, slab: &mut Slab) {
        let set = self.set(name, look, room);
        slab.height = slab.height.max(self.measures.whole(set.len() as f64 * look.leading + 5.0));
        let mut top = (slab.height - set.len() as f64 * look.leading) / 2.0;
        for line in set {
            let baseline = top + self.measures.baseline(look.leading, look.size);
            line.draw(x, baseline, look, self.faces, &mut slab.marks);
            slab.baseline = Some(baseline);
            top += look.leading;
        }
    }

    /// The frames of a row of cells.
    fn frame(&self, edges: &[f64], slab: &mut Slab) {
        let weight = self.measures.rule(0.8);
        let (Some(left), Some(right)) = (edges.first(), edges.last()) else { return };
        for y in [0.0, slab.height] {
            slab.marks.push(level(left - weight / 2.0, right + weight / 2.0, y, weight));
        }
        for x in edges {
            slab.marks.push(upright(*x, 0.0, slab.height, weight));
        }
    }

    /// Ruled lines to write on.
    pub(super) fn ruled(&mut self, count: u32) {
        self.flush_hanging();
        self.keep_with_next();
        self.ruled_lines(count);
        let after = self.u(3.0);
        if let Some(last) = self.slabs.last_mut() {
            last.glue = 0.0;
            last.after = after;
        }
    }

    /// The lines alone, each with the place of words on it.
    pub(super) fn ruled_lines(&mut self, count: u32) {
        let m = self.measures;
        let count = count as usize;
        for i in 0..count {
            let height = self.u(PITCH);
            let mark = level(self.indent, m.text, height, m.rule(0.5));
            let baseline = Some(height - 2.5);
            let mut slab = Slab { height, marks: vec![mark], baseline, ..Slab::default() };
            let apart = count >= FEW && i >= 2 && i + 4 <= count;
            slab.glue = if apart { 500.0 } else { NEVER };
            self.push(slab);
        }
    }
}
