//! The checked unit: every name looked up, every unit checked, every question
//! compiled to a plan.
//!
//! Takes a parsed unit; gives the model that versions are drawn from, with all
//! the mistakes that stop it. A question with a mistake is left out, the rest stand.

mod asked;
mod crystals;
mod extras;
mod facts;
mod faults;
mod figures;
mod kept;
pub mod kinds;
mod lookup;
mod measures;
mod names;
mod process;
mod questions;
mod recap;
mod route;
mod saturation;
mod settings;
mod stages;
mod tables;
mod temperatures;
mod values;

use std::sync::Arc;

pub use faults::refusal_words;
pub use kept::Kept;
pub use measures::Measures;
pub use process::capital;

use crate::balance::problem::{Meaning, What};
use crate::balance::{Engine, Node, Slot};
use crate::diag::{Code, Diagnostic, Diagnostics, Span};
use crate::quantity::formula::{Comparison, Formula};
use crate::quantity::{Number, Unit};

use super::parsed::{Figure, Item, ParsedUnit, Process, Question, Review};

/// A unit whose questions can be solved.
#[derive(Debug)]
pub struct Model {
    pub parsed: Arc<ParsedUnit>,
    /// In the order of the file, numbered from 1 by their place here.
    pub questions: Vec<Checked>,
    /// Examples by the index of their item; under that of a review its questions.
    pub examples: Vec<(usize, Checked)>,
    /// The totals on figures whose facts settle any, by the index of their item.
    pub totals: Vec<(usize, Checked)>,
}

impl Model {
    /// The process block of this id.
    pub fn process(&self, id: &str) -> Option<&Process> {
        self.parsed.items.iter().find_map(|item| match item {
            Item::Process(process) if process.id.as_ref().is_some_and(|own| own.value == id) => {
                Some(process)
            }
            _ => None,
        })
    }

    /// The question that papers call so: the unit's id, a stroke, its own.
    pub fn question_of_paper(&self, id: &str) -> Option<&Checked> {
        let own = id.strip_prefix(self.parsed.front.id.value.as_str())?.strip_prefix('/')?;
        self.questions.iter().find(|checked| checked.question.id.value == own)
    }

    /// The figure block of this id, with the totals on its streams.
    pub fn figure(&self, id: &str) -> Option<(&Figure, Option<&Checked>)> {
        self.figures().find(|(figure, _)| figure.id.value == id)
    }

    /// All figure blocks, in the order of the file.
    pub fn figures(&self) -> impl Iterator<Item = (&Figure, Option<&Checked>)> {
        self.parsed.items.iter().enumerate().filter_map(|(index, item)| match item {
            Item::Figure(figure) => {
                let totals = self.totals.iter().find(|(item, _)| *item == index);
                Some((figure, totals.map(|(_, checked)| checked)))
            }
            _ => None,
        })
    }
}

/// A question or example, compiled.
#[derive(Debug)]
pub struct Checked {
    pub question: Question,
    pub values: Vec<Value>,
    /// Word values, by name.
    pub words: Vec<(String, Vec<String>)>,
    pub require: Vec<(Comparison, Span)>,
    pub asked: Vec<Asked>,
    /// What each part asks, in their order.
    pub tasks: Vec<kinds::Task>,
    pub engine: Engine,
    /// The units in which quantities are worked and printed.
    pub measures: Measures,
    /// For each fact of the engine's problem, the formula's text as printed, if it
    /// is more than a name.
    pub facts: Vec<Option<Formula>>,
    /// What later stages work out once for all versions.
    pub kept: Kept,
}

/// A number that the author named, in slot order.
#[derive(Debug, Clone)]
pub struct Value {
    pub name: String,
    pub unit: Unit,
    pub source: Source,
    /// What stands behind its name in the file.
    pub span: Span,
}

#[derive(Debug, Clone)]
pub enum Source {
    /// Drawn from these numbers (one: a constant), as they would be typed.
    Drawn(Vec<Number>),
    /// Worked out from values that stand before it in `derived_order`.
    Derived { formula: Formula, order: usize },
}

