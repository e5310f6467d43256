//! The drawings that a unit's documents show, made once a run, and what keeps a
//! figure from being drawn.

use crate::composing::faces::Faces;
use crate::composing::{FigureRoom, Profile, label_face};
use crate::diag::{Code, Diagnostic, Diagnostics, Place, Severity, Span, Surety, nearest};
use crate::document::{
    BADGE, Drawings, figure_id, lettered_id, on_a_slide, part_id, sketch_id, step_id,
};
use crate::figure::{
    Drawing, Frame, Labelling, Misfit, Subject, Weight, apparatus, shown, shown_in_parts, step_of,
    subject,
};
use crate::question::Assessment;
use crate::reading::model::{Checked, Model};
use crate::reading::parsed::{Figure, Item, ProcessRef, Question};

use super::{department, pictures};

/// Every figure of the lessons and of the questions, the sketch of each technique and the
/// school's badge, for this kind of sheet.
pub(super) fn drawings(asked: &Assessment<'_>, profile: &Profile, faces: &Faces) -> Drawings {
    let mut made = Drawings::new();
    let badge = department::badge(&asked.department);
    made.pictures.extend(badge.map(|badge| (BADGE.to_owned(), badge)));
    asked.units.iter().for_each(|unit| made.join(of_unit(unit, profile, faces)));
    made
}

fn of_unit(model: &Model, profile: &Profile, faces: &Faces) -> Drawings {
    let mut made = sketches(model);
    for (figure, totals) in model.figures() {
        let room = FigureRoom::of(profile, false);
        let drawn = drawn(model, figure, totals, &|_| false, &room, profile, faces);
        made.extend(drawn.ok().flatten().map(|drawing| (figure.id.value.clone(), drawing)));
    }
    for checked in &model.questions {
        let question = &checked.question;
        let found = question.figure.as_ref().and_then(|id| model.figure(&id.value));
        let Some((figure, totals)) = found else { continue };
        // Its own numbers hold there, not those of the figure.
        let same = matches!(&question.process, ProcessRef::Named(of) if of.value == figure.shows());
        let totals = totals.filter(|_| !same);
        let room = FigureRoom::of(profile, true);
        let asked = |name: &str| question.blank.iter().any(|blank| blank.value == name);
        let drawn = drawn(model, figure, totals, &asked, &room, profile, faces);
        let id = figure_id(model, question, &figure.id.value);
        made.extend(drawn.ok().flatten().map(|drawing| (id, drawing)));
    }
    made
}

/// The figures that slides show: a process that is too large for one in several; those of
/// questions without masses, whose numbers are the quiz's own.
pub(super) fn on_slides(model: &Model, faces: &Faces) -> Drawings {
    let mut made = sketches(model);
    let plots = FigureRoom::on_a_slide(FigureRoom::PLOT_ON_A_SLIDE);
    let profile = Profile::default();
    // Only the room differs: letters are as large as on a page, and scaled with it.
    let measure =
        |text: &str, weight: Weight| faces.width(label_face(&profile, weight), plots.em, text);
    let frame = |room: FigureRoom| Frame {
        width: room.width,
        height: room.height,
        em: room.em,
        measure: &measure,
    };
    let frames = FigureRoom::ON_A_SLIDE.map(|scale| frame(FigureRoom::on_a_slide(scale)));
    let usual = frame(plots);
    for (figure, totals) in model.figures().filter(|(figure, _)| on_a_slide(model, figure)) {
        if let Some(Subject::Sketch(name)) = subject(model, figure) {
            lettered(name, &mut made);
        }
        let parts = shown_in_parts(model, figure, totals, &|_| false, &frames, &usual);
        let ids = (1..).map(|part| part_id(&figure.id.value, part));
        made.extend(ids.zip(parts.unwrap_or_default()));
    }
    for checked in &model.questions {
        let question = &checked.question;
        let found = question.figure.as_ref().and_then(|id| model.figure(&id.value));
        let Some((figure, _)) = found else { continue };
        let asked = |name: &str| question.blank.iter().any(|blank| blank.value == name);
        let parts = shown_in_parts(model, figure, None, &asked, &frames, &usual);
        let id = figure_id(model, question, &figure.id.value);
        let ids = (1..).map(|part| part_id(&id, part));
        made.extend(ids.zip(parts.unwrap_or_default()));
    }
    made
}

/// What cards and practical sheets show.
pub(super) fn of_techniques(model: &Model, faces: &Faces) -> Drawings {
    let mut made = sketches(model);
    let room = FigureRoom::on_a_card();
    let profile = Profile::default();
    let measure =
        |text: &str, weight: Weight| faces.width(label_face(&profile, weight), room.em, text);
    let frame = Frame { width: room.width, height: room.height, em: room.em, measure: &measure };
    for item in &model.parsed.items {
        let Item::Technique(technique) = item else { continue };
        let step = step_of(model, technique, &frame);
        made.extend(step.map(|drawing| (step_id(&technique.id.value), drawing)));
    }
    made
}

/// The apparatus of the techniques, with names and with letters.
fn sketches(model: &Model) -> Drawings {
    let mut made = Drawings::new();
    made.pictures = pictures::of(model);
    for item in &model.parsed.items {
        let Item::Technique(technique) = item else { continue };
        let Some(name) = apparatus::sketch_of(technique) else { continue };
        let named = apparatus::sketch(name, Labelling::Named);
        made.extend(named.map(|drawing| (sketch_id(name), drawing)));
        lettered(name, &mut made);
    }
    made
}

