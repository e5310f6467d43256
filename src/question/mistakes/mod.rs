//! The built-in catalogue of mistakes, and the wrong answers that they and the
//! author's own lead to in one version.
//!
//! Takes a solved version; gives slips: the author's first, then the families' (see
//! `matching`), then those of any question (`general`). What cannot be told from the
//! right answer is set apart; what prints alike is merged under all its names.

mod catalogue;
mod chromatography;
mod concentration;
mod crystallisation;
mod dilution;
mod distillation;
mod distractors;
mod evaporation;
mod extraction;
mod general;
mod matching;
mod membranes;
mod mixing;
mod moisture;
mod recovery;
mod sieving;
mod telling;
mod unknown;
mod washing;

pub use catalogue::Mistake;
pub use distractors::{Choice, Distractors, TooFew};
pub use unknown::unknown;

use crate::quantity::{Rounded, Unit, print_number, round_figures};

use super::figures::LEAST;
use super::marks::MarkOfStep;
use super::{Answer, Earns, Solution};
use crate::balance::Slot;
use catalogue::Family;

/// What is written besides the value: how far, relative, a learner's own rounding may
/// lead from it.
const SLACK: f64 = 0.006;
/// Values nearer than this are the same formula under two names.
const SAME: f64 = 1e-9;

/// One name for a wrong turn.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Turn {
    /// The catalogue's id; none for the author's own.
    pub id: Option<&'static str>,
    pub name: String,
    pub shows: &'static str,
    pub remedy: &'static str,
    /// The wrong formula in words.
    pub formula: String,
    pub absurd: bool,
    pub keeps: Keeps,
}

/// Which marks of its answer line a wrong turn leaves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Keeps {
    /// The way to the answer was another one.
    #[default]
    Nothing,
    /// Every step was set up rightly; the value is not.
    Method,
    /// One step, which finds this slot, was replaced; those before it are right, and those
    /// after it were set up rightly with what it gave.
    AllBut(Slot),
}

/// Which of a line's marks wrong turns leave, those that each of them does.
pub fn standing(steps: &[MarkOfStep], turns: &[Turn]) -> Vec<bool> {
    let stands = |at: usize, keeps: Keeps| {
        let (mark, finds) = steps[at];
        match keeps {
            Keeps::Nothing => false,
            Keeps::Method => mark.earns != Earns::Accuracy,
            Keeps::AllBut(slot) => {
                // Of a step that stands in an earlier part all marks here come after it.
                let from = steps.iter().position(|(_, finds)| *finds == Some(slot));
                let after = at >= from.unwrap_or(0);
                finds != Some(slot) && (mark.earns != Earns::Accuracy || !after)
            }
        }
    };
    (0..steps.len()).map(|at| turns.iter().all(|turn| stands(at, turn.keeps))).collect()
}

impl Turn {
    fn of(mistake: &Mistake, formula: String) -> Turn {
        Turn {
            id: Some(mistake.id),
            name: mistake.name.to_owned(),
            shows: mistake.shows,
            remedy: mistake.remedy,
            formula,
            absurd: mistake.absurd,
            keeps: Keeps::Nothing,
        }
    }
}

/// A named wrong turn and its value in base units.
#[derive(Debug, Clone)]
struct Wrong {
    value: f64,
    turn: Turn,
}

/// A wrong answer and the turns that lead to it in this version.
#[derive(Debug, Clone)]
pub struct Slip {
    pub printed: String,
    /// As printed, in base units.
    pub value: f64,
    /// In the answer's unit.
    pub rounded: Rounded,
    /// What a learner may write who rounds on the way, in the answer's unit.
    pub lowest: f64,
    pub highest: f64,
    /// The names, joined.
    pub says: String,
    pub turns: Vec<Turn>,
}

impl Slip {
    /// Is it named by the author?
    pub fn is_authors(&self) -> bool {
        self.turns.iter().any(|turn| turn.id.is_none())
    }
}

/// All slips of an answer.
#[derive(Debug, Clone, Default)]
pub struct Slips {
    pub told: Vec<Slip>,
    /// Turns whose value cannot be told from the right answer here.
    pub hidden: Vec<Turn>,
}

/// Of two slips within reach the nearer is meant, if it is nearer by this factor.
const CLEARLY: f64 = 2.0;

/// The slip that a number in the answer's unit comes from: none, the one that is meant, or
/// all that cannot be told apart. `reach` is how far, in that unit, the number as it was
/// typed may lie from what was worked out.
pub fn meant(slips: &[Slip], typed: f64, reach: f64) -> Vec<&Slip> {
    let mut near: Vec<(f64, &Slip)> = slips
        .iter()
        .filter_map(|slip| {
            let middle = (slip.lowest + slip.highest) / 2.0;
            let reach = reach.max((slip.highest - slip.lowest) / 2.0);
            let apart = (typed - middle).abs();
            (apart <= reach).then_some((apart / reach, slip))
        })
        .collect();
    near.sort_by(|a, b| a.0.total_cmp(&b.0));
    let Some((nearest, _)) = near.first() else { return Vec::new() };
    let most = CLEARLY * nearest.max(0.05);
    near.into_iter().take_while(|(apart, _)| *apart < most).map(|(_, slip)| slip).collect()
}

