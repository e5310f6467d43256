//! The parts of a question: their keys, and the text that belongs to each.
//!
//! `parts: {a: {find: ...}}` or the keys of one part in the question itself; in
//! the text a paragraph that opens with `(a)` belongs to part a. A part may have
//! `parts` itself, labelled i, ii, iii: they stand in the list one after another, and
//! each takes the paragraph within (a) that opens with its label. Without them `(i)`
//! stays in the text of its part.

use std::ops::Range;

use crate::diag::{Code, Place, Span, Surety};
use crate::quantity::Formula;
use crate::reading::desk::{Desk, Fields};
use crate::reading::excerpt::Excerpt;
use crate::reading::parsed::{Part, Placed, Text, Written};
use crate::reading::prose::written;
use crate::reading::words::{self, KINDS};
use crate::reading::yaml::{Entry, NodeKind};

use super::kinds::{Asks, asks};

pub(super) struct Labelled {
    pub(super) parts: Vec<Part>,
    /// Something is asked, even if it could not be read or is not yet printed.
    pub(super) asked: bool,
}

pub(super) fn parts(desk: &mut Desk, fields: &Fields) -> Labelled {
    let asked = fields.has_any(KINDS);
    let Some(entry) = fields.get("parts") else {
        let parts = asked.then(|| part(desk, fields, None, None)).flatten();
        return Labelled { parts: parts.into_iter().collect(), asked };
    };
    // A route may be said of the whole question too.
    let outside = |name| !matches!(name, "route" | "avoid" | "parts");
    for key in words::PART.keys.iter().filter(|key| outside(key.name)) {
        if let Some(outside) = fields.get(key.name) {
            let finding = desk
                .finding(
                    Code::UnknownKey,
                    outside.key.span,
                    format!("`{}` stands beside `parts`, so no part has it.", key.name),
                )
                .found(format!("`{}` outside the parts", key.name))
                .expected("the keys of a part inside that part")
                .next("move the line into the part it belongs to");
            desk.say(finding);
        }
    }
    let Some(entries) = desk.entries(&entry.value, "list of parts", entry.key.span) else {
        return Labelled { parts: Vec::new(), asked: true };
    };
    let mut parts = Vec::new();
    for entry in entries {
        let label = Text::new(entry.key.text.clone(), entry.key.span);
        let labelled = check_label(desk, &label);
        if let NodeKind::Scalar(_) = entry.value.kind {
            find_left_out(desk, entry);
            continue;
        }
        let Some(fields) = desk.fields(&entry.value, &words::PART, entry.key.span) else {
            continue;
        };
        let made = match fields.get("parts") {
            Some(within) => sub_parts(desk, within, &label),
            None => {
                asks_something(desk, &fields);
                part(desk, &fields, Some(label), None).into_iter().collect()
            }
        };
        if labelled {
            parts.extend(made);
        }
    }
    Labelled { parts, asked: true }
}

/// The parts (i), (ii) of a part.
fn sub_parts(desk: &mut Desk, within: &Entry, label: &Text) -> Vec<Part> {
    let Some(entries) = desk.entries(&within.value, "list of parts", within.key.span) else {
        return Vec::new();
    };
    let mut parts = Vec::new();
    for (entry, numeral) in entries.iter().zip(NUMERALS) {
        let sub = Text::new(entry.key.text.clone(), entry.key.span);
        if sub.value != *numeral {
            let finding = desk
                .finding(
                    Code::BadId,
                    sub.span,
                    format!("This part of ({}) cannot be labelled `{}`.", label.value, sub.value),
                )
                .found(format!("`{}`", sub.value))
                .expected(format!("`{numeral}`: parts within a part are i, ii, iii in their order"))
                .next("label them i, ii, iii")
                .mended(sub.span, numeral, Surety::Likely);
            desk.say(finding);
            continue;
        }
        if let NodeKind::Scalar(_) = entry.value.kind {
            find_left_out(desk, entry);
            continue;
        }
        let Some(fields) = desk.fields(&entry.value, &words::PART, entry.key.span) else {
            continue;
        };
        if let Some(deeper) = fields.get("parts") {
            let finding = desk
                .finding(Code::UnknownKey, deeper.key.span, "Parts go no deeper than (i), (ii).")
                .found("`parts` within a part of a part")
                .expected("the keys of a part")
                .next("make it two parts, or ask it in one");
            desk.say(finding);
            continue;
        }
        asks_something(desk, &fields);
        parts.extend(part(desk, &fields, Some(label.clone()), Some(sub)));
    }
    parts
}

