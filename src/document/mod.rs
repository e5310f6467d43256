//! From facts to a document: templates filled, document Markdown read.
//!
//! `context` holds what a template may say; `Templates::fill` makes **document
//! Markdown** of it; `read` turns that text into plain blocks and runs, which
//! the composing stage lays out. Nothing here measures or draws, and nothing
//! after this stage knows what a question is.
//!
//! # Document Markdown
//!
//! CommonMark with tables. A block quote that begins **Note** or **Caution** is a
//! box; a code span that is a chemical formula or equation prints as one (`SO4^2-`);
//! `$x^2$` is mathematics, `$$...$$` on a line of its own; a line that begins with a
//! colon says what the line above it means; a picture is kept by its words. What Markdown has no word for
//! is a *directive*: a fenced block whose first word says what it is, with YAML
//! inside. A text within YAML is one line of Markdown. Every key may be left out
//! unless marked *needed*.
//!
//! | directive | keys | what it does |
//! |---|---|---|
//! | `sheet` | title *needed*, language, left, right, code, version, seed, tab, teacher, marked, last, seat | what every page carries: header left and right, version code, the black tab of a teacher's copy and whether this is one, or one `marked`, on which what stands in boxes, gaps and on lines is the learner's own writing, the words at the foot of the last page, the seat of the learner whose copy it is; stands first |
//! | `opening` | title *needed*, line, score, given | the opening shelf, the title, a line under it, a box for the score; `given` are the marks gained |
//! | `names` | name, class | lines for name, class and date |
//! | `question` | number *needed* | a question opens; the text after it is its stem |
//! | `part` | label, sub | a part opens; the text after it is its demand; `sub` is the label of a part within it |
//! | `answer` | marks, lines (name, unit, value, wrote, width), working, mistakes (value, says), tight, see, judged (given, codes (code, earned), note) | room to work by the marks (none if tight), a line for each answer, `[marks]`; value, working and mistakes are for a teacher's copy and drawn into that room, and so are what a learner `wrote` and how it was judged |
//! | `boxes` | marks, row, boxes (label, text *needed*, fill, ticked), beside (label *needed*, text *needed*), judged (as of `answer`) | boxes to tick or write a sign in, each before its text, in a row if they fit; a second column beside them; fill and ticks are for a teacher's copy |
//! | `written` | count *needed*, marks, texts (text *needed*, marks), see, judged (as of `answer`) | ruled lines for an answer in words; the texts are for a teacher's copy |
//! | `bank` | words | words to choose from, in a frame |
//! | `total` | marks *needed* | `[Total: n]`; the question closes |
//! | `example` | label *needed* | a worked example opens: a shelf, its label, its text |
//! | `close` | | the question or example closes; an example gets its rule |
//! | `steps` | a list of: says, chain, number, marks | worked steps: words, then formulas one under another with their equals signs aligned; the number at the left, what the step earns at the right edge |
//! | `facts` | a list of: term *needed*, says *needed* | rows of a bold term and what it is |
//! | `glossary` | a list of: term *needed*, meaning *needed*, example, not | terms with meanings, ruled apart |
//! | `caption` | label, text | the caption that stands above the next table |
//! | `grid` | columns *needed* (head, width *needed* in mm, gap), rows (cells *needed*, goes-on, total), least, cut, ruled | a table of fixed columns: a cell is a text, a list of texts one under another, or (exact *needed*, lead) a text whose bold words are underlined behind a bold one; the last of a short row goes on to the edge; no rule crosses a column that is a gap; a row that goes on has no rule above it, a total is bold; least height of a row in mm; marks to cut it out; lines between columns |
//! | `figure` | id *needed*, label, caption, blanks, names (name *needed*, wrote), letters | the drawing of this id, which comes beside the text, with its caption below it; with `blanks` the names to be written are lines; with `names` a learner's own stand there, and nothing where none is told; `letters` are what its letters stand for, beside it |
//! | `pages` | counts | a new page, from which pages are counted anew under this name |
//! | `slide` | title *needed*, line, opening, tab, learners, place | a slide opens; `opening` sets the title large; `tab` is a black tab such as ANSWER; `learners: false` keeps it out of learners' handouts; `place` is where the text stands in the unit's file |
//! | `notes` | | what follows, up to the next slide, is for the speaker |
//! | `working` | lines, mistakes (value, says) | short lines of working behind a rule, slips behind a dashed one |
//! | `choices` | beside, options (letter, text *needed*, right) | options in lines, their letters in black if they are right, a box where none is given; a column beside them to be matched with |
//! | `card` | title *needed*, role, lead, columns (heading, numbered, lines, facts, under), caution, below (term, says), foot | a card half a sheet wide |
//! | `fact-cells` | a list of: label *needed*, value | facts in rows of three cells |
//! | `checks` | lines | boxes to tick, each before its text, in two columns |
//! | `slots` | slots (label *needed*, width *needed* in mm), below | lines to write on beside each other, small words below them |
//! | `cells` | columns, rows | a table whose cells are written in by hand; each row begins with its name |
//! | `lines` | count | ruled lines to write on |
//! | `feedback` | title *needed*, right | what a learner is told opens, under a shelf of its own |
//! | `strip` | a list of: head *needed*, says *needed*, full, total | marks in a row of cells |
//! | `told` | heading, lines, dashed | a heading and lines behind a rule, dashed for a mistake |
//!
//! # Templates
//!
//! `sheet.md` (with `part.md`, and `feedback.md` for a marked copy) makes worksheet and key of a `SheetContext`,
//! `lesson.md` (with `technique.md`) the handout of a `LessonContext`, `scheme.md`
//! (with `cells.md`) the mark scheme of a `SchemeContext`, `moderation.md` the check sheet of a
//! `CheckSheetContext`; a template of the same name in the caller's folder stands in for each. Plain text is
//! escaped as it is written. `| markdown` says that a text, or each of a list, is
//! the author's Markdown; `| quoted` makes it a value for the YAML of a directive.
//! A line with nothing but a tag leaves no line behind.

