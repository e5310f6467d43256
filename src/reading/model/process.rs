//! A process as the engine takes it: components, groups, streams and operations,
//! with every stream entering once and leaving once.

use std::collections::BTreeMap;

use crate::balance::operations::{Kind, MIXING, Role, Rule, Wants};
use crate::balance::problem::{Basis, Component, Extra, ExtraId, Group, Operation, Problem};
use crate::balance::properties;
use crate::diag::{Code, Diagnostic, Diagnostics, Span};
use crate::quantity::{Dimension, Unit};
use crate::reading::parsed::{self, Process, ProcessRef, Question, SettingValue, Text};

use super::names::UnitNames;
use super::{crystals, stages};

/// The process that a question is about.
pub(super) fn of_question<'a>(unit: &UnitNames<'a>, question: &'a Question) -> Option<&'a Process> {
    match &question.process {
        ProcessRef::None => None,
        ProcessRef::Named(name) => unit.processes.get(name.value.as_str()).copied(),
        ProcessRef::Inline(process) => Some(process),
    }
}

/// Checks a process that stands in a block of its own.
pub(super) fn check_alone(unit: &UnitNames<'_>, process: &Process, diagnostics: &mut Diagnostics) {
    let basis = process.basis.as_ref().map(|b| b.value).unwrap_or_default();
    let bare = check(unit, process, basis, diagnostics);
    if !unit.used.contains(&process.id.as_ref().map_or("", |id| &id.value)) {
        super::questions::check_inherited(unit, process, &bare.problem, diagnostics);
    }
    for (name, _) in &process.by_products {
        if bare.problem.stream(&name.value).is_none() && !unit.marred(process.span) {
            diagnostics.push(unit.unknown(
                Code::UnknownStream,
                name,
                "stream",
                "this process",
                streams(&bare.problem),
            ));
        }
    }
}

/// A process without facts. Where it is not sound its names still count.
#[derive(Default)]
pub(super) struct Bare {
    pub(super) problem: Problem,
    pub(super) sound: bool,
}

/// The bare problem of a process: no facts, nothing asked.
pub(super) fn check(
    unit: &UnitNames<'_>,
    process: &Process,
    basis: Basis,
    diagnostics: &mut Diagnostics,
) -> Bare {
    let before = diagnostics.len();
    let mut problem = Problem { basis, ..Problem::default() };
    for component in &process.components {
        // A word that is no role was reported when it was read.
        let role = component.role.as_ref().and_then(|word| Role::named(&word.value));
        if let Some(table) = &component.solubility
            && !unit.tables.contains_key(table.value.as_str())
            && !unit.may_be_a_block(&table.value)
        {
            let known = unit.tables.keys().copied();
            let code = Code::UnknownTable;
            diagnostics.push(unit.unknown(code, table, "data block", "this unit", known));
        }
        let molar_mass = molar_mass(unit, component, &mut problem, diagnostics);
        problem.components.push(Component {
            name: component.name.value.clone(),
            role: role.unwrap_or(Role::Plain),
            molar_mass,
        });
    }
    for (name, members) in &process.groups {
        let mut ids = Vec::new();
        for member in members {
            match problem.component(&member.value) {
                Some(id) => ids.push(id),
                None if unit.marred(process.span) => {}
                None => diagnostics.push(unit.unknown(
                    Code::UnknownComponent,
                    member,
                    "component",
                    "`components`",
                    problem.components.iter().map(|c| c.name.as_str()),
                )),
            }
        }
        problem.groups.push(Group { name: name.value.clone(), members: ids });
    }
    operations(unit, process, &mut problem, diagnostics);
    clashes(unit, process, diagnostics);
    let sound = diagnostics.len() == before && !unit.marred(process.span);
    Bare { problem, sound }
}

