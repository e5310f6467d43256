//! Every rule of the trade has a bad twin that breaks it and a good twin, as like it as
//! can be, that does not; waivers; readability.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use stillroom::diag::{Code, Diagnostic, Severity};
use stillroom::rules::readability::Counts;
use stillroom::rules::table::{TABLE, rule};
use stillroom::run::{Checked, check};

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn twin(code: &str, kind: &str) -> PathBuf {
    root().join(format!("tests/rules/{code}.{kind}.md"))
}

fn rules_broken(path: &Path) -> Vec<Diagnostic> {
    assert!(path.exists(), "{} is missing", path.display());
    let Checked { findings, questions, units, .. } = check(&[path.to_path_buf()]);
    let other: Vec<_> = findings
        .iter()
        .filter(|f| rule(f.code).is_none() && f.severity == Severity::Error)
        .map(|f| (f.code.text(), f.message.clone()))
        .collect();
    assert!(other.is_empty() && units == 1, "{}: {other:?}, {questions}", path.display());
    findings.into_iter().filter(|finding| rule(finding.code).is_some()).collect()
}

fn codes(findings: &[Diagnostic]) -> Vec<&'static str> {
    findings.iter().map(|finding| finding.code.text()).collect()
}

#[test]
fn the_bad_twin_of_every_rule_breaks_it_alone() {
    for rule in TABLE {
        let broken = rules_broken(&twin(rule.code.text(), "bad"));
        let found: BTreeSet<&str> = codes(&broken).into_iter().collect();
        assert_eq!(found.into_iter().collect::<Vec<_>>(), [rule.code.text()]);
    }
}

#[test]
fn the_good_twin_of_every_rule_breaks_none() {
    for rule in TABLE {
        let broken = rules_broken(&twin(rule.code.text(), "good"));
        let said: Vec<_> = broken.iter().map(|f| (f.code.text(), f.found.clone())).collect();
        assert!(said.is_empty(), "{}: {said:?}", rule.code.text());
    }
}

#[test]
fn twins_are_of_rules_that_are() {
    for entry in std::fs::read_dir(root().join("tests/rules")).expect("it is there") {
        let name = entry.expect("it can be read").file_name().to_string_lossy().into_owned();
        let code = name.trim_end_matches(".md").trim_end_matches(".bad").trim_end_matches(".good");
        assert!(TABLE.iter().any(|rule| rule.code.text() == code), "{name} is of no rule");
    }
}

#[test]
fn a_finding_of_a_rule_says_all_a_teacher_needs() {
    for rule in TABLE {
        for finding in rules_broken(&twin(rule.code.text(), "bad")) {
            let parts = [&finding.message, &finding.found, &finding.expected, &finding.next];
            assert!(parts.iter().all(|part| !part.is_empty()), "{finding:?}");
            assert!(finding.message.ends_with('.'), "{}", finding.message);
            assert!(finding.message.split_whitespace().count() <= 26, "{}", finding.message);
            assert!(!finding.next.contains('\n'), "{}", finding.next);
            let text = finding.place.file.slice(finding.place.span);
            assert!(!text.trim().is_empty(), "{finding:?} points at nothing");
        }
    }
}

/// The bad twin with a waiver in its front matter.
fn waived(code: &str, line: &str) -> Checked {
    let text = std::fs::read_to_string(twin(code, "bad")).expect("it is there");
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("unit.md");
    std::fs::write(&path, text.replacen("objectives:", &format!("{line}\nobjectives:"), 1))
        .expect("written");
    check(&[path])
}

#[test]
fn a_waiver_with_a_reason_is_kept_and_told() {
    for rule in TABLE {
        let code = rule.code.text();
        let checked = waived(code, &format!("allow: {{{code}: the class has asked for it}}"));
        let found = codes(&checked.findings);
        if rule.waivable {
            assert!(!found.contains(&code), "{code}: {found:?}");
            let [waiver] = checked.waivers.as_slice() else { panic!("{code}: one waiver") };
            assert_eq!((waiver.rule, waiver.reason.as_str()), (code, "the class has asked for it"));
        } else {
            assert!(found.contains(&code) && found.contains(&"not-waivable"), "{code}: {found:?}");
            assert!(checked.waivers.is_empty() && checked.failed);
        }
    }
}

