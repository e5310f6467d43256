//! Flow diagrams: nothing stands over anything else, and no stream crosses another
//! that need not.
//!
//! With STILLROOM_LOOK set to a folder, every diagram is written there as SVG.

use std::path::Path;
use std::sync::Arc;

use stillroom::composing::faces::Faces;
use stillroom::composing::page::Face;
use stillroom::diag::{Diagnostics, SourceFile};
use stillroom::figure::flow::{Flow, crossings, diagram, flow_of};
use stillroom::figure::{Anchor, DROP, Drawing, Frame, Label, Move, RISE, Role, Weight};
use stillroom::reading::parse;
use stillroom::reading::parsed::{Item, Process, ProcessRef};

/// Points to a millimetre.
const POINT: f64 = 25.4 / 72.0;

fn face(weight: Weight) -> Face {
    match weight {
        Weight::Regular => Face::Regular,
        Weight::Semibold => Face::Semibold,
        Weight::Bold => Face::Bold,
    }
}

/// The processes of a file, those inside questions too.
fn processes(path: &str) -> Vec<(String, Process)> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
    let text = std::fs::read_to_string(&path).expect("the file is there");
    let file = Arc::new(SourceFile::new(path.display().to_string(), text));
    let mut out = Diagnostics::new();
    let unit = parse(&file, &mut out).expect("it is a unit");
    assert!(!out.has_errors(), "{out:?}");
    let mut found = Vec::new();
    for item in unit.items {
        match item {
            Item::Process(process) => {
                let id = process.id.as_ref().expect("it has one").value.clone();
                found.push((id, process));
            }
            Item::Question(question) | Item::Example(question) => {
                if let ProcessRef::Inline(process) = question.process {
                    found.push((question.id.value, *process));
                }
            }
            _ => {}
        }
    }
    found
}

fn all() -> Vec<(String, Process)> {
    ["tests/data/flowsheets.md", "units/quarnholm-salt.md", "units/ombrindale-potash.md"]
        .iter()
        .flat_map(|path| processes(path))
        .collect()
}

/// The three frames that pages give: a lesson, a question, large print.
fn with_frames(mut each: impl FnMut(&str, &Frame<'_>)) {
    let faces = Faces::embedded();
    for (name, width, height, size) in [
        ("lesson", 158.0, 200.0, 10.0),
        ("question", 148.0, 200.0, 10.0),
        ("large", 98.0, 140.0, 15.0 / 1.6),
    ] {
        let em = size * POINT;
        let measure = |text: &str, weight: Weight| {
            let weight = if name == "large" { Face::Semibold } else { face(weight) };
            faces.width(weight, em, text)
        };
        each(name, &Frame { width, height, em, measure: &measure });
    }
}

fn flow(process: &Process, values: bool) -> Flow {
    let value = |stream: &str| values.then(|| format!("{} kg, 5.0 % salt", 100 * stream.len()));
    flow_of(process, &value, &|_| false)
}

#[derive(Debug, Clone, Copy)]
struct Area {
    left: f64,
    top: f64,
    right: f64,
    foot: f64,
}

impl Area {
    fn meets(&self, other: &Area) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.foot
            && other.top < self.foot
    }
}

fn area(label: &Label, frame: &Frame<'_>) -> Area {
    let width = (frame.measure)(&label.text, label.weight);
    let left = match label.anchor {
        Anchor::Start => label.x,
        Anchor::Middle => label.x - width / 2.0,
        Anchor::End => label.x - width,
    };
    let (top, foot) = (label.y - RISE * frame.em, label.y + DROP * frame.em);
    Area { left, top, right: left + width, foot }
}

