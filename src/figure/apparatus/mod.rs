//! Sketches of apparatus in section, with their parts named, lettered or to be named.
//!
//! Takes a sketch's name; gives its drawing at the size of a text's figure. Heat is an
//! arrow and no flame; whatever is heated is open somewhere. The words beside a sketch
//! that asks tell its parts by their looks and never by a name that is asked for.

mod choice; // which sketch a technique has
mod data;
mod matter;

pub use choice::sketch_of;
use data::{Place, SKETCHES, Sketch, Tag};
use matter::{Lie, Piece, Room};

use super::drawing::{Anchor, Drawing, Label, Move, Role, Shape, Weight};
use super::{Labelling, capital, counted, letter, listed, pen, room};

/// Printed millimetres for one of the apparatus: 2 points.
const SCALE: f64 = 2.0 * room::POINT;
/// From the box to the column of labels, in the apparatus' own millimetres.
const COLUMN: f64 = 6.0;
/// Between a leader's end and the words, in print.
const GAP: f64 = 1.2;
/// A tip no further than this from its label's height is put at that height: a kink
/// so small would look like a slip of the pen.
const NUDGE: f64 = 0.45;
/// The dot at a leader's tip.
const TIP: f64 = 1.4 * room::POINT;

/// The names of all sketches.
pub fn names() -> impl Iterator<Item = &'static str> {
    SKETCHES.iter().map(|sketch| sketch.name)
}

/// The parts of a sketch in the order of its letters.
pub fn parts(name: &str) -> Option<Vec<&'static str>> {
    let sketch = find(name)?;
    Some(placed(sketch, Labelling::Lettered).iter().map(|label| label.tag.name).collect())
}

/// A sketch by its name.
pub fn sketch(name: &str, labelling: Labelling) -> Option<Drawing> {
    drawn(name, labelling, &|_| labelling == Labelling::Blank)
}

/// A sketch on which some of the parts are to be named.
pub fn sketch_asking(name: &str, asked: &dyn Fn(&str) -> bool) -> Option<Drawing> {
    let any = parts(name)?.into_iter().any(asked);
    drawn(name, if any { Labelling::Blank } else { Labelling::Named }, asked)
}

fn drawn(name: &str, labelling: Labelling, asked: &dyn Fn(&str) -> bool) -> Option<Drawing> {
    let sketch = find(name)?;
    let written: Vec<Written> =
        sketch.paths.iter().copied().flatten().map(|path| read(path)).collect::<Option<_>>()?;
    let mut drawing = Drawing { words: words(sketch, labelling, asked), ..Drawing::default() };
    drawing.shapes = matter_of(&written);
    let paths: Vec<Shape> = written
        .iter()
        .filter_map(|path| match path {
            Written::Path(role, path) => Some(Shape { role: *role, path: printed(path) }),
            _ => None,
        })
        .collect();
    // The white beside a leader clears what a vessel holds but must not cut its wall:
    // leaders come before walls, and what is white inside before leaders.
    let fronts = paths.iter().filter(|shape| shape.role == Role::Front);
    drawing.shapes.extend(fronts.cloned());
    let labels = placed(sketch, labelling);
    lead(&mut drawing, &labels);
    drawing.shapes.extend(paths.into_iter().map(|shape| match shape.role {
        Role::Front => Shape { role: Role::Wall, ..shape },
        _ => shape,
    }));
    label(&mut drawing, &labels, labelling, asked);
    Some(room::framed(drawing))
}

fn find(name: &str) -> Option<&'static Sketch> {
    SKETCHES.iter().find(|sketch| sketch.name == name)
}

/// A line of a sketch's data.
enum Written {
    Path(Role, Vec<Move>),
    Liquid(Room),
    Solid(Room, Lie),
}

fn read(text: &str) -> Option<Written> {
    let (role, rest) = text.split_once(' ')?;
    let corners = || -> Option<Room> {
        let numbers: Vec<f64> =
            rest.split(' ').take(4).map(str::parse).collect::<Result<_, _>>().ok()?;
        numbers.try_into().ok()
    };
    let role = match role {
        "W" => Role::Wall,
        "T" => Role::Thin,
        "D" => Role::Dashed,
        "F" => Role::Solid,
        "K" => Role::Front,
        "S" => Role::Strong,
        "L" => return Some(Written::Liquid(corners()?)),
        "P" => {
            let lie = match rest.rsplit(' ').next()? {
                "cone" => Lie::Cone,
                "heap" => Lie::Heap,
                _ => return None,
            };
            return Some(Written::Solid(corners()?, lie));
        }
        _ => return None,
    };
    Some(Written::Path(role, pen::path(rest)?))
}

/// Liquids and solids, each between the walls that are drawn around it.
fn matter_of(written: &[Written]) -> Vec<Shape> {
    let walls: Vec<Piece> = written
        .iter()
        .filter_map(|path| match path {
            Written::Path(Role::Wall | Role::Dashed, path) => Some(pen::pieces(path)),
            _ => None,
        })
        .flatten()
        .collect();
    let mut shapes = Vec::new();
    for path in written {
        let (role, paths) = match path {
            Written::Path(..) => continue,
            Written::Liquid(room) => (Role::Matter, matter::liquid(*room, &walls)),
            Written::Solid(room, lie) => (Role::Solid, matter::solid(*room, *lie, &walls)),
        };
        shapes.extend(paths.iter().map(|path| Shape { role, path: printed(path) }));
    }
    shapes
}

