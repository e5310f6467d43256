//! What `print` leaves on disk: the files, the same bytes again, one version alone,
//! the collated files, and text that can be read back.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use stillroom::run::{PrintJob, Printed, print, profile};

fn unit() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("units/quarnholm-salt.md")
}

fn job(out: &Path) -> PrintJob {
    PrintJob {
        unit: unit(),
        versions: 4,
        only: None,
        seed: 7,
        out: out.to_owned(),
        one_file: false,
        profile: profile(false, false),
    }
}

fn printed(job: &PrintJob) -> BTreeMap<String, Vec<u8>> {
    let Printed { findings, folder, .. } = print(job, &mut |_| {}).expect("it prints");
    assert!(findings.is_empty(), "{findings:?}");
    let folder = folder.expect("a folder");
    fs::read_dir(folder)
        .expect("it can be listed")
        .map(|entry| {
            let path = entry.expect("an entry").path();
            let name = path.file_name().expect("a name").to_string_lossy().into_owned();
            (name, fs::read(path).expect("it can be read"))
        })
        .collect()
}

/// The text of each page, as a reader of PDF gives it.
fn pages(bytes: &[u8]) -> Vec<String> {
    let document = lopdf::Document::load_mem(bytes).expect("a sound PDF");
    document
        .get_pages()
        .keys()
        .map(|number| document.extract_text(&[*number]).expect("text"))
        .collect()
}

#[test]
fn a_run_leaves_all_files_and_the_same_bytes_again() {
    let here = tempfile::tempdir().expect("a folder");
    let first = printed(&job(&here.path().join("one")));
    let names: Vec<&str> = first.keys().map(String::as_str).collect();
    assert_eq!(
        names,
        [
            "answer-key-A.pdf",
            "answer-key-B.pdf",
            "answer-key-C.pdf",
            "answer-key-D.pdf",
            "answers.csv",
            "lesson.pdf",
            "worksheet-A.pdf",
            "worksheet-B.pdf",
            "worksheet-C.pdf",
            "worksheet-D.pdf",
        ]
    );
    assert!(first == printed(&job(&here.path().join("two"))), "two runs differ");
    // Version C alone is version C of the four, though fewer were drawn.
    let alone = printed(&PrintJob { only: Some(2), ..job(&here.path().join("alone")) });
    for name in ["worksheet-C.pdf", "answer-key-C.pdf"] {
        assert!(alone[name] == first[name], "{name} differs when printed alone");
    }
    assert!(!alone.contains_key("worksheet-A.pdf") && alone.contains_key("answers-C.csv"));
    // Another seed gives other sheets.
    let other = printed(&PrintJob { seed: 8, ..job(&here.path().join("other")) });
    assert!(other["worksheet-A.pdf"] != first["worksheet-A.pdf"]);
    assert!(other["lesson.pdf"] == first["lesson.pdf"]);
}

#[test]
fn sheets_of_an_earlier_run_do_not_stay_among_new_ones() {
    let here = tempfile::tempdir().expect("a folder");
    printed(&job(here.path()));
    let keep = here.path().join("quarnholm-salt/worksheet-plan.txt");
    fs::write(&keep, "the teacher's own").expect("written");
    let now = printed(&PrintJob { versions: 1, seed: 8, ..job(here.path()) });
    assert!(!now.contains_key("worksheet-B.pdf") && now.contains_key("worksheet-A.pdf"));
    assert!(keep.exists());
    let collated = printed(&PrintJob { versions: 2, one_file: true, ..job(here.path()) });
    let names: Vec<&str> = collated.keys().map(String::as_str).collect();
    assert_eq!(
        names,
        ["answer-keys.pdf", "answers.csv", "lesson.pdf", "worksheet-plan.txt", "worksheets.pdf"]
    );
}

#[test]
fn sheets_read_back_with_their_code_marks_and_signs() {
    let here = tempfile::tempdir().expect("a folder");
    let files = printed(&PrintJob { versions: 1, ..job(here.path()) });
    let worksheet = pages(&files["worksheet-A.pdf"]);
    let key = pages(&files["answer-key-A.pdf"]);
    assert!(key.len() > worksheet.len());
    let first = worksheet[0].split_whitespace().collect::<Vec<_>>().join(" ");
    let at = first.find("Page 1 of").expect("a page number");
    let code = first[..at].trim_end().rsplit(' ').next();
    let code = code.filter(|code| code.starts_with("A-") && code.len() == 5);
    let code = code.unwrap_or_else(|| panic!("no version code in {first}"));
    for (number, page) in worksheet.iter().chain(&key).enumerate() {
        assert!(page.contains(code), "page {number} of the two lacks {code}");
    }
    // Marks in brackets add up to the score at the top.
    let text = worksheet.join("\n");
    let marks: u32 = bracketed(&text, "[", "]").sum();
    let score: String = first
        .split("/ ")
        .nth(1)
        .map(|rest| rest.chars().take_while(char::is_ascii_digit).collect())
        .expect("a score box");
    assert_eq!(score, marks.to_string(), "{first}");
    let totals: u32 = bracketed(&text, "[Total: ", "]").sum();
    assert_eq!(totals, marks);
    // Page n of the key is page n of the worksheet: tests/pages.rs compares marks.
    for (number, page) in worksheet.iter().enumerate() {
        let says = format!("Page {} of {}", number + 1, worksheet.len());
        assert!(page.contains(&says) && key[number].contains(&says), "{says}");
    }
    let lesson = pages(&files["lesson.pdf"]).join("\n");
    for sign in ["CaSO₄", "°C", "risk assessment"] {
        assert!(lesson.contains(sign), "the lesson lacks {sign}");
    }
    let key = key.join("\n");
    for sign in ["−", "×", "÷", "dm³", "seed"] {
        assert!(key.contains(sign), "the key lacks {sign}");
    }
}

/// Whole numbers that stand between two marks.
fn bracketed<'a>(text: &'a str, open: &'a str, close: &'a str) -> impl Iterator<Item = u32> + 'a {
    text.split(open).skip(1).filter_map(move |rest| rest.split(close).next()?.trim().parse().ok())
}

#[test]
fn collated_files_open_at_each_version() {
    let here = tempfile::tempdir().expect("a folder");
    let files = printed(&PrintJob { versions: 3, one_file: true, ..job(here.path()) });
    let document = lopdf::Document::load_mem(&files["worksheets.pdf"]).expect("a sound PDF");
    let bookmarks = document.get_toc().expect("bookmarks");
    let titles: Vec<&str> = bookmarks
        .toc
        .iter()
        .map(|entry| entry.title.as_str())
        .filter(|t| t.starts_with("Version"))
        .collect();
    assert_eq!(titles, ["Version A", "Version B", "Version C"]);
}
