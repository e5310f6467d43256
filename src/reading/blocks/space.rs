//! The room for an answer: `space: graph 120 x 100 mm` and its like.
//!
//! Takes the keys of a part; gives what to leave, or says what cannot be read.

use crate::diag::Code;
use crate::reading::desk::{Desk, Fields};
use crate::reading::parsed::{Space, Text};

/// Lengths that fit on a page, in mm.
const LEAST: f64 = 10.0;
const MOST: f64 = 240.0;

/// What a part says of its room.
pub(super) fn space(desk: &mut Desk, fields: &Fields) -> Option<Space> {
    let entry = fields.get("space")?;
    let text = desk.text(entry)?;
    let Some(space) = read(&text.value) else {
        say(desk, &text, format!("`{}` is no room for an answer.", text.value));
        return None;
    };
    if space != Space::Lines && fields.get("lines").is_some() {
        let finding = desk
            .finding(Code::BadSpace, text.span, "This part has `lines` and another room as well.")
            .found(format!("`lines` beside `space: {}`", text.value))
            .expected("one of the two")
            .next("take one of them out");
        desk.say(finding);
        return None;
    }
    Some(space)
}

fn say(desk: &mut Desk, text: &Text, message: String) {
    let finding = desk
        .finding(Code::BadSpace, text.span, message)
        .found(format!("`{}`", text.value))
        .expected("none, 60 mm, lines, drawing, drawing 80 mm or graph 120 x 100 mm")
        .next(format!("write one of these; lengths are in mm, from {LEAST:.0} to {MOST:.0}"));
    desk.say(finding);
}

fn read(text: &str) -> Option<Space> {
    let (word, rest) = match text.split_once(char::is_whitespace) {
        Some((word, rest)) if word.chars().all(char::is_alphabetic) => (word, rest.trim()),
        None if text.chars().all(char::is_alphabetic) => (text, ""),
        _ => ("", text),
    };
    match (word, rest) {
        ("none", "") => Some(Space::None),
        ("lines", "") => Some(Space::Lines),
        ("drawing", "") => Some(Space::Drawing(None)),
        ("drawing", height) => Some(Space::Drawing(Some(millimetres(height)?))),
        ("graph", "") => Some(Space::Graph(None)),
        ("graph", sides) => {
            let (width, height) = sides.split_once(['x', '×'])?;
            // The unit may be said once, behind both.
            let width = millimetres(width).or_else(|| millimetres(&format!("{width} mm")))?;
            Some(Space::Graph(Some((width, millimetres(height)?))))
        }
        ("", height) => Some(Space::Blank(millimetres(height)?)),
        _ => None,
    }
}

fn millimetres(text: &str) -> Option<f64> {
    let text = text.trim();
    let (number, scale) = match text.strip_suffix("mm") {
        Some(number) => (number, 1.0),
        None => (text.strip_suffix("cm")?, 10.0),
    };
    let length = scale * number.trim().parse::<f64>().ok()?;
    (LEAST..=MOST).contains(&length).then_some(length)
}
