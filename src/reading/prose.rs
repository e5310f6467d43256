//! Markdown with `{{ }}` in it: where each blank stands and what it asks for.
//!
//! Takes an excerpt; gives `Written`. Blanks in code (spans and fences) are text.

use std::ops::Range;

use pulldown_cmark::{Event, Parser, Tag, TagEnd};

use super::desk::Desk;
use super::excerpt::Excerpt;
use super::markdown::markdown_options;
use super::parsed::{Blank, BlankStyle, Written};
use super::yaml::short;
use crate::diag::{Code, Surety, nearest};

/// The words after the stroke in `{{ brine | number }}`.
const STYLES: &[(&str, BlankStyle)] = &[("number", BlankStyle::NumberOnly)];

pub(super) fn written(desk: &mut Desk, excerpt: &Excerpt) -> Written {
    let text = excerpt.text();
    let mut blanks = Vec::new();
    if text.contains("{{") {
        let code = code_ranges(text);
        let mut from = 0;
        while let Some(at) = text[from..].find("{{").map(|n| from + n) {
            if let Some(skip) = code.iter().find(|r| r.contains(&at)) {
                from = skip.end;
                continue;
            }
            if text[..at].ends_with('\\') {
                from = at + 2;
                continue;
            }
            let inside = at + 2;
            let close = text[inside..].find("}}").map(|n| inside + n).filter(|close| {
                let inner = &text[inside..*close];
                !inner.contains("{{") && !inner.contains("\n\n")
            });
            let Some(close) = close else {
                unclosed(desk, excerpt, at);
                from = inside;
                continue;
            };
            from = close + 2;
            if let Some(blank) = blank(desk, excerpt, at..close + 2) {
                blanks.push(blank);
            }
        }
    }
    Written { text: text.to_owned(), span: excerpt.whole(), blanks }
}

fn unclosed(desk: &mut Desk, excerpt: &Excerpt, at: usize) {
    let text = excerpt.text();
    let line_end = text[at..].find('\n').map_or(text.len(), |n| at + n);
    let inner = text[at + 2..line_end].trim_start();
    let word: String =
        inner.chars().take_while(|c| c.is_ascii_alphanumeric() || matches!(c, '_' | '.')).collect();
    let mut finding = desk
        .finding(
            Code::BlankUnclosed,
            excerpt.span(at..at + 2),
            "The `{{` that opens here is never closed.",
        )
        .found(format!("`{}`", short(&text[at..line_end])))
        .expected("`{{ name }}`")
        .next("write `}}` after the name");
    if !word.is_empty() {
        let lead = text[at + 2..line_end].len() - inner.len();
        let end = at + 2 + lead + word.len();
        let rest = text[end..line_end].trim_start();
        let eaten = if rest.starts_with('}') && !rest.starts_with("}}") {
            text[end..line_end].len() - rest.len() + 1
        } else {
            0
        };
        let span = excerpt.span(at..end + eaten);
        finding = finding.mended(span, &format!("{{{{ {word} }}}}"), Surety::Sure);
    }
    desk.say(finding);
}

/// `range` takes the braces in.
fn blank(desk: &mut Desk, excerpt: &Excerpt, range: Range<usize>) -> Option<Blank> {
    let text = excerpt.text();
    let inner = range.start + 2..range.end - 2;
    let (formula_end, style) = match text[inner.clone()].rfind('|') {
        None => (inner.end, BlankStyle::WithUnit),
        Some(n) => {
            let stroke = inner.start + n;
            let word = text[stroke + 1..inner.end].trim();
            let Some((_, style)) = STYLES.iter().find(|(name, _)| *name == word) else {
                let span = excerpt.span(stroke..inner.end);
                let mut finding = desk
                    .finding(
                        Code::BadFormula,
                        span,
                        format!("A blank cannot be written as `{word}`."),
                    )
                    .found(format!("`{word}`"))
                    .expected("`number` after the stroke, or no stroke");
                finding = match nearest(word, STYLES.iter().map(|(name, _)| *name)) {
                    Some(near) => finding.next(format!("did you mean `{near}`?")).mended(
                        span,
                        &format!("| {near} "),
                        Surety::Sure,
                    ),
                    None => finding.next("take the stroke and the word out"),
                };
                desk.say(finding);
                return None;
            };
            (stroke, *style)
        }
    };
    let source = &text[inner.start..formula_end];
    if source.trim().is_empty() {
        let finding = desk
            .finding(
                Code::BadFormula,
                excerpt.span(range),
                "Nothing is named between these braces.",
            )
            .found("an empty `{{ }}`")
            .expected("`{{ name }}`")
            .next("write the name of a value");
        desk.say(finding);
        return None;
    }
    let lead = source.len() - source.trim_start().len();
    let part = excerpt.part(inner.start + lead..inner.start + source.trim_end().len());
    let formula = desk.formula(&part)?;
    Some(Blank { at: range.clone(), formula: formula.value, style, span: excerpt.span(range) })
}

/// Where code stands in a Markdown text.
fn code_ranges(text: &str) -> Vec<Range<usize>> {
    let mut ranges = Vec::new();
    let mut block = None;
    for (event, range) in Parser::new_ext(text, markdown_options()).into_offset_iter() {
        match event {
            Event::Code(_) => ranges.push(range),
            // A question's text may be indented by mistake, and its blanks with it:
            // only fences count as code.
            Event::Start(Tag::CodeBlock(pulldown_cmark::CodeBlockKind::Fenced(_))) => {
                block = Some(range);
            }
            Event::End(TagEnd::CodeBlock) => ranges.extend(block.take()),
            _ => {}
        }
    }
    ranges
}
