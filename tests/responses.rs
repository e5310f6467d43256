//! Files of responses that people send: each fault placed by row and column, good rows
//! marked, no panic.

#![allow(clippy::unwrap_used)] // also in the helpers, which are no test functions

use std::path::{Path, PathBuf};

use proptest::prelude::*;
use serde::Deserialize;
use stillroom::diag::{Code, Diagnostic, Severity};
use stillroom::run::{self, MarkJob};

#[derive(Deserialize)]
struct Cases {
    case: Vec<Case>,
}

#[derive(Deserialize)]
struct Case {
    name: String,
    text: String,
    faults: Vec<String>,
    marked: Vec<String>,
    #[serde(default)]
    coding: String,
}

fn cases() -> Vec<Case> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/malformed.toml");
    toml::from_str::<Cases>(&std::fs::read_to_string(path).unwrap()).unwrap().case
}

fn bytes(case: &Case) -> Vec<u8> {
    let units = || case.text.encode_utf16();
    match case.coding.as_str() {
        "utf-16-le" => units().flat_map(u16::to_le_bytes).collect(),
        "utf-16-be" => units().flat_map(u16::to_be_bytes).collect(),
        "cp1252" => case.text.chars().map(|c| u8::try_from(u32::from(c)).unwrap()).collect(),
        _ => case.text.clone().into_bytes(),
    }
}

struct Outcome {
    findings: Vec<Diagnostic>,
    marked: Vec<String>,
}

fn marked(bytes: &[u8], name: &str) -> Outcome {
    let folder = tempfile::tempdir().unwrap();
    let responses = folder.path().join(name);
    std::fs::write(&responses, bytes).unwrap();
    let job = MarkJob {
        unit: Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/samples/soda-drier.md"),
        responses: responses.clone(),
        versions: 4,
        seed: 7,
        out: folder.path().join("out"),
        decimal: None,
        nameless: false,
        sheets: false,
        profile: stillroom::composing::Profile::default(),
    };
    let done = run::mark(&job, &mut |_| ()).unwrap();
    let learners = |folder: PathBuf| -> Vec<String> {
        let mut reader = csv::Reader::from_path(folder.join("marks.csv")).unwrap();
        reader.records().map(|row| row.unwrap()[0].to_owned()).collect()
    };
    let of_responses = |finding: &Diagnostic| finding.place.file.name().ends_with(name);
    Outcome {
        marked: done.folder.map(learners).unwrap_or_default(),
        findings: done.findings.into_iter().filter(of_responses).collect(),
    }
}

/// "response-cell 3 C", from the finding's code, its line and its sentence.
fn placed(finding: &Diagnostic) -> String {
    let (line, _) = finding.place.line_column();
    let column = finding
        .message
        .split_once(", column ")
        .map(|(_, rest)| rest.split(':').next().unwrap().to_owned());
    let row = format!("{} {line}", finding.code.text());
    column.map_or(row.clone(), |column| format!("{row} {column}"))
}

#[test]
fn every_fault_is_placed_and_good_rows_are_marked() {
    let cases = cases();
    let faulty = cases.iter().filter(|case| !case.faults.is_empty()).count();
    assert!(faulty >= 60, "only {faulty} faulty files");
    let mut wrong = String::new();
    for case in &cases {
        let outcome = marked(&bytes(case), "responses.csv");
        let mut found: Vec<String> = outcome.findings.iter().map(placed).collect();
        found.sort();
        let mut expected = case.faults.clone();
        expected.sort();
        if found != expected || outcome.marked != case.marked {
            wrong.push_str(&format!(
                "== {}\n{:?}\nexpected {expected:?}, marked {:?}\nfound    {found:?}, marked {:?}\n",
                case.name, case.text, case.marked, outcome.marked
            ));
        }
        for finding in &outcome.findings {
            let all = [&finding.message, &finding.found, &finding.expected, &finding.next];
            assert!(all.iter().all(|text| !text.is_empty()), "{}: {finding:?}", case.name);
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

#[test]
fn every_code_of_responses_has_a_case() {
    let cases = cases();
    let raised = |code: &Code| {
        cases.iter().flat_map(|case| &case.faults).any(|fault| fault.starts_with(code.text()))
    };
    let of_responses = Code::ALL.iter().filter(|code| code.text().starts_with("response"));
    let without: Vec<&str> =
        of_responses.filter(|code| !raised(code)).map(|code| code.text()).collect();
    assert!(without.is_empty(), "{without:?}");
}

#[test]
fn the_mark_of_the_decimals_can_be_told() {
    let file = "learner,version,1a,1b,1c,2\nAnn,A,\"1,234\",2,3,4\n";
    assert_eq!(marked(file.as_bytes(), "r.csv").findings[0].code, Code::ResponseAmbiguous);
    // A number that leaves no doubt tells of all others.
    let with_commas = format!("{file}Bo,A,\"12,5\",2,3,4\n");
    assert!(marked(with_commas.as_bytes(), "r.csv").findings.is_empty());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn no_file_brings_it_down(
        rows in proptest::collection::vec(
            proptest::collection::vec("[-0-9A-Za-z.,/^ x×²%\\[\\]\"#=]{0,12}", 0..8), 0..6),
        junk in proptest::collection::vec(any::<u8>(), 0..40),
    ) {
        let mut file = b"learner,version,1a,1b,1c,2\nGood,A,1,2,3,4\n".to_vec();
        for row in rows {
            file.extend(row.join(",").into_bytes());
            file.push(b'\n');
        }
        file.extend(junk);
        let outcome = marked(&file, "r.csv");
        let fatal = outcome.findings.iter().any(|f| f.code == Code::ResponsesUnread);
        // A learner who is there twice is not marked; nothing else touches the first row.
        let twice = outcome.findings.iter().any(|f| f.code == Code::ResponseLearner);
        prop_assert!(fatal || twice || outcome.marked.first().is_some_and(|name| name == "Good"));
        prop_assert!(outcome.findings.iter().all(|f| f.severity != Severity::Note));
    }
}
