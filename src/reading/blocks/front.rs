//! Front matter: what the unit is and what it is for.

use crate::diag::{Code, Span};
use crate::reading::desk::Desk;
use crate::reading::markdown::FrontMatter;
use crate::reading::parsed::Front;
use crate::reading::{pitfalls, words};

/// The front matter, if it says at least the unit's id and title.
pub(in crate::reading) fn front(desk: &mut Desk, matter: &FrontMatter) -> Option<Front> {
    let tree = pitfalls::tree(desk, &matter.body);
    let fields = desk.fields(&tree, &words::FRONT, matter.open)?;
    let id = desk.optional_text(&fields, "id");
    if let Some(id) = &id {
        desk.check_id(id);
    }
    let title = desk.optional_prose(&fields, "title");
    let place = desk.optional_prose(&fields, "place");
    let class = desk.optional_prose(&fields, "class");
    let minutes = desk.whole(&fields, "minutes");
    let language = desk.optional_text(&fields, "language");
    let objectives = desk.prose_pairs(&fields, "objectives");
    for (objective, _) in &objectives {
        desk.check_id(objective);
    }
    if objectives.is_empty()
        && let Some(entry) = fields.get("objectives")
        && desk.file.slice(entry.value.span) == "{}"
    {
        empty(desk, entry.value.span);
    }
    let allow = desk.prose_pairs(&fields, "allow");
    desk.damaged = false;
    Some(Front {
        span: tree.span,
        id: id?,
        title: title?,
        place,
        class,
        minutes,
        language,
        objectives,
        allow,
    })
}

fn empty(desk: &mut Desk, span: Span) {
    let finding = desk
        .finding(Code::EmptyValue, span, "A unit has at least one objective.")
        .found("none")
        .expected("an id and a sentence: `masses: Calculate the masses ...`")
        .next("write what the learner will be able to do");
    desk.say(finding);
}
