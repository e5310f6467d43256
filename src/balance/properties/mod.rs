//! Properties of substances that questions may lean on: atomic weights, molar
//! masses, solubility in water, and water itself.
//!
//! Takes names, formulas and temperatures; gives numbers in SI units, each from
//! a source that is named beside it. Never guesses: outside the range of its
//! data every function gives none.

pub mod elements;
mod fault;
pub mod formula;
pub mod solubility;
pub mod water;

pub use formula::{Chemical, ChemicalFault, parse};
pub use solubility::{Table, named};
