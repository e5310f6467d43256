//! A question checked and compiled: process, values, facts, what is asked.

use crate::balance::Engine;
use crate::balance::problem::{Basis, Equation, Fact, Meaning, Problem, Says, What};
use crate::diag::{Code, Diagnostic, Diagnostics, Severity, Span};
use crate::quantity::formula::{DimensionError, Formula};
use crate::quantity::{Dimension, Unit, UnitKind};
use crate::reading::parsed::{
    Component, FactValue, Part, Process, ProcessRef, Question, StreamFacts, Text, ValueLine,
    Written,
};

use super::facts::{self, Placed};
use super::measures::Measures;
use super::names::UnitNames;
use super::process::Bare;
use super::values::{self, Values};
use super::{Asked, Checked, Source, extras, faults, process, route, settings, temperatures};

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
    let at_first = errors(diagnostics);
    unit.check_objective(question, diagnostics);
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
    let asked = asked(unit, question, &lookup, diagnostics);
    let (route, pins) = match sound && !absent {
        true => route::read(unit, question, &problem, &asked, diagnostics),
        false => Default::default(),
    };
    let solvable =
        sound && !facts.lost && errors(diagnostics) == before && !unit.marred(question.span);
    check_blanks(unit, &question.stem, &lookup, diagnostics);
    for part in &question.parts {
        check_blanks(unit, &part.text, &lookup, diagnostics);
        check_mistakes(unit, part, &lookup, diagnostics);
        for (quantity, _) in &part.remarks {
            lookup.check(unit, &quantity.value, diagnostics);
        }
    }
    if !solvable {
        return None;
    }
    facts.pins = pins;
    problem.relations = algebra;
    problem.asked = asked.iter().map(|a| a.formula.clone()).collect();
    problem.also = also_read(question, &problem);
    let samples = samples(&values);
    let engine = match Engine::compile_by(problem.clone(), &samples, &route) {
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
    let checked = Checked {
        question: question.clone(),
        values: values.numbers,
        words: values.words,
        require: question.require.iter().map(|r| (r.value.clone(), r.span)).collect(),
        asked,
        engine,
        measures: facts.measures,
        facts: facts.formulas,
    };
    let slot_of = |path: &[&str]| checked.slot_of(path);
    faults::idle_remarks(unit, question, &checked.engine, &slot_of, diagnostics);
    (errors(diagnostics) == at_first).then_some(checked)
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
        part.find.iter().map(|f| &f.value).chain(part.mistakes.iter().map(|(_, f)| &f.value))
    });
    parts.chain(relations).chain(conditions).chain(blanks(question))
}

fn blanks(question: &Question) -> impl Iterator<Item = &Formula> {
    std::iter::once(&question.stem)
        .chain(question.parts.iter().map(|p| &p.text))
        .flat_map(|text| text.blanks.iter().map(|b| &b.formula))
}

/// Formulas beside those asked that read streams: conditions, slips, texts.
fn also_read(question: &Question, problem: &Problem) -> Vec<Formula> {
    let conditions = question.require.iter().flat_map(|r| [&r.value.left, &r.value.right]);
    let slips = question.parts.iter().flat_map(|p| p.mistakes.iter().map(|(_, f)| &f.value));
    conditions
        .chain(slips)
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

/// Looks dotted names up in values and process.
pub(super) struct Lookup<'a> {
    problem: &'a Problem,
    values: &'a Values,
    measures: &'a Measures,
    blocks: Blocks<'a>,
    /// The process is not to be had: what speaks of streams is passed over.
    absent: bool,
}

