//! The mark scheme and the pages for reading machines: marks that add up, values
//! that are those of the table of answers, mistakes followed through by hand.

#![allow(clippy::unwrap_used)] // also in the helpers, which are no test functions

mod html;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use html::Node;
use lopdf::Document;
use proptest::prelude::*;
use stillroom::run::{self, PrintJob};
use stillroom::version::letters;
use stillroom::writing::{CopyFor, write_html};

const UNITS: [&str; 3] =
    ["units/quarnholm-salt.md", "units/ombrindale-potash.md", "units/lissenfold-lavender.md"];

fn job(unit: impl Into<PathBuf>, versions: u32) -> PrintJob {
    PrintJob {
        unit: Path::new(env!("CARGO_MANIFEST_DIR")).join(unit.into()),
        versions,
        only: None,
        seed: 7,
        out: PathBuf::new(),
        one_file: false,
        html: true,
        extras: run::Extras::default(),
        roster: None,
        profile: stillroom::composing::Profile::default(),
    }
}

fn printed(job: &PrintJob) -> BTreeMap<String, Vec<u8>> {
    let folder = tempfile::tempdir().unwrap();
    let job = PrintJob { out: folder.path().to_owned(), ..job.clone() };
    let made = run::print(&job, &mut |_| {}).unwrap();
    let folder = made.folder.unwrap_or_else(|| panic!("{:?}", made.findings));
    let read = |entry: std::io::Result<std::fs::DirEntry>| {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_str().unwrap().to_owned();
        (name, std::fs::read(path).unwrap())
    };
    std::fs::read_dir(folder).unwrap().map(read).collect()
}

fn page(files: &BTreeMap<String, Vec<u8>>, name: &str) -> Node {
    let text = std::str::from_utf8(&files[name]).unwrap();
    html::read(text).unwrap_or_else(|fault| panic!("{name}: {fault}"))
}

/// Every answer as printed, by version, in the order of the sheet.
fn answers(files: &BTreeMap<String, Vec<u8>>) -> BTreeMap<String, Vec<String>> {
    let mut rows = csv::Reader::from_reader(files["answers.csv"].as_slice());
    let mut found: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for row in rows.records() {
        let row = row.unwrap();
        found.entry(row[3].to_owned()).or_default().push(row[6].to_owned());
    }
    found
}

/// The tables of a page with the heading that each stands under.
fn tables(page: &Node) -> Vec<(String, Vec<Vec<String>>)> {
    let mut heading = String::new();
    let mut found = Vec::new();
    for node in page.all() {
        match node.tag.as_str() {
            "h1" | "h2" | "h3" => heading = node.words(),
            "table" => found.push((heading.clone(), node.rows())),
            _ => {}
        }
    }
    found
}

/// The number of "M1", "A1 ft" or "" in the marks column.
fn mark(cell: &str) -> u32 {
    let count = cell.split(' ').next().unwrap().trim_start_matches(['M', 'A', 'B']);
    if count.is_empty() { 0 } else { count.parse().unwrap() }
}

/// "[2 marks]" and "Total: 4 marks".
fn counted(words: &str) -> u32 {
    let digits: String = words.chars().filter(char::is_ascii_digit).collect();
    digits.parse().unwrap()
}

#[test]
fn marks_of_the_scheme_are_those_on_the_pages() {
    for unit in UNITS {
        let files = printed(&job(unit, 2));
        let scheme = page(&files, "scheme.html");
        let (heading, rows) = &tables(&scheme)[0];
        assert_eq!(heading, "Mark scheme");
        let (mut totals, mut since, mut all) = (Vec::new(), 0, 0);
        for row in &rows[1..] {
            if row[1].starts_with("question ") {
                assert_eq!(since, mark(&row[2]), "{unit}, {}", row[1]);
                totals.push(since);
                since = 0;
            } else if row[1] == "all questions" {
                all = mark(&row[2]);
            } else {
                since += mark(&row[2]);
            }
        }
        assert!(all > 30, "{unit}: only {all} marks");
        assert_eq!(totals.iter().sum::<u32>(), all, "{unit}");
        assert!(scheme.words().contains(&format!("{all} marks")));

        for version in ["A", "B"] {
            let sheet = page(&files, &format!("worksheet-{version}.html"));
            let sections: Vec<&Node> = sheet
                .tagged("section")
                .into_iter()
                .filter(|section| section.tagged("h2").len() == 1)
                .collect();
            let on_sheet: Vec<u32> = sections
                .iter()
                .map(|section| {
                    let marks = section.tagged("span").into_iter();
                    let marks = marks.filter(|span| span.attribute("class") == Some("marks"));
                    marks.map(|span| counted(&span.words())).sum()
                })
                .collect();
            assert_eq!(on_sheet, totals, "{unit}, version {version}");
            assert!(sheet.words().contains(&format!("out of {all}")), "{unit}");
        }
        // On paper too.
        let paper = Document::load_mem(&files["scheme.pdf"]).unwrap();
        assert!(paper.get_pages().len() > 4);
    }
}

