//! A second person's check of a paper: what its pack holds, what a signature covers, and
//! what each change opens again.

use std::fs;
use std::path::{Path, PathBuf};

use stillroom::composing::Profile;
use stillroom::composing::page::{Composed, Mark};
use stillroom::diag::{Code, Diagnostic};
use stillroom::run::{Extras, PrintJob, Reopened, SetJob, laid_out, print, set, since};
use tempfile::TempDir;

/// A works that is invented; its table too.
const UNIT: &str = "---
id: tarnwick-borax
title: Borax from a dry lake
objectives:
  masses: Calculate the masses that enter and leave a step
  words: Name what is done
---

The lake dries every sumer and leaves a white crust.

```data
id: warm-lake
title: Borax in the water of the lake
columns: temperature in degC
unit: g/100 g water
rows:
  borax: {10: 1.6, 20: 2.6, 30: 3.9, 40: 6.0}
source: invented
```

```figure
id: lake-curve
of: warm-lake
caption: Borax in the lake
```

```question
id: pan
title: A pan of brine
objective: masses
level: apply
values:
  brine: 200 to 400 kg, step 10
find: brine / 2
---
Half of {{ brine }} of brine is drawn off. How much is that?
```

```question
id: sieve
title: Over the sieve
objective: words
level: understand
values:
  crust: 100 to 400 kg, step 10
parts:
  a: {find: crust / 4}
  b:
    choose:
      answer: screening
      wrong:
        washing: nothing is dissolved here
        boiling: nothing is heated here
        melting: the crust stays solid
---
A quarter of {{ crust }} of crust is coarse.

(a) How much is that?

(b) How are coarse and fine crust parted?
```

```question
id: curve
title: From the curve
objective: masses
level: understand
figure: lake-curve
values:
  between: one of 12, 15, 22, 25, 28, 35 degC
  water: 100 to 400 kg, step 10
parts:
  a: {find: water / 5}
  b: {read: {figure: warm-lake, row: borax, at: between}, name: solubility of borax}
---
A fifth of {{ water }} of water is taken from the lake.

(a) How much is that?

(b) Read off the solubility of borax at {{ between }}.
```
";

const PAPER: &str = "---
paper: A short test
from: [unit.md]
minutes: 10
seed: 3
versions: 3
---

| objective | understand | apply |
|:----------|-----------:|------:|
| masses    |          2 |     1 |
| words     |          2 |       |

- Answer all questions.
";

struct Desk {
    folder: TempDir,
}

impl Desk {
    /// The small paper, its questions chosen and its pack printed.
    fn new() -> Desk {
        let desk = Desk { folder: tempfile::tempdir().expect("a folder") };
        desk.put("unit.md", UNIT);
        desk.put("short.paper.md", PAPER);
        let done = set(&SetJob { paper: desk.paper(), again: false }).expect("it runs");
        assert!(done.outcome.is_some(), "{:?}", done.findings);
        desk.pack();
        desk
    }

    fn at(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn paper(&self) -> PathBuf {
        self.at("short.paper.md")
    }

    fn record(&self) -> PathBuf {
        self.at("short.moderation.yaml")
    }

    fn put(&self, name: &str, text: &str) {
        fs::write(self.at(name), text).expect("it is written");
    }

    fn text(&self, name: &str) -> String {
        fs::read_to_string(self.at(name)).expect("it is there")
    }

    fn change(&self, name: &str, from: &str, to: &str) {
        let text = self.text(name);
        assert!(text.contains(from), "{name} has no {from:?}");
        self.put(name, &text.replacen(from, to, 1));
    }

    fn pack(&self) {
        let printed = print(&job(&self.paper(), None), &mut |_| {}).expect("it is printed");
        assert!(printed.folder.is_some(), "{:?}", printed.findings);
    }

    /// Signs every version.
    fn sign(&self) {
        let text = self.text("short.moderation.yaml");
        self.put("short.moderation.yaml", &signed(&text));
    }

    fn since(&self) -> Reopened {
        since(&self.paper(), &self.record()).expect("it runs")
    }
}

/// With a name and a date after every version.
fn signed(text: &str) -> String {
    let (versions, questions) = text.split_once("questions:").expect("both lists");
    let versions = versions.replace("checked_by:\n  on:", "checked_by: Ina Holt\n  on: 2031-05-02");
    format!("{versions}questions:{questions}")
}

fn job(paper: &Path, only: Option<u32>) -> PrintJob {
    PrintJob {
        unit: paper.to_owned(),
        versions: 1,
        only,
        seed: 1,
        out: paper.with_file_name("out"),
        one_file: false,
        html: false,
        profile: Profile::default(),
        extras: Extras { moderation: true, ..Extras::default() },
        roster: None,
    }
}

/// Codes with the words in the file that each finding points at.
fn pointed(findings: &[Diagnostic]) -> Vec<(Code, String)> {
    let words = |finding: &Diagnostic| {
        finding.place.file.slice(finding.place.span).trim_matches('"').to_owned()
    };
    findings.iter().map(|finding| (finding.code, words(finding))).collect()
}

/// What re-opens, and which versions are open, after a change of one file.
struct Change {
    says: &'static str,
    file: &'static str,
    from: &'static str,
    to: &'static str,
    reopens: &'static [&'static str],
    uncovered: &'static [&'static str],
}

