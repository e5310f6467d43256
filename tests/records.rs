//! Textbook problems, each a unit file of its own, solved by the engine and
//! compared with a re-solve to 12 figures and with the printed answers; and problems
//! of our own, compared with closed forms. Sources stand beside each record in
//! `records/records.toml` and `records/constructed/constructed.toml`.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use serde::Deserialize;
use stillroom::diag::{Diagnostics, Severity};
use stillroom::quantity::{Formula, Unit};
use stillroom::reading;
use stillroom::reading::model::{self, Model};

#[derive(Deserialize)]
struct Records {
    #[serde(default)]
    record: Vec<Record>,
    #[serde(default)]
    ill_posed: Vec<IllPosed>,
}

#[derive(Deserialize)]
struct Record {
    id: String,
    #[serde(default)]
    source: String,
    /// The unit file and the question in it, where they are not named like the record.
    file: Option<String>,
    question: Option<String>,
    /// Why it is no question of the language, where it is not.
    left_out: Option<String>,
    /// What the closed forms of the answers use.
    #[serde(default)]
    with: BTreeMap<String, f64>,
    /// How near the answers must come, where it is not 1e-6.
    relative: Option<f64>,
    #[serde(default)]
    answers: Vec<Answer>,
}

#[derive(Deserialize)]
struct IllPosed {
    code: Vec<String>,
    #[serde(flatten)]
    record: Record,
}

#[derive(Deserialize)]
struct Answer {
    find: String,
    unit: String,
    solved: Option<f64>,
    /// School algebra over the record's `with`, in the answer's unit.
    closed: Option<String>,
    published: Option<String>,
    tolerance: Option<f64>,
}

impl Answer {
    /// What the engine must find.
    fn expected(&self, with: &BTreeMap<String, f64>) -> f64 {
        let closed = || {
            let formula = Formula::parse(self.closed.as_ref()?, |at| at).expect("a closed form");
            formula.evaluate(&|path| with.get(&path.join(".")).copied())
        };
        self.solved.or_else(closed).expect("a number to compare with")
    }
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/records")
}

fn load(id: &str) -> (Option<Model>, Vec<(Severity, String, String)>) {
    let path = folder().join(format!("{id}.md"));
    let mut found = Diagnostics::new();
    let file = reading::file::read(&path, &format!("{id}.md"), &mut found).expect("a text file");
    let model = reading::parse(&file, &mut found).map(|p| model::check(&Arc::new(p), &mut found));
    let said = found
        .sorted()
        .into_iter()
        .map(|d| (d.severity, d.code.text().to_owned(), stillroom::diag::render(&d, false)))
        .collect();
    (model, said)
}

/// Every mismatch of a record, in words.
fn compare(record: &Record, file: &str, wrong: &mut Vec<String>) {
    let (id, answers) = (&record.id, &record.answers);
    let question = record.question.as_deref().unwrap_or("balance");
    let (model, said) = load(file);
    for (severity, _, text) in &said {
        if *severity == Severity::Error {
            wrong.push(format!("{id}: {text}"));
        }
    }
    let Some(question) =
        model.as_ref().and_then(|m| m.questions.iter().find(|q| q.question.id.value == question))
    else {
        wrong.push(format!("{id}: no question"));
        return;
    };
    let choice = vec![0; question.axes().len()];
    let slots = match question.engine.solve(&question.values_for(&choice)) {
        Ok(slots) => slots,
        Err(refusal) => {
            wrong.push(format!("{id}: refused, {refusal:?}"));
            return;
        }
    };
    if question.asked.len() != answers.len() {
        wrong.push(format!("{id}: {} asked, {} answers", question.asked.len(), answers.len()));
    }
    for (number, answer) in answers.iter().enumerate() {
        let unit = Unit::parse(&answer.unit).expect("a unit");
        let value = unit.from_si(slots[question.engine.system.asked[number]]);
        let expected = answer.expected(&record.with);
        let near = record.relative.unwrap_or(1e-6) * expected.abs();
        if !value.is_finite() || (value - expected).abs() > near {
            wrong.push(format!("{id}: {} is {value}, not {expected}", answer.find));
        }
        if let Some(published) = &answer.published {
            let printed: f64 = published.parse().expect("a number");
            let (digits, power) = published.split_once('e').unwrap_or((published, "0"));
            let places = digits.split_once('.').map_or(0, |(_, p)| p.len() as i32);
            let power: i32 = power.parse().expect("a power of ten");
            let half = 0.5 * 10f64.powi(power - places) * (1.0 + 1e-9);
            if (value - printed).abs() > answer.tolerance.unwrap_or(half) {
                wrong.push(format!("{id}: {} is {value}, printed {published}", answer.find));
            }
        }
    }
}