#[test]
fn tables_of_values_and_strips_hold_the_answers_of_every_version() {
    for (unit, versions) in [(UNITS[0], 12), (UNITS[1], 3)] {
        let files = printed(&job(unit, versions));
        let answers = answers(&files);
        let tables = tables(&page(&files, "scheme.html"));
        for heading in ["Values in each version", "Key strip"] {
            let mut held: BTreeMap<String, Vec<String>> = BTreeMap::new();
            for (_, rows) in tables.iter().filter(|(h, _)| h == heading) {
                for (column, version) in rows[0].iter().enumerate().skip(1) {
                    // Rows of given values have no part's unit and no single number.
                    let own = rows[1..].iter().filter(|row| is_answer(&row[0]));
                    // What is the same in all versions may stand once, across.
                    let own = own.map(|row| {
                        let cell = row.get(column).or(row.last()).unwrap();
                        cell.trim_end_matches(" in every version").to_owned()
                    });
                    if version != "from" {
                        held.entry(version.clone()).or_default().extend(own);
                    }
                }
            }
            assert_eq!(held, answers, "{unit}, {heading}");
        }
    }
}

/// "2(b) t" is an answer's row and so is "13", of a question of one part; "2 brine / t" is
/// one of given values.
fn is_answer(head: &str) -> bool {
    let rest = head.trim_start_matches(|c: char| c.is_ascii_digit());
    rest.starts_with('(') || rest.trim().is_empty()
}

#[test]
fn above_sixty_versions_the_tables_say_where_the_rest_is() {
    let folder = tempfile::tempdir().unwrap();
    let unit = folder.path().join("pan.md");
    std::fs::write(&unit, PAN.replace("400 kg", "300 to 900 kg, step 5")).unwrap();
    let files = printed(&job(&unit, 63));
    let scheme = page(&files, "scheme.html");
    assert!(scheme.words().contains("the first 60 of 63 versions"));
    let tables = tables(&scheme);
    let held: Vec<&String> = tables
        .iter()
        .filter(|(heading, _)| heading == "Values in each version")
        .flat_map(|(_, rows)| &rows[0][1..])
        .collect();
    let first: Vec<String> = (0..60).map(letters).collect();
    assert_eq!(held, first.iter().collect::<Vec<_>>());
    assert_eq!(answers(&files).len(), 63);
    // Following through is shown for the first version only.
    let follow = tables.iter().filter(|(heading, _)| heading.starts_with("Follow through"));
    assert_eq!(follow.count(), 1);
}

/// Brine boiled down; the numbers are invented.
const PAN: &str = "\
---
id: pan
title: What leaves the pan
objectives: {masses: Calculate masses}
---

```question
id: pan-balance
objective: masses
level: apply
process:
  components: {salt: solute, water: solvent}
  operations:
    pan: {is: evaporation, feed: brine, vapour: steam, concentrate: slurry}
values:
  load: 400 kg
  weak: 5.0 %
  strong: 24 %
given:
  brine: {total: load, salt: weak}
  slurry: {salt: strong}
parts:
  a: {find: brine.salt, sig_figs: 2}
  b:
    find: slurry.total
    sig_figs: 2
    marks: 2
    mistakes:
      took away percentage points: load * (1 - (strong - weak))
      boiled off all the water: load * weak
  c: {find: steam.total, sig_figs: 3}
---
A pan holds {{ load }} of brine with {{ weak }} salt. It is boiled down to {{ strong }} salt.

(a) Calculate the mass of salt.

(b) Calculate the mass of slurry.

(c) Calculate the mass of steam.
```
";

