//! Technique cards, two to a sheet with cut marks: half of A4 or Letter, on its side.
//!
//! Takes a document with card blocks; gives sheets. Where a card's text does not fit, its
//! columns are shared out in another way and its sketch is drawn smaller; then all cards are
//! set smaller, down to 9 pt. What still does not fit goes on to a further card.

use super::composer::Composer;
use super::faces::Faces;
use super::figure::Sizes;
use super::lines::{self, Type};
use super::page::{Composed, Element, Face, Ink, Mark, Page, Role, Tagged};
use super::profile::{Measures, Profile};
use super::slab::{NEVER, Slab, level, move_by, solid};
use super::tagging::add_elements;
use crate::document::{Block, Card, CardColumn, Document, Fact, ListItem, Run, Runs, plain};
use crate::figure::Drawing;

/// Margins of a card: left, right, top to the shelf; and its foot line from below.
const LEFT: f64 = 15.0;
const RIGHT: f64 = 12.0;
const SHELF: f64 = 12.0;
const FOOT: f64 = 12.8;
/// Columns from the card's text edge, in mm: left edge and right edge.
type Columns = [(f64, f64); 3];
/// As they should be, then with more room for cautions.
const COLUMNS: [Columns; 2] =
    [[(0.0, 58.0), (64.0, 132.0), (138.0, 183.0)], [(0.0, 48.0), (53.0, 118.0), (123.0, 183.0)]];
/// The same where the first holds a drawing.
const DRAWN: [Columns; 2] =
    [[(0.0, 76.0), (80.0, 138.0), (142.0, 183.0)], [(0.0, 62.0), (66.0, 127.0), (131.0, 183.0)]];
/// What is tried in turn in one size of text: which columns, and how large the sketch is of
/// its usual size.
const WAYS: [(usize, f64); 4] = [(0, 1.0), (1, 1.0), (0, 0.85), (1, 0.85)];
/// The scale below which the names on a sketch would not shrink with it.
const LEGIBLE: f64 = 0.98;
/// The width of the diagram at the foot, and what is between it and the words, in mm.
pub(super) const STEP: f64 = 82.0;
const APART: f64 = 6.0;
/// Sizes of the unit tried in turn: 10.5 pt text, then smaller.
const UNITS: [f64; 3] = [3.5, 3.25, 3.0];
/// A cut mark's length and its distance from the edge, which no printer reaches, in mm.
const CUT: f64 = 5.0;
const UNREACHED: f64 = 5.0;

/// The pieces of a card and how far each may reach.
struct Room {
    width: f64,
    height: f64,
}

/// The sheets of a document's cards.
pub fn cards(document: &Document, profile: &Profile, faces: &Faces) -> Composed {
    let sheet = Measures::of(&Profile { large_print: false, ..profile.on_sheets() });
    let room = Room { width: sheet.page_width, height: sheet.page_height / 2.0 };
    let all: Vec<&Card> = document
        .blocks
        .iter()
        .filter_map(|block| if let Block::Card(card) = block { Some(card) } else { None })
        .collect();
    // Cards that lie side by side have one size, that of the fullest among those which fit.
    let press = Press { document, room: &room, faces };
    let sizes = all.iter().filter_map(|card| press.largest(card));
    let size = sizes.fold(UNITS[0], f64::min);
    let mut made: Vec<(String, Drawn)> = Vec::new();
    for card in all {
        let title = plain(&card.title);
        let own = press.drawn(card, size);
        made.extend(own.into_iter().map(|drawn| (title.clone(), drawn)));
    }
    let mut composed = Composed {
        elements: Vec::new(),
        title: document.sheet.title.clone(),
        language: document.sheet.language.clone(),
        pages: Vec::new(),
        outline: Vec::new(),
    };
    for (index, pair) in made.chunks(2).enumerate() {
        let (mut marks, mut tags) = (cut_marks(&room), Vec::new());
        for (half, (title, card)) in pair.iter().enumerate() {
            let y = half as f64 * room.height;
            if composed.outline.last().is_none_or(|(_, last, ..)| last != title) {
                composed.outline.push((0, title.clone(), index, y));
            }
            let at = marks.len();
            marks.extend_from_slice(&card.page.marks);
            marks[at..].iter_mut().for_each(|mark| move_by(mark, 0.0, y));
            let first = add_elements(&mut composed.elements, &card.elements, None);
            tags.extend(card.page.tags.iter().map(|tag| Tagged {
                from: at + tag.from,
                to: at + tag.to,
                element: first + tag.element,
            }));
        }
        composed.pages.push(Page {
            width: sheet.page_width,
            height: sheet.page_height,
            marks,
            tags,
        });
    }
    if composed.pages.is_empty() {
        // A file without pages is none.
        let (width, height) = (sheet.page_width, sheet.page_height);
        composed.pages.push(Page { width, height, marks: Vec::new(), tags: Vec::new() });
    }
    composed
}

