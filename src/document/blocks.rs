//! A document as plain blocks and runs: what stands on the pages, in order, and
//! nothing of how it is drawn.

use std::sync::Arc;

use crate::figure::Drawing;
use crate::picture::Picture;

use super::math::Math;

/// How a run is cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Slant {
    #[default]
    Upright,
    Italic,
}

/// Whether a run stands on the line or beside it, smaller. Digits and signs that
/// have a character of their own (the 2 of H₂O) are written with it instead.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Shift {
    #[default]
    None,
    Below,
    Above,
}

/// Letters that look alike. A line break that the author asked for is `\n`.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Run {
    pub text: String,
    pub bold: bool,
    /// With a stroke beneath: it must be said in just this word.
    pub underlined: bool,
    pub slant: Slant,
    pub shift: Shift,
    /// A formula in place of letters; `text` says it in plain signs.
    pub math: Option<Arc<Math>>,
    /// A gap to write in, in place of letters.
    pub gap: Option<Gap>,
}

/// Room in a line to write in, and what a teacher's copy writes there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Gap {
    pub fill: String,
    /// A frame for a number, as in a cell of a table; else a line for a word.
    pub framed: bool,
}

pub type Runs = Vec<Run>;

/// The words of some runs without their looks.
pub fn plain(runs: &[Run]) -> String {
    runs.iter().map(|run| run.text.as_str()).collect()
}

/// What every page carries. An empty text is left out.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Sheet {
    pub title: String,
    /// BCP 47.
    pub language: String,
    /// Words of running text may part at the ends of lines.
    pub hyphenation: bool,
    pub left: String,
    pub right: String,
    pub code: String,
    pub version: String,
    pub seed: String,
    /// The words on the black tab of a teacher's copy. Room is kept for it on the
    /// learner's copy too, so that both are alike.
    pub tab: String,
    /// Whether this is the teacher's copy.
    pub teacher: bool,
    /// Whether it is a learner's marked copy: what stands in boxes, gaps and on lines is
    /// the learner's own writing.
    pub marked: bool,
    /// The words at the foot of the last page of the first count of pages.
    pub last: String,
    /// Where the learner sits, at the right of every header, also of a front page.
    pub seat: String,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct Document {
    pub sheet: Sheet,
    pub blocks: Vec<Block>,
}

#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    Opening(Opening),
    /// Lines for name, class and date; filled where that is known.
    Names {
        name: Runs,
        class: Runs,
    },
    /// The head of a paper's front page.
    Cover(Cover),
    /// Lines for name and class and boxes for a number, on a front page.
    Candidate {
        name: Runs,
        class: Runs,
    },
    /// A heading under a shelf, for what a learner is told before the questions.
    Topic(Runs),
    /// The foot of a front page: a row for each question and its marks, and last words.
    Marker(Marker),
    /// Facts in rows of three cells: "marks" and "60".
    FactCells(Vec<(String, Runs)>),
    /// Boxes to tick, in two columns.
    Checks(Vec<Runs>),
    /// Lines to write on beside each other, with small words below.
    Slots {
        slots: Vec<Slot>,
        below: Runs,
    },
    Question {
        number: String,
    },
    /// The label is empty where a part goes on with its next part within.
    Part {
        label: String,
        /// "(ii)", or empty.
        sub: String,
    },
    Answer(Answer),
    Total {
        marks: u32,
    },
    Example {
        label: String,
    },
    Close,
    Steps(Vec<Step>),
    Facts(Vec<Fact>),
    Glossary(Vec<Term>),
    Caption {
        label: String,
        text: Runs,
    },
    /// A drawing with its caption below it.
    Figure {
        label: String,
        caption: Runs,
        drawing: Drawing,
        /// Names to be written are lines; a teacher's copy fills them.
        blanks: bool,
        /// What its letters stand for, in their order, to be set beside it.
        letters: Vec<String>,
    },
    Pages {
        counts: String,
    },
    /// What follows stands behind the questions, on a page of its own.
    Behind,
    /// Level from 1 (as `#`).
    Heading {
        level: u8,
        text: Runs,
    },
    Paragraph(Runs),
    /// A formula on a line of its own.
    Formula(Run),
    /// Lines to keep as they are typed.
    Literal(Vec<String>),
    List {
        start: Option<u64>,
        tight: bool,
        items: Vec<ListItem>,
    },
    Table(Table),
    Grid(Grid),
    Note(Vec<Block>),
    Caution(Vec<Block>),
    /// A block quote that is neither.
    Quote(Vec<Block>),
    Rule,
    /// A picture with what it shows in words; by its words alone where it is not at
    /// hand.
    Picture {
        words: Runs,
        caption: Runs,
        picture: Option<Arc<Picture>>,
    },
    /// A slide opens; on a page it is a heading.
    Slide(Slide),
    /// What follows, up to the next slide, is for the speaker.
    Notes,
    /// Short lines of working behind a rule, and the slips beside it.
    Working {
        lines: Vec<Runs>,
        mistakes: Vec<Mistake>,
    },
    Card(Card),
    /// A table with cells to write in: heads, and the first cell of each row.
    Cells {
        columns: Vec<Runs>,
        rows: Vec<Runs>,
    },
    /// Ruled lines to write on.
    Lines {
        count: u32,
    },
    Boxes(Boxes),
    Written(Written),
    /// Words to choose from.
    Bank(Vec<Runs>),
    /// What a learner is told of their marks opens.
    Feedback {
        title: Runs,
        right: Runs,
    },
    /// What is chosen from, ordered or matched on a slide, a line each.
    Choices {
        /// What the options are to be matched with, in a column of its own.
        beside: Vec<Runs>,
        options: Vec<Choice>,
    },
    /// Marks in a row of cells.
    Strip(Vec<StripCell>),
    /// A heading and lines behind a rule: solid for what went well, dashed for a mistake.
    Told {
        heading: Runs,
        lines: Vec<Runs>,
        dashed: bool,
    },
}

