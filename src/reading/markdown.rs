//! A unit file cut into front matter, runs of prose and our fenced blocks.
//!
//! Takes the text of a file; gives excerpts that know their places. Knows which
//! info strings are ours, nothing of what stands inside a block.

use std::ops::Range;
use std::sync::Arc;

use pulldown_cmark::{CodeBlockKind, Event, Options, Parser, Tag, TagEnd};

use super::excerpt::Excerpt;
use super::words;
use crate::diag::{Code, Diagnostic, Diagnostics, Place, SourceFile, Span, nearest};

/// Fences that run into the next block are cut there and reading starts anew;
/// beyond this many a file is not worth going on with.
const MOST_RESTARTS: usize = 60;

/// Info words that mean ordinary code, even where the code looks like a block.
const ORDINARY: &[&str] =
    &["text", "txt", "yaml", "yml", "json", "toml", "markdown", "md", "csv", "html", "console"];

#[derive(Debug)]
pub(super) struct Layout {
    pub(super) front: Option<FrontMatter>,
    pub(super) runs: Vec<Run>,
}

#[derive(Debug)]
pub(super) struct FrontMatter {
    /// The YAML between the two lines of dashes.
    pub(super) body: Excerpt,
    /// The opening line of dashes.
    pub(super) open: Span,
    pub(super) closed: bool,
    /// Where the rest of the file begins.
    pub(super) after: usize,
}

#[derive(Debug)]
pub(super) enum Run {
    Prose(Excerpt),
    Block(Fence),
}

/// A fenced block whose info string is one of ours.
#[derive(Debug)]
pub(super) struct Fence {
    pub(super) words: &'static words::BlockWords,
    /// The info string, for messages about the whole block.
    pub(super) head: Span,
    pub(super) body: Excerpt,
}

/// The opening line of a fence, looked at by itself.
#[derive(Debug, Clone, Copy)]
pub(super) struct Opening<'a> {
    pub(super) mark: char,
    pub(super) count: usize,
    /// The first word after the marks; empty where there is none.
    pub(super) word: &'a str,
    pub(super) rest: &'a str,
}

/// Whether a line opens a fence (quote marks and indent before it are allowed).
pub(super) fn opening_fence(line: &str) -> Option<Opening<'_>> {
    let line = line.trim_start_matches([' ', '>', '\t']).trim_end();
    let mark = line.chars().next().filter(|c| matches!(c, '`' | '~'))?;
    let info = line.trim_start_matches(mark);
    let count = line.len() - info.len();
    if count < 3 || (mark == '`' && info.contains('`')) {
        return None;
    }
    let info = info.trim();
    let (word, rest) = info.split_once(char::is_whitespace).unwrap_or((info, ""));
    Some(Opening { mark, count, word, rest: rest.trim() })
}

/// The front matter, if the file opens with a line of three dashes.
pub(super) fn front_matter(file: &SourceFile) -> Option<FrontMatter> {
    let text = file.text();
    let start = if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
    let mut lines = lines_from(text, start);
    let first = lines.next().filter(|line| text[line.clone()].trim_end() == "---")?;
    let open = Span::new(first.start, first.start + 3);
    let mut give_up = None;
    for line in lines {
        let body = text[line.clone()].trim_end();
        if body == "---" || body == "..." {
            return Some(FrontMatter {
                body: Excerpt::of(file, first.end..line.start),
                open,
                closed: true,
                after: line.end,
            });
        }
        let begins_lesson = body.starts_with("## ") || opening_fence(body).is_some();
        if begins_lesson {
            give_up.get_or_insert(line.start);
            break;
        }
        if body.is_empty() {
            give_up.get_or_insert(line.start);
        }
    }
    let after = give_up.unwrap_or(text.len());
    Some(FrontMatter { body: Excerpt::of(file, first.end..after), open, closed: false, after })
}

/// Lines with their line ends, as ranges.
fn lines_from(text: &str, start: usize) -> impl Iterator<Item = Range<usize>> + '_ {
    text[start..].split_inclusive('\n').scan(start, |at, line| {
        let from = *at;
        *at += line.len();
        Some(from..*at)
    })
}

