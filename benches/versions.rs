//! How fast versions go through each stage, on one thread.
//!
//! Run with `cargo bench --bench versions`, and a number of versions (200) or
//! another unit file behind `--`. Prints one line a stage: what a version takes
//! of the processor there, and how many versions a second that makes.

use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};

use stillroom::composing::faces::Faces;
use stillroom::composing::{Profile, compose_pair};
use stillroom::diag::Diagnostics;
use stillroom::document::{Templates, read, sheet, symbols};
use stillroom::question::{Assessment, Solution};
use stillroom::reading;
use stillroom::reading::model::{self, Model, Source};
use stillroom::version::{Axis, Draws, Key, Space, letters};
use stillroom::writing::{Subset, write_pdf};

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

const SEED: u64 = 7;

fn load(path: &Path) -> Model {
    let mut found = Diagnostics::new();
    let file = reading::file::read(path, &path.display().to_string(), &mut found);
    let parsed = file.and_then(|file| reading::parse(&file, &mut found));
    let model = model::check(&Arc::new(parsed.expect("a unit that reads")), &mut found);
    assert!(!found.has_errors(), "the unit has mistakes");
    model
}

/// Versions of every question, drawn as `print` draws them but for `require`.
fn draw(model: &Model, wanted: u64) -> Vec<Draws> {
    let draw = |checked: &model::Checked| {
        let numbers = checked.values.iter().filter_map(|value| match &value.source {
            Source::Drawn(choices) => Some(Axis::List(choices.clone())),
            Source::Derived { .. } => None,
        });
        let words = checked.words.iter().map(|(_, words)| Axis::Words(words.clone()));
        let space = Space::new(numbers.chain(words).collect());
        let key = Key {
            seed: SEED,
            unit: &model.parsed.front.id.value,
            question: &checked.question.id.value,
        };
        Draws::find(space, key, wanted, |indices| {
            checked.engine.solve(&checked.values_for(&choice(indices))).map(|_| ()).map_err(|_| 0)
        })
        .expect("enough versions")
    };
    model.questions.iter().map(draw).collect()
}

fn choice(indices: &[u64]) -> Vec<usize> {
    indices.iter().map(|index| *index as usize).collect()
}

/// Time spent in one stage so far.
struct Stage {
    name: &'static str,
    spent: Duration,
}

impl Stage {
    fn timed<T>(&mut self, work: impl FnOnce() -> T) -> T {
        let start = Instant::now();
        let done = work();
        self.spent += start.elapsed();
        done
    }
}

#[allow(clippy::print_stdout)]
fn main() {
    // `cargo bench` adds an option of its own.
    let words: Vec<String> = std::env::args().skip(1).filter(|w| !w.starts_with('-')).collect();
    let versions = words.iter().find_map(|word| word.parse().ok()).unwrap_or(200u64);
    let unit = words.iter().find(|word| word.ends_with(".md"));
    let unit = unit.map_or("units/quarnholm-salt.md", String::as_str);

    let start = Instant::now();
    let model = load(Path::new(unit));
    println!("read and compiled {unit} in {:.3} s", start.elapsed().as_secs_f64());
    let start = Instant::now();
    let draws = draw(&model, versions);
    println!("drew {versions} versions in {:.3} s", start.elapsed().as_secs_f64());

    let templates = Templates::new(None);
    let faces = Faces::embedded();
    let characters =
        symbols(model.parsed.file.text()).chain(model.parsed.file.text().chars()).collect();
    let subset = Subset::of(&characters, &faces).expect("sound faces");
    let profile = Profile::default();
    let mut stages = ["solve", "word", "fill", "read", "compose", "write"]
        .map(|name| Stage { name, spent: Duration::ZERO });
    let [solve, word, fill, reading, compose, write] = &mut stages;
    let mut bytes = 0;
    for version in 0..versions {
        let solved: Vec<_> = solve.timed(|| {
            let versions = model.questions.iter().zip(&draws);
            versions
                .map(|(checked, draws)| {
                    let choice = choice(&draws.indices(version).expect("a version drawn"));
                    let solution = Solution::of(checked, &choice).expect("a version solved");
                    let answers = solution.answers();
                    (solution, answers)
                })
                .collect()
        });
        let mut context = word
            .timed(|| sheet(&Assessment::of_unit(&model), &solved, &letters(version), SEED, true));
        context.code = format!("{}-222", letters(version));
        let markdown =
            fill.timed(|| templates.fill("sheet.md", &context).expect("a built-in template"));
        let document = reading.timed(|| read(&markdown).expect("a built-in template's document"));
        let pair = compose.timed(|| compose_pair(&document, &profile, &faces));
        for composed in [&pair.learner, &pair.teacher] {
            let pdf = write.timed(|| write_pdf(composed, &subset, "seed"));
            bytes += pdf.expect("pages that fit the subset").len();
        }
    }
    let all: Duration = stages.iter().map(|stage| stage.spent).sum();
    for Stage { name, spent } in stages.iter().chain([&Stage { name: "all", spent: all }]) {
        let each = spent.as_secs_f64() / versions as f64;
        println!("{name:<8} {:>8.3} ms a version {:>8.0} versions/s", each * 1000.0, 1.0 / each);
    }
    println!("{:.1} kB a version, sheet and key", bytes as f64 / 1000.0 / versions as f64);
}
