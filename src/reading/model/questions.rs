//! A question checked and compiled: process, values, facts, what is asked.

use crate::balance::Engine;
use crate::balance::problem::{At, Fact, Meaning, Problem, Says};
use crate::diag::{Code, Diagnostic, Diagnostics, Span};
use crate::quantity::formula::{DimensionError, Formula};
use crate::quantity::{Dimension, Unit};
use crate::reading::parsed::{Part, ProcessRef, Question, StreamFacts, Text, ValueLine, Written};

use super::facts::{self, MASS};
use super::names::UnitNames;
use super::values::{self, Values};
use super::{Asked, Checked, Source, faults, process};

/// Everything that is known of a question's facts: for each its place and formula.
pub(super) struct Facts {
    pub(super) spans: Vec<Span>,
    pub(super) formulas: Vec<Option<Formula>>,
    /// How many of them, at the front, come with the process.
    pub(super) inherited: usize,
    amounts: Dimension,
    amount_unit: Unit,
}

impl Facts {
    /// The unit that amounts are printed in.
    pub(super) fn unit_for_amounts(&self) -> Unit {
        self.amount_unit.clone()
    }
}

/// Checks a question; None if a mistake keeps it from being solved.
pub(super) fn check(
    unit: &UnitNames<'_>,
    question: &Question,
    diagnostics: &mut Diagnostics,
) -> Option<Checked> {
    let before = diagnostics.len();
    unit.check_labels(question, diagnostics);
    let process = process::of_question(unit, question);
    if let (ProcessRef::Named(name), None) = (&question.process, process) {
        diagnostics.push(unit.unknown(
            Code::UnknownProcess,
            name,
            "process",
            "this unit",
            unit.processes.keys().copied(),
        ));
        return None;
    }
    // A process of its own block was reported on there; here only its absence counts.
    let mut unheard = Diagnostics::new();
    let own = matches!(question.process, ProcessRef::Inline(_));
    let heard = if own { &mut *diagnostics } else { &mut unheard };
    let mut problem = match process {
        Some(process) => process::check(unit, process, heard)?,
        None => Problem::default(),
    };
    let lines: Vec<&ValueLine> = process
        .map(|p| p.values.as_slice())
        .unwrap_or_default()
        .iter()
        .chain(&question.values)
        .collect();
    check_clashes(unit, question, &problem, diagnostics);
    let values = values::check(unit, &lines, diagnostics)?;
    problem.values = values.numbers.iter().map(|v| v.name.clone()).collect();

    let inherited = process.map(|p| p.given.as_slice()).unwrap_or_default();
    if process.is_none() && !question.given.is_empty() {
        diagnostics.push(
            Diagnostic::new(
                Code::ProcessMissing,
                unit.place(question.given[0].stream.span),
                "This question gives facts about a stream but names no process.",
            )
            .found(format!("`{}`", question.given[0].stream.value))
            .expected("`process:` with the id of a process block")
            .next("Add a line such as `process: saltworks` above `given`."),
        );
        return None;
    }
    let facts = read_facts(unit, &mut problem, &values, inherited, &question.given, diagnostics);
    let relations = process.map(|p| p.relations.as_slice()).unwrap_or_default();
    let lookup = Lookup { problem: &problem, values: &values, amounts: facts.amounts };
    let mut algebra = Vec::new();
    for equation in relations.iter().chain(&question.relations) {
        let (left, right) = (&equation.value.left, &equation.value.right);
        if let (Some(a), Some(b)) =
            (lookup.check(unit, left, diagnostics), lookup.check(unit, right, diagnostics))
        {
            if a != b {
                diagnostics.push(sides_differ(unit, equation.span, a, b));
            }
            algebra.push((left.clone(), right.clone()));
        }
    }
    for require in &question.require {
        let (left, right) = (&require.value.left, &require.value.right);
        if let (Some(a), Some(b)) =
            (lookup.check(unit, left, diagnostics), lookup.check(unit, right, diagnostics))
            && a != b
        {
            diagnostics.push(sides_differ(unit, require.span, a, b));
        }
    }
    let asked = asked(unit, question, &lookup, &facts.amount_unit, diagnostics);
    check_blanks(unit, &question.stem, &lookup, diagnostics);
    for part in &question.parts {
        check_blanks(unit, &part.text, &lookup, diagnostics);
        check_mistakes(unit, part, &lookup, diagnostics);
    }
    if diagnostics.len() > before {
        return None;
    }
    problem.relations = algebra;
    problem.asked = asked.iter().map(|a| a.formula.clone()).collect();
    problem.also = also_read(question, &problem);
    let samples = samples(&values);
    let engine = match Engine::compile(problem.clone(), &samples) {
        Ok(engine) => engine,
        Err(found) => {
            faults::report(unit, question, &problem, &facts, found, diagnostics);
            return None;
        }
    };
    if !faults::possible(unit, &engine, &facts, &asked, &samples, diagnostics) {
        return None;
    }
    faults::unneeded(unit, &engine, &facts, &samples, diagnostics);
    Some(Checked {
        question: question.clone(),
        values: values.numbers,
        words: values.words,
        require: question.require.iter().map(|r| (r.value.clone(), r.span)).collect(),
        asked,
        engine,
        amounts: facts.amounts,
        amount_unit: facts.amount_unit,
        facts: facts.formulas,
    })
}

