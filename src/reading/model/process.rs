//! A process as the engine takes it: components, groups, streams and operations,
//! with every stream entering once and leaving once.

use std::collections::BTreeMap;

use crate::balance::operations::{Kind, MIXING, Role, Rule};
use crate::balance::problem::{Component, Group, Operation, Problem};
use crate::diag::{Code, Diagnostic, Diagnostics, Span};
use crate::reading::parsed::{Process, ProcessRef, Question, Text};

use super::names::{RESERVED, UnitNames};

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
    let problem = check(unit, process, diagnostics);
    let streams: Vec<&str> =
        problem.iter().flat_map(|p| p.streams.iter().map(String::as_str)).collect();
    for (name, _) in &process.by_products {
        if problem.is_some() && !streams.contains(&name.value.as_str()) {
            diagnostics.push(unit.unknown(
                Code::UnknownStream,
                name,
                "stream",
                "the operations of this process",
                streams.iter().copied(),
            ));
        }
    }
}

/// The bare problem of a process: no facts, nothing asked.
pub(super) fn check(
    unit: &UnitNames<'_>,
    process: &Process,
    diagnostics: &mut Diagnostics,
) -> Option<Problem> {
    let before = diagnostics.len();
    let mut problem = Problem::default();
    for component in &process.components {
        let role = match &component.role {
            None => Some(Role::Plain),
            Some(word) => {
                let role = Role::named(&word.value);
                if role.is_none() {
                    diagnostics.push(unit.unknown(
                        Code::UnknownRole,
                        word,
                        "role",
                        "this list",
                        Role::NAMED.iter().map(|(name, _)| *name),
                    ));
                }
                role
            }
        };
        problem.components.push(Component {
            name: component.name.value.clone(),
            role: role.unwrap_or(Role::Plain),
        });
    }
    for (name, members) in &process.groups {
        let mut ids = Vec::new();
        for member in members {
            match problem.component(&member.value) {
                Some(id) => ids.push(id),
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
    (diagnostics.len() == before).then_some(problem)
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
        let mut operation = Operation {
            name: parsed.name.value.clone(),
            kind,
            inlets: Vec::new(),
            outlets: Vec::new(),
            except: Vec::new(),
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
                    operation.inlets.push(id);
                } else {
                    operation.outlets.push((port.value.key, id));
                }
            }
        }
        for (key, value) in &parsed.settings {
            if key.value == "except" {
                let names: Vec<&str> = kind.physics.iter().map(Rule::name).collect();
                if names.contains(&value.value.as_str()) {
                    operation.except.push(value.value.clone());
                } else {
                    diagnostics.push(unit.unknown(
                        Code::UnknownName,
                        value,
                        "piece of physics",
                        &format!("what {} brings", kind.name),
                        names.into_iter(),
                    ));
                }
            }
        }
        ports_complete(unit, parsed, diagnostics);
        roles_present(unit, parsed, problem, diagnostics);
        push_operation(problem, operation);
    }
}

/// Adds an operation; one whose inlets mix before anything leaves is a mixing and
/// then a parting, with the contents of the vessel between.
fn push_operation(problem: &mut Problem, mut operation: Operation) {
    if operation.kind.mixes_first && operation.inlets.len() > 1 {
        problem.streams.push(format!("{} contents", operation.name));
        let contents = problem.streams.len() - 1;
        let inlets = std::mem::replace(&mut operation.inlets, vec![contents]);
        problem.operations.push(Operation {
            name: operation.name.clone(),
            kind: &MIXING,
            inlets,
            outlets: vec![("product", contents)],
            except: Vec::new(),
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
                "Use `is: splitting` to part `{name}` into two streams with names of their own."
            ),
        )
    } else {
        (
            Code::TwiceOutlet,
            format!("`{name}` leaves two operations."),
            "Give the two streams their own names and use `is: mixing` to join them.".to_owned(),
        )
    };
    Diagnostic::new(code, unit.place(stream.span), message)
        .found(format!("`{name}` a second time"))
        .expected("each stream once as an inlet and once as an outlet")
        .next(next)
        .related(unit.place(first), format!("`{name}` is here first"))
}

fn ports_complete(
    unit: &UnitNames<'_>,
    parsed: &crate::reading::parsed::Operation,
    diagnostics: &mut Diagnostics,
) {
    let kind = parsed.kind.value;
    let has = |key: &str| parsed.ports.iter().any(|(port, _)| port.value.key == key);
    let mut missing: Vec<String> = kind
        .inlets
        .iter()
        .chain(kind.outlets)
        .filter(|port| port.required && !has(port.key))
        .map(|port| format!("`{}`", port.key))
        .collect();
    if missing.is_empty()
        && !kind.outlet_sets.is_empty()
        && !kind.outlet_sets.iter().any(|set| set.iter().all(|key| has(key)))
    {
        let sets: Vec<String> = kind
            .outlet_sets
            .iter()
            .map(|set| set.iter().map(|k| format!("`{k}`")).collect::<Vec<_>>().join(" and "))
            .collect();
        missing.push(sets.join(", or "));
    }
    if !missing.is_empty() {
        let list = missing.join(", ");
        diagnostics.push(
            Diagnostic::new(
                Code::OutletMissing,
                unit.place(parsed.name.span),
                format!("`{}` is {} and lacks {list}.", parsed.name.value, kind.name),
            )
            .found(format!("`{}`", unit.file.slice(parsed.kind.span)))
            .expected(list.clone())
            .next(format!("Add {list} with the name of the stream that goes there.")),
        );
    }
}

fn roles_present(
    unit: &UnitNames<'_>,
    parsed: &crate::reading::parsed::Operation,
    problem: &Problem,
    diagnostics: &mut Diagnostics,
) {
    for role in parsed.kind.value.roles {
        if !problem.components.iter().any(|c| c.role == *role) {
            let word = role.word();
            let first = problem.components.first().map_or("water", |c| c.name.as_str());
            diagnostics.push(
                Diagnostic::new(
                    Code::RoleMissing,
                    unit.place(parsed.kind.span),
                    format!(
                        "{} needs a component that is a {word}, and there is none.",
                        capital(parsed.kind.value.name)
                    ),
                )
                .found(format!("`is: {}`", parsed.kind.value.name))
                .expected(format!("a component with the role `{word}`"))
                .next(format!(
                    "Say which it is under `components`, for example `{first}: {word}`."
                )),
            );
        }
    }
}

/// Streams, components, groups and operations share no name, and none is reserved.
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
        if kind != "value" && (RESERVED.contains(&word) || word.starts_with("stage")) {
            diagnostics.push(
                Diagnostic::new(
                    Code::ReservedName,
                    unit.place(name.span),
                    format!("`{word}` has a meaning of its own in facts and formulas and cannot name a {kind}."),
                )
                .found(format!("`{word}`"))
                .expected(format!("another name for the {kind}"))
                .next(format!("Call it `{word}_stream` or something plainer.")),
            );
            continue;
        }
        match taken.get(word) {
            Some((other, first)) if *other != kind => {
                diagnostics.push(
                    Diagnostic::new(
                        Code::NameClash,
                        unit.place(name.span),
                        format!("`{word}` is the name of a {other} and of a {kind}."),
                    )
                    .found(format!("`{word}` as a {kind}"))
                    .expected("one name for one thing")
                    .next(format!("Rename the {kind} or the {other}."))
                    .related(unit.place(*first), format!("`{word}` is a {other} here")),
                );
            }
            Some(_) => {}
            None => {
                taken.insert(word, (kind, name.span));
            }
        }
    }
}

pub(super) fn capital(word: &str) -> String {
    let mut chars = word.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}