const UNIT_FILE: &str = "unit.md";
const PAPER_FILE: &str = "short.paper.md";
const ALL: &[&str] = &["A", "B", "C"];

#[rustfmt::skip]
const CHANGES: &[Change] = &[
    Change { says: "prose", file: UNIT_FILE, from: "sumer", to: "summer", reopens: &[], uncovered: &[] },
    Change { says: "title of a question", file: UNIT_FILE, from: "A pan of", to: "One pan of", reopens: &[], uncovered: &[] },
    Change { says: "a date", file: PAPER_FILE, from: "seed: 3", to: "seed: 3\ndate: 4 May", reopens: &[], uncovered: &[] },
    Change { says: "stem", file: UNIT_FILE, from: "is drawn off", to: "runs off", reopens: &["tarnwick-borax/pan"], uncovered: ALL },
    Change { says: "values", file: UNIT_FILE, from: "200 to 400 kg", to: "210 to 410 kg", reopens: &["tarnwick-borax/pan"], uncovered: ALL },
    Change { says: "answer", file: UNIT_FILE, from: "brine / 2", to: "brine / 4", reopens: &["tarnwick-borax/pan"], uncovered: ALL },
    Change { says: "marks", file: UNIT_FILE, from: "find: brine / 2", to: "find: brine / 2\nmarks: 2", reopens: &["tarnwick-borax/pan"], uncovered: ALL },
    Change { says: "option", file: UNIT_FILE, from: "        melting:", to: "        freezing:", reopens: &["tarnwick-borax/sieve"], uncovered: ALL },
    Change { says: "caption", file: UNIT_FILE, from: "caption: Borax in", to: "caption: Salt in", reopens: &["tarnwick-borax/curve"], uncovered: ALL },
    Change { says: "a point of the curve", file: UNIT_FILE, from: "40: 6.0", to: "40: 6.4", reopens: &["tarnwick-borax/curve"], uncovered: ALL },
    Change { says: "time allowed", file: PAPER_FILE, from: "minutes: 10", to: "minutes: 12", reopens: &["front page"], uncovered: ALL },
    Change { says: "instruction", file: PAPER_FILE, from: "Answer all", to: "Try all", reopens: &["front page"], uncovered: ALL },
    Change { says: "more versions", file: PAPER_FILE, from: "versions: 3", to: "versions: 5", reopens: &[], uncovered: &["C"] },
    Change { says: "fewer versions", file: PAPER_FILE, from: "versions: 3", to: "versions: 2", reopens: &[], uncovered: &[] },
    Change { says: "another seed", file: PAPER_FILE, from: "seed: 3", to: "seed: 4", reopens: &[], uncovered: &["3"] },
];