/// Formulas beside those asked that read streams: conditions, slips, texts.
fn also_read(question: &Question, problem: &Problem) -> Vec<Formula> {
    let conditions = question.require.iter().flat_map(|r| [&r.value.left, &r.value.right]);
    let slips = question.parts.iter().flat_map(|p| p.mistakes.iter().map(|(_, f)| &f.value));
    let texts = std::iter::once(&question.stem)
        .chain(question.parts.iter().map(|p| &p.text))
        .flat_map(|text| text.blanks.iter().map(|b| &b.formula));
    conditions
        .chain(slips)
        .chain(texts)
        .filter(|formula| {
            formula.names().any(|(path, _)| {
                matches!(problem.meaning(&path), Ok(Meaning::Amount(..) | Meaning::Share(..)))
            })
        })
        .cloned()
        .collect()
}

/// A question's values share no name with its streams and components.
fn check_clashes(
    unit: &UnitNames<'_>,
    question: &Question,
    problem: &Problem,
    diagnostics: &mut Diagnostics,
) {
    for line in &question.values {
        let name = line.name.value.as_str();
        let other = if problem.stream(name).is_some() {
            "stream"
        } else if problem.component(name).is_some() {
            "component"
        } else if problem.group(name).is_some() {
            "group"
        } else if problem.operations.iter().any(|o| o.name == name) {
            "operation"
        } else {
            continue;
        };
        diagnostics.push(
            Diagnostic::new(
                Code::NameClash,
                unit.place(line.name.span),
                format!("`{name}` is the name of a {other} and of a value."),
            )
            .found(format!("`{name}` as a value"))
            .expected("one name for one thing")
            .next(format!("Call the value something else, for example `{name}_mass`.")),
        );
    }
}

fn read_facts(
    unit: &UnitNames<'_>,
    problem: &mut Problem,
    values: &Values,
    inherited: &[StreamFacts],
    own: &[StreamFacts],
    diagnostics: &mut Diagnostics,
) -> Facts {
    let mut facts = Facts {
        spans: Vec::new(),
        formulas: Vec::new(),
        inherited: 0,
        amounts: MASS,
        amount_unit: Unit::parse("kg").unwrap_or_else(|_| Unit::none()),
    };
    let mut dimensions: Vec<(Dimension, Span, Option<Unit>)> = Vec::new();
    for (number, given) in inherited.iter().chain(own).enumerate() {
        if number == inherited.len() {
            facts.inherited = problem.facts.len();
        }
        for placed in facts::read(unit, problem, values, given, diagnostics) {
            if let Some(dimension) = placed.amount {
                let typed = placed.formula.as_ref().and_then(|f| unit_of(f, values));
                dimensions.push((dimension, placed.span, typed));
            }
            problem.facts.push(placed.fact);
            facts.spans.push(placed.span);
            facts.formulas.push(placed.formula);
        }
        let excluded = facts::excluded(unit, problem, given, diagnostics);
        if !excluded.is_empty()
            && let Some(stream) = problem.stream(&given.stream.value)
        {
            let part =
                given.part.as_ref().and_then(|p| crate::balance::problem::Part::named(&p.value));
            let at = At { stream, part };
            problem.facts.push(Fact { at, says: Says::Absent(excluded) });
            facts.spans.push(given.stream.span);
            facts.formulas.push(None);
        }
    }
    if own.is_empty() {
        facts.inherited = problem.facts.len();
    }
    if let Some((first, _, _)) = dimensions.first() {
        facts.amounts = *first;
        for (other, span, _) in &dimensions {
            if other != first {
                diagnostics.push(
                    Diagnostic::new(
                        Code::UnitMismatch,
                        unit.place(*span),
                        format!("This is {}, while the first total is {}.", other.words(), first.words()),
                    )
                    .found(format!("`{}`", unit.file.slice(*span)))
                    .expected(format!("{} throughout the question", first.words()))
                    .next("Give all totals as amounts, or all as rates; `rate: = batch / hours` converts."),
                );
            }
        }
        let like = dimensions.iter().find_map(|(d, _, unit)| {
            unit.clone().filter(|u| d == first && u.dimension() == *first)
        });
        facts.amount_unit = like.unwrap_or_else(|| Unit::base(*first));
    }
    facts
}

