//! Blank response forms: a table to type learners' answers into, as CSV and as a workbook.
//!
//! Takes columns and rows as text; gives bytes. The workbook has notes at its heads,
//! panes that stay, and lists to choose from; answers are kept as text, so that no
//! fraction turns into a date. Holds no dates of its own, so the bytes are the same each
//! time.

use rust_xlsxwriter::{
    DataValidation, DocProperties, ExcelDateTime, Format, Note, Workbook, Worksheet, XlsxError,
};

use super::WritingError;

/// A column of a form.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct FormColumn {
    pub head: String,
    /// What stands in the note at the head.
    pub note: String,
    /// What may be chosen; empty if anything may be typed.
    pub choices: Vec<String>,
    /// In characters.
    pub width: u32,
}

/// A form: heads, and rows that are filled in as far as is known.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Form {
    pub title: String,
    pub columns: Vec<FormColumn>,
    pub rows: Vec<Vec<String>>,
    /// Rows that are kept free for typing.
    pub free: u32,
    /// How many columns stay in sight at the left.
    pub frozen: u16,
}

/// The form as CSV.
///
/// # Errors
/// `Refused` if a row cannot be written.
pub fn form_csv(form: &Form) -> Result<Vec<u8>, WritingError> {
    let refused = |error: ::csv::Error| WritingError::Refused(error.to_string());
    let mut writer = ::csv::Writer::from_writer(Vec::new());
    writer
        .write_record(form.columns.iter().map(|column| column.head.as_bytes()))
        .map_err(refused)?;
    for row in &form.rows {
        let cells = (0..form.columns.len()).map(|at| row.get(at).map_or("", String::as_str));
        writer
            .write_record(cells.map(super::csv::harmless).map(|c| c.into_owned()))
            .map_err(refused)?;
    }
    writer.into_inner().map_err(|error| WritingError::Io(error.into_error()))
}

/// The form as a workbook.
///
/// # Errors
/// `Refused` if the library objects.
pub fn form_xlsx(form: &Form) -> Result<Vec<u8>, WritingError> {
    workbook(form).map_err(|error| WritingError::Refused(error.to_string()))
}

fn workbook(form: &Form) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    // Every file would carry the hour it was made at otherwise.
    let made = ExcelDateTime::from_ymd(2000, 1, 1)?;
    book.set_properties(&DocProperties::new().set_title(&form.title).set_creation_datetime(&made));
    let sheet = book.add_worksheet();
    sheet.set_name("responses")?;
    sheet.set_freeze_panes(1, form.frozen)?;
    let last = u32::try_from(form.rows.len()).unwrap_or(u32::MAX).saturating_add(form.free);
    let text = Format::new().set_num_format("@");
    let head = Format::new().set_bold().set_text_wrap().set_num_format("@");
    for (at, column) in (0u16..).zip(&form.columns) {
        sheet.set_column_width(at, column.width)?;
        sheet.set_column_format(at, &text)?;
        sheet.write_string_with_format(0, at, &column.head, &head)?;
        if !column.note.is_empty() {
            let note = Note::new(&column.note).add_author_prefix(false).set_author("Stillroom");
            sheet.insert_note(0, at, &note)?;
        }
        choices(sheet, at, column, last)?;
    }
    for (line, row) in (1u32..).zip(&form.rows) {
        for (at, cell) in (0u16..).zip(row) {
            if !cell.is_empty() {
                sheet.write_string_with_format(line, at, cell, &text)?;
            }
        }
    }
    book.save_to_buffer()
}

/// A list to choose from, where it is short enough for a workbook to hold.
fn choices(
    sheet: &mut Worksheet,
    at: u16,
    column: &FormColumn,
    last: u32,
) -> Result<(), XlsxError> {
    const MOST: usize = 255;
    let length: usize = column.choices.iter().map(|choice| choice.chars().count() + 1).sum();
    if column.choices.is_empty() || length > MOST || last == 0 {
        return Ok(());
    }
    let list = DataValidation::new()
        .allow_list_strings(&column.choices)?
        .ignore_blank(true)
        .set_error_title("Not on the list")?
        .set_error_message("Choose one of the list, or leave the cell empty.")?;
    sheet.add_data_validation(1, at, last, at, &list)?;
    Ok(())
}
