//! A tree of YAML in which every key and value has its place in the file.
//!
//! Built from the events of serde-saphyr's own parser, so nothing is ever read
//! as a number or a yes: a scalar is the text that stands there, `34.20` keeps
//! its zero and `no` is a word. Anchors, aliases, tags and second documents are
//! refused, which also leaves nothing that could grow. Knows no keys.

use serde_saphyr::granit_parser as granit;

use granit::{ErrorKind, Event, Options, Parser, ScalarStyle, StructureStyle};

use super::excerpt::Excerpt;
use crate::diag::Span;

/// Deeper than any block of ours; a guard against a file made to harm.
const DEEPEST: usize = 24;

#[derive(Debug, Clone)]
pub(super) struct Node {
    pub(super) span: Span,
    pub(super) kind: NodeKind,
}

#[derive(Debug, Clone)]
pub(super) enum NodeKind {
    Scalar(Scalar),
    List(Vec<Node>),
    Map(Map),
    /// A key or a dash with nothing after it.
    Empty,
}

#[derive(Debug, Clone)]
pub(super) struct Scalar {
    /// The text with its places.
    pub(super) text: Excerpt,
    pub(super) quoted: bool,
}

#[derive(Debug, Clone)]
pub(super) struct Map {
    pub(super) entries: Vec<Entry>,
    /// Written in braces.
    pub(super) braces: bool,
    /// Keys that came a second time: the first place and the later one.
    pub(super) repeats: Vec<(Span, Key)>,
}

#[derive(Debug, Clone)]
pub(super) struct Entry {
    pub(super) key: Key,
    pub(super) value: Node,
}

#[derive(Debug, Clone)]
pub(super) struct Key {
    pub(super) text: String,
    pub(super) span: Span,
}

impl Node {
    /// What stands here, in words for a message.
    pub(super) fn says(&self) -> String {
        match &self.kind {
            NodeKind::Scalar(scalar) => format!("`{}`", short(scalar.text.text())),
            NodeKind::List(_) => "a list".into(),
            NodeKind::Map(_) => "keys with values".into(),
            NodeKind::Empty => "nothing".into(),
        }
    }
}

/// A text cut to a length that a message can hold.
pub(super) fn short(text: &str) -> String {
    let line = text.trim().lines().next().unwrap_or("");
    if line.chars().count() <= 48 {
        return line.to_owned();
    }
    let cut: String = line.chars().take(45).collect();
    format!("{}...", cut.trim_end())
}

/// Why a text could not be read as one tree.
#[derive(Debug)]
pub(super) struct Refusal {
    /// Offset in the excerpt's text.
    pub(super) at: usize,
    pub(super) why: Why,
}

#[derive(Debug)]
pub(super) enum Why {
    Syntax(ErrorKind),
    /// `*name`, `&name` or `!name` where a text begins.
    Sigil,
    /// A map or a list as a key; nearly always a text that begins with `{{`.
    KeyNotText,
    SecondDocument,
    TooDeep,
}

/// Reads one tree. An empty text gives an `Empty` node.
pub(super) fn parse(source: &Excerpt) -> Result<Node, Refusal> {
    let mut options = Options::default();
    options.emit_unresolved_aliases = true;
    options.set_emit_comments(false);
    options.simple_key_max_lookahead = 4096;
    options.flow_nesting_limit = DEEPEST;
    options.block_nesting_limit = DEEPEST;
    let events = Parser::new_from_str_with_options(source.text(), options);
    let mut builder = Builder { source, events };
    let tree = builder.document();
    tree.map_err(|mut refusal| {
        refusal.at = floor(source.text(), refusal.at);
        refusal
    })
}

fn floor(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

type TextEvents<'a> = Parser<'a, granit::StrInput<'a>>;

struct Builder<'a> {
    source: &'a Excerpt,
    events: TextEvents<'a>,
}

impl<'a> Builder<'a> {
    fn next(&mut self) -> Result<(Event<'a>, std::ops::Range<usize>), Refusal> {
        match self.events.next_event() {
            Some(Ok((event, span))) => {
                let text = self.source.text();
                let start = floor(text, span.start.byte_offset().unwrap_or(0));
                let end = floor(text, span.end.byte_offset().unwrap_or(start)).max(start);
                Ok((event, start..end))
            }
            Some(Err(error)) => {
                let mark = error.marker();
                let at = mark
                    .byte_offset()
                    .unwrap_or_else(|| byte_of_char(self.source.text(), mark.index()));
                let why = match error.kind() {
                    ErrorKind::RecursionLimitExceeded => Why::TooDeep,
                    kind => Why::Syntax(kind.clone()),
                };
                Err(Refusal { at, why })
            }
            None => Ok((Event::StreamEnd, self.source.text().len()..self.source.text().len())),
        }
    }

