//! Slides of 720 by 405 pt: each head's blocks laid out by the same composer as a
//! page's, larger, and parted over as many slides as they need.
//!
//! Takes a document whose blocks stand under slide heads; gives the slides, and
//! which texts did not fit on theirs. Text is 26 pt, or 24 where that saves a slide.

use super::breaks;
use super::composer::Composer;
use super::deck::{Deck, Over, Slide};
use super::faces::Faces;
use super::lines::{self, Line, Type};
use super::page::{Element, Face, Ink, Mark, Page, Role, Tagged};
use super::profile::Measures;
use super::slab::{NEVER, Slab, level, move_by, solid};
use super::tagging::add_elements;
use super::writing_room::IN_A_STEP;
use crate::document::{self, Block, Document, Run, plain};

pub(super) const WIDTH: f64 = 720.0;
pub(super) const HEIGHT: f64 = 405.0;
const MARGIN: f64 = 40.0;
pub(super) const INSIDE: f64 = WIDTH - 2.0 * MARGIN;
/// From the top edge to the text, and the height that is there for it.
const TOP: f64 = 88.0;
pub(super) const ROOM: f64 = 276.0;
/// The height of a line, and how many a slide may have.
const LINE: f64 = 32.0;
const MOST_LINES: usize = 7;

/// Size and width of the text, in the order of preference: short lines are read more
/// easily, and long texts may use all of the width.
const SETTINGS: [(f64, f64); 3] = [(26.0, 548.0), (26.0, 616.0), (24.0, INSIDE)];

/// What the title of a further slide ends in.
const CONTINUED: &str = "(continued)";

/// A slide more; text cut where it should hold; a slide that cannot hold a piece.
const SLIDE: f64 = 1e3;
const CUT: f64 = 1e5;
const TOO_TALL: f64 = 1e9;
/// The emptiness of a slide, squared: what goes on to a further slide is shared evenly.
const UNEVEN: f64 = 100.0;

/// A head with what stands under it.
struct Head<'a> {
    slide: &'a document::Slide,
    body: &'a [Block],
    notes: &'a [Block],
}

/// A head's blocks as slabs, and the slabs of each of its slides.
struct Laid<'a> {
    composer: Composer<'a>,
    parts: Vec<(usize, usize)>,
    lines: usize,
    /// What it would cost to use this setting.
    cost: f64,
}

/// Lays out all slides of a document. Blocks before the first head are left out.
pub fn slides(document: &Document, faces: &Faces) -> Deck {
    let mut deck = Deck {
        title: document.sheet.title.clone(),
        language: document.sheet.language.clone(),
        left: document.sheet.left.clone(),
        slides: Vec::new(),
        elements: Vec::new(),
        notes: Vec::new(),
        over: Vec::new(),
    };
    let heads = heads(&document.blocks);
    let mut shared = None;
    for (index, head) in heads.iter().enumerate() {
        // A question stands on its answer's slide at the same place in the same size.
        let answer = heads
            .get(index + 1)
            .filter(|next| !next.slide.tab.is_empty() && next.slide.title == head.slide.title);
        let setting = match (shared.take(), answer) {
            (Some(setting), _) => setting,
            (None, Some(answer)) => {
                let setting = best(document, answer.body, faces);
                shared = Some(setting);
                setting
            }
            (None, None) => best(document, head.body, faces),
        };
        let laid = lay(document, head.body, setting, faces);
        // A table goes on under its heads, and nothing of it is lost.
        let table = matches!(head.body, [Block::Table(_)]);
        if let Some(place) = head.slide.place.filter(|_| laid.parts.len() > 1 && !table) {
            // What tells a question's data may stand before several of its parts.
            let over = Over {
                place,
                title: plain(&head.slide.title),
                lines: laid.lines.saturating_sub(MOST_LINES).max(1),
                slides: laid.parts.len(),
            };
            if !deck.over.contains(&over) {
                deck.over.push(over);
            }
        }
        draw(document, head, index, laid, faces, &mut deck);
        deck.notes.push(head.notes.to_vec());
    }
    deck
}

fn heads(blocks: &[Block]) -> Vec<Head<'_>> {
    let at: Vec<usize> =
        (0..blocks.len()).filter(|i| matches!(blocks[*i], Block::Slide(_))).collect();
    let ends = at.iter().skip(1).copied().chain([blocks.len()]);
    at.iter()
        .zip(ends)
        .filter_map(|(from, to)| {
            let Block::Slide(slide) = &blocks[*from] else { return None };
            let under = &blocks[from + 1..to];
            let notes = under.iter().position(|block| matches!(block, Block::Notes));
            let (body, notes) = match notes {
                Some(notes) => (&under[..notes], &under[notes + 1..]),
                None => (under, &under[under.len()..]),
            };
            Some(Head { slide, body, notes })
        })
        .collect()
}

