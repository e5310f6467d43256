//! A value to be read from a curve or between the columns of a table.

use crate::reading::desk::Desk;
use crate::reading::kinds::{Kind, Read};
use crate::reading::words::READ;
use crate::reading::yaml::Entry;

pub(super) fn read(desk: &mut Desk, entry: &Entry) -> Option<Kind> {
    let fields = desk.fields(&entry.value, &READ, entry.key.span)?;
    let figure = desk.optional_text(&fields, "figure");
    let row = desk.optional_prose(&fields, "row");
    let at = fields.get("at").and_then(|e| desk.formula_at(&e.value, e.key.span));
    Some(Kind::Read(Read { figure: figure?, row: row?, at: at? }))
}