fn printed(path: &[Move]) -> Vec<Move> {
    pen::moved(path, scaled)
}

fn scaled((x, y): (f64, f64)) -> (f64, f64) {
    (SCALE * x, SCALE * y)
}

/// A label on its way to its place, in printed millimetres.
struct Placed {
    tag: &'static Tag,
    tip: (f64, f64),
    /// Where the leader ends and the words begin, or end.
    at: (f64, f64),
    anchor: Anchor,
}

/// The labels in the order they are read: from the top down, then from the left.
fn placed(sketch: &'static Sketch, labelling: Labelling) -> Vec<Placed> {
    let column = SCALE * (sketch.size.0 + COLUMN);
    let mut labels: Vec<Placed> = sketch
        .tags
        .iter()
        .map(|tag| {
            let (tip, place) =
                if labelling == Labelling::Blank { tag.blank } else { (tag.tip, tag.place) };
            let tip = scaled(tip);
            let (at, anchor) = match place {
                Place::Column => ((column, tip.1), Anchor::Start),
                Place::At(x, y) => (scaled((x, y)), Anchor::Start),
                Place::Before(x, y) => (scaled((x, y)), Anchor::End),
            };
            Placed { tag, tip, at, anchor }
        })
        .collect();
    labels.sort_by(|a, b| a.at.1.total_cmp(&b.at.1).then(a.at.0.total_cmp(&b.at.0)));
    // Only those in the column crowd each other; the others stand where there is room.
    let pitch = if labelling == Labelling::Blank { room::WRITING } else { room::PITCH };
    let wanted: Vec<f64> = in_column(&labels, column).map(|index| labels[index].at.1).collect();
    let found = room::spread(&wanted, pitch);
    let indices: Vec<usize> = in_column(&labels, column).collect();
    for (index, y) in indices.into_iter().zip(found) {
        let label = &mut labels[index];
        label.at.1 = y;
        if (label.tip.1 - y).abs() <= NUDGE {
            label.tip.1 = y;
        }
    }
    labels
}

fn in_column(labels: &[Placed], column: f64) -> impl Iterator<Item = usize> {
    labels.iter().enumerate().filter(move |(_, label)| label.at.0 == column).map(|(index, _)| index)
}

fn lead(drawing: &mut Drawing, labels: &[Placed]) {
    for label in labels {
        let path = room::leader(label.tip, label.at);
        drawing.shapes.push(Shape { role: Role::Leader, path });
    }
}

fn label(
    drawing: &mut Drawing,
    labels: &[Placed],
    labelling: Labelling,
    asked: &dyn Fn(&str) -> bool,
) {
    for (index, label) in labels.iter().enumerate() {
        let path = pen::circle(label.tip.0, label.tip.1, TIP);
        drawing.shapes.push(Shape { role: Role::Solid, path });
        // A line to write on continues the leader; words stand off its end.
        let asked = asked(label.tag.name);
        let (gap, drop) = if asked { (0.0, -room::UNDER) } else { (GAP, room::MIDDLE) };
        let x = label.at.0 + if label.anchor == Anchor::End { -gap } else { gap };
        let (text, weight) = match labelling {
            Labelling::Lettered => (letter(index), Weight::Bold),
            _ => (label.tag.name.to_owned(), Weight::Regular),
        };
        drawing.labels.push(Label {
            x,
            y: label.at.1 + drop,
            text,
            anchor: label.anchor,
            weight,
            asked,
            ..Label::default()
        });
    }
}

fn words(sketch: &'static Sketch, labelling: Labelling, asked: &dyn Fn(&str) -> bool) -> String {
    let labels = placed(sketch, labelling);
    let count = capital(&counted(labels.len()));
    match labelling {
        Labelling::Named => {
            let told: Vec<String> = labels
                .iter()
                .map(|label| format!("{} ({})", label.tag.name, label.tag.looks))
                .collect();
            format!(
                "Apparatus for {}, in section. {} {} Named: {}.",
                called(sketch.name),
                sketch.seen,
                sketch.does,
                listed(&told)
            )
        }
        Labelling::Lettered => {
            let told: Vec<String> = labels
                .iter()
                .enumerate()
                .map(|(index, label)| format!("{} is {}", letter(index), label.tag.looks))
                .collect();
            format!(
                "Apparatus in section. {} {count} parts are lettered: {}.",
                sketch.seen,
                told.join("; ")
            )
        }
        Labelling::Blank => {
            let (asked, named): (Vec<&Placed>, Vec<&Placed>) =
                labels.iter().partition(|label| asked(label.tag.name));
            let told: Vec<String> = asked.iter().map(|label| label.tag.looks.to_owned()).collect();
            let count = capital(&counted(asked.len()));
            let (parts, are) = if asked.len() == 1 { ("part", "is") } else { ("parts", "are") };
            let mut said = format!(
                "Apparatus in section. {} {count} {parts} {are} to be named: {}.",
                sketch.seen,
                told.join("; ")
            );
            if !named.is_empty() {
                let names: Vec<String> = named
                    .iter()
                    .map(|label| format!("{} ({})", label.tag.name, label.tag.looks))
                    .collect();
                said += &format!(" Named: {}.", listed(&names));
            }
            said
        }
    }
}

/// What the apparatus is for, in a sentence.
fn called(name: &str) -> &str {
    match name {
        "separating funnel" => "parting two liquids in a separating funnel",
        "centrifuge" => "spinning in a centrifuge",
        other => other,
    }
}
