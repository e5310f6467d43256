//! Composed slides: what a file of slides, a handout and speaker's notes share.
//!
//! Takes what `slides` has laid out; gives the pages as they are. Never lays out.

use super::page::{Composed, Element, Page};
use crate::document::Block;

/// All slides of a unit, in order.
#[derive(Debug, Clone, PartialEq)]
pub struct Deck {
    pub(super) title: String,
    pub(super) language: String,
    /// What stands at the left of every foot.
    pub(super) left: String,
    pub slides: Vec<Slide>,
    /// Those that the slides' tags speak of.
    pub(super) elements: Vec<Element>,
    /// What is said to each head of slides, by the head's number.
    pub(super) notes: Vec<Vec<Block>>,
    /// Heads whose text went on to a further slide.
    pub over: Vec<Over>,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Slide {
    pub page: Page,
    /// From 1; a handout that leaves slides out keeps the gaps.
    pub number: usize,
    pub title: String,
    pub learners: bool,
    /// Which head it belongs to, from 0.
    pub(super) head: usize,
}

/// A text that is too long for its slide.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Over {
    /// Where it stands in the unit's file, in bytes.
    pub place: usize,
    pub title: String,
    /// Lines more than the slide holds.
    pub lines: usize,
    /// On how many slides it stands.
    pub slides: usize,
}

impl Deck {
    /// A page for each slide.
    pub fn composed(&self) -> Composed {
        let mut outline: Vec<(usize, String, usize, f64)> = Vec::new();
        for (index, slide) in self.slides.iter().enumerate() {
            if outline.last().is_none_or(|(_, title, ..)| *title != slide.title) {
                outline.push((0, slide.title.clone(), index, 0.0));
            }
        }
        Composed {
            elements: self.elements.clone(),
            title: format!("{}: slides", self.title),
            language: self.language.clone(),
            pages: self.slides.iter().map(|slide| slide.page.clone()).collect(),
            outline,
        }
    }
}
