//! The head of the first page: shelf, title, score box, lines for a name.

use super::composer::Composer;
use super::page::{Face, Mark};
use super::slab::{NEVER, Slab, level};
use crate::document::{Opening, plain};

impl Composer<'_> {
    pub(super) fn opening(&mut self, opening: &Opening) {
        self.leave();
        let m = self.measures;
        let mut slab = self.shelf(3.6, 0.6);
        let (box_width, box_height) = m.score_box;
        let room = match opening.score {
            Some(_) => m.block - box_width - m.mm(6.0),
            None => m.block,
        };
        let mut y = self.u(2.0);
        let title = self.look(Face::Bold, 5.5, 7.0);
        let below = self.body();
        for (runs, look) in [(&opening.title, title), (&opening.line, below)] {
            for line in self.set(runs, look, room) {
                let baseline = y + m.baseline(look.leading, look.size);
                line.draw(0.0, baseline, look, self.faces, &mut slab.marks);
                y += look.leading;
                slab.baseline = Some(baseline);
            }
        }
        if let Some(score) = opening.score {
            let (left, top) = (m.block - box_width, self.u(2.0));
            slab.marks.push(Mark::Box {
                x: left,
                y: top,
                width: box_width,
                height: box_height,
                weight: Some(m.rule(0.6)),
                ink: super::page::Ink::Black,
            });
            let word = self.look(Face::Regular, 2.25, 3.0);
            let line = self.label("score", word);
            line.draw(left + 5.0, top + word.size * 1.05, word, self.faces, &mut slab.marks);
            let of = self.look(Face::Regular, 3.5, 4.0);
            let line = self.label(&format!("/\u{a0}{score}"), of);
            let x = m.block - 6.0 - line.width;
            line.draw(x, top + box_height - 6.5, of, self.faces, &mut slab.marks);
            y = y.max(top + box_height);
        }
        slab.height = m.whole(y);
        slab.after = self.u(2.0);
        slab.glue = NEVER;
        slab.heading = Some((0, plain(&opening.title)));
        self.push(slab);
    }

    pub(super) fn names(&mut self) {
        let m = self.measures;
        let look = self.small();
        let slot = self.u(6.0);
        let baseline = m.baseline(slot, look.size);
        let mut slab = Slab { height: slot, after: self.u(3.0), ..Slab::default() };
        let scale = m.block / m.mm(174.0);
        for (word, from, to) in [("name", 0.0, 84.0), ("class", 88.0, 122.0), ("date", 126.0, 174.0)]
        {
            let (from, to) = (m.mm(from) * scale, m.mm(to) * scale);
            let line = self.label(word, look);
            slab.marks.push(level(from + line.width + 4.0, to, baseline + 2.5, m.rule(0.6)));
            line.draw(from, baseline, look, self.faces, &mut slab.marks);
        }
        slab.glue = NEVER;
        self.push(slab);
    }
}
