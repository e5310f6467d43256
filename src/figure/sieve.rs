//! A stack of sieves, the coarsest above, with what each kept.
//!
//! Takes apertures and masses as they are to be written; gives a drawing. Grains are
//! drawn by the sieve's place and not by its mass, so that they give no mass away.

use super::drawing::{Anchor, Drawing, Label, Role, Shape, Weight};
use super::{Labelling, capital, counted, letter, pen, room};

const WIDTH: f64 = 44.0;
/// From rim to mesh, and the skirt below it that stands in the next ring.
const HEIGHT: f64 = 9.0;
const LAP: f64 = 1.8;
/// A rim reaches out, a skirt stands in.
const RIM: f64 = 1.0;
const SKIRT: f64 = 1.2;
/// From a wall to the words beside it.
const GAP: f64 = 4.0;
/// The largest grain's radius, and each next one's share of it.
const GRAIN: f64 = 1.5;
const FINER: f64 = 0.66;
const FINEST: f64 = 0.28;

/// One sieve; the last of a stack may be the pan.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Sieve {
    /// As written: "2.0 mm". Empty for the pan.
    pub aperture: String,
    /// As written: "12.4 g". Empty where nothing is said.
    pub kept: String,
}

/// The stack drawn: masses named, each sieve lettered in their place, or to be filled
/// in. None for no sieve.
pub fn stack(sieves: &[Sieve], labelling: Labelling) -> Option<Drawing> {
    if sieves.is_empty() {
        return None;
    }
    let mut drawing = Drawing { words: words(sieves, labelling), ..Drawing::default() };
    for (index, sieve) in sieves.iter().enumerate() {
        let top = index as f64 * HEIGHT;
        tray(&mut drawing, top, sieve.aperture.is_empty());
        grains(&mut drawing, top, index);
        name(&mut drawing, top, index, sieve, labelling);
    }
    let head = |x, anchor, text: &str| Label {
        x,
        y: -3.0,
        text: text.to_owned(),
        anchor,
        weight: Weight::Semibold,
        ..Label::default()
    };
    if sieves.iter().any(|sieve| !sieve.aperture.is_empty()) {
        drawing.labels.push(head(-GAP, Anchor::End, "aperture"));
    }
    if sieves.iter().any(|sieve| !sieve.kept.is_empty()) && labelling != Labelling::Lettered {
        drawing.labels.push(head(WIDTH + GAP, Anchor::Start, "retained"));
    }
    Some(room::framed(drawing))
}

/// A ring with a mesh for a floor, or the pan with a closed one.
fn tray(drawing: &mut Drawing, top: f64, pan: bool) {
    let foot = top + HEIGHT;
    let mut add = |role, points: &[(f64, f64)]| {
        drawing.shapes.push(Shape { role, path: pen::lines(points) });
    };
    let (left, right) = ((-RIM, top), (WIDTH + RIM, top));
    if pan {
        add(Role::Wall, &[left, (0.0, top), (0.0, foot), (WIDTH, foot), (WIDTH, top), right]);
        return;
    }
    let skirt = foot + LAP;
    add(Role::Wall, &[left, (0.0, top), (0.0, foot), (SKIRT, foot), (SKIRT, skirt)]);
    let inner = WIDTH - SKIRT;
    add(Role::Wall, &[right, (WIDTH, top), (WIDTH, foot), (inner, foot), (inner, skirt)]);
    add(Role::Dashed, &[(SKIRT, foot), (inner, foot)]);
}

/// Grains lying on the floor, finer from sieve to sieve.
fn grains(drawing: &mut Drawing, top: f64, index: usize) {
    let radius = (GRAIN * FINER.powi(index as i32)).max(FINEST);
    let floor = top + HEIGHT - 0.4;
    let pitch = 2.3 * radius;
    let wide = WIDTH - 12.0;
    let rows = if radius > 0.8 { 1 } else { 2 };
    for row in 0..rows {
        let reach = wide - 6.0 * f64::from(row);
        let count = (reach / pitch).floor() as usize;
        let left = WIDTH / 2.0 - pitch * (count - 1) as f64 / 2.0;
        let y = floor - radius - f64::from(row) * 2.0 * radius;
        for grain in 0..count {
            let x = left + grain as f64 * pitch;
            let path = pen::circle(x, y, radius);
            drawing.shapes.push(Shape { role: Role::Solid, path });
        }
    }
}

fn name(drawing: &mut Drawing, top: f64, index: usize, sieve: &Sieve, labelling: Labelling) {
    let y = top + HEIGHT / 2.0 + room::MIDDLE;
    let aperture = if sieve.aperture.is_empty() { "pan" } else { &sieve.aperture };
    drawing.labels.push(Label {
        x: -GAP,
        y,
        text: aperture.to_owned(),
        anchor: Anchor::End,
        ..Label::default()
    });
    let (text, weight, asked) = match labelling {
        Labelling::Named => (sieve.kept.clone(), Weight::Regular, false),
        Labelling::Lettered => (letter(index), Weight::Bold, false),
        Labelling::Blank => (sieve.kept.clone(), Weight::Regular, true),
    };
    if !text.is_empty() {
        let x = WIDTH + GAP;
        drawing.labels.push(Label { x, y, text, weight, asked, ..Label::default() });
    }
}

fn words(sieves: &[Sieve], labelling: Labelling) -> String {
    let told: Vec<String> = sieves
        .iter()
        .enumerate()
        .map(|(index, sieve)| {
            let what = if sieve.aperture.is_empty() {
                "the pan".to_owned()
            } else {
                format!("aperture {}", sieve.aperture)
            };
            match labelling {
                Labelling::Named if !sieve.kept.is_empty() => {
                    format!("{what}, retained {}", sieve.kept)
                }
                Labelling::Lettered => format!("{}: {what}", letter(index)),
                _ => what,
            }
        })
        .collect();
    let to_fill = match labelling {
        Labelling::Blank => " What each retained is to be filled in.",
        _ => "",
    };
    format!(
        "A stack, the coarsest sieve above. {} from the top: {}.{to_fill}",
        capital(&counted(sieves.len())),
        told.join("; ")
    )
}