fn operations(
    unit: &UnitNames<'_>,
    process: &Process,
    problem: &mut Problem,
    diagnostics: &mut Diagnostics,
) {
    // Where each stream was first an inlet, and an outlet.
    let mut entered: BTreeMap<String, Span> = BTreeMap::new();
    let mut left: BTreeMap<String, Span> = BTreeMap::new();
    for parsed in &process.operations {
        let kind: &'static Kind = parsed.kind.value;
        let mut laid = stages::Laid {
            name: &parsed.name.value,
            kind,
            inlets: Vec::new(),
            outlets: Vec::new(),
            except: except(unit, parsed, diagnostics),
            stages: 0,
            counter_current: false,
        };
        for (port, streams) in &parsed.ports {
            let is_inlet = kind.inlets.iter().any(|p| p == port.value);
            for stream in streams {
                let seen = if is_inlet { &mut entered } else { &mut left };
                if let Some(first) = seen.get(&stream.value) {
                    diagnostics.push(twice(unit, stream, *first, is_inlet));
                } else {
                    seen.insert(stream.value.clone(), stream.span);
                }
                let id = problem.stream(&stream.value).unwrap_or_else(|| {
                    problem.streams.push(stream.value.clone());
                    problem.streams.len() - 1
                });
                if is_inlet {
                    laid.inlets.push((port.value.key, id));
                } else {
                    laid.outlets.push((port.value.key, id));
                }
            }
        }
        for (setting, value) in &parsed.settings {
            match &value.value {
                SettingValue::Count(count) => laid.stages = count.value,
                SettingValue::Word(word) if setting.value.takes == Wants::Flow => {
                    laid.counter_current = word.value == "counter-current";
                }
                _ => {}
            }
        }
        let has = |wanted: fn(Wants) -> bool| {
            parsed.settings.iter().any(|(setting, _)| wanted(setting.value.takes))
        };
        // Over all of a counter-current battery, and where liquor is pushed out and
        // not mixed with, what stays has not the composition of what leaves.
        let overall = laid.counter_current && laid.stages == 0;
        let unmixed = overall || has(|wants| matches!(wants, Wants::Displaced { .. }));
        if unmixed {
            let alike = kind.physics.iter().filter(|r| matches!(r, Rule::RetainedLiquor { .. }));
            laid.except.extend(alike.map(|rule| rule.name().to_owned()));
        }
        if overall {
            needs_stages(unit, parsed, diagnostics);
        }
        if !unit.marred(process.span) {
            roles_present(unit, parsed, problem, diagnostics);
        }
        let crystal = crystals::of(unit, process, parsed, problem, diagnostics);
        for mut operation in stages::laid_out(problem, laid) {
            if operation.kind == kind {
                operation.crystal = crystal;
            }
            push_operation(problem, operation, unmixed);
        }
    }
}

/// The molar mass of a component among the extras, from the author's number or from
/// its formula.
fn molar_mass(
    unit: &UnitNames<'_>,
    component: &parsed::Component,
    problem: &mut Problem,
    diagnostics: &mut Diagnostics,
) -> Option<ExtraId> {
    let told = match &component.molar_mass {
        Some(typed) => molar_mass_of(unit, typed, diagnostics),
        None => component.formula.as_ref().and_then(|formula| {
            chemical(unit, formula, diagnostics).map(|chemical| chemical.molar_mass)
        }),
    };
    told.map(|value| {
        problem.extras.push(Extra {
            words: format!("molar mass of {}", component.name.value.replace('_', " ")),
            unit: Unit::parse("g/mol").unwrap_or_else(|_| Unit::none()),
            value: Some(value),
            says: None,
            path: None,
        });
        problem.extras.len() - 1
    })
}

/// A molar mass as typed, in kg/mol.
pub(super) fn molar_mass_of(
    unit: &UnitNames<'_>,
    typed: &parsed::Placed<crate::quantity::Typed>,
    diagnostics: &mut Diagnostics,
) -> Option<f64> {
    let dimension = typed.value.unit.dimension();
    if dimension == Dimension::MASS / Dimension::AMOUNT && typed.value.si() > 0.0 {
        return Some(typed.value.si());
    }
    diagnostics.push(
        Diagnostic::new(
            Code::UnitMismatch,
            unit.place(typed.span),
            format!("This is {}, where a mass per amount is meant.", dimension.words()),
        )
        .found(format!("`{}`", unit.file.slice(typed.span)))
        .expected("a molar mass, such as `246.5 g/mol`")
        .next("write the number with its unit"),
    );
    None
}

/// A chemical formula, or what is wrong with it.
pub(super) fn chemical(
    unit: &UnitNames<'_>,
    formula: &Text,
    diagnostics: &mut Diagnostics,
) -> Option<properties::Chemical> {
    match properties::parse(&formula.value) {
        Ok(chemical) => Some(chemical),
        Err(fault) => {
            diagnostics.push(
                Diagnostic::new(
                    Code::BadChemical,
                    unit.place(formula.span),
                    format!("`{}` is no chemical formula: {fault}", formula.value),
                )
                .found(format!("`{}`", formula.value))
                .expected("a formula such as `NaCl`, `Ca(OH)2` or `Na2CO3.10H2O`")
                .next("write element symbols with their capitals, and numbers behind them"),
            );
            None
        }
    }
}

/// Physics that the author lifts by name.
fn except(
    unit: &UnitNames<'_>,
    parsed: &parsed::Operation,
    diagnostics: &mut Diagnostics,
) -> Vec<String> {
    let kind: &'static Kind = parsed.kind.value;
    let names: Vec<&str> = kind.physics.iter().map(Rule::name).collect();
    let mut lifted = Vec::new();
    for (setting, value) in &parsed.settings {
        let SettingValue::Word(word) = &value.value else { continue };
        if setting.value.takes != Wants::Rule {
            continue;
        }
        if names.contains(&word.value.as_str()) {
            lifted.push(word.value.clone());
        } else {
            let known = names.iter().copied();
            diagnostics.push(unit.unknown(Code::UnknownName, word, "rule", kind.name, known));
        }
    }
    lifted
}

/// A ratio between what leaves at both ends of a battery holds in no stage.
fn needs_stages(unit: &UnitNames<'_>, parsed: &parsed::Operation, diagnostics: &mut Diagnostics) {
    for (setting, value) in &parsed.settings {
        if let Wants::Ratio { .. } = setting.value.takes {
            diagnostics.push(
                Diagnostic::new(
                    Code::BadSetting,
                    unit.place(setting.span),
                    format!("`{}` holds within one stage, and this counter-current operation says nothing of stages.", setting.value.key),
                )
                .found(format!("`{}`", unit.file.slice(value.span)))
                .expected("`stages:` with their number")
                .next("say how many stages there are, or leave the ratio out"),
            );
        }
    }
}

