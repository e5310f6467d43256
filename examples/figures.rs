//! Draws every kind of figure as SVG files, for the eyes of who works on them.
//!
//! Takes a folder to write into. The weights are those of a printed page at the usual
//! size and in large print; what stands in a learner's copy is written with `-asked`.

use std::fmt::Write as _;
use std::path::Path;

use stillroom::figure::chart::{self, Datum};
use stillroom::figure::chromatogram::{Chromatogram, Lane, Sheet};
use stillroom::figure::curve::{Axis, Note, Plot, Series};
use stillroom::figure::sieve::{self, Sieve};
use stillroom::figure::{Anchor, Drawing, Label, Labelling, Move, Role, Weight, apparatus};

const POINT: f64 = 25.4 / 72.0;

fn main() -> std::io::Result<()> {
    let folder = std::env::args().nth(1).unwrap_or_else(|| "out/figures".to_owned());
    std::fs::create_dir_all(&folder)?;
    for (name, drawing) in samples() {
        for (size, large) in [("", false), ("-large", true)] {
            let path = Path::new(&folder).join(format!("{name}{size}.svg"));
            std::fs::write(path, svg(&drawing, large))?;
        }
    }
    Ok(())
}

fn samples() -> Vec<(String, Drawing)> {
    let mut all = Vec::new();
    for name in apparatus::names() {
        let file = name.replace(' ', "-");
        for (end, labelling) in [
            ("", Labelling::Named),
            ("-lettered", Labelling::Lettered),
            ("-asked", Labelling::Blank),
        ] {
            all.extend(
                apparatus::sketch(name, labelling).map(|drawn| (format!("{file}{end}"), drawn)),
            );
        }
    }
    for (end, labelling) in
        [("", Labelling::Named), ("-lettered", Labelling::Lettered), ("-asked", Labelling::Blank)]
    {
        let mut plots = plots();
        for (name, plot) in &mut plots {
            plot.labelling = labelling;
            all.extend(plot.draw().map(|drawn| (format!("{name}{end}"), drawn)));
        }
        for (name, drawn) in others(labelling) {
            all.extend(drawn.map(|drawn| (format!("{name}{end}"), drawn)));
        }
    }
    all
}

fn series(name: &str, points: &[(f64, f64)]) -> Series {
    Series { name: name.to_owned(), points: points.to_vec() }
}

fn note(x: f64, y: f64, text: &str) -> Note {
    Note { at: (x, y), text: text.to_owned() }
}

/// Invented data for all else.
fn others(labelling: Labelling) -> Vec<(&'static str, Option<Drawing>)> {
    let lane = |name: &str, spots: &[f64]| Lane { name: name.to_owned(), spots: spots.to_vec() };
    let chromatogram = Chromatogram {
        sheet: Sheet::Paper,
        front: 80.0,
        lanes: vec![
            lane("red", &[52.0]),
            lane("blue", &[24.0]),
            lane("ink M", &[24.0, 38.0, 52.0]),
            lane("ink N", &[38.0]),
        ],
        labelling,
        tallest: 0.0,
    };
    let plate = Chromatogram {
        sheet: Sheet::Plate,
        front: 4.8,
        lanes: vec![lane("leaf extract", &[1.2, 2.5, 4.4]), lane("pure", &[2.5])],
        labelling,
        tallest: 0.0,
    };
    let sieve =
        |aperture: &str, kept: &str| Sieve { aperture: aperture.to_owned(), kept: kept.to_owned() };
    let sieves = [
        sieve("2.0 mm", "12.4 g"),
        sieve("1.0 mm", "38.1 g"),
        sieve("0.50 mm", "61.0 g"),
        sieve("0.25 mm", "27.5 g"),
        sieve("", "8.2 g"),
    ];
    let mass = Axis::new("mass", "g");
    let short = [
        Datum::new("sand", 36.0, "36 g"),
        Datum::new("salt", 112.0, "112 g"),
        Datum::new("iron", 18.0, "18 g"),
        Datum::new("clay", 64.0, "64 g"),
    ];
    let long = [
        Datum::new("spread on the water meadows", 340.0, "340 t"),
        Datum::new("bath salts", 95.0, "95 t"),
        Datum::new("dust binder for the quarry road", 210.0, "210 t"),
        Datum::new("kept", 12.0, "12 t"),
        Datum::new("sent to the tannery", 60.0, "60 t"),
        Datum::new("lost", 8.0, "8 t"),
    ];
    let trend = chart::lines(
        Axis::new("day", ""),
        Axis::new("salt in the pond", "%"),
        vec![
            series("north pond", &[(1.0, 3.1), (2.0, 3.4), (3.0, 3.9), (4.0, 4.6), (5.0, 5.2)]),
            series("south pond", &[(1.0, 3.1), (2.0, 3.3), (3.0, 3.6), (4.0, 4.0), (5.0, 4.9)]),
        ],
        labelling,
    );
    vec![
        ("chromatogram", chromatogram.draw()),
        ("plate", plate.draw()),
        ("sieves", sieve::stack(&sieves, labelling)),
        ("bars", chart::bars(&mass, &short, labelling)),
        ("bars-lying", chart::bars(&Axis::new("by-product", "t"), &long, labelling)),
        ("pie", chart::pie(&short, labelling)),
        ("pie-many", chart::pie(&long, labelling)),
        ("lines", trend),
    ]
}

