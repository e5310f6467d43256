//! The words for the gaps of a text.

use crate::diag::Code;
use crate::reading::desk::Desk;
use crate::reading::kinds::{Fill, Kind};
use crate::reading::words::FILL;
use crate::reading::yaml::{Entry, NodeKind};

pub(super) fn fill(desk: &mut Desk, entry: &Entry) -> Option<Kind> {
    if !matches!(entry.value.kind, NodeKind::Map(_)) {
        let words = desk.prose_items(entry);
        return Some(Kind::Fill(Fill { words, spare: Vec::new(), bank: true }));
    }
    let fields = desk.fields(&entry.value, &FILL, entry.key.span)?;
    let words = desk.prose_list(&fields, "words");
    let spare = desk.prose_list(&fields, "spare");
    let bank = match desk.optional_text(&fields, "bank") {
        Some(text) if text.value == "none" => false,
        Some(text) => {
            let finding = desk
                .finding(Code::BadValue, text.span, "A bank of words is there unless it is `none`.")
                .found(format!("`{}`", text.value))
                .expected("`bank: none`, or no such line")
                .next("take the line out; further words are `spare`");
            desk.say(finding);
            true
        }
        None => true,
    };
    Some(Kind::Fill(Fill { words, spare, bank }))
}
