//! Figure blocks and pictures on what is printed: which drawing a table becomes, who
//! reads the names on it, and how often a file holds a picture.

#![allow(clippy::unwrap_used)] // also in the helpers, which are no test functions

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use lopdf::{Document, Object};
use stillroom::run::{self, PrintJob};

const HEAD: &str = "---\nid: drawn\ntitle: Drawn\nobjectives:\n  chain: Say what leaves\n---\n\n";

/// Every file that a unit makes, by name; `beside` lies in its folder.
fn printed(unit: &str, beside: &[(&str, &[u8])], one_file: bool) -> BTreeMap<String, Vec<u8>> {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("drawn.md"), format!("{HEAD}{unit}")).unwrap();
    for (name, bytes) in beside {
        std::fs::write(folder.path().join(name), bytes).unwrap();
    }
    let job = PrintJob {
        unit: folder.path().join("drawn.md"),
        versions: 3,
        only: None,
        seed: 7,
        out: folder.path().join("out"),
        one_file,
        html: true,
        roster: None,
        profile: stillroom::composing::Profile::default(),
        extras: run::Extras { slides: true, ..run::Extras::default() },
    };
    let made = run::print(&job, &mut |_| ()).unwrap();
    let folder: PathBuf = made.folder.unwrap_or_else(|| panic!("{:?}", made.findings));
    let entries = std::fs::read_dir(folder).unwrap();
    entries
        .map(|entry| {
            let path = entry.unwrap().path();
            (path.file_name().unwrap().to_str().unwrap().to_owned(), std::fs::read(path).unwrap())
        })
        .collect()
}

fn text<'a>(files: &'a BTreeMap<String, Vec<u8>>, name: &str) -> &'a str {
    std::str::from_utf8(&files[name]).unwrap()
}

/// What the figures of a page say, in order.
fn words_of(page: &str) -> Vec<&str> {
    let parts = page.split("<desc id=").skip(1);
    parts.map(|part| &part[part.find('>').unwrap() + 1..part.find("</desc>").unwrap()]).collect()
}

#[test]
fn the_shape_of_a_table_tells_its_drawing() {
    const CURVE: &str = "columns: temperature in degC\nunit: g/100 g water\n\
                         rows: {borax: {0: 2.0, 40: 6.4, 80: 31.4}, alum: {0: 5.9, 40: 14.1}}";
    const LIST: &str = "unit: t\nrows: {soap: 12, glass: 40, lost: 3}";
    let cases = [
        (CURVE, "", "Graph of solubility against temperature"),
        (CURVE, "draw: bars\ncolumns: 40", "Bar chart of solubility"),
        (CURVE, "draw: bars\nrows: [alum]", "Bar chart of solubility"),
        (LIST, "", "Bar chart of mass / t"),
        (LIST, "draw: pie", "Pie chart of three segments"),
        (
            "columns: time in min\nunit: degC\nrows: {wax: {0: 20, 3: 54, 8: 55, 12: 90}}",
            "notes: {melting: 5.5}",
            "Graph of temperature against time",
        ),
        (
            "columns: aperture in mm\nunit: g\nrows: {kept: {2.0: 12.4, 0.5: 61.0, 0: 8.2}}",
            "",
            "A stack, the coarsest sieve above.",
        ),
        (
            "unit: cm\nrows: {solvent front: {1: 8.0}, red: {1: 5.2}, ink: {1: 2.4, 2: 5.2}}",
            "",
            "Chromatogram on a paper",
        ),
        (
            "unit: cm\nrows: {solvent front: {1: 8.0}, red: {1: 5.2}}",
            "draw: plate",
            "Chromatogram on a thin-layer plate",
        ),
    ];
    let unit: String = cases
        .iter()
        .enumerate()
        .map(|(i, (data, figure, _))| {
            format!(
                "```data\nid: d{i}\n{data}\n```\n\n```figure\nid: f{i}\nof: d{i}\n{figure}\n```\n\n"
            )
        })
        .collect();
    let files = printed(&unit, &[], false);
    let words = words_of(text(&files, "lesson.html"));
    assert_eq!(words.len(), cases.len());
    for ((_, _, begins), words) in cases.iter().zip(words) {
        assert!(words.starts_with(begins), "{begins:?}: {words:?}");
    }
}

