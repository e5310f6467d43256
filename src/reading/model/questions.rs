//! A question checked and compiled: process, values, facts, what is asked.

use crate::balance::problem::{Basis, Equation, Fact, Meaning, Problem, Says};
use crate::balance::{Engine, Fault};
use crate::diag::{Code, Diagnostic, Diagnostics, Severity, Span};
use crate::quantity::formula::Formula;
use crate::quantity::{Dimension, Unit};
use crate::reading::parsed::{
    Component, FactValue, Part, Process, ProcessRef, Question, StreamFacts, ValueLine, Written,
};

use super::asked::{asked, default_unit};
use super::facts::{self, Placed};
use super::lookup::Lookup;
use super::measures::Measures;
use super::names::UnitNames;
use super::process::Bare;
use super::values::{self, Values};
use super::{
    Asked, Checked, Kept, Source, extras, faults, figures, kinds, process, route, settings, tables,
    temperatures,
};

/// Everything that is known of a question's facts: for each its place and formula.
pub(super) struct Facts {
    pub(super) spans: Vec<Span>,
    pub(super) formulas: Vec<Option<Formula>>,
    /// How many of them, at the front, come with the process.
    pub(super) inherited: usize,
    /// The places of pinned steps.
    pub(super) pins: Vec<Span>,
    /// A fact was passed over because of a mistake, which may stand elsewhere.
    lost: bool,
    /// Those that settings of operations say.
    pub(super) by_operation: Vec<bool>,
    pub(super) measures: Measures,
}

/// Where the names that a question uses are declared.
#[derive(Debug, Clone, Copy)]
pub(super) struct Blocks<'a> {
    pub(super) question: Span,
    pub(super) process: Span,
    pub(super) components: &'a [Component],
}

/// Checks a question; None if a mistake keeps it from being solved.
pub(super) fn check(
    unit: &UnitNames<'_>,
    question: &Question,
    diagnostics: &mut Diagnostics,
) -> Option<Checked> {
    check_by(unit, question, Wanted::All, diagnostics)
}

/// Checks a question that asks for more than its facts need settle: what they do not
/// is left out. None if nothing is left.
pub(super) fn check_totals(
    unit: &UnitNames<'_>,
    question: &Question,
    diagnostics: &mut Diagnostics,
) -> Option<Checked> {
    check_by(unit, question, Wanted::WhatThereIs, diagnostics)
}

/// How much of what is asked must be found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Wanted {
    All,
    WhatThereIs,
}

