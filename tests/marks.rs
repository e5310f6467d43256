//! The marks of worked steps: where they stand in questions made up for it, and that
//! those of a part's steps add up to the part's, in every unit and record.

#![allow(clippy::unwrap_used)] // also in the helpers, which are no test functions

mod units;

use std::path::Path;
use std::sync::Arc;

use stillroom::diag::{Diagnostics, SourceFile};
use stillroom::document::sheet;
use stillroom::question::{Answer, Assessment, MarkedStep, Solution};
use stillroom::reading;
use stillroom::reading::model::{self, Checked, Model};

fn model_of(file: &Arc<SourceFile>) -> Option<Model> {
    let mut found = Diagnostics::new();
    let parsed = reading::parse(file, &mut found)?;
    Some(model::check(&Arc::new(parsed), &mut found))
}

fn unit(question: &str, text: &str) -> Model {
    let unit = format!(
        "---\nid: marked\ntitle: Marks\nobjectives:\n  masses: Calculate masses\n---\n\n\
         ```question\nid: marked\nobjective: masses\n{question}---\n{text}\n```\n"
    );
    let model = model_of(&SourceFile::new("marked.md", unit)).unwrap();
    assert_eq!(model.questions.len(), 1, "{question}");
    model
}

/// What each step earns, steps apart by commas, parts by strokes.
fn scheme(model: &Model) -> String {
    let checked = &model.questions[0];
    let solution = solve(checked, &vec![0; checked.axes().len()]).unwrap();
    let worked = solution.marked_working(&solution.answers());
    let of_part = |part| {
        let steps = worked.iter().filter(|marked| marked.step.part == part);
        steps.map(earned).collect::<Vec<_>>().join(", ")
    };
    (0..checked.question.parts.len()).map(of_part).collect::<Vec<_>>().join(" | ")
}

fn earned(marked: &MarkedStep) -> String {
    if marked.marks.is_empty() {
        return "0".to_owned();
    }
    marked.marks.iter().map(ToString::to_string).collect::<Vec<_>>().join(" ")
}

fn solve<'a>(checked: &'a Checked, choice: &[usize]) -> Option<Solution<'a>> {
    Solution::of(checked, choice).ok()
}

const PAN: &str = "process:\n  components: {salt: solute, water: solvent}\n  operations:\n    \
                   pan: {is: evaporation, feed: brine, vapour: steam, concentrate: slurry}\n\
                   given:\n  brine: {total: 400 kg, salt: 5.0 %}\n  slurry: {salt: 24.0 %}\n";
const SIEVE: &str = "process:\n  components: {coarse: size, fine: size}\n  operations:\n    \
                     sieve: {is: screening, feed: grit, oversize: over, undersize: under}\n\
                     given:\n  grit: {total: 1000 kg, coarse: 47.0 %}\n  \
                     over: {coarse: 85.0 %}\n  under: {coarse: 19.5 %}\n";

const BLEND: &str = "process:\n  components: {borax: solute, silt: insoluble, water: solvent}\n  \
                     operations:\n    tank: {is: mixing, feed: [lean, mid, rich], product: blend}\n\
                     given:\n  lean: {borax: 5.0 %, silt: 10 %}\n  mid: {borax: 20 %, silt: 5.0 %}\n  \
                     rich: {borax: 40 %, silt: 30 %}\n  \
                     blend: {total: 100 kg, borax: 25 %, silt: 14 %}\n";

