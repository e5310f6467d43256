//! The class of the demonstration: thirty invented learners and what they wrote, made by
//! a seeded model of mistakes. The file beside the unit is the one that this makes; to
//! write it anew after a change of the unit run with STILLROOM_WRITE_EXPECTED=1.

#![allow(clippy::unwrap_used)] // also in the helpers, which are no test functions

mod cohort;

use std::path::{Path, PathBuf};

use cohort::{Dice, model, rounded, solved};
use stillroom::marking::columns;
use stillroom::question::{Form, Response};
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
    let versions: Vec<_> =
        (0..VERSIONS).map(|version| solved(&model, SEED, VERSIONS, version)).collect();
    let columns = columns(&versions[0]);
    let mut heads: Vec<String> =
        ["learner", "class", "version", "minutes"].map(str::to_owned).to_vec();
    heads.extend(columns.iter().map(|column| column.key.clone()));
    let mut text = heads.join(",") + "\n";
    for learner in 0..30usize {
        let mut dice = Dice::new(4000 + learner as u64);
        let version = learner % VERSIONS as usize;
        let skill = 0.35 + 0.55 * dice.next();
        let name = format!("{} {}", FIRST[learner % 15], LAST[(learner * 3 + learner / 15) % 8]);
        let minutes = 70 + dice.below(30);
        let mut row = vec![name, "9B".to_owned(), letters(version as u64), minutes.to_string()];
        let mut own: Vec<(usize, f64)> = Vec::new();
        let mut question = usize::MAX;
        for column in &columns {
            if column.question != question {
                question = column.question;
                own.clear();
            }
            let (solution, answers) = &versions[version][question];
            let roll = dice.next();
            let Some(at) = column.answer else {
                let response = solution.response(column.part).unwrap();
                row.push(in_words(response, roll < skill, &mut dice));
                continue;
            };
            let answer = &answers[at];
            let going_on = solution.going_on(&own);
            let mine = if own.is_empty() { answer.clone() } else { going_on.answer(at) };
            let slips = going_on.slips(answer.part, &mine);
            let figures = answer.rounded.figures().max(2) as i32;
            let right = answer.unit.from_si(mine.value);
            let value = if !right.is_finite() || (skill..skill + 0.06).contains(&roll) {
                // From their own numbers nothing can be worked out, or it was left out.
                row.push(String::new());
                continue;
            } else if roll < skill {
                right
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
        text.push_str(&(row.join(",") + "\n"));
    }
    text
}

/// What someone writes where no number is asked for. No commas: they part the cells.
fn in_words(response: &Response, is_right: bool, dice: &mut Dice) -> String {
    let swapped = |key: &str| {
        let mut signs: Vec<&str> = key.split(' ').collect();
        let last = signs.len() - 1;
        signs.swap(0, last.max(1).min(last));
        signs.join(" ").to_lowercase()
    };
    match &response.form {
        Form::Options { options, .. } if is_right => {
            let right: Vec<&str> =
                options.iter().filter(|o| o.right).map(|o| o.letter.as_str()).collect();
            right.join(" ").to_lowercase()
        }
        Form::Options { options, .. } => options[dice.below(options.len())].letter.clone(),
        Form::Judgement { answer, .. } => match (is_right, *answer) {
            (true, true) => "true".to_owned(),
            (true, false) => "false; the salt is dissolved and runs through".to_owned(),
            (false, true) => "false".to_owned(),
            (false, false) => "false; the salt is too small".to_owned(),
        },
        Form::Pairs { .. } | Form::Sequence { .. } if is_right => response.key.clone(),
        Form::Pairs { .. } | Form::Sequence { .. } => swapped(&response.key),
        Form::Gaps { words, .. } if is_right => words.join("; "),
        Form::Gaps { words, .. } => format!("{}; filtration", words[0]),
        _ if is_right => {
            "the bittern holds magnesium salts; the salt would taste bitter".to_owned()
        }
        _ => "it would not hold other salts; the pan gets too hot".to_owned(),
    }
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
            profile: stillroom::composing::Profile::default(),
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
    let made =
        ["decisions.csv", "items.csv", "marks.csv", "reasons.csv", "report.json", "report.pdf"];
    assert_eq!(names, made);
    assert!(first == second, "two runs differ");
    let nameless = files("three", true);
    for (name, bytes) in nameless.iter().filter(|(name, _)| !name.ends_with("pdf")) {
        let text = String::from_utf8_lossy(bytes);
        assert!(!FIRST.iter().any(|first| text.contains(first)), "{name} tells a name");
    }
}

#[test]
fn what_a_person_decides_is_read_again() {
    let folder = tempfile::tempdir().unwrap();
    let job = MarkJob {
        unit: root().join("units/quarnholm-salt.md"),
        responses: root().join("units/quarnholm-salt.responses.csv"),
        versions: VERSIONS,
        seed: SEED,
        out: folder.path().to_owned(),
        decimal: None,
        nameless: false,
        sheets: false,
        profile: stillroom::composing::Profile::default(),
    };
    let made = run::mark(&job, &mut |_| ()).unwrap().folder.unwrap();
    let read = |name: &str| std::fs::read_to_string(made.join(name)).unwrap();
    let doubtful = read("decisions.csv");
    assert!(doubtful.lines().count() > 1, "nothing was doubtful");
    // Full marks for each.
    let lines: Vec<String> = doubtful
        .lines()
        .enumerate()
        .map(|(at, line)| match at {
            0 => line.to_owned(),
            _ => {
                let of = line.trim_end_matches(',').rsplit(',').next().unwrap();
                format!("{line}{of}")
            }
        })
        .collect();
    std::fs::write(made.join("decisions.csv"), lines.join("\n") + "\n").unwrap();
    let before = read("marks.csv");
    run::mark(&job, &mut |_| ()).unwrap();
    assert_eq!(read("decisions.csv").trim(), lines.join("\n"), "decisions stay");
    assert!(read("marks.csv") != before, "decisions count");
    assert!(read("reasons.csv").contains("decided by a person"));
}