/// The setting that takes the fewest slides; of equals the first.
fn best(document: &Document, body: &[Block], faces: &Faces) -> (f64, f64) {
    let mut best = (f64::INFINITY, SETTINGS[0]);
    for setting in SETTINGS {
        let cost = lay(document, body, setting, faces).cost;
        if cost < best.0 {
            best = (cost, setting);
        }
    }
    best.1
}

fn lay<'a>(
    document: &'a Document,
    body: &[Block],
    (size, width): (f64, f64),
    faces: &'a Faces,
) -> Laid<'a> {
    let mut composer = Composer::empty(document, Measures::slide(size, width), faces);
    let mut asked = 0;
    for block in body {
        if matches!(block, Block::Working { .. }) {
            asked = composer.slabs.len();
        }
        // A table, a frame and working may use all of the width.
        let wide = matches!(
            block,
            Block::Table(_)
                | Block::Caution(_)
                | Block::Choices { .. }
                | Block::Working { .. }
                | Block::Figure { .. }
        );
        composer.measures.text = if wide { INSIDE } else { width };
        composer.tagged(block);
    }
    composer.flush_hanging();
    breaks::hold_headings(&mut composer.slabs);
    hold(&mut composer.slabs, asked);
    let (parts, cost) = parted(&composer.slabs, &composer.heads);
    let lines = composer.slabs.iter().map(lines_of).sum();
    Laid { composer, parts, lines, cost }
}

/// What is asked stays together above its answer where a slide holds it, and the answer
/// may then begin on the next.
fn hold(slabs: &mut [Slab], asked: usize) {
    let (slabs, working) = slabs.split_at_mut(asked);
    // A step that is parted is hard to follow from one slide to the next.
    let within = working.iter_mut().filter(|slab| asked > 0 && slab.glue == IN_A_STEP);
    within.for_each(|slab| slab.glue = NEVER);
    let gaps = slabs.windows(2).map(|pair| pair[0].after.max(pair[1].before));
    let height: f64 = gaps.sum::<f64>() + slabs.iter().map(|slab| slab.height).sum::<f64>();
    let lines: usize = slabs.iter().map(lines_of).sum();
    if let Some((last, others)) = slabs.split_last_mut()
        && height <= ROOM + 0.01
        && lines <= MOST_LINES
    {
        others.iter_mut().for_each(|slab| slab.glue = NEVER);
        last.glue = 0.0;
    }
}

/// Lines of text in a slab. A row of a table counts as one, for what it holds is read
/// across, and an option as none, for it is looked at by itself; their heights are
/// counted all the same.
fn lines_of(slab: &Slab) -> usize {
    usize::from(slab.baseline.is_some())
}

/// The slabs of each slide, with the least cost over all, and how many slides and
/// cuts that cost stands for.
fn parted(slabs: &[Slab], heads: &[Slab]) -> (Vec<(usize, usize)>, f64) {
    let count = slabs.len();
    if count == 0 {
        return (vec![(0, 0)], 0.0);
    }
    let mut best = vec![(f64::INFINITY, 0.0, 0usize); count + 1];
    (best[0].0, best[0].1) = (0.0, 0.0);
    for from in 0..count {
        let repeated = slabs[from].head.map(|head| &heads[head]);
        let mut height = repeated.map_or(0.0, |head| head.height);
        let mut lines = repeated.map_or(0, lines_of);
        for to in from + 1..=count {
            let slab = &slabs[to - 1];
            if to > from + 1 {
                height += slabs[to - 2].after.max(slab.before);
            }
            height += slab.height;
            lines += lines_of(slab);
            let over = height > ROOM + 0.01 || lines > MOST_LINES;
            if over && to > from + 1 {
                break;
            }
            let glue = if to < count { slab.glue } else { 0.0 };
            let mut hard = best[from].1 + SLIDE;
            hard += if glue >= NEVER { CUT } else { 0.0 };
            hard += if height > ROOM + 0.01 { TOO_TALL } else { 0.0 };
            let empty = 1.0 - (height / ROOM).min(1.0);
            let soft = best[from].0 - best[from].1 + glue.min(NEVER) / 10.0;
            let cost = hard + soft + UNEVEN * empty * empty;
            if cost < best[to].0 {
                best[to] = (cost, hard, from);
            }
        }
    }
    let mut parts = Vec::new();
    let mut at = count;
    while at > 0 {
        parts.push((best[at].2, at));
        at = best[at].2;
    }
    parts.reverse();
    (parts, best[count].1)
}

