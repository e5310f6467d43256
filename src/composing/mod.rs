//! Document blocks set in type on pages.
//!
//! `faces` shapes and measures words; `page` is what the writer is handed;
//! the rest lays blocks out by the page design. Knows nothing of questions.

pub mod faces;
pub mod page;