#[test]
fn each_change_opens_what_it_touches_and_nothing_else() {
    let desk = Desk::new();
    desk.sign();
    for change in CHANGES {
        let before = desk.text(change.file);
        desk.change(change.file, change.from, change.to);
        let found = desk.since();
        let mark = desk.text("short.moderation.yaml");
        let front =
            mark.lines().find_map(|line| line.strip_prefix("front_page: ")).expect("a mark");
        let all = pointed(&found.findings);
        let of =
            |code: Code| -> Vec<&str> {
                let own = all.iter().filter(|(own, _)| *own == code);
                own.map(|(_, words)| {
                    if words == front.trim_matches('"') { "front page" } else { words.as_str() }
                })
                .collect()
            };
        assert_eq!(of(Code::ModerationReopened), change.reopens, "{}: {all:?}", change.says);
        assert_eq!(of(Code::ModerationUncovered), change.uncovered, "{}: {all:?}", change.says);
        assert_eq!(all.len(), change.reopens.len() + change.uncovered.len(), "{}", change.says);
        assert_eq!(found.is_open, !all.is_empty(), "{}", change.says);
        desk.put(change.file, &before);
    }
    let found = desk.since();
    assert!(!found.is_open && found.says.contains("nothing has changed"), "{}", found.says);
    assert!(found.says.contains("3 versions and 3 questions stay signed"), "{}", found.says);
}

#[test]
fn questions_that_move_go_or_come_are_told() {
    let desk = Desk::new();
    desk.sign();
    let list = desk.text("short.chosen.yaml");
    let lines: Vec<&str> = list.lines().filter(|line| line.starts_with("- {id")).collect();
    let [first, second, third] = lines[..] else { panic!("{list}") };
    let id = |line: &str| {
        let id = line.split("id: ").nth(1).and_then(|rest| rest.split(',').next());
        id.expect("an id").to_owned()
    };
    // The last is put first: the other two stand as they did.
    let around = |lines: &[&str]| {
        let head = list.split("- {id").next().expect("a head");
        format!("{head}{}\n", lines.join("\n"))
    };
    let question = id(second).split('/').nth(1).expect("an id").to_owned();
    for (lines, reopens) in
        [(vec![third, first, second], id(third)), (vec![first, third], id(second))]
    {
        desk.put("short.chosen.yaml", &around(&lines));
        let all = pointed(&desk.since().findings);
        let reopened: Vec<&str> = all
            .iter()
            .filter(|(code, _)| *code == Code::ModerationReopened)
            .map(|(_, words)| words.as_str())
            .collect();
        assert_eq!(reopened, [reopens.as_str()], "{all:?}");
        assert_eq!(all.len(), 1 + ALL.len(), "every version is open: {all:?}");
    }
    // Printed without the second question; then it comes again.
    desk.pack();
    desk.put("short.chosen.yaml", &list);
    let all = desk.since();
    let came = all.findings.iter().find(|finding| finding.code == Code::ModerationReopened);
    let came = came.expect("it was not checked");
    assert!(came.place.file.name().ends_with("unit.md"), "{came:?}");
    assert_eq!(came.place.file.slice(came.place.span), question);
}

#[test]
fn signatures_outlive_a_reprint_where_their_content_does() {
    let desk = Desk::new();
    let fresh = desk.text("short.moderation.yaml");
    let unsigned = desk.since();
    assert!(unsigned.is_open, "nobody has signed");
    assert_eq!(unsigned.findings[0].code, Code::ModerationUnsigned);
    desk.sign();
    let kept = desk.text("short.moderation.yaml");
    assert_ne!(fresh, kept);
    desk.pack();
    assert_eq!(desk.text("short.moderation.yaml"), kept, "a file that holds is left alone");
    desk.change(UNIT_FILE, "is drawn off", "runs off");
    desk.pack();
    let now = desk.text("short.moderation.yaml");
    let (versions, questions) = now.split_once("questions:").expect("both lists");
    assert!(!versions.contains("Ina Holt"), "all versions changed:\n{now}");
    let unchanged = questions.split("- id: ").filter(|one| one.contains("\"Ina Holt\"")).count();
    assert_eq!(unchanged, 2, "{now}");
    let pan = questions.split("- id: ").find(|one| one.contains("/pan")).expect("it is asked");
    assert!(!pan.contains("Ina Holt"), "{pan}");
    let found = desk.since();
    let codes: Vec<Code> = found.findings.iter().map(|finding| finding.code).collect();
    assert_eq!(codes, [Code::ModerationUnsigned], "nothing changed since, but it is to be signed");
    assert!(found.says.contains("2 questions stay signed"), "{}", found.says);
    desk.sign();
    assert!(!desk.since().is_open);
}

