//! How fast the engine solves versions, beside dense solves of the same facts.
//!
//! Run with `cargo bench --bench engine`. For flowsheets of several lengths it
//! prints what compiling takes, versions a second by the plan alone and with its
//! check, and by three dense solves of the same linear system: a plain LU,
//! nalgebra's, and numpy's in a plain loop (where `python3` has numpy). The dense
//! solves find their matrices ready made; the plan starts from the author's
//! values. Then it compiles long rows of operations, and solves the questions of
//! units named behind `--`. One thread throughout.

#[path = "engine/lu.rs"]
mod lu;
#[path = "engine/sheets.rs"]
mod sheets;

use std::hint::black_box;
use std::path::Path;
use std::process::Command;
use std::sync::Arc;
use std::time::Instant;

use sheets::{Asked, Case};
use stillroom::balance::Engine;
use stillroom::diag::Diagnostics;
use stillroom::reading;
use stillroom::reading::model;

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

const VERSIONS: usize = 64;
/// Many short repetitions: some of them fall where the machine does nothing else.
const REPETITIONS: usize = 300;
const SHORT: f64 = 4e-4;
/// The plan and every dense solve must agree so far, relative.
const AGREEMENT: f64 = 1e-9;

/// Calls of `work` a second, over so many versions by turns: the best of several
/// repetitions.
fn rate(versions: usize, mut work: impl FnMut(usize)) -> f64 {
    let start = Instant::now();
    (0..versions).for_each(&mut work);
    let each = start.elapsed().as_secs_f64() / versions as f64;
    let batch = ((SHORT / each) as usize).max(1);
    let mut next = 0;
    let mut best = f64::INFINITY;
    for _ in 0..REPETITIONS {
        let start = Instant::now();
        for _ in 0..batch {
            work(next);
            next = if next + 1 == versions { 0 } else { next + 1 };
        }
        best = best.min(start.elapsed().as_secs_f64() / batch as f64);
    }
    1.0 / best
}

/// What was measured on one flowsheet.
struct Measured {
    case: Case,
    compile: f64,
    steps: usize,
    plan: f64,
    checked: f64,
    lu: f64,
    nalgebra: f64,
    answers: Vec<Vec<f64>>,
}

fn compile(case: &Case) -> Engine {
    let samples: Vec<Vec<f64>> = case.versions.iter().take(3).map(|v| v.values.clone()).collect();
    Engine::compile(case.problem.clone(), &samples)
        .unwrap_or_else(|faults| panic!("{}: {faults:?}", case.name))
}

fn measure(case: Case) -> Measured {
    let mut least = f64::INFINITY;
    for _ in 0..9 {
        let start = Instant::now();
        black_box(compile(&case));
        least = least.min(start.elapsed().as_secs_f64());
    }
    let engine = compile(&case);
    let answers: Vec<Vec<f64>> = case
        .versions
        .iter()
        .map(|version| {
            let slots = engine.solve(&version.values).expect("a version that can be");
            engine.system.asked.iter().map(|slot| slots[*slot]).collect()
        })
        .collect();
    let mut slots = Vec::new();
    let plan = rate(VERSIONS, |version| {
        engine.run_into(black_box(&case.versions[version].values), &mut slots);
        black_box(&slots);
    });
    let checked = rate(VERSIONS, |version| {
        let values = black_box(&case.versions[version].values);
        black_box(engine.solve(values)).expect("a version that can be");
    });
    let lu = plain_lu(&case, &answers);
    let nalgebra = by_nalgebra(&case);
    let steps = engine.plan.steps.len();
    Measured { case, compile: least, steps, plan, checked, lu, nalgebra, answers }
}

fn plain_lu(case: &Case, answers: &[Vec<f64>]) -> f64 {
    let count = case.unknowns;
    let mut matrix = vec![0.0; count * count];
    let mut right = vec![0.0; count];
    let mut scales = vec![0.0; count];
    for (version, answers) in case.versions.iter().zip(answers) {
        matrix.copy_from_slice(&version.matrix);
        right.copy_from_slice(&version.right);
        lu::solve(&mut matrix, &mut right, &mut scales);
        for (columns, answer) in case.asked.iter().zip(answers) {
            let other: f64 = columns.iter().map(|column| right[*column]).sum();
            assert!((other - answer).abs() <= AGREEMENT * answer.abs(), "{other} {answer}");
        }
    }
    rate(VERSIONS, |version| {
        matrix.copy_from_slice(black_box(&case.versions[version].matrix));
        right.copy_from_slice(&case.versions[version].right);
        lu::solve(&mut matrix, &mut right, &mut scales);
        black_box(&right);
    })
}

fn by_nalgebra(case: &Case) -> f64 {
    let count = case.unknowns;
    let systems: Vec<_> = case
        .versions
        .iter()
        .map(|version| {
            (
                nalgebra::DMatrix::from_row_slice(count, count, &version.matrix),
                nalgebra::DVector::from_column_slice(&version.right),
            )
        })
        .collect();
    rate(VERSIONS, |version| {
        let (matrix, right) = black_box(&systems[version]);
        black_box(matrix.clone().lu().solve(right));
    })
}

