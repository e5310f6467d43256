//! PDF files read back with lopdf: text, fonts, outline, page labels, sameness.

#![allow(clippy::unwrap_used)] // also in the helpers, which are no test functions

use std::collections::BTreeSet;

use lopdf::content::Content;
use lopdf::{Document, Object};
use proptest::prelude::*;
use stillroom::composing::faces::Faces;
use stillroom::composing::page::{Composed, Face, Ink, Mark, Page, Segment};
use stillroom::writing::{Book, Part, Subset, WritingError, ink, write_pdf};
use unicode_normalization::UnicodeNormalization;

/// A line of text as the composer sets it: one mark a run.
fn line(faces: &Faces, face: Face, size: f64, at: (f64, f64), ink: Ink, text: &str) -> Vec<Mark> {
    let mut x = at.0;
    let mut marks = Vec::new();
    for run in &faces.shape(face, text).runs {
        let glyphs = run.glyphs.clone();
        let (face, size) = (run.face, size * run.scale);
        marks.push(Mark::Text { face, size, x, baseline: at.1, ink, glyphs });
        x += run.width * size / run.scale / 1000.0;
    }
    marks
}

fn page(marks: Vec<Mark>) -> Page {
    Page { width: 595.28, height: 841.89, marks, ..Page::default() }
}

fn document(faces: &Faces, lines: &[&str]) -> Composed {
    let mut marks = Vec::new();
    for (index, text) in lines.iter().enumerate() {
        let at = (62.0, 80.0 + 16.0 * index as f64);
        marks.extend(line(faces, Face::Regular, 12.0, at, Ink::Black, text));
    }
    Composed {
        title: "Salt from the sea – worksheet".into(),
        language: "en-GB".into(),
        pages: vec![page(marks)],
        outline: vec![(0, "Part ½".into(), 0, 80.0)],
        ..Composed::default()
    }
}

fn subset(faces: &Faces, characters: &str) -> std::sync::Arc<Subset> {
    Subset::of(&characters.chars().collect(), faces).unwrap()
}

fn words(document: &Document, page: u32) -> String {
    document.extract_text(&[page]).unwrap().split_whitespace().collect::<Vec<_>>().join(" ")
}

fn content(document: &Document, page: u32) -> String {
    let id = document.get_pages()[&page];
    String::from_utf8_lossy(&document.get_page_content(id)).into_owned()
}

const SIGNS: [&str; 5] = [
    "Brine holds 5.0\u{202F}% salt; 250\u{A0}kg − 12 kg × 2 at 25\u{202F}°C.",
    "H₂O(l) ⇌ H₂O(g), Na₂CO₃·10H₂O, 10⁻³ m³, SO₄²⁻ → precipitate",
    "fluffy filter office affinity: To, AVATAR, Wash.",
    "µ and μ, Δ and ∆, - and ‑, é, ≥ 0.5, “quoted” (a) \\ back",
    "naïve Ångström \u{65}\u{301}t\u{65}\u{301}",
];

#[test]
fn text_reads_back_word_for_word() {
    let faces = Faces::embedded();
    let composed = document(&faces, &SIGNS);
    let bytes = write_pdf(&composed, &subset(&faces, &SIGNS.concat()), "seed 1").unwrap();
    let read = Document::load_mem(&bytes).unwrap();
    let expected = SIGNS
        .join(" ")
        .replace(['\u{202F}', '\u{A0}'], " ")
        .replace('‑', "-")
        .replace("e\u{301}", "é");
    let read_words: String = words(&read, 1).split_whitespace().collect();
    assert_eq!(read_words, expected.split_whitespace().collect::<String>());
    for phrase in ["250 kg − 12 kg × 2 at 25 °C.", "fluffy filter office affinity: To, AVATAR"]
    {
        assert!(words(&read, 1).contains(phrase), "{phrase:?} not in {:?}", words(&read, 1));
    }
}