/// Straight pieces of streams, and the boxes of everything else that is drawn.
fn lines(drawing: &Drawing) -> Vec<(Role, Area)> {
    let mut found = Vec::new();
    for shape in &drawing.shapes {
        let stream = matches!(shape.role, Role::Stream | Role::Product | Role::Recycle);
        let mut pen: (f64, f64) = (0.0, 0.0);
        let mut whole: Option<Area> = None;
        for step in &shape.path {
            let (Move::To(x, y) | Move::Line(x, y) | Move::Curve(_, _, (x, y))) = *step else {
                continue;
            };
            if stream && matches!(step, Move::Line(..)) {
                let piece = Area {
                    left: pen.0.min(x),
                    top: pen.1.min(y),
                    right: pen.0.max(x),
                    foot: pen.1.max(y),
                };
                found.push((shape.role, piece));
            }
            pen = (x, y);
            let old = whole.unwrap_or(Area { left: x, top: y, right: x, foot: y });
            whole = Some(Area {
                left: old.left.min(x),
                top: old.top.min(y),
                right: old.right.max(x),
                foot: old.foot.max(y),
            });
        }
        // The circle of a number has its number inside.
        if !stream && shape.role != Role::Front {
            found.extend(whole.map(|area| (shape.role, area)));
        }
    }
    found
}

