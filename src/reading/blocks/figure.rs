//! A figure: what it is drawn of and how, what is given of the streams, its caption.

use crate::diag::{Code, Surety, nearest};
use crate::quantity::Number;
use crate::reading::desk::{Desk, Fields};
use crate::reading::facts::given;
use crate::reading::markdown::Fence;
use crate::reading::parsed::{Draw, Figure, Placed, Text};
use crate::reading::words::SKETCHES;
use crate::reading::yaml::{Node, NodeKind};

pub(super) fn figure(desk: &mut Desk, fence: &Fence, tree: &Node) -> Option<Figure> {
    let fields = desk.fields(tree, fence.words, fence.head)?;
    let id = desk.id(&fields);
    let of = desk.optional_text(&fields, "of");
    let sketch = sketch(desk, &fields, false);
    if of.is_none() && !fields.has_any(&["of", "sketch"]) {
        desk.missing_key(
            "figure block",
            "of",
            "the id of a process, technique or data block",
            fence.head,
        );
    }
    let draw = word(desk, &fields, "draw", "way to draw a table", Draw::NAMED);
    let labels =
        word(desk, &fields, "labels", "kind of labels", &[("names", false), ("letters", true)]);
    let asks_only = for_questions(desk, &fields, "place for a figure");
    let rows = desk.prose_list(&fields, "rows");
    let columns = columns(desk, &fields);
    let notes = notes(desk, &fields);
    let given = given(desk, &fields);
    let caption = desk.optional_prose(&fields, "caption");
    let allow = desk.prose_pairs(&fields, "allow");
    if of.is_none() && sketch.is_none() {
        return None;
    }
    Some(Figure {
        span: fence.head.to(fields.span),
        id: id?,
        of,
        sketch,
        draw,
        rows,
        columns,
        letters: labels.is_some_and(|labels| labels.value),
        notes,
        asks_only,
        given,
        caption,
        allow,
    })
}

/// Whether only questions show it, and the handout leaves it out.
pub(super) fn for_questions(desk: &mut Desk, fields: &Fields, what: &str) -> bool {
    let known = &[("lesson", false), ("questions", true)];
    word(desk, fields, "for", what, known).is_some_and(|place| place.value)
}

/// The name of a sketch; `none` where a technique is not to have one.
pub(super) fn sketch(desk: &mut Desk, fields: &Fields, none: bool) -> Option<Text> {
    let sketch = desk.optional_text(fields, "sketch")?;
    let known = SKETCHES.iter().copied().chain(none.then_some("none"));
    if known.clone().any(|name| name == sketch.value) {
        return Some(sketch);
    }
    let finding = desk
        .finding(
            Code::UnknownSketch,
            sketch.span,
            format!("There is no sketch of `{}`.", sketch.value),
        )
        .found(format!("`{}`", sketch.value))
        .expected(known.clone().collect::<Vec<_>>().join(", "));
    let finding = finding.misspelt(
        sketch.span,
        nearest(&sketch.value, known),
        Surety::Likely,
        "choose one of these",
    );
    desk.say(finding);
    None
}

/// One of some words, each with what it stands for.
fn word<T: Copy>(
    desk: &mut Desk,
    fields: &Fields,
    key: &str,
    what: &str,
    known: &[(&'static str, T)],
) -> Option<Placed<T>> {
    let text = desk.optional_text(fields, key)?;
    if let Some((_, value)) = known.iter().find(|(name, _)| *name == text.value) {
        return Some(Placed::new(*value, text.span));
    }
    let names = known.iter().map(|(name, _)| *name);
    let finding = desk
        .finding(
            Code::UnknownDrawing,
            text.span,
            format!("There is no {what} called `{}`.", text.value),
        )
        .found(format!("`{key}: {}`", text.value))
        .expected(names.clone().collect::<Vec<_>>().join(", "));
    let finding = finding.misspelt(
        text.span,
        nearest(&text.value, names),
        Surety::Likely,
        "choose one of these",
    );
    desk.say(finding);
    None
}

/// Numbers of the columns to draw.
fn columns(desk: &mut Desk, fields: &Fields) -> Vec<Placed<Number>> {
    let Some(entry) = fields.get("columns") else { return Vec::new() };
    let items = match &entry.value.kind {
        NodeKind::List(_) => desk.items(entry),
        _ => std::slice::from_ref(&entry.value),
    };
    let mut found = Vec::new();
    for item in items {
        let Some(scalar) = desk.scalar(item, entry.key.span) else { continue };
        found.extend(
            super::data::number(desk, &scalar.text).map(|number| Placed::new(number, item.span)),
        );
    }
    found
}

/// Words along a curve, each at a number of the columns.
fn notes(desk: &mut Desk, fields: &Fields) -> Vec<(Text, Placed<Number>)> {
    let Some(entry) = fields.get("notes") else { return Vec::new() };
    let Some(entries) = desk.entries(&entry.value, "list of notes", entry.key.span) else {
        return Vec::new();
    };
    let mut found = Vec::new();
    for note in entries {
        let Some(scalar) = desk.scalar(&note.value, note.key.span) else { continue };
        if let Some(number) = super::data::number(desk, &scalar.text) {
            let words = Text::new(note.key.text.clone(), note.key.span);
            found.push((words, Placed::new(number, note.value.span)));
        }
    }
    found
}
