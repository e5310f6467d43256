//! The rows of a file one by one, with the number that a person sees beside them.

use std::borrow::Cow;
use std::cell::RefCell;
use std::collections::VecDeque;
use std::io::{Cursor, Read};
use std::rc::Rc;

use calamine::{Data, Reader};

use super::bytes::{Kind, kind};
use super::fault::Fault;

/// A cell as the file has it.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    Text(String),
    /// A number of a spreadsheet, which has no figures of its own.
    Number(f64),
    /// A cell that a spreadsheet holds for a date, as it shows it.
    Date(String),
    /// An error of a spreadsheet's own formula.
    Error(String),
    Empty,
}

impl Cell {
    pub fn text(&self) -> Cow<'_, str> {
        match self {
            Cell::Text(text) | Cell::Date(text) | Cell::Error(text) => Cow::Borrowed(text),
            Cell::Number(number) => Cow::Owned(number.to_string()),
            Cell::Empty => Cow::Borrowed(""),
        }
    }

    pub fn is_blank(&self) -> bool {
        match self {
            Cell::Text(text) => text.trim().is_empty(),
            Cell::Empty => true,
            _ => false,
        }
    }
}

/// A row and its number in the file, from 1.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RawRow {
    pub number: usize,
    pub cells: Vec<Cell>,
    /// Some letter was none of UTF-8 and was read by an older code page.
    pub is_old_page: bool,
}

/// A file being read.
pub enum Rows {
    Stream { reader: Box<csv::Reader<Lines>>, record: csv::ByteRecord, ends: Ends },
    Sheet { rows: std::vec::IntoIter<RawRow> },
}

impl Rows {
    /// # Errors
    /// What keeps the file from being read as a table.
    pub fn open(file: Box<dyn Read>) -> Result<Rows, Fault> {
        let unread = |reason: &str| {
            Fault::of_file(
                "the file cannot be read.",
                reason,
                "a table saved as CSV or as an .xlsx workbook",
                "open it in a spreadsheet and save it as CSV in UTF-8",
            )
        };
        match kind(file).map_err(|error| unread(&error.to_string()))? {
            Kind::Empty => Err(unread("an empty file")),
            Kind::Other => Err(unread("bytes that are no text")),
            Kind::Text { stream, delimiter } => {
                let ends = Ends::default();
                let lines = Lines { stream, at: 0, ends: ends.clone() };
                let reader = csv::ReaderBuilder::new()
                    .has_headers(false)
                    .flexible(true)
                    .delimiter(delimiter)
                    .from_reader(lines);
                Ok(Rows::Stream { reader: Box::new(reader), record: csv::ByteRecord::new(), ends })
            }
            Kind::Workbook(bytes) => {
                let mut book = calamine::open_workbook_auto_from_rs(Cursor::new(bytes))
                    .map_err(|error| unread(&error.to_string()))?;
                let first = book.sheet_names().first().cloned().unwrap_or_default();
                let range =
                    book.worksheet_range(&first).map_err(|error| unread(&error.to_string()))?;
                let (top, left) = range.start().unwrap_or((0, 0));
                let rows: Vec<RawRow> = range
                    .rows()
                    .enumerate()
                    .map(|(index, cells)| {
                        let before = std::iter::repeat_n(Cell::Empty, left as usize);
                        RawRow {
                            number: top as usize + index + 1,
                            cells: before.chain(cells.iter().map(cell)).collect(),
                            is_old_page: false,
                        }
                    })
                    .collect();
                Ok(Rows::Sheet { rows: rows.into_iter() })
            }
        }
    }

