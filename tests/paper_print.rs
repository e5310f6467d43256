//! The demonstration paper on its pages: marks add up from parts to front page, scheme and
//! table; keys lie page on page with their papers; where it was printed does not show.

mod demo;

use std::fs;
use std::path::{Path, PathBuf};

use stillroom::composing::Profile;
use stillroom::composing::page::{Composed, Mark};
use stillroom::diag::Code;
use stillroom::run::{Extras, PrintJob, SetJob, laid_out, print, set};
use tempfile::TempDir;

/// The units and the paper in a folder of their own, the questions chosen.
fn desk() -> TempDir {
    let folder = demo::copied();
    let paper = folder.path().join("term-one.paper.md");
    let done = set(&SetJob { paper, again: false }).expect("it runs");
    assert!(done.outcome.is_some(), "{:?}", done.findings);
    folder
}

fn job(folder: &Path) -> PrintJob {
    PrintJob {
        unit: folder.join("term-one.paper.md"),
        versions: 1,
        only: None,
        seed: 1,
        out: folder.join("out"),
        one_file: false,
        html: false,
        profile: Profile::default(),
        extras: Extras::default(),
        roster: None,
    }
}

/// The texts of each page, those of a line joined.
fn lines(composed: &Composed) -> Vec<Vec<String>> {
    let page = |marks: &[Mark]| {
        let mut found: Vec<(i64, f64, String)> = Vec::new();
        for mark in marks {
            if let Mark::Text { x, baseline, glyphs, .. } = mark {
                let text = glyphs.iter().map(|glyph| glyph.text.as_str()).collect();
                found.push(((baseline * 10.0).round() as i64, *x, text));
            }
        }
        found.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let mut lines: Vec<(i64, String)> = Vec::new();
        for (at, _, text) in found {
            match lines.last_mut().filter(|(last, _)| *last == at) {
                Some((_, line)) => line.push_str(&format!(" {text}")),
                None => lines.push((at, text)),
            }
        }
        lines.into_iter().map(|(_, line)| line.replace(['\u{a0}', '\u{202f}'], " ")).collect()
    };
    composed.pages.iter().map(|p| page(&p.marks)).collect()
}

/// The numbers that stand between `from` and `]`.
fn bracketed(text: &str, from: &str) -> Vec<u32> {
    let pieces = text.split(from).skip(1);
    pieces.filter_map(|piece| piece.split(']').next()?.trim().parse().ok()).collect()
}

#[test]
fn marks_on_the_pages_are_those_of_the_front_page_the_scheme_and_the_table() {
    let folder = desk();
    let laid = laid_out(&job(folder.path())).expect("it is laid out");
    let named = |name: &str| {
        let (_, composed) = laid.iter().find(|(own, _)| own == name).expect("it was laid out");
        lines(composed)
    };
    let paper = named("paper-A");
    let questions = paper[1..].concat().join("\n");
    let parts: u32 = bracketed(&questions, "[").iter().sum();
    let front = &paper[0];
    let rows: Vec<u32> = front
        .iter()
        .filter_map(|line| {
            let (number, max) = line.split_once(' ')?;
            number.parse::<u32>().ok()?;
            max.parse().ok()
        })
        .collect();
    let total: u32 = {
        let line = front.iter().find(|line| line.contains("total ")).expect("a total");
        line.rsplit(' ').next().expect("a number").parse().expect("a number")
    };
    assert_eq!(parts, 60, "the parts");
    assert_eq!(rows.iter().sum::<u32>(), 60, "the rows of the front page: {rows:?}");
    assert_eq!(total, 60, "the front page");
    assert!(front.iter().any(|line| line.contains("60 marks")), "{front:?}");
    // A question of one part has no total of its own.
    let totals = bracketed(&questions, "[Total:");
    assert!(totals.iter().all(|total| rows.contains(total)) && !totals.is_empty());
    let scheme = named("scheme").concat().join("\n");
    assert!(scheme.contains("60 marks"), "the scheme says another total");
    let text = fs::read_to_string(folder.path().join("term-one.paper.md")).expect("it is there");
    let table: u32 = text
        .lines()
        .filter(|line| line.starts_with('|') && !line.contains("total") && !line.contains("---"))
        .skip(1)
        .map(|line| {
            // The last column is the row's own sum.
            let cells: Vec<&str> = line.trim_matches('|').split('|').collect();
            let cells = &cells[1..cells.len() - 1];
            cells.iter().filter_map(|cell| cell.trim().parse::<u32>().ok()).sum::<u32>()
        })
        .sum();
    assert_eq!(table, 60, "the table of specifications");
}

