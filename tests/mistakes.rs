//! Case files: each `tests/mistakes/NAME.expect` says which findings the file
//! `NAME.md` (or the folder `NAME`) beside it must give, in order and no others.
//!
//! A finding is a line `code line:column`, under it its sentence and, after
//! `write:`, the line as it should be written. To write the files anew after a
//! change of wording run with STILLROOM_WRITE_EXPECTED=1 and read the difference.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use stillroom::diag::{Code, Diagnostic, Diagnostics, Place, Severity, SourceFile, render};
use stillroom::reading::{model, parse};
use stillroom::rules::table::rule;
use stillroom::run::check;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/mistakes")
}

/// All findings in a file or folder, as the program would give them.
fn findings(path: &Path) -> Vec<Diagnostic> {
    check(&[path.to_path_buf()]).findings
}

/// The whole check of a text that stands in no file.
fn whole_check(file: &Arc<SourceFile>, out: &mut Diagnostics) -> bool {
    let unit = parse(file, out).map(|unit| model::check(&Arc::new(unit), out));
    unit.is_some()
}

fn described(findings: &[Diagnostic]) -> String {
    let mut text = String::new();
    for finding in findings {
        let (line, column) = finding.place.line_column();
        let code = finding.code.text();
        writeln!(text, "{code} {line}:{column}\n    {}", finding.message).expect("a string grows");
        if let Some(written) = &finding.written {
            writeln!(text, "    write: {written}").expect("a string grows");
        }
    }
    text
}

/// Every case: its name and what is to be read.
fn cases() -> Vec<(String, PathBuf)> {
    let mut cases: Vec<(String, PathBuf)> = std::fs::read_dir(folder())
        .expect("the folder of cases is there")
        .map(|entry| entry.expect("it can be read").path())
        .filter(|path| path.extension().is_some_and(|e| e == "expect"))
        .map(|path| {
            let name = path.file_stem().expect("it has a name").to_string_lossy().into_owned();
            let file = path.with_extension("md");
            (name, if file.exists() { file } else { path.with_extension("") })
        })
        .collect();
    cases.sort();
    cases
}

#[test]
fn every_case_gives_what_it_should_and_nothing_else() {
    let write = std::env::var_os("STILLROOM_WRITE_EXPECTED").is_some();
    let mut wrong = String::new();
    let cases = cases();
    assert!(cases.len() > 100, "the case files are gone");
    for (name, path) in cases {
        let expect = folder().join(format!("{name}.expect"));
        let found = described(&findings(&path));
        let expected = std::fs::read_to_string(&expect).expect("it was listed");
        if found != expected {
            if write {
                std::fs::write(&expect, &found).expect("the folder can be written");
            }
            write!(wrong, "== {name}\n-- expected\n{expected}-- found\n{found}").expect("grows");
        }
    }
    assert!(wrong.is_empty() || write, "{wrong}");
}

#[test]
fn every_markdown_file_among_the_cases_is_expected_to_give_something() {
    for entry in std::fs::read_dir(folder()).expect("it is there") {
        let path = entry.expect("it can be read").path();
        let is_case = path.is_dir() || path.extension().is_some_and(|e| e == "md");
        assert!(!is_case || path.with_extension("expect").exists(), "{}", path.display());
    }
}

/// Codes that only printing, an absent file or a file beside a paper can raise: their cases
/// are code, in `mistakes_print.rs` and `moderation.rs`.
const WITHOUT_A_FILE: &[(Code, &str)] = &[
    (Code::Unreadable, "a_file_that_is_not_there"),
    (Code::TooFewVersions, "more_versions_than_exist"),
    (Code::TemplateFault, "a_template_that_asks_for_what_is_not_there"),
    (Code::PaperNotChosen, "a_paper_that_was_not_set"),
    (Code::PaperChanged, "a_question_that_was_changed_since_it_was_chosen"),
    (Code::ModerationFile, "a_moderation_file_that_cannot_be_used"),
    (Code::ModerationReopened, "what_a_moderation_finding_says"),
    (Code::ModerationUncovered, "what_a_moderation_finding_says"),
    (Code::ModerationUnsigned, "what_a_moderation_finding_says"),
];

