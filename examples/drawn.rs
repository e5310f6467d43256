//! Draws many versions of the demonstration units, looks at each again by other means, and
//! counts what must not be: `drawn VERSIONS` (100,000 if not said) prints the counts and
//! ends with 1 if one that must be nought is not.
//!
//! Answers are solved anew from the facts, without the plan that gave them. An option is
//! judged by its printed text: the number in it against the answer solved anew. A stream
//! is judged by what it holds: no amount below nothing, no share outside 0 to 1. Key
//! positions are counted over the sheets as they are printed. Papers are drawn once, with
//! their own seed, beside the versions that are asked for.

#![allow(clippy::print_stdout, clippy::unwrap_used)] // a tool for developers

use std::collections::BTreeMap;
use std::path::Path;
use std::process::ExitCode;
use std::time::Instant;

use stillroom::balance::Node;
use stillroom::question::{Answer, Assessment, Form, Solution};
use stillroom::run;

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// Versions that are drawn from one seed.
const TOGETHER: u32 = 25;
/// Options lie at least this share of the key apart.
const APART: f64 = 0.03;
/// Two ways to one answer may differ by this share of it.
const CLOSURE: f64 = 1e-9;
/// What printing and reading back may cost.
const NOISE: f64 = 1e-9;
/// Keys of a sheet at one place in a row; and from so many choices on a place holds at
/// most half of them.
const RUN: usize = 3;
const MANY: usize = 8;

#[derive(Default)]
struct Counts {
    versions: u64,
    questions: u64,
    answers: u64,
    anew: u64,
    numeric: u64,
    verbal: u64,
    /// These must be nought.
    faults: BTreeMap<&'static str, u64>,
    /// The first of each kind, to be looked at.
    first: BTreeMap<&'static str, String>,
    positions: BTreeMap<char, u64>,
    longest: usize,
}

impl Counts {
    fn fault(&mut self, what: &'static str, happened: bool, where_: impl FnOnce() -> String) {
        *self.faults.entry(what).or_default() += u64::from(happened);
        if happened {
            self.first.entry(what).or_insert_with(where_);
        }
    }
}

fn main() -> ExitCode {
    let wanted: u64 = std::env::args().nth(1).and_then(|n| n.parse().ok()).unwrap_or(100_000);
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("units");
    let mut units: Vec<_> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "md"))
        .collect();
    units.sort();
    let (papers, units): (Vec<_>, Vec<_>) = units.into_iter().partition(|path| run::is_paper(path));
    let begun = Instant::now();
    let mut counts = Counts::default();
    let each = wanted.div_ceil(units.len() as u64);
    for unit in &units {
        let mut left = u32::try_from(each.min(wanted - counts.versions)).unwrap();
        let mut seed = 1;
        let before = counts.versions;
        let mut most = TOGETHER;
        while left > 0 {
            let together = left.min(most);
            let so_far = counts.versions;
            let done = run::solved_versions(unit, seed, together, &mut |version, asked, solved| {
                look(&mut counts, version, seed, asked, solved);
            });
            done.unwrap();
            if counts.versions == so_far {
                // A question has no more versions than these.
                most /= 2;
                assert!(most > 0, "{} has mistakes", unit.display());
                continue;
            }
            left -= together;
            seed += 1;
        }
        let name = unit.file_name().unwrap().to_string_lossy();
        println!("{name}: {} versions from {} seeds", counts.versions - before, seed - 1);
    }
    for paper in &papers {
        let before = counts.versions;
        let done = run::solved_versions(paper, 0, u32::MAX, &mut |version, asked, solved| {
            look(&mut counts, version, 0, asked, solved);
        });
        done.unwrap();
        let name = paper.file_name().unwrap().to_string_lossy();
        println!("{name}: {} versions of its own seed", counts.versions - before);
    }
    println!(
        "{} versions, {} questions, {} answers ({} solved anew from streams), {} numeric and {} verbal choices in {:.0} s",
        counts.versions,
        counts.questions,
        counts.answers,
        counts.anew,
        counts.numeric,
        counts.verbal,
        begun.elapsed().as_secs_f64()
    );
    let keys: u64 = counts.positions.values().sum();
    let share = |(letter, count): (&char, &u64)| {
        format!("{letter} {:.1} %", 100.0 * *count as f64 / keys.max(1) as f64)
    };
    let shares: Vec<String> = counts.positions.iter().map(share).collect();
    println!("keys at {}; longest run {}", shares.join(", "), counts.longest);
    for (what, count) in &counts.faults {
        let first = counts.first.get(what).map_or_else(String::new, |at| format!(", first {at}"));
        println!("{count:>8} {what}{first}");
    }
    if counts.faults.values().all(|count| *count == 0) {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}