/// Where to cut: beside both edges, half way down, and nothing across the cards.
fn cut_marks(room: &Room) -> Vec<Mark> {
    const MM: f64 = 72.0 / 25.4;
    let (from, to) = (UNREACHED * MM, (UNREACHED + CUT) * MM);
    vec![
        level(from, to, room.height, 0.35),
        level(room.width - to, room.width - from, room.height, 0.35),
    ]
}

/// A card on its way to a sheet, and what its tags speak of: a section of its own.
#[derive(Debug, Clone, Default, PartialEq)]
struct Drawn {
    page: Page,
    elements: Vec<Element>,
}

impl Drawn {
    /// What was drawn last from `from` on is an element of this role.
    fn tag(&mut self, from: usize, role: Role, title: &str) {
        let (to, element) = (self.page.marks.len(), self.elements.len());
        if from < to {
            self.page.tags.push(Tagged { from, to, element });
            self.elements.push(Element::new(role, Some(0), title));
        }
    }

    fn place(&mut self, laid: &Laid, x: f64, mut y: f64) {
        let first = add_elements(&mut self.elements, &laid.elements, Some(0));
        for (i, slab) in laid.slabs.iter().enumerate() {
            if i > 0 {
                y += laid.slabs[i - 1].after.max(slab.before);
            }
            slab.place((x, y), first, &mut self.page);
            y += slab.height;
        }
    }
}

/// Blocks laid out, to be put somewhere.
#[derive(Default)]
struct Laid {
    slabs: Vec<Slab>,
    elements: Vec<Element>,
}

/// What all cards of a file have in common.
struct Press<'a> {
    document: &'a Document,
    room: &'a Room,
    faces: &'a Faces,
}

impl Press<'_> {
    /// The largest size in which a card fits. The least size is for words alone: they count
    /// more than the diagram.
    fn largest(&self, card: &Card) -> Option<f64> {
        let without = Card { step: None, ..card.clone() };
        let tries = UNITS[..2].iter().map(|u| (card, *u)).chain(UNITS.map(|u| (&without, u)));
        tries.into_iter().find(|(card, u)| self.whole(card, *u).is_some()).map(|(_, u)| u)
    }

    /// A card that fits in this size.
    fn whole(&self, card: &Card, u: f64) -> Option<Drawn> {
        let wide = |way: &&(usize, f64)| {
            let (from, end) = DRAWN[way.0][0];
            let sketches = card.columns.iter().filter_map(|column| column.drawing.as_ref());
            way.0 == 0 || sketches.fold(0.0, |w: f64, d| w.max(d.width)) * LEGIBLE <= end - from
        };
        WAYS.iter().filter(wide).find_map(|way| match self.setter(u, *way).card(card, false) {
            (drawn, None) => Some(drawn),
            _ => None,
        })
    }

    /// A card; of one that is too long several.
    fn drawn(&self, card: &Card, u: f64) -> Vec<Drawn> {
        let without = Card { step: None, ..card.clone() };
        if let Some(drawn) = self.whole(card, u).or_else(|| self.whole(&without, u)) {
            return vec![drawn];
        }
        let mut all = Vec::new();
        let mut rest = Some(without);
        while let Some(card) = rest {
            let setter = self.setter(UNITS[2], WAYS[1]);
            let (drawn, next) = setter.card(&card, !all.is_empty());
            all.push(drawn);
            // Each further card holds less than the one before, or nothing could be put
            // on it at all.
            rest = next.filter(|next| *next != card);
        }
        all
    }

    fn setter(&self, u: f64, (columns, sketch): (usize, f64)) -> Setter<'_> {
        let m = Measures::of(&Profile::default()).with_unit(u);
        Setter { document: self.document, room: self.room, m, faces: self.faces, columns, sketch }
    }
}

