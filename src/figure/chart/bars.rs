//! Bars: upright where their names fit below them, else lying.
//!
//! Takes the axis that counts and the data; gives a drawing. Bars begin at nought.

use super::super::axes::{self, Axis, Scale};
use super::super::drawing::{Anchor, Drawing, Label, Move, Role, Shape, Weight};
use super::super::{Labelling, capital, counted, letter, pen, room};
use super::{Datum, fill, told};

/// The area of upright bars: its height, and the most its width may be.
const HEIGHT: f64 = 52.0;
const WIDEST: f64 = 120.0;
/// The least an upright bar and the room beside it take, and the bar's share of it.
const SLOT: f64 = 12.0;
const SHARE: f64 = 0.6;
/// A lying bar and from one to the next: 13 and 21 points.
const BAR: f64 = 13.0 * room::POINT;
const PITCH: f64 = 21.0 * room::POINT;
/// The length of the scale of lying bars, least and most, and the whole figure's width
/// that it gives way for.
const LENGTH: (f64, f64) = (50.0, 90.0);
const WHOLE: f64 = 146.0;
const CLEAR: f64 = 1.2;

/// A bar for each datum: values written at the bars' ends, lettered, or to be read and
/// filled in. None without data, or if a value is negative or no number.
pub fn bars(axis: &Axis, data: &[Datum], labelling: Labelling) -> Option<Drawing> {
    bars_of(axis, data, labelling, (0.0, HEIGHT))
}

/// The same with upright bars over an area at least so wide and no higher than so many mm.
pub(crate) fn bars_of(
    axis: &Axis,
    data: &[Datum],
    labelling: Labelling,
    (width, height): (f64, f64),
) -> Option<Drawing> {
    if data.is_empty() || data.iter().any(|datum| !datum.value.is_finite() || datum.value < 0.0) {
        return None;
    }
    let most = data.iter().map(|datum| datum.value).fold(0.0, f64::max);
    let scale = Scale::over(0.0, most, true)?;
    let slot = data
        .iter()
        .map(|datum| {
            let name = room::width(&shown(0, datum, labelling), Weight::Semibold);
            let value = match labelling {
                Labelling::Blank => room::SHORT_LINE,
                _ => room::width(&datum.written, Weight::Semibold),
            };
            name.max(value) + 3.0
        })
        .fold(SLOT, f64::max);
    let words = format!(
        "Bar chart of {}, from {} to {}. {} bar{}: {}.",
        axis.head(),
        scale.written(scale.from),
        scale.written(scale.to),
        capital(&counted(data.len())),
        if data.len() == 1 { "" } else { "s" },
        match labelling {
            Labelling::Lettered => super::listed(&(0..data.len()).map(letter).collect::<Vec<_>>()),
            _ => told(data, labelling),
        }
    );
    let mut drawing = Drawing { words, ..Drawing::default() };
    if slot * data.len() as f64 <= WIDEST {
        let slot = slot.max(width / data.len() as f64);
        upright(&mut drawing, axis, data, labelling, &scale, (slot, height));
    } else {
        lying(&mut drawing, axis, data, labelling, &scale);
    }
    Some(room::framed(drawing))
}

/// What stands at a bar's foot.
fn shown(index: usize, datum: &Datum, labelling: Labelling) -> String {
    if labelling == Labelling::Lettered { letter(index) } else { datum.name.clone() }
}

fn at_foot(index: usize, datum: &Datum, labelling: Labelling) -> Label {
    let lettered = labelling == Labelling::Lettered;
    Label {
        text: shown(index, datum, labelling),
        weight: if lettered { Weight::Bold } else { Weight::Regular },
        ..Label::default()
    }
}

fn at_end(datum: &Datum, labelling: Labelling) -> Option<Label> {
    (!datum.written.is_empty()).then(|| Label {
        text: datum.written.clone(),
        weight: Weight::Semibold,
        asked: labelling == Labelling::Blank,
        gap: true,
        ..Label::default()
    })
}

