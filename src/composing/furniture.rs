//! Pages drawn: slabs put in their places, with header, footer and the marks
//! that tell versions apart.

use super::breaks;
use super::composer::Composer;
use super::lines::{Line, Type};
use super::page::{Composed, Element, Face, Ink, Mark, Page, Tagged};
use super::slab::{level, move_by, solid};

/// From the page's foot, in mm.
const FOOTER: f64 = 14.0;

/// The sorting squares, in points.
const SQUARE: f64 = 5.6;
const SQUARES: f64 = 8.0;

/// A page of the document: its slabs, its count's name, its number there.
pub(super) struct Leaf {
    slabs: (usize, usize),
    /// Which count of pages it belongs to, from 0.
    count: usize,
    /// From 1; 0 for a page left blank.
    number: usize,
    of: usize,
    /// The last page with questions.
    ends: bool,
}

/// What to draw of the pages.
#[derive(Debug, Clone, Copy)]
pub(super) struct Drawing {
    /// With what a teacher's copy adds.
    pub(super) teacher: bool,
    /// Only the first count of pages.
    pub(super) first_count: bool,
    /// The slabs will be drawn once more: their marks are kept.
    pub(super) again: bool,
}

impl Composer<'_> {
    pub(super) fn break_pages(&mut self) -> Vec<Leaf> {
        breaks::hold_headings(&mut self.slabs);
        let heads = &self.heads;
        let ranges = breaks::pages(&self.slabs, self.measures.height, |slab| {
            slab.head.map_or(0.0, |head| heads[head].height)
        });
        let mut leaves: Vec<Leaf> = Vec::with_capacity(ranges.len());
        for slabs in ranges {
            let opens = !leaves.is_empty() && self.slabs[slabs.0].opens.is_some();
            let (count, number) = match leaves.last() {
                Some(last) if opens => (last.count + 1, 1),
                Some(last) => (last.count, last.number + 1),
                None => (0, 1),
            };
            leaves.push(Leaf { slabs, count, number, of: number, ends: false });
        }
        for i in (0..leaves.len().saturating_sub(1)).rev() {
            if leaves[i].count == leaves[i + 1].count {
                leaves[i].of = leaves[i + 1].of;
            }
        }
        if leaves.is_empty() {
            leaves.push(Leaf { slabs: (0, 0), count: 0, number: 1, of: 1, ends: false });
        }
        let behind = |leaf: &Leaf| leaf.count > 0 || self.is_behind(leaf);
        let asking = leaves.iter().position(behind).unwrap_or(leaves.len());
        if let Some(last) = asking.checked_sub(1).and_then(|last| leaves.get_mut(last)) {
            last.ends = true;
        }
        self.filled_up(leaves)
    }

    fn is_behind(&self, leaf: &Leaf) -> bool {
        self.slabs.get(leaf.slabs.0).is_some_and(|slab| slab.behind)
    }

    /// With blank pages behind each count of pages: a learner's pages fill whole sheets,
    /// and what follows them begins on a sheet of its own.
    fn filled_up(&self, leaves: Vec<Leaf>) -> Vec<Leaf> {
        let fill = self.measures.fill;
        let mut filled: Vec<Leaf> = Vec::with_capacity(leaves.len());
        let mut leaves = leaves.into_iter().peekable();
        let blank = |end, count| Leaf { slabs: (end, end), count, number: 0, of: 0, ends: false };
        while let Some(leaf) = leaves.next() {
            let (end, count) = (leaf.slabs.1, leaf.count);
            let loose = self.measures.duplex && fill <= 2;
            if loose && filled.len() % 2 == 1 && self.is_behind(&leaf) {
                // On a sheet of its own it can be laid beside the questions; in a booklet
                // it could not.
                filled.push(blank(leaf.slabs.0, count));
            }
            filled.push(leaf);
            if leaves.peek().is_some_and(|next| next.count == count) {
                continue;
            }
            let multiple = if count == 0 { fill } else { fill.min(2) }.max(1);
            while !filled.len().is_multiple_of(multiple) {
                filled.push(blank(end, count));
            }
        }
        filled
    }

    /// Draws the pages.
    pub(super) fn draw(&mut self, leaves: &[Leaf], drawing: Drawing) -> Composed {
        let sheet = &self.document.sheet;
        let m = self.measures;
        let mut title = sheet.title.clone();
        if !sheet.version.is_empty() {
            title = format!("{title}, version {}", sheet.version);
        }
        let mut composed = Composed {
            title: if drawing.teacher { format!("{title}, teacher copy") } else { title },
            language: sheet.language.clone(),
            pages: Vec::with_capacity(leaves.len()),
            outline: Vec::new(),
            elements: self.elements_of(drawing),
        };
        for (index, leaf) in leaves.iter().enumerate() {
            if drawing.first_count && leaf.count > 0 {
                break;
            }
            let left = m.left(index);
            let mut marks = Vec::with_capacity(96);
            if leaf.number == 0 {
                self.blank(&mut marks);
                marks.iter_mut().for_each(|mark| move_by(mark, left, 0.0));
                let (width, height) = (m.page_width, m.page_height);
                composed.pages.push(Page { width, height, marks, tags: Vec::new() });
                continue;
            }
            self.header(leaf, drawing.teacher, &mut marks);
            for mark in &mut marks {
                move_by(mark, left, 0.0);
            }
            let tags = self.body_of(leaf, left, drawing, &mut marks);
            self.outline_of(leaf, index, &mut composed.outline);
            let at = marks.len();
            self.footer(leaf, &mut marks);
            for mark in &mut marks[at..] {
                move_by(mark, left, 0.0);
            }
            let (width, height) = (m.page_width, m.page_height);
            composed.pages.push(Page { width, height, marks, tags });
        }
        self.measures.inked(&mut composed);
        composed
    }

    /// What the pages' tags speak of: a learner's copy knows nothing of what comes
    /// after its last page.
    fn elements_of(&self, drawing: Drawing) -> Vec<Element> {
        let all = self.elements.len();
        let count = self.elements_of_first.filter(|_| drawing.first_count).unwrap_or(all);
        self.elements[..count.min(all)].to_vec()
    }

    /// The slabs of a page, each with its top.
    fn slabs_of(&self, leaf: &Leaf) -> Vec<(usize, f64)> {
        let (from, to) = leaf.slabs;
        let mut y = self.measures.top;
        let mut places = Vec::with_capacity(to - from);
        if let Some(head) = self.slabs.get(from).and_then(|slab| slab.head) {
            y += self.heads[head].height;
        }
        for i in from..to {
            if i > from {
                y += self.slabs[i - 1].after.max(self.slabs[i].before);
            }
            places.push((i, y));
            y += self.slabs[i].height;
        }
        places
    }

    fn body_of(
        &mut self,
        leaf: &Leaf,
        left: f64,
        drawing: Drawing,
        to: &mut Vec<Mark>,
    ) -> Vec<Tagged> {
        let mut tags = Vec::new();
        let places = self.slabs_of(leaf);
        if let Some(head) = self.slabs.get(leaf.slabs.0).and_then(|slab| slab.head) {
            let top = self.measures.top;
            put(&mut self.heads[head].marks, left, top, true, to);
        }
        for (i, y) in places {
            let slab = &mut self.slabs[i];
            let from = to.len();
            put(&mut slab.marks, left, y, drawing.again, to);
            if drawing.teacher {
                put(&mut slab.added, left, y, drawing.again, to);
            }
            tags.extend(slab.tags(from, to.len()));
        }
        tags
    }

    fn outline_of(&self, leaf: &Leaf, page: usize, to: &mut Vec<(usize, String, usize, f64)>) {
        for (i, y) in self.slabs_of(leaf) {
            if let Some((depth, words)) = &self.slabs[i].heading
                && !words.is_empty()
            {
                to.push((*depth, words.clone(), page, y));
            }
        }
    }

    /// A paper's front page says itself what a header would.
    fn is_front(&self, leaf: &Leaf) -> bool {
        leaf.slabs.0 == 0 && self.is_paper()
    }

    fn header(&self, leaf: &Leaf, teacher: bool, to: &mut Vec<Mark>) {
        let sheet = &self.document.sheet;
        let m = &self.measures;
        let baseline = m.header;
        let look = self.fixed(Face::Regular, m.header_size);
        let bold = Type { ink: Ink::White, ..self.fixed(Face::Bold, m.header_size) };
        let tab = self.label(&sheet.tab, bold);
        // Its room is kept on the learner's copy too, so that both are alike.
        let tab_width = if sheet.tab.is_empty() { 0.0 } else { tab.width + 12.0 };
        let beside =
            if tab_width > 0.0 { (m.block - tab_width) / 2.0 - 6.0 } else { m.block / 2.0 - 6.0 };
        // Where class and course do not fit together, the course is what matters.
        let course = sheet.left.rsplit(" · ").next().unwrap_or(&sheet.left);
        let right = if sheet.seat.is_empty() { &sheet.right } else { &sheet.seat };
        // Where nothing stands at the right, the tab goes there and leaves its room.
        let aside = right.is_empty() && self.label(course, look).width > beside;
        let room = if aside { m.block - tab_width - 6.0 } else { beside };
        let whole = self.label(&sheet.left, look).width <= room;
        let left = self.shortened(if whole { &sheet.left } else { course }, look, room);
        let right = self.shortened(right, look, room);
        if !self.is_front(leaf) {
            left.draw(0.0, baseline, look, self.faces, to);
        }
        // Where a copy belongs is looked for on its front.
        if !self.is_front(leaf) || !sheet.seat.is_empty() {
            let x = m.block - right.width;
            right.draw(x, baseline, look, self.faces, to);
        }
        if leaf.number > 1 {
            to.push(level(0.0, m.block, baseline + 5.0, m.rule(0.6)));
        }
        if teacher && tab_width > 0.0 {
            let scale = m.header_size / 9.0;
            let x = (m.block - tab_width) / if aside { 1.0 } else { 2.0 };
            to.push(solid(x, baseline - 10.0 * scale, tab_width, 14.0 * scale));
            tab.draw(x + 6.0, baseline, bold, self.faces, to);
        }
    }

    /// A page with nothing on it says so, and whose it is.
    fn blank(&self, to: &mut Vec<Mark>) {
        let m = &self.measures;
        let look = self.look(Face::Regular, 3.0, 4.0);
        let words = self.label("Blank page", look);
        let x = (m.block - words.width) / 2.0;
        words.draw(x, m.page_height / 3.0, look, self.faces, to);
        self.code(m.page_height - m.mm(FOOTER), to);
    }

    fn footer(&self, leaf: &Leaf, to: &mut Vec<Mark>) {
        let sheet = &self.document.sheet;
        let m = &self.measures;
        let baseline = m.page_height - m.mm(FOOTER);
        let look = self.fixed(Face::Regular, m.header_size);
        self.code(baseline, to);
        let counts = self.counts(leaf);
        let words = format!("{counts} {} of {}", leaf.number, leaf.of);
        let middle = self.label(&words, look);
        let x = (m.block - middle.width) / 2.0;
        middle.draw(x, baseline, look, self.faces, to);
        let right = if leaf.ends {
            sheet.last.as_str()
        } else if leaf.number == leaf.of {
            ""
        } else if leaf.number % 2 == 1 && !sheet.last.is_empty() {
            // Only what is worked through to an end says so.
            "Turn over"
        } else {
            ""
        };
        let bold = self.fixed(Face::Bold, m.header_size);
        let words = self.label(right, bold);
        let x = m.block - words.width;
        words.draw(x, baseline, bold, self.faces, to);
    }

    /// The marks that sort versions, and the version's code.
    fn code(&self, baseline: f64, to: &mut Vec<Mark>) {
        let sheet = &self.document.sheet;
        let m = &self.measures;
        if !sheet.code.is_empty() {
            let scale = m.header_size / 9.0;
            let side = SQUARE * scale;
            let solid_at = place(&sheet.version, &sheet.seed);
            for i in 0..4 {
                let x = i as f64 * SQUARES * scale;
                to.push(Mark::Box {
                    x,
                    y: baseline - side,
                    width: side,
                    height: side,
                    weight: (i != solid_at).then_some(0.6),
                    ink: Ink::Black,
                });
            }
            let bold = self.fixed(Face::Bold, m.code_size);
            let code = self.label(&sheet.code, bold);
            code.draw((4.0 * SQUARES + 5.0) * scale, baseline, bold, self.faces, to);
        }
    }

    fn counts(&self, leaf: &Leaf) -> &str {
        let mut names = self.slabs.iter().filter_map(|slab| slab.opens.as_deref());
        match leaf.count {
            0 => "Page",
            count => names.nth(count - 1).filter(|name| !name.is_empty()).unwrap_or("Page"),
        }
    }

    fn fixed(&self, face: Face, size: f64) -> Type {
        Type { face: self.measures.face(face), size, leading: size, ink: Ink::Black }
    }

    /// A line cut short with dots where it would run into its neighbour.
    fn shortened(&self, text: &str, look: Type, room: f64) -> Line {
        let whole = self.label(text, look);
        if whole.width <= room {
            return whole;
        }
        let ends: Vec<usize> = text.char_indices().map(|(i, _)| i).collect();
        let fits = ends.partition_point(|end| {
            self.label(&format!("{}…", text[..*end].trim_end()), look).width <= room
        });
        let end = ends.get(fits.saturating_sub(1)).copied().unwrap_or(0);
        self.label(&format!("{}…", text[..end].trim_end()), look)
    }
}