/// One thing that a part asks for.
#[derive(Debug, Clone)]
pub struct Asked {
    /// Index of the part.
    pub part: usize,
    pub formula: Formula,
    pub unit: Unit,
}

impl Checked {
    /// How many choices each drawn thing has: numbers first, then words, in order.
    pub fn axes(&self) -> Vec<usize> {
        let numbers = self.values.iter().filter_map(|value| match &value.source {
            Source::Drawn(choices) => Some(choices.len()),
            Source::Derived { .. } => None,
        });
        numbers.chain(self.words.iter().map(|(_, words)| words.len())).collect()
    }

    /// The drawn numbers of a choice of each axis, in slot order; derived ones None.
    pub fn numbers<'a>(&'a self, choice: &[usize]) -> Vec<Option<&'a Number>> {
        let mut axis = choice.iter();
        self.values
            .iter()
            .map(|value| match &value.source {
                Source::Drawn(choices) => axis.next().and_then(|i| choices.get(*i)),
                Source::Derived { .. } => None,
            })
            .collect()
    }

    /// The words of a choice, by name.
    pub fn chosen_words<'a>(&'a self, choice: &[usize]) -> Vec<(&'a str, &'a str)> {
        let first = choice.len().saturating_sub(self.words.len());
        self.words
            .iter()
            .zip(&choice[first..])
            .filter_map(|((name, words), i)| Some((name.as_str(), words.get(*i)?.as_str())))
            .collect()
    }

    /// The values in base units for a choice, derived ones worked out.
    pub fn values_for(&self, choice: &[usize]) -> Vec<f64> {
        let numbers = self.numbers(choice);
        values::worked_out(&self.values, &numbers)
    }
}

/// Checks a parsed unit.
pub fn check(parsed: &Arc<ParsedUnit>, diagnostics: &mut Diagnostics) -> Model {
    let unit = names::UnitNames::of(parsed, diagnostics);
    let mut model = Model {
        parsed: Arc::clone(parsed),
        questions: Vec::new(),
        examples: Vec::new(),
        totals: Vec::new(),
    };
    for (index, item) in parsed.items.iter().enumerate() {
        match item {
            Item::Question(question) => {
                if let Some(checked) = questions::check(&unit, question, diagnostics) {
                    model.questions.push(checked);
                }
            }
            Item::Example(question) => {
                if let Some(checked) = questions::check(&unit, question, diagnostics) {
                    model.examples.push((index, checked));
                }
            }
            Item::Process(process) => process::check_alone(&unit, process, diagnostics),
            Item::Figure(figure) => {
                let totals = figures::check(&unit, figure, diagnostics);
                model.totals.extend(totals.map(|checked| (index, checked)));
            }
            Item::Prose(_) | Item::Technique(_) | Item::Data(_) | Item::Glossary(_) => {}
            Item::Review(review) => {
                let about = reviewed(&unit, review, diagnostics);
                let most = review.most.as_ref().map_or(QUICK, |most| most.value as usize);
                let made = match &about {
                    Some(about) if review.questions.is_empty() || !about.is_empty() => {
                        recap::questions(parsed, about, most)
                    }
                    _ => Vec::new(),
                };
                if made.is_empty() && review.questions.is_empty() && about.is_some() {
                    diagnostics.push(nothing_to_review(&unit, review));
                }
                let made = made.iter().filter_map(|q| questions::check(&unit, q, diagnostics));
                model.examples.extend(made.map(|checked| (index, checked)));
            }
        }
    }
    // A unit without questions has those that its blocks give.
    if !parsed.items.iter().any(|item| matches!(item, Item::Question(_))) {
        let made = recap::questions(parsed, &[], RECAP);
        let made = made.iter().filter_map(|q| questions::check(&unit, q, diagnostics));
        model.questions.extend(made);
    }
    // Last, because prose may use the numbers of an example that stands below it.
    for item in &parsed.items {
        if let Item::Prose(prose) = item {
            names::check_prose(&unit, prose, &model.examples, diagnostics);
        }
    }
    none_left_out(&unit, &model, diagnostics);
    model
}