#[test]
fn page_n_of_a_key_is_page_n_of_its_paper_and_no_question_is_on_the_front() {
    let folder = desk();
    let laid = laid_out(&job(folder.path())).expect("it is laid out");
    let paper = lines(&laid[0].1);
    let key = lines(&laid[1].1);
    assert!(paper.len().is_multiple_of(2), "{} pages fill no sheets", paper.len());
    assert!(key.len() > paper.len(), "worked answers follow");
    for (number, (sheet, key)) in paper.iter().zip(&key).enumerate() {
        let all = key.join("\n");
        for line in sheet.iter().filter(|line| !line.contains(" = ")) {
            for piece in line.split("  ") {
                assert!(all.contains(piece), "page {}: the key lacks {piece:?}", number + 1);
            }
        }
    }
    let front = paper[0].join("\n");
    assert!(!front.contains("Calculate"), "{front}");
    assert!(front.contains("Do not turn over until you are told."), "{front}");
    let questions = paper[1..].concat().join("\n");
    assert!(questions.contains("End of questions"));
}

/// Every file below a folder with its bytes, in order.
fn files(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let mut found: Vec<(PathBuf, Vec<u8>)> = Vec::new();
    for entry in fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            found.extend(files(&path));
        } else {
            let name = path.file_name().expect("a name").into();
            found.push((name, fs::read(&path).expect("it is read")));
        }
    }
    found.sort();
    found
}

#[test]
fn another_folder_gives_the_same_bytes() {
    let (here, there) = (desk(), desk());
    for folder in [&here, &there] {
        let job = PrintJob { only: Some(1), ..job(folder.path()) };
        let printed = print(&job, &mut |_| {}).expect("it is printed");
        assert!(printed.folder.is_some(), "{:?}", printed.findings);
    }
    let (one, other) = (files(&here.path().join("out")), files(&there.path().join("out")));
    assert_eq!(one.len(), other.len());
    for ((name, bytes), (_, others)) in one.iter().zip(&other) {
        assert!(bytes == others, "{} differs", name.display());
    }
    assert!(one.iter().any(|(name, _)| name.ends_with("paper-B.pdf")), "{one:?}");
}

#[test]
fn a_question_that_was_changed_since_is_told_and_one_that_is_gone_stops() {
    let folder = desk();
    let list = folder.path().join("term-one.chosen.yaml");
    let text = fs::read_to_string(&list).expect("it is there");
    let hash = text.lines().find_map(|line| line.split("hash: ").nth(1)).expect("a hash");
    let hash = hash.trim_end_matches('}').trim();
    fs::write(&list, text.replacen(hash, "0000000000000000", 1)).expect("it is written");
    let job = PrintJob { only: Some(0), ..job(folder.path()) };
    let printed = print(&job, &mut |_| {}).expect("it is printed");
    assert!(printed.folder.is_some());
    let codes: Vec<Code> = printed.findings.iter().map(|finding| finding.code).collect();
    assert_eq!(codes, [Code::PaperChanged]);
    let id = text.lines().find_map(|line| line.split("id: ").nth(1)).expect("an id");
    let id = id.split([',', '}']).next().expect("an id").trim();
    fs::write(&list, text.replacen(id, "quarnholm-salt/gone", 1)).expect("it is written");
    let printed = print(&job, &mut |_| {}).expect("a finding");
    assert!(printed.folder.is_none());
    assert_eq!(printed.findings[0].code, Code::PaperQuestion);
}
