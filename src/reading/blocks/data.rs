//! A table of values: rows in YAML, or a Markdown table below the line `---`.

use std::ops::Range;

use pulldown_cmark::{Event, Parser, Tag, TagEnd};

use super::figure::for_questions;
use crate::diag::{Code, Span};
use crate::quantity::{Number, Unit};
use crate::reading::desk::{Desk, Fields};
use crate::reading::excerpt::Excerpt;
use crate::reading::markdown::{Fence, markdown_options};
use crate::reading::parsed::{Data, Text};
use crate::reading::yaml::{Node, NodeKind};

type Rows = Vec<(Text, Vec<(Number, Number)>)>;

pub(super) fn data(
    desk: &mut Desk,
    fence: &Fence,
    tree: &Node,
    text: Option<Excerpt>,
) -> Option<Data> {
    let fields = desk.fields(tree, fence.words, fence.head)?;
    let id = desk.id(&fields);
    let title = desk.optional_prose(&fields, "title");
    let source = desk.optional_prose(&fields, "source");
    let allow = desk.prose_pairs(&fields, "allow");
    let unit = fields.get("unit").and_then(|e| desk.unit_at(e));
    let mut columns = match fields.get("columns") {
        Some(entry) => match desk.scalar(&entry.value, entry.key.span) {
            Some(scalar) => heading(desk, &scalar.text),
            None => None,
        },
        None => None,
    };
    let asks_only = for_questions(desk, &fields, "place for a table");
    let quantity = desk.optional_prose(&fields, "quantity");
    let (mut rows, listed) = yaml_rows(desk, &fields);
    let table = text.filter(|t| !t.text().trim().is_empty());
    match (&table, fields.get("rows")) {
        (Some(table), None) => {
            let (corner, from_table) = table_rows(desk, table, fence.head);
            rows = from_table;
            if fields.get("columns").is_none() {
                columns = corner.and_then(|corner| heading(desk, &corner));
            }
        }
        (Some(table), Some(_)) => {
            let finding = desk
                .finding(
                    Code::UnknownKey,
                    table.span(0..table.text().len()),
                    "The rows of this table are written twice.",
                )
                .found("`rows` and a table below `---`")
                .expected("one of the two")
                .next("keep the one you meant");
            desk.say(finding);
        }
        (None, None) if !desk.damaged => {
            desk.missing_key(
                "data",
                "rows",
                "name: {column: value}, or a Markdown table below a line `---`",
                fence.head,
            );
        }
        _ => {}
    }
    Some(Data {
        span: fence.head.to(fields.span),
        id: id?,
        title,
        columns,
        unit,
        quantity,
        rows,
        listed,
        asks_only,
        source,
        allow,
    })
}

/// `temperature in degC`: a quantity and its unit.
fn heading(desk: &mut Desk, text: &Excerpt) -> Option<(String, Unit)> {
    let all = text.text();
    let Some((quantity, unit)) = all.rsplit_once(" in ") else {
        return Some((all.trim().to_owned(), Unit::none()));
    };
    match Unit::parse(unit) {
        Ok(unit) => Some((quantity.trim().to_owned(), unit)),
        Err(error) => {
            desk.bad_unit(text, all.len() - unit.len(), error);
            None
        }
    }
}