/// Adds an operation; one whose inlets mix before anything leaves is a mixing and
/// then a parting, with the contents of the vessel between.
fn push_operation(problem: &mut Problem, mut operation: Operation, unmixed: bool) {
    if operation.kind.mixes_first && operation.inlets.len() > 1 && !unmixed {
        problem.streams.push(match operation.name.split_once(".stage") {
            Some((name, stage)) => format!("{name} contents.stage{stage}"),
            None => format!("{} contents", operation.name),
        });
        let contents = problem.streams.len() - 1;
        let inlets = std::mem::replace(&mut operation.inlets, vec![contents]);
        let inlet_keys = std::mem::replace(&mut operation.inlet_keys, vec!["feed"]);
        problem.operations.push(Operation {
            name: operation.name.clone(),
            kind: &MIXING,
            inlets,
            inlet_keys,
            outlets: vec![("product", contents)],
            except: Vec::new(),
            crystal: None,
        });
    }
    problem.operations.push(operation);
}

fn twice(unit: &UnitNames<'_>, stream: &Text, first: Span, is_inlet: bool) -> Diagnostic {
    let name = &stream.value;
    let (code, message, next) = if is_inlet {
        (
            Code::TwiceInlet,
            format!("`{name}` enters two operations."),
            format!(
                "use `is: splitting` to part `{name}` into two streams with names of their own"
            ),
        )
    } else {
        (
            Code::TwiceOutlet,
            format!("`{name}` leaves two operations."),
            "give the two streams their own names and use `is: mixing` to join them".to_owned(),
        )
    };
    Diagnostic::new(code, unit.place(stream.span), message)
        .found(format!("`{name}` a second time"))
        .expected("each stream once as an inlet and once as an outlet")
        .next(next)
        .related(unit.place(first), format!("`{name}` is here first"))
}

fn roles_present(
    unit: &UnitNames<'_>,
    parsed: &parsed::Operation,
    problem: &Problem,
    diagnostics: &mut Diagnostics,
) {
    for role in parsed.kind.value.roles {
        if !problem.components.iter().any(|c| c.role == *role) {
            let word = role.word();
            let plain = problem.components.iter().filter(|c| c.role == Role::Plain);
            let likely = plain
                .clone()
                .find(|c| (c.name == "water") == (*role == Role::Solvent))
                .or(plain.clone().next())
                .map_or("water", |c| c.name.as_str());
            let name = parsed.kind.value.name;
            diagnostics.push(
                Diagnostic::new(
                    Code::RoleMissing,
                    unit.place(parsed.kind.span),
                    format!("{} needs a component with the role `{word}`.", capital(name)),
                )
                .found("no component with that role")
                .expected(format!("a component such as `{likely}: {word}`"))
                .next("say under `components` which of them it is"),
            );
        }
    }
}

/// "a stream", "an operation".
pub(super) fn a(kind: &str) -> String {
    let article = if kind.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
    format!("{article} {kind}")
}

/// Streams, components, groups, operations and values share no name.
fn clashes(unit: &UnitNames<'_>, process: &Process, diagnostics: &mut Diagnostics) {
    let mut taken: BTreeMap<&str, (&str, Span)> = BTreeMap::new();
    let components = process.components.iter().map(|c| ("component", &c.name));
    let groups = process.groups.iter().map(|(name, _)| ("group", name));
    let operations = process.operations.iter().map(|o| ("operation", &o.name));
    let streams = process
        .operations
        .iter()
        .flat_map(|o| o.ports.iter().flat_map(|(_, names)| names.iter()))
        .map(|name| ("stream", name));
    let values = process.values.iter().map(|v| ("value", &v.name));
    for (kind, name) in components.chain(groups).chain(operations).chain(streams).chain(values) {
        let word = name.value.as_str();
        match taken.get(word) {
            Some((other, first)) if *other != kind => {
                diagnostics.push(
                    Diagnostic::new(
                        Code::NameClash,
                        unit.place(name.span),
                        format!("`{word}` is the name of {} and of {}.", a(other), a(kind)),
                    )
                    .found(format!("`{word}` as {}", a(kind)))
                    .expected("one name for one thing")
                    .next(format!("rename the {kind} or the {other}"))
                    .related(unit.place(*first), format!("`{word}` is {} here", a(other))),
                );
            }
            Some(_) => {}
            None => {
                taken.insert(word, (kind, name.span));
            }
        }
    }
}

/// The streams that the author named; what a vessel holds in between has none.
pub(super) fn streams(problem: &Problem) -> impl Iterator<Item = &str> + Clone {
    problem.streams.iter().map(String::as_str).filter(|name| !name.contains(' '))
}

/// A word with a capital, to open a sentence.
pub fn capital(word: &str) -> String {
    let mut chars = word.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}
