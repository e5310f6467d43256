//! Text taken out of a file, with the way back to it.
//!
//! A block inside a list loses its indent and a CRLF file its carriage returns,
//! so an offset in the text is not an offset in the file. An excerpt is built of
//! pieces that each stand in the file letter for letter, or were made up and
//! point at one place. Never yields a place inside a character.

use std::ops::Range;

use crate::diag::{SourceFile, Span};

#[derive(Debug, Clone, Copy)]
struct Piece {
    text: usize,
    file: usize,
    /// Bytes that stand in the file as they stand here; zero for made-up text.
    len: usize,
}

/// A text and, for each of its bytes, the byte of the file it came from.
#[derive(Debug, Clone, Default)]
pub(super) struct Excerpt {
    text: String,
    pieces: Vec<Piece>,
}

impl Excerpt {
    /// The given part of a file with LF line ends.
    pub(super) fn of(file: &SourceFile, range: Range<usize>) -> Self {
        let mut excerpt = Excerpt::default();
        let Some(whole) = file.text().get(range.clone()) else { return excerpt };
        let mut at = range.start;
        for line in whole.split_inclusive('\n') {
            match line.strip_suffix("\r\n") {
                Some(body) => {
                    excerpt.push(body, at);
                    excerpt.push("\n", at + body.len() + 1);
                }
                None => excerpt.push(line, at),
            }
            at += line.len();
        }
        if excerpt.pieces.is_empty() {
            excerpt.push("", range.start);
        }
        excerpt
    }

    pub(super) fn text(&self) -> &str {
        &self.text
    }

    /// Adds text that stands in the file at `file`, letter for letter.
    pub(super) fn push(&mut self, text: &str, file: usize) {
        if let Some(last) = self.pieces.last_mut()
            && last.text + last.len == self.text.len()
            && last.file + last.len == file
        {
            last.len += text.len();
        } else {
            self.pieces.push(Piece { text: self.text.len(), file, len: text.len() });
        }
        self.text.push_str(text);
    }

    /// Adds text that does not stand in the file; it points at `file`.
    pub(super) fn push_made(&mut self, text: &str, file: usize) {
        self.pieces.push(Piece { text: self.text.len(), file, len: 0 });
        self.text.push_str(text);
    }

    /// Adds a part of another excerpt.
    pub(super) fn push_part(&mut self, other: &Excerpt, range: Range<usize>) {
        let mut at = range.start;
        while at < range.end {
            let index = other.piece_of(at);
            let piece = other.pieces[index];
            let next = other.pieces.get(index + 1).map_or(other.text.len(), |p| p.text);
            let same_until = (piece.text + piece.len).min(next);
            if at < same_until {
                let end = same_until.min(range.end);
                self.push(&other.text[at..end], piece.file + (at - piece.text));
                at = end;
            } else {
                let end = next.min(range.end);
                self.push_made(&other.text[at..end], piece.file + piece.len);
                at = end;
            }
        }
        if self.pieces.is_empty() {
            self.push("", other.at(range.start));
        }
    }

    /// A part as an excerpt of its own.
    #[must_use]
    pub(super) fn part(&self, range: Range<usize>) -> Excerpt {
        let mut part = Excerpt::default();
        part.push_part(self, range);
        part
    }

    /// The same text with parts replaced by made-up text: ranges in rising order,
    /// none inside another. An empty range inserts, an empty text removes.
    #[must_use]
    pub(super) fn with_edits(&self, edits: &[(Range<usize>, String)]) -> Excerpt {
        let mut out = Excerpt::default();
        let mut from = 0;
        for (range, made) in edits {
            out.push_part(self, from..range.start.max(from));
            if !made.is_empty() {
                out.push_made(made, self.end_at(range.start));
            }
            from = range.end.max(from);
        }
        out.push_part(self, from..self.text.len());
        out
    }

    fn piece_of(&self, offset: usize) -> usize {
        self.pieces.partition_point(|p| p.text <= offset).saturating_sub(1)
    }

    /// The file's offset of a byte of the text.
    pub(super) fn at(&self, offset: usize) -> usize {
        match self.pieces.get(self.piece_of(offset)) {
            Some(p) => p.file + offset.saturating_sub(p.text).min(p.len),
            None => 0,
        }
    }

    /// The file's offset just after the byte before `offset`.
    fn end_at(&self, offset: usize) -> usize {
        match offset.checked_sub(1) {
            None => self.at(0),
            Some(last) => match self.pieces.get(self.piece_of(last)) {
                Some(p) => p.file + (offset - p.text.min(offset)).min(p.len),
                None => 0,
            },
        }
    }

    /// The place in the file of a range of the text.
    pub(super) fn span(&self, range: Range<usize>) -> Span {
        let start = self.at(range.start);
        if range.is_empty() {
            return Span::new(start, start);
        }
        Span::new(start, self.end_at(range.end).max(start))
    }

    /// The place of the whole.
    pub(super) fn whole(&self) -> Span {
        self.span(0..self.text.len())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_survive_crlf_cuts_and_insertions() {
        let file = SourceFile::new("u.md", "a\u{b0}: b\r\nsecond: x\r\n");
        let all = Excerpt::of(&file, 0..file.text().len());
        assert_eq!(all.text(), "a\u{b0}: b\nsecond: x\n");
        let second = all.text().find("second").expect("it is there");
        assert_eq!(file.slice(all.span(second..second + 6)), "second");
        let quote = |at: usize| (at..at, "'".to_owned());
        let quoted = all.with_edits(&[quote(second + 8), quote(second + 9)]);
        assert_eq!(quoted.text(), "a\u{b0}: b\nsecond: 'x'\n");
        let x = quoted.text().find('x').expect("it is there");
        assert_eq!(file.slice(quoted.span(x..x + 1)), "x");
        assert_eq!(file.slice(quoted.span(x - 1..x + 2)), "x");
        let part = quoted.part(second..quoted.text().len());
        assert_eq!(file.slice(part.span(0..6)), "second");
    }
}
