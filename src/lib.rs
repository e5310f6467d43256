//! Stillroom: one written unit on separation science in, everything a class
//! needs out, with every number solved and none typed.
//!
//! The modules stand in the order of flow; each imports only from those that
//! `tests/imports.rs` allows.

pub mod diag; // places, codes and messages for an author's mistakes
pub mod quantity; // numbers with units and figures, rounding, formulas
pub mod balance; // components, streams, operations, relations, plan, dense check
pub mod reading; // file text, Markdown, YAML with places, parsed unit, checked unit
pub mod version; // drawing values by seed, version codes
pub mod question; // a question solved for a version: answers, working, marks
pub mod rules; // hazards and the craft of items: what a unit that prints may still get wrong
pub mod marking; // responses read, judged by the plan, and what the class made of the paper
pub mod paper; // papers: what fills a table of specifications, in which order
pub mod figure; // processes, apparatus, curves and charts as plain shapes, labels and words
pub mod picture; // PNG, JPEG and SVG files as pixels or shapes
pub mod document; // templates filled; document Markdown read into blocks and runs
pub mod composing; // blocks set in type on pages
pub mod writing; // pages and tables to files; the only door to printpdf
pub mod run; // what each verb does; the only threads; files whole or not at all
pub mod cli; // flags to jobs, findings to the screen
