//! How much a version of a question asks of a learner: steps, unknowns, conversions,
//! figures, readings, words; from these an index and the minutes it takes.
//!
//! Takes a checked question, the choice of its values and the solved slots; gives counts.
//! The weights are ours (common practice, no source): they compare versions of one
//! question and questions of one unit, and say nothing about learners.

use crate::balance::problem::Curve;
use crate::balance::{Shape, Slot, Step, is_equality};
use crate::quantity::{EXACT, Unit};
use crate::reading::model::Checked;
use crate::reading::parsed::Written;

/// What a version asks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Profile {
    /// Relations to be set up and solved.
    pub steps: u32,
    /// Quantities that must be let be x.
    pub unknowns: u32,
    /// Answers and data in another unit than the working's.
    pub conversions: u32,
    /// Figures of the longest number that is given.
    pub digits: u32,
    /// Values read from a table or curve, and those of them that lie between its points.
    pub readings: u32,
    pub between: u32,
    /// Words to read.
    pub words: u32,
}

/// What a step, an unknown and so on count for, in steps.
const PER_UNKNOWN: f64 = 2.0;
const PER_CONVERSION: f64 = 0.5;
const PER_DIGIT: f64 = 0.01;
const PER_READING: f64 = 0.5;
const PER_BETWEEN: f64 = 1.0;
const WORDS_A_STEP: f64 = 100.0;

/// Words read in a minute, and minutes for a mark or for a step if those are more:
/// 200 words, and between 1 and 1.2 marks, a minute (common practice, no source).
const WORDS_A_MINUTE: f64 = 200.0;
const MINUTES_A_MARK: f64 = 0.9;

impl Profile {
    /// How hard a version is, in steps.
    pub fn index(&self) -> f64 {
        f64::from(self.steps)
            + PER_UNKNOWN * f64::from(self.unknowns)
            + PER_CONVERSION * f64::from(self.conversions)
            + PER_DIGIT * f64::from(self.digits)
            + PER_READING * f64::from(self.readings)
            + PER_BETWEEN * f64::from(self.between)
            + f64::from(self.words) / WORDS_A_STEP
    }

    /// How long it takes to read it and to earn so many marks.
    pub fn minutes(&self, marks: u32) -> f64 {
        let work = marks.max(self.steps + self.unknowns);
        f64::from(self.words) / WORDS_A_MINUTE + MINUTES_A_MARK * f64::from(work)
    }
}

/// What is the same in every version of a question, so that a version costs little.
#[derive(Debug)]
pub(super) struct Frame<'a> {
    checked: &'a Checked,
    same: Profile,
    /// What is read from a curve, and where.
    read: Vec<(&'a Curve, Slot)>,
}

impl<'a> Frame<'a> {
    pub(super) fn of(checked: &'a Checked) -> Frame<'a> {
        let mut relations = Vec::new();
        let mut same = Profile::default();
        for step in &checked.engine.plan.steps {
            walk(step, &mut same, &mut relations);
        }
        let all = &checked.engine.system.relations;
        let mut read = Vec::new();
        for relation in relations {
            let shape = &all[relation].shape;
            same.steps += u32::from(!is_equality(shape));
            match shape {
                Shape::Saturation { curve, temperature, .. }
                | Shape::OfSolubility { curve, temperature, .. } => {
                    read.push((curve, *temperature));
                }
                _ => {}
            }
        }
        // A question that is all algebra asks a step of each answer at least.
        same.steps = same.steps.max(u32::try_from(checked.asked.len()).unwrap_or(u32::MAX));
        same.readings = u32::try_from(read.len()).unwrap_or(u32::MAX);
        same.conversions = conversions(checked);
        let question = &checked.question;
        same.words =
            words(&question.stem) + question.parts.iter().map(|p| words(&p.text)).sum::<u32>();
        Frame { checked, same, read }
    }

    /// The profile of a version; `slots` as the engine solved them.
    pub(super) fn profile(&self, choice: &[usize], slots: &[f64]) -> Profile {
        let numbers = self.checked.numbers(choice);
        let figures = numbers.iter().flatten().map(|n| n.figures).filter(|f| *f != EXACT);
        let between = self.read.iter().filter(|(curve, at)| {
            let at = slots.get(*at).copied().unwrap_or(f64::NAN);
            !curve.points.iter().any(|(point, _)| (point - at).abs() < 1e-6)
        });
        let chosen = self.checked.chosen_words(choice);
        let more = chosen.iter().map(|(_, word)| word.split_whitespace().count().saturating_sub(1));
        Profile {
            digits: figures.max().unwrap_or(0),
            between: u32::try_from(between.count()).unwrap_or(u32::MAX),
            words: self.same.words + u32::try_from(more.sum::<usize>()).unwrap_or(0),
            ..self.same
        }
    }
}

fn walk(step: &Step, same: &mut Profile, relations: &mut Vec<usize>) {
    match step {
        Step::Find(find) => relations.push(find.relation),
        Step::Let(letting) => {
            same.unknowns += u32::try_from(letting.unknowns.len()).unwrap_or(u32::MAX);
            relations.extend(letting.relations());
        }
        Step::Basis(taken) => taken.inner.iter().for_each(|step| walk(step, same, relations)),
    }
}

/// Amounts, given or asked for, in another unit than the working's.
fn conversions(checked: &Checked) -> u32 {
    let work = &checked.measures.amount_unit;
    let other = |unit: &Unit| {
        unit.dimension() == work.dimension() && (unit.factor() / work.factor() - 1.0).abs() > 1e-9
    };
    let asked = checked.asked.iter().filter(|asked| other(&asked.unit)).count();
    let given = checked.values.iter().filter(|value| other(&value.unit)).count();
    u32::try_from(asked + given).unwrap_or(u32::MAX)
}

/// The words of a text, a blank counting as one.
fn words(text: &Written) -> u32 {
    let mut count = 0;
    let mut done = 0;
    for blank in &text.blanks {
        count += plain_words(&text.text[done..blank.at.start]) + 1;
        done = blank.at.end;
    }
    count + plain_words(&text.text[done..])
}

fn plain_words(text: &str) -> u32 {
    let words = text.split_whitespace().filter(|w| w.chars().any(char::is_alphanumeric));
    u32::try_from(words.count()).unwrap_or(u32::MAX)
}
