//! A glossary: terms with their meanings.

use crate::reading::desk::Desk;
use crate::reading::markdown::Fence;
use crate::reading::parsed::{Term, Text};
use crate::reading::words;
use crate::reading::yaml::{Entry, Node, NodeKind};

pub(super) fn glossary(desk: &mut Desk, fence: &Fence, tree: &Node) -> Vec<Term> {
    let Some(entries) = desk.entries(tree, fence.words.name, fence.head) else {
        return Vec::new();
    };
    entries.iter().filter_map(|entry| term(desk, entry)).collect()
}

/// `residue: the solid left` or `residue: {meaning: ..., not: filtrate}`.
fn term(desk: &mut Desk, entry: &Entry) -> Option<Term> {
    let term = Text::new(entry.key.text.clone(), entry.key.span);
    if !matches!(entry.value.kind, NodeKind::Map(_)) {
        let meaning = desk.prose_text(entry)?;
        return Some(Term { term, meaning, example: None, not: None });
    }
    let fields = desk.fields(&entry.value, &words::TERM, entry.key.span)?;
    let meaning = desk.optional_prose(&fields, "meaning");
    let example = desk.optional_prose(&fields, "example");
    let not = desk.optional_prose(&fields, "not");
    Some(Term { term, meaning: meaning?, example, not })
}
