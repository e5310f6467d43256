//! Composed pages and tables as the bytes of files.
//!
//! Takes composed documents and rows; gives PDF, HTML and CSV bytes, the same bytes
//! for the same input on every machine and every day. Never opens a file: what is
//! written where is the business of `run`.

mod csv;
mod form;
mod html;
mod marks;
mod pdf;

pub use self::csv::{AnswerRow, AnswerTable};
pub use form::{Form, FormColumn, form_csv, form_xlsx};
pub use html::{CopyFor, write_html};
pub use marks::CsvTable;
pub use pdf::{Book, Inked, Part, Subset, ink, write_pdf};

use crate::composing::page::Face;

/// Why a document could not be turned into bytes. None of these is an author's
/// mistake: characters no face has are found before, by `Faces::missing`.
#[derive(Debug)]
pub enum WritingError {
    /// A page uses a glyph for a text that the subset was not told of.
    Glyph { face: Face, text: String },
    /// A length on a page (counted from 1) is not a number.
    Measure { page: usize },
    /// A face could not be cut down to the characters in use.
    Subset { face: Face, reason: String },
    /// The PDF library found something to object to.
    Refused(String),
    /// The bytes could not be handed on.
    Io(std::io::Error),
}

impl std::fmt::Display for WritingError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            WritingError::Glyph { face, text } => {
                write!(f, "the {face:?} glyph for {text:?} is not among those embedded")
            }
            WritingError::Measure { page } => {
                write!(f, "a length on page {page} is not a number")
            }
            WritingError::Subset { face, reason } => {
                write!(f, "the face {face:?} could not be cut down: {reason}")
            }
            WritingError::Refused(reason) => write!(f, "the PDF library objects: {reason}"),
            WritingError::Io(error) => write!(f, "{error}"),
        }
    }
}

impl std::error::Error for WritingError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            WritingError::Io(error) => Some(error),
            _ => None,
        }
    }
}

impl From<std::io::Error> for WritingError {
    fn from(error: std::io::Error) -> Self {
        WritingError::Io(error)
    }
}
