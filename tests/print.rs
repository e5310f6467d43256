//! What `print` leaves on disk: which files, the same bytes each time, and what
//! their pages say when read back.

#![allow(clippy::unwrap_used)] // also in the helpers, which are no test functions

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use lopdf::content::Content;
use lopdf::{Document, Object};
use stillroom::run::{self, PrintJob};
use stillroom::version::letters;

const SEED: u64 = 7;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn sample() -> PrintJob {
    PrintJob {
        unit: root().join("tests/samples/soda-drier.md"),
        versions: 12,
        only: None,
        seed: SEED,
        out: PathBuf::new(),
        one_file: false,
        html: false,
        profile: stillroom::composing::Profile::default(),
        extras: run::Extras::default(),
        roster: None,
    }
}

/// Every file that a job makes, by name.
fn printed(job: &PrintJob) -> BTreeMap<String, Vec<u8>> {
    let folder = tempfile::tempdir().unwrap();
    let job = PrintJob { out: folder.path().to_owned(), ..job.clone() };
    let mut told = Vec::new();
    let made = run::print(&job, &mut |done| told.push(done)).unwrap();
    assert_eq!(told, (1..=made.versions).collect::<Vec<_>>());
    let entries = std::fs::read_dir(made.folder.unwrap()).unwrap();
    entries
        .map(|entry| {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_str().unwrap().to_owned();
            (name, std::fs::read(path).unwrap())
        })
        .collect()
}

/// One line of text on a page, pieces from left to right.
struct Line {
    page: u32,
    text: String,
}

/// A document's text, line by line, as its content streams say it.
fn lines(bytes: &[u8]) -> Vec<Line> {
    let document = Document::load_mem(bytes).unwrap();
    let mut lines = Vec::new();
    for (page, id) in document.get_pages() {
        let fonts = document.get_page_fonts(id).unwrap();
        let encodings: BTreeMap<_, _> = fonts
            .into_iter()
            .map(|(name, font)| (name, font.get_font_encoding(&document).unwrap()))
            .collect();
        let content = Content::decode(&document.get_page_content(id)).unwrap();
        let mut font = Vec::new();
        let mut at = (0.0, 0.0);
        // By height on the page, in hundredths of a point, from the top.
        let mut rows: BTreeMap<i64, Vec<(f64, String)>> = BTreeMap::new();
        for operation in &content.operations {
            let number = |place: usize| f64::from(operation.operands[place].as_float().unwrap());
            match operation.operator.as_str() {
                "Tf" => font = operation.operands[0].as_name().unwrap().to_vec(),
                "Tm" => at = (number(4), number(5)),
                "Td" => at = (at.0 + number(0), at.1 + number(1)),
                "Tj" | "TJ" => {
                    let shown = match &operation.operands[0] {
                        Object::Array(pieces) => pieces.as_slice(),
                        _ => &operation.operands[..],
                    };
                    let text: String = shown
                        .iter()
                        .filter_map(|piece| piece.as_str().ok())
                        .map(|bytes| Document::decode_text(&encodings[&font], bytes).unwrap())
                        .collect();
                    rows.entry((-100.0 * at.1).round() as i64).or_default().push((at.0, text));
                }
                _ => {}
            }
        }
        for mut row in rows.into_values() {
            row.sort_by(|(a, _), (b, _)| a.total_cmp(b));
            let words: Vec<String> = row.into_iter().map(|(_, text)| text).collect();
            let text = words.join(" ").split_whitespace().collect::<Vec<_>>().join(" ");
            lines.push(Line { page, text });
        }
    }
    lines
}

fn text(bytes: &[u8]) -> String {
    lines(bytes).into_iter().map(|line| line.text).collect::<Vec<_>>().join("\n")
}

/// Width and height of every page, in whole points.
fn sizes(bytes: &[u8]) -> BTreeSet<(i64, i64)> {
    let document = Document::load_mem(bytes).unwrap();
    let pages = document.get_pages();
    pages
        .into_values()
        .map(|id| {
            let page = document.get_dictionary(id).unwrap();
            let media = page.get(b"MediaBox").unwrap().as_array().unwrap();
            let side = |place: usize| f64::from(media[place].as_float().unwrap()).round() as i64;
            (side(2), side(3))
        })
        .collect()
}

