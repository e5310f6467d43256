//! Mistakes that show only when a unit is printed: too few versions, templates
//! that fail, files that cannot be opened or written. Nothing half-written stays.

use std::fs;
use std::path::{Path, PathBuf};

use stillroom::composing::Profile;
use stillroom::diag::{Code, Diagnostic, render};
use stillroom::run::{Extras, PrintJob, Printed, SetJob, Trouble, check, print, set};
use tempfile::TempDir;

/// Five values of one number, so five versions.
const UNIT: &str = "---
id: tarnwick-borax
title: Borax from a dry lake
objectives:
  masses: Calculate the masses that enter and leave a step
---

```question
id: pan
objective: masses
values:
  brine: 200 to 400 kg, step 50
require:
  - brine > 200 kg
find: brine / 2
---
Half of {{ brine }} of brine?
```
";

struct Desk {
    folder: TempDir,
}

impl Desk {
    fn new() -> Desk {
        let desk = Desk { folder: tempfile::tempdir().expect("a folder") };
        desk.put("unit.md", UNIT);
        desk
    }

    fn at(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn put(&self, name: &str, text: &str) {
        let path = self.at(name);
        fs::create_dir_all(path.parent().expect("a folder")).expect("it is made");
        fs::write(path, text).expect("it is written");
    }

    fn print(&self, versions: u32) -> Result<Printed, Trouble> {
        print(&self.job(versions), &mut |_| {})
    }

    fn job(&self, versions: u32) -> PrintJob {
        PrintJob {
            unit: self.at("unit.md"),
            versions,
            only: None,
            seed: 7,
            out: self.at("out"),
            one_file: false,
            html: false,
            profile: Profile::default(),
            extras: Extras::default(),
            roster: None,
        }
    }

    /// The one finding that keeps the unit from being printed.
    fn refused(&self, versions: u32) -> Diagnostic {
        let printed = self.print(versions).expect("a finding, no failure");
        assert!(printed.folder.is_none() && printed.versions == 0);
        assert!(!self.at("out").exists(), "something was written");
        let [finding] = &printed.findings[..] else { panic!("{:?}", printed.findings) };
        for part in [&finding.message, &finding.found, &finding.expected, &finding.next] {
            assert!(!part.is_empty(), "{finding:?}");
        }
        assert!(finding.message.ends_with(['.', '?']), "{finding:?}");
        assert!(render(finding, false).contains(&finding.message));
        finding.clone()
    }
}

fn place(finding: &Diagnostic) -> (usize, usize) {
    finding.place.line_column()
}

/// Every file below a folder, in order.
fn files(folder: &Path) -> Vec<String> {
    let Ok(entries) = fs::read_dir(folder) else { return Vec::new() };
    let mut found = Vec::new();
    for entry in entries {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            found.extend(files(&path));
        } else {
            found.push(path.file_name().expect("a name").to_string_lossy().into_owned());
        }
    }
    found.sort();
    found
}

#[test]
fn more_versions_than_exist() {
    let desk = Desk::new();
    let finding = desk.refused(9);
    assert_eq!(finding.code, Code::TooFewVersions);
    // The condition that costs a version is pointed at.
    assert_eq!(place(&finding), (14, 5));
    assert!(finding.message.contains("4 versions"), "{}", finding.message);
    assert!(finding.message.contains('9'), "{}", finding.message);
    assert_eq!(desk.print(4).expect("four there are").versions, 4);
}

#[test]
fn a_question_that_never_changes_does_for_any_number() {
    let desk = Desk::new();
    desk.put("unit.md", &UNIT.replace("200 to 400 kg, step 50", "300 kg"));
    assert_eq!(desk.print(3).expect("it prints").versions, 3);
}

#[test]
fn a_template_that_asks_for_what_is_not_there() {
    let desk = Desk::new();
    desk.put("templates/sheet.md", "# {{ title }}\n\n{{ titel }}\n");
    let finding = desk.refused(2);
    assert_eq!(finding.code, Code::TemplateFault);
    assert!(finding.message.contains("titel"), "{}", finding.message);
    assert_eq!(place(&finding).0, 3);
    assert!(finding.place.file.name().ends_with("sheet.md"));
    // Mended, it prints.
    desk.put("templates/sheet.md", "# {{ title }}\n");
    assert_eq!(desk.print(2).expect("it prints").versions, 2);
}

#[test]
fn a_template_that_cannot_be_read() {
    for (text, line) in [
        ("# {{ title }}\n{% if key %}\nKey.\n", 3),
        ("# {{ title }}\n\n{{ title | shout }}\n", 3),
        (
            "{% for n in range(100000) %}{% for m in range(1000) %}{{ n }}{% endfor %}{% endfor %}",
            1,
        ),
        ("{% include \"no-such.md\" %}", 1),
    ] {
        let desk = Desk::new();
        desk.put("templates/sheet.md", text);
        let finding = desk.refused(2);
        assert_eq!(finding.code, Code::TemplateFault, "{text}");
        assert_eq!(place(&finding).0, line, "{text}: {}", finding.message);
    }
}