fn check_by(
    unit: &UnitNames<'_>,
    question: &Question,
    wanted: Wanted,
    diagnostics: &mut Diagnostics,
) -> Option<Checked> {
    let at_first = errors(diagnostics);
    unit.check_objective(question, diagnostics);
    let question = &kinds::with_figure(unit, question, diagnostics);
    figures::check_shown(unit, question, diagnostics);
    tables::check_named(unit, question, diagnostics);
    let before = errors(diagnostics);
    let process = process::of_question(unit, question);
    let absent = match process {
        // Its operations were there to be read, and could not be.
        Some(process) => process.operations.is_empty() && unit.marred(process.span),
        None => process_absent(unit, question, diagnostics),
    };
    // A process of its own block was reported on there.
    let mut unheard = Diagnostics::new();
    let own = matches!(question.process, ProcessRef::Inline(_));
    let heard = if own { &mut *diagnostics } else { &mut unheard };
    let basis = question.basis.as_ref().or(process.and_then(|p| p.basis.as_ref()));
    let basis = basis.map(|b| b.value).unwrap_or_default();
    let Bare { mut problem, sound } = match process {
        Some(process) => process::check(unit, process, basis, heard),
        None => Bare { sound: !absent, ..Bare::default() },
    };
    let blocks = Blocks {
        question: question.span,
        process: process.map_or(Span::default(), |process| process.span),
        components: process.map(|p| p.components.as_slice()).unwrap_or_default(),
    };
    let lines: Vec<&ValueLine> = process
        .map(|p| p.values.as_slice())
        .unwrap_or_default()
        .iter()
        .chain(&question.values)
        .collect();
    check_clashes(unit, question, &problem, diagnostics);
    let values = values::check(unit, &lines, question.span, diagnostics);
    problem.values = values.numbers.iter().map(|v| v.name.clone()).collect();
    let question = &temperatures::settled(question, &values.numbers);

    let inherited = process.map(|p| p.given.as_slice()).unwrap_or_default();
    let own_facts = if process.is_some() && !absent { question.given.as_slice() } else { &[] };
    let relations = process.map(|p| p.relations.as_slice()).unwrap_or_default();
    let mut physics = Vec::new();
    if let Some(process) = process {
        let sides = relations.iter().flat_map(|r| [&r.value.left, &r.value.right]);
        let read = formulas(question).chain(sides);
        physics = extras::add(unit, &mut problem, &values, blocks, read, diagnostics);
        physics.extend(settings::facts(unit, &mut problem, &values, process, blocks, diagnostics));
    }
    let mut facts = read_facts(
        unit,
        &mut problem,
        &values,
        (inherited, own_facts, physics),
        blocks,
        diagnostics,
    );
    let measures = &facts.measures;
    let lookup = Lookup { problem: &problem, values: &values, measures, blocks, absent };
    let mut algebra = problem.relations.clone();
    for equation in relations.iter().chain(&question.relations) {
        let (mut left, mut right) = (equation.value.left.clone(), equation.value.right.clone());
        let names = |path: &[&str]| temperatures::is_reading(&values.numbers, path);
        Formula::settle_sides(&mut left, &mut right, &names);
        lookup.check_sides(unit, &left, &right, equation.span, diagnostics);
        algebra.push(Equation { left, right, says: None });
    }
    for require in &question.require {
        let (left, right) = (&require.value.left, &require.value.right);
        lookup.check_sides(unit, left, right, require.span, diagnostics);
    }
    let mut asked = asked(unit, question, &lookup, diagnostics);
    let (route, pins) = match sound && !absent {
        true => route::read(unit, question, &problem, &asked, diagnostics),
        false => Default::default(),
    };
    let solvable =
        sound && !facts.lost && errors(diagnostics) == before && !unit.marred(question.span);
    check_blanks(unit, &question.stem, &lookup, diagnostics);
    for part in &question.parts {
        check_blanks(unit, &part.lead, &lookup, diagnostics);
        check_blanks(unit, &part.text, &lookup, diagnostics);
        check_mistakes(unit, part, &lookup, diagnostics);
        for (quantity, _) in &part.remarks {
            lookup.check(unit, &quantity.value, diagnostics);
        }
    }
    let otherwise = errors(diagnostics);
    let tasks = kinds::check(unit, question, &lookup, diagnostics);
    if !solvable || errors(diagnostics) != otherwise {
        return None;
    }
    facts.pins = pins;
    problem.relations = algebra;
    problem.asked = asked.iter().map(|a| a.formula.clone()).collect();
    problem.also = also_read(question, &problem);
    let samples = samples(&values);
    let engine = loop {
        match Engine::compile_by(problem.clone(), &samples, &route) {
            Ok(engine) => break engine,
            Err(found) if wanted == Wanted::WhatThereIs && leave_out(&found, &mut asked) => {
                problem.asked = asked.iter().map(|a| a.formula.clone()).collect();
                if asked.is_empty() {
                    return None;
                }
            }
            Err(found) => {
                faults::report(unit, question, &problem, &facts, found, diagnostics);
                return None;
            }
        }
    };
    if !faults::possible(unit, &engine, &facts, &asked, &samples, diagnostics) {
        return None;
    }
    if wanted == Wanted::All {
        faults::unneeded(unit, &engine, &facts, &samples, diagnostics);
    }
    let checked = Checked {
        question: question.clone(),
        values: values.numbers,
        words: values.words,
        require: question.require.iter().map(|r| (r.value.clone(), r.span)).collect(),
        asked,
        tasks,
        engine,
        measures: facts.measures,
        facts: facts.formulas,
        kept: Kept::default(),
    };
    let slot_of = |path: &[&str]| checked.slot_of(path);
    faults::idle_remarks(unit, question, &checked.engine, &slot_of, diagnostics);
    (errors(diagnostics) == at_first).then_some(checked)
}

/// Takes out of what is asked that which the facts do not settle; false if something
/// else is wrong.
fn leave_out(found: &[Fault], asked: &mut Vec<Asked>) -> bool {
    let mut unsettled = Vec::new();
    for fault in found {
        match fault {
            Fault::TooFew { formula, .. }
            | Fault::NoRoute { formula }
            | Fault::SeveralRoots { formula, .. } => unsettled.push(formula.as_name()),
            Fault::TooMany { .. } | Fault::RouteNotTaken { .. } => return false,
        }
    }
    let before = asked.len();
    asked.retain(|a| !unsettled.contains(&a.formula.as_name()));
    asked.len() < before
}