impl Lookup<'_> {
    fn dimension_of(&self, path: &[&str]) -> Option<Dimension> {
        if let [name] = path
            && let Some(dimension) = self.values.dimension(name)
        {
            return Some(dimension);
        }
        self.measures.dimension(self.problem, self.problem.meaning(path).ok()?)
    }

    /// Moles are spoken of only where molar masses are told.
    fn has_molar_masses(
        &self,
        unit: &UnitNames<'_>,
        formula: &Formula,
        diagnostics: &mut Diagnostics,
    ) -> bool {
        for (path, span) in formula.names() {
            let of = match self.problem.meaning(&path) {
                Ok(Meaning::Other(_, of)) => of,
                Ok(Meaning::OtherShare(..)) => What::Total,
                // A mass by volume and density, beside moles.
                Ok(Meaning::Amount(_, What::Volume | What::Density))
                    if self.problem.basis == Basis::Moles =>
                {
                    What::Total
                }
                _ => continue,
            };
            if let Some(c) = facts::without_molar_mass(self.problem, of).unwrap_or_default().first()
            {
                let name = &self.problem.components[*c].name;
                diagnostics.push(settings::formula_missing(unit, name, span));
                return false;
            }
        }
        true
    }

    /// The formula's dimension, if all its names are known and its units agree.
    fn check(
        &self,
        unit: &UnitNames<'_>,
        formula: &Formula,
        diagnostics: &mut Diagnostics,
    ) -> Option<Dimension> {
        let known = |path: &[&str]| self.dimension_of(path);
        let speaks_of_streams = || formula.names().any(|(path, _)| path.len() > 1);
        if self.absent && speaks_of_streams() {
            return None;
        }
        let problem = Some(self.problem);
        if !check_names(unit, formula, &known, self.values, problem, self.blocks, diagnostics)
            || !self.has_molar_masses(unit, formula, diagnostics)
        {
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

    /// Both sides of a relation or condition measure the same.
    fn check_sides(
        &self,
        unit: &UnitNames<'_>,
        left: &Formula,
        right: &Formula,
        span: Span,
        diagnostics: &mut Diagnostics,
    ) {
        let (a, b) = (self.check(unit, left, diagnostics), self.check(unit, right, diagnostics));
        let is_zero = |f: &Formula| f.as_typed().is_some_and(|typed| typed.number.value == 0.0);
        if let (Some(a), Some(b)) = (a, b)
            && a != b
            && !is_zero(left)
            && !is_zero(right)
        {
            diagnostics.push(sides_differ(unit, span, a, b));
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
    blocks: Blocks<'_>,
    diagnostics: &mut Diagnostics,
) -> bool {
    let mut sound = true;
    for (path, span) in formula.names() {
        if known(&path).is_some() {
            continue;
        }
        sound = false;
        let first = path.first().copied().unwrap_or("");
        if values.broken.iter().any(|name| name == first) {
            continue;
        }
        if values.words.iter().any(|(name, _)| name == first) {
            diagnostics.push(no_number(unit, first, span));
            continue;
        }
        let unread = problem.map_or(0, |p| p.meaning(&path).err().map_or(0, |u| u.segment));
        let unread = unread.min(path.len().saturating_sub(1));
        let has_streams = problem.is_some_and(|p| !p.streams.is_empty());
        let (code, kind, home) = if unread > 0 {
            (Code::UnknownComponent, "component", "this process")
        } else if has_streams && path.len() > 1 {
            (Code::UnknownStream, "stream", "this process")
        } else if has_streams {
            (Code::UnknownName, "stream or value", "this question")
        } else {
            (Code::UnknownName, "value", "`values`")
        };
        // The place of the one word that is not known.
        let before: usize = path.iter().take(unread).map(|word| word.len() + 1).sum();
        let name = path.get(unread).copied().unwrap_or("");
        let start = (span.start + before).min(span.end);
        let text = Text::new(name.to_owned(), Span::new(start, (start + name.len()).min(span.end)));
        if unit.excused(&text, blocks.process) || unit.may_be_key(name, blocks.question) {
            continue;
        }
        let numbers = values.names();
        let names: Vec<&str> = match (problem, kind) {
            (Some(p), "component") => p
                .components
                .iter()
                .map(|c| c.name.as_str())
                .chain(p.groups.iter().map(|g| g.name.as_str()))
                .chain(["total", "fraction", "percent", "moles", "mass", "concentration"])
                .collect(),
            (Some(p), "stream") => process::streams(p).collect(),
            (Some(p), _) => numbers.chain(process::streams(p)).collect(),
            _ => numbers.collect(),
        };
        diagnostics.push(unit.unknown(code, &text, kind, home, names.into_iter()));
    }
    sound
}

/// A value that stands for words is used in a formula.
pub(super) fn no_number(unit: &UnitNames<'_>, name: &str, span: Span) -> Diagnostic {
    Diagnostic::new(
        Code::BadFormula,
        unit.place(span),
        format!("`{name}` stands for words, so nothing can be calculated with it."),
    )
    .found(format!("`{name}`"))
    .expected("a value that is a number")
    .next("use a value that is a number, or print the word in the text only")
}

pub(super) fn dimension_mistake(unit: &UnitNames<'_>, error: DimensionError) -> Diagnostic {
    let message = format!("{}.", process::capital(error.message.trim_end_matches('.')));
    Diagnostic::new(Code::UnitMismatch, unit.place(error.span), message)
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
    .next("check the units on both sides")
}

fn asked(
    unit: &UnitNames<'_>,
    question: &Question,
    lookup: &Lookup<'_>,
    diagnostics: &mut Diagnostics,
) -> Vec<Asked> {
    let mut asked = Vec::new();
    for (number, part) in question.parts.iter().enumerate() {
        for find in &part.find {
            let Some(dimension) = lookup.check(unit, &find.value, diagnostics) else { continue };
            check_tolerance(unit, part, dimension, diagnostics);
            let printed = match &part.unit {
                Some(wanted)
                    if wanted.value.dimension() == dimension
                        && converts(&find.value, lookup, &wanted.value) =>
                {
                    wanted.value.clone()
                }
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
                        .expected(format!("a unit for {}", dimension.words()))
                        .next("change the unit, or leave it out"),
                    );
                    continue;
                }
                None => default_unit(&find.value, dimension, lookup),
            };
            match temperatures::unit_for(&find.value, printed, &lookup.values.numbers) {
                Ok(unit) => {
                    asked.push(Asked { part: number, formula: find.value.clone(), unit });
                }
                Err(why) => diagnostics.push(temperatures::mistake(unit, &find.value, why)),
            }
        }
    }
    asked
}

/// A share is no ratio and a ratio no share, though both are plain numbers. Algebra
/// may come to either, so there the author's unit decides.
fn converts(formula: &Formula, lookup: &Lookup<'_>, wanted: &Unit) -> bool {
    let Some(path) = formula.as_name() else { return true };
    let name = path.join(".");
    if let Some(value) = lookup.values.numbers.iter().find(|v| v.name == name) {
        return value.unit.converts_to(wanted);
    }
    match lookup.problem.meaning(&path) {
        Ok(Meaning::Share(_, of, _)) if super::measures::by_mass_beside(lookup.problem, of) => true,
        // Per cent of the mass are no per cent of the moles.
        Ok(Meaning::Share(..)) if lookup.problem.basis == Basis::Moles => {
            Unit::percent().converts_to(wanted) || wanted.kind() == UnitKind::MolePercent
        }
        Ok(Meaning::OtherShare(..)) if lookup.problem.basis == Basis::Mass => {
            wanted.is_none() || wanted.kind() == UnitKind::MolePercent
        }
        Ok(Meaning::Share(..) | Meaning::OtherShare(..)) => Unit::percent().converts_to(wanted),
        _ => true,
    }
}

/// A tolerance is a percentage of the answer or an amount of its own kind.
fn check_tolerance(
    unit: &UnitNames<'_>,
    part: &Part,
    answer: Dimension,
    diagnostics: &mut Diagnostics,
) {
    let Some(tolerance) = &part.tolerance else { return };
    let given = &tolerance.value.unit;
    let bare = given.is_none() && !answer.is_none();
    if !bare && (given.dimension() == answer || given.dimension().is_none()) {
        return;
    }
    let text = unit.file.slice(tolerance.span).trim();
    let message = if bare {
        "This tolerance does not say of what: a percentage, or an amount with its unit.".to_owned()
    } else {
        format!(
            "This tolerance is {}, while the answer is {}.",
            given.dimension().words(),
            answer.words()
        )
    };
    let diagnostic = Diagnostic::new(Code::UnitMismatch, unit.place(tolerance.span), message)
        .found(format!("`{text}`"))
        .expected("a percentage such as `2 %`, or an amount in a unit of the answer")
        .next("write the sign or the unit behind the number");
    let known = diagnostics.iter().any(|d| d.place.span == tolerance.span);
    if !known {
        diagnostics.push(if bare {
            diagnostic.written(format!("tolerance: {text} %"))
        } else {
            diagnostic
        });
    }
}

/// The unit an answer is printed in where the author names none.
fn default_unit(formula: &Formula, dimension: Dimension, lookup: &Lookup<'_>) -> Unit {
    if let Some(path) = formula.as_name()
        && let Ok(meaning) = lookup.problem.meaning(&path)
        && let Some(unit) = lookup.measures.unit(lookup.problem, meaning)
    {
        return unit;
    }
    if let Some(path) = formula.as_name()
        && let Some(value) = lookup.values.numbers.iter().find(|v| v.name == path.join("."))
    {
        return value.unit.clone();
    }
    if dimension.is_none() {
        return Unit::none();
    }
    let measures = lookup.measures;
    let known = [
        &measures.amount_unit,
        &measures.solute_unit,
        &measures.other_unit,
        &measures.concentration_unit,
    ];
    if !lookup.problem.streams.is_empty()
        && let Some(unit) = known.into_iter().find(|unit| unit.dimension() == dimension)
    {
        return unit.clone();
    }
    if let Some(degrees) = temperatures::degrees_of(formula, &lookup.values.numbers)
        && degrees.dimension() == dimension
    {
        return degrees;
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
