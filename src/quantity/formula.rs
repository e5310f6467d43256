//! School algebra.
#[derive(Debug, Clone)]
pub struct Formula {}
#[derive(Debug, Clone)]
pub struct Comparison {}
