//! Papers, from files to files: `set` chooses the questions, `print` prints them.
//!
//! `load` reads a paper with everything that it names, `asked` is what was chosen of it;
//! `rooms` gives learners their versions, `sets` prints a copy for each, `packing` says what
//! goes where; `moderation` makes what a second person checks it with, `since` says what is
//! open again.

mod asked;
mod load;
mod moderation;
mod packing;
mod print;
mod rooms;
mod set;
mod sets;
mod since;

pub(super) use print::{laid_out, print};
pub use set::{SetJob, SetOutcome, SetPaper, set};
pub use since::{Reopened, since};

use std::path::Path;

use crate::diag::Diagnostics;
use crate::paper;
use crate::question::Assessment;
use crate::reading::find::Found;
use crate::reading::paper::PaperFront;
use crate::version::Draws;

/// A paper as it was chosen, with the draws of its versions; none where something must be
/// mended first.
pub(super) fn with_asked<T>(
    path: &Path,
    out: &mut Diagnostics,
    then: impl FnOnce(&Assessment<'_>, &[Draws], &PaperFront, &mut Diagnostics) -> T,
) -> Option<T> {
    let loaded = set::read(path, out)?;
    let asked = asked::asked(&loaded, out).filter(|_| !out.has_errors())?;
    let front = &loaded.paper.front;
    let draws = super::load::draw(&asked, front.seed, u64::from(front.versions), out)?;
    Some(then(&asked, &draws, front, out))
}

/// Checks a paper as far as it can be without a choice that is kept: whether its
/// table can be filled. True if it can.
pub(super) fn check(found: &Found, out: &mut Diagnostics) -> bool {
    let Some(loaded) = load::load(&found.path, &found.file, out) else { return false };
    let worths = loaded.worths(out);
    let Some(bank) = loaded.bank(&worths, out) else { return false };
    match paper::pick(&bank.candidates, &bank.wanted) {
        Ok(Ok(_)) => true,
        Ok(Err(unfillable)) => {
            paper::unfillable(&loaded.paper, &bank, &unfillable, out);
            false
        }
        // A fault of the solver is told where a choice is wanted.
        Err(_) => false,
    }
}
