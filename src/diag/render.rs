//! A finding as a person reads it: the sentence, the line of the file with the
//! place marked, what was found and expected, and the next step.

use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};

use super::{Diagnostic, Severity};

/// The finding as text with no line end; colours only when `colour` is set.
pub fn render(diagnostic: &Diagnostic, colour: bool) -> String {
    let level = match diagnostic.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
        Severity::Note => Level::NOTE,
    };
    let file = &diagnostic.place.file;
    let message = clean(&diagnostic.message);
    let label = match (diagnostic.found.is_empty(), diagnostic.expected.is_empty()) {
        (true, true) => String::new(),
        (false, true) => format!("found {}", clean(&diagnostic.found)),
        (true, false) => format!("expected {}", clean(&diagnostic.expected)),
        (false, false) => {
            format!("found {}, expected {}", clean(&diagnostic.found), clean(&diagnostic.expected))
        }
    };
    // Control characters would move the cursor of a terminal; each becomes one
    // blank of the same length so that the marks below stay in place.
    let shown: String = file
        .text()
        .chars()
        .flat_map(|c| {
            let bad = (c.is_control() && !matches!(c, '\n' | '\t' | '\r')) || c == '\u{feff}';
            let times = if bad { c.len_utf8() } else { 1 };
            std::iter::repeat_n(if bad { ' ' } else { c }, times)
        })
        .collect();
    let end = diagnostic.place.span.end.max(diagnostic.place.span.start).min(shown.len());
    let start = diagnostic.place.span.start.min(end);
    let title = level.primary_title(message.as_str()).id(diagnostic.code.text());
    let mut group = Group::with_title(title);
    if !shown.is_empty() {
        group = group.element(
            Snippet::source(shown.as_str())
                .path(file.name())
                .annotation(AnnotationKind::Primary.span(start..end).label(label.as_str())),
        );
    }
    let mut lines = Vec::new();
    for (place, words) in &diagnostic.related {
        let (line, column) = place.line_column();
        lines.push(format!("{} at {}:{line}:{column}", clean(words), place.file.name()));
    }
    let next = clean(&diagnostic.next);
    let written = diagnostic.written.as_deref().map(clean).map(|w| format!("write: {w}"));
    for line in &lines {
        group = group.element(Level::NOTE.message(line.as_str()));
    }
    if !next.is_empty() {
        group = group.element(Level::HELP.with_name("next").message(next.as_str()));
    }
    if let Some(written) = &written {
        group = group.element(Level::HELP.with_name("next").message(written.as_str()));
    }
    let renderer = if colour { Renderer::styled() } else { Renderer::plain() };
    renderer.render(&[group])
}

fn clean(text: &str) -> String {
    text.chars().filter(|c| !c.is_control() || *c == '\n').collect()
}
