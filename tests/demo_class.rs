//! The classes of the demonstration: invented learners and what they wrote, made by a seeded
//! model of mistakes, for a unit and for the term paper. The files beside these are those
//! that this makes; to write them anew run with STILLROOM_WRITE_EXPECTED=1.

#![allow(clippy::unwrap_used)] // also in the helpers, which are no test functions

mod cohort;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use cohort::{Dice, rounded};
use stillroom::document::Solved;
use stillroom::marking::{Column, columns};
use stillroom::question::{Form, Response};
use stillroom::run::{self, ClassSet, MarkJob, PrintJob};
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

/// What marks the class of this name, without sheets.
fn job(name: &str, out: PathBuf) -> MarkJob {
    MarkJob {
        unit: root().join(format!("units/{name}.md")),
        responses: root().join(format!("units/{name}.responses.csv")),
        versions: VERSIONS,
        seed: SEED,
        out,
        decimal: None,
        nameless: false,
        sheets: false,
        profile: stillroom::composing::Profile::default(),
    }
}

/// Someone who sat it: name, class, version.
type Sat = (String, String, u32);

/// Thirty learners of one class, who had the versions in turn.
fn class() -> Vec<Sat> {
    let name = |n: usize| format!("{} {}", FIRST[n % 15], LAST[(n * 3 + n / 15) % 8]);
    (0..30).map(|n| (name(n), "9B".to_owned(), n as u32 % VERSIONS)).collect()
}

/// The learners of the term paper's roster with the versions that they were given.
fn roster() -> Vec<Sat> {
    let folder = tempfile::tempdir().unwrap();
    let job = PrintJob {
        unit: root().join("units/term-one.paper.md"),
        versions: 1,
        only: None,
        seed: 1,
        out: folder.path().to_owned(),
        one_file: false,
        html: false,
        profile: stillroom::composing::Profile::default(),
        extras: run::Extras::default(),
        roster: Some(ClassSet {
            roster: root().join("units/term-one.roster.csv"),
            collate: None,
            spare: 0,
        }),
    };
    let printed = run::print(&job, &mut |_| ()).unwrap();
    let form = printed.folder.unwrap().join("responses.csv");
    let mut rows = csv::Reader::from_path(form).unwrap();
    let rows = rows.records().map(|row| row.unwrap());
    let version = |text: &str| run::version_number(&text[..1]).unwrap();
    rows.map(|row| (row[0].to_owned(), row[1].to_owned(), version(&row[2]))).collect()
}

/// The file of responses: who wrote what. `first` keeps two classes apart.
fn responses(unit: &str, seed: u64, sat: &[Sat], first: u64) -> String {
    let most = sat.iter().map(|(.., version)| version + 1).max().unwrap();
    let mut heads: Vec<String> =
        ["learner", "class", "version", "minutes"].map(str::to_owned).to_vec();
    let mut rows: BTreeMap<usize, String> = BTreeMap::new();
    run::solved_versions(&root().join(unit), seed, most, &mut |version, _, solved| {
        let columns = columns(solved);
        heads.truncate(4);
        heads.extend(columns.iter().map(|column| column.key.clone()));
        let own = sat.iter().enumerate().filter(|(_, (.., own))| *own == version);
        for (number, learner) in own {
            let mut dice = Dice::new(first + number as u64);
            rows.insert(number, row(learner, solved, &columns, &mut dice).join(","));
        }
    })
    .unwrap();
    let rows: Vec<&str> = rows.values().map(String::as_str).collect();
    assert_eq!(rows.len(), sat.len());
    format!("{}\n{}\n", heads.join(","), rows.join("\n"))
}

fn row(sat: &Sat, solved: &Solved<'_>, columns: &[Column], dice: &mut Dice) -> Vec<String> {
    let (name, class, version) = sat;
    let skill = 0.35 + 0.55 * dice.next();
    let minutes = 70 + dice.below(30);
    let version = letters(u64::from(*version));
    let mut row = vec![name.clone(), class.clone(), version, minutes.to_string()];
    let mut own: Vec<(usize, f64)> = Vec::new();
    let mut question = usize::MAX;
    for column in columns {
        if column.question != question {
            question = column.question;
            own.clear();
        }
        let (solution, answers) = &solved[question];
        let roll = dice.next();
        let Some(at) = column.answer else {
            let response = solution.response(column.part).unwrap();
            row.push(in_words(response, roll < skill, dice));
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
    row
}

/// A marking point as someone might write it. No commas: they part the cells.
fn plain(point: &str) -> String {
    point.replace(['*', '`', ',', '"', '\n'], "").trim().to_owned()
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
        Form::Reading { .. } if !response.values.is_empty() => {
            let value = &response.values[0];
            let read = if is_right { value.value } else { 1.2 * value.value };
            format!("{}", rounded(read, 3))
        }
        Form::Names | Form::Cells { .. } | Form::Odd { .. } if !response.key.is_empty() => {
            let key = response.key.replace(", ", "; ");
            if is_right { key } else { swapped(&key) }
        }
        _ if is_right && !response.points.is_empty() => {
            let said: Vec<String> =
                response.points.iter().map(|point| plain(&point.text)).collect();
            said.join("; ")
        }
        _ => "it would not hold other salts; the pan gets too hot".to_owned(),
    }
}

/// Whether the file is the one that is made; where that is asked for it is written.
fn is_made(file: &str, made: &str) {
    let path = root().join(file);
    if std::env::var_os("STILLROOM_WRITE_EXPECTED").is_some() {
        std::fs::write(&path, made).unwrap();
    }
    let stands = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(stands == made, "{file}: run with STILLROOM_WRITE_EXPECTED=1");
}

#[test]
fn the_demonstration_class_is_the_one_that_the_model_makes() {
    let made = responses("units/quarnholm-salt.md", SEED, &class(), 4000);
    is_made("units/quarnholm-salt.responses.csv", &made);
}

#[test]
fn the_term_paper_was_sat_by_the_learners_of_its_roster() {
    let sat = roster();
    let made = responses("units/term-one.paper.md", 1, &sat, 9000);
    is_made("units/term-one.responses.csv", &made);
    let folder = tempfile::tempdir().unwrap();
    let job = MarkJob {
        unit: root().join("units/term-one.paper.md"),
        ..job("term-one", folder.path().to_owned())
    };
    let done = run::mark(&job, &mut |_| ()).unwrap();
    assert_eq!((done.learners, done.held_back), (30, 0), "{:?}", done.findings.first());
}

#[test]
fn it_is_marked_whole_and_the_same_each_time() {
    let folder = tempfile::tempdir().unwrap();
    let files = |name: &str, nameless: bool| {
        let job = MarkJob { nameless, ..job("quarnholm-salt", folder.path().join(name)) };
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
fn another_seed_than_that_of_the_pages_is_noticed() {
    let folder = tempfile::tempdir().unwrap();
    let told = |seed: u64| {
        let job = MarkJob { seed, ..job("quarnholm-salt", folder.path().to_owned()) };
        let done = run::mark(&job, &mut |_| ()).unwrap();
        done.findings.iter().any(|finding| finding.message.contains("hardly any number"))
    };
    assert!(told(SEED + 1), "the wrong seed goes unnoticed");
    assert!(!told(SEED), "the right seed is doubted");
}

#[test]
fn what_a_person_decides_is_read_again() {
    let folder = tempfile::tempdir().unwrap();
    let job = job("quarnholm-salt", folder.path().to_owned());
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
