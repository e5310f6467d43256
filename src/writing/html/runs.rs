//! Runs of a document as the inside of an HTML element.

use super::mathematics;
use crate::document::{Run, Shift, Slant};

/// Text with HTML's own signs written so that they are shown.
pub(super) fn text(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    for c in words.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            // HTML has no place for other signs that steer machines.
            c if c.is_control() && c != '\n' => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

/// Runs with their looks: bold, a quantity's letter, raised and lowered signs.
pub(super) fn inline(runs: &[Run]) -> String {
    runs.iter().map(run).collect()
}

/// A label in bold, where there is one.
pub(super) fn bold(label: &str) -> String {
    if label.is_empty() { String::new() } else { format!("<b>{}</b>", text(label)) }
}

fn run(run: &Run) -> String {
    if let Some(math) = &run.math {
        return mathematics::formula(math);
    }
    let mut inside = text(&run.text).replace('\n', "<br>");
    match run.shift {
        Shift::None => {}
        Shift::Below => inside = format!("<sub>{inside}</sub>"),
        Shift::Above => inside = format!("<sup>{inside}</sup>"),
    }
    if run.slant == Slant::Italic {
        inside = format!("<i>{inside}</i>");
    }
    if run.underlined {
        inside = format!("<u>{inside}</u>");
    }
    if run.bold {
        inside = format!("<b>{inside}</b>");
    }
    inside
}