/// Questions that are made for a quick review, and for a unit that has none.
const QUICK: usize = 5;
const RECAP: usize = 10;

/// The blocks that a review is about; none if one is not there.
fn reviewed<'r>(
    unit: &names::UnitNames<'_>,
    review: &'r Review,
    diagnostics: &mut Diagnostics,
) -> Option<Vec<&'r str>> {
    let mut all_known = true;
    for name in &review.about {
        let id = name.value.as_str();
        if unit.techniques.contains_key(id) || unit.processes.contains_key(id) {
            continue;
        }
        all_known = false;
        if !unit.may_be_a_block(id) {
            let known = unit.techniques.keys().chain(unit.processes.keys()).copied();
            let code = Code::UnknownTechnique;
            let what = "technique or process";
            diagnostics.push(unit.unknown(code, name, what, "this unit", known));
        }
    }
    all_known.then(|| review.about.iter().map(|name| name.value.as_str()).collect())
}

fn nothing_to_review(unit: &names::UnitNames<'_>, review: &Review) -> Diagnostic {
    Diagnostic::new(
        Code::NothingAsked,
        unit.place(review.span),
        "Nothing can be asked in this review without giving two right answers.",
    )
    .found("too few techniques or steps that differ")
    .expected("at least three techniques with properties of their own, or a process of four steps")
    .next("write `questions` with `ask` and `answer`, or describe more techniques")
}

/// A question that is left out without a word would be missed only in class.
fn none_left_out(unit: &names::UnitNames<'_>, model: &Model, diagnostics: &mut Diagnostics) {
    if diagnostics.has_errors() {
        return;
    }
    let kept = |question: &Question| {
        let span = question.span;
        model.questions.iter().any(|q| q.question.span == span)
            || model.examples.iter().any(|(_, q)| q.question.span == span)
    };
    for item in &model.parsed.items {
        if let Item::Question(question) | Item::Example(question) = item
            && !kept(question)
        {
            diagnostics.push(
                Diagnostic::new(
                    Code::Impossible,
                    unit.place(question.id.span),
                    "This question cannot be used, for a reason that Stillroom did not find.",
                )
                .found(format!("`{}`", question.id.value))
                .expected("a question that can be solved")
                .next("simplify it step by step until it is accepted"),
            );
        }
    }
}

impl Checked {
    /// The value of a dotted name, in base units, from solved slots.
    pub fn value_at(&self, path: &[&str], slots: &[f64]) -> Option<f64> {
        self.slot_of(path).and_then(|slot| slots.get(slot).copied())
    }

    /// The slot that a dotted name reads.
    pub fn slot_of(&self, path: &[&str]) -> Option<Slot> {
        self.engine.slot_of(self.node_of(path)?)
    }

    /// What a dotted name stands for.
    pub fn node_of(&self, path: &[&str]) -> Option<Node> {
        Some(Node::of(self.engine.problem.meaning(path).ok()?))
    }

    /// The unit in which a formula's result is shown, given that of its kind; the
    /// check has refused what cannot be told.
    pub fn unit_for(&self, formula: &Formula, unit: &Unit) -> Unit {
        temperatures::unit_for(formula, unit.clone(), &self.values).unwrap_or_else(|_| unit.clone())
    }

    /// The unit in which a name's figures are counted.
    pub fn shown_unit(&self, path: &[&str]) -> Option<Unit> {
        let problem = &self.engine.problem;
        match problem.meaning(path).ok()? {
            Meaning::Value(value) => Some(self.values[value].unit.clone()),
            // Their own unit is told where they are given; here its kind is enough.
            meaning @ Meaning::Amount(_, What::Volume | What::Density) => {
                self.measures.dimension(problem, meaning).map(Unit::base)
            }
            meaning => self.measures.unit(problem, meaning),
        }
    }
}
