//! The command line as a teacher meets it: exit codes, help, messages.

#![allow(clippy::unwrap_used)] // also in the helpers, which are no test functions

use std::path::{Path, PathBuf};
use std::process::Output;

use assert_cmd::Command;
use stillroom::balance::operations::{CATALOGUE, Role};
use stillroom::quantity::Unit;
use stillroom::reading::words::blocks;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn sample() -> PathBuf {
    root().join("tests/samples/soda-drier.md")
}

fn run(folder: &Path, words: &[&str]) -> Output {
    let mut command = Command::cargo_bin("stillroom").unwrap();
    command.current_dir(folder).args(words).output().unwrap()
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

#[track_caller]
fn ends_with(output: &Output, code: i32) {
    assert_eq!(output.status.code(), Some(code), "{}\n{}", out(output), err(output));
}

/// A unit with one mistake in it, in a folder of its own.
fn mistaken() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let text = std::fs::read_to_string(sample()).unwrap();
    let wrong = text.replace("dry_soda: {water: left}", "dry_sode: {water: left}");
    assert_ne!(text, wrong);
    std::fs::write(folder.path().join("wrong.md"), wrong).unwrap();
    folder
}

#[test]
fn a_sound_unit_is_0_a_mistake_1_and_what_cannot_run_2() {
    let folder = mistaken();
    let sample = sample();
    let sample = sample.to_str().unwrap();
    ends_with(&run(folder.path(), &["check", sample]), 0);
    ends_with(&run(folder.path(), &["check", "wrong.md"]), 1);
    ends_with(&run(folder.path(), &["print", sample, "--versions", "1"]), 0);
    ends_with(&run(folder.path(), &["print", "wrong.md"]), 1);
    ends_with(&run(folder.path(), &["print", sample, "--version", "0"]), 2);
    ends_with(&run(folder.path(), &["words"]), 0);
    ends_with(&run(folder.path(), &["--version"]), 0);
    for unknown in [&["print", sample, "--copies", "3"][..], &["imprint"], &[], &["print"]] {
        ends_with(&run(folder.path(), unknown), 2);
    }
}

#[test]
fn a_unit_with_a_mistake_prints_nothing() {
    let folder = mistaken();
    let output = run(folder.path(), &["print", "wrong.md", "--out", "made"]);
    ends_with(&output, 1);
    assert!(err(&output).contains("dry_sode"), "{}", err(&output));
    assert!(!folder.path().join("made").exists());
}

#[test]
fn every_verb_has_help_with_an_example_that_names_it() {
    let folder = tempfile::tempdir().unwrap();
    let whole = run(folder.path(), &["--help"]);
    ends_with(&whole, 0);
    assert!(out(&whole).contains("Example: stillroom "), "{}", out(&whole));
    for verb in ["start", "check", "print", "words"] {
        assert!(out(&whole).contains(verb), "{verb} is not in the list");
        let help = run(folder.path(), &[verb, "--help"]);
        ends_with(&help, 0);
        let example = format!("Example: stillroom {verb}");
        assert!(out(&help).contains(&example), "{}", out(&help));
    }
}

#[test]
fn a_started_unit_checks_clean_and_prints() {
    let folder = tempfile::tempdir().unwrap();
    let titles = [
        ("Drying and distilling", "drying-and-distilling"),
        ("\"Salt\": 50 % & more # 'quoted' \\ {{ x }}", "salt-50-more-quoted-x"),
    ];
    for (title, id) in titles {
        ends_with(&run(folder.path(), &["start", title]), 0);
        let unit = format!("{id}.md");
        let checked = run(folder.path(), &["check", &unit]);
        ends_with(&checked, 0);
        assert_eq!(err(&checked), "", "a started unit has findings");
        ends_with(&run(folder.path(), &["print", &unit, "--versions", "3"]), 0);
        for name in ["worksheet-A.pdf", "answer-key-C.pdf", "lesson.pdf", "answers.csv"] {
            let path = folder.path().join("out").join(id).join(name);
            assert!(path.is_file(), "no {}", path.display());
        }
        // A second start does not write over the teacher's work.
        let before = std::fs::read(folder.path().join(&unit)).unwrap();
        let again = run(folder.path(), &["start", title]);
        ends_with(&again, 2);
        assert!(err(&again).contains(&unit), "{}", err(&again));
        assert_eq!(std::fs::read(folder.path().join(&unit)).unwrap(), before);
    }
}

