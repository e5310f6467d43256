//! Templates: a context in, document Markdown out.
//!
//! A template is looked for in the caller's folder, then among the built-in
//! ones. Plain text is escaped as Markdown unless it is marked; a template that
//! fails gives a `TemplateFault` with its place. Never reads outside its folder.

use std::path::{Path, PathBuf};

use minijinja::value::{Serde, Value, ValueKind};
use minijinja::{AutoEscape, Environment, Error, ErrorKind, Output, State, UndefinedBehavior};
use minijinja::{escape_formatter, syntax::SyntaxConfig};
use serde::Serialize;

use super::escape::{contain, escape};

/// The built-in templates by name.
const BUILT_IN: &[(&str, &str)] = &[
    ("sheet.md", include_str!("../../templates/sheet.md")),
    ("cautions.md", include_str!("../../templates/cautions.md")),
    ("front.md", include_str!("../../templates/front.md")),
    ("feedback.md", include_str!("../../templates/feedback.md")),
    ("part.md", include_str!("../../templates/part.md")),
    ("judged.md", include_str!("../../templates/judged.md")),
    ("room.md", include_str!("../../templates/room.md")),
    ("data.md", include_str!("../../templates/data.md")),
    ("kinds/options.md", include_str!("../../templates/kinds/options.md")),
    ("kinds/judgement.md", include_str!("../../templates/kinds/judgement.md")),
    ("kinds/prose.md", include_str!("../../templates/kinds/prose.md")),
    ("kinds/pairs.md", include_str!("../../templates/kinds/pairs.md")),
    ("kinds/sequence.md", include_str!("../../templates/kinds/sequence.md")),
    ("kinds/gaps.md", include_str!("../../templates/kinds/gaps.md")),
    ("kinds/names.md", include_str!("../../templates/kinds/names.md")),
    ("kinds/table.md", include_str!("../../templates/kinds/table.md")),
    ("kinds/filling.md", include_str!("../../templates/kinds/filling.md")),
    ("kinds/reading.md", include_str!("../../templates/kinds/reading.md")),
    ("kinds/odd.md", include_str!("../../templates/kinds/odd.md")),
    ("lesson.md", include_str!("../../templates/lesson.md")),
    ("technique.md", include_str!("../../templates/technique.md")),
    ("scheme.md", include_str!("../../templates/scheme.md")),
    ("packing-list.md", include_str!("../../templates/packing-list.md")),
    ("class-report.md", include_str!("../../templates/class-report.md")),
    ("moderation.md", include_str!("../../templates/moderation.md")),
    ("cells.md", include_str!("../../templates/cells.md")),
    ("slides.md", include_str!("../../templates/slides.md")),
    ("technique-slides.md", include_str!("../../templates/technique-slides.md")),
    ("choices.md", include_str!("../../templates/choices.md")),
    ("question-slides.md", include_str!("../../templates/question-slides.md")),
    ("cards.md", include_str!("../../templates/cards.md")),
    ("practical.md", include_str!("../../templates/practical.md")),
];

/// Steps a template may take; a long sheet takes a few thousand.
const FUEL: u64 = 5_000_000;

/// What is wrong with a template and where. `line` counts from 1.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TemplateFault {
    pub template: String,
    pub line: usize,
    /// Bytes of the template's text that the fault is about.
    pub range: Option<std::ops::Range<usize>>,
    /// The name as written there that nothing provides, if that is the fault.
    pub name: Option<String>,
    /// One sentence.
    pub message: String,
    /// The template's text; empty where none was found.
    pub source: String,
}

impl std::fmt::Display for TemplateFault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}, line {}: {}", self.template, self.line, self.message)
    }
}

impl std::error::Error for TemplateFault {}

/// Filled from many threads at once; each template is compiled once.
pub struct Templates {
    environment: Environment<'static>,
}

impl Templates {
    /// `folder` holds templates that replace built-in ones of the same name.
    pub fn new(folder: Option<&Path>) -> Self {
        let mut environment = Environment::new();
        environment.set_undefined_behavior(UndefinedBehavior::Strict);
        environment.set_fuel(Some(FUEL));
        environment.set_debug(true);
        if let Ok(syntax) = SyntaxConfig::builder().trim_blocks(true).lstrip_blocks(true).build() {
            environment.set_syntax(syntax);
        }
        environment.set_auto_escape_callback(|_| AutoEscape::Custom("markdown".into()));
        environment.set_formatter(write_value);
        environment.add_filter("markdown", mark);
        environment.add_filter("quoted", quote);
        let folder = folder.map(PathBuf::from);
        environment.set_loader(move |name| find(folder.as_deref(), name));
        Templates { environment }
    }

    /// The names of all templates.
    pub fn names() -> impl Iterator<Item = &'static str> {
        BUILT_IN.iter().map(|(name, _)| *name)
    }

    /// The document Markdown that template `name` makes of `context`.
    ///
    /// # Errors
    /// A template that is missing, cannot be read, asks for a name that the
    /// context lacks, or runs without end.
    pub fn fill(&self, name: &str, context: &impl Serialize) -> Result<String, Box<TemplateFault>> {
        self.environment
            .get_template(name)
            .and_then(|template| template.render(Serde(context)))
            .map_err(|error| Box::new(fault(name, &error)))
    }
}

fn find(folder: Option<&Path>, name: &str) -> Result<Option<String>, Error> {
    let outside = name.contains(['\\', ':', '\0'])
        || name.split('/').any(|part| part.is_empty() || part == "." || part == "..");
    if outside {
        return Err(Error::new(
            ErrorKind::TemplateNotFound,
            format!("a template must lie in the templates folder, and `{name}` does not"),
        ));
    }
    if let Some(folder) = folder {
        match std::fs::read_to_string(folder.join(name)) {
            Ok(text) => return Ok(Some(text)),
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => {}
            Err(error) => {
                return Err(Error::new(
                    ErrorKind::TemplateNotFound,
                    format!("the template `{name}` cannot be read: {error}"),
                ));
            }
        }
    }
    Ok(BUILT_IN.iter().find(|(known, _)| *known == name).map(|(_, text)| (*text).to_owned()))
}

