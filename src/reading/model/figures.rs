//! Figures checked: what they are drawn of, and the masses that their facts settle.
//!
//! A figure with facts is a question that asks for every total and takes what it
//! can get; only facts that contradict each other are a mistake.

use crate::diag::{Code, Diagnostic, Diagnostics};
use crate::quantity::formula::Formula;
use crate::reading::parsed::{Figure, Part, Placed, Process, ProcessRef, Question, Text, Written};

use super::names::UnitNames;
use super::{Checked, questions};

/// Checks a figure; gives its totals where facts settle any.
pub(super) fn check(
    unit: &UnitNames<'_>,
    figure: &Figure,
    diagnostics: &mut Diagnostics,
) -> Option<Checked> {
    let of = figure.of.value.as_str();
    let Some(process) = unit.processes.get(of) else {
        let known = unit.processes.keys().copied();
        if unit.drawable.contains(&of) {
            diagnostics.push(not_yet(unit, figure));
        } else if !unit.may_be_a_block(of) {
            diagnostics.push(unit.unknown(
                Code::UnknownProcess,
                &figure.of,
                "process",
                "this unit",
                known,
            ));
        }
        return None;
    };
    if figure.given.is_empty() {
        return None;
    }
    questions::check_totals(unit, &asking(figure, process), diagnostics)
}

fn not_yet(unit: &UnitNames<'_>, figure: &Figure) -> Diagnostic {
    Diagnostic::new(
        Code::NotYet,
        unit.place(figure.of.span),
        format!("This version draws processes only, and `{}` is none.", figure.of.value),
    )
    .found(format!("`{}`", figure.of.value))
    .expected("the id of a process block")
    .next("take the figure out, or keep it for a later version")
}

/// The question that a figure with facts amounts to.
fn asking(figure: &Figure, process: &Process) -> Question {
    let mut names: Vec<&str> = Vec::new();
    for stream in streams(process) {
        if !names.contains(&stream.value.as_str()) {
            names.push(&stream.value);
        }
    }
    let at = figure.of.span.start;
    let parts = names
        .iter()
        .filter_map(|name| Formula::parse(&format!("{name}.total"), |_| at).ok())
        .map(|formula| Part {
            span: figure.span,
            find: vec![Placed::new(formula, figure.of.span)],
            ..Part::default()
        })
        .collect();
    Question {
        span: figure.span,
        id: figure.id.clone(),
        title: None,
        objective: None,
        level: None,
        minutes: None,
        process: ProcessRef::Named(figure.of.clone()),
        basis: None,
        values: Vec::new(),
        require: Vec::new(),
        given: figure.given.clone(),
        relations: Vec::new(),
        route: Vec::new(),
        avoid: Vec::new(),
        parts,
        stem: Written::default(),
        figure: None,
        blank: Vec::new(),
    }
}

/// The figure that a question shows is there, and has the streams that a learner is
/// to name on it.
pub(super) fn check_shown(
    unit: &UnitNames<'_>,
    question: &Question,
    diagnostics: &mut Diagnostics,
) {
    let Some(shown) = &question.figure else {
        if let Some(first) = question.blank.first() {
            diagnostics.push(
                Diagnostic::new(
                    Code::MissingKey,
                    unit.place(first.span),
                    "The names to be written stand on a figure, and this question shows none.",
                )
                .found("`blank` without `figure`")
                .expected("`figure:` with the id of a figure block")
                .next("say in a line of its own which figure the question shows"),
            );
        }
        return;
    };
    let Some(figure) = unit.figures.get(shown.value.as_str()) else {
        if !unit.may_be_a_block(&shown.value) {
            let known = unit.figures.keys().copied();
            let finding = unit.unknown(Code::UnknownFigure, shown, "figure", "this unit", known);
            diagnostics.push(finding);
        }
        return;
    };
    let Some(process) = unit.processes.get(figure.of.value.as_str()) else { return };
    let streams = streams(process);
    for name in &question.blank {
        let known = streams.iter().any(|stream| stream.value == name.value);
        if !known && !unit.excused(name, process.span) {
            diagnostics.push(unit.unknown(
                Code::UnknownStream,
                name,
                "stream",
                &format!("`{}`", figure.of.value),
                streams.iter().map(|stream| stream.value.as_str()),
            ));
        }
    }
}

fn streams(process: &Process) -> Vec<&Text> {
    process.operations.iter().flat_map(|o| o.ports.iter().flat_map(|(_, s)| s)).collect()
}