#[test]
fn waivers_are_looked_at_themselves() {
    let of = |line: &str| waived("long-sentence", line);
    let cases = [
        ("allow: {long-sentense: a slip}", Code::UnknownRule),
        ("allow: {mixed-units: nothing is mixed}", Code::WaiverUnused),
        ("allow: {water-into-acid: never}", Code::NotWaivable),
        ("allow: {long-sentence: }", Code::EmptyValue),
    ];
    for (line, code) in cases {
        let found = of(line);
        let one = found.findings.iter().find(|finding| finding.code == code);
        let one = one.unwrap_or_else(|| panic!("{line}: {:?}", codes(&found.findings)));
        assert!(code != Code::UnknownRule || one.next.contains("long-sentence"), "{}", one.next);
    }
}

#[test]
fn the_units_break_no_rule_without_saying_so() {
    for unit in ["quarnholm-salt", "ombrindale-potash"] {
        let checked = check(&[root().join(format!("units/{unit}.md"))]);
        let broken: Vec<_> = checked
            .findings
            .iter()
            .filter(|finding| rule(finding.code).is_some())
            .map(|finding| (finding.code.text(), finding.place.line_column(), &finding.found))
            .collect();
        assert!(broken.is_empty(), "{unit}: {broken:?}");
        assert!(checked.waivers.len() <= 3, "{unit}: {} waivers", checked.waivers.len());
    }
}

#[test]
fn what_is_forbidden_is_not_printed() {
    use stillroom::run::{Extras, PrintJob, print};
    let folder = tempfile::tempdir().expect("a folder");
    let job = |code: &str| PrintJob {
        unit: twin(code, "bad"),
        versions: 1,
        only: None,
        seed: 1,
        out: folder.path().to_owned(),
        one_file: false,
        html: false,
        profile: stillroom::composing::Profile::default(),
        extras: Extras::default(),
        roster: None,
    };
    let refused = print(&job("water-into-acid"), &mut |_| {}).expect("it is read");
    assert!(refused.folder.is_none());
    assert_eq!(codes(&refused.findings), ["water-into-acid"]);
    let advised = print(&job("long-sentence"), &mut |_| {}).expect("it is read");
    assert!(advised.folder.is_some() && advised.findings.is_empty());
}

/// Counts of the Carnegie Mellon pronouncing dictionary's syllables, and what the two
/// formulas make of them, worked out outside this project.
#[test]
fn readability_agrees_with_outside_counts() {
    let table = std::fs::read_to_string(root().join("tests/data/readability.csv")).expect("there");
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(table.as_bytes());
    let mut rows = 0;
    for row in reader.records() {
        let row = row.expect("a row");
        let number = |at: usize| -> f64 { row[at].parse().expect("a number") };
        let counts = Counts::of(&row[0], &|_| false);
        assert_eq!(f64::from(counts.sentences), number(1), "{}", &row[0]);
        assert_eq!(f64::from(counts.words), number(2), "{}", &row[0]);
        assert_eq!(f64::from(counts.syllables), number(4), "{}", &row[0]);
        let near = |got: Option<f64>, want: f64| (got.expect("a figure") - want).abs() < 1e-3;
        assert!(near(counts.reading_ease(), number(5)), "{:?}", counts.reading_ease());
        assert!(near(counts.grade(), number(6)), "{:?}", counts.grade());
        rows += 1;
    }
    assert!(rows >= 4);
}