#[test]
fn mistakes_are_followed_through_as_by_hand() {
    let folder = tempfile::tempdir().unwrap();
    let unit = folder.path().join("pan.md");
    std::fs::write(&unit, PAN).unwrap();
    let files = printed(&job(&unit, 1));
    let tables = tables(&page(&files, "scheme.html"));
    let (_, rows) =
        tables.iter().find(|(h, _)| h == "Follow through, question 1, version A").unwrap();
    // By hand: salt 0.05 x 400 = 20; slurry 20 / 0.24 = 83.3; steam 400 - 83.3 = 316.7.
    // The share of water: 0.95 x 400 = 380, and 380 / 0.24 = 1583 is more than was in the
    // pan, so no steam is left. Percentage points: 400 x (1 - 0.19) = 324, written 320 as the answer is
    // asked for in two figures, so steam 400 - 320 = 80.
    // All the water: slurry 20, steam 380.
    let expected = [
        ["mistake", "in (a)", "then (b)", "then (c)", "marks"],
        ["correct", "20", "83", "317", "1  2  1"],
        ["took the other share", "380", "no ft, absurd", "no ft, absurd", "0  1  0"],
        ["took away percentage points", "20", "320", "80.0 ft", "1  0  1"],
        ["boiled off all the water", "20", "20", "380 ft", "1  0  1"],
    ];
    assert_eq!(*rows, expected.map(|row| row.map(str::to_owned).to_vec()));
    let (_, scheme) = &tables[0];
    let guidance: Vec<&str> = scheme.iter().map(|row| row[3].as_str()).collect();
    assert!(guidance.iter().any(|g| g.contains("ft their (a)") && g.contains("reject 320")));
    // (c) rests on both, through the slurry.
    assert!(guidance.iter().any(|g| g.contains("ft their (a) and (b)")), "{guidance:?}");
}

#[test]
fn pages_for_reading_machines_are_well_formed() {
    for unit in UNITS {
        let files = printed(&job(unit, 1));
        for name in ["worksheet-A.html", "answer-key-A.html", "lesson.html", "scheme.html"] {
            let page = page(&files, name);
            check_page(&format!("{unit}, {name}"), &page);
        }
    }
}

fn check_page(name: &str, page: &Node) {
    let root = page.tagged("html")[0];
    assert!(root.attribute("lang").is_some_and(|lang| lang.starts_with("en")), "{name}");
    assert!(!page.tagged("title")[0].words().is_empty(), "{name}");
    assert!(page.tagged("script").is_empty() && page.tagged("link").is_empty(), "{name}");
    let fetched = |node: &&Node| node.attribute("src").is_some_and(|src| !src.starts_with("data:"));
    assert!(!page.all().iter().any(fetched), "{name}: something fetched");
    assert_eq!((page.tagged("h1").len(), page.tagged("main").len()), (1, 1), "{name}");
    let mut above = 0;
    for node in page.all() {
        let level = node.tag.strip_prefix('h').and_then(|level| level.parse::<u32>().ok());
        if let Some(level) = level {
            assert!(level <= above + 1, "{name}: {} skips a level", node.words());
            assert!(!node.words().trim().is_empty(), "{name}: a heading without words");
            above = level;
        }
        match node.tag.as_str() {
            "th" => assert!(node.attribute("scope").is_some(), "{name}: a head without scope"),
            "table" => assert!(!node.tagged("th").is_empty(), "{name}: a table without heads"),
            "img" => assert!(node.attribute("alt").is_some(), "{name}: a picture without words"),
            "ul" | "ol" => {
                assert!(node.inside.iter().all(|item| matches!(item.tag.as_str(), "li" | "")));
            }
            _ => {}
        }
        if node.attribute("role") == Some("img") {
            let named = node.attribute("aria-label").or(node.attribute("aria-labelledby"));
            assert!(named.is_some_and(|words| !words.is_empty()), "{name}");
        }
    }
}

