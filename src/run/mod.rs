//! Jobs: what each verb of the command line does, from files to files.
//!
//! Takes a validated job; gives the findings, and writes what it makes whole or
//! not at all. `pipeline` holds the only threads. Never reads flags.

mod check;
mod extras;
mod figures;
mod files;
mod forms;
mod load;
mod mark;
mod mathematics;
mod mend;
mod pictures;
mod pipeline;
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
pub use pipeline::{Stopped, in_order};
pub use print::{PrintJob, Printed, Trouble, print};
pub use profile::profile as question_profiles;
pub use start::start;
pub use words::words;

pub use crate::rules::Waiver;

use crate::composing::{Paper, Profile};

/// The number of the version that letters name, from 0.
pub fn version_number(letters: &str) -> Option<u32> {
    crate::version::version_of(letters).and_then(|number| u32::try_from(number).ok())
}

/// How pages are to be set.
pub fn profile(letter: bool, large_print: bool) -> Profile {
    let paper = if letter { Paper::Letter } else { Paper::A4 };
    Profile { paper, large_print, ..Profile::default() }
}

/// Which mark is decimal in files of responses: `point` or `comma`.
pub fn decimal(word: &str) -> Option<crate::marking::responses::Decimal> {
    use crate::marking::responses::Decimal;
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
