//! Figures checked: what they are drawn of, and the masses that their facts settle.
//!
//! A figure with facts is a question that asks for every total and takes what it
//! can get; only facts that contradict each other are a mistake.

use crate::diag::{Code, Diagnostic, Diagnostics, Span};
use crate::quantity::formula::Formula;
use crate::reading::parsed::{Figure, Part, Placed, Process, ProcessRef, Question, Text, Written};

use super::names::UnitNames;
use super::{Checked, questions};

/// Checks a figure; gives its totals where facts settle any. Whether a table can be
/// drawn as wanted is seen where it is drawn.
pub(super) fn check(
    unit: &UnitNames<'_>,
    figure: &Figure,
    diagnostics: &mut Diagnostics,
) -> Option<Checked> {
    let of = figure.of.as_ref();
    let process = of.and_then(|of| unit.processes.get(of.value.as_str()));
    let table = of.and_then(|of| unit.tables.get(of.value.as_str()));
    if let Some(of) = of
        && process.is_none()
        && table.is_none()
        && !unit.techniques.contains_key(of.value.as_str())
    {
        if !unit.may_be_a_block(&of.value) {
            let processes = unit.processes.keys().copied();
            let known = processes.chain(unit.tables.keys().copied());
            let known: Vec<&str> = known.chain(unit.techniques.keys().copied()).collect();
            let what = "process, technique or table";
            diagnostics.push(unit.unknown(
                Code::UnknownName,
                of,
                what,
                "this unit",
                known.iter().copied(),
            ));
        }
        return None;
    }
    misplaced(unit, figure, process.is_some(), table.is_some(), diagnostics);
    if let Some(table) = table.filter(|table| !unit.marred(table.span)) {
        for row in &figure.rows {
            if !table.rows.iter().any(|(name, _)| name.value == row.value) {
                let known = table.rows.iter().map(|(name, _)| name.value.as_str());
                let home = format!("`{}`", table.id.value);
                diagnostics.push(unit.unknown(Code::UnknownRow, row, "row", &home, known));
            }
        }
    }
    let (of, process) = (of?, process?);
    if figure.given.is_empty() {
        return None;
    }
    questions::check_totals(unit, &asking(figure, of, process), diagnostics)
}

/// Keys that are about another kind of figure would be passed over in silence.
fn misplaced(
    unit: &UnitNames<'_>,
    figure: &Figure,
    process: bool,
    table: bool,
    diagnostics: &mut Diagnostics,
) {
    let mut wrong = |key: &str, span: Span, about: &str, next: &str| {
        let what = match (process, table) {
            (true, _) => "the flow diagram of a process",
            (_, true) => "a drawing of a table",
            _ => "a sketch of apparatus",
        };
        diagnostics.push(
            Diagnostic::new(
                Code::CannotDraw,
                unit.place(span),
                format!("This figure is {what}, and `{key}` is about {about}."),
            )
            .found(format!("`{key}`"))
            .expected(format!("`{key}` on a figure of {about}"))
            .next(next),
        );
    };
    let away = "take this key out";
    if let Some(sketch) = figure.sketch.as_ref().filter(|_| process || table) {
        wrong("sketch", sketch.span, "apparatus alone", "take `sketch` out, or `of`");
        return;
    }
    if !table {
        let draw = figure.draw.as_ref().map(|draw| ("draw", draw.span));
        let rows = figure.rows.first().map(|row| ("rows", row.span));
        let columns = figure.columns.first().map(|column| ("columns", column.span));
        let notes = figure.notes.first().map(|(text, _)| ("notes", text.span));
        for (key, span) in [draw, rows, columns, notes].into_iter().flatten() {
            wrong(key, span, "a table", away);
        }
    }
    if !process && let Some(given) = figure.given.first() {
        wrong("given", given.stream.span, "a process", away);
    }
    if process && figure.letters {
        wrong("labels: letters", figure.id.span, "a technique or a table", away);
    }
}

/// The question that a figure with facts amounts to.
fn asking(figure: &Figure, of: &Text, process: &Process) -> Question {
    let mut names: Vec<&str> = Vec::new();
    for stream in streams(process) {
        if !names.contains(&stream.value.as_str()) {
            names.push(&stream.value);
        }
    }
    let at = of.span.start;
    let parts = names
        .iter()
        .filter_map(|name| Formula::parse(&format!("{name}.total"), |_| at).ok())
        .map(|formula| Part {
            span: figure.span,
            find: vec![Placed::new(formula, of.span)],
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
        allow: Vec::new(),
        process: ProcessRef::Named(of.clone()),
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
        data: Vec::new(),
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
    let Some(process) = unit.processes.get(figure.shows()) else { return };
    let streams = streams(process);
    for name in &question.blank {
        let known = streams.iter().any(|stream| stream.value == name.value);
        if !known && !unit.excused(name, process.span) {
            diagnostics.push(unit.unknown(
                Code::UnknownStream,
                name,
                "stream",
                &format!("`{}`", figure.shows()),
                streams.iter().map(|stream| stream.value.as_str()),
            ));
        }
    }
}

fn streams(process: &Process) -> Vec<&Text> {
    process.operations.iter().flat_map(|o| o.ports.iter().flat_map(|(_, s)| s)).collect()
}