#[test]
fn a_moderation_file_that_cannot_be_used() {
    let desk = Desk::new();
    let text = desk.text("short.moderation.yaml");
    let hash = text.split("  hash: ").nth(1).and_then(|rest| rest.lines().next()).expect("a hash");
    let second = text.split("- id: ").nth(1).and_then(|rest| rest.lines().next()).expect("an id");
    let third = text.split("- id: ").nth(2).and_then(|rest| rest.lines().next()).expect("an id");
    let cases = [
        ("something: else\n".to_owned(), "something: else"),
        (text.replace("paper: short", "paper: tall"), "tall"),
        (text.replacen(hash, "\"700d\"", 1), "700d"),
        (text.replacen("version: A", "version: C", 1), "C"),
        (text.replacen(third, second, 1), second),
    ];
    for (text, at) in cases {
        desk.put("short.moderation.yaml", &text);
        let found = desk.since();
        assert!(found.is_open && found.says.is_empty(), "{at}: {}", found.says);
        assert_eq!(pointed(&found.findings), [(Code::ModerationFile, at.to_owned())], "{text}");
        let finding = &found.findings[0];
        assert!(!finding.found.is_empty() && !finding.expected.is_empty(), "{finding:?}");
        assert!(!finding.next.is_empty(), "{finding:?}");
    }
    // YAML that breaks off is told as such, and nothing is made of it.
    desk.put("short.moderation.yaml", &format!("{text}- id: [\n"));
    let found = desk.since();
    assert!(found.is_open && found.says.is_empty() && !found.findings.is_empty());
    // Printing does not write over it.
    let damaged = desk.text("short.moderation.yaml");
    let printed = print(&job(&desk.paper(), None), &mut |_| {}).expect("findings");
    assert!(printed.folder.is_none());
    assert_eq!(desk.text("short.moderation.yaml"), damaged);
}

#[test]
fn what_a_moderation_finding_says() {
    // One case of each code that `check --since` alone raises.
    let desk = Desk::new();
    let code = |found: &Reopened| found.findings[0].code;
    assert_eq!(code(&desk.since()), Code::ModerationUnsigned);
    desk.sign();
    desk.change(UNIT_FILE, "is drawn off", "runs off");
    let found = desk.since();
    let all: Vec<Code> = found.findings.iter().map(|finding| finding.code).collect();
    assert!(all.contains(&Code::ModerationReopened) && all.contains(&Code::ModerationUncovered));
    let reopened = found.findings.iter().find(|f| f.code == Code::ModerationReopened);
    let reopened = reopened.expect("one");
    assert!(reopened.place.file.name().ends_with("short.moderation.yaml"));
    let (place, _) = &reopened.related[0];
    assert!(place.file.name().ends_with("unit.md"), "{reopened:?}");
    assert_eq!(place.file.slice(place.span), "pan");
    assert!(found.says.contains("1 question re-opens, 3 versions open"), "{}", found.says);
}

/// The texts of each page, joined.
fn pages(composed: &Composed) -> Vec<String> {
    let page = |marks: &[Mark]| {
        let texts = marks.iter().filter_map(|mark| match mark {
            Mark::Text { glyphs, .. } => {
                Some(glyphs.iter().map(|glyph| glyph.text.as_str()).collect::<String>())
            }
            _ => None,
        });
        texts.collect::<Vec<_>>().join("\n")
    };
    composed.pages.iter().map(|own| page(&own.marks)).collect()
}

