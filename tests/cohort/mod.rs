//! Invented learners: a seeded model of how people work, slip and round, with every
//! formula written anew here from the wording of `samples/marking.md`.
//!
//! Nothing here asks Stillroom for an answer; only the drawn values are its own.

#![allow(dead_code, unreachable_pub, clippy::unwrap_used)] // each test file uses what it needs

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use stillroom::diag::Diagnostics;
use stillroom::question::{Answer, Solution, respond};
use stillroom::reading;
use stillroom::reading::model::{self, Checked, Model, Source};
use stillroom::version::{Axis, Draws, Key, Space};

/// A unit that has no mistakes.
pub fn model(unit: &Path) -> Model {
    let mut found = Diagnostics::new();
    let file = reading::file::read(unit, "unit", &mut found).unwrap();
    let parsed = Arc::new(reading::parse(&file, &mut found).unwrap());
    let model = model::check(&parsed, &mut found);
    assert!(!found.has_errors());
    model
}

/// The choices of a question in each version, as `print` draws them.
pub fn choices(model: &Model, checked: &Checked, seed: u64, versions: u32) -> Vec<Vec<usize>> {
    let axes = checked.values.iter().filter_map(|value| match &value.source {
        Source::Drawn(choices) => Some(Axis::List(choices.clone())),
        Source::Derived { .. } => None,
    });
    let key =
        Key { seed, unit: &model.parsed.front.id.value, question: &checked.question.id.value };
    let as_index = |choice: &[u64]| choice.iter().map(|i| *i as usize).collect::<Vec<usize>>();
    let draws = Draws::find(Space::new(axes.collect()), key, u64::from(versions), |choice| {
        let values = checked.values_for(&as_index(choice));
        let slots = checked.engine.solve(&values).map_err(|_| checked.require.len())?;
        let value = |path: &[&str]| checked.value_at(path, &slots);
        let unit = |path: &[&str]| checked.shown_unit(path);
        let unmet = checked.require.iter().position(|(r, _)| r.holds(&value, &unit) != Some(true));
        unmet.map_or(Ok(()), Err)
    })
    .unwrap();
    (0..u64::from(versions)).map(|version| as_index(&draws.indices(version).unwrap())).collect()
}

/// A version's questions with their answers, as `print` solves them.
pub fn solved(
    model: &Model,
    seed: u64,
    versions: u32,
    version: u32,
) -> Vec<(Solution<'_>, Vec<Answer>)> {
    let mut solved: Vec<(Solution<'_>, Vec<Answer>)> = model
        .questions
        .iter()
        .map(|checked| {
            let choice = &choices(model, checked, seed, versions)[version as usize];
            let solution = Solution::of(checked, choice).unwrap();
            let answers = solution.answers();
            (solution, answers)
        })
        .collect();
    respond(&mut solved, seed, &model.parsed.front.id.value, u64::from(version));
    solved
}

/// A small generator of numbers, the same on every machine.
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Dice {
        Dice(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0xD1B5_4A32_D192_ED03)
    }

    pub fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    pub fn below(&mut self, count: usize) -> usize {
        (self.next() * count as f64) as usize
    }
}

/// What a learner meant to do in a part.
#[derive(Debug, Clone, PartialEq)]
pub enum Meant {
    /// The right way from the question's own numbers.
    Right,
    /// The right way from a wrong answer of their own.
    Through,
    /// A named mistake; from their own wrong answer or not.
    Mistake(&'static str),
    /// A slip of no known kind.
    Slip,
    Point,
    Blank,
}

/// A part as one learner answered it.
#[derive(Debug, Clone)]
pub struct Answered {
    pub key: &'static str,
    pub meant: Meant,
    /// In the unit of the answer line.
    pub value: f64,
    pub typed: String,
}

/// How a learner writes numbers.
struct Style {
    figures: i32,
    comma: bool,
    unit: bool,
}

pub fn rounded(value: f64, figures: i32) -> f64 {
    if value == 0.0 {
        return 0.0;
    }
    let power = figures - 1 - value.abs().log10().floor() as i32;
    let scale = 10f64.powi(power.abs());
    if power >= 0 { (value * scale).round() / scale } else { (value / scale).round() * scale }
}

struct Learner<'a> {
    dice: &'a mut Dice,
    style: Style,
    skill: f64,
    out: Vec<Answered>,
}

/// Digits as typed, with a unit behind some.
fn typed(value: f64, figures: i32, style: &Style, unit: &str) -> String {
    let decimals = (figures - 1 - value.abs().log10().floor() as i32).max(0) as usize;
    let mut text = format!("{value:.decimals$}");
    if style.comma {
        text = text.replace('.', ",");
    }
    if style.unit && !unit.is_empty() { format!("{text} {unit}") } else { text }
}

