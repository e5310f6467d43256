//! What makes one version differ from another: values drawn by seed, and the code
//! that tells versions apart on paper.
//!
//! `stream` gives random numbers by name, `order` permutes, `draw` picks each
//! version's combination of values, `code` names the version.

pub mod code;
pub mod draw;
mod order;
pub mod stream;

pub use code::{check, code, letters, version_of, version_of_code};
pub use draw::{Axis, AxisError, Choice, Draws, Space, TooFew};
pub use stream::{Key, Stream};

#[cfg(test)]
mod tests;
