//! The walk over a document's blocks: where the text stands, what hangs beside
//! its next line, and the slabs so far.

use hypher::Lang;

use super::faces::Faces;
use super::figure::Shown;
use super::lines::{self, Line, Type};
use super::page::{Element, Face, Ink, Mark};
use super::profile::{Measures, Profile};
use super::slab::{NEVER, Slab};
use crate::document::{Block, Document, Run};

/// Something that stands beside the next line of text, on its baseline.
pub(super) struct Hanging {
    pub(super) x: f64,
    pub(super) line: Line,
    pub(super) look: Type,
}

pub(super) struct Composer<'a> {
    pub(super) document: &'a Document,
    pub(super) measures: Measures,
    pub(super) faces: &'a Faces,
    pub(super) slabs: Vec<Slab>,
    /// Table heads that a page may have to repeat.
    pub(super) heads: Vec<Slab>,
    /// Left edge of the text now, from the block's left.
    pub(super) indent: f64,
    pub(super) hanging: Vec<Hanging>,
    /// Within a stem or a demand: no page ends before what it leads to.
    pub(super) leads: bool,
    pub(super) group: usize,
    pub(super) groups: usize,
    /// Within a worked example's frame.
    pub(super) framed: bool,
    /// The language whose words may part at the ends of lines.
    parting: Option<Lang>,
    pub(super) opens: Option<String>,
    /// The next slab stands behind the questions.
    pub(super) behind: bool,
    /// What reading machines are told of, and the element that is open.
    pub(super) elements: Vec<Element>,
    pub(super) within: Option<usize>,
    /// How many elements the first count of pages has, once a second has begun.
    pub(super) elements_of_first: Option<usize>,
}

impl<'a> Composer<'a> {
    pub(super) fn lay(document: &'a Document, profile: &Profile, faces: &'a Faces) -> Self {
        let mut composer = Composer::empty(document, Measures::of(profile), faces);
        composer.blocks(&document.blocks);
        composer.flush_hanging();
        composer
    }

    /// A composer with nothing laid yet.
    pub(super) fn empty(document: &'a Document, measures: Measures, faces: &'a Faces) -> Self {
        Composer {
            document,
            measures,
            faces,
            slabs: Vec::with_capacity(document.blocks.len() * 3),
            heads: Vec::new(),
            indent: 0.0,
            hanging: Vec::new(),
            leads: false,
            group: 0,
            groups: 0,
            framed: false,
            parting: lines::language(&document.sheet.language)
                .filter(|_| document.sheet.hyphenation),
            opens: None,
            behind: false,
            elements: Vec::new(),
            within: None,
            elements_of_first: None,
        }
    }

    /// Whether a front page opens the document.
    pub(super) fn is_paper(&self) -> bool {
        matches!(self.document.blocks.first(), Some(Block::Cover(_)))
    }

    /// Whether what was written in boxes, gaps and lines is a learner's own.
    pub(super) fn is_marked(&self) -> bool {
        self.document.sheet.marked
    }

    /// So many units, in points.
    pub(super) fn u(&self, units: f64) -> f64 {
        units * self.measures.u
    }

    pub(super) fn look(&self, face: Face, size: f64, leading: f64) -> Type {
        let (size, leading) = self.measures.type_of(size, leading);
        let face = self.measures.face(face);
        Type { face, size, leading, ink: Ink::Black }
    }

    /// A look for tables and working, large enough to be read in large print.
    pub(super) fn legible(&self, size: f64, leading: f64) -> Type {
        let look = self.look(Face::Regular, size, leading);
        Type { size: self.measures.legible(look.size), ..look }
    }

    pub(super) fn body(&self) -> Type {
        self.look(Face::Regular, 3.0, 4.0)
    }

    pub(super) fn small(&self) -> Type {
        Type { size: self.measures.small(), ..self.look(Face::Regular, 2.5, 3.0) }
    }

    /// The width from the indent to the right edge of the text.
    pub(super) fn measure(&self) -> f64 {
        (self.measures.text - self.indent).max(self.u(12.0))
    }