/// Cuts the file up. Faults of fences and front matter are reported.
pub(super) fn lay_out(file: &Arc<SourceFile>, out: &mut Diagnostics) -> Layout {
    let front = front_matter(file);
    let mut from = if file.text().starts_with('\u{feff}') { 3 } else { 0 };
    if let Some(front) = &front {
        from = front.after;
        if !front.closed {
            out.push(
                Diagnostic::new(
                    Code::FrontMatterUnclosed,
                    Place::new(file, front.open),
                    "The front matter that opens here is never closed.",
                )
                .found("no second line of three dashes before the lesson")
                .expected("a line `---` after the last key of the front matter")
                .next("add a line that holds only `---`")
                .written("---"),
            );
        }
    }
    let mut cutter = Cutter { file, out, runs: Vec::new() };
    let mut restarts = 0;
    while let Some(next) = cutter.cut(from) {
        restarts += 1;
        if restarts > MOST_RESTARTS {
            break;
        }
        from = next;
    }
    Layout { front, runs: cutter.runs }
}

struct Cutter<'a> {
    file: &'a Arc<SourceFile>,
    out: &'a mut Diagnostics,
    runs: Vec<Run>,
}

impl Cutter<'_> {
    /// Cuts from an offset on; gives the offset to start anew from where a fence
    /// has swallowed the next one.
    fn cut(&mut self, from: usize) -> Option<usize> {
        let text = self.file.text();
        let mut prose_from = from;
        let mut events = Parser::new_ext(&text[from..], markdown_options()).into_offset_iter();
        while let Some((event, range)) = events.next() {
            let Event::Start(Tag::CodeBlock(CodeBlockKind::Fenced(_))) = event else { continue };
            let range = from + range.start..from + range.end;
            let mut body = Excerpt::default();
            for (event, at) in events.by_ref() {
                match event {
                    Event::Text(part) => {
                        let at = from + at.start..from + at.end;
                        if text.get(at.clone()) == Some(&*part) {
                            body.push(&part, at.start);
                        } else {
                            body.push_made(&part, at.start);
                        }
                    }
                    Event::End(TagEnd::CodeBlock) => break,
                    _ => {}
                }
            }
            let line_start = text[..range.start].rfind('\n').map_or(0, |n| n + 1).max(prose_from);
            let line_end = text[range.start..].find('\n').map_or(text.len(), |n| range.start + n);
            let Some(open) = opening_fence(&text[range.start..line_end]) else { continue };
            if body.text().is_empty() {
                body.push("", line_end);
            }
            let info_at =
                text[range.start..line_end].find(open.word).filter(|_| !open.word.is_empty());
            let head = match info_at {
                Some(at) => Span::new(range.start + at, range.start + at + open.word.len()),
                None => Span::new(range.start, range.start + open.count),
            };
            let mut restart = None;
            let mut end = range.end;
            if let Some(at) = swallowed(body.text(), open) {
                self.unclosed(range.start, open, "the next block begins before it");
                let place = body.at(at);
                let line = text[..place].rfind('\n').map_or(0, |n| n + 1);
                let at = likely_end(&body.text()[..at]).unwrap_or(at);
                end = if at == body.text().len() { line } else { body.at(at).min(line) };
                restart = Some(end);
                body = body.part(0..at);
            } else if !is_closed(&text[range.clone()], open) {
                self.unclosed(range.start, open, "the file ends before it");
                if let Some(at) = likely_end(body.text()) {
                    end = body.at(at);
                    restart = Some(end);
                    body = body.part(0..at);
                }
            }
            match words::block(open.word) {
                Some(known) => {
                    self.prose(prose_from..line_start);
                    if !open.rest.is_empty() {
                        self.more_on_the_fence(head, open);
                    }
                    self.runs.push(Run::Block(Fence { words: known, head, body }));
                    prose_from = after_line(text, end);
                }
                None if self.unknown(open, head, body.text()) => {
                    self.prose(prose_from..line_start);
                    prose_from = after_line(text, end);
                }
                None => {}
            }
            if restart.is_some() {
                self.prose(prose_from.min(end)..end);
                return restart;
            }
        }
        self.prose(prose_from..text.len());
        None
    }

    fn prose(&mut self, range: Range<usize>) {
        if range.start < range.end && !self.file.text()[range.clone()].trim().is_empty() {
            self.runs.push(Run::Prose(Excerpt::of(self.file, range)));
        }
    }

    fn unclosed(&mut self, at: usize, open: Opening, why: &str) {
        let close: String = std::iter::repeat_n(open.mark, open.count).collect();
        self.out.push(
            Diagnostic::new(
                Code::FenceUnclosed,
                Place::new(self.file, Span::new(at, at + open.count)),
                "The block that opens here is never closed.",
            )
            .found(why)
            .expected(format!("a line `{close}` after the block's last line"))
            .next("add that line")
            .written(close),
        );
    }

    fn more_on_the_fence(&mut self, head: Span, open: Opening) {
        self.out.push(
            Diagnostic::new(
                Code::UnknownBlock,
                Place::new(self.file, head),
                format!("Only the word `{}` may stand on this line.", open.word),
            )
            .found(format!("`{}` after it", open.rest))
            .expected("the kind of block alone; its keys stand on the lines below")
            .next("move the rest to the lines below")
            .written(format!("{}{}", "`".repeat(open.count.min(8)), open.word)),
        );
    }

    /// Reports a fence whose word is not ours but whose content looks like a
    /// block; says whether it did.
    fn unknown(&mut self, open: Opening, head: Span, body: &str) -> bool {
        let known = || words::blocks().iter().filter(|b| b.fence).map(|b| b.name);
        let ordinary =
            open.word.is_empty() || !open.rest.is_empty() || ORDINARY.contains(&open.word);
        if ordinary || !open.word.chars().all(|c| c.is_alphanumeric() || matches!(c, '-' | '_')) {
            return false;
        }
        let keyed = |line: &str| {
            line.split_once(':').is_some_and(|(key, rest)| {
                let plain = |c: char| c.is_alphanumeric() || matches!(c, '_' | '-' | ' ');
                !key.is_empty()
                    && key.chars().all(plain)
                    && (rest.is_empty() || rest.starts_with(' '))
            })
        };
        let near = nearest(open.word, known());
        let mut lines = body.lines().filter(|line| !line.trim().is_empty());
        let looks_ours = match near {
            Some(_) => lines.next().is_some_and(keyed),
            None => body.lines().any(|line| line.starts_with("id:")),
        };
        if !looks_ours {
            return false;
        }
        let mut finding = Diagnostic::new(
            Code::UnknownBlock,
            Place::new(self.file, head),
            format!("There is no kind of block called `{}`.", open.word),
        )
        .found(format!("`{}`", open.word))
        .expected(known().collect::<Vec<_>>().join(", "));
        finding = match near {
            Some(near) => finding
                .next(format!("did you mean `{near}`?"))
                .written(format!("{}{near}", "`".repeat(open.count.min(8)))),
            None => finding.next("use one of these, or `text` for a block that is only shown"),
        };
        self.out.push(finding);
        true
    }
}

