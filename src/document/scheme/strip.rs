//! Key strips: the answers of all versions in as little room as a marker can read.
//!
//! Takes printed answers; gives grids to cut out, each for one page. Widths are
//! estimated from the words, since nothing here measures; what is wider wraps.

use super::super::context::{CellsContext, WidthContext};
use super::super::escape::escape;
use super::Solved;
use super::points::letter;
use super::tables::{VersionCells, column, entries};

/// The block, the column of questions, what is between two halves to be cut, in mm.
const ALL: f64 = 174.0;
const QUESTION: f64 = 20.0;
const BETWEEN: f64 = 4.0;
/// A version's column is no narrower and no wider.
const NARROWEST: f64 = 12.0;
const WIDEST: f64 = 28.0;
/// Heights of rows in mm: as they should be, and where that saves a page. A cell of
/// two lines is higher.
const ROW: f64 = 8.0;
const CLOSE_ROW: f64 = 7.0;
const LINE: f64 = 5.0;
/// What a page holds below its title, in mm; that of Letter, the shorter one.
const PAGE: f64 = 186.0;
/// Blank at the sides of a cell, and the size of its letters, in mm.
const SIDES: f64 = 2.9;
const SIZE: f64 = 3.71;

/// A row: what is asked, and what each version answers.
struct Row {
    label: String,
    answers: Vec<String>,
}

impl Row {
    /// The same answer in every version, which is then said once, across.
    fn is_shared(&self) -> bool {
        self.answers.len() > 1 && self.answers.windows(2).all(|pair| pair[0] == pair[1])
    }

    /// Whether that is wider than a version's column.
    fn goes_across(&self, width: f64) -> bool {
        self.is_shared() && width_of(&self.answers[0]) + SIDES > width
    }

    /// Its height where a version's column is so wide.
    fn height(&self, width: f64, least: f64) -> f64 {
        let lines = |text: &str, width: f64| (width_of(text) / (width - SIDES)).ceil();
        let own = self.answers.iter().filter(|_| !self.goes_across(width));
        let own = own.map(|answer| lines(answer, width));
        let lines = own.fold(lines(&self.label, QUESTION), f64::max);
        if lines > 1.0 { least.max(LINE * lines + 2.0) } else { least }
    }
}

/// The strips: versions side by side, as few pages as there can be.
pub(super) fn strips(shown: &Solved<'_>, cells: &[VersionCells]) -> Vec<CellsContext> {
    let rows = rows(shown, cells);
    if rows.is_empty() || cells.is_empty() {
        return Vec::new();
    }
    let letters: Vec<&str> = cells.iter().map(|version| version.letters.as_str()).collect();
    let in_halves = (ALL - BETWEEN) / 2.0;
    let width = ((in_halves - QUESTION) / cells.len() as f64).min(WIDEST);
    if height(&rows, WIDEST, ROW) > PAGE && width >= need(rows.iter()) {
        return halves(&letters, &rows, width);
    }
    let own = rows.iter().filter(|row| !row.is_shared());
    let beside = ((ALL - QUESTION) / need(own)).floor().max(1.0) as usize;
    let tables = cells.len().div_ceil(beside);
    let each = cells.len().div_ceil(tables);
    (0..cells.len())
        .step_by(each)
        .flat_map(|from| {
            let to = (from + each).min(cells.len());
            pages_of(&letters[from..to], &rows, from)
        })
        .collect()
}

fn rows(shown: &Solved<'_>, cells: &[VersionCells]) -> Vec<Row> {
    let mut rows = Vec::new();
    for (number, (solution, answers)) in (1..).zip(shown) {
        for own in entries(solution, answers) {
            let at = rows.len();
            rows.push(Row {
                // A long unit may part where its blanks are.
                label: format!("{number}{} {}", letter(solution, own.part), escape(&own.unit))
                    .replace(['\u{a0}', '\u{202f}'], " "),
                answers: cells.iter().map(|version| version.answers[at].clone()).collect(),
            });
        }
    }
    rows
}