fn lettered(name: &str, made: &mut Drawings) {
    let drawing = apparatus::sketch(name, Labelling::Lettered);
    made.extend(drawing.map(|drawing| (lettered_id(name), drawing)));
}

fn drawn(
    model: &Model,
    figure: &Figure,
    totals: Option<&Checked>,
    asked: &dyn Fn(&str) -> bool,
    room: &FigureRoom,
    profile: &Profile,
    faces: &Faces,
) -> Result<Option<Drawing>, Misfit> {
    let measure =
        |text: &str, weight: Weight| faces.width(label_face(profile, weight), room.em, text);
    let frame = Frame { width: room.width, height: room.height, em: room.em, measure: &measure };
    shown(model, figure, totals, asked, &frame)
}

/// What keeps the figures of a unit from being drawn. Blocks in which something else
/// is wrong are left alone: what they would show is not known.
pub(super) fn check(model: &Model, out: &mut Diagnostics) {
    let file = &model.parsed.file;
    let faulty: Vec<Span> = out
        .iter()
        .filter(|d| std::sync::Arc::ptr_eq(&d.place.file, file))
        .filter(|d| d.severity == Severity::Error)
        .map(|d| d.place.span)
        .collect();
    let sound =
        |block: Span| !faulty.iter().any(|at| block.start <= at.start && at.end <= block.end);
    let faces = Faces::embedded();
    let profile = Profile::default();
    let room = FigureRoom::of(&profile, true);
    for (figure, totals) in model.figures().filter(|(figure, _)| sound(figure.span)) {
        match subject(model, figure) {
            Some(Subject::Unknown(_)) => out.push(no_sketch(model, figure)),
            Some(Subject::Table(data)) if sound(data.span) => {
                let drawn = drawn(model, figure, totals, &|_| false, &room, &profile, &faces);
                if let Err(misfit) = drawn {
                    out.push(misfits(model, figure, &misfit));
                }
            }
            _ => {}
        }
    }
    for checked in &model.questions {
        blanks(model, &checked.question, out);
    }
}

fn at(model: &Model, span: Span) -> Place {
    Place::new(&model.parsed.file, span)
}

fn no_sketch(model: &Model, figure: &Figure) -> Diagnostic {
    let span = figure.of.as_ref().map_or(figure.id.span, |of| of.span);
    Diagnostic::new(
        Code::CannotDraw,
        at(model, span),
        format!("There is no sketch for the technique `{}`.", figure.shows()),
    )
    .found(format!("`{}`, whose id and apparatus name none", figure.shows()))
    .expected(apparatus::names().collect::<Vec<_>>().join(", "))
    .next("say which to draw with `sketch:`, or take the figure out")
}

fn misfits(model: &Model, figure: &Figure, misfit: &Misfit) -> Diagnostic {
    let draw = figure.draw.as_ref().map(|draw| draw.span);
    let span = draw.or(figure.of.as_ref().map(|of| of.span)).unwrap_or(figure.id.span);
    Diagnostic::new(Code::CannotDraw, at(model, span), misfit.says.clone())
        .found(misfit.found.clone())
        .expected(misfit.expected)
        .next(misfit.next)
}

/// The names that a learner is to write stand on the sketch.
fn blanks(model: &Model, question: &Question, out: &mut Diagnostics) {
    let figure = question.figure.as_ref().and_then(|id| model.figure(&id.value));
    let Some((figure, _)) = figure else { return };
    let Some(first) = question.blank.first() else { return };
    let parts = match subject(model, figure) {
        Some(Subject::Sketch(name)) => apparatus::parts(name).unwrap_or_default(),
        Some(Subject::Table(_)) => {
            let finding = Diagnostic::new(
                Code::CannotDraw,
                at(model, first.span),
                "Names are left blank on flow diagrams and sketches, not on drawings of tables.",
            );
            out.push(
                finding
                    .found(format!("`blank` on a drawing of `{}`", figure.shows()))
                    .expected("a figure of a process or a technique")
                    .next("take `blank` out; for letters in place of names write `labels: letters` in the figure"),
            );
            return;
        }
        _ => return,
    };
    if figure.letters {
        let finding = Diagnostic::new(
            Code::CannotDraw,
            at(model, first.span),
            "This figure has letters in place of names, so there is no name to write on it.",
        );
        out.push(
            finding
                .found(format!("`blank`, and `labels: letters` in `{}`", figure.id.value))
                .expected("one of the two")
                .next("take out the one that you do not mean"),
        );
        return;
    }
    for name in question.blank.iter().filter(|name| !parts.contains(&name.value.as_str())) {
        let quoted: Vec<String> = parts.iter().map(|part| format!("`{part}`")).collect();
        let finding = Diagnostic::new(
            Code::UnknownName,
            at(model, name.span),
            format!("The sketch has no part called `{}`.", name.value),
        )
        .found(format!("`{}`", name.value))
        .expected(quoted.join(", "));
        out.push(finding.misspelt(
            name.span,
            nearest(&name.value, parts.iter().copied()),
            Surety::Likely,
            "choose one of these",
        ));
    }
}