    /// The next row that is not empty.
    pub fn next_row(&mut self) -> Option<Result<RawRow, Fault>> {
        loop {
            let row = match self {
                Rows::Sheet { rows } => rows.next()?,
                Rows::Stream { reader, record, ends } => match reader.read_byte_record(record) {
                    Ok(false) => return None,
                    Ok(true) => {
                        let start = record.position().map_or(0, csv::Position::byte);
                        text_row(record, ends.line_of(start))
                    }
                    Err(error) => {
                        return Some(Err(Fault::of_file(
                            "the file cannot be read further.",
                            &error.to_string(),
                            "a table saved as CSV",
                            "save it anew from the spreadsheet",
                        )));
                    }
                },
            };
            if !row.cells.iter().all(Cell::is_blank) {
                return Some(Ok(row));
            }
        }
    }

    /// Whether rows may be shorter than the head, because the program that wrote them
    /// leaves empty cells at their ends out.
    pub(super) fn is_sheet(&self) -> bool {
        matches!(self, Rows::Sheet { .. })
    }
}

/// A stream that notes where its lines end.
pub struct Lines {
    stream: Box<dyn Read>,
    at: u64,
    ends: Ends,
}

impl Read for Lines {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        let read = self.stream.read(buffer)?;
        let mut ends = self.ends.0.borrow_mut();
        for (offset, byte) in (self.at..).zip(&buffer[..read]) {
            if matches!(byte, b'\n' | b'\r') {
                ends.ahead.push_back((offset, *byte));
            }
        }
        self.at += read as u64;
        Ok(read)
    }
}

/// The line ends that no row has passed yet. The reader of rows counts lines too, but
/// tells a row's beginning before it has passed the ends that stand before it.
#[derive(Clone, Default)]
pub struct Ends(Rc<RefCell<Passed>>);

#[derive(Default)]
struct Passed {
    ahead: VecDeque<(u64, u8)>,
    lines: usize,
    last: Option<(u64, u8)>,
}

impl Ends {
    /// The line, from 1, of a row that begins here or behind the line ends here.
    fn line_of(&self, start: u64) -> usize {
        let mut ends = self.0.borrow_mut();
        let mut from = start;
        while let Some((offset, byte)) = ends.ahead.front().copied() {
            if offset > from {
                break;
            }
            if offset == from {
                from += 1;
            }
            ends.ahead.pop_front();
            // Two bytes of one end are one line.
            let second = byte == b'\n'
                && ends.last.is_some_and(|last| last == (offset.wrapping_sub(1), b'\r'));
            ends.lines += usize::from(!second);
            ends.last = Some((offset, byte));
        }
        ends.lines + 1
    }
}

fn text_row(record: &csv::ByteRecord, number: usize) -> RawRow {
    let mut is_old_page = false;
    let cells = record
        .iter()
        .map(|bytes| match std::str::from_utf8(bytes) {
            Ok(text) => Cell::Text(text.to_owned()),
            Err(_) => {
                is_old_page = true;
                Cell::Text(bytes.iter().map(|byte| windows(*byte)).collect())
            }
        })
        .collect();
    RawRow { number, cells, is_old_page }
}

/// A byte in the code page that older spreadsheets save CSV in (Windows-1252).
fn windows(byte: u8) -> char {
    const SIGNS: [char; 32] = [
        '€', '\u{81}', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '\u{8d}', 'Ž',
        '\u{8f}', '\u{90}', '‘', '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', '\u{9d}',
        'ž', 'Ÿ',
    ];
    match byte {
        0x80..=0x9F => SIGNS[usize::from(byte - 0x80)],
        _ => char::from(byte),
    }
}

fn cell(data: &Data) -> Cell {
    match data {
        Data::Int(whole) => Cell::Number(*whole as f64),
        Data::Float(number) => Cell::Number(*number),
        Data::String(text) => Cell::Text(text.clone()),
        Data::Bool(truth) => Cell::Text(truth.to_string()),
        Data::DateTime(date) => Cell::Date(date.to_string()),
        Data::DateTimeIso(text) | Data::DurationIso(text) => Cell::Date(text.clone()),
        Data::Error(error) => Cell::Error(error.to_string()),
        Data::Empty => Cell::Empty,
        #[allow(unreachable_patterns)] // kinds that a later version may add
        other => Cell::Text(other.to_string()),
    }
}
