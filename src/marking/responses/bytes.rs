//! What a file is, by its first bytes: text in UTF-8, with or without a byte-order mark,
//! in UTF-16, or a workbook of a spreadsheet.

use std::io::{self, BufRead, BufReader, Cursor, Read};

/// How much is looked at.
const SAMPLE: usize = 1 << 15;

/// A file as text, or as a workbook.
pub(super) enum Kind {
    /// A stream of UTF-8, or of an older code page that the rows decode cell by cell.
    Text {
        stream: Box<dyn Read>,
        delimiter: u8,
    },
    Workbook(Vec<u8>),
    /// Neither.
    Other,
    Empty,
}

/// Looks at a file's beginning; gives the whole of it back.
pub(super) fn kind(file: Box<dyn Read>) -> io::Result<Kind> {
    let mut reader = BufReader::with_capacity(SAMPLE, file);
    let mut start = reader.fill_buf()?.to_vec();
    if start.is_empty() {
        return Ok(Kind::Empty);
    }
    if start.starts_with(b"PK\x03\x04") || start.starts_with(&[0xD0, 0xCF, 0x11, 0xE0]) {
        let mut whole = Vec::new();
        reader.read_to_end(&mut whole)?;
        return Ok(Kind::Workbook(whole));
    }
    if let Some(is_big) = utf16(&start) {
        let mut whole = Vec::new();
        reader.read_to_end(&mut whole)?;
        let text = decoded(&whole, is_big);
        let delimiter = delimiter(text.as_bytes());
        return Ok(Kind::Text { stream: Box::new(Cursor::new(text.into_bytes())), delimiter });
    }
    if start.starts_with(b"\xEF\xBB\xBF") {
        reader.consume(3);
        start.drain(..3);
    }
    if start.contains(&0) {
        return Ok(Kind::Other);
    }
    if start.iter().all(u8::is_ascii_whitespace) {
        return Ok(Kind::Empty);
    }
    Ok(Kind::Text { delimiter: delimiter(&start), stream: Box::new(reader) })
}

/// Whether it is UTF-16, and with the big end first: by its mark, or because every other
/// byte of plain letters is nought.
fn utf16(start: &[u8]) -> Option<bool> {
    match start {
        [0xFF, 0xFE, ..] => return Some(false),
        [0xFE, 0xFF, ..] => return Some(true),
        _ => {}
    }
    let pairs = start.len().min(256) / 2;
    let noughts = |offset: usize| (0..pairs).filter(|i| start[2 * i + offset] == 0).count();
    let mostly = |count: usize| pairs >= 4 && count * 10 >= pairs * 9;
    match (mostly(noughts(0)), mostly(noughts(1))) {
        (true, false) => Some(true),
        (false, true) => Some(false),
        _ => None,
    }
}

fn decoded(whole: &[u8], is_big: bool) -> String {
    let units = whole.chunks_exact(2).map(|pair| {
        let pair = [pair[0], pair[1]];
        if is_big { u16::from_be_bytes(pair) } else { u16::from_le_bytes(pair) }
    });
    let text: String = char::decode_utf16(units).map(|c| c.unwrap_or('\u{FFFD}')).collect();
    text.trim_start_matches('\u{FEFF}').to_owned()
}

/// What parts the cells: of comma, semicolon and tab the one that stands most often in
/// the first line outside quotes.
fn delimiter(start: &[u8]) -> u8 {
    let mut quoted = false;
    let mut counts = [(0usize, b','), (0, b';'), (0, b'\t')];
    let lines = start.iter().skip_while(|b| b.is_ascii_whitespace() && **b != b'\t');
    for byte in lines {
        match byte {
            b'"' => quoted = !quoted,
            b'\n' | b'\r' if !quoted => break,
            _ if quoted => {}
            _ => counts.iter_mut().filter(|(_, d)| d == byte).for_each(|(n, _)| *n += 1),
        }
    }
    // The first of equals, so that a file of one column is one of commas.
    counts.iter().rev().max_by_key(|(n, _)| *n).map_or(b',', |(_, d)| *d)
}
