//! A cohort of invented learners whose mistakes are known, marked from a file as a tutor
//! would mark it, against marks worked out here.

#![allow(clippy::unwrap_used)] // also in the helpers, which are no test functions

mod cohort;

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use cohort::{Answered, Dice, Meant, Values, answers, choices, model};
use stillroom::question::{Answer, Solution};
use stillroom::reading::model::Model;
use stillroom::run::{self, MarkJob};
use stillroom::version::letters;

const SEED: u64 = 31;
const VERSIONS: u32 = 6;

fn unit() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/samples/marking.md")
}

/// A version's drawn values, and what Stillroom accepts for each key.
struct Sheet {
    values: Values,
    accepted: BTreeMap<String, Answer>,
}

fn sheets(model: &Model) -> Vec<Sheet> {
    let mut sheets: Vec<Sheet> =
        (0..VERSIONS).map(|_| Sheet { values: Values::new(), accepted: BTreeMap::new() }).collect();
    for (number, checked) in model.questions.iter().enumerate() {
        for (sheet, choice) in sheets.iter_mut().zip(choices(model, checked, SEED, VERSIONS)) {
            for (value, base) in checked.values.iter().zip(checked.values_for(&choice)) {
                let percent = value.unit.print() == "%";
                let shown = if percent { base } else { value.unit.from_si(base) };
                sheet.values.insert(value.name.clone(), shown);
            }
            let solution = Solution::of(checked, &choice).unwrap();
            for answer in solution.answers() {
                let letter = checked.question.parts[answer.part].label.as_ref().unwrap();
                sheet.accepted.insert(format!("{}{}", number + 1, letter.value), answer);
            }
        }
    }
    sheets
}

struct Judgement {
    verdict: String,
    marks: u32,
    reason: String,
}

fn marked(csv: &str) -> BTreeMap<(String, String), Judgement> {
    let folder = tempfile::tempdir().unwrap();
    let responses = folder.path().join("responses.csv");
    std::fs::write(&responses, csv).unwrap();
    let job = MarkJob {
        unit: unit(),
        responses,
        versions: VERSIONS,
        seed: SEED,
        out: folder.path().join("out"),
        decimal: None,
        nameless: false,
        sheets: false,
        profile: stillroom::composing::Profile::default(),
    };
    let done = run::mark(&job, &mut |_| ()).unwrap();
    assert_eq!(done.held_back, 0, "{:?}", done.findings.first());
    let mut reader = csv::Reader::from_path(done.folder.unwrap().join("reasons.csv")).unwrap();
    reader
        .records()
        .map(|record| {
            let cells: Vec<String> = record.unwrap().iter().map(str::to_owned).collect();
            let judgement = Judgement {
                verdict: cells[7].clone(),
                marks: cells[5].parse().unwrap(),
                reason: cells[8].clone(),
            };
            ((cells[0].clone(), cells[3].clone()), judgement)
        })
        .collect()
}

/// The marks of each part in the sample, and of them those for the method.
fn worth(key: &str) -> (u32, u32) {
    match key {
        "1b" | "2b" | "3b" => (2, 1),
        "4b" => (3, 2),
        "4c" => (2, 1),
        _ => (1, 0),
    }
}

#[test]
fn a_cohort_of_a_thousand_is_told_what_each_did() {
    const LEARNERS: usize = 1000;
    let model = model(&unit());
    let sheets = sheets(&model);
    let keys: Vec<&String> = sheets[0].accepted.keys().collect();
    let mut csv = String::from("learner,version");
    keys.iter().for_each(|key| write!(csv, ",{key}").unwrap());
    csv.push('\n');
    let mut cohort: Vec<(String, usize, Vec<Answered>)> = Vec::new();
    for number in 0..LEARNERS {
        let version = number % sheets.len();
        let given = answers(&mut Dice::new(number as u64), &sheets[version].values);
        let name = format!("Invented {number}");
        write!(csv, "{name},{}", letters(version as u64)).unwrap();
        given.iter().for_each(|one| write!(csv, ",{}", one.typed).unwrap());
        csv.push('\n');
        cohort.push((name, version, given));
    }
    let judged = marked(&csv);

    let (mut named, mut named_right) = (0, 0);
    let (mut followed, mut through_wrong) = (0, Vec::new());
    for (name, version, given) in &cohort {
        for one in given {
            let accepted = &sheets[*version].accepted[one.key];
            let judgement = &judged[&(name.clone(), one.key.to_owned())];
            let place =
                format!("{name}, {}: {one:?}: {} {}", one.key, judgement.verdict, judgement.reason);
            let (all, method) = worth(one.key);
            if one.meant == Meant::Blank {
                assert_eq!((judgement.verdict.as_str(), judgement.marks), ("blank", 0), "{place}");
                continue;
            }
            // What is within the range is right, and nothing else is called so.
            let is_within = (accepted.lowest - 1e-9..=accepted.highest + 1e-9).contains(&one.value);
            assert_eq!(judgement.verdict == "right", is_within, "{place}");
            if is_within {
                assert_eq!(judgement.marks, all, "{place}");
                continue;
            }
            match &one.meant {
                // Nothing but rounding keeps what is right out of the range.
                Meant::Right => {
                    let fine =
                        ["figures", "followed through"].contains(&judgement.verdict.as_str());
                    assert!(fine && judgement.marks == all, "{place}");
                }
                Meant::Through => {
                    // A formula that does not speak of (a) is not followed from it.
                    if one.key == "1b" {
                        continue;
                    }
                    followed += 1;
                    // From their own answers, where what follows can be.
                    let v = &sheets[*version].values;
                    // Nothing comes out heavier than what went in, and no share is above 1.
                    let most = match one.key {
                        "2b" | "2c" => v["sea_mass"],
                        "3b" => 1000.0 * v["brine_mass"],
                        "3c" => v["brine_mass"],
                        "4b" => 100.0,
                        _ => f64::INFINITY,
                    };
                    let can_be = one.value > 0.0 && one.value < most;
                    let through =
                        ["followed through", "figures"].contains(&judgement.verdict.as_str());
                    if can_be != (judgement.marks == all && through) {
                        through_wrong.push(place);
                    }
                }
                Meant::Mistake(mistake) => {
                    named += 1;
                    if judgement.reason.contains(mistake) {
                        named_right += 1;
                        assert_eq!(judgement.marks, 0, "{place}");
                    }
                }
                Meant::Point => {
                    if judgement.verdict == "decimal point" {
                        assert_eq!(judgement.marks, method, "{place}");
                    }
                }
                Meant::Slip => {
                    assert!(
                        judgement.verdict != "followed through" || judgement.marks == all,
                        "{place}"
                    );
                }
                Meant::Blank => unreachable!(),
            }
        }
    }
    assert!(named > 500 && followed > 500, "{named} mistakes, {followed} followed through");
    assert!(named_right * 100 >= named * 95, "{named_right} of {named} named");
    assert!(
        through_wrong.len() * 50 <= followed,
        "{} of {followed}\n{}",
        through_wrong.len(),
        through_wrong.iter().take(12).cloned().collect::<Vec<_>>().join("\n")
    );
}