/// Invented curves of the usual shapes.
fn plots() -> Vec<(&'static str, Plot)> {
    let solubility = Plot::solubility(vec![
        series(
            "greystone salt",
            &[(0.0, 35.7), (20.0, 36.0), (40.0, 36.6), (60.0, 37.3), (80.0, 38.4)],
        ),
        series(
            "fell potash",
            &[(0.0, 28.0), (20.0, 34.2), (40.0, 40.1), (60.0, 45.8), (80.0, 51.3)],
        ),
        series("quick nitre", &[(0.0, 13.0), (20.0, 32.0), (40.0, 64.0), (60.0, 110.0)]),
    ]);
    let heating = Plot::heating(
        Axis::new("time", "min"),
        vec![(0.0, -18.0), (3.0, 0.0), (8.0, 0.0), (16.0, 100.0), (24.0, 100.0), (26.0, 112.0)],
        vec![note(5.5, 0.0, "melting"), note(20.0, 100.0, "boiling"), note(12.0, 50.0, "liquid")],
    );
    let distillation = Plot::distillation(
        Axis::new("distillate", "mL"),
        vec![
            (0.0, 62.0),
            (10.0, 64.5),
            (20.0, 65.0),
            (30.0, 66.0),
            (35.0, 84.0),
            (40.0, 99.0),
            (50.0, 100.0),
        ],
        vec![note(37.0, 90.0, "second receiver")],
    );
    vec![("solubility", solubility), ("heating", heating), ("distillation", distillation)]
}

fn svg(drawing: &Drawing, large: bool) -> String {
    let (scale, heavier) = if large { (1.6, 1.5) } else { (1.0, 1.0) };
    let mut out = String::new();
    let (width, height) = (scale * drawing.width, scale * drawing.height);
    let _ = writeln!(
        out,
        "<svg xmlns='http://www.w3.org/2000/svg' width='{width:.2}mm' height='{height:.2}mm' \
         viewBox='0 0 {width:.3} {height:.3}'><title>{}</title>\
         <defs><pattern id='h' width='1.235' height='1.235' patternUnits='userSpaceOnUse' \
         patternTransform='rotate(45)'><path d='M0 0V2' stroke='black' stroke-width='.7'/>\
         </pattern><pattern id='d' width='1.41' height='1.41' patternUnits='userSpaceOnUse'>\
         <circle cx='.7' cy='.7' r='.28'/></pattern></defs>\
         <rect width='100%' height='100%' fill='white'/>",
        drawing.words
    );
    for shape in &drawing.shapes {
        if shape.role == Role::Leader {
            stroke(&mut out, &shape.path, scale, "white", 3.0, "");
        }
        let (weight, dash) = weight_of(shape.role);
        let fill = match shape.role {
            Role::Solid => "black",
            Role::Front | Role::Outline => "white",
            Role::Hatched => "url(#h)",
            Role::Dotted => "url(#d)",
            _ => "none",
        };
        let _ = write!(out, "<path d='{}' fill='{fill}' stroke='none'/>", data(&shape.path, scale));
        let ink =
            if matches!(shape.role, Role::Grid | Role::GridStrong) { "#4d4d4d" } else { "black" };
        stroke(&mut out, &shape.path, scale, ink, weight * heavier, dash);
    }
    for label in &drawing.labels {
        write_label(&mut out, label, scale, large);
    }
    out.push_str("</svg>\n");
    out
}

