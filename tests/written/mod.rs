//! A unit that a test writes itself: read and checked, with its mistakes as texts.

use std::sync::Arc;

use stillroom::diag::{Diagnostics, Severity, SourceFile};
use stillroom::reading::{self, model};

/// The model of a unit's text, and "code: sentence" of each mistake in it.
pub(crate) fn checked(text: String) -> (model::Model, Vec<String>) {
    let file = SourceFile::new("u.md", text);
    let mut found = Diagnostics::new();
    let parsed = reading::parse(&file, &mut found).expect("a unit");
    let model = model::check(&Arc::new(parsed), &mut found);
    let errors = found
        .sorted()
        .into_iter()
        .filter(|d| d.severity == Severity::Error)
        .map(|d| format!("{}: {}", d.code.text(), d.message))
        .collect();
    (model, errors)
}
