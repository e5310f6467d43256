//! Names to be written on a figure.

use crate::reading::desk::Desk;
use crate::reading::kinds::{Kind, Label};
use crate::reading::words::LABEL;
use crate::reading::yaml::Entry;

pub(super) fn label(desk: &mut Desk, entry: &Entry) -> Option<Kind> {
    let fields = desk.fields(&entry.value, &LABEL, entry.key.span)?;
    let names = desk.prose_list(&fields, "names");
    Some(Kind::Label(Label { figure: desk.optional_text(&fields, "figure")?, names }))
}