/// The unit that a fact's formula was typed in, if it is a number or a value.
fn unit_of(formula: &Formula, values: &Values) -> Option<Unit> {
    if let Some(typed) = formula.as_typed() {
        return Some(typed.unit.clone());
    }
    formula
        .names()
        .find_map(|(path, _)| values.numbers.iter().find(|v| v.name == path.join(".")))
        .map(|value| value.unit.clone())
}

/// Looks dotted names up in values and process.
pub(super) struct Lookup<'a> {
    problem: &'a Problem,
    values: &'a Values,
    amounts: Dimension,
}

impl Lookup<'_> {
    fn dimension_of(&self, path: &[&str]) -> Option<Dimension> {
        use crate::balance::problem::What;
        if let [name] = path
            && let Some(dimension) = self.values.dimension(name)
        {
            return Some(dimension);
        }
        match self.problem.meaning(path).ok()? {
            Meaning::Value(_) => None,
            Meaning::Amount(_, What::Volume) => {
                Some(Dimension { mass: 0, length: 3, ..self.amounts })
            }
            Meaning::Amount(_, What::Density) => {
                Some(Dimension { mass: 1, length: -3, ..Dimension::NONE })
            }
            Meaning::Amount(..) => Some(self.amounts),
            Meaning::Share(..) => Some(Dimension::NONE),
        }
    }

    /// The formula's dimension, if all its names are known and its units agree.
    fn check(
        &self,
        unit: &UnitNames<'_>,
        formula: &Formula,
        diagnostics: &mut Diagnostics,
    ) -> Option<Dimension> {
        let known = |path: &[&str]| self.dimension_of(path);
        if !check_names(unit, formula, &known, self.values, Some(self.problem), diagnostics) {
            return None;
        }
        match formula.dimension(&known) {
            Ok(dimension) => Some(dimension),
            Err(error) => {
                diagnostics.push(dimension_mistake(unit, error));
                None
            }
        }
    }
}

/// Reports every name of a formula that `known` does not know.
pub(super) fn check_names(
    unit: &UnitNames<'_>,
    formula: &Formula,
    known: &dyn Fn(&[&str]) -> Option<Dimension>,
    values: &Values,
    problem: Option<&Problem>,
    diagnostics: &mut Diagnostics,
) -> bool {
    let mut sound = true;
    for (path, span) in formula.names() {
        if known(&path).is_some() {
            continue;
        }
        sound = false;
        let unread = problem.map_or(0, |p| p.meaning(&path).err().map_or(0, |u| u.segment));
        let (name, code, kind, home) = match (problem, unread) {
            (Some(_), segment) if segment > 0 => (
                path[segment.min(path.len() - 1)],
                Code::UnknownComponent,
                "component",
                "this process",
            ),
            (Some(p), _) if !p.streams.is_empty() => {
                (path[0], Code::UnknownName, "stream or value", "this question")
            }
            _ => (path[0], Code::UnknownName, "value", "`values`"),
        };
        // The place of the one word that is not known.
        let before: usize = path.iter().take_while(|w| **w != name).map(|w| w.len() + 1).sum();
        let start = (span.start + before).min(span.end);
        let text = Text::new(name.to_owned(), Span::new(start, (start + name.len()).min(span.end)));
        let values_first = values.names();
        let names: Vec<&str> = match (problem, kind) {
            (Some(p), "component") => p
                .components
                .iter()
                .map(|c| c.name.as_str())
                .chain(p.groups.iter().map(|g| g.name.as_str()))
                .chain(["total", "fraction", "percent"])
                .collect(),
            (Some(p), _) => values_first.chain(p.streams.iter().map(String::as_str)).collect(),
            _ => values_first.collect(),
        };
        diagnostics.push(unit.unknown(code, &text, kind, home, names.into_iter()));
    }
    sound
}

pub(super) fn dimension_mistake(unit: &UnitNames<'_>, error: DimensionError) -> Diagnostic {
    Diagnostic::new(Code::UnitMismatch, unit.place(error.span), error.message)
        .found(error.found)
        .expected(error.expected)
        .next(error.next)
}

fn sides_differ(unit: &UnitNames<'_>, span: Span, a: Dimension, b: Dimension) -> Diagnostic {
    Diagnostic::new(
        Code::UnitMismatch,
        unit.place(span),
        format!("One side is {}, the other {}.", a.words(), b.words()),
    )
    .found(format!("`{}`", unit.file.slice(span)))
    .expected("the same kind of quantity on both sides")
    .next("Check the units on both sides.")
}

