//! The chosen list that stands beside a paper: which questions, in which order.

use std::sync::Arc;

use crate::diag::{Code, Diagnostics, SourceFile, Span};
use crate::reading::desk::Desk;
use crate::reading::excerpt::Excerpt;
use crate::reading::parsed::Text;
use crate::reading::{pitfalls, words};

#[derive(Debug, Clone)]
pub struct Chosen {
    pub file: Arc<SourceFile>,
    pub paper: Text,
    pub seed: u64,
    pub picks: Vec<Pick>,
}

#[derive(Debug, Clone)]
pub struct Pick {
    /// "quarnholm-salt/two-pans".
    pub id: Text,
    pub marks: u32,
    pub hash: Text,
    /// The section that it stands in, from 0.
    pub section: Option<usize>,
}

/// Reads a chosen list; none where it cannot be used.
pub fn chosen(file: &Arc<SourceFile>, out: &mut Diagnostics) -> Option<Chosen> {
    let mut desk = Desk::new(file, out);
    let tree = pitfalls::tree(&mut desk, &Excerpt::of(file, 0..file.text().len()));
    let fields = desk.fields(&tree, &words::CHOSEN, Span::default())?;
    let paper = desk.optional_text(&fields, "paper");
    let seed = desk.count(&fields, "seed");
    let mut picks = Vec::new();
    let mut complete = true;
    if let Some(entry) = fields.get("questions") {
        for item in desk.items(entry) {
            let Some(fields) = desk.fields(item, &words::PICK, item.span) else {
                complete = false;
                continue;
            };
            let id = desk.optional_text(&fields, "id");
            let marks = desk.count(&fields, "marks");
            let hash = desk.optional_text(&fields, "hash");
            let section = desk.whole(&fields, "section");
            match (id, marks, hash) {
                (Some(id), Some(marks), Some(hash)) => picks.push(Pick {
                    id,
                    marks: marks.value,
                    hash,
                    section: section.map(|number| number.value as usize - 1),
                }),
                _ => complete = false,
            }
        }
    }
    let mut seen: Vec<&str> = Vec::new();
    for pick in &picks {
        if seen.contains(&pick.id.value.as_str()) {
            let finding = desk
                .finding(
                    Code::PaperQuestion,
                    pick.id.span,
                    format!("The question `{}` is chosen twice.", pick.id.value),
                )
                .found("one question on two lines")
                .expected("each question once")
                .next("take one of the two out, or choose again with `stillroom set --again`");
            desk.say(finding);
            complete = false;
        }
        seen.push(&pick.id.value);
    }
    let (paper, seed) = (paper?, seed?);
    complete.then(|| Chosen { file: Arc::clone(file), paper, seed: u64::from(seed.value), picks })
}
