//! The range of accepted answers: against ranges worked out by hand, and as a property
//! of chains of random numbers whose rounding is done again here.

#![allow(clippy::unwrap_used)] // also in the helpers, which are no test functions

use std::sync::Arc;

use proptest::prelude::*;
use serde::Deserialize;
use stillroom::diag::{Diagnostics, SourceFile};
use stillroom::quantity::{round_figures, round_places};
use stillroom::question::{Answer, Solution};
use stillroom::reading;
use stillroom::reading::model::{self, Model};

#[derive(Deserialize)]
struct Cases {
    case: Vec<Case>,
}

#[derive(Deserialize)]
struct Case {
    id: String,
    question: String,
    #[serde(default)]
    text: String,
    answers: Vec<Expected>,
}

#[derive(Deserialize)]
struct Expected {
    printed: String,
    lowest: f64,
    highest: f64,
}

/// A unit of one question; a text for each part is made up.
fn model_of(question: &str, stem: &str) -> Model {
    let labels = question.lines().filter_map(|line| {
        let label = line.strip_prefix("  ")?.split_once(": {find:")?.0;
        (label.len() == 1).then(|| format!("\n({label}) Calculate it.\n"))
    });
    let text: String = labels.collect();
    let unit = format!(
        "---\nid: chain\ntitle: Chains\nobjectives:\n  masses: Calculate masses\n---\n\n\
         ```question\nid: chain\nobjective: masses\n{question}---\n{stem}\nSteps.\n{text}```\n"
    );
    let mut found = Diagnostics::new();
    let file = SourceFile::new("chain.md", unit);
    let parsed = Arc::new(reading::parse(&file, &mut found).unwrap());
    let model = model::check(&parsed, &mut found);
    let said: Vec<String> =
        found.sorted().iter().map(|d| stillroom::diag::render(d, false)).collect();
    assert_eq!(model.questions.len(), 1, "{said:?}");
    model
}

fn answers(model: &Model) -> Vec<Answer> {
    let checked = &model.questions[0];
    Solution::of(checked, &vec![0; checked.axes().len()]).unwrap().answers()
}

#[test]
fn ranges_are_those_worked_out_by_hand() {
    let cases: Cases = toml::from_str(include_str!("data/accepted.toml")).unwrap();
    let mut wrong = Vec::new();
    for case in &cases.case {
        let found = answers(&model_of(&case.question, &case.text));
        assert_eq!(found.len(), case.answers.len(), "{}", case.id);
        for (answer, expected) in found.iter().zip(&case.answers) {
            let close = |a: f64, b: f64| (a - b).abs() <= 1e-6 * b.abs();
            let met = answer.printed == expected.printed
                && close(answer.lowest, expected.lowest)
                && close(answer.highest, expected.highest);
            if !met {
                wrong.push(format!(
                    "{}: {} from {} to {}, by hand {} from {} to {}",
                    case.id,
                    answer.printed,
                    answer.lowest,
                    answer.highest,
                    expected.printed,
                    expected.lowest,
                    expected.highest
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// A number with so many figures as an author types it, and the place of its last.
fn typed(digits: u32, figures: u32, place: i32) -> (String, f64, i32) {
    let least = 10u32.pow(figures - 1);
    let digits = least + digits % (9 * least);
    let value = f64::from(digits) * 10f64.powi(place);
    let places = usize::try_from(-place).unwrap_or(0);
    (format!("{value:.places$}"), value, place)
}

/// The place of the last of so many figures of a value.
fn place_of(value: f64, figures: u32) -> i32 {
    round_figures(value, figures).last_place
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    /// Brine boiled down: (a) its salt, (b) the slurry, (c) the steam. Whoever writes
    /// every step to the figures it is worth, or to one more, is right; so is who
    /// rounds nothing, and who takes up the printed answers.
    #[test]
    fn who_rounds_with_care_is_right(
        digits in [0u32..90_000, 0..90_000, 0..90_000],
        figures in [3u32..=4, 2..=4, 2..=4],
    ) {
        let (mass_text, mass, mass_place) = typed(digits[0], figures[0], 3 - figures[0] as i32);
        // 1.0 to 9.9 % is boiled down to 10 to 99 %.
        let (weak_text, weak, _) = typed(digits[1], figures[1], 1 - figures[1] as i32);
        let (strong_text, strong, _) = typed(digits[2], figures[2], 2 - figures[2] as i32);
        let question = format!(
            "process:\n  components: {{salt: solute, water: solvent}}\n  operations:\n    \
             pan: {{is: evaporation, feed: brine, vapour: steam, concentrate: slurry}}\n\
             given:\n  brine: {{total: {mass_text} kg, salt: {weak_text} %}}\n  \
             slurry: {{salt: {strong_text} %}}\nparts:\n  a: {{find: brine.salt}}\n  \
             b: {{find: slurry.total}}\n  c: {{find: steam.total}}\n"
        );
        let found = answers(&model_of(&question, ""));
        let salt_figures = figures[0].min(figures[1]);
        let slurry_figures = salt_figures.min(figures[2]);
        let exact = |value: f64, _| value;
        let worth = |value: f64, figures: u32| round_figures(value, figures).value;
        let one_more = |value: f64, figures: u32| round_figures(value, figures + 1).value;
        for (way, round) in
            [("exact", &exact as &dyn Fn(f64, u32) -> f64), ("worth", &worth), ("more", &one_more)]
        {
            let salt = mass * weak / 100.0;
            let slurry = round(salt, salt_figures) / (strong / 100.0);
            let steam = mass - round(slurry, slurry_figures);
            // An answer shows two figures at least.
            let steam_place = mass_place
                .max(place_of(slurry, slurry_figures))
                .min(place_of(mass - slurry, 2));
            let places = [place_of(salt, salt_figures), place_of(slurry, slurry_figures), steam_place];
            for ((answer, value), place) in found.iter().zip([salt, slurry, steam]).zip(places) {
                // As it comes out, and as it would be written.
                for given in [value, round_places(value, -place).value] {
                    let inside = answer.lowest <= given + 1e-9 && given <= answer.highest + 1e-9;
                    prop_assert!(inside, "{} {given} ({way}), {answer:?}\n{question}", answer.name);
                }
                prop_assert!(answer.lowest <= answer.rounded.value && answer.rounded.value <= answer.highest);
                let width = answer.highest - answer.lowest;
                let unit = 10f64.powi(answer.rounded.last_place);
                let share = if answer.rounded.figures() > 2 { 0.12 } else { 0.5 };
                prop_assert!(width <= 3.0 * unit + share * value.abs(), "{width} wide: {answer:?}\n{question}");
            }
        }
    }
}