/// Checks the values, facts and relations of a process that no question uses; those
/// of others are checked with each question, whose values they may name.
pub(super) fn check_inherited(
    unit: &UnitNames<'_>,
    process: &Process,
    problem: &Problem,
    diagnostics: &mut Diagnostics,
) {
    let lines: Vec<&ValueLine> = process.values.iter().collect();
    let values = values::check(unit, &lines, process.span, diagnostics);
    let components = process.components.as_slice();
    let blocks = Blocks { question: process.span, process: process.span, components };
    let mut problem = problem.clone();
    let physics = settings::facts(unit, &mut problem, &values, process, blocks, diagnostics);
    let given = (process.given.as_slice(), [].as_slice(), physics);
    let facts = read_facts(unit, &mut problem, &values, given, blocks, diagnostics);
    let measures = &facts.measures;
    let lookup = Lookup { problem: &problem, values: &values, measures, blocks, absent: false };
    for equation in &process.relations {
        let (left, right) = (&equation.value.left, &equation.value.right);
        lookup.check_sides(unit, left, right, equation.span, diagnostics);
    }
}

fn errors(diagnostics: &Diagnostics) -> usize {
    diagnostics.iter().filter(|d| d.severity == Severity::Error).count()
}

/// Reports a process that the question needs and does not have. True if it needs
/// one, so that names of streams cannot be looked up.
fn process_absent(
    unit: &UnitNames<'_>,
    question: &Question,
    diagnostics: &mut Diagnostics,
) -> bool {
    if let ProcessRef::Named(name) = &question.process {
        if !unit.may_be_a_block(&name.value) {
            let known = unit.processes.keys().copied();
            let code = Code::UnknownProcess;
            diagnostics.push(unit.unknown(code, name, "process", "this unit", known));
        }
        return true;
    }
    if unit.may_be_key("process", question.span) {
        return true;
    }
    let given = question.given.first().map(|given| (given.stream.span, "gives facts about"));
    let asks = formulas(question).find_map(|formula| {
        let (_, span) = formula.names().find(|(path, _)| path.len() > 1)?;
        Some((span, "speaks of"))
    });
    let Some((span, does)) = given.or(asks) else { return false };
    let name = unit.file.slice(span).split('.').next().unwrap_or("");
    let finding = Diagnostic::new(
        Code::ProcessMissing,
        unit.place(span),
        format!("This question {does} the stream `{name}`, but says no `process`."),
    )
    .found(format!("`{name}`"))
    .expected("`process:` with the id of a process block")
    .next("say in a line of its own which process the stream belongs to");
    let only = unit.processes.keys().next().filter(|_| unit.processes.len() == 1);
    diagnostics.push(match only {
        Some(process) => finding.written(format!("process: {process}")),
        None => finding,
    });
    true
}

/// Every formula that may speak of streams.
fn formulas(question: &Question) -> impl Iterator<Item = &Formula> {
    let relations = question.relations.iter().flat_map(|r| [&r.value.left, &r.value.right]);
    let conditions = question.require.iter().flat_map(|r| [&r.value.left, &r.value.right]);
    let parts = question.parts.iter().flat_map(|part| {
        part.find
            .iter()
            .map(|f| &f.value)
            .chain(part.mistakes.iter().map(|(_, f)| &f.value))
            .chain(part.kind.formulas())
    });
    parts.chain(relations).chain(conditions).chain(blanks(question))
}

fn blanks(question: &Question) -> impl Iterator<Item = &Formula> {
    std::iter::once(&question.stem)
        .chain(question.parts.iter().flat_map(|p| [&p.lead, &p.text]))
        .flat_map(|text| text.blanks.iter().map(|b| &b.formula))
}

