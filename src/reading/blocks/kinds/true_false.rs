//! A statement to judge, with the reasons that earn marks.

use crate::diag::Code;
use crate::reading::desk::Desk;
use crate::reading::kinds::{Kind, TrueFalse};
use crate::reading::parsed::Placed;
use crate::reading::words::TRUE_FALSE;
use crate::reading::yaml::Entry;

use super::points::points_at;

pub(super) fn true_false(desk: &mut Desk, entry: &Entry) -> Option<Kind> {
    let fields = desk.fields(&entry.value, &TRUE_FALSE, entry.key.span)?;
    let answer = desk.optional_text(&fields, "answer");
    let reasons = points_at(desk, &fields, "reason");
    let answer = answer?;
    let value = match answer.value.as_str() {
        "true" => true,
        "false" => false,
        other => {
            let finding = desk
                .finding(Code::BadValue, answer.span, "A statement is true or false.")
                .found(format!("`{other}`"))
                .expected("`true` or `false`")
                .next("write one of the two words");
            desk.say(finding);
            return None;
        }
    };
    Some(Kind::TrueFalse(TrueFalse { answer: Placed::new(value, answer.span), reasons }))
}