/// Labels within a part, in order.
const NUMERALS: &[&str] = &["i", "ii", "iii", "iv", "v", "vi", "vii", "viii", "ix", "x"];

/// Reports a part that has no key of a kind.
fn asks_something(desk: &mut Desk, fields: &Fields) {
    if !fields.has_any(KINDS) && !desk.damaged {
        let takes = "a quantity or any algebra, or a list of them; or a key of another kind";
        desk.missing_key("part", "find", takes, fields.head);
    }
}

fn check_label(desk: &mut Desk, label: &Text) -> bool {
    let mut letters = label.value.chars();
    let one = letters.next().is_some_and(|c| c.is_ascii_lowercase()) && letters.next().is_none();
    if !one {
        let finding = desk
            .finding(
                Code::BadId,
                label.span,
                format!("A part cannot be labelled `{}`.", label.value),
            )
            .found(format!("`{}`", label.value))
            .expected("one small letter: a, b, c")
            .next("label the parts a, b, c in their order");
        desk.say(finding);
    }
    one
}

/// `a: slurry.total` for `a: {find: slurry.total}`.
fn find_left_out(desk: &mut Desk, entry: &Entry) {
    let value = desk.file.slice(entry.value.span);
    let made = format!("{{find: {value}}}");
    let finding = desk
        .finding(Code::TextForMap, entry.value.span, "A part says what it asks for with `find`.")
        .found(entry.value.says())
        .expected("`{find: ...}`")
        .next("write `find` before it")
        .mended(entry.value.span, &made, Surety::Sure);
    desk.say(finding);
}

fn part(desk: &mut Desk, fields: &Fields, label: Option<Text>, sub: Option<Text>) -> Option<Part> {
    let asked = fields.has_any(KINDS);
    let Asks { kind, find } = match asks(desk, fields) {
        Some(asks) => asks,
        // What it asks could not be read: its text still has its place.
        None if asked => return None,
        None => Asks::default(),
    };
    let unit = fields.get("unit").and_then(|e| desk.unit_at(e));
    let tolerance = fields.get("tolerance").and_then(|e| desk.typed_at(e));
    let labelled = label.is_some();
    Some(Part {
        span: fields.head.to(fields.span),
        label,
        sub,
        lead: Written::default(),
        kind,
        find,
        name: desk.optional_prose(fields, "name"),
        unit,
        sig_figs: desk.whole(fields, "sig_figs"),
        usual_figures: None,
        places: desk.count(fields, "places"),
        tolerance,
        marks: desk.whole(fields, "marks"),
        lines: desk.whole(fields, "lines"),
        space: super::space::space(desk, fields),
        remark: desk.optional_prose(fields, "remark"),
        // Said of the question where the part has no label.
        route: if labelled { lines(desk, fields, "route") } else { Vec::new() },
        avoid: if labelled { lines(desk, fields, "avoid") } else { Vec::new() },
        mistakes: mistakes(desk, fields),
        no_catalogue: no_mistakes(fields),
        without: lines(desk, fields, "without"),
        remarks: remarks(desk, fields),
        text: Written::default(),
    })
}

/// A text, or a list of texts.
pub(super) fn lines(desk: &mut Desk, fields: &Fields, key: &str) -> Vec<Text> {
    match fields.get(key) {
        Some(entry) if matches!(entry.value.kind, NodeKind::List(_)) => {
            desk.prose_list(fields, key)
        }
        Some(entry) => desk.prose_text(entry).into_iter().collect(),
        None => Vec::new(),
    }
}

/// Remarks on steps, each under the quantity that its step finds.
fn remarks(desk: &mut Desk, fields: &Fields) -> Vec<(Placed<Formula>, Text)> {
    let Some(entry) = fields.get("remarks") else { return Vec::new() };
    let Some(entries) = desk.entries(&entry.value, "list of remarks", entry.key.span) else {
        return Vec::new();
    };
    let mut remarks = Vec::new();
    for entry in entries {
        let text = desk.prose_text(entry);
        let key = entry.key.span;
        let quantity = Formula::parse(&entry.key.text, |offset| key.start + offset)
            .ok()
            .filter(|formula| formula.as_name().is_some());
        match quantity {
            Some(quantity) => remarks.extend(text.map(|text| (Placed::new(quantity, key), text))),
            None => {
                let finding = desk
                    .finding(
                        Code::BadFormula,
                        key,
                        "A remark stands under the quantity that its step finds.",
                    )
                    .found(format!("`{}`", entry.key.text))
                    .expected("one quantity, such as `slurry.total`")
                    .next("name the quantity; a remark on the whole part is its `remark`");
                desk.say(finding);
            }
        }
    }
    remarks
}

