//! Figures inside a page, as SVG that takes the page's own colours.
//!
//! Takes a drawing; gives an element with a title and its words. Names to be written
//! stand there on a teacher's copy alone.

use std::fmt::Write as _;

use super::runs::text;
use crate::figure::{Anchor, Drawing, Label, Move, Role, Shape, Weight};

/// Pixels of a screen to a millimetre.
const PIXELS: f64 = 96.0 / 25.4;
/// Millimetres to a point.
const POINT: f64 = 25.4 / 72.0;
/// The size of labels in mm.
const SIZE: f64 = 10.0 * POINT;
/// The white on both sides of a leader, in points.
const CASING: f64 = 2.5;

/// The drawing, the `number`th of its page. With `blanks`, a line stands for each name
/// that is asked for.
pub(super) fn figure(drawing: &Drawing, number: usize, title: &str, blanks: bool) -> String {
    let (width, height) = (drawing.width, drawing.height);
    let (title_id, words_id) = (format!("figure{number}-title"), format!("figure{number}-words"));
    let mut out = format!(
        "<svg role=\"img\" aria-labelledby=\"{title_id} {words_id}\" width=\"{:.0}\" \
         height=\"{:.0}\" viewBox=\"0 0 {width:.2} {height:.2}\">\n\
         <title id=\"{title_id}\">{}</title>\n<desc id=\"{words_id}\">{}</desc>\n",
        width * PIXELS,
        height * PIXELS,
        text(if title.is_empty() { "Figure" } else { title }),
        text(&drawing.words)
    );
    if drawing.shapes.iter().any(|shape| matches!(shape.role, Role::Hatched | Role::Dotted)) {
        let _ = writeln!(
            out,
            "<defs><pattern id=\"figure{number}-lines\" width=\"1.23\" height=\"1.23\" \
             patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\">\
             <path d=\"M0 0V2\" stroke=\"currentColor\" stroke-width=\"0.7\"/></pattern>\
             <pattern id=\"figure{number}-dots\" width=\"1.41\" height=\"1.41\" \
             patternUnits=\"userSpaceOnUse\"><circle cx=\"0.7\" cy=\"0.7\" r=\"0.28\" \
             fill=\"currentColor\"/></pattern></defs>"
        );
    }
    for shape in &drawing.shapes {
        draw(&mut out, shape, number);
    }
    for label in &drawing.labels {
        write_label(&mut out, label, blanks);
    }
    out.push_str("</svg>\n");
    out
}

fn draw(out: &mut String, shape: &Shape, number: usize) {
    let path = data(&shape.path);
    let closed = shape.path.iter().any(|step| matches!(step, Move::Close));
    let fill = match shape.role {
        Role::Solid => "currentColor".to_owned(),
        Role::Matter if closed => "currentColor".to_owned(),
        Role::Front => "Canvas".to_owned(),
        Role::Hatched => format!("url(#figure{number}-lines)"),
        Role::Dotted => format!("url(#figure{number}-dots)"),
        _ => "none".to_owned(),
    };
    let mut stroke = |ink: &str, fill: &str, weight: f64, dash: &str| {
        let dash =
            if dash.is_empty() { String::new() } else { format!(" stroke-dasharray=\"{dash}\"") };
        let pen = if weight > 0.0 {
            format!(" stroke=\"{ink}\" stroke-width=\"{:.3}\"{dash}", weight * POINT)
        } else {
            String::new()
        };
        let _ = writeln!(out, "<path d=\"{path}\" fill=\"{fill}\"{pen}/>");
    };
    let (weight, dash) = match shape.role {
        Role::Thin | Role::Leader => (0.5, ""),
        Role::Matter => (if closed { 0.0 } else { 0.5 }, ""),
        Role::Dashed => (0.8, "0.85 0.56"),
        Role::Strong | Role::Product => (1.6, ""),
        Role::Recycle => (1.0, "1.76 0.88"),
        Role::Solid => (0.0, ""),
        Role::Grid => (0.35, ""),
        Role::GridStrong => (0.7, ""),
        Role::Data(series) => (1.4, ["", "1.76 1.06", "0.35 0.88"][usize::from(series % 3)]),
        Role::Hatched | Role::Dotted => (0.8, ""),
        Role::Wall | Role::Front | Role::Stream | Role::Axis | Role::Outline => (1.0, ""),
    };
    if shape.role == Role::Leader {
        stroke("Canvas", "none", 0.5 + CASING, "");
    }
    stroke("currentColor", &fill, weight, dash);
}

fn data(path: &[Move]) -> String {
    let mut out = String::new();
    for step in path {
        let _ = match *step {
            Move::To(x, y) => write!(out, "M{x:.2} {y:.2}"),
            Move::Line(x, y) => write!(out, "L{x:.2} {y:.2}"),
            Move::Curve(a, b, c) => {
                write!(out, "C{:.2} {:.2} {:.2} {:.2} {:.2} {:.2}", a.0, a.1, b.0, b.1, c.0, c.1)
            }
            Move::Close => write!(out, "Z"),
        };
    }
    out
}

fn write_label(out: &mut String, label: &Label, blanks: bool) {
    let (x, y) = (label.x, label.y);
    if label.asked {
        let left = match label.anchor {
            Anchor::Start => x,
            Anchor::Middle => x - label.line / 2.0,
            Anchor::End => x - label.line,
        };
        let under = y + 2.0 * POINT;
        let _ = writeln!(
            out,
            "<path d=\"M{left:.2} {under:.2}h{:.2}\" stroke=\"currentColor\" stroke-width=\"0.2\"/>",
            label.line
        );
        if blanks {
            return;
        }
    }
    let anchor = match label.anchor {
        Anchor::Start => "",
        Anchor::Middle => " text-anchor=\"middle\"",
        Anchor::End => " text-anchor=\"end\"",
    };
    let weight = match label.weight {
        Weight::Regular => "",
        Weight::Semibold => " font-weight=\"600\"",
        Weight::Bold => " font-weight=\"700\"",
    };
    // White behind words where a line runs through.
    let gap = if label.gap {
        " stroke=\"Canvas\" stroke-width=\"1.4\" paint-order=\"stroke\""
    } else {
        ""
    };
    let _ = writeln!(
        out,
        "<text x=\"{x:.2}\" y=\"{y:.2}\" font-size=\"{SIZE:.2}\" fill=\"currentColor\"{anchor}{weight}{gap}>{}</text>",
        text(&label.text)
    );
}
