//! Inks: every text stands out from what it is printed on, nothing is told by colour
//! alone, and black ink loses nothing. Read from the files as they are written.

#![allow(clippy::unwrap_used)] // also in the helpers, which are no test functions

use std::collections::BTreeSet;
use std::path::Path;

use lopdf::content::Content;
use lopdf::{Document, Object};
use stillroom::composing::page::{Face, Ink, Mark};
use stillroom::run::{self, Extras, PrintJob, Wishes};

type Rgb = [f64; 3];

/// Relative luminance and contrast ratio as WCAG 2.2 defines them (W3C Recommendation,
/// "relative luminance" and "contrast ratio" in its section 6; constants from memory).
fn luminance(colour: Rgb) -> f64 {
    let linear =
        colour.map(
            |part| {
                if part <= 0.04045 { part / 12.92 } else { ((part + 0.055) / 1.055).powf(2.4) }
            },
        );
    0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
}

fn contrast(one: Rgb, other: Rgb) -> f64 {
    let (a, b) = (luminance(one), luminance(other));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

#[test]
fn the_formula_gives_known_ratios() {
    // Black on white is 21 by definition. #777777 on white is the usual example of a grey
    // that just misses 4.5, and #595959 of one that has 7 (from memory).
    let grey = |v: f64| [v / 255.0; 3];
    assert!((contrast(grey(0.0), grey(255.0)) - 21.0).abs() < 1e-9);
    assert!((contrast(grey(119.0), grey(255.0)) - 4.48).abs() < 0.01);
    assert!((contrast(grey(89.0), grey(255.0)) - 7.00).abs() < 0.01);
}

const WHITE: Rgb = [1.0; 3];
const BLACK: Rgb = [0.0; 3];
/// Papers on which sheets are copied for those who read them better: cream, pale blue.
const PAPERS: [(&str, Rgb); 3] = [
    ("white", WHITE),
    ("cream", [0xFB as f64 / 255.0, 0xF3 as f64 / 255.0, 0xD5 as f64 / 255.0]),
    ("pale blue", [0xDC as f64 / 255.0, 0xE9 as f64 / 255.0, 0xF5 as f64 / 255.0]),
];

fn job(unit: &str, out: &Path, wishes: &Wishes) -> PrintJob {
    PrintJob {
        unit: Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("units/{unit}.md")),
        versions: 1,
        only: None,
        seed: 7,
        out: out.to_owned(),
        one_file: false,
        html: false,
        roster: None,
        profile: run::profile(wishes),
        extras: Extras {
            slides: true,
            handouts: vec![3],
            cards: true,
            practical: true,
            ..Extras::default()
        },
    }
}

/// What a file draws: colours and sizes of its texts, colours of its fills and strokes.
#[derive(Default)]
struct Drawn {
    texts: BTreeSet<(Colour, i64)>,
    fills: BTreeSet<Colour>,
    strokes: BTreeSet<Colour>,
}

/// In thousandths, so that colours can be told apart.
type Colour = [i64; 3];

fn drawn(bytes: &[u8]) -> Drawn {
    let document = Document::load_mem(bytes).unwrap();
    let mut drawn = Drawn::default();
    for id in document.get_pages().into_values() {
        let content = Content::decode(&document.get_page_content(id)).unwrap();
        let (mut fill, mut stroke, mut size, mut scale) = ([0; 3], [0; 3], 0.0, 1.0);
        for operation in &content.operations {
            let number = |place: usize| f64::from(operation.operands[place].as_float().unwrap());
            let part = |place: usize| (number(place) * 1000.0).round() as i64;
            match operation.operator.as_str() {
                "g" => fill = [part(0); 3],
                "G" => stroke = [part(0); 3],
                "rg" => fill = [part(0), part(1), part(2)],
                "RG" => stroke = [part(0), part(1), part(2)],
                "k" | "K" | "sc" | "scn" | "SC" | "SCN" | "sh" | "gs" | "Do" => {
                    panic!("{} is no ink of ours", operation.operator)
                }
                "Tf" => size = number(1),
                "Tm" => scale = number(3),
                "Tj" | "TJ" => {
                    let any = match &operation.operands[0] {
                        Object::Array(pieces) => !pieces.is_empty(),
                        _ => true,
                    };
                    if any {
                        drawn.texts.insert((fill, (size * scale * 100.0).round() as i64));
                    }
                }
                "f" | "F" | "f*" => {
                    drawn.fills.insert(fill);
                }
                "b" | "B" | "b*" | "B*" => {
                    drawn.fills.insert(fill);
                    drawn.strokes.insert(stroke);
                }
                "s" | "S" => {
                    drawn.strokes.insert(stroke);
                }
                _ => {}
            }
        }
    }
    drawn
}