/// Points, and the dash in points.
fn weight_of(role: Role) -> (f64, &'static str) {
    match role {
        Role::Wall | Role::Front | Role::Outline | Role::Hatched | Role::Dotted => (1.0, ""),
        Role::Axis | Role::Stream => (1.0, ""),
        Role::Thin | Role::Matter | Role::Leader => (0.5, ""),
        Role::Dashed => (0.8, "2.4 1.6"),
        Role::Strong | Role::Product => (1.6, ""),
        Role::Recycle => (1.0, "5 2.5"),
        Role::Grid => (0.35, ""),
        Role::GridStrong => (0.7, ""),
        Role::Data(0) => (1.4, ""),
        Role::Data(1) => (1.4, "5 3"),
        Role::Data(_) => (1.4, "0.1 2.5"),
        Role::Solid => (0.0, ""),
    }
}

fn stroke(out: &mut String, path: &[Move], scale: f64, ink: &str, weight: f64, dash: &str) {
    if weight == 0.0 {
        return;
    }
    let dash: Vec<String> = dash
        .split(' ')
        .filter_map(|part| part.parse::<f64>().ok())
        .map(|part| format!("{:.3}", part * POINT))
        .collect();
    let cap =
        if dash.first().is_some_and(|first| first.starts_with("0.0")) { "round" } else { "butt" };
    let _ = writeln!(
        out,
        "<path d='{}' fill='none' stroke='{ink}' stroke-width='{:.3}' stroke-linejoin='round' \
         stroke-linecap='{cap}' stroke-dasharray='{}'/>",
        data(path, scale),
        weight * POINT,
        if dash.is_empty() { "none".to_owned() } else { dash.join(" ") }
    );
}

fn data(path: &[Move], scale: f64) -> String {
    let mut out = String::new();
    let at = |(x, y): (f64, f64)| format!("{:.3} {:.3} ", scale * x, scale * y);
    for step in path {
        match *step {
            Move::To(x, y) => out.push_str(&format!("M{}", at((x, y)))),
            Move::Line(x, y) => out.push_str(&format!("L{}", at((x, y)))),
            Move::Curve(a, b, c) => out.push_str(&format!("C{}{}{}", at(a), at(b), at(c))),
            Move::Close => out.push('Z'),
        }
    }
    out
}

fn write_label(out: &mut String, label: &Label, scale: f64, large: bool) {
    let size = if large { 15.0 } else { 10.0 } * POINT;
    let weight = match label.weight {
        Weight::Bold => 700,
        Weight::Regular if !large => 400,
        _ => 600,
    };
    let (x, y) = (scale * label.x, scale * label.y);
    let width = label.text.chars().count() as f64 * 0.5 * size;
    let (anchor, left) = match label.anchor {
        Anchor::Start => ("start", x),
        Anchor::Middle => ("middle", x - width / 2.0),
        Anchor::End => ("end", x - width),
    };
    if label.asked {
        let value = label.text.starts_with(|c: char| c.is_ascii_digit());
        let long = scale * if value { 22.0 } else { 40.0 };
        let left = match label.anchor {
            Anchor::Start => x,
            Anchor::Middle => x - long / 2.0,
            Anchor::End => x - long,
        };
        let _ = writeln!(
            out,
            "<path d='M{left} {} h{long}' stroke='black' stroke-width='.2'/>",
            y + 2.0 * POINT
        );
        return;
    }
    if label.gap {
        let _ = writeln!(
            out,
            "<rect x='{left}' y='{}' width='{width}' height='{size}' fill='white'/>",
            y - 0.76 * size
        );
    }
    let _ = writeln!(
        out,
        "<text x='{x:.3}' y='{y:.3}' font-family='Source Sans 3' font-weight='{weight}' \
         font-size='{size:.3}' text-anchor='{anchor}'>{}</text>",
        label.text.replace('&', "&amp;").replace('<', "&lt;")
    );
}
