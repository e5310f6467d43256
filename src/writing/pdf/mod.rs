//! PDF files: the only door to printpdf and lopdf.
//!
//! `subset` cuts the faces down once a run, `inking` turns a composed document
//! into compressed content streams (the heavy part, safe on any thread), `book`
//! strings inked documents into one file. Text can be searched and copied, and
//! the bytes depend on the content alone: no dates, no counters, no map order.

mod book;
mod inking;
mod program;
mod structure;
mod subset;

pub use book::{Book, Part};
pub use inking::{Inked, ink};
pub use subset::Subset;

use super::WritingError;
use crate::composing::page::Composed;

/// One composed document as one PDF file.
///
/// `identity` (seed, unit, version code) goes into the file's `/ID` with the
/// content, so that two files are the same document only if both agree.
///
/// # Errors
/// `Glyph` or `Measure` if the pages do not fit the subset; see `WritingError`.
pub fn write_pdf(
    composed: &Composed,
    subset: &Subset,
    identity: &str,
) -> Result<Vec<u8>, WritingError> {
    let mut book = Book::new(Vec::new(), subset, &composed.title, &composed.language, identity)?;
    book.add(ink(composed, subset)?, None)?;
    book.finish()
}

/// Bytes deflated; `level` 6 for pages, 9 for what is made once a run.
fn deflate(bytes: &[u8], level: u32) -> Result<Vec<u8>, WritingError> {
    use std::io::Write;
    let mut encoder = flate2::write::ZlibEncoder::new(
        Vec::with_capacity(bytes.len() / 3),
        flate2::Compression::new(level),
    );
    encoder.write_all(bytes)?;
    Ok(encoder.finish()?)
}
