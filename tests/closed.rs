//! Every answer of the demonstration units, in many versions, against a second
//! solution: the linear systems of `data/closed/`, written by hand from the
//! questions' wording, read by the small evaluator below and solved by
//! nalgebra's LU. Nothing of the way there is Stillroom's own.

#![allow(clippy::unwrap_used)] // also in the helpers, which are no test functions

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use nalgebra::{DMatrix, DVector};
use serde::Deserialize;
use stillroom::diag::Diagnostics;
use stillroom::quantity::Unit;
use stillroom::question::{Answer, Solution};
use stillroom::reading;
use stillroom::reading::model::{self, Checked, Model, Source};
use stillroom::run::{self, PrintJob};
use stillroom::version::{Axis, Draws, Key, Space, letters};

/// The units, each with the file of its second solutions.
const UNITS: [&str; 3] = ["quarnholm-salt", "ombrindale-potash", "lissenfold-lavender"];

#[derive(Deserialize)]
struct Closed {
    /// Points of the tables that questions print, in order.
    #[serde(default)]
    tables: BTreeMap<String, Vec<[f64; 2]>>,
    question: Vec<System>,
}

#[derive(Deserialize)]
struct System {
    id: String,
    /// The unit in which each drawn value is taken.
    values: BTreeMap<String, String>,
    /// Names for what a table gives at a value.
    #[serde(default)]
    reads: BTreeMap<String, [String; 2]>,
    unknowns: Vec<String>,
    equations: Vec<String>,
    /// Names for where a table gives what a formula over the unknowns comes to.
    #[serde(default)]
    reads_back: BTreeMap<String, [String; 2]>,
    part: Vec<Part>,
}

#[derive(Deserialize)]
struct Part {
    label: String,
    answer: String,
    unit: String,
}

fn closed(unit: &str) -> Closed {
    let short = unit.split('-').next().unwrap();
    let path =
        Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("tests/data/closed/{short}.toml"));
    toml::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

/// The questions in which something is worked out; words have no second solution.
fn worked(model: &Model) -> impl Iterator<Item = &Checked> {
    model.questions.iter().filter(|checked| !checked.asked.is_empty())
}

fn demo(unit: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("units/{unit}.md"))
}

fn model(unit: &str) -> Model {
    let mut found = Diagnostics::new();
    let file = reading::file::read(&demo(unit), unit, &mut found).unwrap();
    let parsed = Arc::new(reading::parse(&file, &mut found).unwrap());
    let model = model::check(&parsed, &mut found);
    assert!(!found.has_errors());
    model
}

/// What lies at `from` on the straight lines between points: column 1 at column 0,
/// or the other way round.
fn between(points: &[[f64; 2]], from: usize, at: f64) -> f64 {
    let to = 1 - from;
    let pair = points.windows(2).find(|pair| {
        let ends = [pair[0][from], pair[1][from]];
        (at - ends[0]) * (at - ends[1]) <= 1e-9
    });
    let pair = pair.unwrap_or_else(|| panic!("{at} is off the table"));
    let part = (at - pair[0][from]) / (pair[1][from] - pair[0][from]);
    pair[0][to] + part * (pair[1][to] - pair[0][to])
}

/// What a formula of numbers, names and `+ - * / ( )` comes to.
struct Sum<'a> {
    rest: &'a str,
    known: &'a BTreeMap<String, f64>,
}

fn value(formula: &str, known: &BTreeMap<String, f64>) -> f64 {
    let mut sum = Sum { rest: formula, known };
    let value = sum.terms();
    assert_eq!(sum.rest.trim(), "", "in {formula:?}");
    value
}

