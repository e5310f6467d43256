//! A change to the file that does what a finding asks for.
//!
//! Takes a place and what should stand there; gives the line as it will read, and the
//! text of the file with several mends made. Never writes a file.

use super::{SourceFile, Span};

/// How far a mend can be trusted to be what its author meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Surety {
    /// Only the notation changes: quotes, blanks, a word of a closed list.
    Sure,
    /// A guess at a name or a quantity, for a person to decide.
    Likely,
}

/// What should stand in place of a span.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mend {
    pub span: Span,
    pub made: String,
    pub surety: Surety,
}

impl SourceFile {
    /// The line that holds a span with the span replaced, without its indent and the
    /// marks of a quote that its block may stand in.
    pub fn line_with(&self, span: Span, made: &str) -> String {
        let text = self.text();
        let start = text[..span.start].rfind('\n').map_or(0, |n| n + 1);
        let end = text[span.end..].find('\n').map_or(text.len(), |n| span.end + n);
        let line = format!("{}{made}{}", &text[start..span.start], &text[span.end..end]);
        line.trim_start_matches(['\u{feff}', ' ', '\t', '>']).trim_end().to_owned()
    }

    /// The file's text with the mends made. Of two that touch, the first in the file is
    /// made and the other left for another time.
    pub fn mended<'m>(&self, mends: impl IntoIterator<Item = &'m Mend>) -> String {
        let mut mends: Vec<&Mend> = mends.into_iter().collect();
        mends.sort_by_key(|mend| (mend.span.start, mend.span.end));
        let text = self.text();
        let mut made = String::with_capacity(text.len());
        let mut at = 0;
        let mut touched = None;
        for mend in mends {
            if mend.span.start < at || touched == Some(mend.span.start) {
                continue;
            }
            made.push_str(&text[at..mend.span.start]);
            made.push_str(&mend.made);
            at = mend.span.end;
            touched = Some(at);
        }
        made.push_str(&text[at..]);
        made
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mend(start: usize, end: usize, made: &str) -> Mend {
        Mend { span: Span::new(start, end), made: made.to_owned(), surety: Surety::Sure }
    }

    #[test]
    fn mends_apart_are_made_together_and_of_two_that_touch_the_first() {
        let file = SourceFile::new("u.md", "ab\r\ncd\r\n");
        let (first, second, touching) = (mend(0, 1, "A"), mend(4, 6, ""), mend(1, 2, "B"));
        assert_eq!(file.mended([&second, &first]), "Ab\r\n\r\n");
        assert_eq!(file.mended([&touching, &first]), "Ab\r\ncd\r\n");
    }

    #[test]
    fn the_line_is_shown_as_it_will_read() {
        let file = SourceFile::new("u.md", "> \tkey: a # b\r\nnext");
        assert_eq!(file.line_with(Span::new(8, 13), "'a # b'"), "key: 'a # b'");
    }
}
