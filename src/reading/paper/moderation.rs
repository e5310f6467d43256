//! The moderation file of a paper: which versions and questions a second person checked,
//! by marks of their content, with names and dates.
//!
//! Takes a file; gives every line with its place, or findings. Compares nothing.

use std::sync::Arc;

use crate::diag::{Code, Diagnostic, Diagnostics, SourceFile, Span};
use crate::reading::desk::{Desk, Fields};
use crate::reading::excerpt::Excerpt;
use crate::reading::parsed::Text;
use crate::reading::yaml::{Node, NodeKind};
use crate::reading::{pitfalls, words};

/// Digits of a mark of content.
const HASH_DIGITS: usize = 12;

#[derive(Debug, Clone)]
pub struct Moderated {
    pub file: Arc<SourceFile>,
    pub paper: Text,
    pub seed: Text,
    pub front_page: Text,
    pub versions: Vec<SignedVersion>,
    /// In the order in which they were asked.
    pub questions: Vec<SignedQuestion>,
}

#[derive(Debug, Clone)]
pub struct SignedVersion {
    pub letters: Text,
    pub hash: String,
    pub signature: Option<Signature>,
}

#[derive(Debug, Clone)]
pub struct SignedQuestion {
    /// "quarnholm-salt/two-pans".
    pub id: Text,
    pub hash: String,
    /// The number of its section, from 1.
    pub section: Option<u32>,
    pub signature: Option<Signature>,
}

/// Who checked it and when, in their own words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Signature {
    pub by: String,
    pub on: String,
}

/// Reads a moderation file; none where it cannot be used.
pub fn moderated(file: &Arc<SourceFile>, out: &mut Diagnostics) -> Option<Moderated> {
    let mut desk = Desk::new(file, out);
    let says = |key: &str| file.text().lines().any(|line| line.starts_with(key));
    if !(says("paper:") && says("versions:") && says("questions:")) {
        let first = file.text().lines().next().unwrap_or_default().len();
        let finding = desk
            .finding(Code::ModerationFile, Span::new(0, first), "This is no moderation file.")
            .found("no `paper`, `versions` and `questions`")
            .expected("the file that `stillroom print --moderation` writes beside a paper")
            .next("name that file, which ends in `.moderation.yaml`");
        desk.say(finding);
        return None;
    }
    let before = desk.out.len();
    let tree = pitfalls::tree(&mut desk, &Excerpt::of(file, 0..file.text().len()));
    let fields = desk.fields(&tree, &words::MODERATION, Span::default())?;
    let paper = desk.optional_text(&fields, "paper");
    let seed = desk.optional_text(&fields, "seed");
    let front_page = hash(&mut desk, &fields, "front_page");
    let versions = entries(&mut desk, &fields, "versions", version);
    let questions = entries(&mut desk, &fields, "questions", question);
    twice(&mut desk, &questions);
    let whole = desk.out.len() == before;
    let found = Moderated {
        file: Arc::clone(file),
        paper: paper?,
        seed: seed?,
        front_page: front_page?,
        versions,
        questions,
    };
    whole.then_some(found)
}

fn entries<T>(
    desk: &mut Desk<'_>,
    fields: &Fields<'_>,
    key: &str,
    read: fn(&mut Desk<'_>, &Node) -> Option<T>,
) -> Vec<T> {
    let Some(entry) = fields.get(key) else { return Vec::new() };
    let items = desk.items(entry);
    items.iter().filter_map(|item| read(desk, item)).collect()
}

fn version(desk: &mut Desk<'_>, item: &Node) -> Option<SignedVersion> {
    let fields = desk.fields(item, &words::SIGNED_VERSION, item.span)?;
    let letters = desk.optional_text(&fields, "version");
    let hash = hash(desk, &fields, "hash");
    let signature = signature(desk, &fields);
    Some(SignedVersion { letters: letters?, hash: hash?.value, signature })
}

fn question(desk: &mut Desk<'_>, item: &Node) -> Option<SignedQuestion> {
    let fields = desk.fields(item, &words::SIGNED_QUESTION, item.span)?;
    let id = desk.optional_text(&fields, "id");
    let hash = hash(desk, &fields, "hash");
    let section = desk.whole(&fields, "section").map(|section| section.value);
    let signature = signature(desk, &fields);
    Some(SignedQuestion { id: id?, hash: hash?.value, section, signature })
}

fn hash(desk: &mut Desk<'_>, fields: &Fields<'_>, key: &str) -> Option<Text> {
    let text = desk.optional_text(fields, key)?;
    let is_hash = |c: char| c.is_ascii_digit() || ('a'..='f').contains(&c);
    if text.value.len() == HASH_DIGITS && text.value.chars().all(is_hash) {
        return Some(text);
    }
    let finding = damaged(desk, text.span, "This mark of content is damaged.")
        .found(format!("`{}`", text.value))
        .expected("twelve digits and letters a to f, as they were written");
    desk.say(finding);
    None
}

/// None where no name or no date has been filled in.
fn signature(desk: &mut Desk<'_>, fields: &Fields<'_>) -> Option<Signature> {
    let mut filled = |key: &str| {
        let entry = fields.get(key)?;
        // These are left empty until somebody signs.
        let is_empty = match &entry.value.kind {
            NodeKind::Empty => true,
            NodeKind::Scalar(scalar) => scalar.text.text().trim().is_empty(),
            _ => false,
        };
        let text = if is_empty { None } else { desk.text(entry) };
        text.map(|text| text.value.trim().to_owned())
    };
    let (by, on) = (filled("checked_by"), filled("on"));
    Some(Signature { by: by?, on: on? })
}

fn damaged(desk: &Desk<'_>, span: Span, message: &str) -> Diagnostic {
    desk.finding(Code::ModerationFile, span, message)
        .next("take the file back as it was, or write it anew with `stillroom print --moderation`")
}

fn twice(desk: &mut Desk<'_>, questions: &[SignedQuestion]) {
    for (number, question) in questions.iter().enumerate() {
        if questions[..number].iter().any(|other| other.id.value == question.id.value) {
            let finding =
                damaged(desk, question.id.span, "This question stands here a second time.")
                    .found(format!("`{}` on two lines", question.id.value))
                    .expected("each question once");
            desk.say(finding);
        }
    }
}
