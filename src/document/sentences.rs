//! Prose parted into what a slide can show: blocks of Markdown, and sentences of a
//! paragraph. Takes and gives the author's Markdown as written; never rewords it.

use std::ops::Range;

use pulldown_cmark::{Event, HeadingLevel, Parser, Tag, TagEnd};

use super::escape::options;

/// What a top-level block of Markdown is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Kind {
    /// A heading of level 1 or 2 and its words as Markdown.
    Section(String),
    Paragraph,
    /// A list, and where its items stand.
    List(Vec<Range<usize>>),
    /// A table, a quote, a deeper heading, code.
    Other,
    Rule,
}

/// The top-level blocks of a text, in order.
pub(super) fn blocks(markdown: &str) -> Vec<(Kind, Range<usize>)> {
    let mut found = Vec::new();
    let mut depth = 0usize;
    let mut words: Option<Range<usize>> = None;
    for (event, range) in Parser::new_ext(markdown, options()).into_offset_iter() {
        match event {
            Event::Start(tag) => {
                if depth == 0 {
                    let kind = match tag {
                        Tag::Paragraph => Kind::Paragraph,
                        Tag::List(_) => Kind::List(Vec::new()),
                        Tag::Heading { level: HeadingLevel::H1 | HeadingLevel::H2, .. } => {
                            words = None;
                            Kind::Section(String::new())
                        }
                        _ => Kind::Other,
                    };
                    found.push((kind, range));
                } else if let Some((kind, _)) = found.last_mut() {
                    match kind {
                        Kind::Section(_) => words = Some(joined(words, range)),
                        Kind::List(items) if depth == 1 => items.push(range),
                        _ => {}
                    }
                }
                depth += 1;
            }
            Event::End(end) => {
                depth = depth.saturating_sub(1);
                if depth == 0
                    && matches!(end, TagEnd::Heading(_))
                    && let (Some((Kind::Section(title), _)), Some(range)) =
                        (found.last_mut(), words.take())
                {
                    *title = markdown[range].trim().to_owned();
                }
            }
            Event::Rule if depth == 0 => found.push((Kind::Rule, range)),
            _ if depth == 1
                && found.last().is_some_and(|(kind, _)| matches!(kind, Kind::Section(_))) =>
            {
                words = Some(joined(words, range));
            }
            _ => {}
        }
    }
    found
}

fn joined(before: Option<Range<usize>>, range: Range<usize>) -> Range<usize> {
    before.map_or(range.clone(), |b| b.start.min(range.start)..b.end.max(range.end))
}

/// The sentences of a paragraph. A stop inside bold, code or mathematics ends none.
pub(super) fn sentences(paragraph: &str) -> Vec<&str> {
    let mut closed = vec![true; paragraph.len() + 1];
    for (event, range) in Parser::new_ext(paragraph, options()).into_offset_iter() {
        let holds = matches!(
            event,
            Event::Start(Tag::Strong | Tag::Emphasis | Tag::Link { .. } | Tag::Image { .. })
                | Event::Code(_)
                | Event::InlineMath(_)
                | Event::DisplayMath(_)
        );
        if holds {
            // What the whole of it ends with may end the sentence as well.
            closed[range.start..range.end.max(range.start + 1) - 1].fill(false);
        }
    }
    let mut found = Vec::new();
    let mut from = 0;
    for (at, stop) in paragraph.char_indices().filter(|(_, c)| matches!(c, '.' | '?' | '!')) {
        let after = &paragraph[at + stop.len_utf8()..];
        let marks = after.len() - after.trim_start_matches(['*', '_', '"', '”', '’', ')']).len();
        let end = at + stop.len_utf8() + marks;
        let rest = &paragraph[end..];
        let next = rest.trim_start();
        let opens = next.trim_start_matches(['*', '_', '"', '“', '‘', '(', '`', '$', '{', ' ']);
        let begins = opens.chars().next().is_some_and(|c| c.is_uppercase() || c.is_ascii_digit());
        let parted = next.len() < rest.len() && closed[at.max(end - 1)];
        if parted && begins && !is_short_form(&paragraph[from..at]) {
            found.push(paragraph[from..end].trim());
            from = end;
        }
    }
    let last = paragraph[from..].trim();
    if !last.is_empty() {
        found.push(last);
    }
    found
}

/// Whether a stop after these words stands for letters left out.
fn is_short_form(before: &str) -> bool {
    let word = before.rsplit([' ', '\n', '(']).next().unwrap_or("");
    let one_letter = word.chars().count() == 1 && word.chars().all(char::is_alphabetic);
    one_letter
        || matches!(word, "e.g" | "i.e" | "ca" | "approx" | "Dr" | "Mr" | "Mrs" | "St" | "vs")
}

/// Whether the author set a word of this in bold.
pub(super) fn is_stressed(markdown: &str) -> bool {
    Parser::new_ext(markdown, options()).any(|event| matches!(event, Event::Start(Tag::Strong)))
}

/// Lines that Markdown takes on a slide, roughly: what must be known before it is set.
pub(super) fn rough_lines(markdown: &str) -> usize {
    const ON_A_LINE: usize = 44;
    rough_lines_of(markdown, ON_A_LINE)
}

/// The same where a line has so many characters.
pub(super) fn rough_lines_of(markdown: &str, on_a_line: usize) -> usize {
    let lines = markdown.split("\n\n").flat_map(|block| {
        // A new line of Markdown is a new line on the slide only in lists and tables.
        let listed = block.trim_start().starts_with(['-', '|', '*', '+', '>'])
            || block.trim_start().starts_with(|c: char| c.is_ascii_digit());
        if listed {
            block.lines().map(str::to_owned).collect()
        } else {
            vec![block.replace('\n', " ")]
        }
    });
    lines
        .map(|line| line.chars().filter(|c| !matches!(c, '*' | '`')).count().div_ceil(on_a_line))
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_paragraph_is_parted_at_its_stops() {
        let text = "Brine is **boiled.** It holds 3.5 % salt, e.g. from the sea. `CaSO4.2H2O` \
                    settles. Why? Because it is **dense**. 5 kg of it";
        assert_eq!(
            sentences(text),
            [
                "Brine is **boiled.**",
                "It holds 3.5 % salt, e.g. from the sea.",
                "`CaSO4.2H2O` settles.",
                "Why?",
                "Because it is **dense**.",
                "5 kg of it",
            ]
        );
        assert!(is_stressed("Because it is **dense**.") && !is_stressed("Why?"));
    }

    #[test]
    fn blocks_are_told_apart() {
        let text = "Before.\n\n## The *sun* pond\n\n- a\n- b\n\n| x |\n|---|\n| 1 |\n\n---\n";
        let kinds: Vec<Kind> = blocks(text).into_iter().map(|(kind, _)| kind).collect();
        let section = Kind::Section("The *sun* pond".to_owned());
        let list = Kind::List(vec![28..32, 32..37]);
        assert_eq!(kinds, [Kind::Paragraph, section, list, Kind::Other, Kind::Rule]);
    }
}
