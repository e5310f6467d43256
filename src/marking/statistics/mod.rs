//! What the marks of many learners say of a paper and its parts.
//!
//! `tally` gathers marks row by row in whole numbers, in memory that depends on the
//! paper alone, and shares of a class can be gathered apart and put together in any
//! order. `summary` makes the usual figures of a tally, each by the formula named beside
//! it. Never sees a learner twice and keeps none.

mod distribution;
mod fairness;
mod groups;
mod intervals;
mod summary;
mod tally;

pub use distribution::f_tail;
pub use fairness::{Fairness, Versions};
pub use groups::{InOrder, Ties, group_size};
pub use intervals::{Interval, alpha_interval, correlation_interval, difference, proportion};
pub use summary::{Item, Summary};
pub use tally::{Given, Tally};
