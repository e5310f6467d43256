//! The mass-balance engine: what a process says, the shortest honest derivation
//! of what is asked, and an independent solve to check it.
//!
//! Knows nothing of files or pages. `problem` states streams, operations and
//! facts; `flowsheet` finds what holds whatever the numbers; `relations` writes
//! the equations; `plan` finds the derivation; `dense` solves the same facts by
//! other means.

mod dense;
mod elimination;
mod engine;
mod flowsheet;
pub mod operations;
mod plan;
pub mod problem;
pub mod properties;
mod relations;

pub use engine::{CLOSURE, Engine, Fault, Gap, Refusal, is_equality, operation_at, targets};
pub use flowsheet::Envelope;
pub use plan::{Find, Plan, Step};
pub use relations::{Node, Relation, Shape, Slot, System, Why};
