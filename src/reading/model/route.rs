//! What an author says of the way to an answer: `route: salt balance on pan`.
//!
//! Takes the lines of a question and its parts; gives balances by component and
//! operations, or says which word names nothing. Whether a balance can be used is
//! for the engine to tell.

use std::ops::Range;

use crate::balance::problem::{Problem, What};
use crate::balance::{Pin, Route};
use crate::diag::{Code, Diagnostic, Diagnostics, Span};
use crate::reading::parsed::{Question, Text};

use super::Asked;
use super::names::UnitNames;

/// A question's route, and the place of each pinned balance.
pub(super) fn read(
    unit: &UnitNames<'_>,
    question: &Question,
    problem: &Problem,
    asked: &[Asked],
    diagnostics: &mut Diagnostics,
) -> (Route, Vec<Span>) {
    let mut route = Route::default();
    let mut places = Vec::new();
    let mut add = |lines: &[Text], avoid: &[Text], scope: Range<usize>| {
        for line in lines {
            if let Some(pin) = pin(unit, problem, line, scope.clone(), diagnostics) {
                route.pinned.push(pin);
                places.push(line.span);
            }
        }
        for line in avoid {
            route.forbidden.extend(pin(unit, problem, line, scope.clone(), diagnostics));
        }
    };
    add(&question.route, &question.avoid, 0..asked.len());
    for (number, part) in question.parts.iter().enumerate() {
        let of_part = |a: &Asked| a.part == number;
        let first = asked.iter().position(of_part).unwrap_or(0);
        let count = asked.iter().filter(|a| of_part(a)).count();
        add(&part.route, &part.avoid, first..first + count);
    }
    (route, places)
}

/// `salt balance on pan`, `total balance on pan and cooler`, `balance on whole process`.
fn pin(
    unit: &UnitNames<'_>,
    problem: &Problem,
    line: &Text,
    asked: Range<usize>,
    diagnostics: &mut Diagnostics,
) -> Option<Pin> {
    let text = line.value.trim();
    let parts = match text.strip_prefix("balance on ") {
        Some(place) => Some(("total", place)),
        None => text.split_once(" balance on "),
    };
    let Some((what, place)) = parts.filter(|_| !problem.operations.is_empty()) else {
        diagnostics.push(
            Diagnostic::new(
                Code::BadRoute,
                unit.place(line.span),
                "A route names balances of a process, one a line.",
            )
            .found(format!("`{text}`"))
            .expected("what is balanced and where: `salt balance on pan`")
            .next("write `total balance on`, or a component's name and `balance on`, then the operation"),
        );
        return None;
    };
    let word = |word: &str| {
        let start = unit
            .file
            .slice(line.span)
            .find(word)
            .map_or(line.span.start, |at| line.span.start + at);
        Text::new(word.to_owned(), Span::new(start, (start + word.len()).min(line.span.end)))
    };
    let what = what.trim();
    let of = match what {
        "total" | "mass" => Some(What::Total),
        _ => problem
            .component(what)
            .map(What::Component)
            .or_else(|| problem.group(what).map(What::Group)),
    };
    if of.is_none() {
        let components = problem.components.iter().map(|c| c.name.as_str());
        let known = components.chain(problem.groups.iter().map(|g| g.name.as_str()));
        let home = "this process";
        let known = known.chain(["total"]);
        let code = Code::UnknownComponent;
        diagnostics.push(unit.unknown(code, &word(what), "component", home, known));
    }
    let operations = operations(unit, problem, place.trim(), &word, diagnostics);
    Some(Pin { of: of?, operations: operations?, asked })
}

/// The operations that a border is drawn around.
fn operations(
    unit: &UnitNames<'_>,
    problem: &Problem,
    place: &str,
    word: &dyn Fn(&str) -> Text,
    diagnostics: &mut Diagnostics,
) -> Option<Vec<usize>> {
    if matches!(place.strip_prefix("the ").unwrap_or(place), "whole process" | "process") {
        return Some((0..problem.operations.len()).collect());
    }
    let names = place.split(',').flat_map(|piece| piece.split(" and "));
    let mut found = Vec::new();
    let mut sound = true;
    for name in names.map(str::trim).map(|n| n.strip_prefix("and ").unwrap_or(n)) {
        let name = name.strip_prefix("the ").unwrap_or(name);
        // A vessel whose inlets mix first is two operations of one name.
        let own: Vec<usize> =
            (0..problem.operations.len()).filter(|o| problem.operations[*o].name == name).collect();
        if own.is_empty() {
            sound = false;
            let known = problem.operations.iter().map(|o| o.name.as_str());
            let code = Code::UnknownName;
            diagnostics.push(unit.unknown(code, &word(name), "operation", "this process", known));
        }
        found.extend(own);
    }
    found.sort_unstable();
    found.dedup();
    sound.then_some(found)
}
