//! How fast rows are marked and how much memory that takes: `marking ROWS` makes so many
//! invented rows for the demonstration unit (every part of it), marks them with reports and
//! without sheets, and prints scripts per second and the highest memory of the process.
//! Run it once for each number of rows: the highest memory is that of the whole process.

#![allow(clippy::print_stdout, clippy::unwrap_used)] // a tool for developers

#[path = "../tests/cohort/mod.rs"]
mod cohort;

use std::io::Write;
use std::path::Path;
use std::time::Instant;

use cohort::{Dice, model, rounded, solved};
use stillroom::marking::{Column, columns};
use stillroom::run::{self, MarkJob};
use stillroom::version::letters;

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

const SEED: u64 = 7;
const VERSIONS: u32 = 12;

fn main() {
    let rows: usize = std::env::args().nth(1).and_then(|word| word.parse().ok()).unwrap_or(1000);
    let unit = Path::new(env!("CARGO_MANIFEST_DIR")).join("units/quarnholm-salt.md");
    let folder = std::env::temp_dir().join(format!("stillroom-marking-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let responses = folder.join("responses.csv");
    let parts = write(&unit, &responses, rows);
    let job = MarkJob {
        unit,
        responses,
        versions: VERSIONS,
        seed: SEED,
        out: folder.join("out"),
        decimal: None,
        nameless: false,
        sheets: false,
        profile: stillroom::composing::Profile::default(),
    };
    let started = Instant::now();
    let marked = run::mark(&job, &mut |_| ()).unwrap();
    let seconds = started.elapsed().as_secs_f64();
    println!(
        "{} rows of {parts} parts marked in {seconds:.2} s, with reports: {:.0} scripts per second; highest memory {}",
        marked.learners,
        marked.learners as f64 / seconds,
        highest_memory()
    );
    std::fs::remove_dir_all(&folder).unwrap();
}

/// Invented rows, two of three answers right, written one by one; gives how many parts.
fn write(unit: &Path, to: &Path, rows: usize) -> usize {
    let model = model(unit);
    // What right answers are in each version.
    let mut right: Vec<Vec<Result<(f64, i32), String>>> = Vec::new();
    let mut heads = Vec::new();
    for version in 0..VERSIONS {
        let solved = solved(&model, SEED, VERSIONS, version);
        let columns = columns(&solved);
        let answer = |column: &Column| {
            let (solution, answers) = &solved[column.question];
            match column.answer {
                Some(at) => {
                    let answer = &answers[at];
                    let figures = answer.rounded.figures().max(2) as i32;
                    Ok((answer.unit.from_si(answer.value), figures))
                }
                None => Err(solution.response(column.part).unwrap().key.replace(',', ";")),
            }
        };
        right.push(columns.iter().map(answer).collect());
        heads = columns.into_iter().map(|column| column.key).collect();
    }
    let mut file = std::io::BufWriter::new(std::fs::File::create(to).unwrap());
    writeln!(file, "learner,version,{}", heads.join(",")).unwrap();
    for row in 0..rows {
        let mut dice = Dice::new(row as u64);
        let version = row % VERSIONS as usize;
        write!(file, "Invented {row},{}", letters(version as u64)).unwrap();
        for one in &right[version] {
            let is_right = dice.next() < 0.67;
            match one {
                Ok((value, figures)) => {
                    let value = if is_right { *value } else { value * (1.1 + dice.next()) };
                    write!(file, ",{}", rounded(value, *figures)).unwrap();
                }
                Err(key) => write!(file, ",{}", if is_right { key } else { "" }).unwrap(),
            }
        }
        writeln!(file).unwrap();
    }
    file.flush().unwrap();
    heads.len()
}

/// As the system counts it, where it tells.
fn highest_memory() -> String {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    line.map_or_else(|| "not told by this system".to_owned(), |line| line.trim().to_owned())
}
