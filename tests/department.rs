//! Each key of `department.yaml` and where it is seen: on a paper, on a unit's sheets, in
//! what marking gives.

use std::fs;
use std::path::Path;

use stillroom::composing::Profile;
use stillroom::composing::page::{Composed, Mark};
use stillroom::reading::department::Department;
use stillroom::run::{Extras, MarkJob, PrintJob, SetJob, laid_out, mark, print, set};
use tempfile::TempDir;

const UNIT: &str = "---
id: salt
title: Salt from a pan
objectives:
  masses: Calculate the masses that enter and leave a step
---

```question
id: half
objective: masses
level: apply
values:
  brine: 2500 kg
find: brine / 2
marks: 2
---
What is half of {{ brine }} of brine?
```
";

const PAPER: &str = "---
paper: A term
from: [salt.md]
minutes: 20
versions: 1
---

| objective | LEVEL |
|:--|--:|
| masses | 2 |
";

const BADGE: &str = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"20\" height=\"30\">\
<path d=\"M2 2 H18 V28 H2 Z\" fill=\"#123456\"/></svg>";

/// A unit and a paper in a school of such habits, the questions chosen.
fn desk(department: &str) -> TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    let level = if department.contains("levels:") { "use" } else { "apply" };
    let paper = PAPER.replace("LEVEL", level);
    let files = [
        ("salt.md", UNIT),
        ("term.paper.md", paper.as_str()),
        ("badge.svg", BADGE),
        ("department.yaml", department),
    ];
    for (name, text) in files.into_iter().filter(|(_, text)| !text.is_empty()) {
        fs::write(folder.path().join(name), text).expect("it is written");
    }
    let paper = folder.path().join("term.paper.md");
    let done = set(&SetJob { paper, again: false }).expect("it runs");
    assert!(done.outcome.is_some(), "{department}: {:?}", done.findings);
    folder
}

fn job(folder: &Path, file: &str) -> PrintJob {
    PrintJob {
        unit: folder.join(file),
        versions: 1,
        only: None,
        seed: 1,
        out: folder.join("out"),
        one_file: false,
        html: true,
        profile: Profile::default(),
        extras: Extras::default(),
        roster: None,
    }
}

/// The words of a file's pages in the order in which they are drawn.
fn words(laid: &[(String, Composed)], name: &str) -> String {
    let composed = laid.iter().find(|(own, _)| own == name).map(|(_, composed)| composed);
    let mut text = String::new();
    for page in &composed.expect("it is laid out").pages {
        for mark in &page.marks {
            if let Mark::Text { glyphs, .. } = mark {
                text.extend(glyphs.iter().map(|glyph| glyph.text.as_str()));
                text.push(' ');
            }
        }
    }
    text
}

#[test]
fn each_key_is_seen_where_it_belongs() {
    let letters = "letters: {method: P, accuracy: VX, independent: S}";
    let cases = [
        ("school: Ebbwick School", "term.paper.md", "paper-A", "Ebbwick School"),
        ("need: [a slide rule]", "term.paper.md", "paper-A", "a slide rule"),
        ("instructions: [Write in ink.]", "term.paper.md", "paper-A", "Write in ink."),
        ("information: [Ink is blue.]", "term.paper.md", "paper-A", "Ink is blue."),
        ("foot: Wait for the bell.", "term.paper.md", "paper-A", "Wait for the bell."),
        (letters, "term.paper.md", "answer-key-A", "VX1"),
        (letters, "term.paper.md", "scheme", "P1"),
        (letters, "salt.md", "answer-key-A", "VX1"),
        (letters, "salt.md", "scheme", "VX1"),
        ("grades: {Best: 80 %, Good: 45 %}", "term.paper.md", "scheme", "Best"),
        ("grades: {Best: 80 %, Good: 45 %}", "salt.md", "scheme", "from marks"),
    ];
    let plain = desk("");
    for (department, file, name, seen) in cases {
        let folder = desk(department);
        let text = |folder: &TempDir| {
            words(&laid_out(&job(folder.path(), file)).expect("it is laid out"), name)
        };
        let (own, usual) = (text(&folder), text(&plain));
        assert!(own.contains(seen), "{department} in {file}, {name}: {own}");
        assert!(!usual.contains(seen), "{seen} stands in {name} without a department");
    }
}

#[test]
fn the_schools_letters_leave_none_of_the_usual_ones() {
    let folder = desk("letters: {method: P, accuracy: V, independent: S}");
    let laid = laid_out(&job(folder.path(), "salt.md")).expect("it is laid out");
    let scheme = words(&laid, "scheme");
    assert!(scheme.contains("P method") || scheme.contains("P  method"), "{scheme}");
    for usual in ["M1", "A1", "B1"] {
        assert!(!scheme.contains(usual), "{usual} in {scheme}");
        assert!(!words(&laid, "answer-key-A").contains(usual));
    }
}

#[test]
fn a_badge_is_drawn_on_the_front_page_and_told_by_the_schools_name() {
    let folder = desk("school: Ebbwick School\nbadge: badge.svg");
    let bare = desk("school: Ebbwick School");
    let marks = |folder: &TempDir| {
        let laid = laid_out(&job(folder.path(), "term.paper.md")).expect("it is laid out");
        laid[0].1.pages[0].marks.len()
    };
    assert_eq!(marks(&folder), marks(&bare) + 1);
    print(&job(folder.path(), "term.paper.md"), &mut |_| {}).expect("it is printed");
    let page = fs::read_to_string(folder.path().join("out/term/paper-A.html")).expect("it is");
    assert!(page.contains("alt=\"Ebbwick School\""), "{page}");
}

