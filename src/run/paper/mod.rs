//! Papers, from files to files: `set` chooses the questions, `print` prints them.
//!
//! `load` reads a paper with everything that it names, `asked` is what was chosen of it.

mod asked;
mod load;
mod print;
mod set;

pub(super) use print::{laid_out, print};
pub use set::{SetJob, SetOutcome, SetPaper, set};

use crate::diag::Diagnostics;
use crate::paper;
use crate::reading::find::Found;

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
