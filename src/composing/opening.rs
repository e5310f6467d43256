//! The head of the first page: shelf, title, score box, lines for a name.

use super::composer::Composer;
use super::page::{Face, Ink, Mark};
use super::slab::{NEVER, Slab, level};
use crate::document::{Opening, Run, plain};

/// A longer title is a sentence, and is set as one.
const MOST_TITLE_LINES: usize = 3;

impl Composer<'_> {
    pub(super) fn opening(&mut self, opening: &Opening) {
        self.leave();
        let m = self.measures;
        let (box_width, box_height) = m.score_box;
        let room = match opening.score {
            Some(_) => m.block - box_width - m.mm(6.0),
            None => m.block,
        };
        let mut title = self.look(Face::Bold, 5.5, 7.0);
        let mut set = self.set(&opening.title, title, room);
        if set.len() > MOST_TITLE_LINES {
            title = self.look(Face::Bold, 3.0, 4.0);
            set = self.set(&opening.title, title, room);
        }
        let mut shelf = self.shelf(3.6, 0.6);
        shelf.height = self.u(2.0);
        shelf.heading = Some((0, plain(&opening.title)));
        if let Some(score) = opening.score {
            self.score_box(score, opening.given, &mut shelf);
        }
        let mut height = 0.0;
        self.push(shelf);
        let body = self.body();
        let below = self.set(&opening.line, body, room);
        for (lines, look) in [(set, title), (below, body)] {
            for line in lines {
                let mut slab = self.line_slab(line, look, 0.0);
                height += slab.height;
                slab.glue = NEVER;
                self.push(slab);
            }
        }
        let short = if opening.score.is_some() { (box_height - height).max(0.0) } else { 0.0 };
        if let Some(last) = self.slabs.last_mut() {
            last.height += m.whole(short);
            last.after = 2.0 * m.u;
        }
    }

    fn score_box(&self, score: u32, given: Option<u32>, slab: &mut Slab) {
        let m = &self.measures;
        let (width, height) = m.score_box;
        let (left, top) = (m.block - width, self.u(2.0));
        slab.marks.push(Mark::Box {
            x: left,
            y: top,
            width,
            height,
            weight: Some(m.rule(0.6)),
            ink: Ink::Black,
        });
        let word = self.look(Face::Regular, 2.25, 3.0);
        let line = self.label("score", word);
        line.draw(left + 5.0, top + word.size * 1.05, word, self.faces, &mut slab.marks);
        let of = self.look(Face::Regular, 3.5, 4.0);
        let line = self.label(&format!("/\u{a0}{score}"), of);
        let x = m.block - 6.0 - line.width;
        line.draw(x, top + height - 6.5, of, self.faces, &mut slab.marks);
        if let Some(given) = given {
            let look = self.look(Face::Bold, 5.0, 5.0);
            let line = self.label(&given.to_string(), look);
            let at = x - self.u(2.0) - line.width;
            line.draw(at, top + height - 6.5, look, self.faces, &mut slab.added);
        }
    }

    /// What is filled in stands in italics, as a hand would.
    pub(super) fn names(&mut self, name: &[Run], class: &[Run]) {
        let m = self.measures;
        let look = self.small();
        let slot = self.u(6.0);
        let baseline = m.baseline(slot, look.size);
        let mut slab = Slab { height: slot, after: self.u(3.0), ..Slab::default() };
        let scale = m.block / m.mm(174.0);
        for (word, from, to, filled) in [
            ("name", 0.0, 84.0, name),
            ("class", 88.0, 122.0, class),
            ("date", 126.0, 174.0, &[][..]),
        ] {
            let (from, to) = (m.mm(from) * scale, m.mm(to) * scale);
            let line = self.label(word, look);
            slab.marks.push(level(from + line.width + 4.0, to, baseline + 2.5, m.rule(0.6)));
            let start = from + line.width + 4.0;
            line.draw(from, baseline, look, self.faces, &mut slab.marks);
            let look = self.look(Face::Regular, 3.25, 4.0);
            self.handwritten(filled, look, (start + 4.0, to), false, baseline, &mut slab.added);
        }
        slab.glue = NEVER;
        self.push(slab);
    }
}
