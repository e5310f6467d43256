//! What sheet a document is set for, and the measures that follow: all type and
//! vertical distances in units, all in points once computed.

use super::figure::Sizes;
use super::page::{Composed, Face};

const MM: f64 = 72.0 / 25.4;

#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Paper {
    #[default]
    A4,
    Letter,
    /// A page of a booklet, two to a side of A4.
    A5,
}

/// How a document is to be set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Profile {
    pub paper: Paper,
    /// 18 pt text, flowed anew on A4, all inks black.
    pub large_print: bool,
    /// Printed on both sides: the binding margin changes sides.
    pub duplex: bool,
    /// All inks black, for a copier.
    pub black: bool,
    /// A teacher's tables: smaller type on the whole width, without a marks column.
    pub tables: bool,
    /// Heavier letters and rules, nothing grey, all inks black.
    pub high_contrast: bool,
    /// On A5, of what is only read: text of 10.5 pt in place of 12.
    pub compact: bool,
    /// Blank pages fill the document up to a multiple of this many.
    pub fill: usize,
}

impl Profile {
    /// Slides and what is made of them, in the inks of the other pages.
    pub fn inked(&self, mut composed: Composed) -> Composed {
        Measures::of(self).inked(&mut composed);
        composed
    }

    /// The paper of what is no booklet beside one.
    pub fn on_sheets(self) -> Profile {
        let paper = if self.paper == Paper::A5 { Paper::A4 } else { self.paper };
        Profile { paper, fill: 0, ..self }
    }
}

/// The measures of a page, in points.
#[derive(Debug, Clone, Copy)]
pub(super) struct Measures {
    /// The unit of type and vertical distance.
    pub(super) u: f64,
    pub(super) page_width: f64,
    pub(super) page_height: f64,
    /// From the binding edge to the text.
    pub(super) binding: f64,
    /// Text, gutter and marks column together.
    pub(super) block: f64,
    pub(super) text: f64,
    /// From the page's top edge to the first slab, and the height for slabs.
    pub(super) top: f64,
    pub(super) height: f64,
    /// Width of the number column and of the part label column.
    pub(super) number: f64,
    pub(super) part: f64,
    pub(super) answer_line: f64,
    pub(super) score_box: (f64, f64),
    /// Width of a column of terms, and where the text beside it begins.
    pub(super) term: (f64, f64),
    /// The header's baseline from the page's top edge.
    pub(super) header: f64,
    pub(super) header_size: f64,
    pub(super) code_size: f64,
    /// What a size in units is multiplied by, and the least size and line height
    /// that come of it: a page keeps to its units, a slide is read from afar.
    pub(super) type_scale: f64,
    pub(super) least: (f64, f64),
    /// What distances across, in mm, and the insides of frames and tables are
    /// multiplied by.
    stretch: f64,
    inside: f64,
    /// Heights of rows and boxes are rounded up to whole multiples of this.
    grain: f64,
    /// Space between rows of facts, in units.
    pub(super) airy: f64,
    /// How figures are drawn.
    pub(super) figures: Sizes,
    large: bool,
    contrast: bool,
    black: bool,
    pub(super) duplex: bool,
    pub(super) fill: usize,
    /// The size of text in tables, in units.
    pub(super) table: f64,
}

impl Measures {
    pub(super) fn of(profile: &Profile) -> Self {
        let paper = if profile.tables { profile.on_sheets().paper } else { profile.paper };
        let large = profile.large_print && !profile.tables;
        if paper == Paper::A5 {
            return Measures::a5(profile);
        }
        let (width, height) = match paper {
            Paper::Letter => (215.9, 279.4),
            _ => (210.0, 297.0),
        };
        let letter = paper == Paper::Letter;
        let (u, units) = match (profile.tables, large) {
            (true, _) => (3.5, if letter { 182.0 } else { 201.0 }),
            (false, true) => (6.0, if letter { 100.0 } else { 112.0 }),
            (false, false) => (4.0, if letter { 160.0 } else { 176.0 }),
        };
        let mm = |regular: f64, large_print: f64| MM * if large { large_print } else { regular };
        Measures {
            u,
            page_width: width * MM,
            page_height: height * MM,
            binding: mm(22.0, 20.0),
            block: mm(174.0, 176.0),
            text: if profile.tables { mm(174.0, 174.0) } else { mm(158.0, 157.0) },
            top: mm(24.0, 26.0),
            height: units * u,
            number: mm(10.0, 14.0),
            part: mm(8.0, 12.0),
            answer_line: mm(52.0, 60.0),
            score_box: (mm(26.0, 34.0), mm(12.7, 17.0)),
            term: (mm(42.0, 54.0), mm(44.0, 57.0)),
            // The taller tab of large print stays where a printer reaches.
            header: mm(15.5, 17.5),
            header_size: if large { 13.5 } else { 9.0 },
            code_size: if large { 15.0 } else { 10.0 },
            type_scale: 1.0,
            least: (0.0, 0.0),
            stretch: 1.0,
            inside: 1.0,
            grain: u,
            airy: 0.0,
            figures: if large { Sizes::LARGE } else { Sizes::USUAL },
            large,
            contrast: profile.high_contrast,
            black: large || profile.black || profile.high_contrast,
            duplex: profile.duplex,
            fill: profile.fill,
            table: 3.0,
        }
    }

