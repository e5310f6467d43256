//! Units.
/// Exponents of mass, amount of substance, length, time and temperature.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Dimension {
    pub mass: i8,
    pub amount: i8,
    pub length: i8,
    pub time: i8,
    pub temperature: i8,
}
#[derive(Debug, Clone, PartialEq)]
pub struct Unit {
    pub text: String,
    pub dimension: Dimension,
    pub factor: f64,
    pub offset: f64,
}