#[test]
fn findings_as_json_are_one_object_a_line() {
    let folder = mistaken();
    let output = run(folder.path(), &["check", "wrong.md", "--format", "json"]);
    ends_with(&output, 1);
    let text = out(&output);
    assert!(text.ends_with('\n'));
    let findings: Vec<serde_json::Value> =
        text.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    assert!(!findings.is_empty());
    for finding in &findings {
        assert!(finding.is_object(), "{finding}");
    }
    let errors = findings.iter().filter(|f| f["severity"] == "error").count();
    assert!(errors > 0, "{text}");
    // All is on one stream: what reads the objects meets nothing else.
    assert_eq!(err(&output), "");

    let clean = run(folder.path(), &["check", sample().to_str().unwrap(), "--format", "json"]);
    ends_with(&clean, 0);
    assert_eq!(out(&clean), "");
}

#[test]
fn words_lists_every_operation_block_role_and_unit() {
    let output = run(root(), &["words"]);
    ends_with(&output, 0);
    let text = out(&output);
    let has = |word: &str| {
        let found = text.match_indices(word).any(|(at, _)| {
            let letter = |c: Option<char>| c.is_some_and(char::is_alphanumeric);
            let (before, after) = (&text[..at], &text[at + word.len()..]);
            !letter(before.chars().next_back()) && !letter(after.chars().next())
        });
        assert!(found, "{word:?} is not listed");
    };
    for kind in CATALOGUE {
        has(kind.name);
        kind.also.iter().for_each(|other| has(other));
        kind.inlets.iter().chain(kind.outlets).for_each(|port| has(port.key));
    }
    for block in blocks() {
        has(block.name);
        block.keys.iter().for_each(|key| has(key.name));
    }
    Role::NAMED.iter().for_each(|(role, _)| has(role));
    let units = text.split_once("\nUNITS").unwrap().1;
    for (_, symbols) in Unit::catalogue() {
        for symbol in symbols {
            assert!(units.split_whitespace().any(|word| word == symbol), "no {symbol:?}: {units}");
        }
    }
}

#[test]
fn a_folder_without_units_is_said_to_be_one() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("notes.md"), "# Not a unit\n").unwrap();
    let output = run(folder.path(), &["check", "."]);
    assert_ne!(output.status.code(), Some(0), "{}", out(&output));
    assert!(err(&output).contains("unit"), "{}", err(&output));
    let absent = run(folder.path(), &["print", "absent.md"]);
    assert_ne!(absent.status.code(), Some(0));
    assert!(err(&absent).contains("absent.md"), "{}", err(&absent));
}

#[test]
fn a_folder_that_cannot_be_written_is_named() {
    let folder = tempfile::tempdir().unwrap();
    // A file where the folder would be: refused whoever runs this, even root.
    std::fs::write(folder.path().join("taken"), "a file").unwrap();
    let output = run(folder.path(), &["print", sample().to_str().unwrap(), "--out", "taken"]);
    ends_with(&output, 2);
    let said = err(&output);
    assert!(said.contains("taken") && said.contains("soda-drier"), "{said}");
    assert_eq!(std::fs::read_to_string(folder.path().join("taken")).unwrap(), "a file");
}