#[test]
fn a_faulty_lesson_template_leaves_nothing_either() {
    let desk = Desk::new();
    desk.put("templates/lesson.md", "{{ headline }}\n");
    let finding = desk.refused(2);
    assert_eq!(finding.code, Code::TemplateFault);
    assert!(finding.place.file.name().ends_with("lesson.md"));
}

#[test]
fn a_template_whose_document_is_none() {
    let desk = Desk::new();
    desk.put("templates/sheet.md", "# {{ title }}\n\n```space\nlines: many\n```\n");
    let trouble = desk.print(2).expect_err("no such space").to_string();
    assert!(trouble.contains("sheet.md") && trouble.contains("line 3"), "{trouble}");
    assert_eq!(files(&desk.at("out")), [""; 0]);
}

#[test]
fn a_file_that_is_not_there() {
    let desk = Desk::new();
    fs::remove_file(desk.at("unit.md")).expect("it was there");
    assert_eq!(desk.refused(2).code, Code::Unreadable);
    let checked = check(&[desk.at("unit.md")]);
    assert!(checked.failed && checked.findings.len() == 1);
    assert_eq!(checked.findings[0].code, Code::Unreadable);
}

#[test]
fn a_folder_that_cannot_be_written() {
    let desk = Desk::new();
    // A file stands where the folder should be made.
    desk.put("out", "mine");
    let trouble = desk.print(2).expect_err("there is no room").to_string();
    assert!(trouble.starts_with("could not write") && trouble.contains("out"), "{trouble}");
    assert_eq!(fs::read_to_string(desk.at("out")).expect("it stays"), "mine");
    fs::remove_file(desk.at("out")).expect("it was there");
    desk.put("out/tarnwick-borax", "mine too");
    desk.print(2).expect_err("there is no room one level down");
    assert_eq!(files(&desk.at("out")), ["tarnwick-borax"]);
}

#[test]
fn a_place_that_is_taken_leaves_no_part_of_a_file() {
    let desk = Desk::new();
    // A folder stands where the second worksheet should be.
    desk.put("out/tarnwick-borax/worksheet-B.pdf/inside", "mine");
    let trouble = desk.print(3).expect_err("there is no room").to_string();
    assert!(trouble.contains("worksheet-B.pdf"), "{trouble}");
    let left = files(&desk.at("out"));
    assert!(left.iter().all(|name| !name.ends_with(".part")), "{left:?}");
    assert!(!left.contains(&"answers.csv".to_owned()), "{left:?}");
    for name in left.iter().filter(|name| name.ends_with(".pdf")) {
        let bytes = fs::read(desk.at("out/tarnwick-borax").join(name)).expect("it is there");
        lopdf::Document::load_mem(&bytes).expect("a whole file");
    }
}

/// A paper over the one unit.
const PAPER: &str = "---
paper: A short test
from: [unit.md]
minutes: 10
versions: 2
---

| objective | apply |
|:----------|------:|
| masses    |     1 |
";

#[test]
fn a_paper_that_was_not_set() {
    let desk = Desk::new();
    desk.put("unit.md", &UNIT.replace("objective: masses\n", "objective: masses\nlevel: apply\n"));
    desk.put("short.paper.md", PAPER);
    let job = PrintJob { unit: desk.at("short.paper.md"), ..desk.job(1) };
    let printed = print(&job, &mut |_| {}).expect("a finding, no failure");
    let [finding] = &printed.findings[..] else { panic!("{:?}", printed.findings) };
    assert_eq!(finding.code, Code::PaperNotChosen);
    assert!(finding.next.contains("stillroom set"), "{}", finding.next);
    assert!(!desk.at("out").exists(), "something was written");
}

#[test]
fn a_question_that_was_changed_since_it_was_chosen() {
    let desk = Desk::new();
    let unit = UNIT.replace("objective: masses\n", "objective: masses\nlevel: apply\n");
    desk.put("unit.md", &unit);
    desk.put("short.paper.md", PAPER);
    let paper = desk.at("short.paper.md");
    let done = set(&SetJob { paper: paper.clone(), again: false }).expect("it runs");
    assert!(done.outcome.is_some(), "{:?}", done.findings);
    desk.put("unit.md", &unit.replace("Half of", "One half of"));
    let job = PrintJob { unit: paper, ..desk.job(1) };
    let printed = print(&job, &mut |_| {}).expect("it is printed");
    let [finding] = &printed.findings[..] else { panic!("{:?}", printed.findings) };
    assert_eq!(finding.code, Code::PaperChanged);
    assert!(finding.next.contains("set --again"), "{}", finding.next);
    assert!(printed.folder.is_some());
}