/// An option on a slide: its letter, or room for a number; whether the letter is marked.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Choice {
    pub letter: String,
    pub text: Runs,
    pub right: bool,
}

/// Boxes to tick or to write a sign in, each before its text.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Boxes {
    pub marks: u32,
    /// Beside each other, if they fit.
    pub row: bool,
    pub boxes: Vec<BoxItem>,
    /// A second column of lettered texts.
    pub beside: Vec<(String, Runs)>,
    /// What a marker wrote beside it, on a marked copy.
    pub judged: Option<Judged>,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct BoxItem {
    /// "A"; empty where the box takes a sign.
    pub label: String,
    pub text: Runs,
    /// What a teacher's copy writes in the box.
    pub fill: String,
    /// Whether it ticks it.
    pub ticked: bool,
}

/// Ruled lines for an answer in words, and what a teacher's copy writes on them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Written {
    pub count: u32,
    pub marks: u32,
    /// Each with what it earns.
    pub texts: Vec<(Runs, String)>,
    /// Where the whole stands: `1(b)`.
    pub see: String,
    /// What a marker wrote beside it, on a marked copy.
    pub judged: Option<Judged>,
}

/// The head of a slide.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Slide {
    pub title: Runs,
    /// A line under the title of the slide that opens a set of slides; empty
    /// elsewhere.
    pub line: Runs,
    pub opening: bool,
    /// The words on its black tab, as of an answer.
    pub tab: String,
    /// Whether learners' handouts show it.
    pub learners: bool,
    /// Where in the unit's file its text stands, in bytes, if it can be too long.
    pub place: Option<usize>,
}

/// A card about one technique, half a sheet wide. An empty text or list is left out.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Card {
    pub title: Runs,
    /// At the right of the title.
    pub role: Runs,
    /// A line under it.
    pub lead: Runs,
    pub columns: Vec<CardColumn>,
    /// The lines of the caution; its heading is its own.
    pub caution: Vec<Runs>,
    /// A heading and text across the foot.
    pub below: Vec<Fact>,
    /// A diagram at the right of these, left out where there is no room.
    pub step: Option<Drawing>,
    pub foot: String,
}