struct Setter<'a> {
    document: &'a Document,
    room: &'a Room,
    m: Measures,
    faces: &'a Faces,
    /// Which of the columns, and how large a sketch in them is.
    columns: usize,
    sketch: f64,
}

impl Setter<'_> {
    fn look(&self, face: Face, size: f64, leading: f64) -> Type {
        Type { face, size, leading, ink: Ink::Black }
    }

    /// A card's marks, and the card of what did not fit.
    fn card(&self, card: &Card, continued: bool) -> (Drawn, Option<Card>) {
        let m = self.m;
        let left = m.mm(LEFT);
        let right = self.room.width - m.mm(RIGHT);
        let top = m.mm(SHELF);
        let foot = self.room.height - m.mm(FOOT);
        let mut drawn = Drawn::default();
        drawn.elements.push(Element::new(Role::Section, None, &plain(&card.title)));
        drawn.page.marks = shelf(left, right, top, m.mm(10.0));
        let mut y = self.head(card, continued, (left, right), top, &mut drawn);
        let bottom = foot - 4.0 * m.u;
        let mut rest =
            Card { title: card.title.clone(), foot: card.foot.clone(), ..Card::default() };

        // What stands across the foot is laid first: the columns have what it leaves.
        let lay = |drawing| self.sized(&[figure(drawing)], m.mm(STEP), Sizes::CARD);
        let step = card.step.as_ref().map(lay);
        let beside = if card.step.is_some() { m.mm(STEP + APART) } else { 0.0 };
        let below = self.below(&card.below, right - left - beside);
        let step = step.unwrap_or_default();
        let step_height = height(&step);
        let room_below = height(&below).max(step_height);
        let below_height = room_below + if room_below > 0.0 { 5.0 * m.u } else { 0.0 };
        y += 2.0 * m.u;
        let edge = bottom - below_height;
        let deepest = self.columns(card, left, y, edge, &mut rest, &mut drawn);
        if room_below > 0.0 {
            let shelf_at = (deepest + 3.0 * m.u).min(edge + m.u);
            drawn.page.marks.extend(shelf(left, right, shelf_at, m.mm(10.0)));
            drawn.place(&below, left, shelf_at + 3.0 * m.u);
            drawn.place(&step, right - m.mm(STEP), shelf_at + 2.0 * m.u);
        }
        let small = self.look(Face::Regular, 8.0, 10.0);
        let words = lines::label(&card.foot, small, self.faces);
        let marks = &mut drawn.page.marks;
        words.draw(left, foot, small, self.faces, marks);
        let cut = lines::label("cut between the marks", small, self.faces);
        let x = right - cut.width;
        cut.draw(x, foot, small, self.faces, marks);
        let over = rest.columns.iter().any(|column| !is_empty(column)) || !rest.caution.is_empty();
        (drawn, over.then_some(rest))
    }

    /// Name, role, the line under them; gives where they end.
    fn head(
        &self,
        card: &Card,
        continued: bool,
        (left, right): (f64, f64),
        top: f64,
        to: &mut Drawn,
    ) -> f64 {
        let small = self.look(Face::Regular, 9.5, 12.0);
        let role = lines::one(&card.role, small, self.faces);
        let baseline = top + 24.0;
        let room = right - left - role.width - 12.0;
        let mut title = card.title.clone();
        if continued {
            title.push(Run { text: " (continued)".to_owned(), ..Run::default() });
        }
        let mut size = 19.0;
        let width = lines::one(&title, self.look(Face::Bold, size, size), self.faces).width;
        if width > room {
            size = (size * room / width).max(9.5);
        }
        let bold = self.look(Face::Bold, size, size);
        if let Some(line) = lines::set(&title, bold, room, self.faces).into_iter().next() {
            let from = to.page.marks.len();
            line.draw(left, baseline, bold, self.faces, &mut to.page.marks);
            to.tag(from, Role::Heading(2), &plain(&card.title));
        }
        let x = right - role.width;
        let from = to.page.marks.len();
        role.draw(x, baseline, small, self.faces, &mut to.page.marks);
        to.tag(from, Role::Paragraph, "");
        let from = to.page.marks.len();
        let body = self.look(Face::Regular, 3.0 * self.m.u, 4.0 * self.m.u);
        let mut y = baseline + 2.0 * self.m.u;
        for line in lines::set(&card.lead, body, right - left, self.faces) {
            let baseline = y + self.m.baseline(body.leading, body.size);
            line.draw(left, baseline, body, self.faces, &mut to.page.marks);
            y += body.leading;
        }
        to.tag(from, Role::Paragraph, "");
        y
    }

    /// The columns from `y` to `edge`; gives the depth of the deepest. What does not
    /// fit goes to `rest`.
    fn columns(
        &self,
        card: &Card,
        left: f64,
        y: f64,
        edge: f64,
        rest: &mut Card,
        to: &mut Drawn,
    ) -> f64 {
        let mut deepest = y;
        let mut at = [y; 2];
        let mut column = 0;
        let drawn = card.columns.iter().any(|part| part.drawing.is_some());
        let edges = if drawn { DRAWN } else { COLUMNS }[self.columns];
        for (i, part) in card.columns.iter().enumerate() {
            if i > 0 && !part.under {
                column = (column + 1).min(1);
            }
            let (from, end) = edges[column];
            let width = self.m.mm(end - from);
            let blocks = blocks_of(part);
            let slabs = self.lay(&blocks, width);
            let gap = if at[column] > y { 2.0 * self.m.u } else { 0.0 };
            let top = at[column] + gap;
            if top + height(&slabs) <= edge + 0.01 {
                to.place(&slabs, left + self.m.mm(from), top);
                at[column] = top + height(&slabs);
            } else {
                let (fits, over) = self.parted(part, width, edge - top);
                let slabs = self.lay(&blocks_of(&fits), width);
                if !is_empty(&fits) {
                    to.place(&slabs, left + self.m.mm(from), top);
                    at[column] = top + height(&slabs);
                }
                rest.columns
                    .push(CardColumn { under: part.under && !rest.columns.is_empty(), ..over });
            }
            deepest = deepest.max(at[column]);
        }
        let (from, end) = edges[2];
        let width = self.m.mm(end - from);
        let fits = (0..=card.caution.len())
            .rev()
            .find(|count| height(&self.caution(&card.caution[..*count], width)) <= edge - y + 0.01)
            .unwrap_or(0);
        // Where nothing fits it is set all the same: a caution may not be lost.
        let fits = fits.max(usize::from(card.columns.is_empty()).min(card.caution.len()));
        let slabs = self.caution(&card.caution[..fits], width);
        to.place(&slabs, left + self.m.mm(from), y);
        rest.caution = card.caution[fits..].to_vec();
        deepest.max(y + height(&slabs))
    }

    /// A part cut where the room ends; at least one line of it goes on the card if it
    /// stands alone there.
    fn parted(&self, part: &CardColumn, width: f64, room: f64) -> (CardColumn, CardColumn) {
        let all = part.lines.len().max(part.facts.len());
        // A drawing goes on with the first of the lines.
        let cut = |count: usize| CardColumn {
            lines: part.lines[..count.min(part.lines.len())].to_vec(),
            facts: part.facts[..count.min(part.facts.len())].to_vec(),
            ..part.clone()
        };
        let fits = (1..all)
            .rev()
            .find(|count| height(&self.lay(&blocks_of(&cut(*count)), width)) <= room + 0.01)
            .unwrap_or(0);
        let over = CardColumn {
            lines: part.lines[fits.min(part.lines.len())..].to_vec(),
            facts: part.facts[fits.min(part.facts.len())..].to_vec(),
            drawing: part.drawing.clone().filter(|_| fits == 0),
            ..part.clone()
        };
        let fits = CardColumn { drawing: part.drawing.clone().filter(|_| fits > 0), ..cut(fits) };
        (fits, over)
    }

    /// Blocks laid out in a column, as slabs without space around them.
    fn lay(&self, blocks: &[Block], width: f64) -> Laid {
        self.sized(blocks, width, Sizes::CARD.by(self.sketch))
    }

    fn sized(&self, blocks: &[Block], width: f64, figures: Sizes) -> Laid {
        let mut m = self.m;
        m.text = width;
        m.block = width;
        m.term = (0.36 * width, 0.40 * width);
        m.figures = figures;
        let mut composer = Composer::empty(self.document, m, self.faces);
        composer.blocks(blocks);
        composer.flush_hanging();
        let mut slabs = composer.slabs;
        if let Some(first) = slabs.first_mut() {
            first.before = 0.0;
        }
        if let Some(last) = slabs.last_mut() {
            last.after = 0.0;
        }
        Laid { slabs, elements: composer.elements }
    }

    fn caution(&self, texts: &[Runs], width: f64) -> Laid {
        if texts.is_empty() {
            return Laid::default();
        }
        let inner = texts.iter().cloned().map(Block::Paragraph).collect();
        self.lay(&[Block::Caution(inner)], width)
    }

    /// The rows across the foot: a bold heading at the left, text beside it.
    fn below(&self, rows: &[Fact], width: f64) -> Laid {
        let mut m = self.m;
        m.text = width;
        m.block = width;
        m.term = (m.mm(28.0), m.mm(30.0));
        let mut composer = Composer::empty(self.document, m, self.faces);
        if !rows.is_empty() {
            composer.tagged(&Block::Facts(rows.to_vec()));
        }
        let mut slabs = composer.slabs;
        if let Some(first) = slabs.first_mut() {
            first.before = 0.0;
        }
        for slab in &mut slabs {
            slab.glue = NEVER;
            slab.after = 0.0;
        }
        Laid { slabs, elements: composer.elements }
    }
}

