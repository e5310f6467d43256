//! The drawings that a unit's documents show, made once a run.

use crate::composing::faces::Faces;
use crate::composing::{FigureRoom, Profile, label_face};
use crate::document::{Drawings, figure_id};
use crate::figure::flow::{diagram, flow_of, values};
use crate::figure::{Drawing, Frame, Weight};
use crate::reading::model::{Checked, Model};
use crate::reading::parsed::{Figure, ProcessRef, Text};

/// Every figure of the lesson and of the questions, for this kind of sheet.
pub(super) fn drawings(model: &Model, profile: &Profile, faces: &Faces) -> Drawings {
    let mut made = Drawings::new();
    for (figure, totals) in model.figures() {
        let drawn =
            drawn(model, figure, totals, &[], &FigureRoom::of(profile, false), profile, faces);
        made.extend(drawn.map(|drawing| (figure.id.value.clone(), drawing)));
    }
    for checked in &model.questions {
        let question = &checked.question;
        let shown = question.figure.as_ref().and_then(|id| model.figure(&id.value));
        let Some((figure, totals)) = shown else { continue };
        // Its own numbers hold there, not those of the figure.
        let same =
            matches!(&question.process, ProcessRef::Named(of) if of.value == figure.of.value);
        let totals = totals.filter(|_| !same);
        let room = FigureRoom::of(profile, true);
        let drawn = drawn(model, figure, totals, &question.blank, &room, profile, faces);
        made.extend(drawn.map(|drawing| (figure_id(question, &figure.id.value), drawing)));
    }
    made
}

fn drawn(
    model: &Model,
    figure: &Figure,
    totals: Option<&Checked>,
    blank: &[Text],
    room: &FigureRoom,
    profile: &Profile,
    faces: &Faces,
) -> Option<Drawing> {
    let process = model.process(&figure.of.value)?;
    let values = values(figure, totals);
    let flow = flow_of(process, &|stream| values.get(stream).cloned(), &|stream| {
        blank.iter().any(|name| name.value == stream)
    });
    let measure =
        |text: &str, weight: Weight| faces.width(label_face(profile, weight), room.em, text);
    let frame = Frame { width: room.width, height: room.height, em: room.em, measure: &measure };
    Some(diagram(&flow, &frame))
}
