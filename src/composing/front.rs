//! The front page of a paper: what it is, who sits it, what a learner is told before the
//! first question, and at its foot the rows that a marker fills in.

use super::composer::Composer;
use super::lines::{self, Type};
use super::page::{Face, Ink, Mark};
use super::picture::draw;
use super::slab::{NEVER, Slab, level, upright};
use crate::document::{Cover, Marker, MarkerRow, Run, plain};
use crate::picture::{Content, Picture};

/// Boxes for a number, each so wide and high, in mm.
const BOXES: usize = 4;
const BOX: (f64, f64) = (8.0, 10.0);
/// The most that a badge takes across and down, and what stays clear beside it, in mm.
const BADGE: (f64, f64) = (48.0, 24.0);
const BESIDE: f64 = 6.0;
/// A marker's row, and its columns: question, max, mark, in mm.
const ROW: f64 = 7.0;
const COLUMNS: [f64; 3] = [16.0, 14.0, 18.0];
/// Where rows do not fit below each other, questions stand beside each other: the width of
/// one, and of the words before them, in mm.
const ACROSS: f64 = 12.0;
const WORDS: f64 = 22.0;

/// How much larger the marker's rows are in large print.
const LARGE: f64 = 1.5;

impl Composer<'_> {
    pub(super) fn cover(&mut self, cover: &Cover) {
        self.leave();
        let m = self.measures;
        let mut shelf = self.shelf(3.6, 0.6);
        shelf.height = self.u(2.0);
        shelf.heading = Some((0, plain(&cover.title)));
        self.push(shelf);
        let (across, down) = cover.badge.as_deref().map_or((0.0, 0.0), |badge| self.badge(badge));
        let mut used = 0.0;
        let lines = [
            (&cover.school, self.body(), 0.0),
            (&cover.subject, self.look(Face::Semibold, 3.75, 5.0), 4.0),
            (&cover.title, self.look(Face::Bold, 7.0, 9.0), 0.0),
        ];
        for (runs, look, before) in lines {
            for (i, line) in self.set(runs, look, m.block - across).into_iter().enumerate() {
                let mut slab = self.line_slab(line, look, 0.0);
                slab.before = if i == 0 { self.u(before) } else { 0.0 };
                slab.glue = NEVER;
                used += slab.before + slab.height;
                self.push(slab);
            }
        }
        let before = self.u(3.0);
        let left = m.whole((down - used).max(0.0));
        self.row_of_facts(&cover.cells, before + left);
    }

    /// The badge at the right of the head, in a slab that takes no height; gives what it
    /// takes across and down.
    fn badge(&mut self, badge: &Picture) -> (f64, f64) {
        let m = self.measures;
        let fits =
            (m.mm(BADGE.0) / badge.width.max(1.0)).min(m.mm(BADGE.1) / badge.height.max(1.0));
        // Pixels that are made larger than they are look coarse.
        let scale = match badge.content {
            Content::Raster(_) => fits.min(1.0),
            Content::Shapes(_) => fits,
        };
        let (width, height) = (badge.width * scale, badge.height * scale);
        let mut slab = Slab { glue: NEVER, ..Slab::default() };
        draw(badge, m.block - width, scale, &mut slab.marks);
        self.push(slab);
        (width + m.mm(BESIDE), height)
    }

    /// Three cells between two rules, a small word over a bold one.
    pub(super) fn row_of_facts(&mut self, cells: &[(String, Vec<Run>)], before: f64) {
        let m = self.measures;
        let (small, bold) = (self.small(), self.look(Face::Bold, 3.0, 4.0));
        let height = self.u(10.0);
        let weight = m.rule(0.6);
        let starts = self.cell_starts(cells, small, bold);
        let mut slab = Slab {
            height,
            before,
            after: self.u(2.0),
            glue: NEVER,
            marks: vec![level(0.0, m.block, 0.0, weight), level(0.0, m.block, height, weight)],
            ..Slab::default()
        };
        for (i, (label, value)) in cells.iter().enumerate() {
            let (x, width) = (starts[i], starts[i + 1] - starts[i]);
            let word = self.label(label, small);
            word.draw(x, self.u(3.5), small, self.faces, &mut slab.marks);
            let line = self.fitted(value, bold, width - self.u(2.0));
            line.0.draw(x, self.u(8.0), line.1, self.faces, &mut slab.marks);
        }
        self.push(slab);
    }

    /// Where cells begin and the last one ends: all as wide as each other, or where a value
    /// would not fit then, each as wide as it needs.
    fn cell_starts(&self, cells: &[(String, Vec<Run>)], small: Type, bold: Type) -> Vec<f64> {
        let (block, gap) = (self.measures.block, self.u(2.0));
        let count = cells.len().max(3);
        let even = block / count as f64;
        let mut needs: Vec<f64> = cells
            .iter()
            .map(|(label, value)| {
                let value = lines::one(value, bold, self.faces).width;
                value.max(self.label(label, small).width) + gap
            })
            .collect();
        needs.resize(count, 0.0);
        let spare = block - needs.iter().sum::<f64>();
        let widths: Vec<f64> = match needs.iter().all(|need| *need <= even) || spare < 0.0 {
            true => vec![even; count],
            false => needs.into_iter().map(|need| need + spare / count as f64).collect(),
        };
        let ends = widths.iter().scan(0.0, |end, width| {
            *end += width;
            Some(*end)
        });
        std::iter::once(0.0).chain(ends).collect()
    }

    /// A line made smaller where it would be wider than its room.
    fn fitted(&self, runs: &[Run], look: Type, room: f64) -> (lines::Line, Type) {
        let line = lines::one(runs, look, self.faces);
        if line.width <= room {
            return (line, look);
        }
        let look = Type { size: look.size * room / line.width, ..look };
        (lines::one(runs, look, self.faces), look)
    }

    pub(super) fn candidate(&mut self, name: &[Run], class: &[Run]) {
        let m = self.measures;
        let scale = m.block / m.mm(174.0);
        let slot = self.u(6.0);
        let baseline = m.baseline(slot, self.small().size);
        let mut first = Slab { height: slot, glue: NEVER, ..Slab::default() };
        self.name_line("name", (0.0, m.block), baseline, name, &mut first);
        self.push(first);
        let (width, height) = (m.mm(BOX.0), m.mm(BOX.1));
        let slot = m.whole(height + self.u(1.0)).max(self.u(6.0));
        // The class stands on the line of the boxes' foot.
        let baseline = slot - self.u(1.0);
        let mut second = Slab { height: slot, after: self.u(3.0), glue: NEVER, ..Slab::default() };
        self.name_line("class", (0.0, m.mm(84.0) * scale), baseline, class, &mut second);
        let small = self.small();
        let word = self.label("candidate number", small);
        let left = m.block - BOXES as f64 * width;
        let x = left - word.width - self.u(2.0);
        word.draw(x, baseline, small, self.faces, &mut second.marks);
        for i in 0..BOXES {
            second.marks.push(Mark::Box {
                x: left + i as f64 * width,
                y: slot - height,
                width,
                height,
                weight: Some(m.rule(0.6)),
                ink: Ink::Black,
            });
        }
        self.push(second);
    }

    /// A line to write on; a name that is known is printed there.
    fn name_line(
        &self,
        word: &str,
        (from, to): (f64, f64),
        baseline: f64,
        known: &[Run],
        slab: &mut Slab,
    ) {
        let small = self.small();
        let label = self.label(word, small);
        let start = from + label.width + 4.0;
        slab.marks.push(level(start, to, baseline + 2.5, self.measures.rule(0.6)));
        label.draw(from, baseline, small, self.faces, &mut slab.marks);
        if !known.is_empty() {
            let (line, look) =
                self.fitted(known, self.look(Face::Bold, 3.5, 4.0), to - start - 4.0);
            line.draw(start + 4.0, baseline, look, self.faces, &mut slab.marks);
        }
    }

    pub(super) fn topic(&mut self, heading: &[Run]) {
        self.leave();
        let mut shelf = self.shelf(2.6, 0.5);
        shelf.before = self.u(3.0);
        shelf.after = self.u(1.0);
        self.push(shelf);
        let look = self.look(Face::Bold, 3.0, 4.0);
        for line in self.set(heading, look, self.measures.text) {
            let mut slab = self.line_slab(line, look, 0.0);
            slab.glue = NEVER;
            slab.heading = Some((0, String::new()));
            self.push(slab);
        }
    }

    /// The foot of the page, which fills the page to its end.
    pub(super) fn marker(&mut self, marker: &Marker) {
        self.leave();
        let m = self.measures;
        let used = self.height_on_page();
        let before = self.u(4.0);
        let room = m.height - used - before;
        let down = (marker.rows.len() + 2) as f64 * self.row_mm(ROW);
        let widest = ((m.block - self.row_mm(WORDS)) / self.row_mm(ACROSS)).floor() as usize;
        let strips: Vec<&[MarkerRow]> = strips(&marker.rows, widest.max(2));
        let across = strips.len() as f64 * (3.0 * self.row_mm(ROW) + self.u(2.0));
        let foot = self.u(6.0);
        let fits = down <= room || across + foot <= room;
        let line = self.u(4.0);
        let parted = !fits && m.height - used >= line;
        if parted {
            // The rows have a page of their own; the last words stay on this one.
            let before = (m.height - used - line).min(before);
            let height = m.height - used - before;
            let mut slab = Slab { height, before, ..Slab::default() };
            self.last_words(marker, m.block, &mut slab);
            self.push(slab);
        }
        let (height, before) = if fits { (room, before) } else { (m.height, 0.0) };
        let mut slab = Slab { height, before, ..Slab::default() };
        if down <= height {
            self.rows_down(marker, &mut slab);
        } else {
            self.rows_across(marker, &strips, &mut slab);
        }
        if !parted {
            // Clear of the rows and the words beside them, which large print makes wider.
            let share = if m.is_large() { 0.35 } else { 0.5 };
            self.last_words(marker, share * m.block, &mut slab);
        }
        self.push(slab);
    }

    /// At the foot of a slab that ends its page.
    fn last_words(&self, marker: &Marker, room: f64, slab: &mut Slab) {
        let bold = self.look(Face::Bold, 3.0, 4.0);
        let (line, look) = self.fitted(&marker.foot, bold, room);
        let baseline = slab.height - self.u(1.25);
        line.draw(0.0, baseline, look, self.faces, &mut slab.marks);
    }

    /// A length of the marker's rows, which large print needs more of.
    fn row_mm(&self, mm: f64) -> f64 {
        self.measures.mm(if self.measures.is_large() { LARGE * mm } else { mm })
    }

    /// How much of the page on which the last slab stands is taken.
    fn height_on_page(&self) -> f64 {
        let mut used = 0.0;
        for (i, slab) in self.slabs.iter().enumerate() {
            let gap = if i > 0 { self.slabs[i - 1].after.max(slab.before) } else { 0.0 };
            used = match used + gap + slab.height {
                sum if sum > self.measures.height => slab.height,
                sum => sum,
            };
        }
        used
    }

    /// A row for each question, at the right of the page's foot.
    fn rows_down(&self, marker: &Marker, slab: &mut Slab) {
        let m = self.measures;
        let (row, widths) = (self.row_mm(ROW), COLUMNS.map(|width| self.row_mm(width)));
        let left = m.block - widths.iter().sum::<f64>();
        let top = slab.height - (marker.rows.len() + 2) as f64 * row;
        let ends = [left + widths[0], left + widths[0] + widths[1], m.block];
        let (body, head) = (self.body(), self.look(Face::Bold, 2.5, 4.0));
        let bold = self.look(Face::Bold, 3.0, 4.0);
        let line = |at: usize, cells: [&str; 3], look: Type, marks: &mut Vec<Mark>| {
            let baseline = top + at as f64 * row + m.baseline(row, look.size);
            for (i, text) in cells.iter().enumerate() {
                let words = self.label(text, look);
                let x = if i == 0 { left + 4.0 } else { ends[i] - 4.0 - words.width };
                words.draw(x, baseline, look, self.faces, marks);
            }
        };
        line(0, ["question", "max", &marker.writes], head, &mut slab.marks);
        for (i, own) in marker.rows.iter().enumerate() {
            let cells = [own.question.as_str(), &own.max.to_string(), ""];
            line(i + 1, cells, body, &mut slab.marks);
            line(i + 1, ["", "", &shown(own.given)], bold, &mut slab.added);
        }
        let last = marker.rows.len() + 1;
        line(last, ["total", &marker.total.to_string(), ""], bold, &mut slab.marks);
        line(last, ["", "", &shown(marker.given)], bold, &mut slab.added);
        for at in 0..=last + 1 {
            let weight = if at == 0 || at == last { 1.2 } else { 0.6 };
            let y = (top + at as f64 * row).min(slab.height);
            slab.marks.push(level(left, m.block, y, m.rule(weight)));
        }
        let small = self.small();
        let whose = if marker.writes == "mark" { "for the marker" } else { "for the checker" };
        let words = self.label(whose, small);
        let x = left - self.u(3.0) - words.width;
        words.draw(x, slab.height - self.u(1.25), small, self.faces, &mut slab.marks);
    }

    /// Questions beside each other, in as many strips as they need.
    fn rows_across(&self, marker: &Marker, strips: &[&[MarkerRow]], slab: &mut Slab) {
        let m = self.measures;
        let (row, across, words) = (self.row_mm(ROW), self.row_mm(ACROSS), self.row_mm(WORDS));
        let strip_height = 3.0 * row + self.u(2.0);
        let foot = self.u(6.0);
        let top = slab.height - foot - strips.len() as f64 * strip_height;
        let (small, body) = (self.small(), self.body());
        let bold = self.look(Face::Bold, 3.0, 4.0);
        for (number, strip) in strips.iter().enumerate() {
            let is_last = number + 1 == strips.len();
            let y = top + number as f64 * strip_height;
            let base = |at: usize, size: f64| y + at as f64 * row + m.baseline(row, size);
            for (at, word) in ["question", "max", &marker.writes].into_iter().enumerate() {
                let word = self.label(word, small);
                word.draw(0.0, base(at, small.size), small, self.faces, &mut slab.marks);
            }
            let mut cells: Vec<(String, String, String, Type)> = strip
                .iter()
                .map(|own| (own.question.clone(), own.max.to_string(), shown(own.given), body))
                .collect();
            if is_last {
                let total = marker.total.to_string();
                cells.push(("total".to_owned(), total, shown(marker.given), bold));
            }
            let right = words + cells.len() as f64 * across;
            for (i, (question, max, given, look)) in cells.iter().enumerate() {
                let middle = words + (i as f64 + 0.5) * across;
                let mut put = |at: usize, text: &str, look: Type, added: bool| {
                    let words = self.label(text, look);
                    let to = if added { &mut slab.added } else { &mut slab.marks };
                    let x = middle - words.width / 2.0;
                    words.draw(x, base(at, look.size), look, self.faces, to);
                };
                put(0, question, if question == "total" { small } else { *look }, false);
                put(1, max, *look, false);
                put(2, given, bold, true);
                let x = words + i as f64 * across;
                slab.marks.push(upright(x, y, y + 3.0 * row, m.rule(0.35)));
            }
            slab.marks.push(upright(right, y, y + 3.0 * row, m.rule(0.6)));
            for at in 0..=3 {
                let weight = if at == 0 || at == 3 { 1.2 } else { 0.6 };
                slab.marks.push(level(0.0, right, y + f64::from(at) * row, m.rule(weight)));
            }
        }
    }
}

fn shown(given: Option<u32>) -> String {
    given.map_or_else(String::new, |given| given.to_string())
}

/// Rows in strips of at most so many cells, the last with room for the total.
fn strips(rows: &[MarkerRow], widest: usize) -> Vec<&[MarkerRow]> {
    let count = (rows.len() + 1).div_ceil(widest).max(1);
    rows.chunks((rows.len() + 1).div_ceil(count).max(1)).collect()
}