impl Sum<'_> {
    fn take(&mut self, sign: char) -> bool {
        self.rest = self.rest.trim_start();
        let rest = self.rest.strip_prefix(sign);
        self.rest = rest.unwrap_or(self.rest);
        rest.is_some()
    }

    fn terms(&mut self) -> f64 {
        let mut value = self.factors();
        loop {
            if self.take('+') {
                value += self.factors();
            } else if self.take('-') {
                value -= self.factors();
            } else {
                return value;
            }
        }
    }

    fn factors(&mut self) -> f64 {
        let mut value = self.one();
        loop {
            if self.take('*') {
                value *= self.one();
            } else if self.take('/') {
                value /= self.one();
            } else {
                return value;
            }
        }
    }

    fn one(&mut self) -> f64 {
        if self.take('(') {
            let value = self.terms();
            assert!(self.take(')'), "no bracket before {:?}", self.rest);
            return value;
        }
        let end = self.rest.find(|c: char| !c.is_alphanumeric() && c != '_' && c != '.');
        let (word, rest) = self.rest.split_at(end.unwrap_or(self.rest.len()));
        self.rest = rest;
        word.parse().ok().or_else(|| self.known.get(word).copied()).unwrap_or_else(|| {
            panic!("{word:?} is neither number nor name, before {rest:?}");
        })
    }
}

#[test]
fn the_evaluator_does_school_algebra() {
    let known = BTreeMap::from([("a".to_owned(), 3.0), ("b_1".to_owned(), 0.5)]);
    for (formula, comes_to) in [
        ("a - b_1 - 1", 1.5),
        ("2 * (a + 1) / 4", 2.0),
        ("a / b_1 / 2", 3.0),
        ("1 - a * (2 - b_1)", -3.5),
    ] {
        assert_eq!(value(formula, &known), comes_to, "{formula}");
    }
}

#[test]
fn tables_are_read_along_straight_lines() {
    let points = [[0.0, 28.0], [20.0, 34.0], [40.0, 40.0]];
    for (at, gives) in [(0.0, 28.0), (10.0, 31.0), (40.0, 40.0)] {
        assert_eq!(between(&points, 0, at), gives);
        assert_eq!(between(&points, 1, gives), at);
    }
}

/// The unknowns of a system for given values, all in the units that it names.
fn solved(
    closed: &Closed,
    system: &System,
    values: BTreeMap<String, f64>,
) -> BTreeMap<String, f64> {
    let count = system.unknowns.len();
    assert_eq!(system.equations.len(), count, "{}", system.id);
    let mut known = values;
    for (name, [table, at]) in &system.reads {
        known.insert(name.clone(), between(&closed.tables[table], 0, known[at]));
    }
    let sides: Vec<(&str, &str)> =
        system.equations.iter().map(|line| line.split_once('=').unwrap()).collect();
    // An equation that is linear in the unknowns is known by its residuals with
    // all of them zero and with each one in turn.
    let residuals = |one: Option<usize>, known: &mut BTreeMap<String, f64>| -> Vec<f64> {
        for (number, unknown) in system.unknowns.iter().enumerate() {
            known.insert(unknown.clone(), if one == Some(number) { 1.0 } else { 0.0 });
        }
        sides.iter().map(|(left, right)| value(left, known) - value(right, known)).collect()
    };
    let constant = residuals(None, &mut known);
    let mut matrix = DMatrix::zeros(count, count);
    for column in 0..count {
        let with = residuals(Some(column), &mut known);
        for row in 0..count {
            matrix[(row, column)] = with[row] - constant[row];
        }
    }
    let right = -DVector::from_vec(constant);
    let solution = matrix.lu().solve(&right).unwrap_or_else(|| panic!("{} is singular", system.id));
    for (number, unknown) in system.unknowns.iter().enumerate() {
        known.insert(unknown.clone(), solution[number]);
    }
    for (left, right) in &sides {
        let (left, right) = (value(left, &known), value(right, &known));
        assert!(close(left, right, 1e-10), "{}: {left} is not {right}", system.id);
    }
    for (name, [table, of]) in &system.reads_back {
        let read = between(&closed.tables[table], 1, value(of, &known));
        known.insert(name.clone(), read);
    }
    known
}

