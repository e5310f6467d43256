//! Lines to be put in order: written out, or those that a block has.

use crate::diag::{Code, Span};
use crate::reading::desk::Desk;
use crate::reading::kinds::{Kind, Order};
use crate::reading::parsed::Text;
use crate::reading::yaml::{Entry, NodeKind};

pub(super) fn order(desk: &mut Desk, entry: &Entry) -> Option<Kind> {
    if matches!(entry.value.kind, NodeKind::List(_)) {
        return Some(Kind::Order(Order::Lines(desk.prose_items(entry))));
    }
    let text = desk.text(entry)?;
    let words: Vec<&str> = text.value.split_whitespace().collect();
    // Only the name, so that a message can point at it.
    let named = |name: &str| {
        let start = text.span.start + desk.file.slice(text.span).rfind(name).unwrap_or(0);
        Text::new(name.to_owned(), Span::new(start, start + name.len()))
    };
    match words.as_slice() {
        ["steps", "of", name] => Some(Kind::Order(Order::Steps(named(name)))),
        ["operations", "of", name] => Some(Kind::Order(Order::Operations(named(name)))),
        _ => {
            let finding = desk
                .finding(Code::BadValue, text.span, "What is to be put in order cannot be read.")
                .found(format!("`{}`", text.value))
                .expected(
                    "a list in its right order, `steps of filtration` or `operations of saltworks`",
                )
                .next("write the lines in [ ], or name the block that has them");
            desk.say(finding);
            None
        }
    }
}