/// A stretch of a card's column: a heading, then numbered lines, plain lines or
/// terms with what is said of them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CardColumn {
    pub heading: Runs,
    pub numbered: bool,
    pub lines: Vec<Runs>,
    pub facts: Vec<Fact>,
    pub drawing: Option<Drawing>,
    /// Whether it stands in the column of the one before.
    pub under: bool,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct Opening {
    pub title: Runs,
    pub line: Runs,
    pub score: Option<u32>,
    /// The marks gained, on a marked copy.
    pub given: Option<u32>,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct Cover {
    pub school: Runs,
    /// The school's; it is told by the school's name.
    pub badge: Option<Arc<Picture>>,
    pub subject: Runs,
    pub title: Runs,
    /// "time allowed" and "75 minutes".
    pub cells: Vec<(String, Runs)>,
}

/// A line to write on, after its word.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Slot {
    pub label: String,
    /// Of both, in mm.
    pub width: f64,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct Marker {
    /// What is written beside each question: "mark", or what else it is for.
    pub writes: String,
    pub rows: Vec<MarkerRow>,
    pub total: u32,
    /// On a marked copy.
    pub given: Option<u32>,
    pub foot: Runs,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct MarkerRow {
    pub question: String,
    pub max: u32,
    pub given: Option<u32>,
}

/// The room for an answer, and what a teacher's copy writes into it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Answer {
    pub marks: u32,
    pub lines: Vec<AnswerLine>,
    pub working: Vec<Runs>,
    pub mistakes: Vec<Mistake>,
    /// Nothing is worked out, so there is no room for it.
    pub tight: bool,
    /// Where the full working stands: `1(b)`.
    pub see: String,
    pub room: Room,
    /// What a marker wrote beside it, on a marked copy.
    pub judged: Option<Judged>,
}

/// The room above answer lines, lengths in mm.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum Room {
    /// Blank, by the marks.
    #[default]
    Usual,
    None,
    Blank(f64),
    /// Ruled lines; how many, if not by the marks.
    Ruled(Option<u32>),
    /// A frame; its height, if not by the marks.
    Drawing(Option<f64>),
    /// Graph paper, width and height.
    Graph(f64, f64),
}

/// A marker's signs beside an answer.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Judged {
    pub given: u32,
    /// "M1", "A0 ft", each with whether it was earned.
    pub codes: Vec<(String, bool)>,
    /// What went wrong, in a line or two.
    pub note: Runs,
}

/// A cell of a strip of marks.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct StripCell {
    pub head: String,
    pub says: String,
    /// Set in bold.
    pub full: bool,
    pub total: bool,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct AnswerLine {
    pub name: Runs,
    pub unit: Runs,
    pub value: Runs,
    /// What a learner wrote there, on a marked copy.
    pub wrote: Runs,
    /// The length of the line in mm where the usual one will not do.
    pub width: Option<f64>,
}

/// A wrong value that a known slip gives, and what the slip is.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Mistake {
    pub value: Runs,
    pub says: Runs,
}

/// Words, then formulas that lead from one to the next.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Step {
    pub says: Runs,
    pub chain: Vec<Runs>,
    pub number: Option<u32>,
    /// What the step earns, for its right edge: "M1 A1".
    pub marks: String,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct Fact {
    pub term: Runs,
    pub says: Runs,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct Term {
    pub term: Runs,
    pub meaning: Runs,
    pub example: Runs,
    pub not: Runs,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct ListItem {
    pub blocks: Vec<Block>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Align {
    #[default]
    Left,
    Middle,
    /// Numbers, aligned on the decimal point.
    Right,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct Table {
    pub align: Vec<Align>,
    pub head: Vec<Runs>,
    pub rows: Vec<Vec<Runs>>,
}

/// A table whose columns have their widths told: a form to work with, not to read
/// through.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Grid {
    pub columns: Vec<GridColumn>,
    pub rows: Vec<GridRow>,
    /// The least height of a row in mm.
    pub least: f64,
    /// With marks beside its corners, to be cut out.
    pub cut: bool,
    /// With lines between its columns, to be written in.
    pub ruled: bool,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct GridColumn {
    pub head: Runs,
    /// In mm.
    pub width: f64,
    /// Nothing stands here, and no rule crosses it.
    pub gap: bool,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct GridRow {
    /// Each cell is a list of paragraphs. The last of a row with fewer cells than there are
    /// columns goes on to the edge.
    pub cells: Vec<Vec<Runs>>,
    /// Belongs to the row above: no rule between them.
    pub goes_on: bool,
    /// A sum: bold, its words at the right of their column.
    pub total: bool,
}
