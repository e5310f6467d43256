//! Numbers with units and significant figures; rounding; school algebra.
//!
//! Takes text with places, gives typed values; never prints to a page. Inside,
//! values are in base units (kg, mol, m, s, K; a percentage is its fraction).

mod decimal;
mod dimension;
pub mod figures;
pub mod formula;
mod number;
pub mod print;
mod range;
pub mod rounding;
mod scale;
mod unit;

pub use dimension::Dimension;
pub use figures::Precision;
pub use formula::{Comparison, Formula, FormulaError};
pub use number::{EXACT, Number, NumberError, Typed, TypedError};
pub use print::{print_number, print_quantity};
pub use range::{NumberRange, RangeError};
pub use rounding::{Rounded, Ties, round_figures, round_places};
pub use scale::Scale;
pub use unit::{Unit, UnitError, UnitKind};