#[test]
fn every_code_has_a_case() {
    let mut seen: Vec<Code> = Vec::new();
    for (_, path) in cases() {
        seen.extend(findings(&path).iter().map(|finding| finding.code));
    }
    let print = concat!(include_str!("mistakes_print.rs"), include_str!("moderation.rs"));
    for (code, test) in WITHOUT_A_FILE {
        assert!(!seen.contains(code), "{} has a case file after all", code.text());
        let says = format!("Code::{code:?}");
        assert!(print.contains(&format!("fn {test}()")) && print.contains(&says), "{says}");
        seen.push(*code);
    }
    // Rules of the trade have twins of their own, in tests/rules/; responses have their
    // cases in `responses.rs`, rosters in `class_sets.rs`.
    let apart = ["response", "roster", "seating"];
    let elsewhere = |code: &Code| {
        rule(*code).is_some() || apart.iter().any(|kind| code.text().starts_with(kind))
    };
    let without: Vec<&str> = Code::ALL
        .iter()
        .filter(|code| !seen.contains(code) && !elsewhere(code))
        .map(|code| code.text())
        .collect();
    assert!(without.is_empty(), "codes that no case raises: {without:?}");
}

#[test]
fn a_finding_says_all_a_teacher_needs() {
    for (name, path) in cases() {
        for finding in findings(&path) {
            let Place { file, span } = &finding.place;
            assert!(span.end <= file.text().len(), "{name}: {finding:?}");
            for part in [&finding.message, &finding.found, &finding.expected, &finding.next] {
                assert!(!part.is_empty(), "{name}: {finding:?}");
            }
            assert!(finding.message.ends_with(['.', '?']), "{name}: {}", finding.message);
            let words = finding.message.split_whitespace().count();
            assert!(words <= 26, "{name}: a long sentence: {}", finding.message);
            let shown = render(&finding, false);
            assert!(shown.contains(&finding.message), "{name}");
            if finding.written.as_deref().is_some_and(|w| !w.is_empty()) {
                assert!(shown.contains("write: "), "{name}");
            }
        }
    }
}

/// What is mended as advised is read without that finding.
#[test]
fn the_line_as_written_puts_the_slip_right() {
    let line_by_line = [
        Code::HashCut,
        Code::ColonInText,
        Code::CommaSplit,
        Code::NeedsQuotes,
        Code::Tab,
        Code::HyphenForUnderscore,
        Code::UnknownKey,
        Code::UnknownRole,
        Code::UnknownOperation,
        Code::BlankUnclosed,
        Code::UnknownComponent,
        Code::UnknownStream,
        Code::UnknownProcess,
        Code::UnknownName,
        Code::UnknownUnit,
        Code::UnknownLevel,
    ];
    let mut tried = 0;
    for (name, path) in cases() {
        for finding in findings(&path) {
            let Some(written) = &finding.written else { continue };
            if !line_by_line.contains(&finding.code) {
                continue;
            }
            let (line, _) = finding.place.line_column();
            let file = &finding.place.file;
            let old = file.line(line);
            let indent: String = old.chars().take_while(|c| matches!(c, ' ' | '>')).collect();
            let start = file
                .text()
                .match_indices(old)
                .map(|(n, _)| n)
                .find(|n| file.line_column(*n).0 == line);
            let start = start.expect("the line stands in the file");
            let mut text = file.text().to_owned();
            text.replace_range(start..start + old.len(), &format!("{indent}{written}"));
            let mended = SourceFile::new(file.name(), text);
            let mut out = Diagnostics::new();
            whole_check(&mended, &mut out);
            let again = out.iter().any(|d| {
                d.code == finding.code && d.place.line_column() == finding.place.line_column()
            });
            assert!(!again, "{name}: {written:?} does not mend {}", finding.message);
            tried += 1;
        }
    }
    assert!(tried > 20, "only {tried} lines were tried");
}

mod mutated {
    use super::*;
    use proptest::prelude::*;
    use stillroom::diag::json_line;

    /// Pieces that upset YAML, Markdown or formulas.
    const PIECES: &[&str] = &[
        "\t",
        "\n",
        "\r\n",
        "\n\n",
        "#",
        " # ",
        ": ",
        ",",
        "[",
        "]",
        "{",
        "}",
        "{{ ",
        " }}",
        "'",
        "\"",
        "*",
        "&a ",
        "!t ",
        "%",
        "@",
        "`",
        "```",
        "```question\n",
        "~~~\n",
        "---\n",
        "- ",
        "  ",
        "> ",
        "|",
        ">-\n",
        "\\",
        "<<: *a\n",
        "? ",
        "(a) ",
        "\u{feff}",
        "\u{b0}",
        "\u{1f9ea}",
        "e\u{301}",
        "\u{0}",
        "9e999",
        "12:30",
        " of ",
        " per ",
        " to ",
        "one of ",
        "= ",
        "id: x\n",
        "sqrt(",
    ];

    fn sources() -> Vec<String> {
        cases().iter().filter_map(|(_, path)| std::fs::read_to_string(path).ok()).collect()
    }

