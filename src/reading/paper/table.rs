//! The table of specifications: the Markdown table of a paper, rows objectives,
//! columns levels, cells marks, with margins that are checked where they are given.

use std::ops::Range;

use pulldown_cmark::{Event, Parser, Tag, TagEnd};

use crate::diag::{Code, Diagnostic, Span};
use crate::reading::desk::Desk;
use crate::reading::markdown::markdown_options;
use crate::reading::parsed::{Placed, Text};

use super::same;

/// Marks from `least` to `most`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Bounds {
    pub least: u32,
    pub most: u32,
}

impl Bounds {
    pub fn exactly(count: u32) -> Bounds {
        Bounds { least: count, most: count }
    }

    pub fn is_exact(self) -> bool {
        self.least == self.most
    }

    pub fn holds(self, count: u32) -> bool {
        (self.least..=self.most).contains(&count)
    }

    fn and(self, other: Bounds) -> Bounds {
        Bounds {
            least: self.least.saturating_add(other.least),
            most: self.most.saturating_add(other.most),
        }
    }
}

impl std::fmt::Display for Bounds {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if self.is_exact() {
            write!(f, "{}", self.least)
        } else {
            write!(f, "{} to {}", self.least, self.most)
        }
    }
}

#[derive(Debug, Clone)]
pub struct Table {
    pub span: Span,
    pub levels: Vec<Text>,
    pub rows: Vec<Row>,
}

#[derive(Debug, Clone)]
pub struct Row {
    pub label: Text,
    /// One for each level; an empty one takes no marks.
    pub cells: Vec<Cell>,
}

#[derive(Debug, Clone, Copy)]
pub struct Cell {
    pub span: Span,
    pub bounds: Bounds,
}

/// What a column beside the levels holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Margin {
    Marks,
    Share,
    Minutes,
}

impl Table {
    /// The bounds of the sum of all cells.
    pub fn total(&self) -> Bounds {
        let cells = self.rows.iter().flat_map(|row| &row.cells);
        cells.fold(Bounds::default(), |sum, cell| sum.and(cell.bounds))
    }

    pub fn row_total(&self, row: usize) -> Bounds {
        let cells = self.rows.get(row).map_or(&[][..], |row| &row.cells);
        cells.iter().fold(Bounds::default(), |sum, cell| sum.and(cell.bounds))
    }

    pub fn level_total(&self, level: usize) -> Bounds {
        let cells = self.rows.iter().filter_map(|row| row.cells.get(level));
        cells.fold(Bounds::default(), |sum, cell| sum.and(cell.bounds))
    }
}

/// The table and the prose beside it. `offset` is where `body` begins in the file.
pub(super) fn table(
    desk: &mut Desk,
    body: &str,
    offset: usize,
    head: Span,
) -> (Option<Table>, String) {
    let mut found = drawn(body, offset).into_iter();
    let Some(first) = found.next() else {
        let finding = desk
            .finding(Code::PaperTable, head, "This paper has no table of specifications.")
            .found("no Markdown table below the front matter")
            .expected("a table: its rows objectives, its columns levels, its cells marks")
            .next("write it below the front matter")
            .written("| objective | remember | apply |");
        desk.say(finding);
        return (None, body.trim().to_owned());
    };
    if let Some(second) = found.next() {
        let finding = desk
            .finding(Code::PaperTable, second.span, "This paper has a second table.")
            .found("two Markdown tables")
            .expected("one table, which is the table of specifications")
            .next("take this one out, or write its rows as a list");
        desk.say(finding);
    }
    let before = &body[..first.span.start - offset];
    let after = &body[first.span.end - offset..];
    let prose = format!("{}\n\n{}", before.trim(), after.trim()).trim().to_owned();
    (read(desk, &first), prose)
}

/// A Markdown table as it stands.
struct Drawn {
    span: Span,
    rows: Vec<Vec<Text>>,
}