/// What marks stand for, and one for each step that finds something new, is common
/// practice of mark schemes, no source.
#[test]
fn marks_stand_where_a_marker_looks_for_them() {
    let parts = "(a) Find it.\n\n(b) Find it.\n\n(c) Find it.";
    for (question, keys, text, expected) in [
        // A lone step: its value.
        (PAN, "find: brine.salt\n", "Find it.", "A1"),
        // Salt, all of it in the slurry, slurry: two steps find something new.
        (PAN, "find: slurry.total\n", "Find it.", "M1, 0, A1"),
        // The salt in the slurry is that of the brine under another name.
        (PAN, "find: slurry.salt\n", "Find it.", "0, A1"),
        // Steps that serve two parts are marked where they stand.
        (
            PAN,
            "parts:\n  a: {find: brine.salt}\n  b: {find: slurry.salt}\n  c: {find: slurry.total}\n",
            parts,
            "A1 | B1 | A1",
        ),
        // Found before.
        (
            PAN,
            "parts:\n  a: {find: steam.total}\n  b: {find: slurry.total}\n  c: {find: brine.total}\n",
            parts,
            "M1, 0, M1, A1 | B1 | B1",
        ),
        // A let: that it is made, that it closes, x; x is what is asked.
        (SIEVE, "find: over.total\n", "Find it.", "M1, 0, 0, 0, 0, M1, A1"),
        // More marks: for steps in terms of x, from the last one back.
        (SIEVE, "find: over.total\nmarks: 5\n", "Find it.", "M1, 0, 0, M1, M1, M1, A1"),
        // x is on the way.
        (SIEVE, "find: 2 * over.total\n", "Find it.", "M1, 0, 0, 0, 0, M1 A1, 0, A1"),
        // More marks than steps: the last step's method, then values on the way, then
        // what is the same under two names, then once more round.
        (PAN, "find: slurry.total\nmarks: 1\n", "Find it.", "0, 0, A1"),
        (PAN, "find: slurry.total\nmarks: 2\n", "Find it.", "M1, 0, A1"),
        (PAN, "find: slurry.total\nmarks: 3\n", "Find it.", "M1, 0, M1 A1"),
        (PAN, "find: slurry.total\nmarks: 4\n", "Find it.", "M1 A1, 0, M1 A1"),
        (PAN, "find: slurry.total\nmarks: 5\n", "Find it.", "M1 A1, M1, M1 A1"),
        (PAN, "find: slurry.total\nmarks: 6\n", "Find it.", "M2 A1, M1, M1 A1"),
        (PAN, "find: brine.salt\nmarks: 3\n", "Find it.", "M2 A1"),
        (PAN, "find: brine.total\nmarks: 2\n", "Find it.", "B2"),
        // Six marks could be told apart; a part has four unless its author says so: the
        // answer's value, then methods from the last one back.
        (SIEVE, "find: over.fine / grit.fine\n", "Find it.", "0, 0, 0, 0, 0, M1, 0, M1, M1, A1"),
        (
            SIEVE,
            "find: over.fine / grit.fine\nmarks: 6\n",
            "Find it.",
            "M1, 0, 0, 0, 0, M1 A1, 0, M1, M1, A1",
        ),
        // Each answer has a mark of its own; two unknowns, two relations, two values.
        (SIEVE, "find: [over.total, under.total]\n", "Find both.", "M1, 0, 0, 0, 0, M1, A1, B1"),
        (
            BLEND,
            "find: [lean.total, mid.total]\nmarks: 5\n",
            "Find both.",
            "M1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, M1, M1, 0, 0, 0, 0, A1, A1",
        ),
        // A value worked out first.
        ("values: {feed: 800 kg, share: = feed / 4}\n", "find: share / 2\n", "Find it.", "M1, A1"),
        // The text gives it away: no step, no mark.
        (
            "values: {feed: 800 kg, share: = feed / 4}\n",
            "find: share / 2\n",
            "Half of {{ share }}?",
            "A1",
        ),
    ] {
        let found = scheme(&unit(&format!("{question}{keys}"), text));
        assert_eq!(found, expected, "{keys}{text}");
    }
}

/// Some choices of a question's values, spread over all of them.
fn choices(checked: &Checked) -> Vec<Vec<usize>> {
    let axes = checked.axes();
    (0..if axes.is_empty() { 1 } else { 12 })
        .map(|n| axes.iter().enumerate().map(|(i, size)| (n * (7 + i) + n * n) % size).collect())
        .collect()
}