impl Learner<'_> {
    /// Answers a part: `right` by the right way from what the learner has, and where a
    /// named mistake leads from the same. Gives the learner's own value.
    fn part(
        &mut self,
        key: &'static str,
        unit: &str,
        right: f64,
        from_wrong: bool,
        mistakes: &[(&'static str, f64)],
    ) -> (f64, bool) {
        let roll = self.dice.next();
        let (meant, value) = if roll < self.skill {
            (if from_wrong { Meant::Through } else { Meant::Right }, right)
        } else if roll < self.skill + 0.04 {
            (Meant::Blank, right)
        } else if roll < self.skill + 0.07 {
            (Meant::Point, right * 10.0)
        } else if roll < self.skill + 0.12 || mistakes.is_empty() {
            (Meant::Slip, right * (1.21 + 0.5 * self.dice.next()))
        } else {
            let (name, value) = mistakes[self.dice.below(mistakes.len())];
            (Meant::Mistake(name), value)
        };
        // Nobody rounds the sum of two whole numbers.
        let figures = if key == "4a" { 4 } else { self.style.figures };
        let value = rounded(value, figures);
        let text = if meant == Meant::Blank {
            String::new()
        } else {
            typed(value, figures, &self.style, unit)
        };
        let wrong = !matches!(meant, Meant::Right | Meant::Through | Meant::Blank) || from_wrong;
        // Who leaves a part out works on with what would have been right there.
        let own = if meant == Meant::Blank { right } else { value };
        let is_wrong = if meant == Meant::Blank { from_wrong } else { wrong };
        self.out.push(Answered { key, meant, value, typed: text });
        (own, is_wrong)
    }

    /// A value on the way, as the learner writes it down: with a figure to spare.
    fn noted(&self, value: f64) -> f64 {
        rounded(value, self.style.figures + 1)
    }
}

/// Values of all questions of a version, by name; shares as fractions, masses and volumes
/// in the unit of the question's text.
pub type Values = BTreeMap<String, f64>;

/// One learner's paper.
pub fn answers(dice: &mut Dice, v: &Values) -> Vec<Answered> {
    let style =
        Style { figures: 3 + i32::from(dice.next() < 0.4), comma: false, unit: dice.next() < 0.2 };
    let skill = 0.45 + 0.45 * dice.next();
    let mut one = Learner { dice, style, skill, out: Vec::new() };

    let (own, wrong) = one.part("1a", "g", v["full"] - v["empty"], false, &[]);
    let volume = v["sample"] / 1000.0;
    one.part(
        "1b",
        "g/dm3",
        own / volume,
        wrong,
        &[("weighed the basin with the salts", v["full"] / volume)],
    );

    let (sea, weak, strong) = (v["sea_mass"], v["weak"], v["strong"]);
    let (salt, salt_wrong) = one.part("2a", "kg", 1000.0 * sea * weak, false, &[]);
    let (brine, wrong) = one.part(
        "2b",
        "t",
        one.noted(salt / 1000.0) / strong,
        salt_wrong,
        &[
            ("boiled off all the water", sea * weak),
            ("took away percentage points", sea * (1.0 - (strong - weak))),
        ],
    );
    one.part(
        "2c",
        "t",
        sea - brine,
        wrong,
        &[("gave the brine in place of the vapour", sea * weak / strong)],
    );

    let (feed, silt, thick) = (v["brine_mass"], v["silt"], v["thick"]);
    let (mud, mud_wrong) = one.part("3a", "kg", 1000.0 * feed * silt, false, &[]);
    let (bed, wrong) = one.part(
        "3b",
        "kg",
        mud / thick,
        mud_wrong,
        &[("took the mud to be dry", 1000.0 * feed * silt)],
    );
    one.part("3c", "t", feed - one.noted(bed / 1000.0), wrong, &[]);

    let (clear, spun) = (v["clear_mass"], v["spun_mass"]);
    let (blend, wrong) = one.part("4a", "kg", clear + spun, false, &[]);
    let salts = one.noted(clear * v["clear_salt"]) + one.noted(spun * v["spun_salt"]);
    one.part(
        "4b",
        "%",
        100.0 * salts / blend,
        wrong,
        &[
            ("took the plain mean", 50.0 * (v["clear_salt"] + v["spun_salt"])),
            ("added the percentages", 100.0 * (v["clear_salt"] + v["spun_salt"])),
        ],
    );
    one.part("4c", "kg", (1.0 - v["first_share"]) * blend, wrong, &[]);
    one.out
}
