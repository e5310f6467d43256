//! A finding as a person reads it: the sentence, the line of the file with the
//! place marked and what was found there, what was expected, the next step and
//! the line as it should be written.

use annotate_snippets::{AnnotationKind, Group, Level, Message, Origin, Renderer, Snippet};

use super::{Diagnostic, Severity, SourceFile};

/// The finding as text with no line end; colours only when `colour` is set.
pub fn render(diagnostic: &Diagnostic, colour: bool) -> String {
    let level = match diagnostic.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
        Severity::Note => Level::NOTE,
    };
    let file = &diagnostic.place.file;
    let message = clean(&diagnostic.message);
    let found = if diagnostic.found.is_empty() {
        String::new()
    } else {
        format!("found {}", clean(&diagnostic.found))
    };
    let window = Window::around(file, diagnostic.place.span.start, diagnostic.place.span.end);
    let mut group =
        Group::with_title(level.primary_title(message.as_str()).id(diagnostic.code.text()));
    let mut lines = Vec::new();
    if window.shown.is_empty() {
        group = group.element(Origin::path(file.name()));
        lines.push(("found", clean(&diagnostic.found)));
    } else {
        group = group.element(
            Snippet::source(window.shown.as_str())
                .line_start(window.first_line)
                .path(file.name())
                .annotation(
                    AnnotationKind::Primary.span(window.start..window.end).label(found.as_str()),
                ),
        );
    }
    lines.push(("expected", clean(&diagnostic.expected)));
    for (place, words) in &diagnostic.related {
        let (line, column) = place.line_column();
        lines.push(("see", format!("{} at {}:{line}:{column}", clean(words), place.file.name())));
    }
    lines.push(("next", clean(&diagnostic.next)));
    lines.push(("write", diagnostic.written.as_deref().map(clean).unwrap_or_default()));
    for (name, line) in lines.iter().filter(|(_, line)| !line.is_empty()) {
        group = group.element(named(name, line));
    }
    let renderer = if colour { Renderer::styled() } else { Renderer::plain() };
    renderer.render(&[group])
}

fn named<'a>(name: &'a str, line: &'a str) -> Message<'a> {
    Level::HELP.with_name(name).message(line)
}

/// The lines that a finding is about, so that a long file is not gone through for
/// each of its findings.
struct Window {
    shown: String,
    first_line: usize,
    /// The place within `shown`.
    start: usize,
    end: usize,
}

/// A finding over more lines than this shows the first of them.
const MOST_LINES: usize = 12;

impl Window {
    fn around(file: &SourceFile, start: usize, end: usize) -> Window {
        let text = file.text();
        let start = floor(text, start);
        let end = floor(text, end).max(start);
        let mut first = text[..start].rfind('\n').map_or(0, |n| n + 1);
        if text[first..start].starts_with('\u{feff}') {
            first += '\u{feff}'.len_utf8();
        }
        let last = text[start..]
            .match_indices('\n')
            .map(|(n, _)| start + n)
            .enumerate()
            .find(|(n, at)| *at >= end || *n + 1 == MOST_LINES)
            .map_or(text.len(), |(_, at)| at);
        // The line end of a CRLF file is no character of the line.
        let last = if text[first..last].ends_with('\r') { last - 1 } else { last };
        // Control characters would move the cursor of a terminal; each becomes
        // blanks of the same length so that the marks below stay in place.
        let shown = text[first..last]
            .chars()
            .flat_map(|c| {
                let bad = (c.is_control() && !matches!(c, '\n' | '\t' | '\r')) || c == '\u{feff}';
                let times = if bad { c.len_utf8() } else { 1 };
                std::iter::repeat_n(if bad { ' ' } else { c }, times)
            })
            .collect();
        Window {
            shown,
            first_line: file.line_column(start).0,
            start: start.min(last) - first,
            end: end.min(last).max(start.min(last)) - first,
        }
    }
}

fn floor(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

fn clean(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}

#[cfg(test)]
mod tests {
    use super::super::{Code, Place, Span};
    use super::*;

    #[test]
    fn the_file_is_named_even_where_there_is_no_line_to_show() {
        let place = Place::new(&SourceFile::new("empty.md", ""), Span::default());
        let shown = render(
            &Diagnostic::new(Code::EmptyFile, place, "This file is empty.").found("nothing"),
            false,
        );
        assert!(shown.contains("empty.md") && shown.contains("found: nothing"), "{shown}");
    }

    #[test]
    fn the_place_is_marked_under_its_own_letters() {
        let file = SourceFile::new("u.md", "\u{feff}one\r\ntw\u{f6} \u{7}three\r\n");
        let start = file.text().find("three").expect("it is there");
        let place = Place::new(&file, Span::new(start, start + 5));
        let shown = render(&Diagnostic::new(Code::BadName, place, "A name."), false);
        assert!(shown.contains("u.md:2:6"), "{shown}");
        assert!(shown.contains("2 | tw\u{f6}  three\n  |      ^^^^^"), "{shown}");
    }
}