/// A strip in two halves that stand beside each other, page after page.
fn halves(letters: &[&str], rows: &[Row], width: f64) -> Vec<CellsContext> {
    let half = rows.len().div_ceil(2);
    // Rows beside each other are as high as the higher one.
    let tall = |least: f64| -> f64 {
        let of = |at: usize| rows.get(at).map_or(0.0, |row| row.height(width, least));
        (0..half).map(|at| of(at).max(of(half + at))).sum()
    };
    let least = if tall(ROW) <= PAGE { ROW } else { CLOSE_ROW };
    let pages = (tall(least) / PAGE).ceil().max(1.0) as usize;
    let mut columns = columns_of(letters, width);
    columns.push(column("", BETWEEN));
    columns.extend(columns_of(letters, width));
    let line = |row: Option<&Row>| match row {
        Some(row) => line_of(row, &row.answers),
        None => vec![String::new(); letters.len() + 1],
    };
    rows.chunks(rows.len().div_ceil(pages))
        .map(|rows| {
            let half = rows.len().div_ceil(2);
            let beside = (0..half).map(|at| {
                let (left, right) = (line(rows.get(at)), line(rows.get(half + at)));
                [left, vec![String::new()], right].concat()
            });
            CellsContext { columns: columns.clone(), rows: beside.collect(), least, apart: true }
        })
        .collect()
}

/// The strips of versions from one on, over as many pages as they need.
fn pages_of(letters: &[&str], rows: &[Row], from: usize) -> Vec<CellsContext> {
    let width = ((ALL - QUESTION) / letters.len() as f64).min(WIDEST);
    let pages = |least: f64| (height(rows, width, least) / PAGE).ceil().max(1.0) as usize;
    let least = if pages(CLOSE_ROW) < pages(ROW) { CLOSE_ROW } else { ROW };
    let line = |row: &Row| {
        let own = &row.answers[from..from + letters.len()];
        if row.goes_across(width) {
            // A last cell goes on to the edge.
            let once = format!("**{}** in every version", escape(&own[0]));
            return vec![row.label.clone(), once];
        }
        line_of(row, own)
    };
    rows.chunks(rows.len().div_ceil(pages(least)))
        .map(|rows| CellsContext {
            columns: columns_of(letters, width),
            rows: rows.iter().map(line).collect(),
            least,
            apart: false,
        })
        .collect()
}

fn line_of(row: &Row, answers: &[String]) -> Vec<String> {
    let bold = answers.iter().map(|answer| format!("**{}**", escape(answer)));
    std::iter::once(row.label.clone()).chain(bold).collect()
}

fn columns_of(letters: &[&str], width: f64) -> Vec<WidthContext> {
    let versions = letters.iter().map(|letters| column(letters, width));
    std::iter::once(column("Q", QUESTION)).chain(versions).collect()
}

fn height(rows: &[Row], width: f64, least: f64) -> f64 {
    rows.iter().map(|row| row.height(width, least)).sum()
}

/// What the widest word needs.
fn need<'a>(rows: impl Iterator<Item = &'a Row>) -> f64 {
    let words = rows.flat_map(|row| &row.answers).flat_map(|answer| answer.split(' '));
    words.map(|word| width_of(word) + SIDES).fold(NARROWEST, f64::max)
}

/// About how wide a text is in bold, in mm.
fn width_of(text: &str) -> f64 {
    let ems = text.chars().map(|c| match c {
        'i' | 'l' | 'j' | ' ' | '.' | ',' | ';' | ':' | '\u{2019}' => 0.29,
        'f' | 't' | 'r' | 's' | '(' | ')' | '/' | '-' => 0.4,
        'm' | 'w' | 'M' | 'W' => 0.86,
        c if c.is_uppercase() => 0.64,
        _ => 0.55,
    });
    SIZE * ems.sum::<f64>()
}
