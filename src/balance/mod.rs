//! The mass-balance engine: what a process says, the shortest honest derivation
//! of what is asked, and an independent solve to check it.
//!
//! Knows nothing of files or pages. `problem` states streams, operations and
//! facts; `flowsheet` finds what holds whatever the numbers; `relations` writes
//! the equations; `plan` finds the derivation; `compile` tries it on samples and
//! tells what is wrong; `dense` solves the same facts by other means.

mod compile;
mod dense;
mod elimination;
mod engine;
mod flowsheet;
mod follow;
pub mod operations;
mod plan;
pub mod problem;
pub mod properties;
mod relations;

pub use engine::{CLOSURE, Engine, Fault, Gap, Refusal, is_equality, operation_at};
pub use flowsheet::Envelope;
pub use plan::{Basis, Find, Form, Let, Pin, Plan, Root, Route, Step};
pub use relations::{Node, ONE, Relation, Shape, Slot, System, Why};
