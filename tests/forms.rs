//! Blank response forms: what they hold, the same bytes each time, never over a form that
//! was filled in; and workbooks that come back.

#![allow(clippy::unwrap_used)] // also in the helpers, which are no test functions

use std::io::Read;
use std::path::{Path, PathBuf};

use calamine::{Data, Reader, Xlsx, open_workbook};
use rust_xlsxwriter::{ExcelDateTime, Format, Workbook};
use stillroom::diag::Code;
use stillroom::run::{self, MarkJob, PrintJob};

fn unit() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/samples/soda-drier.md")
}

fn print(out: &Path, roster: Option<PathBuf>, versions: u32) -> PathBuf {
    let job = PrintJob {
        unit: unit(),
        versions,
        only: None,
        seed: 7,
        out: out.to_owned(),
        one_file: true,
        html: false,
        profile: stillroom::composing::Profile::default(),
        extras: run::Extras::default(),
        roster: roster.map(Into::into),
    };
    run::print(&job, &mut |_| ()).unwrap().folder.unwrap()
}

fn mark(responses: PathBuf, out: &Path) -> run::Marked {
    let job = MarkJob {
        unit: unit(),
        responses,
        versions: 4,
        seed: 7,
        out: out.to_owned(),
        decimal: None,
        nameless: false,
        sheets: false,
        profile: stillroom::composing::Profile::default(),
    };
    run::mark(&job, &mut |_| ()).unwrap()
}

const HEADS: [&str; 9] = ["learner", "class", "version", "entry", "minutes", "1a", "1b", "1c", "2"];

#[test]
fn a_form_has_a_row_for_each_learner_and_is_the_same_each_time() {
    let folder = tempfile::tempdir().unwrap();
    let roster = folder.path().join("roster.csv");
    std::fs::write(&roster, "Name;Class;Version\nIvo Marram;9B;A\n=1+1;9B;\n").unwrap();
    let here = print(&folder.path().join("one"), Some(roster.clone()), 2);
    let there = print(&folder.path().join("two"), Some(roster), 2);
    for name in ["responses.csv", "responses.xlsx"] {
        let (one, two) =
            (std::fs::read(here.join(name)).unwrap(), std::fs::read(there.join(name)).unwrap());
        assert!(one == two, "{name} differs");
    }
    let csv = std::fs::read_to_string(here.join("responses.csv")).unwrap();
    let lines: Vec<&str> = csv.lines().collect();
    assert_eq!(lines[0], HEADS.join(","));
    assert_eq!(lines[1], "Ivo Marram,9B,A,,,,,,");
    // A name that a spreadsheet would run as a formula is shown instead.
    assert_eq!(lines[2], "'=1+1,9B,,,,,,,");
    let mut book: Xlsx<_> = open_workbook(here.join("responses.xlsx")).unwrap();
    let sheet = book.worksheet_range("responses").unwrap();
    let rows: Vec<Vec<String>> =
        sheet.rows().map(|row| row.iter().map(ToString::to_string).collect()).collect();
    assert_eq!(rows[0], HEADS);
    assert_eq!(rows[1][..3], ["Ivo Marram", "9B", "A"]);
    assert_eq!(rows[2][0], "=1+1");
    assert_eq!(sheet.get_value((2, 0)), Some(&Data::String("=1+1".to_owned())));
    // What calamine does not tell: notes, panes, lists to choose from.
    let parts = zipped(&here.join("responses.xlsx"));
    let part = |name: &str| &parts.iter().find(|(n, _)| n == name).unwrap().1;
    let sheet = part("xl/worksheets/sheet1.xml");
    assert!(sheet.contains("state=\"frozen\"") && sheet.contains("xSplit=\"3\""));
    assert!(sheet.contains("&quot;A,B&quot;") || sheet.contains("\"A,B\""), "{sheet}");
    assert!(sheet.contains("answers,marks"));
    assert!(
        part("xl/comments1.xml").contains("mass of the product")
            || part("xl/comments1.xml").contains("kg")
    );
}

/// The parts of a workbook by name, as text.
fn zipped(path: &Path) -> Vec<(String, String)> {
    let mut archive = zip::ZipArchive::new(std::fs::File::open(path).unwrap()).unwrap();
    (0..archive.len())
        .map(|index| {
            let mut file = archive.by_index(index).unwrap();
            let name = file.name().unwrap().into_owned();
            let mut text = String::new();
            file.read_to_string(&mut text).unwrap_or_default();
            (name, text)
        })
        .collect()
}

#[test]
fn what_was_filled_in_is_never_written_over() {
    let folder = tempfile::tempdir().unwrap();
    let here = print(folder.path(), None, 2);
    let filled = format!("{}\nIvo,9B,A,,,1,2,3,4\n", HEADS.join(","));
    std::fs::write(here.join("responses.csv"), &filled).unwrap();
    print(folder.path(), None, 2);
    assert_eq!(std::fs::read_to_string(here.join("responses.csv")).unwrap(), filled);
    let blank = std::fs::read_to_string(here.join("responses-blank.csv")).unwrap();
    assert_eq!(blank.trim_end(), HEADS.join(","));
    assert!(!here.join("responses-blank.xlsx").exists());
}

#[test]
fn a_workbook_comes_back_with_numbers_words_and_a_date() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("filled.xlsx");
    let mut book = Workbook::new();
    let sheet = book.add_worksheet();
    let day = Format::new().set_num_format("d-mmm");
    sheet.write_row(0, 0, ["learner", "version", "1a", "1b", "1c", "2"]).unwrap();
    for (row, name) in ["Ann", "Bo", "Cy"].into_iter().enumerate() {
        let row = u32::try_from(row).unwrap() + 1;
        sheet.write_string(row, 0, name).unwrap();
        sheet.write_string(row, 1, "a").unwrap();
        sheet.write_number(row, 2, 12.3).unwrap();
        sheet.write_string(row, 3, "1,5 kg").unwrap();
        sheet.write_number(row, 4, 2.0).unwrap();
    }
    let april = ExcelDateTime::from_ymd(2026, 4, 3).unwrap();
    sheet.write_datetime_with_format(2, 5, &april, &day).unwrap();
    sheet.write_string(3, 5, "#REF!").unwrap();
    book.save(&path).unwrap();
    let marked = mark(path, &folder.path().join("out"));
    assert_eq!((marked.learners, marked.held_back), (1, 2));
    let codes: Vec<Code> = marked.findings.iter().map(|finding| finding.code).collect();
    assert!(
        codes.contains(&Code::ResponseChanged) && codes.contains(&Code::ResponseCell),
        "{codes:?}"
    );
    assert!(marked.findings.iter().any(|f| f.message.starts_with("Row 3, column F:")));
}
