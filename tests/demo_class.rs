//! The class of the demonstration: thirty invented learners and what they wrote, made by
//! a seeded model of mistakes. The file beside the unit is the one that this makes; to
//! write it anew after a change of the unit run with STILLROOM_WRITE_EXPECTED=1.

#![allow(clippy::unwrap_used)] // also in the helpers, which are no test functions

mod cohort;

use std::path::{Path, PathBuf};

use cohort::{Dice, choices, model, rounded};
use stillroom::question::Solution;
use stillroom::run::{self, MarkJob};
use stillroom::version::letters;

const SEED: u64 = 7;
const VERSIONS: u32 = 12;

/// Names that belong to nobody.
const FIRST: [&str; 15] = [
    "Ivo", "Maren", "Tobin", "Elke", "Oskar", "Runa", "Pell", "Sunniva", "Dario", "Fenna", "Joss",
    "Katla", "Lorin", "Mika", "Nessa",
];
const LAST: [&str; 8] = ["Marram", "Ostvik", "Pender", "Quill", "Raske", "Selby", "Tarn", "Ulven"];

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).to_owned()
}

/// The file of responses: who wrote what.
fn responses() -> String {
    let model = model(&root().join("units/quarnholm-salt.md"));
    let versions: Vec<Vec<Vec<usize>>> =
        model.questions.iter().map(|q| choices(&model, q, SEED, VERSIONS)).collect();
    let mut heads =
        vec!["learner".to_owned(), "class".to_owned(), "version".to_owned(), "minutes".to_owned()];
    let mut rows: Vec<Vec<String>> = Vec::new();
    for learner in 0..30usize {
        let mut dice = Dice::new(4000 + learner as u64);
        let version = learner % VERSIONS as usize;
        let skill = 0.35 + 0.55 * dice.next();
        let name = format!("{} {}", FIRST[learner % 15], LAST[(learner * 3 + learner / 15) % 8]);
        let minutes = 70 + dice.below(30);
        let mut row = vec![name, "9B".to_owned(), letters(version as u64), minutes.to_string()];
        for (number, checked) in model.questions.iter().enumerate() {
            let solution = Solution::of(checked, &versions[number][version]).unwrap();
            let answers = solution.answers();
            let mut own: Vec<(usize, f64)> = Vec::new();
            for (at, answer) in answers.iter().enumerate() {
                if learner == 0 {
                    let letter = checked.question.parts[answer.part].label.as_ref();
                    let lines = answers.iter().filter(|a| a.part == answer.part).count();
                    let line = answers[..at].iter().filter(|a| a.part == answer.part).count() + 1;
                    let dot = if lines > 1 { format!(".{line}") } else { String::new() };
                    heads.push(format!(
                        "{}{}{dot}",
                        number + 1,
                        letter.map_or("", |l| l.value.as_str())
                    ));
                }
                let going_on = solution.going_on(&own);
                let mine = if own.is_empty() { answer.clone() } else { going_on.answer(at) };
                let slips = going_on.slips(answer.part, &mine);
                let figures = answer.rounded.figures().max(2) as i32;
                let roll = dice.next();
                let right = answer.unit.from_si(mine.value);
                let value = if roll < skill || !right.is_finite() {
                    right
                } else if roll < skill + 0.06 {
                    row.push(String::new());
                    continue;
                } else if roll < skill + 0.10 {
                    10.0 * right
                } else if !slips.is_empty() && dice.next() < 0.8 {
                    answer.unit.from_si(slips[dice.below(slips.len())].value)
                } else {
                    right * (1.07 + 0.6 * dice.next())
                };
                let value = rounded(value, figures);
                let places = (figures - 1 - value.abs().max(1e-9).log10().floor() as i32).max(0);
                row.push(format!("{value:.*}", places as usize));
                if roll >= skill {
                    own.push((at, answer.unit.to_si(value)));
                }
            }
        }
        rows.push(row);
    }
    let mut text = heads.join(",") + "\n";
    rows.iter().for_each(|row| text.push_str(&(row.join(",") + "\n")));
    text
}

#[test]
fn the_demonstration_class_is_the_one_that_the_model_makes() {
    let path = root().join("units/quarnholm-salt.responses.csv");
    let made = responses();
    if std::env::var_os("STILLROOM_WRITE_EXPECTED").is_some() {
        std::fs::write(&path, &made).unwrap();
    }
    assert!(
        std::fs::read_to_string(&path).unwrap_or_default() == made,
        "run with STILLROOM_WRITE_EXPECTED=1"
    );
}

#[test]
fn it_is_marked_whole_and_the_same_each_time() {
    let folder = tempfile::tempdir().unwrap();
    let files = |name: &str, nameless: bool| {
        let job = MarkJob {
            unit: root().join("units/quarnholm-salt.md"),
            responses: root().join("units/quarnholm-salt.responses.csv"),
            versions: VERSIONS,
            seed: SEED,
            out: folder.path().join(name),
            decimal: None,
            nameless,
            sheets: false,
            profile: run::profile(false, false),
        };
        let done = run::mark(&job, &mut |_| ()).unwrap();
        assert_eq!((done.learners, done.held_back), (30, 0), "{:?}", done.findings.first());
        let mut files: Vec<(String, Vec<u8>)> = std::fs::read_dir(done.folder.unwrap())
            .unwrap()
            .map(|entry| {
                let path = entry.unwrap().path();
                let name = path.file_name().unwrap().to_str().unwrap().to_owned();
                (name, std::fs::read(path).unwrap())
            })
            .collect();
        files.sort();
        files
    };
    let (first, second) = (files("one", false), files("two", false));
    let names: Vec<&str> = first.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(names, ["items.csv", "marks.csv", "reasons.csv", "report.json", "report.pdf"]);
    assert!(first == second, "two runs differ");
    let nameless = files("three", true);
    for (name, bytes) in nameless.iter().filter(|(name, _)| !name.ends_with("pdf")) {
        let text = String::from_utf8_lossy(bytes);
        assert!(!FIRST.iter().any(|first| text.contains(first)), "{name} tells a name");
    }
}