fn over_files(wishes: &Wishes, mut check: impl FnMut(&str, Drawn)) {
    for unit in ["quarnholm-salt", "ombrindale-potash"] {
        let out = tempfile::tempdir().unwrap();
        run::print(&job(unit, out.path(), wishes), &mut |_| {}).unwrap();
        for entry in std::fs::read_dir(out.path().join(unit)).unwrap() {
            let path = entry.unwrap().path();
            if path.extension().is_some_and(|end| end == "pdf") {
                check(&path.display().to_string(), drawn(&std::fs::read(&path).unwrap()));
            }
        }
    }
}

/// A file without pictures of a lesson.
fn is_plain(name: &str) -> bool {
    ["worksheet", "answer-key", "scheme"].iter().any(|kind| name.contains(kind))
}

fn share(colour: Colour) -> Rgb {
    colour.map(|part| part as f64 / 1000.0)
}

#[test]
fn every_text_stands_out_by_seven_to_one_and_nothing_is_tinted() {
    let mut coloured = 0;
    over_files(&Wishes::default(), |name, drawn| {
        assert!(!drawn.texts.is_empty(), "{name}");
        for (colour, size) in drawn.texts {
            if colour == [1000; 3] {
                // White letters stand on black tabs alone, as the fills below show.
                assert!(contrast(WHITE, BLACK) >= 7.0);
                continue;
            }
            for (paper, ground) in PAPERS {
                let ratio = contrast(share(colour), ground);
                assert!(ratio >= 7.0, "{name}: {colour:?} on {paper} has {ratio:.2}");
            }
            if colour != [0; 3] {
                coloured += 1;
                assert!(size >= 1200, "{name}: {colour:?} in {} pt", size as f64 / 100.0);
            }
        }
        // Pictures are their author's.
        if !is_plain(name) {
            return;
        }
        // No tints: what is filled has an ink of its own strength, in which a key ticks boxes.
        for fill in drawn.fills.iter().filter(|fill| **fill != [1000; 3]) {
            let ratio = contrast(share(*fill), WHITE);
            assert!(ratio >= 7.0, "{name}: filled with {fill:?}, {ratio:.2}");
        }
        for stroke in drawn.strokes.iter().filter(|stroke| **stroke != [1000; 3]) {
            // A part of a picture needs 3 (WCAG 2.2, 1.4.11).
            assert!(contrast(share(*stroke), WHITE) >= 3.0, "{name}: {stroke:?}");
        }
    });
    assert!(coloured > 0, "the keys have lost their second ink");
}

#[test]
fn black_ink_is_black_alone() {
    for wishes in [
        Wishes { black: true, ..Wishes::default() },
        Wishes { high_contrast: true, ..Wishes::default() },
        Wishes { large_print: true, ..Wishes::default() },
    ] {
        over_files(&wishes, |name, drawn| {
            let all = drawn.texts.iter().map(|(colour, _)| colour);
            for colour in all.chain(&drawn.fills).chain(&drawn.strokes) {
                // Greys are of one plate too, and none tells anything.
                assert!(colour[0] == colour[1] && colour[1] == colour[2], "{name}: {colour:?}");
                // In high contrast only a picture, which is its author's, has any.
                let grey = !matches!(colour[0], 0 | 1000) && is_plain(name);
                assert!(!(grey && wishes.high_contrast), "{name}: {colour:?}");
            }
        });
    }
}

/// The second ink is bold or a solid rule, the third a dashed rule and never a text: on
/// a copier, where both are one grey, they are still told apart.
#[test]
fn nothing_is_told_by_colour_alone() {
    let (mut second, mut third) = (0, 0);
    for unit in ["quarnholm-salt", "ombrindale-potash"] {
        let job = job(unit, Path::new(""), &Wishes::default());
        for (name, composed) in run::laid_out(&job).unwrap() {
            for mark in composed.pages.iter().flat_map(|page| &page.marks) {
                match mark {
                    Mark::Text { ink: Ink::Water, face, size, .. } => {
                        second += 1;
                        assert!(matches!(face, Face::Semibold | Face::Bold), "{name}: {mark:?}");
                        assert!(*size >= 12.0, "{name}: {mark:?}");
                    }
                    Mark::Rule { ink: Ink::Water, dash, .. } => {
                        assert_eq!(*dash, None, "{name}: {mark:?}");
                    }
                    Mark::Rule { ink: Ink::Kiln, dash, .. } => {
                        third += 1;
                        assert!(dash.is_some(), "{name}: {mark:?}");
                    }
                    // A ticked box is a filled one.
                    Mark::Box { ink: Ink::Water, weight: None, width, height, .. }
                        if width.max(*height) < 12.0 => {}
                    // Its frame is heavier than that of a box left empty.
                    Mark::Box { ink: Ink::Water, weight: Some(weight), .. } if *weight > 1.0 => {}
                    Mark::Text { ink: Ink::Kiln | Ink::Grey, .. }
                    | Mark::Box { ink: Ink::Water | Ink::Kiln, .. }
                    | Mark::Path { ink: Ink::Water | Ink::Kiln, .. } => {
                        panic!("{name}: {mark:?} has nothing but its colour")
                    }
                    _ => {}
                }
            }
        }
    }
    assert!(second > 0 && third > 0, "{second} texts, {third} rules");
}
