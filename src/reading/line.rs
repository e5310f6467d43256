//! One line of a block looked at by itself: which texts stand on it as values or
//! items, wherever YAML itself gave up.
//!
//! Takes text and a line's range; gives ranges. Knows brackets, quotes and the
//! first `key: ` of an entry, and no more of YAML than that.

use std::ops::Range;

/// A value or item on a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Piece {
    pub(super) key: Option<Range<usize>>,
    pub(super) value: Range<usize>,
    /// From a `#` that cuts the closing bracket off, to the end of its entry.
    pub(super) hash: Option<Range<usize>>,
}

/// The line (without its end) that holds an offset.
pub(super) fn line_at(text: &str, at: usize) -> Range<usize> {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    let start = text[..at].rfind('\n').map_or(0, |n| n + 1);
    let end = text[at..].find('\n').map_or(text.len(), |n| at + n);
    start..end
}

/// The nearest line above that is neither blank nor a remark.
pub(super) fn filled_line_before(text: &str, start: usize) -> Option<Range<usize>> {
    let mut start = start;
    while start > 0 {
        let line = line_at(text, start - 1);
        let content = text[line.clone()].trim_start();
        if !content.trim().is_empty() && !content.starts_with('#') {
            return Some(line);
        }
        start = line.start;
    }
    None
}

/// The pieces of a line, left to right.
pub(super) fn pieces(text: &str, line: &Range<usize>) -> Vec<Piece> {
    let content = &text[line.clone()];
    let mut at = content.len() - content.trim_start().len();
    while content[at..].starts_with("- ") {
        at += 1 + (content[at + 1..].len() - content[at + 1..].trim_start().len());
    }
    if content[at..].starts_with('#') || content[at..].trim().is_empty() {
        return Vec::new();
    }
    let key = key_of(&content[at..]).map(|end| at..at + end);
    let value_at = key.as_ref().map_or(at, |key| {
        let after = key.end + 1;
        after + (content[after..].len() - content[after..].trim_start().len())
    });
    let in_brackets =
        content[value_at..].starts_with(['[', '{']) && !content[value_at..].starts_with("{{");
    let continues = !open_brackets(&text[..line.start]).is_empty();
    let shift = |r: Range<usize>| line.start + r.start..line.start + r.end;
    if in_brackets || continues {
        let from = if continues { at } else { value_at };
        return entries(content, from)
            .into_iter()
            .map(|p| Piece {
                key: p.key.map(shift),
                value: shift(p.value),
                hash: p.hash.map(shift),
            })
            .collect();
    }
    let end = value_at + without_remark(&content[value_at..]).len();
    vec![Piece { key: key.map(shift), value: shift(value_at..end), hash: None }]
}

/// Whether a line begins with a key.
pub(super) fn has_key(content: &str) -> bool {
    key_of(content.trim_start()).is_some()
}

/// Where the key of an entry ends, if the entry has one.
fn key_of(entry: &str) -> Option<usize> {
    if let Some(mark) = entry.chars().next().filter(|c| matches!(c, '"' | '\'')) {
        let close = entry[1..].find(mark)? + 2;
        return entry[close..].starts_with(':').then_some(close);
    }
    if entry.starts_with(['{', '[', '`', '*', '&', '!', '%', '@', '|', '>']) {
        return None;
    }
    let end = entry
        .match_indices(':')
        .map(|(n, _)| n)
        .find(|n| entry[n + 1..].is_empty() || entry[n + 1..].starts_with([' ', '\t']))?;
    let key = &entry[..end];
    (!key.contains(" #")).then_some(end)
}

/// A value without the remark after it.
fn without_remark(value: &str) -> &str {
    let quote = value.chars().next().filter(|c| matches!(c, '"' | '\''));
    let from = quote.and_then(|mark| value[1..].rfind(mark)).map_or(0, |n| n + 2);
    let end = value[from..].find(" #").map_or(value.len(), |n| from + n);
    value[..end].trim_end()
}