fn bookmarks(document: &Document) -> Vec<(String, u32)> {
    let pages: BTreeMap<_, _> =
        document.get_pages().into_iter().map(|(number, id)| (id, number)).collect();
    let root = document.catalog().unwrap().get(b"Outlines").unwrap().as_reference().unwrap();
    let root = document.get_dictionary(root).unwrap();
    let mut next = Some(root.get(b"First").unwrap().as_reference().unwrap());
    let mut found = Vec::new();
    while let Some(id) = next {
        let item = document.get_dictionary(id).unwrap();
        let title = lopdf::decode_text_string(item.get(b"Title").unwrap()).unwrap();
        let target = item.get(b"Dest").unwrap().as_array().unwrap()[0].as_reference().unwrap();
        found.push((title, pages[&target]));
        next = item.get(b"Next").ok().and_then(|next| next.as_reference().ok());
    }
    found
}

fn names(versions: u64) -> BTreeSet<String> {
    let sheets = (0..versions)
        .flat_map(|v| ["worksheet", "answer-key"].map(|n| format!("{n}-{}.pdf", letters(v))));
    let others = ["lesson.pdf", "scheme.pdf", "answers.csv", "responses.csv", "responses.xlsx"];
    sheets.chain(others.map(str::to_owned)).collect()
}

/// The code of a version: letters, a hyphen and three characters.
fn codes(text: &str) -> BTreeSet<String> {
    text.split_whitespace()
        .map(|word| word.trim_matches(|c: char| !c.is_ascii_alphanumeric()))
        .filter(|word| stillroom::version::version_of_code(word).is_some())
        .map(str::to_owned)
        .collect()
}

#[test]
fn twelve_versions_make_twelve_of_each_twice_with_the_same_bytes() {
    let first = printed(&sample());
    assert_eq!(first.keys().cloned().collect::<BTreeSet<_>>(), names(12));
    assert!(first == printed(&sample()), "two runs differ");

    let reseeded = printed(&PrintJob { seed: SEED + 1, ..sample() });
    assert_ne!(first["worksheet-A.pdf"], reseeded["worksheet-A.pdf"]);
    let sheets: BTreeSet<_> = first.values().collect();
    assert_eq!(sheets.len(), first.len(), "two versions are alike");
}

#[test]
fn one_version_alone_is_the_same_as_among_twelve() {
    let all = printed(&sample());
    let only = run::version_number("C");
    let alone = printed(&PrintJob { only, versions: 1, ..sample() });
    for name in ["worksheet-C.pdf", "answer-key-C.pdf", "lesson.pdf"] {
        assert!(all[name] == alone[name], "{name} differs");
    }
    let rows = |table: &[u8]| -> Vec<Vec<String>> {
        let mut table = csv::Reader::from_reader(table);
        let cells = table.records().map(|row| row.unwrap().iter().map(str::to_owned).collect());
        cells.filter(|row: &Vec<String>| row[3] == "C").collect()
    };
    let table = alone.keys().find(|name| name.ends_with(".csv")).unwrap();
    let among = rows(&all["answers.csv"]);
    assert!(!among.is_empty());
    assert_eq!(rows(&alone[table]), among);
}

#[test]
fn the_demonstration_prints_and_its_marks_add_up() {
    let job = PrintJob { unit: root().join("units/quarnholm-salt.md"), versions: 3, ..sample() };
    let files = printed(&job);
    assert_eq!(files.keys().cloned().collect::<BTreeSet<_>>(), names(3));
    for version in 0..3 {
        let name = format!("worksheet-{}.pdf", letters(version));
        check_sheet(&name, &files[&name], &letters(version));
    }
}

#[test]
fn the_samples_sheets_carry_code_and_marks() {
    let files = printed(&sample());
    for version in 0..12 {
        for sheet in ["worksheet", "answer-key"] {
            let name = format!("{sheet}-{}.pdf", letters(version));
            check_sheet(&name, &files[&name], &letters(version));
        }
    }
}

/// The code on every page; marks in brackets, by question and in all.
fn check_sheet(name: &str, bytes: &[u8], version: &str) {
    let lines = lines(bytes);
    let last = lines.last().unwrap().page;
    let mut all_codes = BTreeSet::new();
    for page in 1..=last {
        let on_page: Vec<&str> =
            lines.iter().filter(|line| line.page == page).map(|line| line.text.as_str()).collect();
        let codes = codes(&on_page.join(" "));
        assert!(!codes.is_empty(), "{name}, page {page}: no code in {on_page:?}");
        all_codes.extend(codes);
    }
    assert_eq!(all_codes.len(), 1, "{name}: {all_codes:?}");
    assert!(all_codes.first().unwrap().starts_with(&format!("{version}-")), "{all_codes:?}");

    let score = lines.iter().find_map(|line| line.text.strip_prefix("/ ")).unwrap();
    let score: u32 = score.parse().unwrap();
    let (mut all, mut since_total, mut question) = (0, 0, 0);
    for line in &lines {
        // A question of one part has no total, so each begins anew.
        if line.text.starts_with(&format!("{} ", question + 1)) {
            question += 1;
            since_total = 0;
        }
        if let Some((_, total)) = line.text.split_once("[Total: ") {
            let total: u32 = total.trim_end_matches(']').parse().unwrap();
            assert_eq!(since_total, total, "{name}: {}", line.text);
            since_total = 0;
        } else if let Some(marks) = line.text.strip_suffix(']') {
            let marks: u32 = marks.rsplit_once('[').unwrap().1.parse().unwrap();
            all += marks;
            since_total += marks;
        }
    }
    assert_eq!(all, score, "{name}");
}

