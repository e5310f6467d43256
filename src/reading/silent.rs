//! What YAML accepts but does not take as it was meant: a `#` that cuts a text
//! off, a comma that parts a sentence, a colon that makes a key of its beginning.
//!
//! Takes nodes of the tree; reports, and gives back what was meant where it can.

use super::desk::{Desk, quoted};
use super::excerpt::Excerpt;
use super::parsed::{Placed, Text};
use super::yaml::{Entry, Map, Node, NodeKind, Scalar, short};
use crate::diag::{Code, Span, Surety};

/// A `#` after a text: a remark if it stands well apart (two spaces before, one
/// after), else most likely part of the text. Says whether it was reported.
pub(super) fn hash_cut(desk: &mut Desk, node: &Node, head: Span) -> bool {
    let (from, empty) = match &node.kind {
        NodeKind::Scalar(scalar) if !scalar.quoted => (node.span.end, false),
        NodeKind::Empty => (head.end, true),
        _ => return false,
    };
    let text = desk.file.text();
    let line_end = text[from..].find('\n').map_or(text.len(), |n| from + n);
    let rest = text[from..line_end].trim_end();
    let blank = if empty { rest.trim_start_matches(':') } else { rest };
    let gap = blank.len() - blank.trim_start_matches(' ').len();
    let Some(after) = blank.trim_start_matches(' ').strip_prefix('#') else { return false };
    let apart = gap >= 2 && after.starts_with([' ', '#']);
    let remark = after.is_empty() || (if empty { after.starts_with(' ') } else { apart });
    if remark || gap == 0 {
        return false;
    }
    let hash = from + (rest.len() - blank.len()) + gap;
    let start = if empty { hash } else { node.span.start };
    let end = from + rest.len();
    let made = quoted(&text[start..end]);
    desk.say(
        desk.finding(
            Code::HashCut,
            Span::new(hash, end),
            "The text is cut off here, because ` #` begins a remark that is not read.",
        )
        .found(format!("`{}` left out", short(&text[hash..end])))
        .expected("the whole text in quotes")
        .next("put the text in quotes; before a remark leave two spaces")
        .mended(Span::new(start, end), &made, Surety::Sure),
    );
    true
}

/// `Caution: hot liquid` where a text is expected: a key with a value to YAML.
/// Gives the whole text.
pub(super) fn colon_in_text(desk: &mut Desk, node: &Node, map: &Map) -> Option<Text> {
    if map.braces || map.entries.len() != 1 {
        return None;
    }
    let entry = &map.entries[0];
    let value_is_text = matches!(entry.value.kind, NodeKind::Scalar(_) | NodeKind::Empty);
    let end = match entry.value.kind {
        NodeKind::Empty => entry.key.span.end + 1,
        _ => node.span.end,
    };
    let span = Span::new(entry.key.span.start, end);
    let text = desk.file.slice(span).to_owned();
    if !value_is_text || text.contains('\n') || text.is_empty() {
        return None;
    }
    let colon = entry.key.span.end;
    desk.say(
        desk.finding(
            Code::ColonInText,
            Span::new(colon, colon + 1),
            "This text has a colon and a space in it, so it must stand in quotes.",
        )
        .found(format!("`{}`", short(&text)))
        .expected("the whole text in quotes")
        .next("put the text in quotes")
        .mended(span, &quoted(&text), Surety::Sure),
    );
    Some(Placed::new(text, span))
}

/// Words that continue a sentence and begin no thing of a list.
const GO_ON: &[&str] =
    &["and", "or", "but", "then", "so", "if", "when", "while", "until", "which", "that", "because"];

/// A sentence in a list in brackets whose commas made several items of it.
pub(super) fn commas_in_list(desk: &mut Desk, list: &Node, items: &[Node]) {
    if !desk.file.slice(list.span).starts_with('[') {
        return;
    }
    let plain = |node: &Node| match &node.kind {
        NodeKind::Scalar(s) if !s.quoted => Some(s.text.text().to_owned()),
        _ => None,
    };
    let texts: Vec<Option<String>> = items.iter().map(plain).collect();
    let ends_sentence =
        |t: &Option<String>| t.as_ref().is_some_and(|t| t.ends_with(['.', '!', '?']));
    let mut from = 0;
    while from < items.len() {
        let mut to = from;
        while let Some(Some(next)) = texts.get(to + 1) {
            let Some(here) = &texts[to] else { break };
            let first = next.split_whitespace().next().unwrap_or("");
            let goes_on = GO_ON.contains(&first);
            let small = next.starts_with(char::is_lowercase);
            let large = texts[from].as_ref().is_some_and(|t| t.starts_with(char::is_uppercase));
            let closes = texts[to + 1..].iter().take_while(|t| t.is_some()).any(ends_sentence);
            let whole = here.ends_with(['.', '!', '?']);
            if whole || !(goes_on || (small && large && closes)) {
                break;
            }
            to += 1;
        }
        if to > from {
            let span = items[from].span.to(items[to].span);
            comma_split(desk, span, items[from].span.end);
        }
        from = to + 1;
    }
}