/// The rows, and whether they are a plain list of names with a value each. The value
/// of such a row stands under the number 1.
fn yaml_rows(desk: &mut Desk, fields: &Fields) -> (Rows, bool) {
    let Some(entry) = fields.get("rows") else { return (Vec::new(), false) };
    let Some(entries) = desk.entries(&entry.value, "list of rows", entry.key.span) else {
        return (Vec::new(), false);
    };
    let listed = !entries.is_empty()
        && entries.iter().all(|row| matches!(row.value.kind, NodeKind::Scalar(_)));
    let mut rows = Vec::new();
    for row in entries {
        if listed {
            let Some(scalar) = desk.scalar(&row.value, row.key.span) else { continue };
            if let Some(value) = number(desk, &scalar.text) {
                let name = Text::new(row.key.text.clone(), row.key.span);
                rows.push((name, vec![(Number::exact(1), value)]));
            }
            continue;
        }
        let Some(cells) = desk.entries(&row.value, "row", row.key.span) else { continue };
        let mut values = Vec::new();
        for cell in cells {
            let mut column = Excerpt::default();
            column.push(&cell.key.text, cell.key.span.start);
            let at = number(desk, &column);
            let Some(scalar) = desk.scalar(&cell.value, cell.key.span) else { continue };
            if let (Some(at), Some(value)) = (at, number(desk, &scalar.text)) {
                if values.iter().any(|(known, _): &(Number, Number)| known.value == at.value) {
                    let finding = desk
                        .finding(
                            Code::DuplicateKey,
                            cell.key.span,
                            format!("This row has a second value at {}.", cell.key.text),
                        )
                        .found(format!("`{}` again", cell.key.text))
                        .expected("one value for a column")
                        .next("take one of the two out");
                    desk.say(finding);
                }
                values.push((at, value));
            }
        }
        rows.push((Text::new(row.key.text.clone(), row.key.span), values));
    }
    (rows, listed)
}

pub(super) fn number(desk: &mut Desk, text: &Excerpt) -> Option<Number> {
    match Number::parse(text.text()) {
        Ok(number) => Some(number),
        Err(error) => {
            desk.bad_number(text, 0, error);
            None
        }
    }
}

/// The rows of the first table of a Markdown text, and its first heading.
fn table_rows(desk: &mut Desk, text: &Excerpt, head: Span) -> (Option<Excerpt>, Rows) {
    let table = cells(text.text());
    let Some((header, body)) = table.split_first() else {
        let span = if text.text().is_empty() { head } else { text.whole() };
        let finding = desk
            .finding(Code::BadValue, span, "There is no table below the line `---` of this block.")
            .found("text that is no Markdown table")
            .expected(
                "lines such as `| temperature in degC | 0 | 20 |`, a line of dashes, then the rows",
            )
            .next("write the table with strokes between the cells");
        desk.say(finding);
        return (None, Vec::new());
    };
    let columns: Vec<Option<Number>> =
        header.iter().skip(1).map(|cell| number(desk, &text.part(cell.clone()))).collect();
    let mut rows = Vec::new();
    for row in body {
        let Some(name) = row.first() else { continue };
        let mut values = Vec::new();
        for (column, cell) in columns.iter().zip(row.iter().skip(1)) {
            // An empty cell is a value that was not measured.
            if cell.is_empty() {
                continue;
            }
            if let (Some(value), Some(at)) = (number(desk, &text.part(cell.clone())), column) {
                values.push((at.clone(), value));
            }
        }
        rows.push((
            Text::new(text.text()[name.clone()].to_owned(), text.span(name.clone())),
            values,
        ));
    }
    (header.first().map(|cell| text.part(cell.clone())), rows)
}

/// The cells of a table, row by row, as ranges without the spaces around them.
fn cells(text: &str) -> Vec<Vec<Range<usize>>> {
    let mut rows: Vec<Vec<Range<usize>>> = Vec::new();
    for (event, range) in Parser::new_ext(text, markdown_options()).into_offset_iter() {
        match event {
            Event::Start(Tag::TableHead | Tag::TableRow) => rows.push(Vec::new()),
            Event::Start(Tag::TableCell) => {
                let cell =
                    text[range.clone()].trim_matches(|c: char| c == '|' || c.is_whitespace());
                let start = range.start + text[range.clone()].find(cell).unwrap_or(0);
                if let Some(row) = rows.last_mut() {
                    row.push(start..start + cell.len());
                }
            }
            Event::End(TagEnd::Table) => break,
            _ => {}
        }
    }
    rows
}