#[test]
fn the_demonstration_pack_is_worked_blind_and_signed_by_content() {
    let folder = tempfile::tempdir().expect("a folder");
    let units = Path::new(env!("CARGO_MANIFEST_DIR")).join("units");
    for entry in fs::read_dir(units).expect("the units are there") {
        let path = entry.expect("it can be read").path();
        let name = path.file_name().expect("it has a name").to_string_lossy().into_owned();
        if path.is_file() && (name.ends_with(".md") || name.ends_with(".svg")) {
            fs::copy(&path, folder.path().join(name)).expect("it is copied");
        }
    }
    let paper = folder.path().join("term-one.paper.md");
    let done = set(&SetJob { paper: paper.clone(), again: false }).expect("it runs");
    assert!(done.outcome.is_some(), "{:?}", done.findings);
    let printed = print(&job(&paper, Some(1)), &mut |_| {}).expect("it is printed");
    assert!(printed.folder.is_some(), "{:?}", printed.findings);
    let record = folder.path().join("term-one.moderation.yaml");
    let text = fs::read_to_string(&record).expect("it was written");
    let laid = laid_out(&job(&paper, Some(1))).expect("it is laid out");
    let named = |name: &str| {
        let found = laid.iter().find(|(own, _)| own == name);
        pages(&found.unwrap_or_else(|| panic!("no {name}")).1)
    };
    let (paper_pages, copy) = (named("paper-B"), named("moderation-paper-B"));
    assert_eq!(paper_pages.len(), copy.len());
    assert!(copy[0].contains("started") && copy[0].contains("for the checker"));
    assert!(!copy[0].contains("name") && !copy[0].contains("candidate"), "{}", copy[0]);
    let body = |page: &String| {
        let head = "Term examination, separation";
        page.lines().filter(|line| !line.contains(head)).collect::<Vec<_>>().join("\n")
    };
    for (number, (page, copied)) in paper_pages.iter().zip(&copy).enumerate().skip(1) {
        // The head alone says that it is another copy.
        assert_eq!(body(page), body(copied), "page {}", number + 1);
    }
    let sheet = named("check-sheet");
    let setter = sheet.iter().position(|page| page.contains("For the setter")).expect("apart");
    assert!(setter.is_multiple_of(2), "it begins on the back of page {setter}");
    let answers = fs::read_to_string(folder.path().join("out/term-one/answers-B.csv"));
    let answers = answers.expect("it was written");
    let blind = sheet[..setter].join("\n");
    let told = sheet[setter..].join("\n");
    let printed: Vec<&str> = answers.lines().skip(1).filter_map(|l| l.split(',').nth(6)).collect();
    let long = printed.iter().filter(|a| a.len() > 3);
    for answer in long.clone() {
        assert!(!blind.lines().any(|line| line == *answer), "{answer} is told too early");
    }
    let found = long.clone().filter(|answer| told.contains(**answer)).count();
    assert!(found > 5, "the setter's pages lack the answers: {printed:?}");
    for letters in ["A", "B", "C", "D"] {
        let after = text.split(&format!("version: {letters}\n  hash: \"")).nth(1).expect("a line");
        let hash = &after[..12];
        assert!(blind.contains(hash), "version {letters} has no slot for {hash}");
    }
    for words in ["chosen", "48 %", "whole-works"] {
        let told = told.replace('\u{202f}', " ");
        assert!(told.contains(words), "the setter's pages lack {words:?}");
    }
    // One value of one question, then prose alone.
    fs::write(&record, signed(&text)).expect("it is written");
    let unit = folder.path().join("quarnholm-salt.md");
    let before = fs::read_to_string(&unit).expect("it is there");
    let (from, to) = ("clear_mass: 400 to 800 kg", "clear_mass: 405 to 800 kg");
    assert_eq!(before.matches(from).count(), 1);
    fs::write(&unit, before.replace(from, to)).expect("it is written");
    let found = since(&paper, &record).expect("it runs");
    let reopened: Vec<(Code, String)> = pointed(&found.findings)
        .into_iter()
        .filter(|(code, _)| *code == Code::ModerationReopened)
        .collect();
    assert_eq!(reopened, [(Code::ModerationReopened, "quarnholm-salt/two-pans".to_owned())]);
    assert!(found.is_open);
    let prose = before.replacen("no filter paper, however fine", "no filter papr, however fine", 1);
    assert_ne!(prose, before);
    fs::write(&unit, prose).expect("it is written");
    let found = since(&paper, &record).expect("it runs");
    assert!(!found.is_open, "{:?}", found.findings);
}
