//! Choices among numbers whose key can stand at one place only: the smallest, the largest.
//!
//! Numbers stand by size, so where the key stands depends on which wrong turns are used;
//! if all of them lead to one side, a class learns to take that end.

use std::collections::BTreeSet;

use crate::diag::{Code, Diagnostic, Place};
use crate::question::mistakes::Distractors;
use crate::reading::kinds::Kind;
use crate::reading::model::Model;
use crate::reading::parsed::Item;

use super::asking::{checked_of, part_words, some};
use super::texts::Block;

/// Versions looked at.
const TRIED: usize = 12;

pub(super) fn check(model: &Model, block: &Block<'_>, say: &mut dyn FnMut(Diagnostic)) {
    if !matches!(block.item, Item::Question(_)) {
        return;
    }
    let Some(checked) = checked_of(model, block) else { return };
    for (number, part) in checked.question.parts.iter().enumerate() {
        let Kind::ChooseNumber { options } = &part.kind else { continue };
        let count = options.value.saturating_sub(1) as usize;
        let mut ranks = BTreeSet::new();
        for solution in some(checked, TRIED) {
            let answers = solution.answers();
            let Some(answer) = answers.iter().find(|answer| answer.part == number) else {
                continue;
            };
            let distractors = Distractors::of(&solution, answer);
            let choices = (0..=count).filter_map(|below| distractors.beside(count, below).ok());
            ranks.extend(choices.map(|choice| choice.rank));
        }
        let (Some(only), 1) = (ranks.first(), ranks.len()) else { continue };
        let place = match only {
            0 => "the smallest".to_owned(),
            rank if *rank == count => "the largest".to_owned(),
            rank => format!("number {} by size", rank + 1),
        };
        say(Diagnostic::new(
            Code::KeyStuck,
            Place::new(&model.parsed.file, options.span),
            format!("{}: the right number stands at one place in every version.", part_words(part)),
        )
        .found(format!("the key always {place} of {} options", options.value))
        .expected("wrong numbers on both sides of the key, so that its place can vary")
        .next("name a mistake under `mistakes:` that leads to the other side, or ask for fewer options"));
    }
}