#[test]
fn names_left_blank_stand_on_the_key_alone() {
    let unit = "```technique\nid: distillation\nproperty: boiling point\n```\n\n\
                ```figure\nid: still\nof: distillation\nfor: questions\n```\n\n\
                ```question\nid: q\nobjective: chain\nfigure: still\nblank: [condenser, flask]\n\
                find: 3 kg + 2 kg\n---\nName the parts.\n```\n";
    let files = printed(unit, &[], false);
    let (learner, key) = (text(&files, "worksheet-A.html"), text(&files, "answer-key-A.html"));
    for name in ["condenser", "flask"] {
        assert!(!learner.contains(name) && key.contains(&format!(">{name}<")), "{name}");
    }
    for page in [learner, key] {
        // What is not asked is named on both, and in the words.
        assert!(page.contains(">thermometer<"));
        let words = words_of(page).join(" ");
        assert!(words.contains("thermometer (") && !words.contains("condenser"), "{words}");
    }
    // The handout shows the technique's sketch, and not the figure for questions.
    assert_eq!(words_of(text(&files, "lesson.html")).len(), 1);
}

#[test]
fn a_file_of_many_versions_holds_a_picture_once() {
    let svg: &[u8] = b"<svg xmlns='http://www.w3.org/2000/svg' width='40' height='20'>\
                       <path d='M0 0H40V20Z' fill='#804020'/></svg>";
    let unit = "```question\nid: q\nobjective: chain\nfind: 3 kg + 2 kg\n---\nLook.\n\n\
                ![a red field](red.png \"A field\")\n\n![a wedge](wedge.svg)\n\nAdd.\n```\n";
    let beside: [(&str, &[u8]); 2] = [("red.png", &png()), ("wedge.svg", svg)];
    let files = printed(unit, &beside, true);
    let book = Document::load_mem(&files["worksheets.pdf"]).unwrap();
    let images: Vec<_> = book
        .objects
        .values()
        .filter_map(|object| object.as_stream().ok())
        .filter(|s| s.dict.get(b"Subtype").is_ok_and(|kind| *kind == Object::from("Image")))
        .collect();
    assert_eq!(images.len(), 1);
    assert_eq!(images[0].dict.get(b"Width").unwrap().as_i64().unwrap(), 2);
    // Clear parts are the white of the paper.
    let pixels = images[0].decompressed_content().unwrap();
    assert_eq!(pixels, [255, 0, 0, 255, 255, 255]);
    let shown = |page: &Vec<u8>| {
        let words = String::from_utf8_lossy(page);
        words.contains("/Do") || words.contains(" Do")
    };
    for (_, page) in book.get_pages() {
        let content = book.get_page_content(page);
        assert!(shown(&content));
        // The wedge is a path in its own colour: 0x80, 0x40, 0x20 over 255.
        assert!(String::from_utf8_lossy(&content).contains("0.502 0.251 0.125"));
    }
    // The web page has both, with their words.
    let page = text(&files, "worksheet-A.html");
    assert!(page.contains("alt=\"a red field\"") && page.contains("data:image/svg+xml;base64,"));
    assert_eq!(files, printed(unit, &beside, true), "the same bytes again");
}

/// Two pixels, red and clear.
fn png() -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, 2, 1);
    encoder.set_color(png::ColorType::Rgba);
    let mut writer = encoder.write_header().unwrap();
    writer.write_image_data(&[255, 0, 0, 255, 0, 0, 0, 0]).unwrap();
    drop(writer);
    bytes
}

#[test]
fn the_demonstration_units_show_what_lies_beside_them() {
    let units = Path::new(env!("CARGO_MANIFEST_DIR")).join("units");
    let text = std::fs::read_to_string(units.join("quarnholm-salt.md")).unwrap();
    assert!(text.contains("](quarn-bay.svg"));
    stillroom::picture::read(&std::fs::read(units.join("quarn-bay.svg")).unwrap()).unwrap();
}

#[test]
fn a_table_of_ours_that_a_question_reads_is_printed_with_its_source() {
    const QUESTION: &str = "```question
id: nitre
objective: chain
process:
  components: {potassium_nitrate: {is: solute, formula: KNO3}, water: solvent}
  operations:
    cooler: {is: crystallisation, feed: hot, crystals: crystals, liquor: mother}
values:
  mass: 200 to 400 g, step 20
given:
  hot: {total: mass, potassium_nitrate: saturated at 60 degC}
  mother: {potassium_nitrate: saturated at 20 degC}
find: crystals.total
---
{{ mass }} of hot solution is cooled. Calculate the mass of crystals.
```
";
    let files = printed(QUESTION, &[], false);
    let sheet = text(&files, "worksheet-A.html");
    assert!(sheet.contains("Solubility of potassium nitrate"), "{sheet}");
    assert!(sheet.contains("Perry"), "no source");
    // What the key works with stands in it.
    let key = text(&files, "answer-key-A.html");
    for solubility in ["110", "31.6"] {
        assert!(sheet.contains(solubility) && key.contains(solubility), "{solubility}");
    }
}