fn close(a: f64, b: f64, relative: f64) -> bool {
    (a - b).abs() <= relative * a.abs().max(b.abs())
}

/// The versions of a question, as `print` draws them.
fn draws(model: &Model, checked: &Checked, seed: u64, wanted: u64) -> Draws {
    let axes = checked.values.iter().filter_map(|value| match &value.source {
        Source::Drawn(choices) => Some(Axis::List(choices.clone())),
        Source::Derived { .. } => None,
    });
    let key =
        Key { seed, unit: &model.parsed.front.id.value, question: &checked.question.id.value };
    let require = |choice: &[u64]| {
        let choice: Vec<usize> = choice.iter().map(|i| usize::try_from(*i).unwrap()).collect();
        let Ok(slots) = checked.engine.solve(&checked.values_for(&choice)) else {
            return Err(checked.require.len());
        };
        let value = |path: &[&str]| checked.value_at(path, &slots);
        let unit = |path: &[&str]| checked.shown_unit(path);
        match checked.require.iter().position(|(r, _)| r.holds(&value, &unit) != Some(true)) {
            Some(unmet) => Err(unmet),
            None => Ok(()),
        }
    };
    Draws::find(Space::new(axes.collect()), key, wanted, require).unwrap()
}

/// The second solution of one version: by part label, the answer in base units.
fn second_solution(
    closed: &Closed,
    system: &System,
    checked: &Checked,
    choice: &[usize],
) -> Vec<(String, f64)> {
    let in_base = checked.values_for(choice);
    let values = system
        .values
        .iter()
        .map(|(name, unit)| {
            let place = checked.values.iter().position(|v| v.name == *name);
            let place = place.unwrap_or_else(|| panic!("{}: no value {name}", system.id));
            let unit = if unit == "1" { Unit::none() } else { Unit::parse(unit).unwrap() };
            (name.clone(), unit.from_si(in_base[place]))
        })
        .collect();
    let known = solved(closed, system, values);
    let unit = |part: &Part| match part.unit.as_str() {
        "1" => Unit::none(),
        text => Unit::parse(text).unwrap(),
    };
    let answer = |part: &Part| unit(part).to_si(value(&part.answer, &known));
    system.part.iter().map(|part| (part.label.clone(), answer(part))).collect()
}

/// A number as printed: a true minus, narrow blanks between thousands.
fn as_number(printed: &str) -> f64 {
    let plain: String = printed.replace('−', "-").chars().filter(|c| !c.is_whitespace()).collect();
    plain.parse().unwrap_or_else(|_| panic!("{printed:?} is no number"))
}

fn label(checked: &Checked, answer: &Answer) -> String {
    checked.question.parts[answer.part].id()
}

#[test]
fn every_question_has_its_system_and_every_part_its_answer() {
    let labels = |checked: &Checked| -> Vec<String> {
        let parts = checked.asked.iter().map(|asked| &checked.question.parts[asked.part]);
        parts.map(|part| part.id()).collect()
    };
    for unit in UNITS {
        let model = model(unit);
        let asked: Vec<_> =
            worked(&model).map(|c| (c.question.id.value.clone(), labels(c))).collect();
        let systems = closed(unit).question.into_iter();
        let answered: Vec<_> = systems
            .map(|s| (s.id, s.part.into_iter().map(|p| p.label).collect::<Vec<_>>()))
            .collect();
        assert_eq!(asked, answered);
    }
}

#[test]
fn every_answer_of_every_version_is_that_of_the_second_solution() {
    for unit in UNITS {
        let compared = compared_in(unit);
        assert!(compared > 900, "only {compared} answers of {unit}");
    }
}

