//! The program as its users start it: exit codes, help, and what lands on disk.

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use stillroom::balance::operations::{CATALOGUE, Role};
use stillroom::reading::words::blocks;

fn stillroom() -> Command {
    Command::cargo_bin("stillroom").expect("the program is built")
}

/// Exit code, what it said, what it complained of.
fn run(folder: &Path, words: &[&str]) -> (i32, String, String) {
    let output = stillroom().current_dir(folder).args(words).output().expect("it runs");
    (
        output.status.code().expect("it ends by itself"),
        String::from_utf8(output.stdout).expect("UTF-8"),
        String::from_utf8(output.stderr).expect("UTF-8"),
    )
}

#[test]
fn every_verb_has_help_with_an_example() {
    let here = tempfile::tempdir().expect("a folder");
    for words in [
        &["--help"][..],
        &["start", "--help"],
        &["check", "--help"],
        &["print", "--help"],
        &["words", "--help"],
    ] {
        let (code, said, _) = run(here.path(), words);
        assert_eq!(code, 0, "{words:?}");
        assert!(said.contains("Example: stillroom"), "{words:?}: {said}");
    }
}

#[test]
fn what_start_writes_checks_clean_and_prints() {
    let here = tempfile::tempdir().expect("a folder");
    let (code, said, _) = run(here.path(), &["start", "Drying and distilling: \"a\" start"]);
    assert_eq!(code, 0, "{said}");
    let unit = "drying-and-distilling-a-start.md";
    let (code, said, complained) = run(here.path(), &["check", unit]);
    assert_eq!((code, complained.as_str()), (0, ""), "{said}");
    let (code, _, complained) = run(here.path(), &["print", unit, "--versions", "3"]);
    assert_eq!((code, complained.as_str()), (0, ""));
    let made = here.path().join("out/drying-and-distilling-a-start");
    for name in
        ["worksheet-A.pdf", "worksheet-C.pdf", "answer-key-C.pdf", "lesson.pdf", "answers.csv"]
    {
        assert!(made.join(name).is_file(), "{name}");
    }
    // A second time it leaves the teacher's file alone.
    let (code, _, complained) = run(here.path(), &["start", "Drying and distilling: \"a\" start"]);
    assert_eq!(code, 2);
    assert!(complained.contains(unit), "{complained}");
}

#[test]
fn a_mistake_ends_with_one_and_a_line_of_json() {
    let here = tempfile::tempdir().expect("a folder");
    run(here.path(), &["start", "Sand"]);
    let path = here.path().join("sand.md");
    let text =
        fs::read_to_string(&path).expect("the unit").replace("dry_sand.total", "dry_sadn.total");
    fs::write(&path, text).expect("written");
    let (code, said, complained) = run(here.path(), &["check", "sand.md", "--format", "json"]);
    assert_eq!((code, complained.as_str()), (1, ""));
    let lines: Vec<serde_json::Value> =
        said.lines().map(|line| serde_json::from_str(line).expect("JSON")).collect();
    assert_eq!(lines.len(), 1, "{said}");
    assert_eq!(lines[0]["code"], "unknown-name");
    assert_eq!(lines[0]["file"], "sand.md");
    assert!(lines[0]["line"].as_u64().is_some_and(|line| line > 30));
    // The same for people, with the nearest name; and nothing is printed.
    let (code, _, complained) = run(here.path(), &["print", "sand.md"]);
    assert_eq!(code, 1);
    assert!(complained.contains("dry_sand") && complained.contains("sand.md:"), "{complained}");
    assert!(!here.path().join("out").exists());
}

#[test]
fn what_cannot_run_ends_with_two() {
    let here = tempfile::tempdir().expect("a folder");
    run(here.path(), &["start", "Sand"]);
    fs::write(here.path().join("taken"), "a file where a folder is wanted").expect("written");
    let (code, _, complained) = run(here.path(), &["print", "sand.md", "--out", "taken"]);
    assert_eq!(code, 2);
    assert!(complained.contains("taken"), "{complained}");
    assert_eq!(run(here.path(), &["print", "sand.md", "--wersions", "3"]).0, 2);
    assert_eq!(run(here.path(), &["print", "sand.md", "--version", "O1"]).0, 2);
}

#[test]
fn a_folder_without_units_is_said_to_be_one() {
    let here = tempfile::tempdir().expect("a folder");
    fs::write(here.path().join("notes.md"), "# Not a unit\n").expect("written");
    let (code, _, complained) = run(here.path(), &["check", "."]);
    assert_eq!(code, 1);
    assert!(complained.contains("no-units") && complained.contains("notes.md"), "{complained}");
}

#[test]
fn words_lists_what_parses() {
    let here = tempfile::tempdir().expect("a folder");
    let (code, said, _) = run(here.path(), &["words"]);
    assert_eq!(code, 0);
    for kind in CATALOGUE {
        assert!(said.contains(kind.name), "{}", kind.name);
        for port in kind.inlets.iter().chain(kind.outlets) {
            assert!(said.contains(port.key), "{} of {}", port.key, kind.name);
        }
    }
    for (role, _) in Role::NAMED {
        assert!(said.contains(role), "{role}");
    }
    for block in blocks() {
        for key in block.keys {
            assert!(said.contains(key.name), "{} of {}", key.name, block.name);
        }
    }
    for unit in ["kg", "dm3", "degC", "kPa", "mol%", "ppm"] {
        assert!(said.split_whitespace().any(|word| word == unit), "{unit}");
    }
}

/// Every form of fact that `words` shows is one that the reader takes.
#[test]
fn the_facts_that_words_shows_are_understood() {
    let here = tempfile::tempdir().expect("a folder");
    let (_, said, _) = run(here.path(), &["words"]);
    let facts: Vec<&str> = said
        .lines()
        .skip_while(|line| !line.starts_with("FACTS"))
        .skip(2)
        .take_while(|line| !line.is_empty())
        .map(|line| {
            line.trim().split("  ").next().unwrap_or("").split(" in place of").next().unwrap_or("")
        })
        .collect();
    assert!(facts.len() > 10, "{facts:?}");
    for fact in facts {
        let unit = format!(
            "---\nid: u\ntitle: U\nobjectives: {{m: Masses}}\n---\n\n```data\nid: t\ncolumns: temperature in degC\nunit: g/100 g water\nrows: {{salt: {{0: 35.7, 40: 36.4}}}}\nsource: invented for this test\n```\n\n```question\nid: q\nobjective: m\nprocess:\n  components: {{mud: insoluble, salt: solute, water: solvent}}\n  operations:\n    a: {{is: mixing, feed: [brine, mother, curd], product: wet}}\n    b: {{is: filtration, feed: wet, cake: cake, filtrate: filtrate}}\ngiven:\n  cake: {{{fact}}}\nfind: cake.total\n---\nFind it.\n```\n"
        );
        fs::write(here.path().join("u.md"), unit).expect("written");
        let (_, said, _) = run(here.path(), &["check", "u.md", "--format", "json"]);
        // The lone fact does not settle the question; that it is understood is all
        // that is asked.
        for line in said.lines() {
            let finding: serde_json::Value = serde_json::from_str(line).expect("JSON");
            let code = finding["code"].as_str().unwrap_or("").to_owned();
            assert!(
                ["too-few-facts", "too-many-facts", "impossible", "not-needed"]
                    .contains(&code.as_str()),
                "{fact}: {line}"
            );
        }
    }
}