/// Every record of a list has its unit file, or says why it has none.
fn check_file(name: &str, listed: usize, stated: usize) {
    let text = std::fs::read_to_string(folder().join(name)).expect("the list of records");
    let records: Records = toml::from_str(&text).expect("a list of records");
    let ids: BTreeSet<&str> = records.record.iter().map(|record| record.id.as_str()).collect();
    assert_eq!((ids.len(), records.record.len()), (listed, listed), "records listed once");
    let mut wrong = Vec::new();
    let mut found = 0;
    for record in &records.record {
        assert!(!record.source.is_empty(), "{} has no source", record.id);
        if record.left_out.as_ref().is_some_and(|reason| !reason.is_empty()) {
            continue;
        }
        found += 1;
        if record.answers.is_empty() {
            wrong.push(format!("{}: no answers and no reason", record.id));
        }
        let file = record.file.as_deref().unwrap_or(&record.id);
        let folder = name.rsplit_once('/').map_or("", |(folder, _)| folder);
        compare(record, &Path::new(folder).join(file).to_string_lossy(), &mut wrong);
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(found >= stated, "only {found} of {listed} are stated");
}

#[test]
fn textbook_answers_are_met() {
    check_file("records.toml", 59, 54);
}

#[test]
fn closed_forms_are_met() {
    check_file("constructed/constructed.toml", 28, 28);
}

#[test]
fn facts_of_the_trade_are_met() {
    check_file("trade-facts.toml", 2, 2);
}

#[test]
fn ill_posed_problems_get_their_verdict() {
    let text = std::fs::read_to_string(folder().join("records.toml")).expect("the list");
    let records: Records = toml::from_str(&text).expect("a list of records");
    let mut wrong = Vec::new();
    assert_eq!(records.ill_posed.len(), 6);
    for case in &records.ill_posed {
        let (_, said) = load(&case.record.id);
        let errors: Vec<&str> = said
            .iter()
            .filter(|(severity, ..)| *severity == Severity::Error)
            .map(|(_, code, _)| code.as_str())
            .collect();
        let met = if case.code.is_empty() {
            errors.is_empty()
        } else {
            errors.iter().any(|code| case.code.iter().any(|c| c == code))
        };
        if !met {
            let all: Vec<&String> = said.iter().map(|(_, _, text)| text).collect();
            let id = &case.record.id;
            wrong.push(format!("{id}: wanted {:?}, got {errors:?} {all:?}", case.code));
        }
        if !case.record.answers.is_empty() {
            compare(&case.record, &case.record.id, &mut wrong);
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// A teacher who gives millilitres a minute expects moles a minute, and grams beside
/// millilitres; the base units are nobody's.
#[test]
fn masses_and_moles_beside_a_volume_take_its_size_and_time() {
    for (id, units) in [
        ("mix-humid-oxygen", ["mol/min", "mol/min", "mol/min", ""].as_slice()),
        ("distil-felder-435", ["kg/h", "", "kg/h", "kg/h", "kg/h", "kg/h", ""].as_slice()),
        ("extract-acetone-chloroform", ["g", "g", ""].as_slice()),
        ("solution-strengths", ["", "kg/L", "", "mol/kg"].as_slice()),
        ("constructed/acid-by-volume", ["kg", "kg", "L", "kg/L"].as_slice()),
    ] {
        let (model, _) = load(id);
        let question = &model.as_ref().expect("a unit").questions[0];
        let shown: Vec<&str> = question.asked.iter().map(|asked| asked.unit.text()).collect();
        assert_eq!(shown, units, "{id}");
    }
}

/// No answer of a record goes without a name that says what it is, but for formulas
/// too long to be names.
#[test]
fn answers_say_what_they_are() {
    let (model, _) = load("purge-na3po4");
    let question = &model.as_ref().expect("a unit").questions[0];
    let solution = stillroom::question::Solution::of(question, &[]).expect("a solution");
    let names: Vec<String> = solution.answers().into_iter().map(|answer| answer.name).collect();
    assert_eq!(names[0], "flow of mother");
    assert_eq!(names[6], "flow of fresh \u{2212} flow of vapour");
}
