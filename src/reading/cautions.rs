//! The usual cautions of operations, for whatever page describes such work.
//!
//! Takes a technique, or the questions of a unit; gives the sentences that the catalogue
//! of operations keeps for them, less what the author says in other words. They are
//! common practice in school laboratories, no source; local rules decide.

use crate::balance::operations::named;

use super::model::Model;
use super::parsed::{Process, ProcessRef, Question, Technique};

/// The author's cautions with the usual ones that they leave out, before the last,
/// which defers to local rules.
pub fn of_technique(technique: &Technique) -> Vec<String> {
    let mut all: Vec<String> = technique.cautions.iter().map(|text| text.value.clone()).collect();
    let title = technique.title.as_ref().map(|title| title.value.to_lowercase());
    let id = technique.id.value.replace('-', " ");
    let Some(kind) = named(&id).or_else(|| named(&title.unwrap_or_default())) else { return all };
    let steps: Vec<&str> = technique.steps.iter().map(|text| text.value.as_str()).collect();
    let missing: Vec<String> = kind
        .cautions
        .iter()
        .filter(|usual| !is_said(usual, &all, &steps))
        .map(|usual| (*usual).to_owned())
        .collect();
    let before_last = all.len().saturating_sub(1);
    all.splice(before_last..before_last, missing);
    all
}

/// The usual cautions of the operations in a question that is set at a bench: numbers of
/// a works are worked out on paper, and need none.
pub fn of_question(model: &Model, question: &Question) -> Vec<&'static str> {
    if !at_a_bench(question) {
        return Vec::new();
    }
    let process: Option<&Process> = match &question.process {
        ProcessRef::Inline(process) => Some(process),
        ProcessRef::Named(name) => model.process(&name.value),
        ProcessRef::None => None,
    };
    let operations = process.iter().flat_map(|process| &process.operations);
    operations.flat_map(|operation| operation.kind.value.cautions).copied().collect()
}

/// Words of work in a laboratory.
const BENCH: &[&str] = &[
    "beaker",
    "beakers",
    "flask",
    "burner",
    "basin",
    "funnel",
    "laboratory",
    "bench",
    "pupil",
    "pupils",
    "student",
    "students",
    "dish",
    "test tube",
    "tripod",
    "burette",
    "pipette",
    "water bath",
];

/// Whether a question tells of work in a laboratory.
pub fn at_a_bench(question: &Question) -> bool {
    let texts = [&question.stem].into_iter().chain(question.parts.iter().map(|part| &part.text));
    texts.into_iter().any(|text| {
        let plain: String = text
            .text
            .to_lowercase()
            .chars()
            .map(|c| if c.is_alphanumeric() { c } else { ' ' })
            .collect();
        let padded = format!(" {plain} ");
        BENCH.iter().any(|word| padded.contains(&format!(" {word} ")))
    })
}

/// How much of a caution's own words must be there for it to count as said.
const SHARE: f64 = 0.4;
/// Letters by which words are known again: crystals, crystallise.
const ROOT: usize = 4;

fn is_said(usual: &str, cautions: &[String], steps: &[&str]) -> bool {
    let roots = |text: &str| -> Vec<String> {
        text.to_lowercase()
            .split(|c: char| !c.is_alphanumeric())
            .filter(|word| word.len() >= ROOT)
            .map(|word| word.chars().take(ROOT).collect())
            .collect()
    };
    let own: Vec<String> =
        cautions.iter().map(String::as_str).chain(steps.iter().copied()).flat_map(roots).collect();
    let wanted = roots(usual);
    let known = wanted.iter().filter(|root| own.contains(root)).count();
    known as f64 >= SHARE * wanted.len() as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_caution_in_other_words_is_said() {
        let own = ["Hot brine spits when it is nearly dry. Lower the flame early.".to_owned()];
        let usual = "Hot liquid spits when nearly dry: lower the heat and stop at the crystallisation point.";
        assert!(is_said(usual, &own, &["Stop when crystals show."]));
        assert!(!is_said("Never evaporate a flammable or toxic solvent over a flame.", &own, &[]));
    }
}
