//! All findings of a run as one SARIF 2.1.0 log (OASIS Standard, 27 March 2020), which
//! editors and code hosts read.
//!
//! Takes findings and the version of the program; gives JSON. Never leaves a finding out.

use serde::Serialize;

use super::{Code, Diagnostic, Place, Severity, SourceFile, Span};

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Log<'a> {
    #[serde(rename = "$schema")]
    schema: &'a str,
    version: &'a str,
    runs: [Run<'a>; 1],
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Run<'a> {
    tool: Tool<'a>,
    /// Columns count characters (section 3.14.17 of the standard).
    column_kind: &'a str,
    results: Vec<Finding<'a>>,
}

#[derive(Serialize)]
struct Tool<'a> {
    driver: Driver<'a>,
}

#[derive(Serialize)]
struct Driver<'a> {
    name: &'a str,
    version: &'a str,
    rules: Vec<Rule<'a>>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Rule<'a> {
    id: &'a str,
    default_configuration: Configuration<'a>,
}

#[derive(Serialize)]
struct Configuration<'a> {
    level: &'a str,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Finding<'a> {
    rule_id: &'a str,
    rule_index: usize,
    level: &'a str,
    message: Words,
    locations: [Location; 1],
    #[serde(skip_serializing_if = "Vec::is_empty")]
    related_locations: Vec<Location>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    fixes: Vec<Fix>,
}

#[derive(Serialize)]
struct Words {
    text: String,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Location {
    physical_location: Physical,
    #[serde(skip_serializing_if = "Option::is_none")]
    message: Option<Words>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Physical {
    artifact_location: Artifact,
    region: Region,
}

#[derive(Serialize)]
struct Artifact {
    uri: String,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Region {
    start_line: usize,
    start_column: usize,
    end_line: usize,
    end_column: usize,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Fix {
    description: Words,
    artifact_changes: [Change; 1],
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Change {
    artifact_location: Artifact,
    replacements: [Replacement; 1],
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Replacement {
    deleted_region: Region,
    inserted_content: Words,
}

/// The findings as one log, with a line end.
pub fn sarif(findings: &[Diagnostic], version: &str) -> String {
    let rules = Code::ALL.iter().map(|code| Rule {
        id: code.text(),
        default_configuration: Configuration { level: level(code.severity()) },
    });
    let log = Log {
        schema: "https://json.schemastore.org/sarif-2.1.0.json",
        version: "2.1.0",
        runs: [Run {
            tool: Tool { driver: Driver { name: "Stillroom", version, rules: rules.collect() } },
            column_kind: "unicodeCodePoints",
            results: findings.iter().map(finding).collect(),
        }],
    };
    let mut text = serde_json::to_string_pretty(&log).expect("strings and numbers serialise");
    text.push('\n');
    text
}

fn level(severity: Severity) -> &'static str {
    // The standard's words (section 3.58.6) happen to be ours.
    severity.word()
}

fn finding(of: &Diagnostic) -> Finding<'_> {
    let rule_index = Code::ALL.iter().position(|code| *code == of.code).unwrap_or_default();
    let related = |(place, words): &(Place, String)| Location {
        message: Some(Words { text: words.clone() }),
        ..location(&place.file, place.span)
    };
    let fix = of.mend.as_ref().map(|mend| Fix {
        description: Words { text: of.next.clone() },
        artifact_changes: [Change {
            artifact_location: artifact(&of.place.file),
            replacements: [Replacement {
                deleted_region: region(&of.place.file, mend.span),
                inserted_content: Words { text: mend.made.clone() },
            }],
        }],
    });
    Finding {
        rule_id: of.code.text(),
        rule_index,
        level: level(of.severity),
        message: Words { text: words(of) },
        locations: [location(&of.place.file, of.place.span)],
        related_locations: of.related.iter().map(related).collect(),
        fixes: fix.into_iter().collect(),
    }
}

/// The sentence, then what was found and expected and the next step, one a line.
fn words(of: &Diagnostic) -> String {
    let more = [("found", &of.found), ("expected", &of.expected), ("next", &of.next)];
    let mut text = of.message.clone();
    for (name, line) in more.iter().filter(|(_, line)| !line.is_empty()) {
        text.push_str(&format!("\n{name}: {line}"));
    }
    text
}

fn location(file: &SourceFile, span: Span) -> Location {
    Location {
        physical_location: Physical {
            artifact_location: artifact(file),
            region: region(file, span),
        },
        message: None,
    }
}

fn region(file: &SourceFile, span: Span) -> Region {
    let (start_line, start_column) = file.line_column(span.start);
    let (end_line, end_column) = file.line_column(span.end);
    Region { start_line, start_column, end_line, end_column }
}

/// The file's name as a relative reference of RFC 3986: all but its unreserved signs and
/// the slash is written as bytes.
fn artifact(file: &SourceFile) -> Artifact {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || b"-._~/".contains(&byte);
    let mut uri = String::new();
    for byte in file.name().replace('\\', "/").bytes() {
        if plain(byte) {
            uri.push(char::from(byte));
        } else {
            uri.push_str(&format!("%{byte:02X}"));
        }
    }
    Artifact { uri }
}
