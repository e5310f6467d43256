//! Pages of a booklet put two to a side of A4, to be printed on both sides, turned on
//! the short edge, folded in the middle.
//!
//! Takes composed pages, a multiple of four; gives sheets. Nothing is scaled, and
//! nothing moved for the thickness of the paper.

use super::page::{Composed, Page, Tagged};
use super::slab::move_by;

const MM: f64 = 72.0 / 25.4;
const SHEET: (f64, f64) = (297.0 * MM, 210.0 * MM);

/// The sides of the sheets in the order of printing.
pub fn imposed(composed: Composed) -> Composed {
    let count = composed.pages.len();
    debug_assert_eq!(count % 4, 0);
    let mut pages: Vec<Option<Page>> = composed.pages.into_iter().map(Some).collect();
    let mut side_of = vec![0; count];
    let mut sides = Vec::with_capacity(count.div_ceil(2));
    for side in 0..count.div_ceil(2) {
        let (early, late) = (side, count - 1 - side);
        let (left, right) = if side % 2 == 0 { (late, early) } else { (early, late) };
        let mut sheet =
            Page { width: SHEET.0, height: SHEET.1, marks: Vec::new(), tags: Vec::new() };
        for (page, is_right) in [(left, false), (right, true)] {
            side_of[page] = side;
            if let Some(page) = pages.get_mut(page).and_then(Option::take) {
                put(page, is_right, &mut sheet);
            }
        }
        sides.push(sheet);
    }
    let outline = composed.outline.into_iter();
    let outline = outline.map(|(depth, words, page, y)| (depth, words, side_of[page], y));
    Composed { pages: sides, outline: outline.collect(), ..composed }
}

/// Puts a page beside the fold.
fn put(page: Page, is_right: bool, sheet: &mut Page) {
    let fold = SHEET.0 / 2.0;
    let x = if is_right { fold } else { fold - page.width };
    let from = sheet.marks.len();
    for mut mark in page.marks {
        move_by(&mut mark, x, 0.0);
        sheet.marks.push(mark);
    }
    let tags = page.tags.into_iter();
    sheet.tags.extend(tags.map(|tag| Tagged { from: tag.from + from, to: tag.to + from, ..tag }));
}