#[test]
fn a_page_tells_what_the_paper_tells_in_the_same_order() {
    let squeezed = |text: &str| -> String { text.split_whitespace().collect() };
    for unit in UNITS {
        let files = printed(&job(unit, 1));
        let paper = Document::load_mem(&files["worksheet-A.pdf"]).unwrap();
        let pages: Vec<u32> = paper.get_pages().into_keys().collect();
        let paper = squeezed(&paper.extract_text(&pages).unwrap());
        let page = page(&files, "worksheet-A.html");
        // Stems and demands; what stands in answer lines is drawn from the right.
        let plain = |p: &&Node| p.attribute("class").is_none() && p.classed("blank").is_empty();
        let main = page.tagged("main")[0];
        // A figure is told in words that are not on paper.
        let told: Vec<&Node> =
            main.tagged("figure").into_iter().flat_map(|figure| figure.tagged("p")).collect();
        let on_paper = |p: &&Node| !told.iter().any(|other| std::ptr::eq(*other, *p));
        let texts: Vec<String> = main
            .tagged("p")
            .into_iter()
            .filter(plain)
            .filter(on_paper)
            .map(|p| squeezed(&p.words()))
            .collect();
        assert!(texts.len() > 40, "{unit}: only {} texts", texts.len());
        let mut at = 0;
        // A gap is a rule on paper, which has no text.
        for text in texts.iter().flat_map(|text| text.split("_____")) {
            let found = paper[at..].find(text);
            at += found.unwrap_or_else(|| panic!("{unit}: {text:?} is not next on paper"));
            at += text.len();
        }
    }
}

/// The answers on a teacher's copy, one a line or list of boxes, as the table has them.
fn given(key: &Node) -> Vec<String> {
    let mut found = Vec::new();
    for node in key.all() {
        if node.attribute("class") == Some("boxes") {
            let items = node.inside.iter().filter(|item| !item.classed("key").is_empty());
            let marks: Vec<String> = items
                .map(|item| match item.classed("key")[0].words().as_str() {
                    // The letter of what is ticked, else its words.
                    "[right]" => match item.tagged("b").get(1) {
                        Some(letter) => letter.words(),
                        None => item.words().replace("[right] ", ""),
                    },
                    fill => fill.to_owned(),
                })
                .collect();
            found.extend((!marks.is_empty()).then(|| marks.join(" ")));
        } else if node.tag == "td" {
            // A cell that was to be filled in.
            let own = node.inside.iter().filter(|n| matches!(n.tag.as_str(), "b" | "strong"));
            found.extend(own.map(Node::words));
        } else if node.attribute("class") != Some("key") && node.tag != "li" {
            let own = node.inside.iter().filter(|n| n.attribute("class") == Some("key"));
            found.extend(own.map(Node::words));
        }
    }
    found
}

#[test]
fn the_key_page_has_the_answers_and_the_worksheet_page_has_none() {
    for unit in UNITS {
        let files = printed(&job(unit, 2));
        let answers = answers(&files);
        for (version, expected) in &answers {
            let key = page(&files, &format!("answer-key-{version}.html"));
            // Words in gaps stand in their sentence; all else is marked as the key's.
            let expected: Vec<&String> = expected.iter().filter(|a| !a.contains(", ")).collect();
            let given = given(&key);
            assert_eq!(given.iter().collect::<Vec<_>>(), expected, "{unit}, version {version}");
            let sheet = page(&files, &format!("worksheet-{version}.html"));
            assert!(sheet.classed("key").is_empty() && sheet.classed("working").is_empty());
            assert!(!sheet.words().contains("Worked answers"));
            // Beside the answers a blank each, a box each, and those for score, name, class
            // and date.
            let lists = sheet.classed("boxes");
            let boxes: usize = lists.iter().map(|list| list.classed("blank").len()).sum();
            let filled = lists.iter().filter(|list| !list.classed("blank").is_empty()).count();
            let blanks = sheet.classed("blank").len() - boxes + filled;
            assert!(blanks >= expected.len() + 4, "{unit}, version {version}");
        }
    }
}

#[test]
fn the_same_run_gives_the_same_pages() {
    let folder = tempfile::tempdir().unwrap();
    let unit = folder.path().join("pan.md");
    std::fs::write(&unit, PAN).unwrap();
    assert!(printed(&job(&unit, 1)) == printed(&job(&unit, 1)));
}

proptest! {
    /// Whatever an author writes, the page can be read and nothing acts.
    #[test]
    fn any_text_makes_a_sound_page(text in "\\PC{0,200}", cell in "[^\\n]{0,40}") {
        let markdown = format!("{text}\n\n# {cell}\n\n- {cell}\n\n| a | b |\n|---|---|\n| {cell} | x |\n");
        if let Ok(document) = stillroom::document::read(&markdown) {
            for copy in [CopyFor::Learner, CopyFor::Teacher] {
                let page = html::read(&write_html(&document, copy));
                prop_assert!(page.is_ok(), "{:?} for {:?}", page, markdown);
                prop_assert!(page.unwrap().tagged("script").is_empty());
            }
        }
    }
}
