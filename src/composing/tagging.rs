//! What reading machines are told: each block's element, and which slabs are its.
//!
//! Wraps the walk over the blocks. Never changes what is drawn, at most its order.

use super::composer::Composer;
use super::page::{Element, Mark, Page, Role, Tagged};
use super::slab::{Slab, move_by};
use crate::document::{Block, plain};

impl Composer<'_> {
    /// Sets a block, and gives its slabs to its element.
    pub(super) fn tagged(&mut self, block: &Block) {
        let outside = self.within;
        match block {
            Block::Question { number } => {
                self.within = None;
                self.within = Some(self.element(Role::Section, &format!("Question {number}")));
                self.block(block);
                return;
            }
            Block::Example { label } => {
                self.within = None;
                self.within = Some(self.element(Role::Section, label));
                let from = self.slabs.len();
                self.block(block);
                self.give(from, Role::Heading(3), "");
                return;
            }
            Block::Pages { .. } => {
                self.within = None;
                let so_far = self.elements.len();
                self.elements_of_first.get_or_insert(so_far);
            }
            Block::Opening(_) | Block::Behind => self.within = None,
            _ => {}
        }
        if self.within.is_some_and(|within| self.elements[within].role == Role::List) {
            let item = self.element(Role::Item, "");
            self.within = Some(item);
            self.within = Some(self.element(Role::ItemBody, ""));
        }
        let from = self.slabs.len();
        match block {
            Block::List { .. } => self.container(block, Role::List),
            Block::Note(_) | Block::Caution(_) | Block::Quote(_) => {
                self.container(block, Role::Division);
            }
            Block::Table(table) => {
                self.block(block);
                self.rows(from, table.head.iter().any(|cell| !cell.is_empty()));
            }
            Block::Figure { drawing, .. } => {
                self.block(block);
                self.shows(from, &drawing.words);
            }
            Block::Picture { words, picture: Some(_), .. } => {
                self.block(block);
                self.shows(from, &plain(words));
            }
            Block::Caption { .. } => {
                self.block(block);
                self.give(from, Role::Caption, "");
            }
            Block::Grid(_) => {
                self.block(block);
                self.rows(from, true);
            }
            Block::Opening(opening) => {
                self.block(block);
                // The lines of the title, then what stands under it.
                let below = usize::from(!opening.line.is_empty());
                let level = if self.elements.iter().any(is_first_heading) { 2 } else { 1 };
                let title = self.element(Role::Heading(level), &plain(&opening.title));
                let last = self.slabs.len().saturating_sub(below);
                if let Some(slabs) = self.slabs.get_mut(from + 1..last) {
                    slabs.iter_mut().for_each(|slab| slab.element = Some(title));
                }
                self.give(from, Role::Paragraph, "");
            }
            Block::Cover(cover) => {
                let title = self.element(Role::Heading(1), &plain(&cover.title));
                self.block(block);
                let slabs = self.slabs.iter_mut().skip(from);
                slabs.for_each(|slab| slab.element = Some(title));
                // The badge stands behind the shelf.
                if cover.badge.is_some() {
                    let badge = self.element(Role::Figure, "");
                    if let Some(figure) = self.elements.last_mut() {
                        figure.shows = plain(&cover.school);
                    }
                    if let Some(slab) = self.slabs.get_mut(from + 1) {
                        slab.element = Some(badge);
                    }
                }
            }
            Block::Topic(heading) => {
                let topic = self.element(Role::Heading(2), &plain(heading));
                self.block(block);
                let slabs = self.slabs.iter_mut().skip(from);
                slabs.for_each(|slab| slab.element = Some(topic));
            }
            Block::Heading { level, .. } => {
                self.block(block);
                let in_question = self.group != 0;
                let role =
                    if in_question { Role::Paragraph } else { Role::Heading((*level).clamp(2, 6)) };
                self.give(from, role, "");
            }
            _ => {
                self.block(block);
                if matches!(block, Block::Answer(_)) {
                    self.slabs.iter_mut().skip(from).for_each(Slab::read_across);
                }
                self.give(from, Role::Paragraph, "");
            }
        }
        self.within = match block {
            Block::Total { .. }
            | Block::Close
            | Block::Pages { .. }
            | Block::Opening(_)
            | Block::Behind => None,
            _ => outside,
        };
    }

    /// A figure said in words, and its caption, which is all of it that stands on lines.
    fn shows(&mut self, from: usize, words: &str) {
        let figure = self.element(Role::Figure, "");
        self.elements[figure].shows = words.to_owned();
        for slab in self.slabs.iter_mut().skip(from).filter(|slab| slab.baseline.is_none()) {
            slab.element = Some(figure);
        }
        self.give(from, Role::Caption, "");
    }

    fn element(&mut self, role: Role, title: &str) -> usize {
        self.elements.push(Element::new(role, self.within, title));
        self.elements.len() - 1
    }

    /// The slabs from `from` on that belong to nothing yet.
    fn give(&mut self, from: usize, role: Role, title: &str) {
        let free = |slab: &Slab| slab.element.is_none();
        if !self.slabs.iter().skip(from).any(free) {
            return;
        }
        let element = self.element(role, title);
        let slabs = self.slabs.iter_mut().skip(from).filter(|slab| free(slab));
        slabs.for_each(|slab| slab.element = Some(element));
    }

    fn container(&mut self, block: &Block, role: Role) {
        let from = self.slabs.len();
        let outside = self.within;
        let element = self.element(role, "");
        self.within = Some(element);
        self.block(block);
        self.within = outside;
        // Its own words, such as "Caution", are nobody else's.
        let slabs = self.slabs.iter_mut().skip(from).filter(|slab| slab.element.is_none());
        slabs.for_each(|slab| slab.element = Some(element));
    }

    /// A table's rows and cells.
    fn rows(&mut self, from: usize, has_head: bool) {
        let outside = self.within;
        let table = self.element(Role::Table, "");
        for i in from..self.slabs.len() {
            let cells = self.slabs[i].cells.len().saturating_sub(1);
            if cells == 0 {
                continue;
            }
            self.within = Some(table);
            self.within = Some(self.element(Role::Row, ""));
            let role = if has_head && i == from { Role::HeadCell } else { Role::Cell };
            let first = self.elements.len();
            for _ in 0..cells {
                self.element(role, "");
            }
            self.slabs[i].element = Some(first);
        }
        self.within = outside;
        // Of a table that has no rows.
        self.give(from, Role::Paragraph, "");
    }
}

