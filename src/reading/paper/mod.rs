//! From the text of a paper file to a parsed paper: front matter, the table of
//! specifications, and the prose that is the front page's instructions.
//!
//! Takes a file; gives every value with its place, or findings. Looks no name up:
//! which units and questions there are is the business of `crate::paper`.

mod chosen;
mod front;
mod moderation;
mod table;

pub use chosen::{Chosen, Pick, chosen};
pub(super) use front::texts;
pub use front::{PaperFront, Section};
pub use moderation::{Moderated, Signature, SignedQuestion, SignedVersion, moderated};
pub use table::{Bounds, Cell, Margin, Row, Table};

use std::path::Path;
use std::sync::Arc;

use super::desk::Desk;
use super::markdown;
use super::parsed::Text;
use crate::diag::{Code, Diagnostics, SourceFile, Span};

/// One paper file.
#[derive(Debug, Clone)]
pub struct ParsedPaper {
    pub file: Arc<SourceFile>,
    /// With hyphens; names the folder that it is printed to.
    pub id: String,
    pub front: PaperFront,
    pub table: Table,
    /// Markdown: the prose beside the table.
    pub instructions: String,
}

impl ParsedPaper {
    /// A text of the front matter, for messages about the paper as a whole.
    pub fn head(&self) -> Span {
        self.front.title.span
    }
}

/// Reads a paper; none where its front matter or its table cannot be used.
pub fn parse(file: &Arc<SourceFile>, out: &mut Diagnostics) -> Option<ParsedPaper> {
    let mut desk = Desk::new(file, out);
    let matter = markdown::front_matter(file)?;
    if !matter.closed {
        let finding = desk
            .finding(
                Code::FrontMatterUnclosed,
                matter.open,
                "The front matter that opens here is never closed.",
            )
            .found("no second line of three dashes")
            .expected("a line `---` after the last key of the front matter")
            .next("add a line that holds only `---`")
            .written("---");
        desk.say(finding);
        return None;
    }
    let front = front::front(&mut desk, &matter);
    let body = &file.text()[matter.after..];
    let (table, instructions) = table::table(&mut desk, body, matter.after, matter.open);
    let (front, table) = (front?, table?);
    let id = front.id.as_ref().map_or_else(|| id_of(file.name()), |id| id.value.clone());
    Some(ParsedPaper { file: Arc::clone(file), id, front, table, instructions })
}

/// "term-one" of "units/term-one.paper.md".
fn id_of(name: &str) -> String {
    let stem = Path::new(name).file_name().and_then(|name| name.to_str()).unwrap_or(name);
    let stem = stem.split('.').next().unwrap_or(stem).to_lowercase();
    let words = stem.split(|c: char| !c.is_ascii_alphanumeric()).filter(|word| !word.is_empty());
    let id = words.collect::<Vec<_>>().join("-");
    if id.is_empty() { "paper".to_owned() } else { id }
}

/// A name of the file in the words of a table, without marks of emphasis.
fn same(text: &Text, word: &str) -> bool {
    text.value.eq_ignore_ascii_case(word)
}