#[test]
fn the_same_pages_are_the_same_bytes_and_other_pages_are_not() {
    let faces = Faces::embedded();
    let composed = document(&faces, &SIGNS);
    let characters = SIGNS.concat();
    let first = write_pdf(&composed, &subset(&faces, &characters), "seed 1").unwrap();
    // From another thread, with a subset of its own: nothing counts across files.
    let again = std::thread::scope(|scope| {
        scope
            .spawn(|| write_pdf(&composed, &subset(&faces, &characters), "seed 1").unwrap())
            .join()
            .unwrap()
    });
    assert!(first == again, "two writings differ");

    let id = |bytes: &[u8]| Document::load_mem(bytes).unwrap().trailer.get(b"ID").unwrap().clone();
    let reseeded = write_pdf(&composed, &subset(&faces, &characters), "seed 2").unwrap();
    assert_ne!(id(&first), id(&reseeded));
    let mut moved = composed.clone();
    moved.pages[0].marks.truncate(1);
    let moved = write_pdf(&moved, &subset(&faces, &characters), "seed 1").unwrap();
    assert_ne!(id(&first), id(&moved));
}

#[test]
fn no_date_and_no_other_program_is_named() {
    let faces = Faces::embedded();
    let bytes = write_pdf(&document(&faces, &SIGNS), &subset(&faces, &SIGNS.concat()), "").unwrap();
    let read = Document::load_mem(&bytes).unwrap();
    let info = read.trailer.get(b"Info").unwrap().as_reference().unwrap();
    let info = read.get_dictionary(info).unwrap();
    let keys: BTreeSet<&[u8]> = info.iter().map(|(key, _)| key.as_slice()).collect();
    assert_eq!(keys, BTreeSet::from([b"Title".as_slice(), b"Producer".as_slice()]));
    let text = |key: &[u8]| lopdf::decode_text_string(info.get(key).unwrap()).unwrap();
    assert_eq!(text(b"Title"), "Salt from the sea – worksheet");
    assert_eq!(text(b"Producer"), "Stillroom");
    let catalog = read.catalog().unwrap();
    assert_eq!(lopdf::decode_text_string(catalog.get(b"Lang").unwrap()).unwrap(), "en-GB");
    assert_eq!(catalog.get(b"PageMode").unwrap().as_name().unwrap(), b"UseOutlines");
}

#[test]
fn fonts_are_subsets_with_text_and_widths_for_every_code() {
    let faces = Faces::embedded();
    let composed = document(&faces, &SIGNS);
    let bytes = write_pdf(&composed, &subset(&faces, &SIGNS.concat()), "").unwrap();
    let read = Document::load_mem(&bytes).unwrap();
    let fonts = read.get_page_fonts(read.get_pages()[&1]).unwrap();
    // Only the faces in use: regular, and the fallback for ⇌.
    assert_eq!(fonts.keys().collect::<Vec<_>>(), [&b"D".to_vec(), &b"R".to_vec()]);
    for font in fonts.values() {
        let name = font.get(b"BaseFont").unwrap().as_name().unwrap();
        assert!(name[..6].iter().all(u8::is_ascii_uppercase) && name[6] == b'+');
        let descendant = font.get(b"DescendantFonts").unwrap().as_array().unwrap()[0].clone();
        let descendant = read.get_dictionary(descendant.as_reference().unwrap()).unwrap();
        assert_eq!(descendant.get(b"BaseFont").unwrap().as_name().unwrap(), name);
        let stream = |from: &lopdf::Dictionary, key: &[u8]| {
            let id = from.get(key).unwrap().as_reference().unwrap();
            read.get_object(id).unwrap().as_stream().unwrap().decompressed_content().unwrap()
        };
        let descriptor = descendant.get(b"FontDescriptor").unwrap().as_reference().unwrap();
        let descriptor = read.get_dictionary(descriptor).unwrap();
        assert_eq!(descriptor.get(b"FontName").unwrap().as_name().unwrap(), name);
        let program = stream(descriptor, b"FontFile2");
        let glyphs = ttf_parser::RawFace::parse(&program, 0)
            .unwrap()
            .table(ttf_parser::Tag::from_bytes(b"maxp"))
            .map(|maxp| u16::from_be_bytes([maxp[4], maxp[5]]))
            .unwrap();
        assert!(glyphs < 700, "{glyphs} glyphs are more than the unit uses");
        for glyph in stream(descendant, b"CIDToGIDMap").chunks(2) {
            assert!(u16::from_be_bytes([glyph[0], glyph[1]]) < glyphs);
        }
    }
}

