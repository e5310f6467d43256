//! Rows of a term and what is said of it: facts and glossaries.

use super::composer::Composer;
use super::lines::Line;
use super::page::Face;
use super::slab::{NEVER, Slab, level};
use crate::document::{Fact, Run, Runs, Term};

impl Composer<'_> {
    pub(super) fn facts(&mut self, facts: &[Fact]) {
        for (i, fact) in facts.iter().enumerate() {
            let before = self.u(if i == 0 { 1.0 } else { self.measures.airy });
            self.row(&fact.term, std::slice::from_ref(&fact.says), before);
            let follows = facts.get(i + 1).is_some_and(|next| next.term.is_empty());
            self.glue(if follows { NEVER } else { 80.0 });
        }
        if let Some(last) = self.slabs.last_mut() {
            last.after = last.after.max(2.0 * self.measures.u);
            last.glue = 60.0;
        }
    }

    pub(super) fn glossary(&mut self, terms: &[Term]) {
        for (i, term) in terms.iter().enumerate() {
            let mut paragraphs = vec![term.meaning.clone()];
            for (word, runs) in [("example", &term.example), ("not", &term.not)] {
                if !runs.is_empty() {
                    let word =
                        Run { text: format!("{word}\u{a0}\u{a0}"), bold: true, ..Run::default() };
                    let mut all: Runs = vec![word];
                    all.extend_from_slice(runs);
                    paragraphs.push(all);
                }
            }
            if i > 0 {
                let m = self.measures;
                let mark = level(0.0, m.text, 0.0, m.rule(0.35));
                let after = self.u(1.0);
                self.push(Slab { marks: vec![mark], glue: NEVER, after, ..Slab::default() });
            }
            self.row(&term.term, &paragraphs, 0.0);
            self.glue(20.0);
            if let Some(last) = self.slabs.last_mut() {
                last.after = self.measures.u;
            }
        }
    }

    /// A bold term at the left, paragraphs beside it, line by line.
    fn row(&mut self, term: &[Run], paragraphs: &[Runs], before: f64) {
        self.flush_hanging();
        let m = self.measures;
        let (bold, body) = (self.look(Face::Bold, 3.0, 4.0), self.body());
        let (left, x) = (self.indent, self.indent + m.term.1);
        let terms = self.set(term, bold, m.term.0);
        let texts: Vec<Line> = paragraphs
            .iter()
            .flat_map(|runs| self.set(runs, body, (m.text - x).max(self.u(12.0))))
            .collect();
        let count = terms.len().max(texts.len());
        let (mut terms, mut texts) = (terms.into_iter(), texts.into_iter());
        for i in 0..count {
            let mut slab = self.line_slab(texts.next().unwrap_or_default(), body, x);
            if let (Some(line), Some(baseline)) = (terms.next(), slab.baseline) {
                line.draw(left, baseline, bold, self.faces, &mut slab.marks);
            }
            slab.before = if i == 0 { before } else { 0.0 };
            slab.glue = if count <= 6 || i == 0 || i + 2 == count { NEVER } else { 50.0 };
            self.push(slab);
        }
    }
}