fn upright(
    drawing: &mut Drawing,
    axis: &Axis,
    data: &[Datum],
    labelling: Labelling,
    scale: &Scale,
    (slot, tall): (f64, f64),
) {
    let width = slot * data.len() as f64;
    let height = |number: f64| tall * (1.0 - scale.share(number));
    for number in scale.numbers() {
        let y = height(number);
        let path = pen::lines(&[(0.0, y), (width, y)]);
        drawing.shapes.push(Shape { role: Role::Grid, path });
        axes::left_number(drawing, y, &scale.written(number));
    }
    for (index, datum) in data.iter().enumerate() {
        let (middle, top) = (slot * (index as f64 + 0.5), height(datum.value));
        let wide = slot.min(1.8 * SLOT) * SHARE;
        let path = pen::rectangle(middle - wide / 2.0, top, wide, tall - top);
        bar(drawing, fill(index, data.len(), false), path);
        let anchor = Anchor::Middle;
        let y = tall + CLEAR + 2.0 * room::MIDDLE + 1.0;
        drawing.labels.push(Label { x: middle, y, anchor, ..at_foot(index, datum, labelling) });
        if let Some(label) = at_end(datum, labelling) {
            drawing.labels.push(Label { x: middle, y: top - CLEAR, anchor, ..label });
        }
    }
    let corner = [(0.0, 0.0), (0.0, tall), (width, tall)];
    drawing.shapes.push(Shape { role: Role::Axis, path: pen::lines(&corner) });
    // A value may stand above the area's top: the head keeps clear of it.
    let y = -3.2 - room::PITCH;
    drawing.labels.push(Label { x: -axes::reach(scale), y, text: axis.head(), ..Label::default() });
}

fn lying(drawing: &mut Drawing, axis: &Axis, data: &[Datum], labelling: Labelling, scale: &Scale) {
    // Lines to write on need more room than printed values.
    let pitch = if labelling == Labelling::Blank { PITCH.max(room::WRITING) } else { PITCH };
    let height = pitch * data.len() as f64;
    let length = length(data, labelling, scale);
    for number in scale.numbers() {
        let x = length * scale.share(number);
        let path = pen::lines(&[(x, 0.0), (x, height)]);
        drawing.shapes.push(Shape { role: Role::Grid, path });
        axes::foot_number(drawing, (x, height), &scale.written(number));
    }
    for (index, datum) in data.iter().enumerate() {
        let (middle, end) = (pitch * (index as f64 + 0.5), length * scale.share(datum.value));
        let path = pen::rectangle(0.0, middle - BAR / 2.0, end, BAR);
        bar(drawing, fill(index, data.len(), false), path);
        let y = middle + room::MIDDLE;
        let anchor = Anchor::End;
        drawing.labels.push(Label { x: -CLEAR, y, anchor, ..at_foot(index, datum, labelling) });
        if let Some(label) = at_end(datum, labelling) {
            drawing.labels.push(Label { x: end + CLEAR, y, ..label });
        }
    }
    let corner = [(0.0, 0.0), (0.0, height), (length, height)];
    drawing.shapes.push(Shape { role: Role::Axis, path: pen::lines(&corner) });
    axes::foot_head(drawing, (length, height), &axis.head());
}

/// A bar before the grid, which must not show through its fill.
fn bar(drawing: &mut Drawing, role: Role, path: Vec<Move>) {
    drawing.shapes.push(Shape { role: Role::Front, path: path.clone() });
    drawing.shapes.push(Shape { role, path });
}

/// The longest scale with which names and values keep within the figure's width.
fn length(data: &[Datum], labelling: Labelling, scale: &Scale) -> f64 {
    let names = data
        .iter()
        .map(|datum| room::width(&shown(0, datum, labelling), Weight::Semibold))
        .fold(0.0, f64::max);
    let fits = data.iter().map(|datum| {
        let value = match labelling {
            _ if datum.written.is_empty() => 0.0,
            Labelling::Blank => room::SHORT_LINE,
            _ => room::width(&datum.written, Weight::Semibold),
        };
        // The bar's own share of the scale and its value share what the names leave.
        (WHOLE - names - 2.0 * CLEAR - value) / scale.share(datum.value).max(1e-3)
    });
    fits.fold(LENGTH.1, f64::min).max(LENGTH.0)
}
