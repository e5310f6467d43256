//! The JSON Schema of blocks, held by an outside validator against units that are
//! sound and against mistakes that a schema can see.

use boon::{Compiler, SchemaIndex, Schemas};
use serde_json::Value;
use stillroom::reading::schema::{schema, unknown_shapes};
use stillroom::reading::words::block;

mod units;

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
        let paper = front.0.lines().any(|line| line.starts_with("paper:"));
        let word = if paper { "paper" } else { "front matter" };
        found.push((word.to_owned(), front.0.to_owned()));
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

/// Mistakes that a schema sees: a block and its keys, each wrong in one place.
const BAD: &[(&str, &str)] = &[
    ("front matter", "{id: a-b, title: T, objectives: {}, minuts: 3}"),
    ("front matter", "{id: a-b, title: T}"),
    ("front matter", "{id: A b, title: T, objectives: {}}"),
    ("technique", "{id: a-b, property: size, steps: Stir once.}"),
    ("technique", "{id: a-b, property: {is: size}}"),
    ("process", "{id: a-b, components: {salt: solutee}, operations: {}}"),
    ("process", "{id: a-b, components: [salt], operations: {pan: {is: evaporaton, feed: a}}}"),
    (
        "process",
        "{id: a-b, components: [salt], operations: {pan: {is: evaporation, feed: a, filtrate: b}}}",
    ),
    ("question", "{id: a-b, level: aply, find: brine.total}"),
    ("question", "{id: a-b, parts: {a: {fnd: brine.total}}}"),
    ("question", "{id: a-b, marks: three, find: brine.total}"),
    ("question", "{id: a-b, true_false: {answer: perhaps}}"),
    ("question", "{id: a-b, explain: [{accept: [heat]}]}"),
    ("figure", "{id: a-b, of: works, labels: none}"),
    ("glossary", "{residue: {means: what stays}}"),
    ("paper", "{paper: Test, from: [units]}"),
];

#[test]
fn mistakes_that_a_schema_sees_are_refused() {
    let mut validator = Validator::new();
    for (word, text) in BAD {
        let value: Value = serde_saphyr::from_str(text).unwrap();
        assert!(validator.refuses(word, &value).is_some(), "{word}: {text}");
    }
}