    /// The units that are to be printed, and the textbook problems.
    fn good_units() -> Vec<String> {
        let root = Path::new(env!("CARGO_MANIFEST_DIR"));
        let mut paths: Vec<PathBuf> = ["units", "tests/records", "tests/samples"]
            .iter()
            .flat_map(|folder| std::fs::read_dir(root.join(folder)).expect("it is there"))
            .map(|entry| entry.expect("it can be read").path())
            .filter(|path| path.extension().is_some_and(|e| e == "md"))
            .collect();
        paths.sort();
        paths.iter().map(|path| std::fs::read_to_string(path).expect("text")).collect()
    }

    /// Lines or characters taken out, doubled or put in each other's place.
    #[derive(Debug, Clone)]
    struct Slip {
        lines: bool,
        kind: u8,
        one: prop::sample::Index,
        other: prop::sample::Index,
    }

    fn slip() -> impl Strategy<Value = Slip> {
        let index = any::<prop::sample::Index>;
        (any::<bool>(), 0u8..3, index(), index()).prop_map(|(lines, kind, one, other)| Slip {
            lines,
            kind,
            one,
            other,
        })
    }

    fn slipped(text: &str, slip: &Slip) -> String {
        let mut pieces: Vec<String> = if slip.lines {
            text.split_inclusive('\n').map(str::to_owned).collect()
        } else {
            text.chars().map(String::from).collect()
        };
        if pieces.is_empty() {
            return String::new();
        }
        let one = slip.one.index(pieces.len());
        match slip.kind {
            0 => drop(pieces.remove(one)),
            1 => pieces.insert(one, pieces[one].clone()),
            _ => {
                let other = slip.other.index(pieces.len());
                pieces.swap(one, other);
            }
        }
        pieces.concat()
    }

    fn floor(text: &str, at: usize) -> usize {
        (0..=at.min(text.len())).rev().find(|at| text.is_char_boundary(*at)).unwrap_or(0)
    }

    fn whole(file: &SourceFile, finding: &Diagnostic) {
        let span = finding.place.span;
        assert!(span.start <= span.end, "{finding:?}");
        for at in [span.start, span.end] {
            assert!(file.text().is_char_boundary(at), "{finding:?}");
        }
        for (place, _) in &finding.related {
            assert!(file.text().get(place.span.range()).is_some(), "{finding:?}");
        }
        assert!(render(finding, false).contains(finding.code.text()));
        assert!(json_line(finding).starts_with('{'));
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

        /// Whatever is done to a unit file, reading it ends, and every finding
        /// points at whole characters of the file.
        #[test]
        fn files_are_read_to_the_end(
            which in any::<prop::sample::Index>(),
            edits in prop::collection::vec(
                (any::<prop::sample::Index>(), 0usize..40, 0usize..PIECES.len()), 0..6),
            cut in prop::option::of(any::<prop::sample::Index>()),
        ) {
            let sources = sources();
            let mut text = which.get(&sources).clone();
            for (at, take, piece) in edits {
                let start = floor(&text, at.index(text.len() + 1));
                let end = floor(&text, start + if piece % 3 == 0 { 0 } else { take }).max(start);
                text.replace_range(start..end, PIECES[piece]);
            }
            if let Some(cut) = cut {
                let at = floor(&text, cut.index(text.len() + 1));
                text.truncate(at);
            }
            let file = SourceFile::new("u.md", text);
            let mut out = Diagnostics::new();
            let unit = parse(&file, &mut out);
            prop_assert!(unit.is_some() || out.has_errors(), "no unit and no error: {:?}", file.text());
            for finding in out.iter() {
                whole(&file, finding);
            }
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

        /// A good unit with slips in it is checked to the end, engine and all.
        #[test]
        fn good_units_with_slips_are_checked_to_the_end(
            which in any::<prop::sample::Index>(),
            slips in prop::collection::vec(slip(), 1..4),
        ) {
            let units = good_units();
            let text = slips.iter().fold(which.get(&units).clone(), |t, s| slipped(&t, s));
            let folder = tempfile::tempdir().expect("a folder");
            let path = folder.path().join("u.md");
            std::fs::write(&path, &text).expect("it is written");
            let checked = check(&[path]);
            let errors = checked.findings.iter().any(|f| f.severity == Severity::Error);
            prop_assert_eq!(checked.failed, errors);
            prop_assert!(checked.questions > 0 || !checked.findings.is_empty() || !text.contains("```question"));
            for finding in &checked.findings {
                whole(&finding.place.file, finding);
            }
        }
    }
}
