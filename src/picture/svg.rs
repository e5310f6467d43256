//! SVG: paths with plain colours.
//!
//! Groups, transforms, styles, dashes and clear colours (mixed with the white of the
//! paper) are understood. What a reader of vectors cannot draw, text most of all, is a
//! fault.

use usvg::tiny_skia_path::{PathSegment, Point, Transform};
use usvg::{FillRule, Group, Node, Options, Paint, Tree, roxmltree};

use super::{Content, Fault, Painted, Picture, Step};

/// Points to a pixel of CSS.
const POINT: f64 = 0.75;
/// The most shapes: beyond, it is a map or a traced photograph.
const MOST: usize = 20_000;

/// What is not drawn, and what to do about it.
const REFUSED: &[(&str, &str)] = &[
    ("text", "turn the text into paths in the drawing program, or write it into the unit"),
    ("image", "use the picture inside it as a file of its own"),
    ("foreignObject", "draw it with paths"),
    ("filter", "leave out shadows and blurs"),
    ("mask", "cut the shapes themselves"),
    ("clipPath", "cut the shapes themselves"),
    ("pattern", "fill shapes with plain colours"),
    ("linearGradient", "fill shapes with plain colours"),
    ("radialGradient", "fill shapes with plain colours"),
    ("animate", "take the movement out"),
    ("script", "take the script out"),
];

pub(super) fn read(text: &str) -> Result<Picture, Fault> {
    const DAMAGED: &str = "open it in a drawing program and save it anew as plain SVG";
    let unread = |error: String| Fault::new("This SVG file cannot be read.", error, DAMAGED);
    let document = roxmltree::Document::parse(text).map_err(|error| unread(error.to_string()))?;
    for node in document.descendants().filter(roxmltree::Node::is_element) {
        let tag = node.tag_name().name();
        if let Some((_, next)) = REFUSED.iter().find(|(name, _)| *name == tag) {
            let line = document.text_pos_at(node.range().start).row;
            return Err(Fault::new(
                "This SVG file has something that is not drawn on paper.",
                format!("`<{tag}>` in its line {line}"),
                next,
            ));
        }
    }
    let tree =
        Tree::from_xmltree(&document, &Options::default()).map_err(|e| unread(e.to_string()))?;
    let mut shapes = Vec::new();
    group(tree.root(), 1.0, &mut shapes);
    if shapes.is_empty() || shapes.len() > MOST {
        let found = if shapes.is_empty() { "no shape" } else { "more than 20 000 shapes" };
        return Err(Fault::new("There is nothing to draw in this SVG file.", found, DAMAGED));
    }
    Ok(Picture {
        width: f64::from(tree.size().width()) * POINT,
        height: f64::from(tree.size().height()) * POINT,
        content: Content::Shapes(shapes),
        bytes: text.as_bytes().to_vec(),
        kind: "image/svg+xml",
    })
}

fn group(of: &Group, opacity: f32, shapes: &mut Vec<Painted>) {
    let opacity = opacity * of.opacity().get();
    for node in of.children() {
        match node {
            Node::Group(inner) => group(inner, opacity, shapes),
            Node::Path(path) if path.is_visible() => {
                let fill = path.fill().and_then(|fill| {
                    let colour = colour(fill.paint(), opacity * fill.opacity().get())?;
                    let even_odd = fill.rule() == FillRule::EvenOdd;
                    let path = steps(path.data(), path.abs_transform());
                    Some(Painted { path, colour, stroke: None, even_odd })
                });
                let stroke = path.stroke().and_then(|stroke| {
                    let colour = colour(stroke.paint(), opacity * stroke.opacity().get())?;
                    let transform = path.abs_transform();
                    let (x, y) = transform.get_scale();
                    // A skewed pen is drawn round, of the same area.
                    let scale = f64::from((x * y).abs().sqrt()) * POINT;
                    let dash = stroke.dasharray().and_then(|dashes| {
                        let on = f64::from(*dashes.first()?) * scale;
                        Some((on, dashes.get(1).map_or(on, |off| f64::from(*off) * scale)))
                    });
                    let weight = f64::from(stroke.width().get()) * scale;
                    let path = steps(path.data(), transform);
                    Some(Painted { path, colour, stroke: Some((weight, dash)), even_odd: false })
                });
                let both = if path.paint_order() == usvg::PaintOrder::StrokeAndFill {
                    [stroke, fill]
                } else {
                    [fill, stroke]
                };
                shapes.extend(both.into_iter().flatten());
            }
            _ => {}
        }
    }
}

/// A plain colour over white.
fn colour(paint: &Paint, opacity: f32) -> Option<[u8; 3]> {
    let Paint::Color(colour) = paint else { return None };
    let mixed = |value: u8| {
        (f32::from(value) * opacity + 255.0 * (1.0 - opacity)).round().clamp(0.0, 255.0) as u8
    };
    Some([mixed(colour.red), mixed(colour.green), mixed(colour.blue)])
}

fn steps(path: &usvg::tiny_skia_path::Path, transform: Transform) -> Vec<Step> {
    let at = |mut point: Point| {
        transform.map_point(&mut point);
        (f64::from(point.x) * POINT, f64::from(point.y) * POINT)
    };
    let mut steps = Vec::new();
    let mut pen = (0.0, 0.0);
    for segment in path.segments() {
        match segment {
            PathSegment::MoveTo(to) => {
                pen = at(to);
                steps.push(Step::Move(pen.0, pen.1));
            }
            PathSegment::LineTo(to) => {
                pen = at(to);
                steps.push(Step::Line(pen.0, pen.1));
            }
            PathSegment::QuadTo(control, to) => {
                let (control, to) = (at(control), at(to));
                // A curve with one handle as one with two.
                let third = |end: (f64, f64)| {
                    (
                        end.0 + 2.0 / 3.0 * (control.0 - end.0),
                        end.1 + 2.0 / 3.0 * (control.1 - end.1),
                    )
                };
                steps.push(Step::Curve(third(pen), third(to), to));
                pen = to;
            }
            PathSegment::CubicTo(first, second, to) => {
                pen = at(to);
                steps.push(Step::Curve(at(first), at(second), pen));
            }
            PathSegment::Close => steps.push(Step::Close),
        }
    }
    steps
}
