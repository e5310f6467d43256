//! A JSON Schema (draft 2020-12) of every block, for editors.
//!
//! Takes the tables of words and operations that decoding reads; gives JSON. It tells
//! keys, which of them must be there, shapes and words of closed lists; what a name or a
//! formula means is for `check` to say.

use serde_json::{Map, Value, json};

use crate::balance::operations::{CATALOGUE, Kind, Role, Takes, Wants};

use super::words::{self, BlockWords, LEVELS, blocks};

/// The shape of what a key takes.
#[derive(Debug, Clone, Copy)]
enum Shape {
    /// A text, or a number that is read as it is typed.
    Text,
    Id,
    Whole,
    Texts,
    /// One text, or several.
    OneOrTexts,
    OneOf(&'static [&'static str]),
    /// A name and a text for each.
    Named,
    /// Names with whatever they take.
    Open,
    /// A block of its own in braces.
    Block(&'static BlockWords),
    /// That, or a text, or a list of texts.
    BlockOrTexts(&'static BlockWords),
    /// A list of such blocks, or of texts in their place.
    Blocks(&'static BlockWords),
    /// A label and such a block for each.
    Labelled(&'static BlockWords),
    Components,
    Operations,
    Any,
}

/// The shape of a key; blocks share what they share. None for a key that this file does
/// not know, which a test would find.
fn shape(block: &BlockWords, key: &str) -> Option<Shape> {
    use Shape::*;
    // Keys that mean one thing in one block and another elsewhere.
    let own = match (block.name, key) {
        ("choose", "answer" | "wrong") | ("figure", "columns") => Some(Any),
        ("choose", "options") => Some(Any),
        ("choose" | "blank cell", "find" | "answer") => Some(Text),
        ("true_false", "answer") => Some(OneOf(&["true", "false"])),
        ("true_false" | "anomaly", "reason") => Some(Blocks(&words::POINT)),
        ("anomaly", "rule") => Some(OneOf(&["line", "trend", "sum"])),
        ("component", "is") => None,
        ("complete", "blank") => Some(Blocks(&words::BLANK)),
        ("figure", "labels") => Some(OneOf(&["names", "letters"])),
        ("figure" | "data", "for") => Some(OneOf(&["lesson", "questions"])),
        ("figure", "notes") => Some(Named),
        ("figure", "rows") => Some(OneOrTexts),
        ("data", "rows") => Some(Open),
        // Papers, what is chosen for them, and a department's habits.
        ("paper" | "section", "marks" | "questions" | "each" | "levels" | "objectives") => {
            Some(Any)
        }
        ("paper", "minutes") => Some(Whole),
        ("chosen list", "questions") => Some(Blocks(&words::PICK)),
        ("chosen question", "id") => Some(Text),
        ("moderation file", "versions") => Some(Blocks(&words::SIGNED_VERSION)),
        ("moderation file", "questions") => Some(Blocks(&words::SIGNED_QUESTION)),
        ("moderation file", "front_page") => Some(Text),
        ("signed version" | "signed question", "version" | "checked_by" | "on") => Some(Text),
        ("department", "levels" | "grades") => Some(Open),
        ("department", "badge") => Some(Text),
        ("department", "decimal") => Some(OneOf(&["point", "comma"])),
        ("department", "letters") => Some(Block(&words::LETTERS)),
        ("letters", "method" | "accuracy" | "independent") => Some(Text),
        ("review", "about") => Some(OneOrTexts),
        ("review", "questions") => Some(Blocks(&words::RECALL)),
        _ => None,
    };
    own.or(match key {
        "id" => Some(Id),
        "title" | "place" | "class" | "language" | "property" | "separates" | "formula"
        | "molar mass" | "solubility" | "objective" | "figure" | "name" | "unit" | "tolerance"
        | "remark" | "row" | "column" | "at" | "point" | "change" | "measure" | "technique"
        | "quantity" | "source" | "meaning" | "example" | "not" | "of" | "caption" | "ask"
        | "answer" | "draw" | "space" | "rule" => Some(Text),
        "columns" => Some(Text),
        "hyphenation" => Some(Any),
        "paper" | "ledger" | "hash" | "section" | "subject" | "date" | "school" | "foot" => {
            Some(Text)
        }
        "need" | "instructions" | "information" => Some(Texts),
        "from" | "must" | "must_not" => Some(OneOrTexts),
        "one_of" | "sections" => Some(Any),
        "strands" => Some(Open),
        "seed" | "versions" => Some(Whole),
        "bank" => Some(OneOf(&["none"])),
        "minutes" | "sig_figs" | "places" | "marks" | "lines" | "most" => Some(Whole),
        "apparatus" | "steps" | "cautions" | "industry" | "method" | "safety" | "evaluation"
        | "or" | "accept" | "reject" | "ignore" | "keep" | "words" | "names" | "relations"
        | "require" => Some(Texts),
        "spare" | "route" | "avoid" | "find" | "without" | "data" => Some(OneOrTexts),
        "blank" => Some(OneOrTexts),
        "objectives" | "outlets" | "by_products" | "values" | "remarks" | "allow" => Some(Named),
        "mistakes" => Some(Any),
        "groups" | "given" => Some(Open),
        "level" => Some(OneOf(LEVELS)),
        "basis" => Some(OneOf(&["mass", "moles", "volume"])),
        "sketch" => Some(Text),
        "components" => Some(Components),
        "operations" => Some(Operations),
        "process" => Some(BlockOrTexts(&words::INLINE_PROCESS)),
        "parts" => Some(Labelled(&words::PART)),
        "choose" => Some(Block(&words::CHOOSE)),
        "true_false" => Some(Block(&words::TRUE_FALSE)),
        "match" => Some(Open),
        "order" => Some(OneOrTexts),
        "explain" => Some(Blocks(&words::POINT)),
        "fill" => Some(BlockOrTexts(&words::FILL)),
        "label" => Some(Block(&words::LABEL)),
        "read" => Some(Block(&words::READ)),
        "complete" => Some(Block(&words::COMPLETE)),
        "anomaly" => Some(Block(&words::ANOMALY)),
        "investigate" => Some(Block(&words::INVESTIGATE)),
        "is" => Some(Text),
        _ => None,
    })
}

/// The keys of blocks of which the schema does not know what they take; none, a test says.
pub fn unknown_shapes() -> Vec<String> {
    let all = blocks().iter().flat_map(|block| block.keys.iter().map(move |key| (block, key)));
    all.filter(|(block, key)| shape(block, key.name).is_none())
        .map(|(block, key)| format!("{} in {}", key.name, block.name))
        .collect()
}

/// The schema of all blocks: under `$defs` each by its name, and what a block may be.
/// With the word of a block, the schema of that block alone. None if there is none such.
pub fn schema(block: Option<&str>) -> Option<Value> {
    let mut whole = Map::new();
    whole.insert("$schema".into(), "https://json-schema.org/draft/2020-12/schema".into());
    let fences = || blocks().iter().filter(|block| block.fence);
    match block {
        Some(word) => {
            let found = blocks().iter().find(|block| block.name == word)?;
            whole.insert("title".into(), format!("Stillroom: {word}").into());
            whole.insert("$ref".into(), reference(found)["$ref"].clone());
        }
        None => {
            whole.insert("title".into(), "Stillroom: the blocks of a unit".into());
            whole.insert("anyOf".into(), fences().map(|block| reference(block)).collect());
        }
    }
    let mut defs = Map::new();
    for block in blocks() {
        defs.insert(name(block), definition(block));
    }
    defs.insert(name(&words::INLINE_PROCESS), definition(&words::INLINE_PROCESS));
    defs.insert("operation".into(), operation());
    whole.insert("$defs".into(), defs.into());
    Some(whole.into())
}

/// The name of a block among the definitions. A process inside a question is another
/// than one in a fence of its own.
fn name(block: &BlockWords) -> String {
    let own = block.name.replace(' ', "-");
    if block.name == words::PROCESS.name && !block.fence { format!("inline-{own}") } else { own }
}

fn reference(block: &BlockWords) -> Value {
    json!({ "$ref": format!("#/$defs/{}", name(block)) })
}

fn definition(block: &BlockWords) -> Value {
    // Terms and pairs are called as their author likes.
    match block.name {
        "glossary" => {
            let term = json!({ "anyOf": [text(), reference(&words::TERM)] });
            return json!({
                "description": block.says, "type": "object", "additionalProperties": term,
            });
        }
        "match" => return json!({ "description": block.says, "type": "object" }),
        _ => {}
    }
    let mut properties = Map::new();
    for key in block.keys {
        let mut value = shape(block, key.name).map_or_else(|| json!({}), of_shape);
        if let Some(object) = value.as_object_mut() {
            object.insert("description".into(), key.takes.into());
        }
        properties.insert(key.name.into(), value);
    }
    let required: Vec<&str> =
        block.keys.iter().filter(|key| key.required).map(|key| key.name).collect();
    json!({
        "description": block.says,
        "type": "object",
        "properties": properties,
        "required": required,
        "additionalProperties": false,
    })
}

fn text() -> Value {
    json!({ "type": ["string", "number", "boolean"] })
}

fn of_shape(shape: Shape) -> Value {
    let texts = || json!({ "type": "array", "items": text() });
    match shape {
        Shape::Text => text(),
        Shape::Id => json!({ "type": "string", "pattern": "^[a-z0-9]+(-[a-z0-9]+)*$" }),
        Shape::Whole => json!({ "type": "integer", "minimum": 0 }),
        Shape::Texts => texts(),
        Shape::OneOrTexts => json!({ "anyOf": [text(), texts()] }),
        // True and false are words here, and what they are to YAML besides.
        Shape::OneOf(words) if words.contains(&"true") => {
            json!({ "enum": [true, false, "true", "false"] })
        }
        Shape::OneOf(words) => json!({ "enum": words }),
        Shape::Named => json!({ "type": "object", "additionalProperties": text() }),
        Shape::Open => json!({ "type": "object" }),
        Shape::Block(block) => json!({ "allOf": [reference(block)] }),
        Shape::BlockOrTexts(block) => json!({ "anyOf": [text(), texts(), reference(block)] }),
        Shape::Blocks(block) => {
            json!({ "anyOf": [
                text(),
                { "type": "array", "items": { "anyOf": [text(), reference(block)] } },
            ] })
        }
        Shape::Labelled(block) => {
            json!({ "type": "object", "additionalProperties": reference(block) })
        }
        Shape::Components => {
            let roles: Vec<&str> = Role::NAMED.iter().map(|(name, _)| *name).collect();
            let component = json!({ "anyOf": [{ "enum": roles }, reference(&words::COMPONENT)] });
            json!({ "anyOf": [
                texts(), { "type": "object", "additionalProperties": component },
            ] })
        }
        Shape::Operations => {
            json!({ "type": "object", "additionalProperties": { "$ref": "#/$defs/operation" } })
        }
        Shape::Any => json!({}),
    }
}

/// Each kind of operation with its ports and settings.
fn operation() -> Value {
    let names: Vec<&str> = CATALOGUE
        .iter()
        .flat_map(|kind| std::iter::once(&kind.name).chain(kind.also))
        .copied()
        .collect();
    let kinds: Vec<Value> = CATALOGUE
        .iter()
        .map(|kind| {
            let own: Vec<&str> = std::iter::once(&kind.name).chain(kind.also).copied().collect();
            json!({
                "if": { "properties": { "is": { "enum": own } } },
                "then": { "properties": ports_and_settings(kind), "additionalProperties": false },
            })
        })
        .collect();
    json!({
        "description": "an operation: its kind, then each inlet and outlet with the name of a stream",
        "type": "object",
        "properties": { "is": { "enum": names } },
        "required": ["is"],
        "allOf": kinds,
    })
}

fn ports_and_settings(kind: &Kind) -> Map<String, Value> {
    let mut properties = Map::new();
    properties.insert("is".into(), json!({}));
    for port in kind.inlets.iter().chain(kind.outlets) {
        let stream = match port.takes {
            Takes::Many => of_shape(Shape::OneOrTexts),
            _ => text(),
        };
        for key in std::iter::once(&port.key).chain(port.also) {
            properties.insert((*key).into(), stream.clone());
        }
    }
    for setting in kind.settings {
        let value = match setting.takes {
            Wants::Count => of_shape(Shape::Whole),
            _ => json!({}),
        };
        properties.insert(setting.key.into(), value);
    }
    properties
}