    fn document(&mut self) -> Result<Node, Refusal> {
        let mut root = None;
        loop {
            let (event, at) = self.next()?;
            match event {
                Event::StreamStart | Event::DocumentEnd => {}
                Event::StreamEnd => break,
                Event::DocumentStart(..) => {
                    if root.is_some() {
                        return Err(Refusal { at: at.start, why: Why::SecondDocument });
                    }
                }
                event => root = Some(self.node(event, at, 0)?),
            }
        }
        let span = self.source.span(0..0);
        Ok(root.unwrap_or(Node { span, kind: NodeKind::Empty }))
    }

    fn node(
        &mut self,
        event: Event<'a>,
        at: std::ops::Range<usize>,
        depth: usize,
    ) -> Result<Node, Refusal> {
        if depth > DEEPEST {
            return Err(Refusal { at: at.start, why: Why::TooDeep });
        }
        let sigil = |at: usize| Err(Refusal { at, why: Why::Sigil });
        match event {
            Event::Scalar(text, style, anchor, tag) => {
                if anchor != 0 || tag.is_some() {
                    return sigil(self.sigil_before(at.start));
                }
                Ok(self.scalar(&text, style, at))
            }
            Event::SequenceStart(_, anchor, tag) => {
                if anchor != 0 || tag.is_some() {
                    return sigil(self.sigil_before(at.start));
                }
                let mut items = Vec::new();
                loop {
                    let (event, item_at) = self.next()?;
                    if matches!(event, Event::SequenceEnd) {
                        return Ok(Node {
                            span: self.collection(at.start, item_at.end, items.last()),
                            kind: NodeKind::List(items),
                        });
                    }
                    items.push(self.node(event, item_at, depth + 1)?);
                }
            }
            Event::MappingStart(style, anchor, tag) => {
                if anchor != 0 || tag.is_some() {
                    return sigil(self.sigil_before(at.start));
                }
                self.map(style, at, depth)
            }
            Event::Alias(_) | Event::UnresolvedAlias(_) => sigil(at.start),
            _ => Ok(Node { span: self.source.span(at), kind: NodeKind::Empty }),
        }
    }

    fn map(
        &mut self,
        style: StructureStyle,
        at: std::ops::Range<usize>,
        depth: usize,
    ) -> Result<Node, Refusal> {
        let braces = self.source.text()[at.start..].starts_with('{')
            && matches!(style, StructureStyle::Flow);
        let mut map = Map { entries: Vec::new(), braces, repeats: Vec::new() };
        loop {
            let (event, key_at) = self.next()?;
            if matches!(event, Event::MappingEnd) {
                let last = map.entries.last().map(|e| &e.value);
                let mut span = self.collection(at.start, key_at.end, last);
                if let Some(first) = map.entries.first()
                    && !braces
                {
                    span = first.key.span.to(span);
                }
                return Ok(Node { span, kind: NodeKind::Map(map) });
            }
            let key_start = key_at.start;
            let key = self.node(event, key_at, depth + 1)?;
            let key = match key.kind {
                NodeKind::Scalar(scalar) => {
                    Key { text: scalar.text.text().to_owned(), span: key.span }
                }
                NodeKind::Empty => Key { text: String::new(), span: key.span },
                _ => return Err(Refusal { at: key_start, why: Why::KeyNotText }),
            };
            let (event, value_at) = self.next()?;
            let value = self.node(event, value_at, depth + 1)?;
            match map.entries.iter().find(|e| e.key.text == key.text) {
                Some(first) => map.repeats.push((first.key.span, key)),
                None => map.entries.push(Entry { key, value }),
            }
        }
    }

    /// The place of a list or map: to its closing bracket, or to its last value.
    fn collection(&self, start: usize, end: usize, last: Option<&Node>) -> Span {
        let text = self.source.text();
        if text[..end].ends_with(['}', ']']) && text[start..].starts_with(['{', '[']) {
            return self.source.span(start..end);
        }
        let start = self.source.span(start..start);
        last.map_or(start, |node| start.to(node.span))
    }

    /// Anchors and tags are reported with the node; the sign itself stands before it.
    fn sigil_before(&self, at: usize) -> usize {
        let line = self.source.text()[..at].rfind('\n').map_or(0, |n| n + 1);
        let before = &self.source.text()[line..at];
        before.rfind(['&', '!']).map_or(at, |n| line + n)
    }

    fn scalar(&self, text: &str, style: ScalarStyle, at: std::ops::Range<usize>) -> Node {
        let source = &self.source.text()[at.clone()];
        let quoted = !matches!(style, ScalarStyle::Plain);
        if !quoted && (source.trim().is_empty() || source.trim() == "~") && text == "~" {
            return Node { span: self.source.span(at.start..at.start), kind: NodeKind::Empty };
        }
        let skip =
            usize::from(matches!(style, ScalarStyle::SingleQuoted | ScalarStyle::DoubleQuoted));
        let verbatim = source.get(skip..).is_some_and(|s| s.starts_with(text));
        let excerpt = if verbatim {
            self.source.part(at.start + skip..at.start + skip + text.len())
        } else {
            self.aligned(text, at.start + skip..at.end)
        };
        let range = if quoted {
            at.start..at.start + source.trim_end().len()
        } else if verbatim {
            at.start..at.start + text.len()
        } else {
            at.start..at.start + source.trim_end().len()
        };
        let span = self.source.span(range);
        Node { span, kind: NodeKind::Scalar(Scalar { text: excerpt, quoted }) }
    }

