//! A finding as one JSON object on one line, for editors and scripts.

use serde::Serialize;

use super::{Diagnostic, Place};

#[derive(Serialize)]
struct Line<'a> {
    severity: &'a str,
    code: &'a str,
    file: &'a str,
    line: usize,
    column: usize,
    end_line: usize,
    end_column: usize,
    message: &'a str,
    #[serde(skip_serializing_if = "str::is_empty")]
    found: &'a str,
    #[serde(skip_serializing_if = "str::is_empty")]
    expected: &'a str,
    #[serde(skip_serializing_if = "str::is_empty")]
    next: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    written: Option<&'a str>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    related: Vec<Related<'a>>,
}

#[derive(Serialize)]
struct Related<'a> {
    file: &'a str,
    line: usize,
    column: usize,
    words: &'a str,
}

/// The finding as JSON, without a line end.
pub fn json_line(diagnostic: &Diagnostic) -> String {
    let Place { file, span } = &diagnostic.place;
    let (line, column) = file.line_column(span.start);
    let (end_line, end_column) = file.line_column(span.end);
    let related = diagnostic
        .related
        .iter()
        .map(|(place, words)| {
            let (line, column) = place.line_column();
            Related { file: place.file.name(), line, column, words }
        })
        .collect();
    let object = Line {
        severity: diagnostic.severity.word(),
        code: diagnostic.code.text(),
        file: file.name(),
        line,
        column,
        end_line,
        end_column,
        message: &diagnostic.message,
        found: &diagnostic.found,
        expected: &diagnostic.expected,
        next: &diagnostic.next,
        written: diagnostic.written.as_deref(),
        related,
    };
    serde_json::to_string(&object).expect("strings and numbers always serialise")
}