/// Puts marks in their place on the page, or copies of them.
fn put(marks: &mut Vec<Mark>, dx: f64, dy: f64, again: bool, to: &mut Vec<Mark>) {
    let from = to.len();
    if again {
        to.extend_from_slice(marks);
    } else {
        to.append(marks);
    }
    for mark in &mut to[from..] {
        move_by(mark, dx, dy);
    }
}

/// Which of the four squares is solid: the version's place in an order that
/// changes with the seed, so that a square does not betray a version's letter.
fn place(version: &str, seed: &str) -> usize {
    let mut order = [0, 1, 2, 3];
    let mut state = seed.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    });
    for i in (1..4).rev() {
        order.swap(i, (state >> 33) as usize % (i + 1));
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
    }
    // Letters count on from A; AA follows Z.
    let index = version
        .bytes()
        .filter(u8::is_ascii_uppercase)
        .fold(0usize, |index, letter| {
            index.wrapping_mul(26).wrapping_add(usize::from(letter - b'A') + 1)
        })
        .wrapping_sub(1);
    order[index % 4]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn four_versions_in_turn_have_four_squares() {
        for seed in ["7", "8", "2031", ""] {
            let mut places: Vec<usize> =
                ["B", "C", "D", "E"].map(|version| place(version, seed)).to_vec();
            places.sort_unstable();
            assert_eq!(places, [0, 1, 2, 3]);
        }
        let of_a: std::collections::BTreeSet<usize> =
            (0..40).map(|seed| place("A", &seed.to_string())).collect();
        assert_eq!(of_a.len(), 4, "the order changes with the seed");
    }
}