fn drawn(body: &str, offset: usize) -> Vec<Drawn> {
    let place = |range: Range<usize>| Span::new(range.start + offset, range.end + offset);
    let mut tables: Vec<Drawn> = Vec::new();
    let mut cell: Option<Text> = None;
    for (event, range) in Parser::new_ext(body, markdown_options()).into_offset_iter() {
        match event {
            Event::Start(Tag::Table(_)) => {
                tables.push(Drawn { span: place(range), rows: Vec::new() });
            }
            Event::Start(Tag::TableHead | Tag::TableRow) => {
                if let Some(table) = tables.last_mut() {
                    table.rows.push(Vec::new());
                }
            }
            Event::Start(Tag::TableCell) => {
                cell = Some(Placed::new(String::new(), tight(body, range, offset)));
            }
            Event::Text(text) | Event::Code(text) => {
                if let Some(cell) = &mut cell {
                    cell.value.push_str(&text);
                }
            }
            Event::End(TagEnd::TableCell) => {
                let row = tables.last_mut().and_then(|table| table.rows.last_mut());
                if let (Some(row), Some(mut cell)) = (row, cell.take()) {
                    cell.value = cell.value.trim().to_owned();
                    row.push(cell);
                }
            }
            _ => {}
        }
    }
    tables
}

/// A cell's text without the blanks and the strokes beside it.
fn tight(body: &str, range: Range<usize>, offset: usize) -> Span {
    let text = &body[range.clone()];
    let inner = text.trim_matches(|c: char| c == '|' || c.is_whitespace());
    if inner.is_empty() {
        return Span::new(range.start + offset, range.end + offset);
    }
    let start = range.start + text.find(inner).unwrap_or(0);
    Span::new(start + offset, start + inner.len() + offset)
}

fn read(desk: &mut Desk, drawn: &Drawn) -> Option<Table> {
    let (heads, rows) = drawn.rows.split_first()?;
    let columns: Vec<Option<Margin>> = heads.iter().skip(1).map(margin).collect();
    let levels: Vec<Text> =
        heads.iter().skip(1).filter(|head| margin(head).is_none()).cloned().collect();
    if levels.is_empty() || rows.is_empty() {
        let finding = desk
            .finding(Code::PaperTable, drawn.span, "This table has no cells for marks.")
            .found(format!("{} columns and {} rows", heads.len(), rows.len()))
            .expected(
                "a first column of objectives, a column for each level, a row for each objective",
            )
            .next("add the columns and rows");
        desk.say(finding);
        return None;
    }
    let mut table = Table { span: drawn.span, levels, rows: Vec::new() };
    let mut margins = Vec::new();
    let mut sound = true;
    for row in rows {
        let Some((label, cells)) = row.split_first() else { continue };
        if label.value.is_empty() {
            let finding = desk
                .finding(Code::PaperRow, label.span, "This row does not say which objective it is.")
                .found("an empty first cell")
                .expected("an objective's id, or `total`")
                .next("write the objective into the first cell");
            desk.say(finding);
            sound = false;
            continue;
        }
        let is_total = same(label, "total") || same(label, "marks");
        let mut own = Vec::new();
        for (margin, cell) in columns.iter().zip(cells) {
            match (margin, is_total) {
                (None, false) => match bounds_of(&cell.value) {
                    Some(bounds) => own.push(Cell { span: cell.span, bounds }),
                    None => {
                        desk.say(bad_cell(desk, cell));
                        sound = false;
                        own.push(Cell { span: cell.span, bounds: Bounds::default() });
                    }
                },
                (margin, is_total) if !cell.value.is_empty() => {
                    let row = (!is_total).then_some(table.rows.len());
                    let level = margin.is_none().then_some(own.len());
                    margins.push((row, level, *margin, cell.clone()));
                    if margin.is_none() {
                        own.push(Cell { span: cell.span, bounds: Bounds::default() });
                    }
                }
                (None, true) => own.push(Cell { span: cell.span, bounds: Bounds::default() }),
                _ => {}
            }
        }
        if !is_total {
            if let Some(first) = table.rows.iter().find(|r| same(&r.label, &label.value)) {
                let finding = desk
                    .finding(
                        Code::PaperRow,
                        label.span,
                        format!("The row `{}` stands here a second time.", label.value),
                    )
                    .found("two rows of one name")
                    .expected("each objective once")
                    .next("put the marks of both into one row")
                    .related(
                        crate::diag::Place::new(desk.file, first.label.span),
                        "the first stands",
                    );
                desk.say(finding);
                sound = false;
            }
            table.rows.push(Row { label: label.clone(), cells: own });
        }
    }
    if !sound {
        return None;
    }
    for (row, level, margin, cell) in margins {
        check_margin(desk, &table, row, level, margin.unwrap_or(Margin::Marks), &cell);
    }
    Some(table)
}