    /// The indent moved in, as long as enough of the measure is left.
    pub(super) fn deeper(&self, by: f64) -> f64 {
        (self.indent + by).min((0.6 * self.measures.text).max(self.indent))
    }

    pub(super) fn label(&self, text: &str, look: Type) -> Line {
        lines::label(text, look, self.faces)
    }

    pub(super) fn set(&self, runs: &[Run], look: Type, width: f64) -> Vec<Line> {
        lines::set(runs, look, width, self.faces)
    }

    pub(super) fn push(&mut self, mut slab: Slab) {
        slab.group = self.group;
        slab.opens = self.opens.take();
        slab.behind = std::mem::take(&mut self.behind);
        self.slabs.push(slab);
    }

    /// No page ends before the next slab.
    pub(super) fn keep_with_next(&mut self) {
        if let Some(last) = self.slabs.last_mut() {
            last.glue = NEVER;
        }
    }

    pub(super) fn glue(&mut self, cost: f64) {
        if let Some(last) = self.slabs.last_mut() {
            last.glue = cost;
        }
    }

    /// Whether a heading was the last thing set.
    fn under_heading(&self) -> bool {
        self.hanging.is_empty() && self.slabs.last().is_some_and(|slab| slab.heading.is_some())
    }

    pub(super) fn hang(&mut self, x: f64, text: &str, look: Type) {
        if !text.is_empty() {
            let line = self.label(text, look);
            self.hanging.push(Hanging { x, line, look });
        }
    }

    /// A line of its own for what hangs and found no text to stand beside.
    pub(super) fn flush_hanging(&mut self) {
        if self.hanging.is_empty() {
            return;
        }
        let look = self.body();
        let mut slab = self.line_slab(Line::default(), look, 0.0);
        slab.before = self.u(2.0);
        slab.glue = if self.leads { NEVER } else { 0.0 };
        self.push(slab);
    }

    /// The height that a line takes and its baseline there: the usual ones, unless
    /// a formula in it reaches further.
    pub(super) fn slot(&self, line: &Line, look: Type) -> (f64, f64) {
        self.slot_for((line.ascent, line.descent), look)
    }

    fn slot_for(&self, (ascent, descent): (f64, f64), look: Type) -> (f64, f64) {
        let m = &self.measures;
        let usual = m.baseline(look.leading, look.size);
        let air = 0.06 * look.size;
        let above = (ascent + air - usual).max(0.0);
        let below = (descent + air - (look.leading - usual)).max(0.0);
        if above + below <= 0.0 {
            return (look.leading, usual);
        }
        let height = m.whole(look.leading + above + below);
        let rest = height - look.leading - above - below;
        (height, usual + above + rest / 2.0)
    }

    /// A slab of one line; what hangs is drawn beside it.
    pub(super) fn line_slab(&mut self, line: Line, look: Type, x: f64) -> Slab {
        let reach = self.hanging.iter().fold((line.ascent, line.descent), |(up, down), hanging| {
            (up.max(hanging.line.ascent), down.max(hanging.line.descent))
        });
        let (height, baseline) = self.slot_for(reach, look);
        let mut marks: Vec<Mark> = Vec::with_capacity(2);
        for hanging in self.hanging.drain(..) {
            hanging.line.draw(hanging.x, baseline, hanging.look, self.faces, &mut marks);
        }
        let mut added = Vec::new();
        self.write_fillings(line.fillings(x), baseline, look, &mut added);
        line.draw(x, baseline, look, self.faces, &mut marks);
        Slab { height, marks, added, baseline: Some(baseline), ..Slab::default() }
    }