/// Writes a value into the document: plain text escaped, marked text as it is.
fn write_value(out: &mut Output, state: &mut State, value: &Value) -> Result<(), Error> {
    match value.as_str() {
        Some(text) if value.is_safe() => out.write_str(text).map_err(Error::from),
        Some(text) => out.write_str(&escape(text)).map_err(Error::from),
        None if value.is_undefined() || value.is_none() => Ok(()),
        None if matches!(value.kind(), ValueKind::Number | ValueKind::Bool) => {
            write!(out, "{value}").map_err(Error::from)
        }
        None => escape_formatter(out, state, value),
    }
}

/// The filter `markdown`: the author wrote this as Markdown; do not escape it.
fn mark(value: &Value) -> Result<Value, Error> {
    each(value, &|item| {
        Ok(Value::from_safe_string(match item.as_str() {
            Some(text) => contain(text).into_owned(),
            None => item.to_string(),
        }))
    })
}

/// The filter `quoted`: a text or a list of texts as a YAML value.
fn quote(value: &Value) -> Result<Value, Error> {
    let mut out = String::new();
    write_quoted(&mut out, value)?;
    Ok(Value::from_safe_string(out))
}

fn write_quoted(out: &mut String, value: &Value) -> Result<(), Error> {
    match (value.as_str(), value.kind()) {
        (Some(text), _) if value.is_safe() => write_json(out, text),
        (Some(text), _) => write_json(out, &escape(text)),
        (None, ValueKind::Undefined) => return Err(ErrorKind::UndefinedError.into()),
        (None, ValueKind::None) => out.push_str("\"\""),
        (None, ValueKind::Number | ValueKind::Bool) => out.push_str(&value.to_string()),
        (None, ValueKind::Seq) => {
            out.push('[');
            for (i, item) in value.try_iter()?.enumerate() {
                if i > 0 {
                    out.push_str(", ");
                }
                write_quoted(out, &item)?;
            }
            out.push(']');
        }
        (None, kind) => {
            return Err(Error::new(
                ErrorKind::InvalidOperation,
                format!("`quoted` takes a text or a list of texts, not a {kind}"),
            ));
        }
    }
    Ok(())
}

/// A text in double quotes that YAML reads back as it was.
fn write_json(out: &mut String, text: &str) {
    out.push('"');
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\u{85}' | '\u{2028}' | '\u{2029}' | '\u{feff}' => {
                out.push_str(&format!("\\u{:04x}", u32::from(c)));
            }
            c if c.is_control() => out.push_str(&format!("\\u{:04x}", u32::from(c))),
            c => out.push(c),
        }
    }
    out.push('"');
}

fn each(value: &Value, change: &dyn Fn(&Value) -> Result<Value, Error>) -> Result<Value, Error> {
    match value.kind() {
        ValueKind::Undefined => Err(ErrorKind::UndefinedError.into()),
        ValueKind::Seq => {
            let items: Result<Vec<Value>, Error> =
                value.try_iter()?.map(|item| change(&item)).collect();
            Ok(Value::from(items?))
        }
        _ => change(value),
    }
}

fn fault(asked: &str, error: &Error) -> TemplateFault {
    // The innermost error knows the place best: an include only says that it failed.
    let mut inner = error;
    while let Some(next) = std::error::Error::source(inner).and_then(|e| e.downcast_ref::<Error>())
    {
        if next.name().is_none() {
            break;
        }
        inner = next;
    }
    let source = inner.template_source().unwrap_or_default().to_owned();
    let range = inner.range().filter(|range| source.get(range.clone()).is_some());
    let name = (inner.kind() == ErrorKind::UndefinedError)
        .then(|| range.clone().map(|range| asked_for(&source, range)).unwrap_or_default())
        .filter(|name| !name.is_empty());
    let detail = inner.detail().unwrap_or("it cannot be filled");
    let message = match inner.kind() {
        ErrorKind::UndefinedError => match &name {
            Some(name) => format!("The template asks for `{name}`, which nothing provides."),
            None => "The template asks for something that nothing provides.".to_owned(),
        },
        ErrorKind::TemplateNotFound => format!("A template is missing: {detail}."),
        ErrorKind::OutOfFuel => "The template runs without end.".to_owned(),
        ErrorKind::SyntaxError => format!("The template cannot be read here: {detail}."),
        ErrorKind::UnknownFilter | ErrorKind::UnknownFunction | ErrorKind::UnknownTest => {
            format!("The template uses a word that does not exist: {detail}.")
        }
        _ => format!("The template cannot be filled: {detail}."),
    };
    TemplateFault {
        template: inner.name().unwrap_or(asked).to_owned(),
        line: inner.line().unwrap_or(1),
        range,
        name,
        message,
        source,
    }
}

/// The expression that turned out undefined: what stands at `range`, or what is
/// handed to the filter that stands there.
fn asked_for(source: &str, range: std::ops::Range<usize>) -> String {
    let before = &source[..range.start];
    let start = before.rfind(['{', '%']).map_or(0, |at| at + 1);
    let handed = before[start..].trim();
    let expression = match handed.split_once('|') {
        Some((first, _)) => first,
        None => source[range].trim_start_matches("{{").trim_end_matches("}}"),
    };
    expression.split('|').next().unwrap_or(expression).trim().to_owned()
}