#[test]
fn one_file_holds_every_version_under_its_bookmark() {
    let apart = printed(&sample());
    let files = printed(&PrintJob { one_file: true, ..sample() });
    let books = ["worksheets.pdf", "answer-keys.pdf", "lesson.pdf", "scheme.pdf"];
    let tables = ["answers.csv", "responses.csv", "responses.xlsx"];
    let expected = books.into_iter().chain(tables);
    assert_eq!(files.keys().map(String::as_str).collect::<BTreeSet<_>>(), expected.collect());
    assert_eq!(files["answers.csv"], apart["answers.csv"]);
    for (book, sheet) in [("worksheets.pdf", "worksheet"), ("answer-keys.pdf", "answer-key")] {
        let document = Document::load_mem(&files[book]).unwrap();
        let bookmarks = bookmarks(&document);
        let titles: Vec<&str> = bookmarks.iter().map(|(title, _)| title.as_str()).collect();
        let wanted: Vec<String> = (0..12).map(|v| format!("Version {}", letters(v))).collect();
        assert_eq!(titles, wanted);
        // Each version's pages say what its own file says.
        let lines = lines(&files[book]);
        for (version, (_, first)) in (0..).zip(&bookmarks) {
            let after = bookmarks.get(version as usize + 1).map_or(u32::MAX, |(_, page)| *page);
            let inside = lines.iter().filter(|line| (*first..after).contains(&line.page));
            let inside: Vec<&str> = inside.map(|line| line.text.as_str()).collect();
            let own = &apart[&format!("{sheet}-{}.pdf", letters(version))];
            assert_eq!(inside.join("\n"), text(own), "{book}, version {version}");
        }
    }
}

#[test]
fn letter_pages_break_their_lines_where_a4_pages_do() {
    let demo = PrintJob { unit: root().join("units/quarnholm-salt.md"), only: Some(0), ..sample() };
    let a4 = printed(&demo);
    let letter = printed(&PrintJob {
        roster: None,
        profile: run::profile(&run::Wishes { letter: true, ..Default::default() }),
        ..demo
    });
    for name in ["lesson.pdf", "worksheet-A.pdf", "answer-key-A.pdf"] {
        // 210 by 297 mm, and 8.5 by 11 in, in points.
        assert_eq!(sizes(&a4[name]), BTreeSet::from([(595, 842)]), "{name}");
        assert_eq!(sizes(&letter[name]), BTreeSet::from([(612, 792)]), "{name}");
        let (a4, letter) = (body(&a4[name]), body(&letter[name]));
        assert!(a4.len() > 100, "{name}: only {} lines", a4.len());
        assert_eq!(a4, letter, "{name}");
    }
}

/// The lines of a document but for what stands at the top and foot of its pages,
/// which there are more or fewer of.
fn body(bytes: &[u8]) -> Vec<String> {
    let lines = lines(bytes);
    let head = lines.first().unwrap().text.clone();
    lines
        .into_iter()
        .map(|line| line.text)
        .filter(|text| *text != head && !is_foot(text) && !text.contains("continued"))
        .collect()
}

fn is_foot(text: &str) -> bool {
    let mut words = text.split_whitespace().rev().skip_while(|word| !is_number(word));
    let counted = matches!((words.next(), words.next()), (Some(_), Some("of")));
    counted && words.next().is_some_and(is_number)
}

fn is_number(word: &str) -> bool {
    word.parse::<u32>().is_ok()
}

#[test]
fn signs_read_back_as_they_are_printed() {
    let files = printed(&PrintJob { versions: 1, ..sample() });
    let lesson = text(&files["lesson.pdf"]);
    for sign in ["Na₂CO₃·10H₂O", "H₂O", "CO₃²⁻", "Na⁺", "25 °C"] {
        assert!(lesson.contains(sign), "{sign:?} is not in {lesson}");
    }
    let key = text(&files["answer-key-A.pdf"]);
    for sign in ["Na₂CO₃·10H₂O → Na₂CO₃ + 10H₂O", "300 °C", " − ", " × ", " ÷ ", " kg"]
    {
        assert!(key.contains(sign), "{sign:?} is not in {key}");
    }
}