    /// Text in slabs of a line each, which cling together as good setting asks.
    pub(super) fn text(&mut self, runs: &[Run], look: Type, before: f64) {
        // Learners' questions and examples are set without parted words.
        let set = match self.parting.filter(|_| self.group == 0) {
            Some(language) => lines::parted(runs, look, self.measure(), language, self.faces),
            None => self.set(runs, look, self.measure()),
        };
        let before = if self.under_heading() { 0.0 } else { before };
        let count = set.len();
        for (i, line) in set.into_iter().enumerate() {
            let parts = line.parts;
            let mut slab = self.line_slab(line, look, self.indent);
            if i == 0 {
                slab.before = before;
            }
            // No page ends within a word.
            slab.glue = if parts {
                NEVER
            } else if i + 1 == count {
                if self.leads { NEVER } else { 0.0 }
            } else if self.leads && count <= 12 || count <= 3 || i == 0 || i + 2 == count {
                NEVER
            } else if i == 1 || i + 3 == count {
                100.0
            } else {
                30.0
            };
            self.push(slab);
        }
    }

    /// Makes slabs from `start` on one stretch: the spaces between them become
    /// part of their heights, so that what is drawn beside them has no gaps.
    pub(super) fn fuse(&mut self, start: usize) {
        for i in start..self.slabs.len().saturating_sub(1) {
            let gap = self.slabs[i].after.max(self.slabs[i + 1].before);
            self.slabs[i].height += gap;
            self.slabs[i].after = 0.0;
            self.slabs[i + 1].before = 0.0;
        }
    }

    pub(super) fn blocks(&mut self, blocks: &[Block]) {
        for block in blocks {
            self.tagged(block);
        }
    }

    pub(super) fn block(&mut self, block: &Block) {
        match block {
            Block::Opening(opening) => self.opening(opening),
            Block::Names { name, class } => self.names(name, class),
            Block::Cover(cover) => self.cover(cover),
            Block::Candidate { name, class } => self.candidate(name, class),
            Block::Topic(heading) => self.topic(heading),
            Block::Marker(marker) => self.marker(marker),
            Block::FactCells(cells) => self.fact_cells(cells),
            Block::Checks(lines) => self.checks(lines),
            Block::Slots { slots, below } => self.slots(slots, below),
            Block::Question { number } => self.question(number),
            Block::Part { label, sub } => self.part(label, sub),
            Block::Answer(answer) => self.answer(answer),
            Block::Total { marks } => self.total(*marks),
            Block::Example { label } => self.example(label),
            Block::Close => self.close(),
            Block::Steps(steps) => self.steps(steps),
            Block::Facts(facts) => self.facts(facts),
            Block::Glossary(terms) => self.glossary(terms),
            Block::Caption { label, text } => self.caption(label, text),
            Block::Figure { label, caption, drawing, blanks, letters } => {
                self.figure(label, caption, &Shown { drawing, blanks: *blanks, letters });
            }
            Block::Pages { counts } => self.pages(counts),
            Block::Behind => self.leave_behind(),
            Block::Heading { level, text } => self.heading(*level, text),
            Block::Paragraph(runs) => self.paragraph(runs),
            Block::Formula(run) => self.formula(run),
            Block::Literal(lines) => self.literal(lines),
            Block::List { start, tight, items } => self.list(*start, *tight, items),
            Block::Table(table) => self.table(table),
            Block::Grid(grid) => self.grid(grid),
            Block::Note(inner) => self.note(inner),
            Block::Caution(inner) => self.caution(inner),
            Block::Quote(inner) => self.quote(inner),
            Block::Rule => self.rule(),
            Block::Picture { words, caption, picture } => {
                self.picture(words, caption, picture.as_deref());
            }
            // Slides have a composer of their own; on a page their heads are headings.
            Block::Slide(slide) => self.heading(2, &slide.title),
            Block::Notes => {}
            Block::Working { lines, mistakes } => self.working(lines, mistakes),
            Block::Choices { beside, options } => self.choices(beside, options),
            Block::Card(card) => self.heading(2, &card.title),
            Block::Cells { columns, rows } => self.cells(columns, rows),
            Block::Lines { count } => self.ruled(*count),
            Block::Boxes(boxes) => self.boxes(boxes),
            Block::Written(written) => self.written(written),
            Block::Bank(words) => self.bank(words),
            Block::Feedback { title, right } => self.feedback(title, right),
            Block::Strip(cells) => self.strip(cells),
            Block::Told { heading, lines, dashed } => self.told(heading, lines, *dashed),
        }
    }
}
