//! Numbers as typed.
use super::Unit;
/// A number as typed: `34.20` keeps four figures.
#[derive(Debug, Clone, PartialEq)]
pub struct Number {
    pub text: String,
    pub value: f64,
    /// Significant figures of the text.
    pub figures: u32,
    /// Decimal places of the text.
    pub places: u32,
}
/// A number with its unit, as typed.
#[derive(Debug, Clone, PartialEq)]
pub struct Typed {
    pub number: Number,
    pub unit: Unit,
}
