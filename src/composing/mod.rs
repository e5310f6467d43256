//! Document blocks set in type on pages.
//!
//! `faces` shapes and measures words; `math` lays out formulas; `lines` breaks both; the block files turn
//! each block to *slabs*, strips as wide as the page that no break cuts;
//! `breaks` chooses where pages end; `furniture` adds header and footer; `page`
//! is what the writer is handed. Knows nothing of questions.

mod answer_space;
mod answers;
mod blocks;
mod booklet;
mod boxes;
mod breaks;
mod cards;
mod checking;
mod composer;
mod deck;
mod feedback;
pub mod faces;
mod figure;
mod front;
mod picture; // pictures from files
mod fills;
mod furniture;
mod grid;
mod handouts;
mod lines;
mod math;
mod math_strokes;
mod opening;
pub mod page;
mod parting;
mod profile;
mod slab;
mod slides;
mod steps;
mod table;
mod tagging;
mod terms;
mod writing_room;

pub use booklet::imposed;
pub use cards::cards;
pub use deck::{Deck, Over, Slide};
pub use figure::{FigureRoom, label_face};
pub use handouts::UPS;
pub use profile::{Paper, Profile};
pub use slides::slides;

use composer::Composer;
use faces::Faces;
use furniture::Drawing;
use page::Composed;

use crate::document::{Document, Run};

/// A learner's pages and the teacher's copy of them.
#[derive(Debug, Clone, PartialEq)]
pub struct Pair {
    pub learner: Composed,
    pub teacher: Composed,
}

/// Lays a document out. What a teacher's copy adds is drawn into the room that
/// the learner's copy leaves for it.
pub fn compose(document: &Document, profile: &Profile, faces: &Faces) -> Composed {
    let mut laid = Composer::lay(document, profile, faces);
    let pages = laid.break_pages();
    let teacher = document.sheet.teacher;
    laid.draw(&pages, Drawing { teacher, first_count: false, again: false })
}

/// The room left at the ends of a paragraph's lines, in points, its last line apart:
/// as body text of the profile is broken, and as it would be line by line. With the tag
/// of a language its words may part.
pub fn slack(
    runs: &[Run],
    profile: &Profile,
    parted: Option<&str>,
    faces: &Faces,
) -> (Vec<f64>, Vec<f64>) {
    let document = Document::default();
    let composer = Composer::lay(&document, profile, faces);
    let parted = parted.and_then(lines::language);
    lines::slack(runs, composer.body(), composer.measure(), parted, faces)
}

/// Lays a teacher's copy out once and gives it together with the learner's pages
/// in it: the pages of its first count, without what the teacher's copy adds.
pub fn compose_pair(document: &Document, profile: &Profile, faces: &Faces) -> Pair {
    let mut laid = Composer::lay(document, profile, faces);
    let pages = laid.break_pages();
    let drawing = Drawing { teacher: false, first_count: true, again: true };
    let learner = laid.draw(&pages, drawing);
    let drawing = Drawing { teacher: true, first_count: false, again: false };
    let teacher = laid.draw(&pages, drawing);
    Pair { learner, teacher }
}
