//! The operations of a process, matched to the catalogue.
//!
//! Takes `name: {is: KIND, port: stream, setting: phrase}`; gives operations whose
//! kind and ports are the catalogue's own. Whether streams join up is not asked here.

use crate::balance::operations::{CATALOGUE, Kind, Port, Takes, named};
use crate::diag::{Code, Place, Span, Surety, nearest};
use crate::reading::desk::Desk;
use crate::reading::parsed::{Operation, Placed, Text};
use crate::reading::yaml::{Entry, NodeKind};

pub(super) fn operations(desk: &mut Desk, entry: &Entry) -> Vec<Operation> {
    let Some(entries) = desk.entries(&entry.value, "list of operations", entry.key.span) else {
        return Vec::new();
    };
    entries.iter().filter_map(|entry| operation(desk, entry)).collect()
}

fn operation(desk: &mut Desk, entry: &Entry) -> Option<Operation> {
    let name = Text::new(entry.key.text.clone(), entry.key.span);
    desk.check_name(&name, "an operation");
    let entries = desk.entries(&entry.value, "operation", entry.key.span)?;
    let Some(is) = entries.iter().find(|e| e.key.text == "is") else {
        if !desk.damaged {
            desk.missing_key("operation", "is", "its kind, such as evaporation", entry.key.span);
        }
        return None;
    };
    let word = desk.text(is)?;
    let Some(kind) = named(&word.value) else {
        unknown_kind(desk, &word);
        return None;
    };
    let mut ports: Vec<(Placed<&'static Port>, Vec<Text>)> = Vec::new();
    let mut settings = Vec::new();
    // Keys that a misspelt one most likely stands for: not missing as well.
    let mut meant = Vec::new();
    for entry in entries.iter().filter(|e| e.key.text != "is") {
        let key = entry.key.text.as_str();
        if let Some((port, _)) = kind.port(key) {
            if let Some((first, _)) = ports.iter().find(|(p, _)| p.value == port) {
                let finding = desk
                    .finding(
                        Code::DuplicateKey,
                        entry.key.span,
                        format!(
                            "`{key}` is another word for `{}`, which stands here already.",
                            port.key
                        ),
                    )
                    .found(format!("`{key}`"))
                    .expected("each inlet or outlet once")
                    .next("keep one of the two")
                    .related(Place::new(desk.file, first.span), "the first stands");
                desk.say(finding);
                continue;
            }
            let streams = streams(desk, entry, port);
            ports.push((Placed::new(port, entry.key.span), streams));
        } else if let Some(setting) = kind.settings.iter().find(|setting| setting.key == key) {
            let values = super::settings::values(desk, entry, setting);
            let placed = |value| (Placed::new(setting, entry.key.span), value);
            settings.extend(values.into_iter().map(placed));
        } else {
            let known = all_keys(kind);
            meant.extend(desk.unknown_key(entry, known.iter().copied(), kind.name));
        }
    }
    missing_ports(desk, kind, &ports, &meant, entry.key.span);
    let span = entry.key.span.to(entry.value.span);
    Some(Operation { span, name, kind: Placed::new(kind, word.span), ports, settings })
}

/// The keys of a kind as `stillroom words` lists them.
fn all_keys(kind: &'static Kind) -> Vec<&'static str> {
    std::iter::once("is")
        .chain(kind.inlets.iter().chain(kind.outlets).map(|p| p.key))
        .chain(kind.settings.iter().map(|setting| setting.key))
        .collect()
}

fn unknown_kind(desk: &mut Desk, word: &Text) {
    let names = || CATALOGUE.iter().map(|kind| kind.name);
    let near = nearest(
        &word.value,
        CATALOGUE.iter().flat_map(|k| std::iter::once(k.name).chain(k.also.iter().copied())),
    );
    let mut finding = desk
        .finding(
            Code::UnknownOperation,
            word.span,
            format!("There is no operation called `{}`.", word.value),
        )
        .found(format!("`{}`", word.value))
        .expected(names().collect::<Vec<_>>().join(", "));
    finding = finding.misspelt(
        word.span,
        near,
        Surety::Sure,
        "use one of these; `separation` has balances only and fits anything",
    );
    desk.say(finding);
}

/// One stream, or a list where the port takes several.
fn streams(desk: &mut Desk, entry: &Entry, port: &'static Port) -> Vec<Text> {
    let nodes = match &entry.value.kind {
        NodeKind::List(items) if port.takes == Takes::Many => items.as_slice(),
        NodeKind::List(items) => {
            let first = items.first().map_or("stream", |i| desk.file.slice(i.span));
            let finding = desk
                .finding(
                    Code::MapForText,
                    entry.value.span,
                    format!("One stream only goes with `{}`.", entry.key.text),
                )
                .found(format!("a list of {}", items.len()))
                .expected(format!("one name, such as `{first}`"))
                .next("split or mix the streams in an operation of their own");
            desk.say(finding);
            return Vec::new();
        }
        _ => std::slice::from_ref(&entry.value),
    };
    let mut streams = Vec::new();
    for node in nodes {
        let Some(scalar) = desk.scalar(node, entry.key.span) else { continue };
        let name = Text::new(scalar.text.text().to_owned(), node.span);
        desk.check_name(&name, "a stream");
        streams.push(name);
    }
    streams
}

fn missing_ports(
    desk: &mut Desk,
    kind: &'static Kind,
    ports: &[(Placed<&'static Port>, Vec<Text>)],
    meant: &[&str],
    head: Span,
) {
    if desk.damaged {
        return;
    }
    let has = |key: &str| meant.contains(&key) || ports.iter().any(|(p, _)| p.value.key == key);
    for port in kind.inlets.iter().filter(|p| p.required && !has(p.key)) {
        desk.missing_key(kind.name, port.key, "the stream that enters there", head);
    }
    let mut lacking: Vec<String> = kind
        .outlets
        .iter()
        .filter(|p| p.required && !has(p.key))
        .map(|p| format!("`{}`", p.key))
        .collect();
    let in_set = |set: &&[&str]| set.iter().all(|key| has(key));
    if !kind.outlet_sets.is_empty() && !kind.outlet_sets.iter().any(in_set) {
        let sets: Vec<String> =
            kind.outlet_sets.iter().map(|set| format!("`{}`", set.join("` and `"))).collect();
        lacking.push(sets.join(", or "));
    }
    if lacking.is_empty() {
        return;
    }
    let lacking = lacking.join(" and ");
    let finding = desk
        .finding(
            Code::OutletMissing,
            head,
            format!("What leaves this {} is not all named.", kind.name),
        )
        .found(format!("no {lacking}"))
        .expected(lacking.clone())
        .next("name the stream, even if no question asks for it");
    desk.say(finding);
}
