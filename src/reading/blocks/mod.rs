//! Blocks decoded, one file for each kind.
//!
//! Takes a fence with its words; gives the item it is, or nothing where too much
//! is missing for it to be used. Every mistake on the way is reported.

mod data;
mod figure;
mod front;
mod glossary;
mod kinds;
mod operations;
mod parts;
mod process;
mod question;
mod review;
mod settings;
mod space;
mod technique;

use super::desk::Desk;
use super::excerpt::Excerpt;
use super::markdown::Fence;
use super::parsed::Item;
use super::{pitfalls, words};

pub(super) use front::front;

/// The item that a fence holds.
pub(super) fn item(desk: &mut Desk, fence: &Fence) -> Option<Item> {
    let name = fence.words.name;
    let below = [words::QUESTION.name, words::EXAMPLE.name, words::DATA.name].contains(&name);
    let (keys, text) =
        if below { split_at_dashes(&fence.body) } else { (fence.body.clone(), None) };
    let tree = pitfalls::tree(desk, &keys);
    let item = match name {
        "technique" => technique::technique(desk, fence, &tree).map(Item::Technique),
        "process" => process::process(desk, fence, &tree).map(Item::Process),
        "question" => question::question(desk, fence, &tree, text).map(Item::Question),
        "example" => question::question(desk, fence, &tree, text).map(Item::Example),
        "data" => data::data(desk, fence, &tree, text).map(Item::Data),
        "figure" => figure::figure(desk, fence, &tree).map(Item::Figure),
        "review" => review::review(desk, fence, &tree).map(Item::Review),
        _ => Some(Item::Glossary(glossary::glossary(desk, fence, &tree))),
    };
    desk.damaged = false;
    item
}

/// The keys above a line `---` and the Markdown below it.
fn split_at_dashes(body: &Excerpt) -> (Excerpt, Option<Excerpt>) {
    let text = body.text();
    let mut at = 0;
    for line in text.split_inclusive('\n') {
        let end = at + line.len();
        if line.trim_end() == "---" {
            return (body.part(0..at), Some(body.part(end..text.len())));
        }
        at = end;
    }
    (body.clone(), None)
}