/// One learner on version A: keys and what is typed there; what becomes of it.
fn one(cells: &[(&str, String)]) -> BTreeMap<String, Judgement> {
    let keys = ["1a", "1b", "2a", "2b", "2c", "3a", "3b", "3c", "4a", "4b", "4c"];
    let mut csv = format!("learner,version,{}\nInvented,A", keys.join(","));
    for key in keys {
        let cell = cells.iter().find(|(k, _)| *k == key).map_or("", |(_, c)| c.as_str());
        write!(csv, ",\"{cell}\"").unwrap();
    }
    csv.push('\n');
    marked(&csv).into_iter().map(|((_, key), judgement)| (key, judgement)).collect()
}

#[test]
fn tolerant_where_a_person_would_be() {
    let model = model(&unit());
    let sheet = &sheets(&model)[0];
    let right = |key: &str| sheet.accepted[key].rounded.value;
    let (salts, salt, blend) = (right("1a"), right("2a"), right("4a"));
    let spellings: Vec<(&str, String)> = vec![
        ("1a", format!("{salts:.2}").replace('.', ",")),
        ("1a", format!("  {salts:.2} g ")),
        ("1a", format!("m = {salts:.2}g")),
        ("1a", format!("{} mg", (salts * 1000.0).round())),
        ("1a", format!("about {salts:.2}")),
        ("1a", format!("{:.2}e0", salts)),
        ("1a", format!("{:.0}/100", salts * 100.0)),
        ("2a", format!("{:.4} x 10^2 kg", salt / 100.0)),
        ("2a", format!("{:.4} × 10²", salt / 100.0)),
        ("2a", format!("{:.4}*10^2", salt / 100.0)),
        ("2a", format!("{:.4}E+02", salt / 100.0)),
        ("2a", format!("{:.4} t", salt / 1000.0)),
        ("4a", format!("{blend} KG")),
        ("4b", format!("{} %", right("4b"))),
        ("4b", format!("{}%", right("4b"))),
    ];
    for (key, cell) in spellings {
        let judged = one(&[(key, cell.clone())]);
        assert_eq!(judged[key].verdict, "right", "{key}: {cell}: {}", judged[key].reason);
    }
}

#[test]
fn a_slip_of_unit_or_figures_costs_a_mark_once() {
    let model = model(&unit());
    let sheet = &sheets(&model)[0];
    let right = |key: &str| sheet.accepted[key].rounded.value;
    let judged = one(&[
        ("2b", format!("{} kg", right("2b"))),
        ("3b", format!("{} t", right("3b"))),
        ("4a", format!("{} g/dm3", right("4a"))),
    ]);
    let all: Vec<(&str, u32)> = ["2b", "3b", "4a"]
        .iter()
        .map(|key| (judged[*key].verdict.as_str(), judged[*key].marks))
        .collect();
    assert_eq!(all, [("unit", 1), ("unit", 2), ("unit", 1)]);

    let judged = one(&[
        ("1b", "[1]".into()),
        ("2b", "12 [2]".into()),
        ("2c", "-".into()),
        ("4b", "none".into()),
    ]);
    let of = |key: &str| (judged[key].verdict.as_str(), judged[key].marks);
    assert_eq!(of("1b"), ("by hand", 1));
    assert_eq!(of("2b"), ("by hand", 2));
    assert_eq!(of("2c"), ("blank", 0));
    assert_eq!(of("4b"), ("wrong", 0));
}

#[test]
fn rows_of_marks_stand_beside_rows_of_answers() {
    let csv = "learner,version,entry,1a,1b,2a,2b,2c,3a,3b,3c,4a,4b,4c\n\
        Ann,A,marks,1,2,1,0,-,1,2,1,1,3,2\n\
        Bo,B,,,,,,,,,,,,\n";
    let judged = marked(csv);
    let of = |name: &str, key: &str| {
        let one = &judged[&(name.to_owned(), key.to_owned())];
        (one.verdict.clone(), one.marks)
    };
    assert_eq!(of("Ann", "4b"), ("by hand".to_owned(), 3));
    assert_eq!(of("Ann", "2b"), ("by hand".to_owned(), 0));
    assert_eq!(of("Ann", "2c"), ("blank".to_owned(), 0));
    assert_eq!(of("Bo", "4b"), ("blank".to_owned(), 0));
}
