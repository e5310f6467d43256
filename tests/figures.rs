//! Figures held to what a reader needs: words that collide with nothing and lie within
//! the frame, points where the table has them, ratios that a ruler finds, and words
//! beside the figure that give no answer away.

#![allow(clippy::unwrap_used)] // also in the helpers, which are no test functions

use std::collections::BTreeSet;

use stillroom::composing::faces::Faces;
use stillroom::composing::page::Face;
use stillroom::figure::chart::{self, Datum};
use stillroom::figure::chromatogram::{Chromatogram, Lane, Sheet};
use stillroom::figure::curve::{Axis, Grid, Note, Plot, Series};
use stillroom::figure::sieve::{self, Sieve};
use stillroom::figure::{Anchor, Drawing, Label, Labelling, Move, Role, Weight, apparatus};

const ALL: [Labelling; 3] = [Labelling::Named, Labelling::Lettered, Labelling::Blank];
const POINT: f64 = 25.4 / 72.0;
type At = (f64, f64);

#[test]
fn labels_lie_within_the_frame_and_over_nothing() {
    let mut wrong = Vec::new();
    for (name, drawing) in every_figure() {
        let boxes: Vec<[f64; 4]> = drawing.labels.iter().map(measured).collect();
        for (index, area) in boxes.iter().enumerate() {
            let text = &drawing.labels[index].text;
            let [left, top, right, bottom] = *area;
            if left < 0.0 || top < 0.0 || right > drawing.width || bottom > drawing.height {
                wrong.push(format!("{name}: {text:?} leaves the frame"));
            }
            for (other, second) in boxes.iter().enumerate().skip(index + 1) {
                if overlap(*area, *second) {
                    wrong.push(format!("{name}: {text:?} over {:?}", drawing.labels[other].text));
                }
            }
            for shape in &drawing.shapes {
                // Where a gap is kept behind words, lines of a grid may end at it.
                let ruled = matches!(shape.role, Role::Grid | Role::GridStrong);
                let let_be = ruled && drawing.labels[index].gap;
                if !let_be && pieces(&shape.path).iter().any(|piece| touches(*piece, *area)) {
                    wrong.push(format!("{name}: {text:?} over a line of {:?}", shape.role));
                }
            }
        }
        for ((x0, y0), (x1, y1)) in drawing.shapes.iter().flat_map(|shape| pieces(&shape.path)) {
            let inside = |x: f64, y: f64| {
                (0.0..=drawing.width).contains(&x) && (0.0..=drawing.height).contains(&y)
            };
            if !inside(x0, y0) || !inside(x1, y1) {
                wrong.push(format!("{name}: a line leaves the frame at {x1:.1} {y1:.1}"));
            }
        }
        // The text column of a page is 158 mm, of which a question's number takes 10.
        if drawing.width > 158.0 {
            wrong.push(format!("{name}: {:.0} mm wide", drawing.width));
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
fn leaders_never_cross_and_no_liquid_crosses_a_wall() {
    for (name, drawing) in every_figure() {
        let leaders: Vec<Vec<(At, At)>> = drawn(&drawing, Role::Leader);
        for (index, one) in leaders.iter().enumerate() {
            for other in &leaders[index + 1..] {
                let crossing = one.iter().any(|a| other.iter().any(|b| cross(*a, *b)));
                assert!(!crossing, "{name}: two leaders cross");
            }
        }
        let walls: Vec<(At, At)> = drawn(&drawing, Role::Wall).concat();
        for dash in drawn(&drawing, Role::Matter).concat() {
            assert!(!walls.iter().any(|wall| cross(*wall, dash)), "{name}: {dash:?}");
        }
    }
}

#[test]
fn every_sketch_has_its_parts_and_its_words_keep_them_back() {
    let names: BTreeSet<&str> = apparatus::names().collect();
    let wanted = [
        "filtration",
        "evaporation",
        "crystallisation",
        "simple distillation",
        "fractional distillation",
        "separating funnel",
        "paper chromatography",
        "centrifuge",
        "sublimation",
    ];
    assert_eq!(names, wanted.into_iter().collect());
    assert_eq!(apparatus::sketch("alembic", Labelling::Named), None);
    for name in wanted {
        let parts = apparatus::parts(name).unwrap();
        assert!(parts.len() >= 2, "{name}");
        let named = apparatus::sketch(name, Labelling::Named).unwrap();
        let shown: BTreeSet<&str> = named.labels.iter().map(|label| label.text.as_str()).collect();
        assert_eq!(shown, parts.iter().copied().collect(), "{name}");
        let lettered = apparatus::sketch(name, Labelling::Lettered).unwrap();
        let letters: Vec<&str> = lettered.labels.iter().map(|label| label.text.as_str()).collect();
        assert_eq!(letters, &["A", "B", "C", "D", "E", "F"][..parts.len()], "{name}");
        let blank = apparatus::sketch(name, Labelling::Blank).unwrap();
        assert!(blank.labels.iter().all(|label| label.asked), "{name}");
        for part in &parts {
            assert!(says(&named.words, part), "{name}: {part} in {}", named.words);
            for kept in [&lettered.words, &blank.words] {
                assert!(!says(kept, part), "{name}: {part} in {kept}");
                assert!(!says(kept, name), "{kept}");
            }
        }
        // Each letter is told by its looks.
        for letter in letters {
            assert!(lettered.words.contains(&format!("{letter} is ")), "{}", lettered.words);
        }
    }
}

#[test]
fn a_letter_stands_at_the_part_it_is_for() {
    // The leader of a letter and of a name have one tip: read from the still's picture,
    // A (thermometer) lies left of and above F (distillate).
    let parts = apparatus::parts("simple distillation").unwrap();
    assert_eq!(parts, ["thermometer", "water out", "condenser", "flask", "water in", "distillate"]);
    for name in apparatus::names() {
        let named = apparatus::sketch(name, Labelling::Named).unwrap();
        let lettered = apparatus::sketch(name, Labelling::Lettered).unwrap();
        assert_eq!(drawn(&named, Role::Leader), drawn(&lettered, Role::Leader), "{name}");
        let texts: Vec<&str> = named.labels.iter().map(|label| label.text.as_str()).collect();
        assert_eq!(texts, apparatus::parts(name).unwrap(), "{name}");
    }
}

#[test]
fn points_of_a_curve_are_those_of_the_table() {
    for (name, plot) in plots() {
        let drawing = plot.draw().unwrap();
        let (x, y) = axes_of(&drawing);
        let lines = drawing.shapes.iter().filter(|shape| matches!(shape.role, Role::Data(_)));
        let drawn: Vec<Vec<At>> = lines
            .map(|shape| shape.path.iter().map(|step| end(*step).unwrap()).collect())
            .collect();
        assert_eq!(drawn.len(), plot.series.len());
        for (line, series) in drawn.iter().zip(&plot.series) {
            assert_eq!(line.len(), series.points.len());
            for (point, (wanted_x, wanted_y)) in line.iter().zip(&series.points) {
                assert!((x(point.0) - wanted_x).abs() < 1e-6, "{name}: {point:?}");
                assert!((y(point.1) - wanted_y).abs() < 1e-6, "{name}: {point:?}");
            }
        }
    }
}

#[test]
fn series_differ_in_grey_and_their_words_tell_no_value() {
    let (_, plot) = plots().remove(0);
    let drawing = plot.draw().unwrap();
    let dashes: BTreeSet<String> = drawing
        .shapes
        .iter()
        .filter(|shape| matches!(shape.role, Role::Data(_)))
        .map(|shape| format!("{:?}", shape.role))
        .collect();
    assert_eq!(dashes.len(), 3);
    assert!(drawing.words.contains("Points are joined by straight lines"));
    assert!(drawing.labels.iter().any(|label| label.text == "points joined by straight lines"));
    assert!(drawing.labels.iter().any(|label| label.text == "temperature / °C"));
    for value in plot.series.iter().flat_map(|series| &series.points).map(|point| point.1) {
        assert!(!drawing.words.contains(&format!("{value:.1}")), "{value} in {}", drawing.words);
    }
    for labelling in [Labelling::Lettered, Labelling::Blank] {
        let asked = Plot { labelling, ..plot.clone() }.draw().unwrap();
        for name in plot.names() {
            assert!(!asked.words.contains(name), "{name} in {}", asked.words);
        }
    }
}

#[test]
fn a_grid_to_read_from_has_ten_even_squares_to_a_step() {
    let (_, plot) = plots().remove(0);
    let drawing = plot.draw().unwrap();
    let mut uprights: Vec<f64> = drawn(&drawing, Role::Grid)
        .concat()
        .iter()
        .filter(|(from, to)| from.0 == to.0)
        .map(|(from, _)| from.0)
        .collect();
    uprights.sort_by(f64::total_cmp);
    let gaps: Vec<f64> = uprights.windows(2).map(|pair| pair[1] - pair[0]).collect();
    // 0 to 80 in steps of 20: four steps.
    assert_eq!(gaps.len(), 40);
    assert!(gaps.iter().all(|gap| (gap - gaps[0]).abs() < 1e-9 && *gap >= 1.2), "{gaps:?}");
}

#[test]
fn a_ruler_on_a_chromatogram_finds_the_ratio() {
    // Ratios worked by hand from the distances: spot over front.
    let cases: [(f64, &[f64], &[f64]); 4] = [
        (80.0, &[24.0, 38.0, 52.0], &[0.30, 0.475, 0.65]),
        (4.8, &[1.2, 4.32], &[0.25, 0.90]),
        (120.0, &[66.0], &[0.55]),
        (60.0, &[0.0, 60.0], &[0.0, 1.0]),
    ];
    for (front, spots, ratios) in cases {
        let lanes = vec![Lane { name: "ink".to_owned(), spots: spots.to_vec() }];
        let drawing = Chromatogram { front, lanes, ..Chromatogram::default() }.draw().unwrap();
        let across = |role| drawn(&drawing, role).concat()[0].0.1;
        let front_at = across(Role::Dashed);
        // The first thin line is the sheet's own edge in four pieces; the start line is
        // the one that spans it lower down.
        let start_at = drawn(&drawing, Role::Thin).last().unwrap()[0].0.1;
        let middles: Vec<f64> = drawing
            .shapes
            .iter()
            .filter(|shape| shape.role == Role::Outline)
            .map(|shape| {
                let ys: Vec<f64> = pieces(&shape.path).iter().map(|piece| piece.0.1).collect();
                let least = ys.iter().copied().fold(f64::INFINITY, f64::min);
                let most = ys.iter().copied().fold(f64::NEG_INFINITY, f64::max);
                (least + most) / 2.0
            })
            .collect();
        let whole = start_at - front_at;
        assert!((50.0..=100.0).contains(&whole), "{whole}");
        for (middle, ratio) in middles.iter().zip(ratios) {
            let off = (start_at - middle) - ratio * whole;
            assert!(off.abs() < 0.5, "{off} mm");
        }
        assert_eq!(middles.len(), ratios.len());
    }
}

#[test]
fn bars_are_as_long_and_segments_as_wide_as_their_values() {
    let data = masses();
    let drawing = chart::bars(&Axis::new("mass", "g"), &data, Labelling::Named).unwrap();
    let fills = |role: Role| matches!(role, Role::Hatched | Role::Dotted | Role::Outline);
    let heights: Vec<f64> = drawing
        .shapes
        .iter()
        .filter(|shape| fills(shape.role))
        .map(|shape| pieces(&shape.path).iter().map(|(a, b)| (a.1 - b.1).abs()).sum::<f64>() / 2.0)
        .collect();
    for (height, datum) in heights.iter().zip(&data) {
        assert!((height / heights[0] - datum.value / data[0].value).abs() < 1e-9);
    }
    let pie = chart::pie(&data, Labelling::Named).unwrap();
    // Areas by the shoelace rule; a curve cut in pieces is a little short of its circle.
    let areas: Vec<f64> = pie
        .shapes
        .iter()
        .filter(|shape| fills(shape.role))
        .map(|shape| {
            let sum: f64 = pieces(&shape.path).iter().map(|(a, b)| a.0 * b.1 - b.0 * a.1).sum();
            sum.abs() / 2.0
        })
        .collect();
    let (whole, total): (f64, f64) =
        (areas.iter().sum(), data.iter().map(|datum| datum.value).sum());
    assert_eq!((heights.len(), areas.len()), (data.len(), data.len()));
    for (area, datum) in areas.iter().zip(&data) {
        assert!((area / whole - datum.value / total).abs() < 1e-4);
    }
    // The circle of radius 22: pi r squared.
    assert!((whole / (std::f64::consts::PI * 22.0 * 22.0) - 1.0).abs() < 1e-3, "{whole}");
}

#[test]
fn neighbours_in_a_chart_never_share_a_fill() {
    for count in 2..=10 {
        let data: Vec<Datum> =
            (0..count).map(|index| Datum::new(&format!("part {index}"), 10.0, "")).collect();
        let pie = chart::pie(&data, Labelling::Named).unwrap();
        let roles: Vec<Role> = pie
            .shapes
            .iter()
            .map(|shape| shape.role)
            .filter(|role| matches!(role, Role::Hatched | Role::Dotted | Role::Outline))
            .collect();
        for index in 0..count {
            assert_ne!(roles[index], roles[(index + 1) % count], "{count}: {index}");
        }
    }
}

#[test]
fn what_is_asked_is_in_no_words() {
    let written: Vec<String> = masses().into_iter().map(|datum| datum.written).collect();
    let axis = Axis::new("mass", "g");
    let charts = [
        chart::bars(&axis, &masses(), Labelling::Blank).unwrap(),
        chart::pie(&masses(), Labelling::Blank).unwrap(),
        sieve::stack(&sieves(), Labelling::Blank).unwrap(),
    ];
    for drawing in &charts {
        assert!(drawing.labels.iter().any(|label| label.asked));
        for value in written.iter().chain(&sieves().map(|sieve| sieve.kept)) {
            assert!(value.is_empty() || !says(&drawing.words, value), "{}", drawing.words);
        }
    }
    let lanes = vec![Lane { name: "ink".to_owned(), spots: vec![24.0] }];
    let plate = Chromatogram { front: 80.0, lanes, ..Chromatogram::default() };
    assert!(!plate.draw().unwrap().words.contains("24"));
}

#[test]
fn what_cannot_be_drawn_is_none() {
    let series = |points: &[At]| vec![Series { name: "a".to_owned(), points: points.to_vec() }];
    for points in [&[][..], &[(0.0, 1.0)], &[(0.0, 1.0), (f64::NAN, 2.0)]] {
        assert_eq!(Plot::solubility(series(points)).draw(), None);
    }
    assert_eq!(Plot::solubility(Vec::new()).draw(), None);
    let axis = Axis::new("mass", "g");
    for value in [-1.0, f64::INFINITY] {
        let data = [Datum::new("a", 1.0, ""), Datum::new("b", value, "")];
        assert_eq!(chart::bars(&axis, &data, Labelling::Named), None);
        assert_eq!(chart::pie(&data, Labelling::Named), None);
    }
    assert_eq!(chart::pie(&[Datum::new("a", 0.0, "")], Labelling::Named), None);
    assert_eq!(sieve::stack(&[], Labelling::Named), None);
    for (front, spot) in [(0.0, 0.0), (50.0, 51.0), (50.0, -1.0), (f64::NAN, 1.0)] {
        let lanes = vec![Lane { name: "a".to_owned(), spots: vec![spot] }];
        let drawn = Chromatogram { front, lanes, ..Chromatogram::default() }.draw();
        assert_eq!(drawn, None, "{front} {spot}");
    }
}

#[test]
fn many_random_curves_keep_their_names_apart() {
    // A plain congruential generator, so that the cases are the same on every machine.
    let mut state = 12345u64;
    let mut next = |below: u64| {
        state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (state >> 33) % below
    };
    for case in 0..60 {
        let count = 1 + next(6) as usize;
        let series: Vec<Series> = (0..count)
            .map(|index| {
                let points = (0..2 + next(6))
                    .map(|step| (20.0 * step as f64, next(1000) as f64 / 7.0))
                    .collect();
                Series { name: format!("substance {}", index + 1), points }
            })
            .collect();
        for labelling in ALL {
            let plot = Plot { labelling, ..Plot::solubility(series.clone()) };
            let drawing = plot.draw().unwrap();
            let boxes: Vec<[f64; 4]> = drawing.labels.iter().map(measured).collect();
            for (index, one) in boxes.iter().enumerate() {
                assert!(one[0] >= 0.0 && one[2] <= drawing.width, "{case}");
                for other in &boxes[index + 1..] {
                    assert!(!overlap(*one, *other), "case {case} {labelling:?}");
                }
            }
        }
    }
}

fn every_figure() -> Vec<(String, Drawing)> {
    let mut all = Vec::new();
    for labelling in ALL {
        let mut add = |name: &str, drawing: Option<Drawing>| {
            all.push((format!("{name} {labelling:?}"), drawing.unwrap()));
        };
        for name in apparatus::names() {
            add(name, apparatus::sketch(name, labelling));
        }
        for (name, plot) in plots() {
            add(name, Plot { labelling, ..plot }.draw());
        }
        let axis = Axis::new("mass", "g");
        add("bars", chart::bars(&axis, &masses(), labelling));
        add("pie", chart::pie(&masses(), labelling));
        add("bars lying", chart::bars(&axis, &uses(), labelling));
        add("pie of many", chart::pie(&uses(), labelling));
        add("sieves", sieve::stack(&sieves(), labelling));
        for (name, sheet) in [("paper", Sheet::Paper), ("plate", Sheet::Plate)] {
            let lane =
                |name: &str, spots: &[f64]| Lane { name: name.to_owned(), spots: spots.to_vec() };
            let lanes = vec![lane("red", &[52.0]), lane("ink from the mill", &[24.0, 52.0])];
            let chromatogram =
                Chromatogram { sheet, front: 80.0, lanes, labelling, ..Chromatogram::default() };
            add(name, chromatogram.draw());
        }
    }
    // Whichever of a sketch's names are asked for.
    for name in apparatus::names() {
        let parts = apparatus::parts(name).unwrap();
        for chosen in 1..(1usize << parts.len()) - 1 {
            let asked = |part: &str| {
                parts.iter().position(|own| *own == part).is_some_and(|i| chosen >> i & 1 == 1)
            };
            let drawing = apparatus::sketch_asking(name, &asked).unwrap();
            let lines = drawing.labels.iter().filter(|label| label.asked).count();
            assert_eq!(lines, chosen.count_ones() as usize, "{name}");
            all.push((format!("{name} asked {chosen:b}"), drawing));
        }
    }
    for (name, plot) in plots() {
        let low = Plot { tallest: 60.0, widest: 140.0, grid: Grid::Light, ..plot };
        all.push((format!("{name} on a slide"), low.draw().unwrap()));
    }
    all
}

#[test]
fn the_words_of_the_language_are_the_sketches_that_there_are() {
    let known: Vec<&str> = apparatus::names().collect();
    assert_eq!(known, stillroom::reading::words::SKETCHES);
}

/// Invented masses.
fn masses() -> Vec<Datum> {
    vec![
        Datum::new("sand", 36.0, "36 g"),
        Datum::new("salt", 112.0, "112 g"),
        Datum::new("iron", 18.0, "18 g"),
        Datum::new("clay", 64.0, "64 g"),
    ]
}

/// Invented uses with names too long to stand below bars.
fn uses() -> Vec<Datum> {
    vec![
        Datum::new("spread on the water meadows by the weir", 340.0, "340 t"),
        Datum::new("bath salts", 95.0, "95 t"),
        Datum::new("dust binder for the quarry road", 210.0, "210 t"),
        Datum::new("kept", 12.0, "12 t"),
        Datum::new("sent to the tannery", 60.0, "60 t"),
        Datum::new("lost", 8.0, "8 t"),
    ]
}

fn sieves() -> [Sieve; 5] {
    [
        ("2.0 mm", "12.4 g"),
        ("1.0 mm", "38.1 g"),
        ("0.50 mm", "61.0 g"),
        ("0.25 mm", "27.5 g"),
        ("", "8.2 g"),
    ]
    .map(|(aperture, kept)| Sieve { aperture: aperture.to_owned(), kept: kept.to_owned() })
}

/// Invented curves of the usual shapes.
fn plots() -> Vec<(&'static str, Plot)> {
    let series =
        |name: &str, points: &[At]| Series { name: name.to_owned(), points: points.to_vec() };
    let note = |x, y, text: &str| Note { at: (x, y), text: text.to_owned() };
    let solubility = Plot::solubility(vec![
        series("greystone salt", &[(0.0, 35.7), (20.0, 36.1), (40.0, 36.6), (80.0, 38.4)]),
        series("fell potash", &[(0.0, 28.2), (20.0, 34.2), (60.0, 45.8), (80.0, 51.3)]),
        series("quick nitre", &[(0.0, 13.3), (20.0, 32.9), (40.0, 64.1), (60.0, 110.7)]),
    ]);
    let heating = Plot::heating(
        Axis::new("time", "min"),
        vec![(0.0, -18.0), (3.0, 0.0), (8.0, 0.0), (16.0, 100.0), (24.0, 100.0), (26.0, 112.0)],
        vec![note(5.5, 0.0, "melting"), note(20.0, 100.0, "boiling"), note(12.0, 50.0, "liquid")],
    );
    let distillation = Plot::distillation(
        Axis::new("volume of distillate", "mL"),
        vec![(0.0, 62.0), (20.0, 65.0), (30.0, 66.0), (35.0, 84.0), (40.0, 99.0), (50.0, 100.0)],
        vec![note(33.0, 76.8, "second receiver")],
    );
    let trend = Plot {
        x: Axis::new("day", ""),
        y: Axis::new("salt in the pond", "%"),
        series: vec![
            series("north pond", &[(1.0, 3.1), (2.0, 3.4), (5.0, 5.2)]),
            series("south pond", &[(1.0, 3.1), (2.0, 3.3), (4.0, 4.0), (5.0, 4.9)]),
        ],
        markers: true,
        grid: Grid::Light,
        ..Plot::default()
    };
    vec![
        ("solubility", solubility),
        ("heating", heating),
        ("distillation", distillation),
        ("trend", trend),
    ]
}

/// From places on the drawing back to the numbers of the axes, by the printed numbers.
fn axes_of(drawing: &Drawing) -> (impl Fn(f64) -> f64, impl Fn(f64) -> f64) {
    let number = |label: &Label| label.text.replace('−', "-").parse::<f64>().ok();
    let along = |anchor: Anchor, place: fn(&Label) -> f64| {
        let marks: Vec<(f64, f64)> = drawing
            .labels
            .iter()
            .filter(|label| label.anchor == anchor)
            .filter_map(|label| Some((place(label), number(label)?)))
            .collect();
        let (first, last) = (marks[0], marks[marks.len() - 1]);
        assert!(marks.len() > 2);
        (first, last)
    };
    let (a, b) = along(Anchor::Middle, |label| label.x);
    // A number's baseline is a third of its size below the tick.
    let (c, d) = along(Anchor::End, |label| label.y - 0.33 * 10.0 * POINT);
    (
        move |x| a.1 + (x - a.0) / (b.0 - a.0) * (b.1 - a.1),
        move |y| c.1 + (y - c.0) / (d.0 - c.0) * (d.1 - c.1),
    )
}

/// Left, top, right, bottom of a label by the widths of the faces, the larger of the
/// usual print and of large print (15 points semibold at 1.6 times the size).
fn measured(label: &Label) -> [f64; 4] {
    let faces = Faces::embedded();
    let face = match label.weight {
        Weight::Regular => Face::Regular,
        Weight::Semibold => Face::Semibold,
        Weight::Bold => Face::Bold,
    };
    let usual = faces.width(face, 10.0 * POINT, &label.text);
    let large_face = if label.weight == Weight::Bold { Face::Bold } else { Face::Semibold };
    let large = faces.width(large_face, 15.0 / 1.6 * POINT, &label.text);
    let mut width = usual.max(large);
    if label.asked {
        let value = label.text.starts_with(|c: char| c.is_ascii_digit());
        width = width.max(if value { 22.0 } else { 40.0 });
    }
    let left = match label.anchor {
        Anchor::Start => label.x,
        Anchor::Middle => label.x - width / 2.0,
        Anchor::End => label.x - width,
    };
    let metrics = faces.metrics(face);
    let size = 10.0 * POINT / 1000.0;
    // Capitals above the baseline; tails below it are a fifth of the size.
    let tail = if label.asked { 0.0 } else { 0.2 * 1000.0 * size };
    [left, label.y - metrics.cap_height * size, left + width, label.y + tail]
}

/// Whether words hold others as whole words.
fn says(words: &str, other: &str) -> bool {
    let wordy = |c: char| c.is_alphanumeric();
    words.match_indices(other).any(|(at, _)| {
        !words[..at].ends_with(wordy) && !words[at + other.len()..].starts_with(wordy)
    })
}

fn end(step: Move) -> Option<At> {
    match step {
        Move::To(x, y) | Move::Line(x, y) | Move::Curve(_, _, (x, y)) => Some((x, y)),
        Move::Close => None,
    }
}

fn drawn(drawing: &Drawing, role: Role) -> Vec<Vec<(At, At)>> {
    drawing
        .shapes
        .iter()
        .filter(|shape| shape.role == role)
        .map(|shape| pieces(&shape.path))
        .collect()
}

/// A path in straight pieces, curves cut in 32.
fn pieces(path: &[Move]) -> Vec<(At, At)> {
    let (mut found, mut start, mut at) = (Vec::new(), (0.0, 0.0), (0.0, 0.0));
    for step in path {
        let from: At = at;
        match *step {
            Move::To(x, y) => {
                at = (x, y);
                start = at;
            }
            Move::Curve(a, b, c) => {
                for piece in 1..=32 {
                    let t = f64::from(piece) / 32.0;
                    let mix = |p: f64, q: f64, r: f64, s: f64| {
                        let u = 1.0 - t;
                        u * u * u * p + 3.0 * u * u * t * q + 3.0 * u * t * t * r + t * t * t * s
                    };
                    let next = (mix(from.0, a.0, b.0, c.0), mix(from.1, a.1, b.1, c.1));
                    found.push((at, next));
                    at = next;
                }
            }
            Move::Line(x, y) => {
                found.push((at, (x, y)));
                at = (x, y);
            }
            Move::Close => {
                found.push((at, start));
                at = start;
            }
        }
    }
    found
}

fn overlap(a: [f64; 4], b: [f64; 4]) -> bool {
    a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3]
}

fn cross((a, b): (At, At), (c, d): (At, At)) -> bool {
    let side = |p: At, q: At, r: At| (q.0 - p.0) * (r.1 - p.1) - (q.1 - p.1) * (r.0 - p.0);
    side(a, b, c) * side(a, b, d) < -1e-9 && side(c, d, a) * side(c, d, b) < -1e-9
}

/// Whether a piece comes into a box, its edges not counted.
fn touches((from, to): (At, At), [left, top, right, bottom]: [f64; 4]) -> bool {
    (0..=64).any(|step| {
        let t = f64::from(step) / 64.0;
        let (x, y) = (from.0 + t * (to.0 - from.0), from.1 + t * (to.1 - from.1));
        x > left + 1e-6 && x < right - 1e-6 && y > top + 1e-6 && y < bottom - 1e-6
    })
}
