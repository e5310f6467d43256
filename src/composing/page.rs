//! A composed page: marks at places, nothing left to decide.
//!
//! Lengths are points (1/72 in), y runs down from the top edge.

use std::sync::Arc;

use crate::picture::Raster;

/// The typefaces. `Fallback` serves glyphs that the others lack.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Face {
    Regular,
    Italic,
    Semibold,
    Bold,
    Fallback,
}

/// Black for all learner text; Water for what a key adds; Kiln for ticks and
/// mistake rules; Grey for graph paper. `White` only on a solid black tab.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Ink {
    Black,
    Water,
    Kiln,
    Grey,
    White,
    /// Of a picture; red, green, blue.
    Colour(u8, u8, u8),
}

/// A glyph of a run and how far the pen moves after it, in thousandths of an em
/// (kerning included).
#[derive(Debug, Clone, PartialEq)]
pub struct Glyph {
    pub id: u16,
    pub advance: f64,
    /// The text this glyph stands for, for extraction; empty if an earlier glyph says it.
    pub text: Said,
}

/// What a glyph stands for: a text that is nearly always one character. Kept in
/// place, since a sheet is made of tens of thousands of glyphs, copied often.
#[derive(Clone, PartialEq, Eq)]
pub struct Said(Kept);

#[derive(Clone, PartialEq, Eq)]
enum Kept {
    Here { length: u8, bytes: [u8; Said::IN_PLACE] },
    Apart(Box<str>),
}

impl Said {
    const IN_PLACE: usize = 7;

    pub fn as_str(&self) -> &str {
        match &self.0 {
            // The bytes are those of a text, so this cannot fail.
            Kept::Here { length, bytes } => {
                std::str::from_utf8(&bytes[..usize::from(*length)]).unwrap_or_default()
            }
            Kept::Apart(text) => text,
        }
    }
}

impl From<&str> for Said {
    fn from(text: &str) -> Said {
        let mut bytes = [0; Said::IN_PLACE];
        Said(match (bytes.get_mut(..text.len()), u8::try_from(text.len())) {
            (Some(place), Ok(length)) => {
                place.copy_from_slice(text.as_bytes());
                Kept::Here { length, bytes }
            }
            _ => Kept::Apart(text.into()),
        })
    }
}

impl std::ops::Deref for Said {
    type Target = str;

    fn deref(&self) -> &str {
        self.as_str()
    }
}

impl std::fmt::Debug for Said {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        std::fmt::Debug::fmt(self.as_str(), f)
    }
}

#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    Text {
        face: Face,
        size: f64,
        x: f64,
        baseline: f64,
        ink: Ink,
        glyphs: Vec<Glyph>,
    },
    /// A straight stroke; `dash` is on and off lengths.
    Rule {
        from: (f64, f64),
        to: (f64, f64),
        weight: f64,
        ink: Ink,
        dash: Option<(f64, f64)>,
    },
    /// A rectangle by its top left corner; stroked if `weight` is some, else filled.
    Box {
        x: f64,
        y: f64,
        width: f64,
        height: f64,
        weight: Option<f64>,
        ink: Ink,
    },
    /// A path of lines and Bezier curves; stroked if `weight` is some, else filled.
    Path {
        segments: Vec<Segment>,
        weight: Option<f64>,
        ink: Ink,
        dash: Option<(f64, f64)>,
    },
    /// A path filled but for what it goes round twice: a ring, a letter with a hole.
    Holed {
        segments: Vec<Segment>,
        ink: Ink,
    },
    /// Pixels in a rectangle by its top left corner.
    Pixels {
        x: f64,
        y: f64,
        width: f64,
        height: f64,
        raster: Arc<Raster>,
    },
    /// Marks that read as a text of their own: a formula, whose signs one after
    /// another would not say it.
    Said {
        text: String,
        marks: Vec<Mark>,
    },
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Segment {
    Move(f64, f64),
    Line(f64, f64),
    Curve((f64, f64), (f64, f64), (f64, f64)),
    Close,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct Page {
    pub width: f64,
    pub height: f64,
    pub marks: Vec<Mark>,
    /// Which marks belong to which element, in the order of the marks. What belongs
    /// to none is furniture, which a reading machine passes over.
    pub tags: Vec<Tagged>,
}

/// Marks of a page, from one index to before another, and their element's index.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tagged {
    pub from: usize,
    pub to: usize,
    pub element: usize,
}

/// A piece of the document as a reading machine is told of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Element {
    pub role: Role,
    /// The element around it; none for those that stand in the document itself.
    /// It comes before.
    pub parent: Option<usize>,
    /// A name for it, such as "Question 1"; empty for most.
    pub title: String,
    /// What a figure shows, in words.
    pub shows: String,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    Heading(u8),
    Paragraph,
    /// A question or an example.
    Section,
    /// A box or a quote.
    Division,
    List,
    Item,
    ItemBody,
    Table,
    Row,
    HeadCell,
    Cell,
    Figure,
    /// What stands below a figure or above a table.
    Caption,
}

/// A whole composed document.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Composed {
    pub title: String,
    /// BCP 47.
    pub language: String,
    pub pages: Vec<Page>,
    /// Headings for the outline: depth from 0, words, page index, y.
    pub outline: Vec<(usize, String, usize, f64)>,
    /// Those that the pages' tags speak of.
    pub elements: Vec<Element>,
}

impl Composed {
    /// Prints every ink as black, the grey of grids too if asked for.
    pub(super) fn blacken(&mut self, grey_too: bool) {
        let marks = self.pages.iter_mut().flat_map(|page| &mut page.marks);
        marks.for_each(|mark| mark.blacken(grey_too));
    }
}

impl Mark {
    fn blacken(&mut self, grey_too: bool) {
        match self {
            Mark::Text { ink, .. }
            | Mark::Rule { ink, .. }
            | Mark::Box { ink, .. }
            | Mark::Holed { ink, .. }
            | Mark::Path { ink, .. } => match ink {
                Ink::Water | Ink::Kiln => *ink = Ink::Black,
                Ink::Grey if grey_too => *ink = Ink::Black,
                // A picture is told apart by its own lights and darks.
                Ink::Colour(red, green, blue) => {
                    let light = 0.299 * f64::from(*red)
                        + 0.587 * f64::from(*green)
                        + 0.114 * f64::from(*blue);
                    let grey = light.round() as u8;
                    *ink = Ink::Colour(grey, grey, grey);
                }
                _ => {}
            },
            // A photograph is the copier's to turn grey.
            Mark::Pixels { .. } => {}
            Mark::Said { marks, .. } => marks.iter_mut().for_each(|mark| mark.blacken(grey_too)),
        }
    }
}