/// The families by the name of their kind, in the order of the catalogue.
fn families() -> impl Iterator<Item = (&'static str, &'static Family)> {
    const ALL: [(&str, &[Family]); 13] = [
        ("concentration", concentration::FAMILIES),
        ("mixing", mixing::FAMILIES),
        ("dilution", dilution::FAMILIES),
        ("evaporation", evaporation::FAMILIES),
        ("crystallisation", crystallisation::FAMILIES),
        ("recovery and yield", recovery::FAMILIES),
        ("washing and filtration", washing::FAMILIES),
        ("extraction", extraction::FAMILIES),
        ("chromatography", chromatography::FAMILIES),
        ("moisture and drying", moisture::FAMILIES),
        ("distillation", distillation::FAMILIES),
        ("membranes", membranes::FAMILIES),
        ("sieving", sieving::FAMILIES),
    ];
    ALL.into_iter().flat_map(|(kind, all)| all.iter().map(move |family| (kind, family)))
}

/// Every mistake once, under its kind, in the order of the catalogue.
pub fn catalogue() -> Vec<(&'static str, &'static Mistake)> {
    let mut all: Vec<(&str, &Mistake)> = Vec::new();
    let own = families().flat_map(|(kind, family)| family.wrong.iter().map(move |w| (kind, &w.0)));
    for (kind, mistake) in own.chain(general::MISTAKES.iter().map(|m| ("general", m))) {
        if !all.iter().any(|(_, other)| other.id == mistake.id) {
            all.push((kind, mistake));
        }
    }
    all
}

impl Solution<'_> {
    /// The slips of a part's answer that can be told from the key: the author's first,
    /// then the catalogue's.
    pub fn slips(&self, part: usize, answer: &Answer) -> Vec<Slip> {
        self.all_slips(part, answer).told
    }

    /// The same with what cannot be told from the right answer in this version.
    pub fn all_slips(&self, part: usize, answer: &Answer) -> Slips {
        let mut wrong = self.authors(part, answer);
        wrong.extend(self.built_in(part, answer).into_iter().map(|w| (answer.unit.clone(), w)));
        merged(answer, wrong)
    }

    /// The author's own, each with the unit of its value.
    fn authors(&self, part: usize, answer: &Answer) -> Vec<(Unit, Wrong)> {
        let own = &self.checked.question.parts[part];
        let mut wrong = Vec::new();
        for (name, formula) in &own.mistakes {
            let value = formula
                .value
                .evaluate(&|path| self.slot_of_path(path).map(|slot| self.slots[slot]));
            let Some(value) = value else { continue };
            // A reading given in place of a difference is shown as the reading it is.
            let unit = self.checked.unit_for(&formula.value, &answer.unit.reading());
            let turn = Turn {
                id: None,
                name: name.value.clone(),
                shows: "",
                remedy: "",
                formula: String::new(),
                absurd: false,
                keeps: Keeps::Nothing,
            };
            wrong.push((unit, Wrong { value, turn }));
        }
        wrong
    }

    /// The catalogue's, as far as the author lets them stand.
    fn built_in(&self, part: usize, answer: &Answer) -> Vec<Wrong> {
        let own = &self.checked.question.parts[part];
        let asked = (0..self.checked.asked.len()).find(|number| {
            let slot = self.checked.engine.system.asked[*number];
            self.checked.asked[*number].part == part && self.slots[slot] == answer.value
        });
        let Some(asked) = asked.filter(|_| !own.no_catalogue) else { return Vec::new() };
        let mut found = matching::wrong(self, asked);
        found.extend(general::wrong(self, asked));
        let off = |turn: &Turn| own.without.iter().any(|id| turn.id == Some(id.value.as_str()));
        found.retain(|wrong| !off(&wrong.turn) && wrong.value >= 0.0);
        found
    }
}

/// What prints alike put together, and what cannot be told from the key set apart.
fn merged(answer: &Answer, wrong: Vec<(Unit, Wrong)>) -> Slips {
    let mut slips = Slips::default();
    let mut exact: Vec<f64> = Vec::new();
    let (lowest, highest) = answer.outwards();
    let share = (answer.highest - answer.lowest) / (2.0 * answer.rounded.value.abs());
    let share = if share.is_finite() { share.clamp(SLACK, 5.0 * SLACK) } else { SLACK };
    for (unit, Wrong { value, turn }) in wrong {
        let shown = unit.from_si(value);
        if !shown.is_finite() || (shown == 0.0 && turn.id.is_some()) {
            continue;
        }
        let rounded = round_figures(shown, answer.rounded.figures().max(LEAST));
        // What is printed of it may be right though it is not.
        let noise = 1e-9 * answer.highest.abs();
        let is_right = (answer.lowest..=answer.highest).contains(&shown)
            || (lowest - noise..=highest + noise).contains(&rounded.value);
        if is_right {
            if !slips.hidden.contains(&turn) {
                slips.hidden.push(turn);
            }
            continue;
        }
        let printed = print_number(&rounded);
        match slips.told.iter().position(|slip| slip.printed == printed) {
            Some(at) => {
                let slip = &mut slips.told[at];
                let same = (exact[at] - shown).abs() <= SAME * shown.abs();
                // The same formula under a broader name says nothing new.
                if slip.turns.iter().any(|own| own.name == turn.name) || (same && turn.id.is_some())
                {
                    continue;
                }
                slip.says = format!("{}, or {}", slip.says, turn.name);
                slip.turns.push(turn);
            }
            None => {
                let reach = (share * shown.abs()).max(0.5 * 10f64.powi(rounded.last_place));
                exact.push(shown);
                slips.told.push(Slip {
                    printed,
                    value: unit.to_si(rounded.value),
                    lowest: shown - reach,
                    highest: shown + reach,
                    rounded,
                    says: turn.name.clone(),
                    turns: vec![turn],
                });
            }
        }
    }
    slips
}

pub(super) fn differ(one: f64, other: f64) -> bool {
    one.is_nan() != other.is_nan() || (one - other).abs() > SAME * one.abs().max(other.abs())
}
