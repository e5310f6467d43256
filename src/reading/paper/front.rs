//! A paper's front matter and its sections.

use crate::diag::{Code, Span};
use crate::reading::desk::{Desk, Fields};
use crate::reading::markdown::FrontMatter;
use crate::reading::parsed::{Placed, Text};
use crate::reading::yaml::{Entry, Node, NodeKind};
use crate::reading::{pitfalls, words};

use super::table::{Bounds, bounds};

#[derive(Debug, Clone)]
pub struct PaperFront {
    pub span: Span,
    pub title: Text,
    pub id: Option<Text>,
    pub from: Vec<Text>,
    pub minutes: Placed<u32>,
    pub subject: Option<Text>,
    pub class: Option<Text>,
    pub date: Option<Text>,
    pub language: Option<Text>,
    pub seed: u64,
    pub versions: u32,
    pub marks: Option<Placed<u32>>,
    /// A row's name and the objectives that it takes together.
    pub strands: Vec<(Text, Vec<Text>)>,
    pub must: Vec<Text>,
    pub must_not: Vec<Text>,
    pub one_of: Vec<Vec<Text>>,
    pub sections: Vec<Section>,
    pub ledger: Option<Text>,
    pub need: Vec<Text>,
    pub information: Vec<Text>,
}

#[derive(Debug, Clone)]
pub struct Section {
    pub span: Span,
    pub title: Text,
    pub objectives: Vec<Text>,
    pub levels: Vec<Text>,
    pub marks: Option<Placed<Bounds>>,
    pub questions: Option<Placed<Bounds>>,
    /// The marks of each of its questions.
    pub each: Option<Placed<Bounds>>,
}

/// What a paper has that says no other number.
const SEED: u64 = 1;
const VERSIONS: u32 = 4;
const MOST_VERSIONS: u32 = 500;

pub(super) fn front(desk: &mut Desk, matter: &FrontMatter) -> Option<PaperFront> {
    let tree = pitfalls::tree(desk, &matter.body);
    let fields = desk.fields(&tree, &words::PAPER, matter.open)?;
    let title = desk.optional_prose(&fields, "paper");
    let id = desk.optional_text(&fields, "id");
    if let Some(id) = &id {
        desk.check_id(id);
    }
    let from = fields.get("from").map(|entry| texts(desk, entry)).unwrap_or_default();
    let minutes = desk.whole(&fields, "minutes");
    let subject = desk.optional_prose(&fields, "subject");
    let class = desk.optional_prose(&fields, "class");
    let date = desk.optional_prose(&fields, "date");
    let language = desk.optional_text(&fields, "language");
    let seed = desk.count(&fields, "seed").map_or(SEED, |seed| u64::from(seed.value));
    let versions = versions(desk, &fields);
    let marks = desk.whole(&fields, "marks");
    let strands = lists_by_name(desk, &fields, "strands");
    let list =
        |desk: &mut Desk, key| fields.get(key).map(|entry| texts(desk, entry)).unwrap_or_default();
    let must = list(desk, "must");
    let must_not = list(desk, "must_not");
    let one_of = one_of(desk, &fields);
    let sections = sections(desk, &fields);
    let ledger = desk.optional_text(&fields, "ledger");
    let need = desk.prose_list(&fields, "need");
    let information = desk.prose_list(&fields, "information");
    desk.damaged = false;
    Some(PaperFront {
        span: tree.span,
        title: title?,
        id,
        from,
        minutes: minutes?,
        subject,
        class,
        date,
        language,
        seed,
        versions,
        marks,
        strands,
        must,
        must_not,
        one_of,
        sections,
        ledger,
        need,
        information,
    })
}

fn versions(desk: &mut Desk, fields: &Fields) -> u32 {
    let Some(versions) = desk.whole(fields, "versions") else { return VERSIONS };
    if versions.value <= MOST_VERSIONS {
        return versions.value;
    }
    let finding = desk
        .finding(Code::BadNumber, versions.span, "A paper has no use for so many versions.")
        .found(format!("`{}`", versions.value))
        .expected(format!("a number from 1 to {MOST_VERSIONS}"))
        .next("write a smaller number");
    desk.say(finding);
    VERSIONS
}

/// The texts of a list, or the one text that stands there.
pub(in crate::reading) fn texts(desk: &mut Desk, entry: &Entry) -> Vec<Text> {
    match &entry.value.kind {
        NodeKind::Scalar(_) => desk.text(entry).into_iter().collect(),
        _ => {
            let items = desk.items(entry);
            items.iter().filter_map(|item| text(desk, item, entry.key.span)).collect()
        }
    }
}

fn text(desk: &mut Desk, node: &Node, head: Span) -> Option<Text> {
    let scalar = desk.scalar(node, head)?;
    Some(Placed::new(scalar.text.text().trim().to_owned(), node.span))
}

fn lists_by_name(desk: &mut Desk, fields: &Fields, key: &str) -> Vec<(Text, Vec<Text>)> {
    let Some(entry) = fields.get(key) else { return Vec::new() };
    let Some(entries) = desk.entries(&entry.value, key, entry.key.span) else {
        return Vec::new();
    };
    entries
        .iter()
        .map(|entry| (Placed::new(entry.key.text.clone(), entry.key.span), texts(desk, entry)))
        .collect()
}

/// Lists of lists; a single list of texts is one group.
fn one_of(desk: &mut Desk, fields: &Fields) -> Vec<Vec<Text>> {
    let Some(entry) = fields.get("one_of") else { return Vec::new() };
    let items = desk.items(entry);
    if items.iter().all(|item| matches!(item.kind, NodeKind::Scalar(_))) {
        let group = texts(desk, entry);
        return if group.is_empty() { Vec::new() } else { vec![group] };
    }
    items
        .iter()
        .map(|item| match &item.kind {
            NodeKind::List(inner) => {
                inner.iter().filter_map(|one| text(desk, one, item.span)).collect()
            }
            _ => text(desk, item, entry.key.span).into_iter().collect(),
        })
        .collect()
}

fn sections(desk: &mut Desk, fields: &Fields) -> Vec<Section> {
    let Some(entry) = fields.get("sections") else { return Vec::new() };
    let items = desk.items(entry);
    let mut sections = Vec::new();
    for item in items {
        let Some(fields) = desk.fields(item, &words::SECTION, item.span) else { continue };
        let list = |desk: &mut Desk, key| {
            fields.get(key).map(|entry| texts(desk, entry)).unwrap_or_default()
        };
        let title = desk.optional_prose(&fields, "title");
        let objectives = list(desk, "objectives");
        let levels = list(desk, "levels");
        let marks = range(desk, &fields, "marks");
        let questions = range(desk, &fields, "questions");
        let each = range(desk, &fields, "each");
        let Some(title) = title else { continue };
        let span = item.span;
        sections.push(Section { span, title, objectives, levels, marks, questions, each });
    }
    sections
}

fn range(desk: &mut Desk, fields: &Fields, key: &str) -> Option<Placed<Bounds>> {
    let entry = fields.get(key)?;
    let text = desk.text(entry)?;
    match bounds(&text.value) {
        Some(bounds) => Some(Placed::new(bounds, text.span)),
        None => {
            let finding = desk
                .finding(Code::BadNumber, text.span, format!("`{key}` takes a number or two."))
                .found(format!("`{}`", text.value))
                .expected("a whole number such as 20, or bounds such as `18 to 22`")
                .next("write digits, with `to` between the least and the most");
            desk.say(finding);
            None
        }
    }
}