/// Formulas beside those asked that read streams: conditions, slips, texts.
fn also_read(question: &Question, problem: &Problem) -> Vec<Formula> {
    let conditions = question.require.iter().flat_map(|r| [&r.value.left, &r.value.right]);
    let slips = question.parts.iter().flat_map(|p| p.mistakes.iter().map(|(_, f)| &f.value));
    conditions
        .chain(slips)
        .chain(question.parts.iter().flat_map(|p| p.kind.formulas()))
        .chain(blanks(question))
        .filter(|formula| {
            formula.names().any(|(path, _)| {
                matches!(problem.meaning(&path), Ok(meaning) if !matches!(meaning, Meaning::Value(_)))
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
                format!("`{name}` is the name of {} and of a value.", process::a(other)),
            )
            .found(format!("`{name}` as a value"))
            .expected("one name for one thing")
            .next(format!("call the value something else, for example `{name}_mass`")),
        );
    }
}

fn read_facts(
    unit: &UnitNames<'_>,
    problem: &mut Problem,
    values: &Values,
    (inherited, own, physics): (&[StreamFacts], &[StreamFacts], Vec<Placed>),
    blocks: Blocks<'_>,
    diagnostics: &mut Diagnostics,
) -> Facts {
    let mut facts = Facts {
        spans: Vec::new(),
        formulas: Vec::new(),
        inherited: 0,
        pins: Vec::new(),
        lost: false,
        by_operation: Vec::new(),
        measures: Measures::of(problem.basis, usual_amounts(problem.basis), &[]),
    };
    let mut dimensions: Vec<(Dimension, Span)> = Vec::new();
    let mut typed: Vec<Unit> = Vec::new();
    let mut add = |problem: &mut Problem, facts: &mut Facts, placed: Placed| {
        dimensions.extend(placed.amount.map(|dimension| (dimension, placed.span)));
        typed.extend(placed.formula.as_ref().and_then(|f| unit_of(f, values)));
        problem.facts.push(placed.fact);
        facts.spans.push(placed.span);
        facts.formulas.push(placed.formula);
        facts.by_operation.push(placed.by_operation);
    };
    for (number, given) in inherited.iter().chain(own).enumerate() {
        if number == inherited.len() {
            facts.inherited = problem.facts.len();
        }
        let before = errors(diagnostics);
        let read = facts::read(unit, problem, values, given, blocks, diagnostics);
        facts.lost |= errors(diagnostics) > before;
        let said = given.facts.iter().filter(|f| !matches!(f.value.value, FactValue::Name(_)));
        facts.lost |= read.len() < said.count();
        for placed in read {
            add(problem, &mut facts, placed);
        }
        let excluded = facts::excluded(unit, problem, given, blocks.process, diagnostics);
        let path: Vec<&str> = std::iter::once(given.stream.value.as_str())
            .chain(given.part.iter().flat_map(|p| p.value.split('.')))
            .collect();
        if !excluded.is_empty()
            && let Ok((at, _)) = problem.locate(&path)
        {
            let placed = Placed {
                fact: Fact { at, says: Says::Absent(excluded) },
                span: given.stream.span,
                formula: None,
                amount: None,
                by_operation: false,
            };
            add(problem, &mut facts, placed);
        }
    }
    if own.is_empty() {
        facts.inherited = problem.facts.len();
    }
    let told = problem.facts.clone();
    let shared = settings::equal_shares(problem, &told, blocks.process);
    for placed in physics.into_iter().chain(shared) {
        add(problem, &mut facts, placed);
    }
    let mut amounts = usual_amounts(problem.basis);
    if let Some((first, _)) = dimensions.first() {
        amounts = *first;
        for (other, span) in &dimensions {
            if other != first {
                diagnostics.push(
                    Diagnostic::new(
                        Code::UnitMismatch,
                        unit.place(*span),
                        format!("This is {}, while the first total is {}.", other.words(), first.words()),
                    )
                    .found(format!("`{}`", unit.file.slice(*span)))
                    .expected(format!("{} throughout the question", first.words()))
                    .next("give all totals as amounts, or all as rates; `rate: = batch / hours` converts"),
                );
            }
        }
    }
    facts.measures = Measures::of(problem.basis, amounts, &typed);
    facts
}

/// What totals are where no fact tells whether they are rates.
fn usual_amounts(basis: Basis) -> Dimension {
    match basis {
        Basis::Mass => Dimension::MASS,
        Basis::Moles => Dimension::AMOUNT,
        Basis::Volume => Dimension::VOLUME,
    }
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
        if word {
            continue;
        }
        if let Some(dimension) = lookup.check(unit, &blank.formula, diagnostics) {
            shown(unit, &blank.formula, dimension, lookup, diagnostics);
        }
    }
}

/// A temperature must be one that can be shown.
fn shown(
    unit: &UnitNames<'_>,
    formula: &Formula,
    dimension: Dimension,
    lookup: &Lookup<'_>,
    diagnostics: &mut Diagnostics,
) {
    let own = default_unit(formula, dimension, lookup);
    if let Err(why) = temperatures::unit_for(formula, own, &lookup.values.numbers) {
        diagnostics.push(temperatures::mistake(unit, formula, why));
    }
}

/// A mistake's formula gives what its part asks for.
fn check_mistakes(
    unit: &UnitNames<'_>,
    part: &Part,
    lookup: &Lookup<'_>,
    diagnostics: &mut Diagnostics,
) {
    let known = |path: &[&str]| lookup.dimension_of(path);
    let wanted = part
        .find
        .first()
        .filter(|find| find.value.names().all(|(path, _)| known(&path).is_some()))
        .and_then(|find| find.value.dimension(&known).ok());
    for (_, formula) in &part.mistakes {
        let Some(found) = lookup.check(unit, &formula.value, diagnostics) else { continue };
        shown(unit, &formula.value, found, lookup, diagnostics);
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
                .next("write the formula so that it gives the same kind of quantity as `find`"),
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
