//! Jobs: what each verb of the command line does, from files to files.
//!
//! Takes a validated job; gives the findings, and writes what it makes whole or
//! not at all. `pipeline` holds the only threads. Never reads flags.

mod check;
mod department;
mod extras;
mod figures;
mod files;
mod forms;
mod load;
mod mark;
mod mathematics;
mod mend;
mod pictures;
mod paper;
mod pipeline;
mod press;
mod print;
mod profile;
mod report;
mod scripts;
mod solving;
mod start;
mod words;

pub use check::{Checked, check};
pub use extras::Extras;
pub use files::{FileError, WholeFile, write_whole};
pub use mark::{MarkJob, Marked, mark};
pub use mend::{Change, mend};
pub use paper::{Reopened, SetJob, SetOutcome, SetPaper, set, since};
pub use pipeline::{Stopped, in_order};
pub use print::{ClassSet, Collate, PrintJob, Printed, Trouble, is_paper, laid_out, print};
pub use profile::profile as question_profiles;
pub use solving::solved_versions;
pub use start::start;
pub use words::words;

pub use crate::rules::Waiver;

use crate::composing::{Paper, Profile};
use crate::marking::responses::Decimal;
use crate::reading;

/// The number of the version that letters name, from 0.
pub fn version_number(letters: &str) -> Option<u32> {
    crate::version::version_of(letters).and_then(|number| u32::try_from(number).ok())
}

/// The JSON Schema of all blocks or of one, with a line end; else the blocks there are.
///
/// # Errors
/// The names of the blocks, where `block` is none of them.
pub fn schema(block: Option<&str>) -> Result<String, Vec<&'static str>> {
    let made = reading::schema::schema(block)
        .ok_or_else(|| reading::words::blocks().iter().map(|b| b.name).collect::<Vec<_>>())?;
    Ok(format!("{made:#}\n"))
}

/// How pages are to be set, in the words of the command line.
#[derive(Debug, Clone, Copy, Default)]
pub struct Wishes {
    pub letter: bool,
    pub large_print: bool,
    pub high_contrast: bool,
    /// All inks black.
    pub black: bool,
    /// For both sides of the paper.
    pub duplex: bool,
    /// Lesson and worksheets as booklets of A5.
    pub booklet: bool,
    /// Several versions in one file.
    pub one_file: bool,
}

/// How pages are to be set.
pub fn profile(wishes: &Wishes) -> Profile {
    let paper = match (wishes.booklet, wishes.letter) {
        (true, _) => Paper::A5,
        (false, true) => Paper::Letter,
        (false, false) => Paper::A4,
    };
    // The next version of a file begins on a sheet of its own.
    let fill = match (wishes.booklet, wishes.duplex && wishes.one_file) {
        (true, _) => 4,
        (false, true) => 2,
        (false, false) => 1,
    };
    Profile {
        paper,
        large_print: wishes.large_print,
        high_contrast: wishes.high_contrast,
        black: wishes.black,
        duplex: wishes.duplex,
        fill,
        ..Profile::default()
    }
}

/// Which mark is decimal in files of responses: `point` or `comma`.
pub fn decimal(word: &str) -> Option<Decimal> {
    match word {
        "point" => Some(Decimal::Point),
        "comma" => Some(Decimal::Comma),
        _ => None,
    }
}

/// The numbers of slides that a sheet of a handout may have.
pub fn handouts() -> &'static [u32] {
    &crate::composing::UPS
}
