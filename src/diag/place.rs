//! Places: a file's text, byte ranges in it, and the line and column a person counts.

use std::fmt;
use std::ops::Range;
use std::sync::Arc;

/// A byte range in a file's text, as it stands on disk (after decoding; a
/// byte-order mark counts as its three bytes so that places match the file).
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct Span {
    pub start: usize,
    pub end: usize,
}

impl Span {
    pub fn new(start: usize, end: usize) -> Self {
        Span { start, end }
    }

    /// The smallest span that holds both.
    #[must_use]
    pub fn to(self, other: Span) -> Span {
        Span::new(self.start.min(other.start), self.end.max(other.end))
    }

    pub fn range(self) -> Range<usize> {
        self.start..self.end
    }
}

impl fmt::Debug for Span {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}..{}", self.start, self.end)
    }
}

/// A file that was read: its name as the user gave it, and its text.
#[derive(Debug)]
pub struct SourceFile {
    name: String,
    text: String,
    line_starts: Vec<usize>,
}

impl SourceFile {
    pub fn new(name: impl Into<String>, text: impl Into<String>) -> Arc<Self> {
        let text = text.into();
        let line_starts = std::iter::once(0)
            .chain(text.bytes().enumerate().filter(|(_, b)| *b == b'\n').map(|(i, _)| i + 1))
            .collect();
        Arc::new(SourceFile { name: name.into(), text, line_starts })
    }

    pub fn name(&self) -> &str {
        &self.name
    }

    pub fn text(&self) -> &str {
        &self.text
    }

    /// Line and column of a byte offset, both from 1; columns count characters
    /// (a byte-order mark is none).
    pub fn line_column(&self, offset: usize) -> (usize, usize) {
        let offset = offset.min(self.text.len());
        let line = self.line_starts.partition_point(|start| *start <= offset);
        let start = self.line_starts[line - 1];
        let column = self.text[start..]
            .char_indices()
            .take_while(|(i, _)| start + i < offset)
            .filter(|(_, c)| *c != '\u{feff}')
            .count();
        (line, column + 1)
    }

    /// The text of a line (from 1), without its line end.
    pub fn line(&self, line: usize) -> &str {
        let start = self.line_starts[line - 1];
        let end = self.line_starts.get(line).copied().unwrap_or(self.text.len());
        self.text[start..end].trim_end_matches(['\n', '\r'])
    }

    /// Where `at` of a text stands in the file, the text having been read from `span`.
    /// Where the file's own text differs (indented lines, quoted YAML) the line it is
    /// in will do.
    pub fn span_within(&self, span: Span, text: &str, at: Range<usize>) -> Span {
        let (start, end) = (span.start, span.end);
        if self.text.get(start..).is_some_and(|rest| rest.starts_with(text)) {
            return Span::new(start + at.start, start + at.end);
        }
        let line_start = text[..at.start].rfind('\n').map_or(0, |n| n + 1);
        let line = text[line_start..].lines().next().unwrap_or_default();
        let within = self.text.get(start..end).unwrap_or_default();
        match within.find(line).filter(|_| !line.is_empty()) {
            Some(found) => {
                let from = start + found + (at.start - line_start);
                Span::new(from, (from + at.len()).min(start + found + line.len()))
            }
            None => span,
        }
    }

    pub fn slice(&self, span: Span) -> &str {
        self.text.get(span.range()).unwrap_or("")
    }
}

/// A span in a file.
#[derive(Debug, Clone)]
pub struct Place {
    pub file: Arc<SourceFile>,
    pub span: Span,
}

impl Place {
    pub fn new(file: &Arc<SourceFile>, span: Span) -> Self {
        Place { file: Arc::clone(file), span }
    }

    pub fn line_column(&self) -> (usize, usize) {
        self.file.line_column(self.span.start)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_count_characters_and_no_byte_order_mark() {
        let file = SourceFile::new("u.md", "\u{feff}a\u{b0}b\r\nsecond");
        assert_eq!(file.line_column(3), (1, 1));
        assert_eq!(file.line_column(6), (1, 3));
        assert_eq!(file.line_column(9), (2, 1));
        assert_eq!(file.line(1).trim_start_matches('\u{feff}'), "a\u{b0}b");
    }
}
