//! A paper printed for every desk: whose copy lies where, what arrangements change, how
//! copies are put together, and what is told of a roster with mistakes in it.

#![allow(clippy::unwrap_used)] // also in the helpers, which are no test functions

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use lopdf::{Document, Object};
use stillroom::composing::Profile;
use stillroom::diag::{Code, Diagnostic, Severity};
use stillroom::run::{ClassSet, Collate, Extras, PrintJob, Printed, SetJob, print, set};
use tempfile::TempDir;

/// One question in many versions.
const UNIT: &str = "---
id: tarnwick-borax
title: Borax from a dry lake
objectives:
  masses: Calculate the masses that enter and leave a step
---

```question
id: pan
objective: masses
level: apply
values:
  brine: 200 to 400 kg, step 5
find: brine / 2
---
Half of {{ brine }} of brine is boiled down. How much is that?
```
";

const PAPER: &str = "---
paper: A short test
from: [unit.md]
minutes: 75
seed: 12
versions: 4
---

| objective | apply |
|:----------|------:|
| masses    |     1 |
";

struct Desk {
    folder: TempDir,
}

impl Desk {
    fn new(versions: u32) -> Desk {
        let desk = Desk { folder: tempfile::tempdir().unwrap() };
        desk.put("unit.md", UNIT);
        let paper = PAPER.replace("versions: 4", &format!("versions: {versions}"));
        desk.put("short.paper.md", &paper);
        let done = set(&SetJob { paper: desk.at("short.paper.md"), again: false }).unwrap();
        assert!(done.outcome.is_some(), "{:?}", done.findings);
        desk
    }

    fn at(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn put(&self, name: &str, text: &str) {
        fs::write(self.at(name), text).unwrap();
    }

    fn job(&self, roster: &Path) -> PrintJob {
        PrintJob {
            unit: self.at("short.paper.md"),
            versions: 1,
            only: None,
            seed: 1,
            out: self.at("out"),
            one_file: false,
            html: false,
            profile: Profile::default(),
            extras: Extras::default(),
            roster: Some(roster.to_owned().into()),
        }
    }

    fn print(&self, job: &PrintJob) -> Printed {
        print(job, &mut |_| {}).unwrap()
    }

    /// Prints for a roster of this text.
    fn with(&self, roster: &str) -> Printed {
        self.put("roster.csv", roster);
        self.print(&self.job(&self.at("roster.csv")))
    }

    fn made(&self, name: &str) -> PathBuf {
        self.at("out").join("short").join(name)
    }

    /// The files of class sets, in order.
    fn sets(&self) -> Vec<String> {
        let names = fs::read_dir(self.at("out/short")).unwrap();
        let names = names.map(|entry| entry.unwrap().file_name().into_string().unwrap());
        let is_set = |name: &String| {
            ["room", "class", "version", "packing"].iter().any(|kind| name.starts_with(kind))
        };
        let found: BTreeSet<String> = names.filter(is_set).collect();
        found.into_iter().collect()
    }

    /// The version that the form says each learner was given, by name.
    fn versions(&self) -> BTreeMap<String, String> {
        let text = fs::read_to_string(self.made("responses.csv")).unwrap();
        let rows = text.lines().skip(1).map(|line| line.split(',').collect::<Vec<_>>());
        rows.map(|cells| (cells[0].to_owned(), cells[2].to_owned())).collect()
    }
}

/// Thirty learners at six times five desks, one of whom is to sit in a room of their own.
fn laboratory() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/rosters/laboratory.csv")
}

/// Name, class, row, seat and arrangements of each.
fn learners() -> Vec<[String; 5]> {
    let text = fs::read_to_string(laboratory()).unwrap();
    text.lines()
        .skip(1)
        .map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            [cells[0], cells[1], cells[3], cells[4], cells[5]].map(str::to_owned)
        })
        .collect()
}