    /// A page of a booklet, bound in the middle: its sides always alternate.
    fn a5(profile: &Profile) -> Self {
        let a4 = Profile { paper: Paper::A4, large_print: false, ..*profile };
        let (u, units) = if profile.compact { (3.5, 132.0) } else { (4.0, 116.0) };
        Measures {
            u,
            grain: u,
            page_width: 148.0 * MM,
            page_height: 210.0 * MM,
            binding: 15.0 * MM,
            block: 121.0 * MM,
            text: 107.0 * MM,
            top: 20.0 * MM,
            height: units * u,
            number: 9.0 * MM,
            part: 7.0 * MM,
            answer_line: 34.0 * MM,
            term: (29.0 * MM, 31.0 * MM),
            duplex: true,
            figures: Sizes::A5,
            table: 2.75,
            ..Measures::of(&a4)
        }
    }

    /// The same page in units of another size, as tables for teachers and cards
    /// are set.
    pub(super) fn with_unit(self, u: f64) -> Self {
        Measures { u, grain: u, ..self }
    }

    /// The inside of a slide: text of `size` on lines of 32 pt, `text` wide.
    pub(super) fn slide(size: f64, text: f64) -> Self {
        const U: f64 = 8.0;
        let stretch = 1.3;
        let page = Measures::of(&Profile::default());
        Measures {
            u: U,
            block: text,
            text,
            number: 40.0,
            part: 44.0,
            term: (184.0, 196.0),
            type_scale: size / (3.0 * U),
            least: (24.0, 4.0 * U),
            stretch,
            inside: 1.5,
            grain: 1.0,
            airy: 1.0,
            figures: Sizes::SLIDE,
            ..page
        }
    }

    pub(super) fn mm(&self, mm: f64) -> f64 {
        mm * MM * self.stretch
    }

    /// Size and line height of text, in points.
    pub(super) fn type_of(&self, size: f64, leading: f64) -> (f64, f64) {
        let (least, least_leading) = self.least;
        ((size * self.u * self.type_scale).max(least), (leading * self.u).max(least_leading))
    }

    /// The weight of a rule.
    pub(super) fn rule(&self, weight: f64) -> f64 {
        match (self.contrast, self.large) {
            (true, _) => (weight * 1.6).max(1.0),
            (false, true) => (weight * 1.5).max(1.0),
            (false, false) => weight,
        }
    }

    /// The weight of the lines of a grid to read from or draw on, and of its bolder ones.
    pub(super) fn grid(&self, strong: bool) -> f64 {
        match (self.contrast, self.large) {
            (true, _) => {
                if strong {
                    1.2
                } else {
                    0.6
                }
            }
            (false, true) => {
                if strong {
                    1.0
                } else {
                    0.5
                }
            }
            (false, false) => {
                if strong {
                    0.7
                } else {
                    0.35
                }
            }
        }
    }

    /// The face that stands for one: in high contrast each is a step heavier.
    pub(super) fn face(&self, face: Face) -> Face {
        match face {
            Face::Regular if self.contrast => Face::Semibold,
            Face::Semibold if self.contrast => Face::Bold,
            face => face,
        }
    }

    pub(super) fn is_large(&self) -> bool {
        self.large
    }

    /// Whether labels of figures are a step heavier.
    pub(super) fn is_heavy(&self) -> bool {
        self.large || self.contrast
    }

    /// What a frame or a cell keeps from its text, in points.
    pub(super) fn inside(&self, points: f64) -> f64 {
        points * self.inside
    }

    /// A height rounded up to whole units.
    pub(super) fn whole(&self, height: f64) -> f64 {
        (height / self.grain - 1e-6).ceil().max(0.0) * self.grain
    }

    /// In the inks that the sheet is printed with.
    pub(super) fn inked(&self, composed: &mut Composed) {
        if self.black {
            composed.blacken(self.contrast);
        }
    }

    /// A size of small type, which large print does not take below 16 pt.
    pub(super) fn legible(&self, size: f64) -> f64 {
        if self.large { size.max(16.0) } else { size }
    }

    /// The face of captions.
    pub(super) fn caption_face(&self) -> Face {
        if self.is_heavy() { Face::Semibold } else { Face::Regular }
    }

    /// The size of captions and labels.
    pub(super) fn small(&self) -> f64 {
        (2.5 * self.u).max(9.5).max(self.least.0)
    }

    /// The baseline in a slot, from its top.
    pub(super) fn baseline(&self, slot: f64, size: f64) -> f64 {
        slot - (slot - 0.66 * size) / 2.0 - 0.1 * self.u
    }

    /// The left edge of the block on a page (from 0).
    pub(super) fn left(&self, page: usize) -> f64 {
        if self.duplex && page % 2 == 1 {
            self.page_width - self.binding - self.block
        } else {
            self.binding
        }
    }
}
