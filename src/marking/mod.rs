//! Marking: what each learner did right, judged by re-running the plan of their own
//! version, and what that says of the class and of the questions.
//!
//! Takes responses as bytes and solved versions; gives judgements with their reasons,
//! and statistics that can be gathered in shares. Never opens a file, never knows of
//! pages.

pub mod advice;
mod columns;
mod gather;
mod judge;
pub mod responses;
pub mod statistics;
mod verbal;

pub use columns::{Column, columns};
pub use gather::Gathered;
pub use judge::{Judged, Verdict, Version};
pub use verbal::{at_their_places, in_a_row, letters};
