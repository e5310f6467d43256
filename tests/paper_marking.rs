//! Responses to the demonstration paper, marked by the numbers of each learner's version:
//! the printed answers earn all marks, whatever the version, and nothing earns none.

mod demo;

use std::fs;
use std::path::Path;

use stillroom::composing::Profile;
use stillroom::run::{Extras, MarkJob, PrintJob, SetJob, mark, print, set};

/// The rows of a table, parted at commas; no cell here holds one.
fn rows(path: &Path) -> Vec<Vec<String>> {
    let text = fs::read_to_string(path).expect("it is there");
    let cells = |line: &str| line.split(',').map(ToOwned::to_owned).collect();
    text.lines().filter(|line| !line.starts_with('#')).map(cells).collect()
}

#[test]
fn printed_answers_earn_all_marks_of_a_paper() {
    let folder = demo::copied();
    let paper = folder.path().join("term-one.paper.md");
    set(&SetJob { paper: paper.clone(), again: true }).expect("it is set");
    let out = folder.path().join("out");
    let job = PrintJob {
        unit: paper.clone(),
        versions: 1,
        only: None,
        seed: 1,
        out: out.clone(),
        one_file: false,
        html: false,
        profile: Profile::default(),
        extras: Extras::default(),
        roster: None,
    };
    let printed = print(&job, &mut |_| {}).expect("it is printed");
    let printed_to = printed.folder.unwrap_or_else(|| panic!("{:?}", printed.findings));
    let heads = rows(&printed_to.join("responses.csv"))[0].clone();
    let parts = heads.len() - 5;
    let answers = rows(&printed_to.join("answers.csv"));
    let mut file = format!("{}\n", heads.join(","));
    for version in ["A", "B", "C", "D"] {
        let own: Vec<String> = answers
            .iter()
            .filter(|row| row[3] == version)
            .map(|row| row[6].replace(['\u{202f}', '\u{a0}', ' '], ""))
            .collect();
        // Each column is one of the printed answers, in order, where all are numbers.
        if own.len() == parts {
            file.push_str(&format!("Learner {version},9B,{version},,,{}\n", own.join(",")));
        }
        file.push_str(&format!("Silent {version},9B,{version},,,{}\n", vec!["-"; parts].join(",")));
    }
    let responses = folder.path().join("responses.csv");
    fs::write(&responses, &file).expect("it is written");
    let done = mark(
        &MarkJob {
            unit: paper,
            responses,
            versions: 1,
            seed: 1,
            out,
            decimal: None,
            nameless: false,
            sheets: true,
            profile: Profile::default(),
        },
        &mut |_| {},
    )
    .expect("it is marked");
    assert_eq!((done.held_back, done.seed), (0, 2031), "{:?}", done.findings);
    let marked = done.folder.expect("a folder");
    let marks = rows(&marked.join("marks.csv"));
    assert_eq!(marks.len() as u64 - 1, done.learners);
    for row in &marks[1..] {
        let (total, of) = (&row[parts + 3], &row[parts + 4]);
        assert_eq!(of, "60");
        assert_eq!(total, if row[0].starts_with("Silent") { "0" } else { "60" }, "{row:?}");
    }
    let sheets = fs::read_dir(&marked).expect("a folder").filter_map(Result::ok);
    let copies = sheets.filter(|e| e.file_name().to_string_lossy().starts_with("marked-")).count();
    assert_eq!(copies as u64, done.learners);
}

#[test]
fn a_name_counts_where_it_is_asked_for() {
    let folder = tempfile::tempdir().expect("a folder");
    let paper = Path::new(env!("CARGO_MANIFEST_DIR")).join("units/term-one.paper.md");
    let responses = folder.path().join("responses.csv");
    let cases = [
        ("less dense layer; the denser layer; tap", "3"),
        ("denser layer; less dense layer; tap", "1"),
        // Of fewer names than are asked for each is looked for at its own place.
        ("tap; less dense layer", "2"),
        ("lid", "0"),
    ];
    let class = paper.with_file_name("term-one.responses.csv");
    let heads = rows(&class)[0].clone();
    let mut file = format!("{}\n", heads.join(","));
    for (n, (wrote, _)) in cases.iter().enumerate() {
        let left_out = ",".repeat(heads.len() - 5);
        file.push_str(&format!("Learner {n},11A,B,,{wrote}{left_out}\n"));
    }
    fs::write(&responses, &file).expect("it is written");
    let job = MarkJob {
        unit: paper,
        responses,
        versions: 1,
        seed: 1,
        out: folder.path().join("out"),
        decimal: None,
        nameless: false,
        sheets: false,
        profile: Profile::default(),
    };
    let done = mark(&job, &mut |_| {}).expect("it is marked");
    let marks =
        rows(&done.folder.unwrap_or_else(|| panic!("{:?}", done.findings)).join("marks.csv"));
    let column = marks[0].iter().position(|head| head == "1a").expect("a column");
    for (row, (wrote, given)) in marks[1..].iter().zip(cases) {
        assert_eq!(row[column], given, "{wrote}");
    }
}