/// `mistakes: none`.
fn no_mistakes(fields: &Fields) -> bool {
    let entry = fields.get("mistakes");
    entry.is_some_and(
        |e| matches!(&e.value.kind, NodeKind::Scalar(text) if text.text.text() == "none"),
    )
}

fn mistakes(desk: &mut Desk, fields: &Fields) -> Vec<(Text, Placed<Formula>)> {
    let Some(entry) = fields.get("mistakes").filter(|_| !no_mistakes(fields)) else {
        return Vec::new();
    };
    let Some(entries) = desk.entries(&entry.value, "list of mistakes", entry.key.span) else {
        return Vec::new();
    };
    let mut mistakes = Vec::new();
    for entry in entries {
        if let Some(formula) = desk.formula_at(&entry.value, entry.key.span) {
            mistakes.push((Text::new(entry.key.text.clone(), entry.key.span), formula));
        }
    }
    mistakes
}

/// Gives each part its text; what stands before the first part is the stem.
pub(super) fn place_texts(
    desk: &mut Desk,
    text: &Excerpt,
    fields: &Fields,
    parts: &mut [Part],
) -> Written {
    let mut labels: Vec<String> =
        parts.iter().filter_map(|p| p.label.as_ref().map(|l| l.value.clone())).collect();
    labels.dedup();
    // Parts whose keys could not be read still claim their text.
    let claimed: Vec<&str> = match fields.get("parts").map(|e| &e.value.kind) {
        Some(NodeKind::Map(map)) => map.entries.iter().map(|e| e.key.text.as_str()).collect(),
        _ => Vec::new(),
    };
    let whole = text.text();
    let mut openings = openings(whole);
    // Roman numerals are sub-parts unless a part is labelled so.
    openings
        .retain(|o| claimed.contains(&o.letter.as_str()) || !NUMERALS.contains(&o.letter.as_str()));
    let first = openings.first().map_or(whole.len(), |o| o.line);
    let stem = written(desk, &text.part(trimmed(whole, 0..first)));
    for (n, opening) in openings.iter().enumerate() {
        let end = openings.get(n + 1).map_or(whole.len(), |o| o.line);
        let body = trimmed(whole, opening.text..end);
        let label_span = text.span(opening.mark.clone());
        let letter = opening.letter.as_str();
        if let Some(earlier) = openings[..n].iter().find(|o| o.letter == letter) {
            let finding = desk
                .finding(
                    Code::PartWithoutKey,
                    label_span,
                    format!("The text of part ({letter}) stands here a second time."),
                )
                .found(format!("`({letter})` twice"))
                .expected("one text for each part")
                .next("give this part its own letter, or join the two")
                .related(
                    Place::new(desk.file, text.span(earlier.mark.clone())),
                    "the first stands",
                );
            desk.say(finding);
            continue;
        }
        if !labels.iter().any(|l| l == letter) {
            written(desk, &text.part(body));
            if !claimed.contains(&letter) && !desk.damaged {
                part_without_key(desk, letter, label_span, &labels);
            }
            continue;
        }
        let is_of = |p: &Part| p.label.as_ref().is_some_and(|l| l.value == letter);
        if parts.iter().any(|p| is_of(p) && p.sub.is_some()) {
            let own: Vec<&mut Part> = parts.iter_mut().filter(|p| is_of(p)).collect();
            place_within(desk, text, body, own, label_span);
            continue;
        }
        let empty = body.is_empty();
        let words = written(desk, &text.part(body));
        if empty {
            text_missing(desk, letter, label_span);
        }
        if let Some(part) = parts.iter_mut().find(|p| is_of(p)) {
            part.text = words;
        }
    }
    for label in parts.iter().filter(|p| p.sub.as_ref().is_none_or(|s| s.value == "i")) {
        let Some(label) = &label.label else { continue };
        if !openings.iter().any(|o| o.letter == label.value) {
            text_missing(desk, &label.value, label.span);
        }
    }
    stem
}

