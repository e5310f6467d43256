//! The kinds of questions decoded, one file for each that takes more than a list.
//!
//! Takes the keys of a part; gives what it asks. A part has one kind.

mod anomaly;
mod choose;
mod complete;
mod fill;
mod investigate;
mod label;
mod matching;
mod order;
mod points;
mod read;
mod true_false;

use crate::diag::{Code, Place};
use crate::quantity::Formula;
use crate::reading::desk::{Desk, Fields};
use crate::reading::kinds::Kind;
use crate::reading::parsed::Placed;
use crate::reading::words::KINDS;
use crate::reading::yaml::{Entry, NodeKind};

pub(super) use points::points_of;

/// What a part asks: its kind and the quantities that its plan works out.
#[derive(Default)]
pub(super) struct Asks {
    pub(super) kind: Kind,
    pub(super) find: Vec<Placed<Formula>>,
}

/// None where nothing is asked, or nothing that can be read.
pub(super) fn asks(desk: &mut Desk, fields: &Fields) -> Option<Asks> {
    let mut entries = KINDS.iter().filter_map(|key| fields.get(key));
    let entry = entries.next()?;
    for other in entries {
        let finding = desk
            .finding(
                Code::TwoKinds,
                other.key.span,
                format!("This part asks by `{}` and by `{}`.", entry.key.text, other.key.text),
            )
            .found("two kinds of question in one part")
            .expected("one kind for each part")
            .next("give each a part of its own, such as (a) and (b), or (i) and (ii)")
            .related(Place::new(desk.file, entry.key.span), "the first stands");
        desk.say(finding);
    }
    let kind = match entry.key.text.as_str() {
        "find" => {
            return Some(Asks { kind: Kind::Find, find: find(desk, entry) });
        }
        "choose" => return choose::choose(desk, entry),
        "true_false" => true_false::true_false(desk, entry)?,
        "match" => matching::matching(desk, entry)?,
        "order" => order::order(desk, entry)?,
        "explain" => Kind::Explain(points_of(desk, entry)),
        "fill" => fill::fill(desk, entry)?,
        "label" => label::label(desk, entry)?,
        "read" => read::read(desk, entry)?,
        "complete" => complete::complete(desk, entry)?,
        "anomaly" => anomaly::anomaly(desk, entry)?,
        _ => investigate::investigate(desk, entry)?,
    };
    Some(Asks { kind, find: Vec::new() })
}

fn find(desk: &mut Desk, entry: &Entry) -> Vec<Placed<Formula>> {
    match &entry.value.kind {
        NodeKind::List(items) => {
            if items.is_empty() {
                desk.empty(entry.key.span);
            }
            items.iter().filter_map(|item| desk.formula_at(item, entry.key.span)).collect()
        }
        _ => desk.formula_at(&entry.value, entry.key.span).into_iter().collect(),
    }
}
