//! What a figure block shows, drawn.
//!
//! Takes a block of the model, what is asked on it and the sheet; gives a drawing, or
//! why a table cannot be drawn as its author wants it.

use super::apparatus::{self, sketch_of};
use super::flow::{Flow, diagram, diagrams, flow_of, part, values};
use super::table::{self, Misfit};
use super::{Drawing, Frame, Labelling};
use crate::reading::model::{Checked, Model};
use crate::reading::parsed::{Data, Figure, Item, Process, Technique};

/// The thing that a figure is of.
#[derive(Debug, Clone, Copy)]
pub enum Subject<'a> {
    Process(&'a Process),
    Table(&'a Data),
    Sketch(&'static str),
    /// A technique that nothing tells the sketch of.
    Unknown(&'a Technique),
}

/// What a figure is of; none if its block is not there.
pub fn subject<'a>(model: &'a Model, figure: &Figure) -> Option<Subject<'a>> {
    if let Some(sketch) = &figure.sketch {
        return apparatus::names().find(|name| *name == sketch.value).map(Subject::Sketch);
    }
    if let Some(process) = model.process(figure.shows()) {
        return Some(Subject::Process(process));
    }
    model.parsed.items.iter().find_map(|item| match item {
        Item::Technique(found) if found.id.value == figure.shows() => {
            Some(sketch_of(found).map_or(Subject::Unknown(found), Subject::Sketch))
        }
        Item::Data(found) if found.id.value == figure.shows() => Some(Subject::Table(found)),
        _ => None,
    })
}

/// A figure on a sheet. `totals` is what its facts settle, `asked` which of its names
/// a learner is to write. None if it is of nothing that can be drawn.
///
/// # Errors
/// Why the table cannot be drawn like that.
pub fn shown(
    model: &Model,
    figure: &Figure,
    totals: Option<&Checked>,
    asked: &dyn Fn(&str) -> bool,
    frame: &Frame<'_>,
) -> Result<Option<Drawing>, Misfit> {
    Ok(match subject(model, figure) {
        Some(Subject::Process(process)) => {
            Some(diagram(&flow(process, figure, totals, asked), frame))
        }
        Some(Subject::Sketch(name)) if figure.letters => {
            apparatus::sketch(name, Labelling::Lettered)
        }
        Some(Subject::Sketch(name)) => apparatus::sketch_asking(name, asked),
        Some(Subject::Table(data)) => {
            Some(table::drawn(data, figure, (frame.width, frame.height))?)
        }
        Some(Subject::Unknown(_)) | None => None,
    })
}

/// The same for small sheets, from the one with the largest letters on: a process takes
/// the first that holds it, or several. All else is drawn for `usual`.
///
/// # Errors
/// The same.
pub fn shown_in_parts(
    model: &Model,
    figure: &Figure,
    totals: Option<&Checked>,
    asked: &dyn Fn(&str) -> bool,
    frames: &[Frame<'_>],
    usual: &Frame<'_>,
) -> Result<Vec<Drawing>, Misfit> {
    if let Some(Subject::Process(process)) = subject(model, figure) {
        return Ok(diagrams(&flow(process, figure, totals, asked), frames));
    }
    Ok(shown(model, figure, totals, asked, usual)?.into_iter().collect())
}

/// The step of the unit's first process that a technique stands for.
pub fn step_of(model: &Model, technique: &Technique, frame: &Frame<'_>) -> Option<Drawing> {
    let id = technique.id.value.as_str();
    model.parsed.items.iter().find_map(|item| {
        let Item::Process(process) = item else { return None };
        let is_it = |name: &str| id == name || id.split('-').any(|word| word == name);
        let step = process.operations.iter().position(|o| is_it(o.kind.value.name))?;
        let flow = flow_of(process, &|_| None, &|_| false);
        Some(diagram(&part(&flow, step..step + 1), frame))
    })
}

fn flow(
    process: &Process,
    figure: &Figure,
    totals: Option<&Checked>,
    asked: &dyn Fn(&str) -> bool,
) -> Flow {
    let values = values(figure, totals);
    flow_of(process, &|stream| values.get(stream).cloned(), asked)
}
