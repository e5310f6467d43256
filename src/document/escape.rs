//! Text on its way into document Markdown: plain text so that it prints as
//! typed, an author's Markdown so that it cannot reach beyond its own place.

use std::borrow::Cow;

use pulldown_cmark::{CodeBlockKind, CowStr, Event, Options, Parser, Tag};

/// Whether Markdown could read this character as anything but itself, somewhere
/// in a line.
pub(super) fn is_active(c: char) -> bool {
    matches!(c, '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '|' | '~' | '$' | '&' | '!' | '{')
}

/// Plain text as one line of Markdown that prints as typed.
pub fn escape(text: &str) -> Cow<'_, str> {
    let trimmed = text.trim();
    if !trimmed.contains(|c: char| is_active(c) || c.is_control()) && !opens_block(trimmed) {
        return Cow::Borrowed(trimmed);
    }
    let mut out = String::with_capacity(trimmed.len() + 8);
    let mut characters = trimmed.chars();
    if opens_block(trimmed) {
        // Of "3." the full stop makes the list; of any other opening the first sign.
        for c in characters.by_ref() {
            if !c.is_ascii_digit() {
                out.push('\\');
                out.push(c);
                break;
            }
            out.push(c);
        }
    }
    for c in characters {
        if c.is_control() {
            if !out.ends_with(' ') {
                out.push(' ');
            }
            continue;
        }
        if is_active(c) {
            out.push('\\');
        }
        out.push(c);
    }
    Cow::Owned(out)
}

/// Whether a line would open a heading, a list, a rule or the like.
pub(super) fn opens_block(line: &str) -> bool {
    let rest = line.trim_start_matches(|c: char| c.is_ascii_digit());
    if rest.len() < line.len() {
        return rest.starts_with(['.', ')']);
    }
    line.starts_with(['#', '-', '+', '='])
}

/// An author's Markdown made safe to stand in a document: its fences are closed
/// and lose their words, so that none is taken for a directive, and what looks
/// like HTML prints as typed.
pub(super) fn contain(markdown: &str) -> Cow<'_, str> {
    if !markdown.contains('<') && !markdown.contains("```") && !markdown.contains("~~~") {
        return Cow::Borrowed(markdown);
    }
    // (from, to, what to put there), in order and apart.
    let mut edits: Vec<(usize, usize, String)> = Vec::new();
    for (event, range) in Parser::new_ext(markdown, options()).into_offset_iter() {
        match event {
            Event::Html(_) | Event::InlineHtml(_) => {
                for (i, _) in markdown[range.clone()].match_indices('<') {
                    edits.push((range.start + i, range.start + i, "\\".into()));
                }
            }
            Event::Start(Tag::CodeBlock(CodeBlockKind::Fenced(info))) => {
                fence_edits(markdown, range, &info, &mut edits);
            }
            _ => {}
        }
    }
    let mut out = String::with_capacity(markdown.len() + 16);
    let mut from = 0;
    for (start, end, text) in edits {
        if start < from {
            continue;
        }
        out.push_str(&markdown[from..start]);
        out.push_str(&text);
        from = end;
    }
    out.push_str(&markdown[from..]);
    Cow::Owned(out)
}

fn fence_edits(
    markdown: &str,
    range: std::ops::Range<usize>,
    info: &CowStr<'_>,
    edits: &mut Vec<(usize, usize, String)>,
) {
    let block = &markdown[range.clone()];
    let first = block.lines().next().unwrap_or("");
    let sign = if first.starts_with('~') { '~' } else { '`' };
    let width = first.chars().take_while(|c| *c == sign).count();
    if !info.is_empty() {
        edits.push((range.start + width, range.start + first.len(), String::new()));
    }
    let last = block.trim_end().lines().next_back().unwrap_or("").trim_start_matches(['>', ' ']);
    let closed = block.trim_end().contains('\n')
        && last.len() >= width
        && last.trim_end().chars().all(|c| c == sign);
    if !closed {
        let fence: String = std::iter::repeat_n(sign, width).collect();
        edits.push((range.end, range.end, format!("\n{fence}\n")));
    }
}

/// The Markdown that document and unit share.
pub(super) fn options() -> Options {
    Options::ENABLE_TABLES | Options::ENABLE_MATH | Options::ENABLE_DEFINITION_LIST
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_cannot_be_misread_stays_as_it_is() {
        assert!(matches!(escape("mass of slurry, 24 %"), Cow::Borrowed(_)));
        assert_eq!(escape("3.5 kg"), "3\\.5 kg");
        assert_eq!(escape("a*b"), "a\\*b");
    }

    #[test]
    fn an_open_fence_is_closed_and_no_directive() {
        assert_eq!(contain("x\n\n```question\nnumber: 9"), "x\n\n```\nnumber: 9\n```\n");
        assert_eq!(contain("~~~ part\na\n~~~"), "~~~\na\n~~~");
    }

    #[test]
    fn what_looks_like_html_is_text() {
        assert_eq!(contain("a <b>c</b> <!-- d"), "a \\<b>c\\</b> <!-- d");
        assert_eq!(contain("<!-- open\n\nand on"), "\\<!-- open\n\nand on");
        assert_eq!(contain("if x < 3"), "if x < 3");
    }
}