#[test]
fn inks_are_plain_and_marks_are_where_they_were_put() {
    let faces = Faces::embedded();
    let at = (100.0, 200.0);
    let mut marks = line(&faces, Face::Bold, 14.0, at, Ink::Water, "0.25 kg");
    marks.extend(line(&faces, Face::Regular, 12.0, (100.0, 230.0), Ink::Black, "learner"));
    marks.push(Mark::Rule {
        from: (62.36, 300.0),
        to: (555.12, 300.0),
        weight: 1.4,
        ink: Ink::Kiln,
        dash: Some((3.0, 2.0)),
    });
    let (width, height) = (73.7, 36.0);
    let weight = Some(0.6);
    marks.push(Mark::Box { x: 400.0, y: 100.0, width, height, weight, ink: Ink::Black });
    marks.push(Mark::Box { x: 1.0, y: 1.0, width: 2.0, height: 3.0, weight: None, ink: Ink::Grey });
    let square = [(10.0, 10.0), (20.0, 10.0), (20.0, 20.0)];
    let mut segments = vec![Segment::Move(square[0].0, square[0].1)];
    segments.extend(square[1..].iter().map(|(x, y)| Segment::Line(*x, *y)));
    segments.push(Segment::Curve((15.0, 25.0), (12.0, 25.0), (10.0, 20.0)));
    segments.push(Segment::Close);
    segments.push(Segment::Move(30.0, 30.0));
    segments.push(Segment::Line(40.0, 30.0));
    for weight in [None, Some(1.0)] {
        let segments = segments.clone();
        marks.push(Mark::Path { segments, weight, ink: Ink::Black, dash: None });
    }
    let composed = Composed {
        title: "t".into(),
        language: "en".into(),
        pages: vec![page(marks)],
        outline: vec![],
        ..Composed::default()
    };
    let bytes = write_pdf(&composed, &subset(&faces, ""), "").unwrap();
    let read = Document::load_mem(&bytes).unwrap();
    let drawn = content(&read, 1);
    // Expected operators from ISO 32000-1, table 51; y counted from the foot.
    for expected in [
        "0.043 0.29 0.435 rg",
        "/B 14 Tf\n1 0 0 1 100 641.89 Tm",
        "0 g\n",
        "0.541 0.165 0.078 RG\n1.4 w\n[3 2] 0 d\n62.36 541.89 m\n555.12 541.89 l\nS",
        "0 G\n0.6 w\n[] 0 d\n400 705.89 73.7 36 re\nS",
        "0.3 g\n1 837.89 2 3 re\nf",
        "10 831.89 m\n20 831.89 l\n20 821.89 l\n15 816.89 12 816.89 10 821.89 c\n",
        "c\nh\nS\n30 811.89 m\n40 811.89 l\nS",
    ] {
        let squeezed = drawn.replace(" \n", "\n");
        assert!(squeezed.contains(expected), "{expected:?} not in\n{squeezed}");
    }
    assert!(read.catalog().unwrap().get(b"Outlines").is_err());
}

