//! What a Markdown file is for: a unit, a paper, or neither.
//!
//! Looks only at the lines of the front matter and at the fences, so that a file
//! with a mistake in its YAML is still taken for what it means to be.

use std::sync::Arc;

use super::{markdown, words};
use crate::diag::{Code, Diagnostic, Place, SourceFile, Span};

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sort {
    UnitFile,
    PaperFile,
    Other,
}

/// A unit has `objectives` in its front matter (or, where the front matter is
/// amiss, blocks of ours in its text); a paper has `paper`.
pub fn what_is_it(file: &SourceFile) -> Sort {
    if let Some(front) = markdown::front_matter(file) {
        let has = |key: &str| {
            front.body.text().lines().any(|line| {
                line.strip_prefix(key).is_some_and(|rest| rest.trim_start().starts_with(':'))
            })
        };
        if has("objectives") {
            return Sort::UnitFile;
        }
        if has("paper") {
            return Sort::PaperFile;
        }
    }
    let block = |line: &str| {
        markdown::opening_fence(line).is_some_and(|fence| words::block(fence.word).is_some())
    };
    if file.text().lines().any(block) { Sort::UnitFile } else { Sort::Other }
}

/// The note for a file that is neither.
pub fn passed_over(file: &Arc<SourceFile>) -> Diagnostic {
    let place = Place::new(file, Span::default());
    Diagnostic::new(Code::PassedOver, place, "This file is passed over: it is not a unit.")
        .found("no front matter with `objectives`")
        .expected("front matter with `id`, `title` and `objectives`")
        .next("add them if it should be a unit; else there is nothing to do")
}
