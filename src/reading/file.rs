//! From the bytes of a file to its text.
//!
//! Takes UTF-8 with or without a byte-order mark. Other encodings, old line ends
//! and files that are no text are refused, each in words of its own and with the
//! way to put it right. Never guesses an encoding: a guessed degree sign is a
//! wrong temperature.

use std::path::Path;
use std::sync::Arc;

use crate::diag::{Code, Diagnostic, Diagnostics, Place, SourceFile, Span};

const SAVE_AS_UTF8: &str =
    "open the file in your editor, choose Save As, and pick UTF-8 as the encoding";

/// Reads a file from disk. `shown_name` is the name that findings carry.
pub fn read(path: &Path, shown_name: &str, out: &mut Diagnostics) -> Option<Arc<SourceFile>> {
    match std::fs::read(path) {
        Ok(bytes) => decode(&bytes, shown_name, out),
        Err(error) => {
            out.push(unreadable(shown_name, &error.to_string()));
            None
        }
    }
}

/// A file or folder that the computer would not open.
pub(super) fn unreadable(shown_name: &str, why: &str) -> Diagnostic {
    let file = SourceFile::new(shown_name, "");
    Diagnostic::new(
        Code::Unreadable,
        Place::new(&file, Span::default()),
        "This file or folder cannot be opened.",
    )
    .found(why)
    .expected("a file or folder that exists and that you may read")
    .next("check the name, and that no other program keeps it to itself")
}

/// The text of a file's bytes.
pub fn decode(bytes: &[u8], shown_name: &str, out: &mut Diagnostics) -> Option<Arc<SourceFile>> {
    let refuse = |out: &mut Diagnostics, d: Diagnostic| {
        out.push(d);
        None
    };
    if looks_like_utf16(bytes) {
        let at = Place::new(&SourceFile::new(shown_name, ""), Span::default());
        return refuse(
            out,
            Diagnostic::new(
                Code::Utf16,
                at,
                "This file is saved as UTF-16, which is not read here.",
            )
            .found("UTF-16 text")
            .expected("UTF-8 text")
            .next(SAVE_AS_UTF8),
        );
    }
    if looks_binary(bytes) {
        let at = Place::new(&SourceFile::new(shown_name, ""), Span::default());
        return refuse(
            out,
            Diagnostic::new(Code::NotText, at, "This file is not text at all.")
                .found("bytes that no text has (a picture, a document of a word processor?)")
                .expected("a plain text file written in Markdown")
                .next("copy the text into a plain text file whose name ends in .md"),
        );
    }
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text,
        Err(error) => return refuse(out, legacy(bytes, error.valid_up_to(), shown_name)),
    };
    if text.trim_start_matches('\u{feff}').trim().is_empty() {
        let at = Place::new(&SourceFile::new(shown_name, ""), Span::default());
        return refuse(
            out,
            Diagnostic::new(Code::EmptyFile, at, "This file is empty.")
                .found("nothing")
                .expected("front matter, then the lesson")
                .next("begin one with `stillroom start TITLE`"),
        );
    }
    if let Some(at) = lone_carriage_return(text) {
        let file = SourceFile::new(shown_name, text);
        let place = Place::new(&file, Span::new(at, at + 1));
        return refuse(
            out,
            Diagnostic::new(
                Code::OldLineEnds,
                place,
                "A line of this file ends in a way that only very old programs use.",
            )
            .found("a carriage return alone")
            .expected("the line ends LF or CRLF")
            .next("choose Unix (LF) or Windows (CRLF) line ends in your editor and save"),
        );
    }
    Some(SourceFile::new(shown_name, text))
}

fn legacy(bytes: &[u8], bad: usize, shown_name: &str) -> Diagnostic {
    // Shown as the usual Western code page so that the line can be recognised;
    // each byte before the bad one is valid UTF-8 and kept as it is.
    let mut text = String::from_utf8_lossy(&bytes[..bad]).into_owned();
    let at = text.len();
    let line_end = bytes[bad..].iter().position(|b| *b == b'\n').map_or(bytes.len(), |n| bad + n);
    text.extend(bytes[bad..line_end].iter().map(|b| char::from(*b)));
    let width = char::from(bytes[bad]).len_utf8();
    let file = SourceFile::new(shown_name, text);
    Diagnostic::new(
        Code::LegacyCodePage,
        Place::new(&file, Span::new(at, at + width)),
        "This file is saved in an older encoding, so this sign cannot be read for certain.",
    )
    .found(format!("the byte {:02X}, which UTF-8 does not allow here", bytes[bad]))
    .expected("UTF-8 text")
    .next(SAVE_AS_UTF8)
}

/// A byte-order mark of UTF-16, or the zero in every second byte that plain
/// words have in it.
fn looks_like_utf16(bytes: &[u8]) -> bool {
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        return true;
    }
    let head = &bytes[..bytes.len().min(200)];
    let zeros = |odd: usize| head.iter().skip(odd).step_by(2).filter(|b| **b == 0).count();
    let half = head.len() / 2;
    half >= 2
        && ((zeros(0) == 0 && zeros(1) * 10 >= half * 7)
            || (zeros(1) == 0 && zeros(0) * 10 >= half * 7))
}

fn looks_binary(bytes: &[u8]) -> bool {
    let odd = |b: &u8| matches!(b, 0..=8 | 14..=26 | 28..=31 | 127);
    bytes.contains(&0) || bytes.iter().filter(|b| odd(b)).count() * 50 > bytes.len()
}

fn lone_carriage_return(text: &str) -> Option<usize> {
    let bytes = text.as_bytes();
    (0..bytes.len()).find(|&i| bytes[i] == b'\r' && bytes.get(i + 1) != Some(&b'\n'))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused(bytes: &[u8]) -> Option<(Code, (usize, usize))> {
        let mut out = Diagnostics::new();
        let read = decode(bytes, "u.md", &mut out);
        let found = out.sorted().first().map(|d| (d.code, d.place.line_column()));
        assert_eq!(read.is_none(), found.is_some());
        found
    }

    #[test]
    fn each_kind_of_bytes_is_refused_in_its_own_way() {
        let utf16: Vec<u8> = "---\nid: a\n".encode_utf16().flat_map(u16::to_le_bytes).collect();
        assert_eq!(refused(&utf16), Some((Code::Utf16, (1, 1))));
        assert_eq!(refused(b"\xff\xfe-\0"), Some((Code::Utf16, (1, 1))));
        assert_eq!(refused(b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR"), Some((Code::NotText, (1, 1))));
        assert_eq!(refused(b""), Some((Code::EmptyFile, (1, 1))));
        assert_eq!(refused("\u{feff} \n".as_bytes()), Some((Code::EmptyFile, (1, 1))));
        assert_eq!(refused(b"a: 1\nt: 25 \xb0C\n"), Some((Code::LegacyCodePage, (2, 7))));
        assert_eq!(refused(b"---\rid: a\r"), Some((Code::OldLineEnds, (1, 4))));
        assert_eq!(refused("\u{feff}t: 25 \u{b0}C\r\n".as_bytes()), None);
    }
}