/// The text of each page.
fn pages(path: &Path) -> Vec<String> {
    let document = Document::load(path).unwrap();
    let text = |number: &u32| {
        let text = document.extract_text(&[*number]).unwrap();
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    document.get_pages().keys().map(text).collect()
}

/// The pages of each copy, the front page first.
fn copies(path: &Path) -> Vec<Vec<String>> {
    let mut found: Vec<Vec<String>> = Vec::new();
    for page in pages(path) {
        if page.contains("candidate number") {
            found.push(Vec::new());
        }
        found.last_mut().unwrap().push(page);
    }
    found
}

/// The sizes of type on a page.
fn sizes(path: &Path, number: u32) -> Vec<f32> {
    let document = Document::load(path).unwrap();
    let page = document.get_pages()[&number];
    let content = document.get_and_decode_page_content(page).unwrap();
    let fonts = content.operations.iter().filter(|operation| operation.operator == "Tf");
    fonts.map(|operation| operation.operands[1].as_float().unwrap()).collect()
}

#[test]
fn every_learner_has_a_copy_of_their_own_in_the_order_of_the_desks() {
    let desk = Desk::new(4);
    let printed = desk.print(&desk.job(&laboratory()));
    assert!(printed.findings.is_empty(), "{:?}", printed.findings);
    assert_eq!(desk.sets(), ["packing-list.pdf", "room-laboratory-2.pdf", "room-own.pdf"]);
    // 29 at desks, one apart, two spare and one.
    assert_eq!(printed.copies, 33);
    let all = learners();
    let seated: Vec<&[String; 5]> = all.iter().filter(|l| !l[4].contains("own room")).collect();
    let versions = desk.versions();
    let copies = copies(&desk.made("room-laboratory-2.pdf"));
    assert_eq!(copies.len(), seated.len() + 2);
    for (pages, [name, class, row, seat, _]) in copies.iter().zip(&seated) {
        let place = format!("Laboratory 2, row {row}, seat {seat}");
        assert!(pages[0].contains(name) && pages[0].contains(class), "{name}: {}", pages[0]);
        assert!(pages.len() >= 2 && pages.len() % 2 == 0, "{name} has {} pages", pages.len());
        for page in pages.iter().filter(|page| !page.starts_with("Blank page")) {
            assert!(page.contains(&place), "{name}: {page}");
        }
        for page in pages[1..].iter().filter(|page| !page.starts_with("Blank page")) {
            assert!(page.starts_with(&format!("{name}, {class}")), "{page}");
        }
        let code = format!("{}-", versions[name]);
        assert!(pages.iter().all(|page| page.contains(&code)), "{name} has not {code}");
    }
    // Spare ones are of different versions and bear nobody's name.
    let spare = &copies[seated.len()..];
    assert!(spare.iter().flatten().all(|page| all.iter().all(|l| !page.contains(&l[0]))));
    assert_ne!(code_on(&spare[0]), code_on(&spare[1]));
}

/// The version's code, which stands on every page.
fn code_on(copy: &[String]) -> String {
    let signs: Vec<char> = copy[0].chars().collect();
    let is_code = |five: &&[char]| {
        let check = five[2..].iter().all(|c| c.is_ascii_uppercase() || c.is_ascii_digit());
        ('A'..='D').contains(&five[0]) && five[1] == '-' && check
    };
    signs.windows(5).rfind(is_code).unwrap().iter().collect()
}

#[test]
fn neighbours_never_have_the_same_paper() {
    let desk = Desk::new(4);
    desk.print(&desk.job(&laboratory()));
    let versions = desk.versions();
    let mut at: BTreeMap<(i32, i32), String> = BTreeMap::new();
    for [name, _, row, seat, arranged] in learners() {
        if !arranged.contains("own room") {
            at.insert((row.parse().unwrap(), seat.parse().unwrap()), versions[&name].clone());
        }
    }
    assert_eq!(at.len(), 29);
    for ((row, seat), version) in &at {
        for (down, along) in [(0, 1), (1, -1), (1, 0), (1, 1)] {
            let other = at.get(&(row + down, seat + along));
            assert_ne!(other, Some(version), "row {row}, seat {seat}");
        }
    }
    assert_eq!(at.values().collect::<BTreeSet<_>>().len(), 4);
}

#[test]
fn a_copy_is_the_paper_of_its_version() {
    let desk = Desk::new(4);
    desk.print(&desk.job(&laboratory()));
    let versions = desk.versions();
    let copies = copies(&desk.made("room-laboratory-2.pdf"));
    let mut seen = BTreeSet::new();
    for (pages_of_copy, [name, class, row, seat, arranged]) in copies.iter().zip(learners()) {
        if arranged.contains("print") || arranged.contains("contrast") {
            continue;
        }
        let paper = pages(&desk.made(&format!("paper-{}.pdf", versions[&name])));
        assert_eq!(pages_of_copy.len(), paper.len());
        for (own, page) in pages_of_copy[1..].iter().zip(&paper[1..]) {
            let own =
                own.replace(&format!("{name}, {class} Laboratory 2, row {row}, seat {seat} "), "");
            assert_eq!(own, page.replacen("A short test ", "", 1), "{name}");
        }
        seen.insert(versions[&name].clone());
        if seen.len() == 4 {
            return;
        }
    }
    panic!("only {seen:?} were compared");
}

#[test]
fn arrangements_change_the_copy() {
    let desk = Desk::new(4);
    let roster = "Name;Class;Room;Row;Seat;Access arrangements
Ivo Marram;9B;Hall;A;1;Large print, extra time
Maren Fennick;9B;Hall;A;2;
Tobin Aldous;9B;Hall;A;3;extra time: 10 minutes; high contrast
Ada Quill;9B;Hall;B;1;pale blue paper
Lev Thorne;9B;Hall;B;2;own room; 50% extra time
";
    // A cell with semicolons is quoted where semicolons part the cells.
    let roster = roster
        .replace(
            "extra time: 10 minutes; high contrast",
            "\"extra time: 10 minutes; high contrast\"",
        )
        .replace("own room; 50% extra time", "\"own room; 50% extra time\"");
    let printed = desk.with(&roster);
    assert!(printed.findings.is_empty(), "{:?}", printed.findings);
    let hall = desk.made("room-hall.pdf");
    let copies = copies(&hall);
    let times =
        ["94 minutes (25 % extra)", "75 minutes", "85 minutes (10 minutes extra)", "75 minutes"];
    for (copy, time) in copies.iter().zip(times) {
        let front = copy[0].replace('\u{202f}', " ");
        assert!(front.contains(time), "{time}: {front}");
        assert_eq!(front.contains("extra)"), time.contains("extra)"), "{front}");
    }
    let first = |at: usize| copies[..at].iter().map(Vec::len).sum::<usize>() as u32 + 1;
    assert!(sizes(&hall, first(0)).contains(&18.0), "the body of large print has 18 pt");
    assert!(!sizes(&hall, first(1)).contains(&18.0));
    let own = pages(&desk.made("room-own.pdf"));
    assert!(own[0].contains("Lev Thorne") && own[0].contains("113 minutes"), "{}", own[0]);
    assert!(own[0].contains("own room") && !own[0].contains("row B"), "{}", own[0]);
    // What cannot be seen on a copy is told to whoever packs.
    let list = pages(&desk.made("packing-list.pdf")).join("\n");
    let (from, to) = (first(3), first(4) - 1);
    let blue = format!("pages {from} to {to} of room-hall.pdf (Ada Quill)");
    for words in
        [blue.as_str(), "Seating plan", "row B", "Own room", "high contrast", "front of the room"]
    {
        assert!(list.contains(words), "the list lacks {words}: {list}");
    }
}

#[test]
fn learners_are_found_by_bookmark_and_page_label() {
    let desk = Desk::new(4);
    desk.with("name,class\nIvo Marram,9B\nMaren Fennick,9B\n");
    let path = desk.made("class-9b.pdf");
    let document = Document::load(&path).unwrap();
    let toc = document.get_toc().unwrap().toc;
    let tops: Vec<&str> = toc.iter().filter(|e| e.level == 1).map(|e| e.title.as_str()).collect();
    let versions = desk.versions();
    assert_eq!(tops[0], format!("Ivo Marram ({})", versions["Ivo Marram"]));
    assert_eq!(tops[1], format!("Maren Fennick ({})", versions["Maren Fennick"]));
    assert!(tops[2].starts_with("Spare copy 1, Class 9B (") && tops.len() == 4, "{tops:?}");
    let catalog = document.catalog().unwrap();
    let labels = catalog.get(b"PageLabels").unwrap().as_dict().unwrap();
    let numbers = labels.get(b"Nums").unwrap().as_array().unwrap();
    let starts: Vec<i64> = numbers.iter().filter_map(|n| n.as_i64().ok()).collect();
    assert_eq!(starts.len(), 4);
    let first = document.dereference(&numbers[1]).unwrap().1.as_dict().unwrap();
    assert!(matches!(first.get(b"P").unwrap(), Object::String(words, _)
        if String::from_utf8_lossy(words).contains("Ivo Marram")));
}

#[test]
fn copies_are_put_together_by_room_class_or_version() {
    let desk = Desk::new(4);
    let cases: [(Option<Collate>, u32, &[&str], usize); 4] = [
        (None, 2, &["room-laboratory-2.pdf", "room-own.pdf"], 33),
        (Some(Collate::Class), 1, &["class-10a.pdf", "class-10b.pdf"], 32),
        (
            Some(Collate::Version),
            0,
            &["version-A.pdf", "version-B.pdf", "version-C.pdf", "version-D.pdf"],
            30,
        ),
        (Some(Collate::Room), 0, &["room-laboratory-2.pdf", "room-own.pdf"], 30),
    ];
    for (collate, spare, files, all) in cases {
        let roster = Some(ClassSet { roster: laboratory(), collate, spare });
        let printed = desk.print(&PrintJob { roster, ..desk.job(&laboratory()) });
        assert_eq!(printed.copies, all, "{collate:?}");
        // Sets that were put together in another way are gone.
        let mut wanted = vec!["packing-list.pdf".to_owned()];
        wanted.extend(files.iter().map(|name| (*name).to_owned()));
        wanted.sort();
        assert_eq!(desk.sets(), wanted);
        let found: Vec<Vec<Vec<String>>> = files.iter().map(|f| copies(&desk.made(f))).collect();
        assert_eq!(found.iter().map(Vec::len).sum::<usize>(), all);
        let text: String = found.iter().flatten().map(|copy| copy[0].as_str()).collect();
        assert!(learners().iter().all(|learner| text.contains(&learner[0])));
        if collate == Some(Collate::Version) {
            for (copies, letter) in found.iter().zip(["A", "B", "C", "D"]) {
                assert!(copies.iter().all(|copy| code_on(copy).starts_with(letter)));
            }
        }
    }
    // One version printed anew is no set; the sets stay as they are.
    let one = PrintJob { only: Some(1), ..desk.job(&laboratory()) };
    assert_eq!(desk.print(&one).copies, 0);
    assert_eq!(desk.sets().len(), 3);
    let none = PrintJob { roster: None, ..desk.job(&laboratory()) };
    desk.print(&none);
    assert_eq!(desk.sets(), [""; 0]);
}

#[test]
fn the_same_again_elsewhere_is_the_same_to_the_byte() {
    let (here, there) = (Desk::new(3), Desk::new(3));
    for desk in [&here, &there] {
        desk.print(&desk.job(&laboratory()));
    }
    assert_eq!(here.sets(), there.sets());
    for name in here.sets() {
        let bytes = |desk: &Desk| fs::read(desk.made(&name)).unwrap();
        assert!(bytes(&here) == bytes(&there), "{name} differs");
    }
}

#[test]
fn versions_that_a_roster_pins_are_given() {
    let desk = Desk::new(4);
    let roster = "name,room,row,seat,version\nIvo,Hall,1,1,C\nMaren,Hall,1,2,\nTobin,Hall,2,1,a\nAda,Hall,2,2,\n";
    let printed = desk.with(roster);
    assert!(printed.findings.is_empty(), "{:?}", printed.findings);
    let versions = desk.versions();
    assert_eq!((versions["Ivo"].as_str(), versions["Tobin"].as_str()), ("C", "A"));
    let rest = BTreeSet::from([versions["Maren"].as_str(), versions["Ada"].as_str()]);
    assert_eq!(rest, BTreeSet::from(["B", "D"]));
}

/// The findings of a roster that keep it from being printed, or are only told.
fn told(versions: u32, roster: &str) -> Vec<Diagnostic> {
    let desk = Desk::new(versions);
    let printed = desk.with(roster);
    let wrong = printed.findings.iter().any(|finding| finding.severity == Severity::Error);
    assert_eq!(printed.folder.is_none(), wrong, "{:?}", printed.findings);
    assert_eq!(desk.at("out").exists(), !wrong, "half of it was written");
    for finding in &printed.findings {
        for part in [&finding.message, &finding.found, &finding.expected, &finding.next] {
            assert!(!part.is_empty(), "{finding:?}");
        }
    }
    printed.findings
}

#[test]
fn what_is_wrong_in_a_roster_is_told_by_row_and_column() {
    // Roster; code, where, and a word of what is found or what to do.
    let cases: [(&str, Code, &str, &str); 12] = [
        (
            "name,room,row,seat\nIvo,Hall,1,2\nAda,Hall,1,2\n",
            Code::RosterSeat,
            "Row 3, column D",
            "row 2",
        ),
        ("name,room,row,seat\nIvo,Hall,,2\n", Code::RosterSeat, "Row 2, column C", "no row"),
        ("name,room,row,seat\nIvo,Hall,2,\n", Code::RosterSeat, "Row 2, column D", "no seat"),
        ("name,room,row,seat\nIvo,Hall,2,window\n", Code::RosterSeat, "Row 2, column D", "window"),
        (
            "name,arrangements\nIvo,lrage print\n",
            Code::RosterArrangement,
            "Row 2, column B",
            "large print",
        ),
        (
            "name,arrangements\nIvo,large print; a fanfare\n",
            Code::RosterArrangement,
            "Row 2, column B",
            "fanfare",
        ),
        (
            "name,arrangements\nIvo,extra time 900 %\n",
            Code::RosterArrangement,
            "Row 2, column B",
            "900",
        ),
        (
            "name,class\nIvo,9B\nAda,9B\nivo,9b\n",
            Code::RosterLearner,
            "Row 4, column A",
            "first in row 2",
        ),
        ("name,version\nIvo,E\n", Code::RosterVersion, "Row 2, column B", "A to D"),
        (
            "name,arangements\nIvo,large print\n",
            Code::RosterColumn,
            "Row 1, column B",
            "arrangements",
        ),
        ("name,class\nZo\u{307}\u{4e2d},9B\n", Code::MissingGlyph, "Row 2", "by hand"),
        (
            "name,class\nJos\u{e9} \u{3b1},9B\nJos\u{e9} \u{3b1},9B\n",
            Code::RosterLearner,
            "Row 3, column A",
            "twice",
        ),
    ];
    for (roster, code, place, words) in cases {
        let findings = told(4, roster);
        let [finding] = &findings[..] else { panic!("{roster}: {findings:?}") };
        assert_eq!(finding.code, code, "{roster}");
        assert!(finding.message.starts_with(place), "{roster}: {}", finding.message);
        let all = [&finding.message, &finding.found, &finding.expected, &finding.next]
            .map(ToString::to_string);
        assert!(all.concat().contains(words), "{roster}: {finding:?}");
    }
}

#[test]
fn all_mistakes_of_a_roster_are_told_in_one_run() {
    let findings =
        told(2, "name,row,seat,arrangements,version\nIvo,1,1,large pint,C\nAda,,2,,\nIvo,1,1,,\n");
    let codes: Vec<Code> = findings.iter().map(|finding| finding.code).collect();
    assert_eq!(
        codes,
        [
            Code::RosterArrangement,
            Code::RosterVersion,
            Code::RosterSeat,
            Code::RosterLearner,
            Code::RosterSeat
        ]
    );
}

#[test]
fn neighbours_that_must_share_are_told_and_printed() {
    let four = "name,room,row,seat\nIvo,Hall,1,1\nAda,Hall,1,2\nLev,Hall,2,1\nOona,Hall,2,2\n";
    let findings = told(1, four);
    let [finding] = &findings[..] else { panic!("{findings:?}") };
    assert_eq!((finding.code, finding.found.as_ref()), (Code::SeatingShared, "versions: 1"));
    assert_eq!(told(2, four).len(), 0);
    let pinned = "name,room,row,seat,version\nIvo,Hall,1,1,B\nAda,Hall,1,2,B\nLev,Hall,2,1,\n";
    let findings = told(4, pinned);
    let [finding] = &findings[..] else { panic!("{findings:?}") };
    assert_eq!(finding.code, Code::SeatingShared);
    assert!(
        finding.message.starts_with("Row 3:") && finding.message.contains("`Ivo`"),
        "{}",
        finding.message
    );
}

#[test]
fn rosters_are_read_as_a_person_would() {
    // Roster, and the learners that come of it.
    let cases: [(&str, &[&str]); 6] = [
        ("Ivo Marram\nMaren Fennick\n", &["Ivo Marram", "Maren Fennick"]),
        (
            "Surname;Forename;DOB\nMarram;Ivo;1.1.\nFennick;Maren;2.2.\n",
            &["Ivo Marram", "Maren Fennick"],
        ),
        ("\u{feff}PUPIL\tGROUP\tDesk\nIvo  Marram\t9B\tB3\n\t9B\tB4\n", &["Ivo Marram"]),
        ("name,class\nIvo,9B\nIvo,9C\n", &["Ivo", "Ivo"]),
        ("name,room,row,seat,arrangements\nIvo,Hall,1,1,none\nAda,hall,1,2,-\n", &["Ada", "Ivo"]),
        // Two groups without rooms, each with a first desk.
        ("name,class,row,seat\nIvo,9B,1,1\nAda,9C,1,1\n", &["Ada", "Ivo"]),
    ];
    for (roster, names) in cases {
        let desk = Desk::new(2);
        let printed = desk.with(roster);
        assert!(printed.findings.is_empty(), "{roster}: {:?}", printed.findings);
        let text = fs::read_to_string(desk.made("responses.csv")).unwrap();
        let mut found: Vec<&str> =
            text.lines().skip(1).filter_map(|line| line.split(',').next()).collect();
        found.sort_unstable();
        assert_eq!(found, names, "{roster}");
    }
}