/// Draws the slides of a head.
fn draw(
    document: &Document,
    head: &Head<'_>,
    index: usize,
    laid: Laid<'_>,
    faces: &Faces,
    deck: &mut Deck,
) {
    let Laid { composer, parts, .. } = laid;
    let mut first = 0;
    for (part, (from, to)) in parts.into_iter().enumerate() {
        let number = deck.slides.len() + 1;
        let mut marks = Vec::with_capacity(32);
        if head.slide.opening {
            opening(head.slide, faces, &mut marks);
        } else {
            title(head.slide, part > 0, faces, &mut marks);
        }
        let mut page = Page { width: WIDTH, height: HEIGHT, marks, tags: Vec::new() };
        // What goes on has had its title.
        if part == 0 {
            let level = if deck.elements.is_empty() { 1 } else { 2 };
            let heading = Element::new(Role::Heading(level), None, &plain(&head.slide.title));
            let (to, element) = (page.marks.len(), deck.elements.len());
            page.tags.push(Tagged { from: 0, to, element });
            deck.elements.push(heading);
            first = add_elements(&mut deck.elements, &composer.elements, None);
        }
        let mut y = TOP;
        let repeated = composer.slabs.get(from).and_then(|slab| slab.head);
        if let Some(slab) = repeated.map(|head| &composer.heads[head]) {
            put(slab, y, &mut page.marks);
            y += slab.height;
        }
        for i in from..to {
            if i > from {
                y += composer.slabs[i - 1].after.max(composer.slabs[i].before);
            }
            composer.slabs[i].place((MARGIN, y), first, &mut page);
            y += composer.slabs[i].height;
        }
        foot(&document.sheet.left, number, faces, &mut page.marks);
        deck.slides.push(Slide {
            page,
            number,
            title: plain(&head.slide.title),
            learners: head.slide.learners,
            head: index,
        });
    }
}

fn put(slab: &Slab, y: f64, to: &mut Vec<Mark>) {
    let at = to.len();
    to.extend_from_slice(&slab.marks);
    for mark in &mut to[at..] {
        move_by(mark, MARGIN, y);
    }
}

fn look(face: Face, size: f64) -> Type {
    Type { face, size, leading: size, ink: Ink::Black }
}

/// Shelf, title on one line, black tab.
fn title(slide: &document::Slide, continued: bool, faces: &Faces, to: &mut Vec<Mark>) {
    to.push(solid(MARGIN, 24.0, 56.0, 5.0));
    to.push(solid(MARGIN + 56.0, 24.0, INSIDE - 56.0, 1.0));
    let mut room = INSIDE;
    if !slide.tab.is_empty() {
        let white = Type { ink: Ink::White, ..look(Face::Bold, 16.0) };
        let tab = lines::label(&slide.tab, white, faces);
        let width = tab.width + 24.0;
        let x = WIDTH - MARGIN - width;
        to.push(solid(x, 36.0, width, 26.0));
        tab.draw(x + 12.0, 54.5, white, faces, to);
        room -= width + 16.0;
    }
    let mut runs = slide.title.clone();
    if continued && !plain(&runs).ends_with(CONTINUED) {
        runs.push(Run { text: format!(" {CONTINUED}"), ..Run::default() });
    }
    for size in [34.0, 28.0, 24.0] {
        let bold = look(Face::Bold, size);
        let line = lines::one(&runs, bold, faces);
        if line.width <= room {
            line.draw(MARGIN, 66.0, bold, faces, to);
            return;
        }
    }
    // Too long for one line: two of the least size, and no more.
    let bold = look(Face::Bold, 24.0);
    let set = lines::set(&runs, bold, room, faces);
    for (line, baseline) in shortened(set, 2).into_iter().zip([52.0, 77.0]) {
        line.draw(MARGIN, baseline, bold, faces, to);
    }
}

/// No more than so many lines of a text.
fn shortened(set: Vec<Line>, most: usize) -> impl IntoIterator<Item = Line> {
    set.into_iter().take(most)
}

/// The slide that opens the set: the title large, a line under it.
fn opening(slide: &document::Slide, faces: &Faces, to: &mut Vec<Mark>) {
    to.push(solid(MARGIN, 112.0, 112.0, 8.0));
    to.push(solid(MARGIN + 112.0, 112.0, INSIDE - 112.0, 1.0));
    let bold = look(Face::Bold, 48.0);
    let mut baseline = 176.0;
    for line in shortened(lines::set(&slide.title, bold, INSIDE, faces), 3) {
        line.draw(MARGIN, baseline, bold, faces, to);
        baseline += 56.0;
    }
    let regular = look(Face::Regular, 26.0);
    for line in shortened(lines::set(&slide.line, regular, INSIDE, faces), 2) {
        line.draw(MARGIN, baseline, regular, faces, to);
        baseline += LINE;
    }
}

fn foot(left: &str, number: usize, faces: &Faces, to: &mut Vec<Mark>) {
    to.push(level(MARGIN, WIDTH - MARGIN, 378.0, 0.8));
    let regular = look(Face::Regular, 11.0);
    let words = [Run { text: left.to_owned(), ..Run::default() }];
    for line in shortened(lines::set(&words, regular, INSIDE - 60.0, faces), 1) {
        line.draw(MARGIN, 394.0, regular, faces, to);
    }
    let bold = look(Face::Bold, 11.0);
    let line = lines::label(&number.to_string(), bold, faces);
    let x = WIDTH - MARGIN - line.width;
    line.draw(x, 394.0, bold, faces, to);
}