/// What a unit whose author is short of words prints: the usual cautions all the same.
#[test]
fn usual_cautions_stand_on_every_page_that_tells_of_work() {
    use stillroom::run::{Extras, PrintJob, print};
    let unit = "---\nid: short\ntitle: Short\nobjectives: {masses: Calculate masses}\n---\n\n\
        ```technique\nid: evaporation\nproperty: boiling point\nsteps:\n  - Fill it.\ncautions:\n  \
        - Follow the risk assessment of your school.\n```\n\n\
        ```question\nid: basin\nobjective: masses\nprocess:\n  components: {salt: solute, water: solvent}\n  \
        operations: {basin: {is: evaporation, feed: brine, vapour: steam, concentrate: strong}}\n\
        values: {taken: \"20 to 60 g, step 1\"}\ngiven:\n  brine: {total: taken, salt: 5.0 %}\n  strong: {salt: 20.0 %}\n\
        find: strong.total\n---\nSomebody boils {{ taken }} of brine with 5.0 % salt down to 20.0 % salt in a WHERE. \
        Calculate the mass that is left.\n```\n";
    let folder = tempfile::tempdir().expect("a folder");
    let usual = "Hot liquid spits when nearly dry";
    let printed = |place: &str| {
        let path = folder.path().join("unit.md");
        let text = unit.replace("WHERE", place);
        std::fs::write(&path, text).expect("written");
        let job = PrintJob {
            unit: path,
            versions: 1,
            only: None,
            seed: 1,
            out: folder.path().join("out"),
            one_file: false,
            html: true,
            profile: stillroom::composing::Profile::default(),
            extras: Extras::default(),
            roster: None,
        };
        let done = print(&job, &mut |_| {}).expect("it is read");
        let out = done.folder.unwrap_or_else(|| panic!("{:?}", codes(&done.findings)));
        move |name: &str| std::fs::read_to_string(out.join(name)).expect("printed").contains(usual)
    };
    let at_a_bench = printed("basin");
    for page in ["worksheet-A.html", "answer-key-A.html", "lesson.html"] {
        assert!(at_a_bench(page), "{page}");
    }
    // Sums on paper about a works need none; the technique still does.
    let at_a_works = printed("pan as wide as a house");
    assert!(!at_a_works("worksheet-A.html") && at_a_works("lesson.html"));
}

/// Any two versions of a question: figures within one, readings alike, index within 2 %.
#[test]
fn versions_of_a_question_are_alike() {
    use stillroom::question::{Fairness, Profile, spread};
    use stillroom::reading::{model, parse};
    let mut seen = 0;
    for unit in [
        "units/quarnholm-salt.md",
        "units/ombrindale-potash.md",
        "tests/rules/unequal-versions.bad.md",
    ] {
        let text = std::fs::read_to_string(root().join(unit)).expect("it is there");
        let file = stillroom::diag::SourceFile::new(unit, text);
        let mut out = stillroom::diag::Diagnostics::new();
        let parsed = std::sync::Arc::new(parse(&file, &mut out).expect("it is a unit"));
        for checked in &model::check(&parsed, &mut out).questions {
            let solved = |c: &[usize]| checked.engine.solve(&checked.values_for(c)).ok();
            let fair = Fairness::of(checked, &mut |c| solved(c));
            let kept: Vec<Profile> = spread(&checked.axes())
                .iter()
                .filter_map(|c| {
                    let slots = solved(c)?;
                    fair.likes(c, &slots).then(|| fair.profile(c, &slots))
                })
                .collect();
            assert!(!kept.is_empty(), "{}", checked.question.id.value);
            for (a, b) in kept.iter().flat_map(|a| kept.iter().map(move |b| (a, b))) {
                assert!(a.digits.abs_diff(b.digits) <= 1);
                assert_eq!(
                    (a.steps, a.conversions, a.between),
                    (b.steps, b.conversions, b.between)
                );
                // Either side of the middle by 1 %: 1.01 / 0.99.
                assert!(a.index() / b.index() < 1.0203, "{a:?} {b:?}");
            }
            seen += kept.len();
        }
    }
    assert!(seen > 500, "{seen} versions");
}