mod blocks;
mod checking;
mod classroom;
pub mod context;
mod directive;
mod escape;
mod feedback;
mod forms;
mod formula;
mod front;
mod inline;
mod lesson;
mod letters; // of marks, as a department calls them
mod marked;
pub mod math;
mod moderation;
mod named;
mod packing;
mod pictures;
mod read;
mod report;
mod responses;
mod results;
mod scheme;
mod sentences;
mod sheet;
mod slides;
mod template;

pub use blocks::{
    Align, Answer, AnswerLine, Block, BoxItem, Boxes, Card, CardColumn, Choice, Cover, Document,
    Fact, Gap, Grid, GridColumn, GridRow, Judged, ListItem, Marker, MarkerRow, Mistake, Opening,
    Room, Run, Runs, Sheet, Shift, Slant, Slide, Slot, Step, StripCell, Table, Term, Written,
    plain,
};
pub use escape::escape;
pub use formula::chemical;
pub use inline::symbols;
pub use lesson::lesson;
pub use lesson::{lettered_id, sketch_id};
pub use marked::{MarkedFor, follow_up, marked};
pub use moderation::{Moderation, Outcome, check_sheet, moderation_copy, said, shared};
pub use named::{NamedFor, named};
pub use packing::{CopyFile, InRoom, PackedRoom, Packing, packing};
pub use pictures::{BADGE, pictures_in};
pub use read::{Drawings, ReadFault, read, read_with};
pub use report::{LearnerRow, Reported, report};
pub use scheme::{MOST_VERSIONS, Solved, VersionCells, scheme, version_cells};
pub use sheet::{figure_id, sheet};
pub use slides::{Quiz, on_a_slide, part_id, slides, step_id, techniques};
pub use template::{TemplateFault, Templates};