fn asked(
    unit: &UnitNames<'_>,
    question: &Question,
    lookup: &Lookup<'_>,
    amount_unit: &Unit,
    diagnostics: &mut Diagnostics,
) -> Vec<Asked> {
    let mut asked = Vec::new();
    for (number, part) in question.parts.iter().enumerate() {
        for find in &part.find {
            let Some(dimension) = lookup.check(unit, &find.value, diagnostics) else { continue };
            let printed = match &part.unit {
                Some(wanted) if wanted.value.dimension() == dimension => wanted.value.clone(),
                Some(wanted) => {
                    diagnostics.push(
                        Diagnostic::new(
                            Code::UnitMismatch,
                            unit.place(wanted.span),
                            format!(
                                "The answer is {}, which cannot be printed in {}.",
                                dimension.words(),
                                wanted.value.print()
                            ),
                        )
                        .found(format!("`{}`", wanted.value.text()))
                        .expected(format!("a unit of {}", dimension.words()))
                        .next("Change the unit, or leave it out."),
                    );
                    continue;
                }
                None => default_unit(&find.value, dimension, lookup, amount_unit),
            };
            asked.push(Asked { part: number, formula: find.value.clone(), unit: printed });
        }
    }
    asked
}

/// The unit an answer is printed in where the author names none.
fn default_unit(
    formula: &Formula,
    dimension: Dimension,
    lookup: &Lookup<'_>,
    amount_unit: &Unit,
) -> Unit {
    use crate::balance::problem::Percent;
    if let Some(path) = formula.as_name()
        && let Ok(Meaning::Share(_, _, percent)) = lookup.problem.meaning(&path)
    {
        return if percent == Percent::Yes { Unit::percent() } else { Unit::none() };
    }
    if dimension.is_none() {
        return Unit::none();
    }
    if amount_unit.dimension() == dimension && !lookup.problem.streams.is_empty() {
        return amount_unit.clone();
    }
    let of_values = formula
        .names()
        .filter_map(|(path, _)| lookup.values.numbers.iter().find(|v| v.name == path.join(".")))
        .chain(&lookup.values.numbers)
        .find(|v| v.unit.dimension() == dimension)
        .map(|v| v.unit.clone());
    of_values.unwrap_or_else(|| Unit::base(dimension))
}

/// Every blank of a text names a number or a word value.
fn check_blanks(
    unit: &UnitNames<'_>,
    text: &Written,
    lookup: &Lookup<'_>,
    diagnostics: &mut Diagnostics,
) {
    for blank in &text.blanks {
        let word = blank.formula.as_name().is_some_and(|path| {
            lookup.values.words.iter().any(|(name, _)| *name == path.join("."))
        });
        if !word {
            lookup.check(unit, &blank.formula, diagnostics);
        }
    }
}

/// A mistake's formula gives what its part asks for.
fn check_mistakes(
    unit: &UnitNames<'_>,
    part: &Part,
    lookup: &Lookup<'_>,
    diagnostics: &mut Diagnostics,
) {
    let wanted =
        part.find.first().and_then(|f| f.value.dimension(&|path| lookup.dimension_of(path)).ok());
    for (_, formula) in &part.mistakes {
        let Some(found) = lookup.check(unit, &formula.value, diagnostics) else { continue };
        if let Some(wanted) = wanted
            && wanted != found
        {
            diagnostics.push(
                Diagnostic::new(
                    Code::UnitMismatch,
                    unit.place(formula.span),
                    format!(
                        "This wrong answer is {}, while the part asks for {}.",
                        found.words(),
                        wanted.words()
                    ),
                )
                .found(format!("`{}`", unit.file.slice(formula.span)))
                .expected(wanted.words())
                .next("Write the formula so that it gives the same kind of quantity as `find`."),
            );
        }
    }
}

/// A few sets of values over the corners and the middle of what may be drawn.
fn samples(values: &Values) -> Vec<Vec<f64>> {
    let at = |place: fn(usize, usize) -> usize| {
        let numbers: Vec<Option<&crate::quantity::Number>> = values
            .numbers
            .iter()
            .enumerate()
            .map(|(axis, value)| match &value.source {
                Source::Drawn(choices) => choices.get(place(axis, choices.len())),
                Source::Derived { .. } => None,
            })
            .collect();
        values::worked_out(&values.numbers, &numbers)
    };
    vec![
        at(|_, n| n / 2),
        at(|_, _| 0),
        at(|_, n| n.saturating_sub(1)),
        at(|axis, n| if axis % 2 == 0 { 0 } else { n.saturating_sub(1) }),
        at(|axis, n| if axis % 2 == 1 { 0 } else { n.saturating_sub(1) }),
        at(|axis, n| (axis * 7 + 3) % n.max(1)),
    ]
}
