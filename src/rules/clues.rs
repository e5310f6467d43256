//! Answers in words that another question of the unit says: the word that is asked for,
//! in one sentence with the words that ask for it.
//!
//! A term stands in many texts and gives nothing away; it does where it stands among the
//! words of the demand.

use crate::diag::{Code, Diagnostic, Place};
use crate::reading::kinds::Kind;
use crate::reading::model::Model;
use crate::reading::parsed::{Item, Part, Question, Text};

use super::language::{phrases, sentences, words};
use super::texts::{Block, Role};

/// Words of the demand that make a sentence its answer.
const SHARED: usize = 3;
/// Letters that a word must have to say something.
const LONG: usize = 4;
/// They ask and tell nothing of what is asked.
const ASKING: &[&str] = &[
    "which",
    "what",
    "when",
    "where",
    "that",
    "this",
    "these",
    "those",
    "from",
    "with",
    "into",
    "name",
    "state",
    "give",
    "choose",
    "complete",
    "write",
    "following",
    "technique",
    "called",
    "each",
    "your",
    "there",
    "their",
    "them",
    "they",
    "does",
    "have",
    "will",
    "word",
    "words",
];

pub(super) fn check_unit(
    model: &Model,
    blocks: &[Block<'_>],
    say: &mut dyn FnMut(usize, Diagnostic),
) {
    let asked = blocks.iter().enumerate().filter_map(|(index, block)| match block.item {
        Item::Question(question) => Some((index, question)),
        _ => None,
    });
    for (index, question) in asked {
        for part in &question.parts {
            for key in keys(part) {
                let demand = demand(question, part, key);
                let told = blocks.iter().enumerate().filter(|(other, _)| *other != index).find_map(
                    |(other, block)| {
                        let passage = told_in(block, key, &demand)?;
                        Some((other, passage.place(&model.parsed, 0..passage.plain.len())))
                    },
                );
                let Some((_, place)) = told else { continue };
                say(
                    index,
                    Diagnostic::new(
                        Code::AnswerInWords,
                        place,
                        format!(
                            "This question says the word that `{}` asks for.",
                            question.id.value
                        ),
                    )
                    .found(format!("`{}`, beside the words that ask for it", key.value.trim()))
                    .expected("questions that do not answer each other")
                    .next("put one of the two in other words, or ask for something else")
                    .related(Place::new(&model.parsed.file, key.span), "the answer"),
                );
            }
        }
    }
}

/// Words that a learner is to choose or to write.
fn keys(part: &Part) -> Vec<&Text> {
    match &part.kind {
        Kind::Choose(choose) => choose.answer.iter().collect(),
        Kind::Fill(fill) => fill.words.iter().collect(),
        _ => Vec::new(),
    }
}

/// What the demand is known by, the answer's own words left out.
fn demand(question: &Question, part: &Part, key: &Text) -> Vec<String> {
    let text = if part.text.text.trim().is_empty() { &question.stem } else { &part.text };
    let own: Vec<String> = words(&key.value).into_iter().map(|word| word.text).collect();
    // Of a text with gaps only the sentence with this one asks; which that is, its words tell.
    let mut found: Vec<String> = words(&text.text)
        .into_iter()
        .map(|word| word.text)
        .filter(|word| word.chars().count() >= LONG && !ASKING.contains(&word.as_str()))
        .filter(|word| !own.contains(word))
        .collect();
    found.sort();
    found.dedup();
    found
}

/// The passage of a question in which a sentence holds the key and enough of the demand.
fn told_in<'b, 'a>(
    block: &'b Block<'a>,
    key: &Text,
    demand: &[String],
) -> Option<&'b super::texts::Passage<'a>> {
    if !matches!(block.item, Item::Question(_)) {
        return None;
    }
    let phrase: Vec<String> = words(&key.value).into_iter().map(|word| word.text).collect();
    let phrase = phrase.join(" ");
    block.passages.iter().filter(|p| matches!(p.role, Role::Stem | Role::Part)).find(|passage| {
        sentences(&passage.plain).into_iter().any(|range| {
            let said = words(&passage.plain[range]);
            let shared = demand.iter().filter(|word| said.iter().any(|own| own.text == **word));
            !phrase.is_empty() && !phrases(&said, &[&phrase]).is_empty() && shared.count() >= SHARED
        })
    })
}
