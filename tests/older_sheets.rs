//! Sheets of an earlier run do not stay among those of a new one.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use stillroom::run::{Extras, PrintJob, Printed, Wishes, print, profile};

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
        html: false,
        profile: profile(&Wishes::default()),
        extras: Extras::default(),
        roster: None,
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
        [
            "answer-keys.pdf",
            "answers.csv",
            "lesson.pdf",
            "responses.csv",
            "responses.xlsx",
            "scheme.pdf",
            "worksheet-plan.txt",
            "worksheets.pdf"
        ]
    );
    let read_aloud = printed(&PrintJob { versions: 2, html: true, ..job(here.path()) });
    for name in ["worksheet-B.html", "answer-key-B.html", "lesson.html", "scheme.html"] {
        assert!(read_aloud.contains_key(name), "{name} is missing");
    }
    let now = printed(&PrintJob { versions: 1, html: true, ..job(here.path()) });
    assert!(!now.contains_key("worksheet-B.html") && now.contains_key("worksheet-A.html"));
    let now = printed(&PrintJob { versions: 1, ..job(here.path()) });
    assert!(!now.keys().any(|name| name.ends_with(".html")), "{:?}", now.keys());
}