#[test]
fn versions_in_one_file_have_bookmarks_and_their_own_page_numbers() {
    let faces = Faces::embedded();
    let subset = subset(&faces, &SIGNS.concat());
    let mut book = Book::new(Vec::new(), &subset, "All versions", "en", "seed 1").unwrap();
    for version in 0..70 {
        let text = format!("Version number {version}");
        let mut composed = document(&faces, &[&text, SIGNS[0]]);
        composed.pages.push(composed.pages[0].clone());
        let part = Part { bookmark: format!("Version {version}"), label: format!("V{version} ") };
        book.add(ink(&composed, &subset).unwrap(), Some(&part)).unwrap();
    }
    let read = Document::load_mem(&book.finish().unwrap()).unwrap();
    let pages = read.get_pages();
    assert_eq!(pages.len(), 140);
    assert!(words(&read, 139).contains("Version number 69"));
    assert!(words(&read, 3).contains("Version number 1"));

    let catalog = read.catalog().unwrap();
    let labels = catalog.get(b"PageLabels").unwrap().as_dict().unwrap();
    let numbers = labels.get(b"Nums").unwrap().as_array().unwrap();
    assert_eq!(numbers.len(), 2 * 70);
    assert_eq!(numbers[138].as_i64().unwrap(), 138);

    // The outline's first level, walked by its own links.
    let root = catalog.get(b"Outlines").unwrap().as_reference().unwrap();
    let root = read.get_dictionary(root).unwrap();
    let mut next = Some(root.get(b"First").unwrap().as_reference().unwrap());
    let mut titles = Vec::new();
    while let Some(id) = next {
        let item = read.get_dictionary(id).unwrap();
        titles.push(lopdf::decode_text_string(item.get(b"Title").unwrap()).unwrap());
        let target = item.get(b"Dest").unwrap().as_array().unwrap()[0].as_reference().unwrap();
        assert_eq!(target, pages[&(2 * titles.len() as u32 - 1)]);
        let child = item.get(b"First").unwrap().as_reference().unwrap();
        let child = read.get_dictionary(child).unwrap();
        assert_eq!(lopdf::decode_text_string(child.get(b"Title").unwrap()).unwrap(), "Part ½");
        assert_eq!(child.get(b"Parent").unwrap().as_reference().unwrap(), id);
        next = item.get(b"Next").ok().and_then(|o| o.as_reference().ok());
    }
    assert_eq!(titles.len(), 70);
    assert_eq!(titles[69], "Version 69");
}

#[test]
fn every_offset_in_the_table_is_true() {
    let faces = Faces::embedded();
    let bytes = write_pdf(&document(&faces, &SIGNS), &subset(&faces, &SIGNS.concat()), "").unwrap();
    let text = String::from_utf8_lossy(&bytes);
    let table = text.rsplit_once("\nxref\n").unwrap().1;
    let count = table.lines().next().unwrap().split(' ').nth(1).unwrap().parse().unwrap();
    for id in 1..count {
        let entry: Vec<&str> = table.lines().nth(1 + id).unwrap().split_whitespace().collect();
        assert_eq!(entry[1..], ["00000", "n"]);
        let offset: usize = entry[0].parse().unwrap();
        let head = format!("{id} 0 obj\n");
        assert_eq!(&bytes[offset..offset + head.len()], head.as_bytes());
    }
    for (id, object) in &Document::load_mem(&bytes).unwrap().objects {
        if let Object::Stream(stream) = object {
            assert!(stream.decompressed_content().is_ok(), "stream {id:?}");
        }
    }
}

#[test]
fn a_character_not_announced_is_an_error_that_names_it() {
    let faces = Faces::embedded();
    let composed = document(&faces, &["plain", "λ = 2"]);
    match write_pdf(&composed, &subset(&faces, ""), "") {
        Err(WritingError::Glyph { face: Face::Regular, text }) => assert_eq!(text, "λ"),
        other => panic!("{:?}", other.map(|bytes| bytes.len())),
    }
    assert!(write_pdf(&composed, &subset(&faces, "λ"), "").is_ok());
}

#[test]
fn a_length_that_is_no_number_is_an_error() {
    let faces = Faces::embedded();
    let mut composed = document(&faces, &["one"]);
    composed.pages.push(composed.pages[0].clone());
    let Mark::Text { x, .. } = &mut composed.pages[1].marks[0] else { panic!() };
    *x = f64::NAN;
    let outcome = write_pdf(&composed, &subset(&faces, ""), "");
    assert!(matches!(outcome, Err(WritingError::Measure { page: 2 })));
}

#[test]
fn a_worksheet_with_all_its_fonts_is_small() {
    let faces = Faces::embedded();
    let mut composed = document(&faces, &SIGNS[..4]);
    let marks = &mut composed.pages[0].marks;
    for (row, face) in [Face::Italic, Face::Semibold, Face::Bold].into_iter().enumerate() {
        let at = (62.0, 400.0 + 16.0 * row as f64);
        marks.extend(line(&faces, face, 12.0, at, Ink::Black, SIGNS[0]));
    }
    let bytes = write_pdf(&composed, &subset(&faces, &SIGNS[..4].concat()), "").unwrap();
    assert!(bytes.len() < 60_000, "{} bytes", bytes.len());
}