/// Compares the answers of many versions; gives how many there were.
fn compared_in(unit: &str) -> usize {
    let (model, closed) = (model(unit), closed(unit));
    let mut compared = 0;
    for (checked, system) in worked(&model).zip(&closed.question) {
        for (seed, wanted) in [(7, 40), (1, 10), (2031, 10)] {
            let draws = draws(&model, checked, seed, wanted);
            for version in 0..wanted {
                let choice: Vec<usize> =
                    draws.indices(version).unwrap().iter().map(|i| *i as usize).collect();
                let solution = Solution::of(checked, &choice).unwrap();
                let answers = solution.answers();
                let expected = second_solution(&closed, system, checked, &choice);
                assert_eq!(answers.len(), expected.len());
                for (answer, (part, expected)) in answers.iter().zip(expected) {
                    let place = format!("{} ({part}), {version}, seed {seed}", system.id);
                    assert_eq!(label(checked, answer), part, "{place}");
                    let found = answer.value;
                    assert!(close(found, expected, 1e-9), "{place}: {found}, not {expected}");
                    let shown = answer.unit.from_si(found);
                    let printed = as_number(&answer.printed);
                    for number in [shown, printed] {
                        let accepted = answer.lowest..=answer.highest;
                        assert!(accepted.contains(&number), "{place}: {number}, {accepted:?}");
                    }
                    compared += 1;
                }
            }
        }
    }
    compared
}

#[test]
fn the_table_of_answers_holds_the_same() {
    for unit in UNITS {
        table_holds_the_same(unit);
    }
}

fn table_holds_the_same(unit: &str) {
    let (model, closed) = (model(unit), closed(unit));
    let folder = tempfile::tempdir().unwrap();
    let (seed, versions) = (7, 3);
    let job = PrintJob {
        unit: demo(unit),
        versions,
        only: None,
        seed,
        out: folder.path().to_owned(),
        one_file: false,
        html: false,
        profile: stillroom::composing::Profile::default(),
        extras: run::Extras::default(),
        roster: None,
    };
    let printed = run::print(&job, &mut |_| {}).unwrap();
    let table = std::fs::read(printed.folder.unwrap().join("answers.csv")).unwrap();
    let mut rows = csv::Reader::from_reader(table.as_slice());
    let mut found: BTreeMap<[String; 3], [f64; 4]> = BTreeMap::new();
    for row in rows.records() {
        let row = row.unwrap();
        if !closed.question.iter().any(|system| system.id == row[1]) {
            continue;
        }
        if row[4].is_empty() {
            // Answered in words.
            continue;
        }
        // "%" and the like are printed units; the numbers are taken back to base units.
        let unit = Unit::parse(&row[5]).unwrap();
        let base = |text: &str| unit.to_si(as_number(text));
        let key = [row[1].to_owned(), row[2].to_owned(), row[3].to_owned()];
        // A number to be chosen is printed as its option's letter.
        let is_letter = row[6].chars().all(char::is_alphabetic);
        let printed = if is_letter { &row[8] } else { &row[6] };
        let before =
            found.insert(key, [base(&row[4]), base(printed), base(&row[7]), base(&row[8])]);
        assert!(before.is_none(), "twice: {row:?}");
    }
    let mut compared = 0;
    for (checked, system) in worked(&model).zip(&closed.question) {
        let draws = draws(&model, checked, seed, u64::from(versions));
        for version in 0..u64::from(versions) {
            let choice: Vec<usize> =
                draws.indices(version).unwrap().iter().map(|i| *i as usize).collect();
            for (part, expected) in second_solution(&closed, system, checked, &choice) {
                let key = [system.id.clone(), part, letters(version)];
                let [value, printed, lowest, highest] = found[&key];
                assert!(close(value, expected, 1e-9), "{key:?}: {value}, not {expected}");
                assert!(lowest <= value && value <= highest, "{key:?}: {value}");
                assert!(lowest <= printed && printed <= highest, "{key:?}: {printed}");
                compared += 1;
            }
        }
    }
    assert_eq!(compared, found.len());
}