#[test]
fn no_label_stands_over_another_or_over_a_line() {
    let mut wrong = Vec::new();
    let mut count = 0;
    with_frames(|frame_name, frame| {
        for (name, process) in all() {
            for values in if frame_name == "question" { &[true][..] } else { &[false, true] } {
                let values = *values;
                let drawing = diagram(&flow(&process, values), frame);
                count += drawing.labels.len();
                let areas: Vec<Area> = drawing.labels.iter().map(|l| area(l, frame)).collect();
                let at = format!("{name} ({frame_name}, values {values})");
                look(&format!("{name}-{frame_name}-{values}"), &drawing, frame);
                for (i, one) in areas.iter().enumerate() {
                    let says = &drawing.labels[i].text;
                    for (j, other) in areas.iter().enumerate().skip(i + 1) {
                        // Lines of one text stand close.
                        let close = Area { top: one.top + 0.3, foot: one.foot - 0.3, ..*one };
                        if close.meets(other) {
                            wrong.push(format!("{at}: {says} over {}", drawing.labels[j].text));
                        }
                    }
                    // What lies behind a number's white disc is not seen.
                    let on_disc = says.parse::<u32>().is_ok();
                    for (role, line) in lines(&drawing).iter().filter(|_| !on_disc) {
                        if one.meets(line) {
                            wrong.push(format!("{at}: {says} over a line {role:?} {line:?}"));
                        }
                    }
                    let outside = one.left < -0.01
                        || one.right > drawing.width + 0.01
                        || one.top < -0.01
                        || one.foot > drawing.height + 0.01;
                    if outside {
                        wrong.push(format!("{at}: {says} outside"));
                    }
                }
                if drawing.width > frame.width + 0.01 {
                    wrong.push(format!("{at}: {} mm wide", drawing.width));
                }
            }
        }
    });
    assert!(count > 1000, "{count} labels");
    assert!(wrong.is_empty(), "{} mistakes\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn every_name_is_on_its_diagram_once() {
    with_frames(|_, frame| {
        for (name, process) in all() {
            let flow = flow(&process, false);
            let drawing = diagram(&flow, frame);
            let all: Vec<&str> = drawing.labels.iter().map(|l| l.text.as_str()).collect();
            let all = all.join(" ");
            for stream in &flow.streams {
                assert!(all.contains(&stream.name), "{name}: no {} in {all}", stream.name);
            }
            for unit in &flow.units {
                assert!(all.contains(&unit.name), "{name}: no {} in {all}", unit.name);
            }
        }
    });
}

/// Crossings that the diagrams have beyond the count over orders, which knows nothing
/// of the sides by which streams leave. A washer's extract leaves at the left, between
/// its feed and a stream that passes above; to cross nothing it would have to go round
/// the whole works.
const BY_SIDES: &[(&str, usize)] = &[("potash-loop", 1)];

#[test]
fn streams_cross_no_more_than_the_best_order_of_steps_would_need() {
    let mut wrong = Vec::new();
    with_frames(|frame_name, frame| {
        let mut seen = 0;
        for (name, process) in processes("tests/data/flowsheets.md") {
            if process.operations.len() > 8 {
                continue;
            }
            seen += 1;
            let flow = flow(&process, false);
            let edges: Vec<(usize, usize)> =
                flow.streams.iter().filter_map(|s| Some((s.from?.unit, s.to?.unit))).collect();
            let fewest = fewest_over_orders(flow.units.len(), &edges);
            let sides = BY_SIDES.iter().find(|(of, _)| *of == name).map_or(0, |(_, more)| *more);
            let found = crossings(&flow, frame);
            if found != fewest + sides {
                wrong.push(format!("{name} ({frame_name}): {found} crossings, {fewest} needed"));
            }
        }
        assert!(seen >= 10);
    });
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The fewest crossings over all orders of the steps on a line and all ways of
/// leading each stream above or below it; neighbours are joined on the line.
fn fewest_over_orders(steps: usize, edges: &[(usize, usize)]) -> usize {
    let mut order: Vec<usize> = (0..steps).collect();
    let mut fewest = usize::MAX;
    permutations(&mut order, 0, &mut |order| {
        let mut place = vec![0; steps];
        for (at, step) in order.iter().enumerate() {
            place[*step] = at;
        }
        let mut arcs: Vec<(usize, usize)> = edges
            .iter()
            .map(|(a, b)| (place[*a].min(place[*b]), place[*a].max(place[*b])))
            .filter(|(a, b)| b - a > 1)
            .collect();
        arcs.sort_unstable();
        for sides in 0..1u32 << arcs.len() {
            let crosses = |i: usize, j: usize| {
                let ((a, b), (c, d)) = (arcs[i], arcs[j]);
                (sides >> i & 1) == (sides >> j & 1) && a < c && c < b && b < d
            };
            let count = (0..arcs.len())
                .flat_map(|i| (i + 1..arcs.len()).map(move |j| (i, j)))
                .filter(|(i, j)| crosses(*i, *j))
                .count();
            fewest = fewest.min(count);
        }
    });
    fewest
}

fn permutations(items: &mut Vec<usize>, from: usize, each: &mut dyn FnMut(&[usize])) {
    if from == items.len() {
        return each(items);
    }
    for i in from..items.len() {
        items.swap(from, i);
        permutations(items, from + 1, each);
        items.swap(from, i);
    }
}

/// Writes a drawing as SVG for a person to look at.
fn look(name: &str, drawing: &Drawing, frame: &Frame<'_>) {
    let Some(folder) = std::env::var_os("STILLROOM_LOOK") else { return };
    let mut svg = format!(
        "<svg xmlns='http://www.w3.org/2000/svg' viewBox='-2 -2 {0} {1}' width='{2}mm' height='{3}mm'><rect x='-2' y='-2' width='100%' height='100%' fill='white'/>",
        drawing.width + 4.0,
        drawing.height + 4.0,
        drawing.width + 4.0,
        drawing.height + 4.0
    );
    for shape in &drawing.shapes {
        let mut d = String::new();
        for step in &shape.path {
            d += &match step {
                Move::To(x, y) => format!("M{x:.2} {y:.2}"),
                Move::Line(x, y) => format!("L{x:.2} {y:.2}"),
                Move::Curve(a, b, c) => {
                    format!("C{:.2} {:.2} {:.2} {:.2} {:.2} {:.2}", a.0, a.1, b.0, b.1, c.0, c.1)
                }
                Move::Close => "Z".to_owned(),
            };
        }
        let (fill, weight, dash) = match shape.role {
            Role::Solid => ("black", 0.0, ""),
            Role::Front => ("white", 0.35, ""),
            Role::Thin => ("none", 0.18, ""),
            Role::Dashed => ("none", 0.28, "0.85 0.56"),
            Role::Recycle => ("none", 0.35, "1.76 0.88"),
            Role::Product | Role::Strong => ("none", 0.56, ""),
            _ => ("none", 0.35, ""),
        };
        svg += &format!(
            "<path d='{d}' fill='{fill}' stroke='black' stroke-width='{weight}' stroke-dasharray='{dash}'/>"
        );
    }
    for label in &drawing.labels {
        let anchor = match label.anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        let weight = if label.weight == Weight::Regular { 400 } else { 600 };
        svg += &format!(
            "<text x='{:.2}' y='{:.2}' font-family='Source Sans 3' font-size='{}' font-weight='{weight}' text-anchor='{anchor}'>{}</text>",
            label.x, label.y, frame.em, label.text
        );
    }
    svg += "</svg>";
    let path = Path::new(&folder).join(format!("{name}.svg"));
    std::fs::write(path, svg).expect("the folder can be written");
}