impl Element {
    pub(super) fn new(role: Role, parent: Option<usize>, title: &str) -> Element {
        Element { role, parent, title: title.to_owned(), shows: String::new() }
    }
}

/// Adds the elements of something laid out apart, all within `parent`; gives where they
/// begin.
pub(super) fn add_elements(
    all: &mut Vec<Element>,
    own: &[Element],
    parent: Option<usize>,
) -> usize {
    let first = all.len();
    all.extend(own.iter().map(|element| Element {
        parent: element.parent.map(|own| first + own).or(parent),
        ..element.clone()
    }));
    first
}

fn is_first_heading(element: &Element) -> bool {
    element.role == Role::Heading(1)
}

impl Slab {
    /// A lone line's texts from left to right: an answer line is drawn from the right.
    fn read_across(&mut self) {
        let place = |mark: &Mark| match mark {
            Mark::Text { x, baseline, .. } => Some((*x, *baseline)),
            _ => None,
        };
        let mut lines = self.marks.iter().filter_map(place).map(|(_, baseline)| baseline);
        let first = lines.next();
        if lines.all(|line| Some(line) == first) {
            let from_left = |mark: &Mark| place(mark).map_or(f64::INFINITY, |(x, _)| x);
            self.marks.sort_by(|one, other| from_left(one).total_cmp(&from_left(other)));
        }
    }

    /// Puts its marks on a page, moved, and tells whose they are: elements counted from
    /// `first` on.
    pub(super) fn place(&self, (dx, dy): (f64, f64), first: usize, to: &mut Page) {
        let from = to.marks.len();
        to.marks.extend_from_slice(&self.marks);
        to.marks[from..].iter_mut().for_each(|mark| move_by(mark, dx, dy));
        let tags = self.tags(from, to.marks.len()).into_iter();
        to.tags.extend(tags.map(|tag| Tagged { element: first + tag.element, ..tag }));
    }

    /// The tags of its marks, which stand on the page from `from` to before `to`.
    pub(super) fn tags(&self, from: usize, to: usize) -> Vec<Tagged> {
        let Some(element) = self.element else { return Vec::new() };
        let ranges: Vec<(usize, usize)> = if self.cells.len() > 1 {
            self.cells.windows(2).map(|w| (from + w[0], from + w[1])).collect()
        } else {
            vec![(from, to)]
        };
        let tagged = ranges.into_iter().enumerate();
        tagged
            .map(|(i, (from, to))| Tagged { from, to, element: element + i })
            .filter(|tag| tag.from < tag.to)
            .collect()
    }
}
