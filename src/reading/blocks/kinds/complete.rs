//! Cells of a table that are left open.

use crate::diag::Code;
use crate::quantity::Number;
use crate::reading::desk::Desk;
use crate::reading::kinds::{Blank, Complete, Kind};
use crate::reading::parsed::Placed;
use crate::reading::words::{BLANK, COMPLETE};
use crate::reading::yaml::{Entry, Node};

pub(super) fn complete(desk: &mut Desk, entry: &Entry) -> Option<Kind> {
    let fields = desk.fields(&entry.value, &COMPLETE, entry.key.span)?;
    let data = desk.optional_text(&fields, "data");
    let mut blank = Vec::new();
    if let Some(entry) = fields.get("blank") {
        for item in desk.items(entry) {
            blank.extend(cell(desk, item, entry));
        }
    }
    Some(Kind::Complete(Complete { data: data?, blank }))
}

fn cell(desk: &mut Desk, item: &Node, entry: &Entry) -> Option<Blank> {
    let fields = desk.fields(item, &BLANK, entry.key.span)?;
    let row = desk.optional_prose(&fields, "row");
    let column = desk.optional_text(&fields, "column");
    let answer = fields.get("answer").and_then(|e| desk.formula_at(&e.value, e.key.span));
    let (row, column) = (row?, column?);
    let Ok(number) = Number::parse(&column.value) else {
        let finding = desk
            .finding(Code::BadNumber, column.span, "A column is named by the number at its head.")
            .found(format!("`{}`", column.value))
            .expected("a number such as 40")
            .next("write the number without its unit");
        desk.say(finding);
        return None;
    };
    Some(Blank { span: item.span, row, column: Placed::new(number, column.span), answer })
}