fn comma_split(desk: &mut Desk, span: Span, comma_after: usize) {
    let text = desk.file.slice(span).to_owned();
    let comma = desk.file.text()[comma_after..].find(',').map_or(comma_after, |n| comma_after + n);
    let mut finding = desk
        .finding(
            Code::CommaSplit,
            Span::new(comma, comma + 1),
            "The comma splits this text, because commas part the entries inside [ ] and { }.",
        )
        .found(format!("`{}`", short(&text)))
        .expected("one text in quotes")
        .next("put the text in quotes, or write the entries on lines of their own");
    if !text.contains('\n') {
        finding = finding.mended(span, &quoted(&text), Surety::Sure);
    }
    desk.say(finding);
}

/// Entries in braces that have no colon are what a comma cut off the value before
/// them: reported, and joined to it again.
pub(super) fn join_split_values(desk: &mut Desk, node: Node) -> Node {
    let Node { span, kind } = node;
    let kind = match kind {
        NodeKind::List(items) => {
            NodeKind::List(items.into_iter().map(|item| join_split_values(desk, item)).collect())
        }
        NodeKind::Map(map) => NodeKind::Map(join_map(desk, map)),
        other => other,
    };
    Node { span, kind }
}

fn join_map(desk: &mut Desk, map: Map) -> Map {
    let Map { entries, braces, repeats } = map;
    let mut joined: Vec<Entry> = Vec::new();
    let mut open: Option<Span> = None;
    for entry in entries {
        let bare = braces
            && matches!(entry.value.kind, NodeKind::Empty)
            && !desk.file.text()[entry.key.span.end..].trim_start().starts_with(':');
        let before = joined
            .last_mut()
            .filter(|e| bare && matches!(&e.value.kind, NodeKind::Scalar(s) if !s.quoted));
        match before {
            Some(before) => {
                let span = open.unwrap_or(before.value.span).to(entry.key.span);
                open = Some(span);
            }
            None => {
                finish(desk, &mut joined, open.take());
                let Entry { key, value } = entry;
                joined.push(Entry { key, value: join_split_values(desk, value) });
            }
        }
    }
    finish(desk, &mut joined, open);
    Map { entries: joined, braces, repeats }
}

/// Reports a value that commas had split and makes it whole.
fn finish(desk: &mut Desk, joined: &mut [Entry], open: Option<Span>) {
    let (Some(span), Some(last)) = (open, joined.last_mut()) else { return };
    let text = desk.file.slice(span).to_owned();
    let first_end = last.value.span.end;
    let decimal = decimal_comma(desk.file.text(), first_end);
    let mut whole = Excerpt::default();
    if let Some(comma) = decimal {
        let at = comma - span.start;
        whole.push(&text[..at], span.start);
        whole.push_made(".", comma);
        whole.push(&text[at + 1..], comma + 1);
        desk.say(
            desk.finding(
                Code::CommaSplit,
                Span::new(comma, comma + 1),
                "A comma inside { } begins a new entry, so a decimal comma splits the number.",
            )
            .found(format!("`{}`", short(&text)))
            .expected("a decimal point")
            .next("write the number with a point")
            .mended(span, whole.text(), Surety::Sure),
        );
    } else {
        whole.push(&text, span.start);
        comma_split(desk, span, first_end);
    }
    last.value = Node { span, kind: NodeKind::Scalar(Scalar { text: whole, quoted: false }) };
}

/// A dash that stands further in than the dashes of its list: YAML joins its line
/// to the text above.
pub(super) fn dash_in_text(desk: &mut Desk, node: &Node) {
    let NodeKind::Scalar(Scalar { quoted: false, .. }) = &node.kind else { return };
    let mut at = node.span.start;
    let text = desk.file.slice(node.span).to_owned();
    for (n, line) in text.split_inclusive('\n').enumerate() {
        let content = line.trim_start_matches([' ', '>']);
        let start = at + (line.len() - content.len());
        at += line.len();
        if n > 0 && content.starts_with("- ") {
            desk.say(
                desk.finding(
                    Code::YamlSyntax,
                    Span::new(start, start + 1),
                    "This dash stands further in than the dashes of its list.",
                )
                .found(format!("`{}` joined to the line above", short(content)))
                .expected("dashes that stand one below the other")
                .next("give the line the same spaces as the one above"),
            );
        }
    }
}

/// A comma with a digit straight before and straight after it.
fn decimal_comma(text: &str, at: usize) -> Option<usize> {
    let bytes = text.as_bytes();
    let digit = |i: usize| bytes.get(i).is_some_and(u8::is_ascii_digit);
    (bytes.get(at) == Some(&b',') && at > 0 && digit(at - 1) && digit(at + 1)).then_some(at)
}