fn is_empty(part: &CardColumn) -> bool {
    part.lines.is_empty() && part.facts.is_empty() && part.drawing.is_none()
}

/// A part of a column as blocks.
fn blocks_of(part: &CardColumn) -> Vec<Block> {
    let mut blocks = Vec::new();
    if let Some(drawing) = &part.drawing {
        blocks.push(figure(drawing));
    }
    if !part.heading.is_empty() {
        let bold = part.heading.iter().map(|run| Run { bold: true, ..run.clone() });
        blocks.push(Block::Paragraph(bold.collect()));
    }
    if part.numbered {
        let item = |runs: &Runs| ListItem { blocks: vec![Block::Paragraph(runs.clone())] };
        let items: Vec<ListItem> = part.lines.iter().map(item).collect();
        blocks.push(Block::List { start: Some(1), tight: true, items });
    } else if !part.lines.is_empty() {
        let comma = || Run { text: ", ".to_owned(), ..Run::default() };
        let mut runs = Runs::new();
        for (i, line) in part.lines.iter().enumerate() {
            if i > 0 {
                runs.push(comma());
            }
            runs.extend_from_slice(line);
        }
        blocks.push(Block::Paragraph(runs));
    }
    if !part.facts.is_empty() {
        blocks.push(Block::Facts(part.facts.clone()));
    }
    blocks
}

fn figure(drawing: &Drawing) -> Block {
    Block::Figure {
        label: String::new(),
        caption: Runs::new(),
        drawing: drawing.clone(),
        blanks: false,
        letters: Vec::new(),
    }
}

fn shelf(left: f64, right: f64, y: f64, thick: f64) -> Vec<Mark> {
    vec![solid(left, y, thick, 2.6), solid(left + thick, y, right - left - thick, 0.5)]
}

fn height(laid: &Laid) -> f64 {
    let slabs = &laid.slabs;
    let gaps: f64 = slabs.windows(2).map(|pair| pair[0].after.max(pair[1].before)).sum();
    gaps + slabs.iter().map(|slab| slab.height).sum::<f64>()
}
