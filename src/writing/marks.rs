//! Tables of marks as CSV: any heads, a row at a time, cells that no spreadsheet runs.

use std::io::Write;

use super::WritingError;
use super::csv::{harmless, refused};

/// A table being written (RFC 4180, UTF-8, header first).
pub struct CsvTable<W: Write> {
    writer: ::csv::Writer<W>,
}

impl<W: Write> CsvTable<W> {
    /// Writes the heads.
    ///
    /// # Errors
    /// `Io` if the sink refuses.
    pub fn new(sink: W, heads: &[String]) -> Result<Self, WritingError> {
        let mut table = CsvTable { writer: ::csv::Writer::from_writer(sink) };
        table.row(heads)?;
        Ok(table)
    }

    /// # Errors
    /// `Io` if the sink refuses.
    pub fn row(&mut self, cells: &[String]) -> Result<(), WritingError> {
        let cells = cells.iter().map(|cell| harmless(cell));
        self.writer.write_record(cells.map(|cell| cell.into_owned())).map_err(refused)
    }

    /// Gives the sink back, flushed.
    ///
    /// # Errors
    /// `Io` if the sink refuses.
    pub fn finish(self) -> Result<W, WritingError> {
        self.writer.into_inner().map_err(|error| WritingError::Io(error.into_error()))
    }
}
