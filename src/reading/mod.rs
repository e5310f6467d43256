//! From the bytes of a file to a checked unit.
//!
//! `file` decodes, `markdown` finds front matter, prose and fenced blocks,
//! `yaml` gives a tree with places, `blocks/` decode it to `parsed`, and `model`
//! looks names up and asks the engine. Never stops at the first mistake.

mod algebra;
mod blocks;
pub mod cautions;
pub mod department;
mod desk;
mod excerpt;
mod facts;
pub mod file;
pub mod find;
pub mod kinds;
mod line;
mod markdown;
pub mod model;
pub mod paper;
pub mod parsed;
mod pitfalls;
mod prose;
pub mod schema;
mod silent;
pub mod sort;
mod values;
pub mod words;
mod yaml;

use std::sync::Arc;

use crate::diag::{Code, Diagnostic, Diagnostics, Place, SourceFile, Span};
use desk::Desk;
use markdown::Run;
use parsed::{Item, ParsedUnit, Prose};

/// Reads a unit file: every block that can be used, and every mistake in `out`.
///
/// Gives `None` only where the front matter lacks the unit's id or title.
pub fn parse(file: &Arc<SourceFile>, out: &mut Diagnostics) -> Option<ParsedUnit> {
    let layout = markdown::lay_out(file, out);
    let mut desk = Desk::new(file, out);
    let front = match &layout.front {
        Some(matter) => blocks::front(&mut desk, matter),
        None => {
            let start = file.text().len() - file.text().trim_start_matches('\u{feff}').len();
            desk.say(no_front_matter(file, start));
            None
        }
    };
    let mut items = Vec::new();
    for run in &layout.runs {
        match run {
            Run::Prose(excerpt) => {
                let markdown = prose::written(&mut desk, excerpt);
                items.push(Item::Prose(Prose { markdown }));
            }
            Run::Block(fence) => items.extend(blocks::item(&mut desk, fence)),
        }
    }
    Some(ParsedUnit { file: Arc::clone(file), front: front?, items })
}

fn no_front_matter(file: &Arc<SourceFile>, start: usize) -> Diagnostic {
    Diagnostic::new(
        Code::FrontMatterMissing,
        Place::new(file, Span::new(start, start)),
        "This unit has no front matter.",
    )
    .found("a first line that is not `---`")
    .expected("`---` as the first line, then `id`, `title` and `objectives`, then `---`")
    .next("write the front matter at the very top of the file")
    .written("---")
}