/// The entries inside the brackets of a line, from an offset on.
fn entries(content: &str, from: usize) -> Vec<Piece> {
    let mut pieces = Vec::new();
    let mut start = from;
    let mut at = from;
    let bytes = content.as_bytes();
    while at < content.len() {
        // Only signs of one byte part entries.
        if !content.is_char_boundary(at) {
            at += 1;
            continue;
        }
        let at_start =
            content[start..at].trim().is_empty() || content[start..at].trim_end().ends_with(':');
        match bytes[at] {
            b'{' if content[at..].starts_with("{{") => {
                at = content[at..].find("}}").map_or(content.len(), |n| at + n + 2);
                continue;
            }
            b'[' | b'{' if at_start => {
                start = at + 1;
            }
            b',' | b']' | b'}' => {
                push_entry(content, start..at, &mut pieces);
                start = at + 1;
            }
            b'"' | b'\'' if at_start => {
                // A quote that closes within its entry hides what stands in it.
                let mark = bytes[at];
                let rest = &bytes[at + 1..];
                if let Some(n) = rest.iter().position(|b| *b == mark) {
                    at += n + 2;
                    continue;
                }
            }
            b'#' if at > 0 && bytes[at - 1] == b' ' => {
                let rest = &content[at..];
                let cuts = rest.contains([']', '}']);
                if !cuts {
                    push_entry(content, start..at, &mut pieces);
                    return pieces;
                }
                let end = rest.find([',', ']', '}']).map_or(content.len(), |n| at + n);
                let mut entry = entry_at(content, start..end);
                if entry.value.start > at {
                    entry = Piece { key: None, value: at..entry.value.end.max(at), hash: None };
                }
                pieces.push(Piece { hash: Some(at..entry.value.end), ..entry });
                return pieces;
            }
            _ => {}
        }
        at += 1;
    }
    push_entry(content, start..content.len(), &mut pieces);
    pieces
}

fn push_entry(content: &str, range: Range<usize>, pieces: &mut Vec<Piece>) {
    if range.start < range.end && !content[range.clone()].trim().is_empty() {
        pieces.push(entry_at(content, range));
    }
}

fn entry_at(content: &str, range: Range<usize>) -> Piece {
    let trim = |r: Range<usize>| {
        let text = &content[r.clone()];
        let start = r.start + (text.len() - text.trim_start().len());
        start..start.max(r.start + text.trim_end().len())
    };
    let range = trim(range);
    match key_of(&content[range.clone()]) {
        Some(end) => Piece {
            key: Some(range.start..range.start + end),
            value: trim((range.start + end + 1).min(range.end)..range.end),
            hash: None,
        },
        None => Piece { key: None, value: range, hash: None },
    }
}

/// Where the text of a line ends: before a remark, and without blanks.
pub(super) fn end_of_text(text: &str, line: &Range<usize>) -> usize {
    let content = &text[line.clone()];
    let mut before = ' ';
    let mut quote = None;
    let mut end = content.len();
    for (at, c) in content.char_indices() {
        match (quote, c) {
            (Some(mark), c) if c == mark => quote = None,
            (Some(_), _) => {}
            (None, '#') if before == ' ' => {
                end = at;
                break;
            }
            (None, '"' | '\'') if matches!(before, ' ' | '[' | '{' | ',') => quote = Some(c),
            _ => {}
        }
        before = c;
    }
    line.start + content[..end].trim_end().len()
}

/// Where brackets that are still open at the end of a text stand; quotes and
/// remarks skipped.
pub(super) fn open_brackets(text: &str) -> Vec<usize> {
    let mut open = Vec::new();
    let mut start = 0;
    for line in text.split_inclusive('\n') {
        let mut before = ' ';
        let mut quote = None;
        for (at, c) in line.char_indices() {
            match (quote, c) {
                (Some(mark), c) if c == mark => quote = None,
                (Some(_), _) => {}
                (None, '#') if before == ' ' => break,
                (None, '"' | '\'') if matches!(before, ' ' | '[' | '{' | ',') => quote = Some(c),
                (None, '[' | '{') if !open.is_empty() || matches!(before, ' ' | '[' | '{') => {
                    open.push(start + at);
                }
                (None, ']' | '}') => {
                    open.pop();
                }
                _ => {}
            }
            before = c;
        }
        start += line.len();
    }
    open
}

#[cfg(test)]
mod tests {
    use super::*;

    fn values(line: &str) -> Vec<&str> {
        pieces(line, &(0..line.len())).into_iter().map(|p| &line[p.value]).collect()
    }

    #[test]
    fn a_line_gives_its_values() {
        assert_eq!(values("title: Salt: the sea  # why"), ["Salt: the sea"]);
        assert_eq!(values("  - {{ brine }} is hot"), ["{{ brine }} is hot"]);
        assert_eq!(
            values("pan: {is: a, feed: [b, `c`], at: {{ d }}}"),
            ["a", "b", "`c`", "{{ d }}"]
        );
        assert_eq!(values("- 'a, b: c'"), ["'a, b: c'"]);
        assert_eq!(values("x: ['a, b', \"c\"]"), ["'a, b'", "\"c\""]);
    }

    #[test]
    fn a_hash_that_takes_the_bracket_is_seen() {
        let line = "apparatus: [tray #2, burner]";
        let all = pieces(line, &(0..line.len()));
        assert_eq!(all.len(), 1);
        assert_eq!(&line[all[0].value.clone()], "tray #2");
        assert_eq!(all[0].hash.clone().map(|r| &line[r]), Some("#2"));
        assert!(pieces("a: [b, c]  # d", &(0..14)).iter().all(|p| p.hash.is_none()));
    }
}