#[test]
fn marks_of_steps_add_up_to_the_parts() {
    let mut compared = 0;
    for path in units::files() {
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let file = SourceFile::new(name.as_str(), std::fs::read_to_string(&path).unwrap());
        let Some(model) = model_of(&file) else { continue };
        let all = model.questions.iter().chain(model.examples.iter().map(|(_, checked)| checked));
        for checked in all {
            let mut first: Option<String> = None;
            for choice in choices(checked) {
                let Some(solution) = solve(checked, &choice) else { continue };
                let worked = solution.marked_working(&solution.answers());
                let parts = checked.question.parts.iter().enumerate();
                for (number, part) in parts.filter(|(_, part)| part.is_worked()) {
                    let steps = worked.iter().filter(|marked| marked.step.part == number);
                    let marks: Vec<_> = steps.flat_map(|marked| &marked.marks).collect();
                    assert!(marks.iter().all(|mark| mark.count > 0));
                    let sum: u32 = marks.iter().map(|mark| mark.count).sum();
                    match &part.marks {
                        Some(said) => assert_eq!(sum, said.value, "{name} {number}"),
                        None => {
                            let most = 4.max(u32::try_from(part.find.len()).unwrap());
                            assert!((1..=most).contains(&sum), "{name} {number}: {sum}");
                        }
                    }
                    let answered = worked.iter().filter(|marked| {
                        marked.step.part == number && marked.step.answer.is_some()
                    });
                    let unmarked = answered.filter(|marked| marked.marks.is_empty()).count();
                    let few = part.marks.as_ref().is_some_and(|m| m.value < part.find.len() as u32);
                    assert!(unmarked == 0 || few, "{name} {number}: {unmarked} unmarked answers");
                    compared += 1;
                }
                let scheme = worked.iter().map(earned).collect::<Vec<_>>().join(", ");
                assert_eq!(*first.get_or_insert(scheme.clone()), scheme, "{name}, {choice:?}");
            }
        }
    }
    assert!(compared > 500, "only {compared} parts");
}

#[test]
fn the_sheet_says_the_same_marks() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(root.join("units/quarnholm-salt.md")).unwrap();
    let model = model_of(&SourceFile::new("quarnholm-salt.md", text)).unwrap();
    let solved: Vec<(Solution<'_>, Vec<Answer>)> = model
        .questions
        .iter()
        .map(|checked| {
            let solution = choices(checked).iter().find_map(|choice| solve(checked, choice));
            let solution = solution.unwrap();
            let answers = solution.answers();
            (solution, answers)
        })
        .collect();
    let key = sheet(&Assessment::of_unit(&model), &solved, "A", 7, true);
    let learners = sheet(&Assessment::of_unit(&model), &solved, "A", 7, false);
    let mut all = 0;
    for (question, plain) in key.questions.iter().zip(&learners.questions) {
        assert_eq!(question.total, plain.total);
        let numbers: Vec<u32> = question
            .parts
            .iter()
            .flat_map(|part| part.solution.iter().filter_map(|step| step.number))
            .collect();
        assert_eq!(numbers, (1..).take(numbers.len()).collect::<Vec<_>>());
        for (part, plain) in question.parts.iter().zip(&plain.parts) {
            assert_eq!(part.marks, plain.marks);
            assert!(plain.solution.is_empty() && plain.working.is_empty());
            let written = part.solution.iter().flat_map(|step| step.marks.split_whitespace());
            let sum: u32 = written.map(|mark| mark[1..].parse::<u32>().unwrap()).sum();
            assert_eq!(sum, part.marks, "{}", question.number);
            all += sum;
        }
    }
    assert_eq!(all, key.score);
}

#[test]
fn remarks_stand_with_their_steps_on_the_key_alone() {
    let keys = "parts:\n  a:\n    find: steam.total\n    remark: Two figures do.\n    remarks:\n      \
                slurry.salt: All the `NaCl` stays.\n  b:\n    find: slurry.total\n    remarks: \
                {slurry.total: Not 24 kg.}\n";
    let model = unit(&format!("{PAN}{keys}"), "(a) Find it.\n\n(b) Find it.");
    let solution = solve(&model.questions[0], &[]).unwrap();
    let answers = solution.answers();
    let key = sheet(&Assessment::of_unit(&model), &[(solution, answers)], "A", 7, true);
    let said: Vec<Vec<String>> = key.questions[0]
        .parts
        .iter()
        .map(|part| {
            let steps = part.solution.iter().filter(|step| {
                // What a marker is told beside the steps is no step.
                !["Accept", "Slips to look for"].iter().any(|head| step.says.starts_with(head))
            });
            steps.map(|s| s.number.map_or(s.says.clone(), |number| number.to_string())).collect()
        })
        .collect();
    assert_eq!(
        said,
        [
            vec![
                "1",
                "2",
                "**Remark.** All the `NaCl` stays.",
                "3",
                // Asked in (b), found here.
                "**Remark.** Not 24 kg.",
                "4",
                "**Remark.** Two figures do.",
            ],
            vec!["5"],
        ]
    );
}