/// Gives the parts (i), (ii) of a part their texts, and the first what leads to them.
fn place_within(
    desk: &mut Desk,
    text: &Excerpt,
    body: Range<usize>,
    mut own: Vec<&mut Part>,
    head: Span,
) {
    let whole = &text.text()[body.clone()];
    let mut openings = openings(whole);
    openings.retain(|o| NUMERALS.contains(&o.letter.as_str()));
    let from = body.start;
    let first = openings.first().map_or(whole.len(), |o| o.line);
    let lead = written(desk, &text.part(shifted(trimmed(whole, 0..first), from)));
    for (n, opening) in openings.iter().enumerate() {
        let end = openings.get(n + 1).map_or(whole.len(), |o| o.line);
        let words = shifted(trimmed(whole, opening.text..end), from);
        let span = text.span(shifted(opening.mark.clone(), from));
        let is_it = |p: &&mut &mut Part| p.sub.as_ref().is_some_and(|s| s.value == opening.letter);
        let empty = words.is_empty();
        let words = written(desk, &text.part(words));
        match own.iter_mut().find(is_it) {
            Some(_) if empty => text_missing(desk, &opening.letter, span),
            Some(part) => part.text = words,
            None if desk.damaged => {}
            None => {
                let labels: Vec<String> =
                    own.iter().filter_map(|p| p.sub.as_ref().map(|s| s.value.clone())).collect();
                part_without_key(desk, &opening.letter, span, &labels);
            }
        }
    }
    for part in &own {
        let Some(sub) = &part.sub else { continue };
        if !openings.iter().any(|o| o.letter == sub.value) {
            let span = if sub.span == Span::default() { head } else { sub.span };
            text_missing(desk, &sub.value, span);
        }
    }
    if let Some(part) = own.first_mut() {
        part.lead = lead;
    }
}

fn shifted(range: Range<usize>, by: usize) -> Range<usize> {
    range.start + by..range.end + by
}

fn part_without_key(desk: &mut Desk, letter: &str, span: Span, labels: &[String]) {
    let (found, next) = if labels.is_empty() {
        (
            "no `parts` in this question".to_owned(),
            format!(
                "write `parts: {{{letter}: {{find: ...}}}}`, or take `({letter})` out of the text"
            ),
        )
    } else {
        (
            format!("parts {}", labels.join(", ")),
            format!("add `{letter}: {{find: ...}}` to `parts`"),
        )
    };
    let finding = desk
        .finding(
            Code::PartWithoutKey,
            span,
            format!("Part ({letter}) has a text, but no key says what it asks for."),
        )
        .found(found)
        .expected(format!("`{letter}` among the parts"))
        .next(next);
    desk.say(finding);
}

fn text_missing(desk: &mut Desk, letter: &str, span: Span) {
    let finding = desk
        .finding(
            Code::PartTextMissing,
            span,
            format!("Part ({letter}) asks for something, but has no text."),
        )
        .found(format!("no paragraph that opens with `({letter})` and goes on"))
        .expected(format!("`({letter}) Calculate ...` below the line `---`"))
        .next("write the words of this part");
    desk.say(finding);
}

struct Opening {
    letter: String,
    /// Where its line begins.
    line: usize,
    /// `(a)` or `(ii)` itself.
    mark: Range<usize>,
    /// Where its words begin.
    text: usize,
}

/// Paragraphs that open with a letter in brackets.
fn openings(text: &str) -> Vec<Opening> {
    let mut openings = Vec::new();
    let mut at = 0;
    let mut blank_before = true;
    let mut fence: Option<(char, usize)> = None;
    for line in text.split_inclusive('\n') {
        let content = line.trim_end();
        if let Some(open) = crate::reading::markdown::opening_fence(content) {
            fence = match fence {
                Some((mark, count)) if mark == open.mark && open.count >= count => None,
                None => Some((open.mark, open.count)),
                other => other,
            };
        }
        let lead = content.len() - content.trim_start_matches(' ').len();
        let mark = &content[lead..];
        let letter =
            mark.strip_prefix('(').and_then(|rest| rest.split_once(')')).filter(|(letter, _)| {
                letter.len() == 1 && letter.starts_with(|c: char| c.is_ascii_lowercase())
                    || NUMERALS.contains(letter)
            });
        if let Some((letter, rest)) = letter
            && fence.is_none()
            && lead <= 3
            && blank_before
            && (rest.is_empty() || rest.starts_with(char::is_whitespace))
        {
            let start = at + lead;
            openings.push(Opening {
                letter: letter.to_owned(),
                line: at,
                mark: start..start + letter.len() + 2,
                text: start + letter.len() + 2,
            });
        }
        blank_before = content.trim().is_empty();
        at += line.len();
    }
    openings
}

/// A range without blank lines and spaces around it.
fn trimmed(text: &str, range: Range<usize>) -> Range<usize> {
    let part = &text[range.clone()];
    if part.trim().is_empty() {
        return range.start..range.start;
    }
    let lines_in = part.len() - part.trim_start().len();
    range.start + lines_in..range.start + part.trim_end().len()
}