/// Solves a second and the largest difference, for each case; none without numpy.
fn by_numpy(measured: &[Measured]) -> Option<Vec<(f64, f64)>> {
    let has_numpy = Command::new("python3").args(["-c", "import numpy"]).output().ok()?;
    if !has_numpy.status.success() {
        return None;
    }
    let cases: Vec<serde_json::Value> = measured
        .iter()
        .map(|one| {
            let versions: Vec<_> =
                one.case.versions.iter().map(|v| (&v.matrix, &v.right)).collect();
            serde_json::json!({
                "unknowns": one.case.unknowns,
                "asked": one.case.asked,
                "plan": one.answers,
                "versions": versions,
            })
        })
        .collect();
    let folder = tempfile::tempdir().expect("room for a file");
    let path = folder.path().join("cases.json");
    std::fs::write(&path, serde_json::Value::from(cases).to_string()).expect("a file written");
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("benches/engine_numpy.py");
    let run = Command::new("python3").arg(script).arg(&path).output().expect("python3 runs");
    assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
    let numbers = |line: &str| -> Option<(f64, f64)> {
        let (rate, difference) = line.split_once(' ')?;
        Some((rate.parse().ok()?, difference.parse().ok()?))
    };
    String::from_utf8_lossy(&run.stdout).lines().map(numbers).collect()
}

#[allow(clippy::print_stdout)]
fn compare() {
    let mut measured = Vec::new();
    for asked in [Asked::Ends, Asked::All] {
        for operations in [2, 6, 12] {
            for components in [2, 3] {
                for recycle in [false, true] {
                    let case = sheets::case(operations, components, recycle, asked, VERSIONS);
                    measured.push(measure(case));
                }
            }
        }
    }
    let numpy = by_numpy(&measured);
    if numpy.is_none() {
        println!("python3 has no numpy: its column is left out");
    }
    println!(
        "{:<40} {:>4} {:>5} {:>10} {:>12} {:>12} {:>10} {:>10} {:>10} {:>8} {:>8} {:>9}",
        "thousands a second",
        "size",
        "steps",
        "compile ms",
        "plan",
        "with check",
        "LU",
        "nalgebra",
        "numpy",
        "plan/LU",
        "/numpy",
        "differs"
    );
    for (number, one) in measured.iter().enumerate() {
        let (numpy, differs) =
            numpy.as_ref().and_then(|n| n.get(number)).copied().unwrap_or((f64::NAN, f64::NAN));
        let asked = if one.answers[0].len() == 2 { "ends" } else { "all" };
        println!(
            "{:<40} {:>4} {:>5} {:>10.2} {:>12.1} {:>12.2} {:>10.1} {:>10.1} {:>10.1} {:>8.1} {:>8.1} {:>9.1e}",
            format!("{}; {asked}", one.case.name),
            one.case.unknowns,
            one.steps,
            one.compile * 1e3,
            one.plan / 1e3,
            one.checked / 1e3,
            one.lu / 1e3,
            one.nalgebra / 1e3,
            numpy / 1e3,
            one.plan / one.lu,
            one.plan / numpy,
            differs
        );
    }
}

#[allow(clippy::print_stdout)]
fn long_rows() {
    for operations in [40, 200] {
        for recycle in [false, true] {
            let case = sheets::case(operations, 2, recycle, Asked::Ends, 3);
            let start = Instant::now();
            let engine = compile(&case);
            println!(
                "{}: compiled in {:.3} s, {} steps, {} relations, {} envelopes",
                case.name,
                start.elapsed().as_secs_f64(),
                engine.plan.steps.len(),
                engine.system.relations.len(),
                engine.system.envelopes.len()
            );
        }
    }
}

/// Versions a second of each question of a unit.
#[allow(clippy::print_stdout)]
fn questions(path: &Path) {
    let start = Instant::now();
    let mut found = Diagnostics::new();
    let file = reading::file::read(path, &path.display().to_string(), &mut found);
    let parsed = file.and_then(|file| reading::parse(&file, &mut found));
    let model = model::check(&Arc::new(parsed.expect("a unit that reads")), &mut found);
    println!("{}: read and compiled in {:.3} s", path.display(), start.elapsed().as_secs_f64());
    for checked in &model.questions {
        let counts = checked.axes();
        // One choice after another, as a counter counts.
        let values: Vec<Vec<f64>> = (0..VERSIONS * 8)
            .map(|number| {
                let mut left = number * 7;
                let digit = |count: &usize| {
                    let digit = left % count;
                    left /= count;
                    digit
                };
                checked.values_for(&counts.iter().map(digit).collect::<Vec<_>>())
            })
            .filter(|values| checked.engine.solve(values).is_ok())
            .take(VERSIONS)
            .collect();
        if values.is_empty() {
            println!("{:<24} no version can be", checked.question.id.value);
            continue;
        }
        let mut slots = Vec::new();
        let plan = rate(values.len(), |version| {
            checked.engine.run_into(black_box(&values[version]), &mut slots);
            black_box(&slots);
        });
        let with_check = rate(values.len(), |version| {
            let values = black_box(&values[version]);
            black_box(checked.engine.solve(values)).expect("a version that can be");
        });
        println!(
            "{:<24} {:>3} versions {:>3} steps {:>12.1} thousand runs/s {:>10.2} thousand solves/s",
            checked.question.id.value,
            values.len(),
            checked.engine.plan.steps.len(),
            plan / 1e3,
            with_check / 1e3
        );
    }
}

fn main() {
    // `cargo bench` adds an option of its own.
    let words: Vec<String> = std::env::args().skip(1).filter(|w| !w.starts_with('-')).collect();
    let wants = |part: &str| words.is_empty() || words.iter().any(|word| word == part);
    if wants("compare") {
        compare();
    }
    if wants("rows") {
        long_rows();
    }
    for unit in words.iter().filter(|word| word.ends_with(".md")) {
        questions(Path::new(unit));
    }
    if words.is_empty() {
        questions(Path::new("units/quarnholm-salt.md"));
    }
}
