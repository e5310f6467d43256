//! The value of a table that departs from a rule.

use crate::diag::Code;
use crate::reading::desk::Desk;
use crate::reading::kinds::{Anomaly, Kind, Rule};
use crate::reading::parsed::Placed;
use crate::reading::words::ANOMALY;
use crate::reading::yaml::Entry;

use super::points::points_at;

pub(super) fn anomaly(desk: &mut Desk, entry: &Entry) -> Option<Kind> {
    let fields = desk.fields(&entry.value, &ANOMALY, entry.key.span)?;
    let data = desk.optional_text(&fields, "data");
    let row = desk.optional_prose(&fields, "row");
    let mut rule = None;
    if let Some(text) = desk.optional_text(&fields, "rule") {
        match Rule::NAMED.iter().find(|(name, _)| *name == text.value) {
            Some((_, named)) => rule = Some(Placed::new(*named, text.span)),
            None => {
                let finding = desk
                    .finding(Code::BadValue, text.span, "There is no such rule.")
                    .found(format!("`{}`", text.value))
                    .expected("line, trend or sum")
                    .next("choose one of these");
                desk.say(finding);
                return None;
            }
        }
    }
    let reasons = points_at(desk, &fields, "reason");
    Some(Kind::Anomaly(Anomaly { data: data?, row, rule, reasons }))
}
