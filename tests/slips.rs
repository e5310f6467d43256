//! The catalogue of mistakes: each entry fires where its formula applies, with the value
//! worked by hand, and keeps quiet elsewhere; learners' answers are known by name.

#![allow(clippy::unwrap_used)] // also in the helpers, which are no test functions

use std::collections::BTreeSet;
use std::sync::Arc;

use serde::Deserialize;
use stillroom::diag::{Diagnostics, SourceFile};
use stillroom::question::Solution;
use stillroom::question::mistakes::catalogue;
use stillroom::reading;
use stillroom::reading::model::{self, Model};

/// Entries that have no case worked by hand yet.
const UNTRIED: &[&str] = &[
    "curve-one-line-off",
    "gave-the-anhydrous-mass",
    "rounded-too-early",
    "cut-off",
    "wrong-stream",
];

#[derive(Deserialize)]
struct Cases {
    case: Vec<Case>,
}

#[derive(Deserialize)]
struct Case {
    id: String,
    fires: String,
    #[serde(default)]
    part: String,
    value: f64,
    quiet: String,
}

fn model_of(text: &str) -> Model {
    let mut found = Diagnostics::new();
    let file = SourceFile::new("slips.md", text.to_owned());
    let parsed = Arc::new(reading::parse(&file, &mut found).unwrap());
    let model = model::check(&parsed, &mut found);
    let errors = found.has_errors();
    let said: Vec<String> =
        found.sorted().iter().map(|d| stillroom::diag::render(d, false)).collect();
    assert!(!errors, "{}", said.join("\n"));
    model
}

fn solved<'a>(model: &'a Model, id: &str) -> Solution<'a> {
    let checked = model.questions.iter().find(|q| q.question.id.value == id).unwrap();
    Solution::of(checked, &vec![0; checked.axes().len()]).unwrap()
}

/// Ids of the turns of a question, told or not, with their values in the answer's unit.
fn turns(solution: &Solution<'_>, part: &str) -> Vec<(String, f64, i32)> {
    let label = |n: usize| {
        let label = &solution.checked.question.parts[n].label;
        label.as_ref().map_or(String::new(), |l| l.value.clone())
    };
    let answers = solution.answers();
    let own = answers.iter().filter(|a| part.is_empty() || label(a.part) == part);
    own.flat_map(|answer| {
        solution.slips(answer.part, answer).into_iter().flat_map(|slip| {
            let (value, place) = (slip.rounded.value, slip.rounded.last_place);
            slip.turns.into_iter().filter_map(move |t| Some((t.id?.to_owned(), value, place)))
        })
    })
    .collect()
}

#[test]
fn every_entry_fires_with_the_value_worked_by_hand_and_keeps_quiet_elsewhere() {
    let model = model_of(include_str!("data/slips/unit.md"));
    let cases: Cases = toml::from_str(include_str!("data/slips/cases.toml")).unwrap();
    let mut wrong = Vec::new();
    for case in &cases.case {
        let found = turns(&solved(&model, &case.fires), &case.part);
        // As printed: half a unit of the last place.
        let near = |value: f64, place: i32| (value - case.value).abs() <= 0.501 * 10f64.powi(place);
        if !found.iter().any(|(id, value, place)| *id == case.id && near(*value, *place)) {
            wrong.push(format!("{} not at {} in {}: {found:?}", case.id, case.value, case.fires));
        }
        if turns(&solved(&model, &case.quiet), "").iter().any(|(id, ..)| *id == case.id) {
            wrong.push(format!("{} fires in {}", case.id, case.quiet));
        }
    }
    let tried: BTreeSet<&str> = cases.case.iter().map(|case| case.id.as_str()).collect();
    let without: Vec<&str> =
        catalogue().iter().map(|(_, m)| m.id).filter(|id| !tried.contains(id)).collect();
    let without: Vec<&str> = without.into_iter().filter(|id| !UNTRIED.contains(id)).collect();
    assert!(wrong.is_empty(), "{}\nwithout a case: {without:?}", wrong.join("\n"));
    assert!(without.is_empty(), "without a case: {without:?}");
}
