//! The mass-balance engine: what a process says, the shortest honest derivation
//! of what is asked, and an independent solve to check it.
//!
//! Knows nothing of files or pages. `problem` states streams, operations and
//! facts; `relations` writes them as equations; `plan` finds the derivation;
//! `dense` solves the same facts by other means.

pub mod operations;
