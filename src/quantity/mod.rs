//! Numbers with units and significant figures; rounding; school algebra.
//!
//! Takes text with places, gives typed values; never prints to a page.

pub mod formula;
mod number;
mod unit;

pub use number::{Number, Typed};
pub use unit::{Dimension, Unit};
