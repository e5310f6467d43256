//! `answers.csv`: every answer of every version, one a row.
//!
//! Takes rows in order; gives CSV (RFC 4180, UTF-8, header first) to a sink as
//! they come. Numbers carry twelve digits. A cell of words that a spreadsheet
//! would run as a formula is written so that it is shown instead.

use std::borrow::Cow;
use std::io::Write;

use super::WritingError;

const HEAD: [&str; 9] = [
    "number",
    "question",
    "part",
    "version",
    "value",
    "unit",
    "printed answer",
    "lowest accepted",
    "highest accepted",
];

/// One part of one question in one version. The numbers are absent where the
/// answer is words or a letter.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct AnswerRow<'a> {
    /// As on the page: "1(a)".
    pub number: &'a str,
    /// The question's id, of a paper behind its unit's.
    pub question: &'a str,
    pub part: &'a str,
    pub version: &'a str,
    /// In `unit`, unrounded.
    pub value: Option<f64>,
    pub unit: &'a str,
    /// As the key prints it.
    pub printed: &'a str,
    /// In `unit`.
    pub lowest: Option<f64>,
    pub highest: Option<f64>,
}

/// The table being written.
pub struct AnswerTable<W: Write> {
    writer: ::csv::Writer<W>,
}

impl<W: Write> AnswerTable<W> {
    /// Writes the header.
    ///
    /// # Errors
    /// `Io` if the sink refuses.
    pub fn new(sink: W) -> Result<Self, WritingError> {
        let mut writer = ::csv::Writer::from_writer(sink);
        writer.write_record(HEAD).map_err(refused)?;
        Ok(AnswerTable { writer })
    }

    /// # Errors
    /// `Io` if the sink refuses.
    pub fn row(&mut self, row: &AnswerRow) -> Result<(), WritingError> {
        let cells: [Cow<str>; 9] = [
            harmless(row.number),
            harmless(row.question),
            harmless(row.part),
            harmless(row.version),
            figure(row.value),
            harmless(row.unit),
            harmless(row.printed),
            figure(row.lowest),
            figure(row.highest),
        ];
        self.writer.write_record(cells.iter().map(|cell| cell.as_bytes())).map_err(refused)
    }

    /// Gives the sink back, flushed.
    ///
    /// # Errors
    /// `Io` if the sink refuses.
    pub fn finish(self) -> Result<W, WritingError> {
        self.writer.into_inner().map_err(|error| WritingError::Io(error.into_error()))
    }
}

/// Twelve significant digits, without idle zeros: more than any measurement has,
/// and less than the noise of the last bit.
fn figure(value: Option<f64>) -> Cow<'static, str> {
    match value.map(|v| format!("{v:.11e}").parse().unwrap_or(v)) {
        Some(value) if !value.is_finite() => Cow::Borrowed(""),
        Some(value) if value != 0.0 && !(1e-6..1e15).contains(&value.abs()) => {
            Cow::Owned(format!("{value:e}"))
        }
        Some(value) => Cow::Owned(format!("{value}")),
        None => Cow::Borrowed(""),
    }
}

/// Words as they are, unless a spreadsheet would take them for a formula: then
/// behind an apostrophe, which it hides. A plain number is no formula.
pub(super) fn harmless(words: &str) -> Cow<'_, str> {
    let risky = words
        .trim_start_matches([' ', '\u{A0}'])
        .starts_with(['=', '+', '-', '@', '\t', '\r', '\n', '＝', '＋', '－', '＠']);
    if risky && words.trim().parse::<f64>().is_err() {
        Cow::Owned(format!("'{words}"))
    } else {
        Cow::Borrowed(words)
    }
}

pub(super) fn refused(error: ::csv::Error) -> WritingError {
    match error.into_kind() {
        ::csv::ErrorKind::Io(error) => WritingError::Io(error),
        other => WritingError::Refused(format!("{other:?}")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn read_back(rows: &[AnswerRow]) -> Vec<Vec<String>> {
        let mut table = AnswerTable::new(Vec::new()).unwrap();
        for row in rows {
            table.row(row).unwrap();
        }
        let bytes = table.finish().unwrap();
        let mut reader = ::csv::Reader::from_reader(bytes.as_slice());
        assert_eq!(reader.headers().unwrap(), HEAD.to_vec());
        reader.records().map(|r| r.unwrap().iter().map(str::to_owned).collect()).collect()
    }

    #[test]
    fn rows_come_back_as_written() {
        let row = AnswerRow {
            number: "1(b)",
            question: "pan-balance",
            part: "b",
            version: "A-7KX",
            value: Some(1.0 / 3.0),
            unit: "kg/m³",
            printed: "0.333 kg, \"dry\"",
            lowest: Some(-0.5),
            highest: Some(1e-9),
        };
        assert_eq!(
            read_back(&[row]),
            [[
                "1(b)",
                "pan-balance",
                "b",
                "A-7KX",
                "0.333333333333",
                "kg/m³",
                "0.333 kg, \"dry\"",
                "-0.5",
                "1e-9"
            ]]
        );
    }

    #[test]
    fn formulas_are_shown_not_run() {
        for words in ["=1+1", "@SUM(A1)", "+A1", "-A1", " =A1", "\t=A1", "＝A1", "-3 kg"] {
            let printed = read_back(&[AnswerRow { printed: words, ..Default::default() }]);
            assert_eq!(printed[0][6], format!("'{words}"));
        }
        for words in ["-3.5", "+2", "C", "x = 2", "−3 kg"] {
            let printed = read_back(&[AnswerRow { printed: words, ..Default::default() }]);
            assert_eq!(printed[0][6], words);
        }
    }

    proptest! {
        #[test]
        fn a_value_keeps_twelve_digits(value in proptest::num::f64::NORMAL) {
            let rows = read_back(&[AnswerRow { value: Some(value), ..Default::default() }]);
            let read: f64 = rows[0][4].parse().unwrap();
            prop_assert!((read - value).abs() <= 6e-12 * value.abs(), "{} for {}", read, value);
        }
    }
}