#[test]
fn the_language_is_that_of_papers_and_levels_are_those_of_their_tables() {
    // The table of the paper has the school's level in it.
    let levels =
        "levels: {recall: [remember, understand], use: apply, judge: [analyse, evaluate, create]}";
    let folder = desk(&format!("language: en-IE\n{levels}"));
    print(&job(folder.path(), "term.paper.md"), &mut |_| {}).expect("it is printed");
    let page = fs::read_to_string(folder.path().join("out/term/paper-A.html")).expect("it is");
    assert!(page.contains("lang=\"en-IE\""), "{page}");
}

/// Marks one response to the unit; gives its row of `marks.csv`, none if it is held back.
fn marked(department: &str, wrote: &str) -> Option<Vec<String>> {
    let folder = desk(department);
    let printed = print(&job(folder.path(), "salt.md"), &mut |_| {}).expect("it is printed");
    let printed = printed.folder.unwrap_or_else(|| panic!("{:?}", printed.findings));
    let form = fs::read_to_string(printed.join("responses.csv")).expect("it is there");
    let head = form.lines().find(|line| !line.starts_with('#')).expect("it has a head");
    let responses = folder.path().join("wrote.csv");
    fs::write(&responses, format!("{head}\nIda,9B,A,,,\"{wrote}\"\n")).expect("it is written");
    let job = MarkJob {
        unit: folder.path().join("salt.md"),
        responses,
        versions: 1,
        seed: 1,
        out: folder.path().join("out"),
        decimal: None,
        nameless: false,
        sheets: true,
        profile: Profile::default(),
    };
    let done = mark(&job, &mut |_| {}).expect("it runs");
    if done.learners == 0 {
        return None;
    }
    let table = fs::read_to_string(done.folder?.join("marks.csv")).expect("it is there");
    let row = table.lines().filter(|line| !line.starts_with('#')).nth(1)?;
    Some(row.split(',').map(ToOwned::to_owned).collect())
}

#[test]
fn the_decimal_mark_is_the_departments_where_the_file_leaves_doubt() {
    assert_eq!(marked("", "1,250"), None);
    let total = |department| marked(department, "1,250").and_then(|row| row.get(4).cloned());
    assert_eq!(total("decimal: point").as_deref(), Some("2"));
    assert_ne!(total("decimal: comma").as_deref(), Some("2"));
}

#[test]
fn answers_have_the_departments_figures_where_their_question_says_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    let printed = |name: &str, department: &str, keys: &str| -> String {
        let own = folder.path().join(name);
        fs::create_dir_all(&own).expect("it is made");
        if !department.is_empty() {
            fs::write(own.join("department.yaml"), department).expect("it is written");
        }
        let unit = "---\nid: thirds\ntitle: Thirds\nobjectives: {masses: Masses}\n---\n\n\
            ```question\nid: third\nobjective: masses\nvalues: {brine: 1000.0 kg}\n\
            find: brine / 3\nKEYS---\nA third of {{ brine }} is how much?\n```\n";
        fs::write(own.join("thirds.md"), unit.replace("KEYS", keys)).expect("it is written");
        let mut found = String::new();
        stillroom::run::solved_versions(&own.join("thirds.md"), 1, 1, &mut |_, _, solved| {
            found.clone_from(&solved[0].1[0].printed);
        })
        .expect("it runs");
        found
    };
    // 1000.0 kg has five figures; of a third as many are borne.
    assert_eq!(printed("none", "", ""), "333.33");
    assert_eq!(printed("three", "sig_figs: 3\n", ""), "333");
    assert_eq!(printed("own", "sig_figs: 3\n", "sig_figs: 2\n"), "330");
}

#[test]
fn marks_have_the_departments_grades() {
    let department = "grades: {Best: 80 %, Good: 45 %}";
    let grade = |department, wrote| marked(department, wrote).and_then(|row| row.get(6).cloned());
    assert_eq!(grade(department, "1250").as_deref(), Some("Best"));
    assert_eq!(grade(department, "-").as_deref(), Some("below Good"));
    assert_eq!(grade("", "1250"), None);
}

#[test]
fn a_boundary_is_the_least_marks_that_reach_its_share() {
    let shares = [("A", 80.0), ("B", 66.6), ("C", 35.0)];
    let grades = shares.iter().map(|(grade, share)| ((*grade).to_owned(), *share)).collect();
    let department = Department { grades, ..Department::default() };
    assert_eq!(department.boundaries(60), [("A", 48), ("B", 40), ("C", 21)]);
    for full in 1..=120 {
        let boundaries = department.boundaries(full);
        for given in 0..=full {
            let own = boundaries.iter().find(|(_, least)| given >= *least);
            let own = own.map_or_else(|| "below C".to_owned(), |(grade, _)| (*grade).to_owned());
            assert_eq!(department.grade(given, full), Some(own), "{given} of {full}");
        }
        let learners = vec![1; full as usize + 1];
        let graded = department.graded(&learners);
        assert_eq!(graded.iter().map(|(.., count)| count).sum::<u64>(), u64::from(full) + 1);
    }
}
