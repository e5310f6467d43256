//! From the bytes of a file to a checked unit.
//!
//! `file` decodes, `markdown` finds front matter, prose and fenced blocks,
//! `yaml` gives a tree with places, `blocks/` decode it to `parsed`, and `model`
//! looks names up and asks the engine. Never stops at the first mistake.

mod desk;
pub mod excerpt;
pub mod file;
pub mod find;
mod line;
pub mod markdown;
pub mod parsed;
mod pitfalls;
mod silent;
pub mod sort;
pub mod words;
pub mod yaml;