fn look(
    counts: &mut Counts,
    version: u32,
    seed: u64,
    asked: &Assessment<'_>,
    solved: &[(Solution<'_>, Vec<Answer>)],
) {
    counts.versions += 1;
    let mut keys = Vec::new();
    for ((solution, answers), listed) in solved.iter().zip(&asked.questions) {
        counts.questions += 1;
        let id = &listed.checked.question.id.value;
        let at = || format!("{} {id}, version {version} of seed {seed}", asked.id);
        let system = &solution.checked.engine.system;
        // Beside volumes a share is a concentration, which may be any.
        let amounts = solution.checked.measures.amounts;
        let by_volume = amounts.length != 0;
        let cannot = |(slot, node): (usize, &Node)| {
            let value = solution.value(slot);
            let most = if by_volume { f64::INFINITY } else { 1.0 + NOISE };
            match node {
                Node::Amount(..) => value < -NOISE,
                Node::Share(..) => !(-NOISE..=most).contains(&value) && value.is_finite(),
                _ => false,
            }
        };
        let infeasible = system.nodes.iter().enumerate().any(cannot);
        counts.fault("with an amount or share that cannot be", infeasible, at);
        let anew = solution.asked_anew();
        for (number, answer) in answers.iter().enumerate() {
            counts.answers += 1;
            let other = anew.as_ref().map(|asked| asked[number]).filter(|v| v.is_finite());
            counts.anew += u64::from(other.is_some());
            let largest = |other: f64| answer.value.abs().max(other.abs());
            let differs = |other: f64| (answer.value - other).abs() > CLOSURE * largest(other);
            counts.fault(
                "answers that solving anew gives otherwise",
                other.is_some_and(differs),
                at,
            );
            let inside = (answer.lowest..=answer.highest).contains(&answer.rounded.value);
            counts.fault("answers not in their own range", !inside, at);
        }
        for part in 0..solution.checked.question.parts.len() {
            let Some(response) = solution.response(part) else { continue };
            let Form::Options { options, several } = &response.form else { continue };
            let texts: Vec<&str> = options.iter().map(|o| o.text.as_str()).collect();
            let coincide = (1..texts.len()).any(|i| texts[..i].contains(&texts[i]));
            counts.fault("choices with options that print alike", coincide, at);
            let right: Vec<&str> =
                options.iter().filter(|o| o.right).map(|o| o.letter.as_str()).collect();
            counts.fault(
                "choices whose key is not their right options",
                right.join(" ") != response.key,
                at,
            );
            if several.is_none() {
                counts.fault("choices without exactly one right option", right.len() != 1, at);
                keys.extend(response.key.chars().next());
            }
            match answers.iter().position(|answer| answer.part == part) {
                None => counts.verbal += 1,
                Some(number) => {
                    counts.numeric += 1;
                    let answer = &answers[number];
                    let anew = anew.as_ref().map_or(answer.value, |asked| asked[number]);
                    let anew = if anew.is_finite() { anew } else { answer.value };
                    let shift = answer.unit.from_si(anew) - answer.unit.from_si(answer.value);
                    let range = (answer.lowest + shift, answer.highest + shift);
                    numeric(counts, answer, range, options, &response.key, &at);
                }
            }
        }
    }
    for key in &keys {
        *counts.positions.entry(*key).or_default() += 1;
    }
    let run = |i: usize| keys[..=i].iter().rev().take_while(|key| **key == keys[i]).count();
    let longest = (0..keys.len()).map(run).max().unwrap_or(0);
    counts.longest = counts.longest.max(longest);
    let half = |key: &char| 2 * keys.iter().filter(|other| *other == key).count() > keys.len();
    let guarded = longest > RUN || keys.len() >= MANY && keys.iter().any(half);
    counts.fault("sheets whose keys break the guards", guarded, || {
        format!("{}, version {version} of seed {seed}: {keys:?}", asked.id)
    });
}

/// A choice among numbers, by what is printed.
fn numeric(
    counts: &mut Counts,
    answer: &Answer,
    (lowest, highest): (f64, f64),
    options: &[stillroom::question::kinds::Choice],
    key: &str,
    at: &dyn Fn() -> String,
) {
    let printed: Vec<f64> = options.iter().map(|option| number(&option.text)).collect();
    let accepted = |value: &f64| (lowest - NOISE..=highest + NOISE).contains(value);
    let right: Vec<usize> = (0..printed.len()).filter(|i| accepted(&printed[*i])).collect();
    let letters: Vec<&str> = right.iter().map(|i| options[*i].letter.as_str()).collect();
    counts.fault("numeric choices that solving anew gives another key", letters != [key], at);
    let solved = answer.unit.from_si(answer.value);
    let near = (0..printed.len())
        .any(|i| (0..i).any(|j| (printed[i] - printed[j]).abs() < APART * solved.abs() - NOISE));
    counts.fault("numeric choices with options within 3 % of the key of each other", near, at);
    // An option is accepted as far, in proportion, as the key is.
    let reach = (answer.highest - answer.lowest) / (2.0 * solved.abs());
    let touch = (0..printed.len()).any(|i| {
        (0..i).any(|j| {
            let (low, high) = (printed[i].min(printed[j]), printed[i].max(printed[j]));
            low + reach * low.abs() >= high - reach * high.abs()
        })
    });
    counts.fault("numeric choices with options whose ranges touch", touch, at);
    let ascending = printed.windows(2).all(|pair| pair[0] < pair[1]);
    counts.fault("numeric choices out of order", !ascending, at);
}

/// The number that a printed text begins with.
fn number(text: &str) -> f64 {
    let plain: String = text
        .chars()
        .filter(|c| !matches!(c, '\u{202f}' | '\u{a0}' | ' '))
        .map(|c| if c == '\u{2212}' { '-' } else { c })
        .take_while(|c| c.is_ascii_digit() || matches!(c, '.' | '-'))
        .collect();
    plain.parse().unwrap_or(f64::NAN)
}
