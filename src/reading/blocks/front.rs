//! Front matter: what the unit is and what it is for.

use hypher::Lang;

use crate::diag::{Code, Span};
use crate::reading::desk::{Desk, Fields};
use crate::reading::markdown::FrontMatter;
use crate::reading::parsed::{Front, Text};
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
    let hyphenation = hyphenation(desk, &fields, language.as_ref());
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
        hyphenation,
        objectives,
        allow,
    })
}

/// `hyphenation: yes`, in a language whose words we can part.
fn hyphenation(desk: &mut Desk, fields: &Fields, language: Option<&Text>) -> bool {
    let Some(text) = desk.optional_text(fields, "hyphenation") else { return false };
    let said = match text.value.as_str() {
        "yes" => true,
        "no" => return false,
        _ => false,
    };
    let code = language.map_or("en", |language| language.value.as_str());
    let primary = code.split('-').next().unwrap_or(code).to_ascii_lowercase();
    let known = <[u8; 2]>::try_from(primary.as_bytes()).ok().and_then(Lang::from_iso).is_some();
    if said && known {
        return true;
    }
    let finding = if said {
        desk.finding(
            Code::BadHyphenation,
            text.span,
            format!("Words in `{code}` cannot be parted."),
        )
        .found(format!("`language: {code}`"))
        .expected("a language whose rules come with Stillroom, such as en, de or fr")
        .next("take `hyphenation` out")
    } else {
        desk.finding(Code::BadHyphenation, text.span, "`hyphenation` is said by one word.")
            .found(format!("`{}`", text.value))
            .expected("yes or no")
            .next("write `hyphenation: yes`, or take the line out")
    };
    desk.say(finding);
    false
}

fn empty(desk: &mut Desk, span: Span) {
    let finding = desk
        .finding(Code::EmptyValue, span, "A unit has at least one objective.")
        .found("none")
        .expected("an id and a sentence: `masses: Calculate the masses ...`")
        .next("write what the learner will be able to do");
    desk.say(finding);
}