/// Widths by code from a font's `/W`, in the form `first [w w w] first [w] ...`.
fn widths(document: &Document, font: &lopdf::Dictionary) -> Vec<f64> {
    let descendant = font.get(b"DescendantFonts").unwrap().as_array().unwrap()[0].as_reference();
    let descendant = document.get_dictionary(descendant.unwrap()).unwrap();
    let mut widths = vec![0.0; 1 << 16];
    for pair in descendant.get(b"W").unwrap().as_array().unwrap().chunks(2) {
        let first = pair[0].as_i64().unwrap() as usize;
        for (index, width) in pair[1].as_array().unwrap().iter().enumerate() {
            widths[first + index] = width.as_i64().unwrap() as f64;
        }
    }
    widths
}

/// How far each text operator of a page moves the pen, in thousandths of an em.
fn pen_moves(document: &Document) -> Vec<f64> {
    let page = document.get_pages()[&1];
    let fonts = document.get_page_fonts(page).unwrap();
    let content = Content::decode(&document.get_page_content(page)).unwrap();
    let mut current = Vec::new();
    let mut moves = Vec::new();
    for operation in content.operations {
        let items = match operation.operator.as_str() {
            "Tf" => {
                current = widths(document, fonts[operation.operands[0].as_name().unwrap()]);
                continue;
            }
            "Tj" => operation.operands,
            "TJ" => operation.operands[0].as_array().unwrap().clone(),
            _ => continue,
        };
        moves.push(
            items
                .iter()
                .map(|item| match item {
                    Object::String(bytes, _) => bytes
                        .chunks(2)
                        .map(|code| current[usize::from(u16::from_be_bytes([code[0], code[1]]))])
                        .sum(),
                    number => -f64::from(number.as_float().unwrap()),
                })
                .sum::<f64>(),
        );
    }
    moves
}

#[test]
fn a_reader_moves_its_pen_as_far_as_the_layout_meant() {
    let faces = Faces::embedded();
    let composed = document(&faces, &SIGNS);
    let bytes = write_pdf(&composed, &subset(&faces, &SIGNS.concat()), "").unwrap();
    let read = Document::load_mem(&bytes).unwrap();
    let meant: Vec<f64> = composed.pages[0]
        .marks
        .iter()
        .map(|mark| match mark {
            // The last glyph's kerning moves nothing that is drawn.
            Mark::Text { glyphs, .. } => glyphs.iter().map(|glyph| glyph.advance).sum(),
            _ => unreachable!("the page holds text alone"),
        })
        .collect();
    let moved = pen_moves(&read);
    assert_eq!(moved.len(), meant.len());
    for (moved, meant) in moved.iter().zip(&meant) {
        // Less than a hundredth of a point at body size.
        assert!((moved - meant).abs() <= 0.6, "{moved} against {meant}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    /// Whatever a unit is made of, what was announced can be written and read.
    #[test]
    fn announced_characters_are_always_written(
        words in proptest::collection::vec("[ -~¡-ÿα-ωĀ-ſ₀-₉⁰⁴-⁹−×÷°·→⇌∝\u{300}-\u{308}\u{30A}]{1,12}", 1..6)
    ) {
        let faces = Faces::embedded();
        let lines: Vec<&str> = words.iter().map(String::as_str).collect();
        let mut composed = document(&faces, &lines);
        for face in [Face::Italic, Face::Semibold, Face::Bold] {
            let at = (62.0, 500.0);
            composed.pages[0].marks.extend(line(&faces, face, 12.0, at, Ink::Black, lines[0]));
        }
        let bytes = write_pdf(&composed, &subset(&faces, &words.concat()), "");
        prop_assert!(bytes.is_ok(), "{:?}", bytes.err());
        let read = Document::load_mem(&bytes.unwrap()).unwrap();
        // What is read is what was written: accents joined to their letters, fixed
        // spaces plain, soft hyphens gone.
        let plain = |text: String| -> String {
            let unseen = ['\u{AD}', '\u{200B}'];
            text.chars().filter(|c| !c.is_whitespace() && !unseen.contains(c)).nfc().collect()
        };
        let meant = plain(words.concat() + &words[0].repeat(3));
        prop_assert_eq!(plain(read.extract_text(&[1]).unwrap()), meant);
    }
}
