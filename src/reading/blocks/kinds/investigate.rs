//! A plan of an investigation, by what its scheme needs.

use crate::reading::desk::Desk;
use crate::reading::kinds::{Investigate, Kind};
use crate::reading::words::INVESTIGATE;
use crate::reading::yaml::Entry;

use super::super::parts::lines;

pub(super) fn investigate(desk: &mut Desk, entry: &Entry) -> Option<Kind> {
    let fields = desk.fields(&entry.value, &INVESTIGATE, entry.key.span)?;
    let change = desk.optional_prose(&fields, "change");
    let measure = desk.optional_prose(&fields, "measure");
    let technique = desk.optional_text(&fields, "technique");
    let [keep, apparatus, method, safety, evaluation] =
        ["keep", "apparatus", "method", "safety", "evaluation"]
            .map(|key| lines(desk, &fields, key));
    Some(Kind::Investigate(Investigate {
        change: change?,
        measure: measure?,
        keep,
        technique,
        apparatus,
        method,
        safety,
        evaluation,
    }))
}
