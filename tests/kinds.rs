//! The kinds of questions over many versions: one right answer, options apart and in
//! order, keys that show no pattern, orders that are never given away, marks that add up.

#![allow(clippy::unwrap_used)] // also in the helpers, which are no test functions

use std::collections::BTreeSet;
use std::fmt::Write;
use std::sync::Arc;

use stillroom::diag::{Diagnostics, SourceFile};
use stillroom::question::kinds::marks_of_order;
use stillroom::question::{Answer, Form, Response, Solution, respond};
use stillroom::reading;
use stillroom::reading::model::{self, Model};

/// Choices of words on one sheet, and versions of it.
const CHOICES: usize = 12;
const VERSIONS: u64 = 300;

fn model_of(questions: &str) -> Model {
    let unit = format!(
        "---\nid: kinds\ntitle: Kinds\nobjectives:\n  words: Say it in words\n---\n{questions}"
    );
    let mut found = Diagnostics::new();
    let parsed = reading::parse(&SourceFile::new("kinds.md", unit), &mut found).unwrap();
    let model = model::check(&Arc::new(parsed), &mut found);
    assert!(!found.has_errors(), "{:?}", found.iter().map(|f| &f.message).collect::<Vec<_>>());
    model
}

fn question(id: &str, keys: &str, text: &str) -> String {
    format!("\n```question\nid: {id}\nobjective: words\n{keys}\n---\n{text}\n```\n")
}

fn solved(model: &Model, seed: u64, version: u64) -> Vec<(Solution<'_>, Vec<Answer>)> {
    let mut all: Vec<_> = model
        .questions
        .iter()
        .map(|checked| {
            // Another number in each version, so that other options stand beside it.
            let axes = checked.axes();
            let choice: Vec<usize> = axes.iter().map(|n| version as usize % n).collect();
            let solution = Solution::of(checked, &choice).unwrap();
            let answers = solution.answers();
            (solution, answers)
        })
        .collect();
    respond(&mut all, seed, "kinds", version);
    all
}

fn place(response: &Response) -> usize {
    let Form::Options { options, .. } = &response.form else { panic!("{response:?}") };
    assert_eq!(options.iter().filter(|option| option.right).count(), 1);
    options.iter().position(|option| option.right).unwrap()
}

#[test]
fn keys_show_no_pattern_and_every_place_is_used() {
    let mut text = String::new();
    for n in 0..CHOICES {
        let keys = "choose: {answer: settling, wrong: [sieving, boiling, freezing]}";
        write!(text, "{}", question(&format!("choice-{n}"), keys, "What is it called?")).unwrap();
    }
    let model = model_of(&text);
    let mut counts = [0usize; 4];
    let mut sheets = BTreeSet::new();
    for version in 0..VERSIONS {
        let places: Vec<usize> =
            solved(&model, 7, version).iter().map(|(s, _)| place(s.response(0).unwrap())).collect();
        assert!(places.windows(4).all(|w| w.iter().any(|p| *p != w[0])), "{places:?}");
        for (at, count) in counts.iter_mut().enumerate() {
            let here = places.iter().filter(|p| **p == at).count();
            assert!(2 * here <= CHOICES, "{places:?}");
            *count += here;
        }
        for period in 1..=5 {
            assert!((period..CHOICES).any(|i| places[i] != places[i - period]), "{places:?}");
        }
        sheets.insert(places);
    }
    // 3600 keys: a fair place has 900, with a spread of 26.
    assert!(counts.iter().all(|count| (780..1020).contains(count)), "{counts:?}");
    assert!(sheets.len() > 290, "versions repeat each other");
}

#[test]
fn options_of_numbers_ascend_and_lie_apart() {
    let keys = "values:\n  brine: 200 to 800 kg, step 10\n  weak: one of 4.0, 5.0, 8.0 %\n\
                choose: {find: brine * weak, options: 4}\nmistakes:\n  half: brine * weak / 2\n  \
                third: brine * weak / 3\n  quarter: brine * weak / 4\n  \
                twice: brine * weak * 2\n  all: brine\n  water: brine * (1 - weak)\n  \
                near: brine * weak * 1.01\n  inverted: brine / 10";
    let model = model_of(&question("salt", keys, "How much salt is in {{ brine }}?"));
    let mut places = BTreeSet::new();
    for version in 0..VERSIONS {
        let all = solved(&model, 3, version);
        let (solution, answers) = &all[0];
        let response = solution.response(0).unwrap();
        places.insert(place(response));
        let Form::Options { options, .. } = &response.form else { panic!() };
        assert_eq!(options.len(), 4);
        let number = |text: &str| -> f64 {
            text.split(['\u{202f}', '\u{a0}', ' ']).next().unwrap().parse().unwrap()
        };
        let values: Vec<f64> = options.iter().map(|option| number(&option.text)).collect();
        let key = answers[0].rounded.value;
        assert!(values.windows(2).all(|w| w[1] - w[0] > 0.03 * key), "{values:?}");
        assert_eq!(values[place(response)], key);
    }
    assert!(places.len() >= 3, "the key has always the same rank: {places:?}");
}

#[test]
fn lists_are_never_given_away_and_keys_fit_them() {
    let text = question("order", "order: [stir, wait, pour, dry]", "Number the steps.")
        + &question(
            "pairs",
            "match: {sieving: size, settling: density, boiling: boiling point, spare: [colour]}",
            "Write the letters.",
        );
    let model = model_of(&text);
    let right = ["stir", "wait", "pour", "dry"];
    for version in 0..VERSIONS {
        let all = solved(&model, 11, version);
        let ordering = all[0].0.response(0).unwrap();
        let Form::Sequence { lines } = &ordering.form else { panic!() };
        let places: Vec<usize> = lines.iter().map(|(_, place)| *place).collect();
        assert!(!places.is_sorted() && !places.iter().rev().is_sorted(), "{places:?}");
        assert!(lines.iter().all(|(text, place)| right[place - 1] == text));
        // Read as an answer, what is shown earns less than what is right.
        assert!(marks_of_order(&places, ordering.marks) < ordering.marks);
        let Form::Pairs { left, right } = &all[1].0.response(0).unwrap().form else { panic!() };
        let partner = |letter: &str| &right.iter().find(|(own, _)| own == letter).unwrap().1;
        assert_eq!(
            left.iter().map(|(_, l)| partner(l)).collect::<Vec<_>>(),
            ["size", "density", "boiling point"]
        );
        assert_eq!(right.len(), 4);
        for (solution, _) in &all {
            let response = solution.response(0).unwrap();
            let earned: u32 = response.points.iter().filter(|p| !p.spare).map(|p| p.marks).sum();
            assert_eq!(earned, response.marks);
        }
    }
    assert_eq!(
        solved(&model, 11, 5)[0].0.response(0),
        solved(&model, 11, 5)[0].0.response(0),
        "the same version twice"
    );
}
