//! The routes that the engine takes through textbook problems, step by step in
//! words, against the files in `goldens/routes`. Whoever changes the search or its
//! costs reads these as a teacher would. A file opens with our own judgement on
//! how the route compares with the usual one; the rest is what the engine says.
//! Set `STILLROOM_WRITE_ROUTES` to write the files anew.

use std::path::Path;
use std::sync::Arc;

use stillroom::diag::Diagnostics;
use stillroom::question::Solution;
use stillroom::reading;
use stillroom::reading::model;

const PROBLEMS: [&str; 11] = [
    "bypass-orange-juice-pulp",
    "cryst-filter-dry-agno3",
    "dry-fish-meal",
    "evap-orange-juice",
    "mix-naoh-dilution",
    "norecycle-k2cro4",
    "recycle-k2cro4",
    "recycle-kno3",
    "ro-desalination",
    "screen-quartz",
    "two-unit-felder-441",
];

/// Problems of our own in `goldens/units`: two unknowns at once, curves, routes of the author's, one wash.
const OWN: [&str; 7] = [
    "basis",
    "flash-by-relation",
    "flash-multiplied-out",
    "route-pinned",
    "route-avoided",
    "three-feed-blend",
    "wash-casein-curd-once",
];

/// The working of a unit's question, one line a step.
fn route(folder: &str, id: &str) -> String {
    let tests = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests");
    let name = format!("{id}.md");
    let mut found = Diagnostics::new();
    let file = reading::file::read(&tests.join(folder).join(&name), &name, &mut found)
        .expect("a text file");
    let parsed = reading::parse(&file, &mut found).expect("a unit");
    let model = model::check(&Arc::new(parsed), &mut found);
    let said: Vec<String> =
        found.sorted().into_iter().map(|d| stillroom::diag::render(&d, false)).collect();
    let checked = model.questions.first().unwrap_or_else(|| panic!("{id}: {said:?}"));
    let choice = vec![0; checked.axes().len()];
    let solution = Solution::of(checked, &choice).expect("a version that can be");
    let mut lines = String::new();
    for step in solution.working(&solution.answers()) {
        let links: Vec<&str> = step.chain.iter().chain(&step.answer).map(String::as_str).collect();
        let chain = links.join(" = ");
        lines.push_str(&format!("{}\n    {} = {chain}\n", step.says, step.name));
    }
    lines
}

#[test]
fn routes_are_those_that_were_read_and_liked() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/goldens/routes");
    let mut changed = Vec::new();
    let records = PROBLEMS.iter().map(|id| ("records", *id));
    for (source, id) in records.chain(OWN.iter().map(|id| ("goldens/units", *id))) {
        let path = folder.join(format!("{id}.txt"));
        let golden = std::fs::read_to_string(&path).unwrap_or_default();
        let (remark, steps) = golden.split_once('\n').unwrap_or(("", ""));
        let taken = route(source, id);
        if std::env::var_os("STILLROOM_WRITE_ROUTES").is_some() {
            std::fs::write(&path, format!("{remark}\n{taken}")).expect("a file to write");
        } else if steps != taken {
            changed.push(format!("{id}: read\n{steps}now\n{taken}"));
        } else if remark.trim().is_empty() {
            changed.push(format!("{id}: no word on how the route compares with the usual one"));
        }
    }
    assert!(changed.is_empty(), "{}", changed.join("\n"));
}
