//! The JSON Schema of blocks, held by an outside validator against units that are
//! sound and against the mistakes that a schema can see.

use std::path::{Path, PathBuf};

use boon::{Compiler, SchemaIndex, Schemas};
use serde_json::Value;
use stillroom::diag::Code;
use stillroom::reading::schema::{schema, unknown_shapes};
use stillroom::reading::words::block;
use stillroom::run::check;

mod units;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The schema of each block that has a fence, and of the front matter.
struct Validator {
    schemas: Schemas,
    compiler: Compiler,
}

impl Validator {
    fn new() -> Validator {
        Validator { schemas: Schemas::new(), compiler: Compiler::new() }
    }

    fn refuses(&mut self, word: &str, value: &Value) -> Option<String> {
        let address = format!("schema:/{}.json", word.replace(' ', "-"));
        let made = schema(Some(word)).unwrap_or_else(|| panic!("no schema of {word}"));
        // A schema of an address that is known stays as it was.
        let _ = self.compiler.add_resource(&address, made);
        let index: SchemaIndex =
            self.compiler.compile(&address, &mut self.schemas).expect("a sound schema");
        self.schemas.validate(value, index).err().map(|error| format!("{error:#}"))
    }
}

/// The YAML of a file's front matter and blocks, each with the word of its block. What
/// YAML itself refuses is left out.
fn yaml_blocks(text: &str) -> Vec<(String, Value)> {
    let text = text.trim_start_matches('\u{feff}').replace("\r\n", "\n");
    let mut found = Vec::new();
    if let Some(front) = text.strip_prefix("---\n").and_then(|rest| rest.split_once("\n---\n")) {
        found.push(("front matter".to_owned(), front.0.to_owned()));
    }
    let mut lines = text.lines();
    while let Some(line) = lines.next() {
        let Some(word) = line.strip_prefix("```").filter(|word| block(word).is_some()) else {
            continue;
        };
        let body: Vec<&str> = lines.by_ref().take_while(|line| !line.starts_with("```")).collect();
        let keys: Vec<&str> = body.into_iter().take_while(|line| *line != "---").collect();
        found.push((word.to_owned(), keys.join("\n")));
    }
    let read =
        |(word, text): (String, String)| Some((word, serde_saphyr::from_str::<Value>(&text).ok()?));
    found.into_iter().filter_map(read).collect()
}

#[test]
fn every_key_has_a_shape() {
    assert_eq!(unknown_shapes(), Vec::<String>::new());
}

#[test]
fn the_whole_schema_is_one_itself() {
    let mut compiler = Compiler::new();
    compiler.add_resource("schema:/all.json", schema(None).unwrap()).unwrap();
    compiler.compile("schema:/all.json", &mut Schemas::new()).unwrap();
}

#[test]
fn sound_units_are_accepted() {
    let mut validator = Validator::new();
    let mut blocks = 0;
    for path in units::files() {
        let text = std::fs::read_to_string(&path).unwrap();
        for (word, value) in yaml_blocks(&text) {
            let refused = validator.refuses(&word, &value);
            assert_eq!(refused, None, "{}, {word}", path.display());
            blocks += 1;
        }
    }
    assert!(blocks > 100, "only {blocks} blocks");
}

/// Mistakes that a schema sees, each in a block that YAML can read.
const SEEN: &[Code] =
    &[Code::UnknownKey, Code::UnknownLevel, Code::UnknownRole, Code::UnknownOperation];

#[test]
fn mistakes_that_a_schema_sees_are_refused() {
    let mut validator = Validator::new();
    let mut cases: Vec<PathBuf> = std::fs::read_dir(root().join("tests/mistakes"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "md"))
        .collect();
    cases.sort();
    let (mut refused, mut missed) = (0, Vec::new());
    for path in cases {
        let Ok(text) = std::fs::read_to_string(&path) else { continue };
        let findings = check(std::slice::from_ref(&path)).findings;
        if !findings.iter().any(|finding| SEEN.contains(&finding.code)) {
            continue;
        }
        let blocks = yaml_blocks(&text);
        if blocks.iter().any(|(word, value)| validator.refuses(word, value).is_some()) {
            refused += 1;
        } else {
            missed.push(path.display().to_string());
        }
    }
    assert!(missed.is_empty(), "accepted: {missed:#?}");
    assert!(refused > 8, "only {refused} files");
}