#[test]
fn sure_mends_are_made_and_guesses_are_left() {
    let folder = tempfile::tempdir().unwrap();
    let text = std::fs::read_to_string(sample()).unwrap();
    // A key misspelt, which only one word of a closed list can be, and a stream misspelt.
    let wrong = text
        .replace("objective:", "objectiv:")
        .replace("dry_soda: {water: left}", "dry_sode: {water: left}");
    std::fs::write(folder.path().join("wrong.md"), &wrong).unwrap();
    let output = run(folder.path(), &["check", "--mend", "wrong.md"]);
    ends_with(&output, 1);
    let shown = err(&output);
    assert!(shown.contains("mended wrong.md:") && shown.contains("  + objective:"), "{shown}");
    let now = std::fs::read_to_string(folder.path().join("wrong.md")).unwrap();
    assert_eq!(now, wrong.replace("objectiv:", "objective:"));
    // A second time there is nothing left to mend.
    let again = run(folder.path(), &["check", "--mend", "wrong.md"]);
    assert!(!err(&again).contains("mended"), "{}", err(&again));
    assert_eq!(std::fs::read_to_string(folder.path().join("wrong.md")).unwrap(), now);
}

/// Property names and their meaning by SARIF 2.1.0 (OASIS Standard, 27 March 2020,
/// sections 3.13, 3.14, 3.27, 3.30, 3.49 and 3.57, from memory).
#[test]
fn findings_as_sarif_name_rule_region_and_fix() {
    let folder = tempfile::tempdir().unwrap();
    let text = std::fs::read_to_string(sample()).unwrap();
    let wrong = text
        .replace("objective:", "objectiv:")
        .replace("dry_soda: {water: left}", "dry_sode: {water: left}");
    std::fs::write(folder.path().join("wrong unit.md"), &wrong).unwrap();
    let lines = run(folder.path(), &["check", "wrong unit.md", "--format", "json"]);
    let output = run(folder.path(), &["check", "wrong unit.md", "--format", "sarif"]);
    ends_with(&output, 1);
    let log: serde_json::Value = serde_json::from_str(&out(&output)).unwrap();
    assert_eq!(log["version"], "2.1.0");
    let whole = &log["runs"][0];
    assert_eq!(whole["columnKind"], "unicodeCodePoints");
    let results = whole["results"].as_array().unwrap();
    assert_eq!(results.len(), out(&lines).lines().count());
    assert!(results.len() >= 2, "{results:?}");
    let mut fixes = 0;
    for result in results {
        let rule =
            &whole["tool"]["driver"]["rules"][result["ruleIndex"].as_u64().unwrap() as usize];
        assert_eq!(rule["id"], result["ruleId"]);
        let place = &result["locations"][0]["physicalLocation"];
        assert_eq!(place["artifactLocation"]["uri"], "wrong%20unit.md");
        let Some(fix) = result["fixes"][0]["artifactChanges"][0]["replacements"][0].as_object()
        else {
            continue;
        };
        fixes += 1;
        let region = |key: &str| fix["deletedRegion"][key].as_u64().unwrap() as usize;
        assert_eq!(region("startLine"), region("endLine"));
        let line = wrong.lines().nth(region("startLine") - 1).unwrap();
        let deleted: String = line
            .chars()
            .skip(region("startColumn") - 1)
            .take(region("endColumn") - region("startColumn"))
            .collect();
        let inserted = fix["insertedContent"]["text"].as_str().unwrap();
        let mended = wrong.replace(&deleted, inserted);
        assert!(text.contains(mended.lines().nth(region("startLine") - 1).unwrap()), "{fix:?}");
    }
    // Both questions have the misspelt key, one of them the misspelt stream.
    assert_eq!(fixes, 3, "{results:#?}");
}

#[test]
fn manual_and_completions_know_every_verb() {
    let folder = tempfile::tempdir().unwrap();
    ends_with(&run(folder.path(), &["manual", "--folder", "pages"]), 0);
    let page = std::fs::read_to_string(folder.path().join("pages/stillroom.1")).unwrap();
    let bash = out(&run(folder.path(), &["completions", "bash"]));
    for verb in ["start", "check", "print", "words"] {
        assert!(page.contains(verb) && bash.contains(verb), "{verb}");
        let own = folder.path().join(format!("pages/stillroom-{verb}.1"));
        assert!(std::fs::read_to_string(own).unwrap().contains("Example: stillroom"), "{verb}");
    }
}