fn margin(head: &Text) -> Option<Margin> {
    match head.value.to_lowercase().as_str() {
        "marks" | "total" => Some(Margin::Marks),
        "%" | "share" => Some(Margin::Share),
        "minutes" | "min" => Some(Margin::Minutes),
        _ => None,
    }
}

fn check_margin(
    desk: &mut Desk,
    table: &Table,
    row: Option<usize>,
    level: Option<usize>,
    margin: Margin,
    cell: &Text,
) {
    let sum = match (row, level) {
        (Some(row), _) => table.row_total(row),
        (None, Some(level)) => table.level_total(level),
        (None, None) => table.total(),
    };
    let whose = match (row, level) {
        (Some(_), _) => "this row",
        (None, Some(_)) => "this column",
        (None, None) => "the table",
    };
    let number = cell.value.trim_end_matches('%').trim();
    let Ok(given) = number.parse::<f64>() else {
        desk.say(bad_cell(desk, cell));
        return;
    };
    let (holds, expected) = match margin {
        Margin::Marks => {
            let holds = given.fract() == 0.0
                && given >= f64::from(sum.least)
                && given <= f64::from(sum.most);
            (holds, format!("{sum}"))
        }
        Margin::Share => {
            let whole = f64::from(table.total().most.max(1));
            let share = 100.0 * f64::from(sum.most) / whole;
            // A share may be rounded to a whole number.
            let holds = (given - share).abs() <= 0.51 || !sum.is_exact();
            (holds, format!("{share:.1} % of the marks"))
        }
        // How long a row takes is the author's estimate.
        Margin::Minutes => (given >= 0.0, "a number".to_owned()),
    };
    if holds {
        return;
    }
    let finding = desk
        .finding(Code::PaperMargin, cell.span, format!("The cells of {whose} come to {expected}."))
        .found(format!("`{}`", cell.value))
        .expected(expected)
        .next("mend this sum, or the cells");
    desk.say(finding);
}

fn bad_cell(desk: &Desk, cell: &Text) -> Diagnostic {
    desk.finding(Code::PaperCell, cell.span, "This cell does not say how many marks.")
        .found(format!("`{}`", cell.value))
        .expected("a whole number, bounds such as `3 to 5`, or nothing")
        .next("write the marks in digits")
}

/// What a cell says; nothing and a dash take no marks.
fn bounds_of(text: &str) -> Option<Bounds> {
    match text {
        "" | "-" | "–" | "—" => Some(Bounds::default()),
        text => bounds(text),
    }
}

/// "4", "3 to 5", "3-5".
pub(super) fn bounds(text: &str) -> Option<Bounds> {
    let number = |text: &str| text.trim().parse::<u32>().ok().filter(|n| *n < 10_000);
    if let Some(count) = number(text) {
        return Some(Bounds::exactly(count));
    }
    let (least, most) = text.split_once(" to ").or_else(|| text.split_once(['-', '\u{2013}']))?;
    let (least, most) = (number(least)?, number(most)?);
    (least <= most).then_some(Bounds { least, most })
}
