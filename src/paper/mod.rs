//! Papers: which questions fill a table of specifications, in which order, on whose
//! desk.
//!
//! Takes a parsed paper and checked units, or plain lists; gives choices and
//! findings. `bank` looks the paper's names up in its units, `pick` is the integer
//! programme, `order` puts what was picked in order, `clues` tells questions that
//! answer each other, `chosen`, `ledger` and `moderation` are the files that remember, `roster` reads
//! who sits the paper and with which arrangements (`needs`), `seating` gives each desk a
//! version. Knows
//! nothing of pages and reads no file.

mod bank;
mod chosen;
mod clues;
mod ledger;
mod mark;
mod moderation;
mod needs;
mod order;
mod pick;
mod roster;
mod seating;
mod unfillable;

pub use bank::{Bank, Question, UnitOf, Worth, bank};
pub use chosen::{Difference, Line, differences, hash_of, written};
pub use clues::Said;
pub use ledger::Ledger;
pub use mark::mark_of;
pub use moderation::{Content, Contents, Since, is_of, record, since, stays_signed};
pub use needs::{Extra, Needs};
pub use order::{Place, in_order};
pub use pick::{Blocker, Candidate, Picked, SectionRule, TIES, Unfillable, Wanted, cost, pick};
pub use roster::{Desk, Learner, roster};
pub use seating::{Place as DeskPlace, Seating, seat};
pub use unfillable::finding as unfillable;