/// CommonMark with tables, footnotes, heading attributes and mathematics.
pub(super) fn markdown_options() -> Options {
    Options::ENABLE_TABLES
        | Options::ENABLE_FOOTNOTES
        | Options::ENABLE_HEADING_ATTRIBUTES
        | Options::ENABLE_MATH
        | Options::ENABLE_DEFINITION_LIST
}

/// Where, inside a fence's content, another block of ours opens with the same marks.
fn swallowed(body: &str, outer: Opening) -> Option<usize> {
    lines_from(body, 0).find_map(|line| {
        let inner = opening_fence(&body[line.clone()])?;
        let ours = words::block(inner.word).is_some();
        (ours && inner.mark == outer.mark && inner.count >= outer.count).then_some(line.start)
    })
}

/// Whether the last line of a fenced block is its closing fence.
fn is_closed(block: &str, open: Opening) -> bool {
    let Some((_, last)) = block.trim_end().rsplit_once('\n') else { return false };
    let last = last.trim_start_matches([' ', '>', '\t']).trim_end();
    last.len() >= open.count && last.chars().all(|c| c == open.mark)
}

/// Where an unclosed block most likely ends: at the first heading after a blank
/// line, or, among keys, at the first line after a blank one that is no key.
fn likely_end(body: &str) -> Option<usize> {
    let mut blank_before = false;
    let mut among_keys = true;
    for line in lines_from(body, 0) {
        let text = body[line.clone()].trim_end();
        let marks = text.len() - text.trim_start_matches('#').len();
        let heading = (1..=6).contains(&marks) && text[marks..].starts_with(' ');
        let key = text.starts_with([' ', '-', '#'])
            || text
                .split_once(':')
                .is_some_and(|(_, rest)| rest.is_empty() || rest.starts_with(' '));
        if blank_before && !text.is_empty() && (heading || (among_keys && !key)) {
            return Some(line.start);
        }
        among_keys &= text != "---";
        blank_before = text.is_empty();
    }
    None
}

/// The start of the line after `at`, or `at` itself at a line's start.
fn after_line(text: &str, at: usize) -> usize {
    if at == 0 || text.as_bytes().get(at - 1) == Some(&b'\n') {
        return at;
    }
    text[at..].find('\n').map_or(text.len(), |n| at + n + 1)
}
