//! Options to tick: words with their key, or how many numbers beside a quantity.

use crate::diag::Code;
use crate::reading::desk::Desk;
use crate::reading::kinds::{Choose, Kind};
use crate::reading::parsed::{Placed, Text};
use crate::reading::words::CHOOSE;
use crate::reading::yaml::{Entry, NodeKind};

use super::super::parts::lines;
use super::{Asks, find};

/// Options of a numeric choice where the author says none, and the most.
const USUAL: u32 = 4;
const MOST: u32 = 5;

pub(super) fn choose(desk: &mut Desk, entry: &Entry) -> Option<Asks> {
    let fields = desk.fields(&entry.value, &CHOOSE, entry.key.span)?;
    if let Some(asked) = fields.get("find") {
        for key in ["answer", "wrong"] {
            let Some(entry) = fields.get(key) else { continue };
            let finding = desk
                .finding(
                    Code::TwoKinds,
                    entry.key.span,
                    format!("`{key}` says nothing beside `find`, which works out key and options."),
                )
                .found(format!("`{key}` and `find`"))
                .expected("either `find` and `options`, or `answer` and `wrong`")
                .next("take it out; wrong numbers are formulas under `mistakes`");
            desk.say(finding);
        }
        let find = find(desk, asked);
        let options = match desk.whole(&fields, "options") {
            Some(options) if (2..=MOST).contains(&options.value) => options,
            Some(options) => {
                let finding = desk
                    .finding(
                        Code::TooFewOptions,
                        options.span,
                        format!("A choice of numbers has 2 to {MOST} options."),
                    )
                    .found(format!("`{}`", options.value))
                    .expected("3, 4 or 5")
                    .next("write `options: 4`");
                desk.say(finding);
                return None;
            }
            None => Placed::new(USUAL, asked.key.span),
        };
        return Some(Asks { kind: Kind::ChooseNumber { options }, find });
    }
    let several = fields.get("answer").is_some_and(|e| matches!(e.value.kind, NodeKind::List(_)));
    if fields.get("answer").is_none() && !desk.damaged {
        desk.missing_key("choose", "answer", "the right option, or a list of them", entry.key.span);
    }
    let answer = lines(desk, &fields, "answer");
    let options = desk.prose_list(&fields, "options");
    let wrong = match fields.get("wrong") {
        Some(wrong) if matches!(wrong.value.kind, NodeKind::List(_)) => {
            desk.prose_items(wrong).into_iter().map(|text| (text, None)).collect()
        }
        Some(wrong) => {
            let entries = desk.entries(&wrong.value, "list of wrong options", wrong.key.span)?;
            let mut read = Vec::new();
            for entry in entries {
                let option = Text::new(entry.key.text.clone(), entry.key.span);
                // Nothing said of it is as good as a list.
                let says = match entry.value.kind {
                    NodeKind::Empty => None,
                    _ => desk.prose_text(entry),
                };
                read.push((option, says));
            }
            read
        }
        None => Vec::new(),
    };
    (!answer.is_empty()).then_some(Asks {
        kind: Kind::Choose(Choose { answer, several, wrong, options }),
        find: Vec::new(),
    })
}