    /// A text that does not stand letter for letter in the source (folded lines,
    /// escapes): each letter is placed where it next occurs.
    fn aligned(&self, text: &str, range: std::ops::Range<usize>) -> Excerpt {
        let mut out = Excerpt::default();
        let mut from = range.start;
        for c in text.chars() {
            let rest = &self.source.text()[from..range.end];
            let mut letter = [0; 4];
            let letter = &*c.encode_utf8(&mut letter);
            // A space may be a line end with indent; only close by counts.
            let found = rest.char_indices().take(120).find(|(_, s)| *s == c).map(|(n, _)| n);
            match found {
                Some(n) if !c.is_whitespace() || n == 0 => {
                    let at = from + n;
                    let place = self.source.span(at..at + c.len_utf8());
                    if place.end - place.start == c.len_utf8() {
                        out.push(letter, place.start);
                    } else {
                        out.push_made(letter, place.start);
                    }
                    from = at + c.len_utf8();
                }
                _ => out.push_made(letter, self.source.at(from)),
            }
        }
        if text.is_empty() {
            out.push("", self.source.at(range.start));
        }
        out
    }
}

fn byte_of_char(text: &str, index: usize) -> usize {
    text.char_indices().nth(index).map_or(text.len(), |(n, _)| n)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::SourceFile;

    fn tree(text: &str) -> Result<Node, Refusal> {
        let file = SourceFile::new("u.md", text);
        parse(&Excerpt::of(&file, 0..text.len()))
    }

    fn map(node: Node) -> Map {
        match node.kind {
            NodeKind::Map(map) => map,
            other => panic!("not a map: {other:?}"),
        }
    }

    #[test]
    fn scalars_are_the_text_that_stands_there() {
        let text = "a: 34.20\r\nb: no\r\nc: 50:50\r\n4.1: x\r\n4.10: 'y'\r\nd:\r\ne: 0x1F # h\r\n";
        let map = map(tree(text).expect("plain"));
        let words: Vec<String> = map.entries.iter().map(|e| e.value.says()).collect();
        assert_eq!(words, ["`34.20`", "`no`", "`50:50`", "`x`", "`y`", "nothing", "`0x1F`"]);
        for entry in &map.entries {
            assert_eq!(&text[entry.key.span.range()], entry.key.text);
        }
        assert_eq!(&text[map.entries[4].value.span.range()], "'y'");
        assert_eq!(&text[map.entries[6].value.span.range()], "0x1F");
    }

    #[test]
    fn what_could_grow_or_change_is_refused() {
        assert!(matches!(tree("a: &x 1\n"), Err(Refusal { at: 3, why: Why::Sigil })));
        assert!(matches!(tree("a: *x\n"), Err(Refusal { at: 3, why: Why::Sigil })));
        assert!(matches!(tree("a: !!int 3\n"), Err(Refusal { why: Why::Sigil, .. })));
        assert!(matches!(tree("a: {{ b }}\n"), Err(Refusal { why: Why::KeyNotText, .. })));
        assert!(matches!(tree("a: 1\n---\nb: 2\n"), Err(Refusal { why: Why::SecondDocument, .. })));
        let deep = "[".repeat(60) + &"]".repeat(60);
        assert!(matches!(tree(&deep), Err(Refusal { why: Why::TooDeep, .. })));
    }

    #[test]
    fn a_folded_text_keeps_its_places() {
        let text = "steps:\n  - Heat the\n    basin\n  - \"a \\u00b0 b\"\n";
        let map = map(tree(text).expect("plain"));
        let NodeKind::List(items) = &map.entries[0].value.kind else { panic!("no list") };
        let NodeKind::Scalar(first) = &items[0].kind else { panic!("no text") };
        assert_eq!(first.text.text(), "Heat the basin");
        assert_eq!(&text[first.text.span(9..14).range()], "basin");
        assert_eq!(&text[items[0].span.range()], "Heat the\n    basin");
    }

    #[test]
    fn a_key_that_comes_twice_is_kept_once_with_both_places() {
        let map = map(tree("a: 1\nb: 2\na: 3\n").expect("plain"));
        assert_eq!(map.entries.len(), 2);
        assert_eq!(map.repeats.len(), 1);
        assert_eq!(map.repeats[0].0.start, 0);
        assert_eq!(map.repeats[0].1.span.start, 10);
    }
}
