//! What YAML refuses, said in a teacher's words, and put right so that reading
//! goes on.
//!
//! Takes a block's text; gives its tree. Where the parser refuses, the line it
//! stopped at is looked at for the slip that explains it; the slip is reported
//! with the line as it should be written, mended in the text, and the text is
//! read again, so that all slips of a block come in one run. Bounded.

use std::collections::HashSet;
use std::ops::Range;

use serde_saphyr::granit_parser::ErrorKind;

use super::desk::{Desk, quoted};
use super::excerpt::Excerpt;
use super::line::{self, Piece};
use super::silent;
use super::yaml::{self, Node, NodeKind, Refusal, Why, short};
use crate::diag::{Code, Surety};

/// More slips than this in one block, and its rest is left unread.
const MOST_MENDED: usize = 40;

/// The tree of a block, whatever is wrong with it. Sets `desk.damaged` where a
/// line had to be left out.
pub(super) fn tree(desk: &mut Desk, body: &Excerpt) -> Node {
    let mut text = body.clone();
    desk.damaged = false;
    let mut reported = HashSet::new();
    for _ in 0..MOST_MENDED {
        match yaml::parse(&text) {
            Ok(node) => return silent::join_split_values(desk, node),
            Err(refusal) => {
                let before = desk.out.len();
                let mut mended = mend(desk, &text, &refusal);
                // A slip that comes back after mending was not what was wrong: its
                // line is left out, lest each round quote the quotes of the last.
                let again = desk
                    .out
                    .iter()
                    .skip(before)
                    .any(|finding| !reported.insert((finding.code, finding.place.span)));
                if again {
                    let line = line::line_at(text.text(), refusal.at);
                    let filled = !text.text()[line.clone()].trim().is_empty();
                    let line = if filled {
                        line
                    } else {
                        line::filled_line_before(text.text(), line.start).unwrap_or(line)
                    };
                    mended = without(desk, &text, &line);
                }
                if mended.text() == text.text() {
                    break;
                }
                text = mended;
            }
        }
    }
    desk.damaged = true;
    Node { span: body.span(0..0), kind: NodeKind::Empty }
}

/// Reports why a text was refused and gives a text without that slip.
fn mend(desk: &mut Desk, text: &Excerpt, refusal: &Refusal) -> Excerpt {
    match refusal.why {
        Why::TooDeep => {
            let finding = desk
                .finding(
                    Code::YamlSyntax,
                    text.span(refusal.at..refusal.at),
                    "Brackets stand inside brackets too many times here.",
                )
                .found("more than twenty, one in another")
                .expected("two or three at most")
                .next("close the brackets that were left open");
            desk.say(finding);
            return cut(desk, text, refusal.at);
        }
        Why::SecondDocument => {
            let finding = desk
                .finding(
                    Code::YamlSyntax,
                    text.span(refusal.at..refusal.at + 3),
                    "A line `---` may not stand here: only a question or data has text below one.",
                )
                .found("`---` among the keys")
                .expected("keys with values only")
                .next("take the line out");
            desk.say(finding);
            return cut(desk, text, refusal.at);
        }
        Why::Syntax(_) | Why::Sigil | Why::KeyNotText => {}
    }
    let here = line::line_at(text.text(), refusal.at);
    let before = line::filled_line_before(text.text(), here.start);
    // A tab that begins a line ends the text of the line above, where the parser
    // then stops.
    let after = line::line_at(text.text(), here.end + 1);
    if after.start > here.end
        && let Some(mended) = tab(desk, text, &after, refusal)
    {
        return mended;
    }
    if let Some(mended) = bracket_left_open(desk, text, &here, refusal) {
        return mended;
    }
    let candidates = [Some(here.clone()), before.clone()];
    for range in candidates.into_iter().flatten() {
        if let Some(mended) = tab(desk, text, &range, refusal)
            .or_else(|| entry_slip(desk, text, &range, refusal))
            .or_else(|| key_slip(desk, text, &range, refusal))
        {
            return mended;
        }
    }
    if let Some(mended) = indent_slip(desk, text, &here, before.as_ref(), refusal) {
        return mended;
    }
    plain_refusal(desk, text, &here, before.as_ref(), refusal)
}

/// Everything from a line on turned to blanks.
fn cut(desk: &mut Desk, text: &Excerpt, at: usize) -> Excerpt {
    desk.damaged = true;
    let start = line::line_at(text.text(), at).start;
    text.part(0..start)
}

fn tab(desk: &mut Desk, text: &Excerpt, line: &Range<usize>, refusal: &Refusal) -> Option<Excerpt> {
    let of_tab = matches!(
        &refusal.why,
        Why::Syntax(
            ErrorKind::TabNotAllowed
                | ErrorKind::TabInBlockIndentation
                | ErrorKind::TabInIndentation
                | ErrorKind::TabInPlainScalar
                | ErrorKind::TabAtBlockScalarStart
                | ErrorKind::InvalidBlockEntryWhitespace
                | ErrorKind::InvalidMappingValueWhitespace
        )
    );
    let all = text.text();
    let content = &all[line.clone()];
    let first = content.find('\t')?;
    let indent = content.len() - content.trim_start_matches([' ', '\t']).len();
    if !of_tab && first >= indent {
        return None;
    }
    let end = first + content[first..].len() - content[first..].trim_start_matches('\t').len();
    let range = line.start + first..line.start + end;
    let in_indent = first < indent;
    let made = if in_indent {
        let wanted = line::filled_line_before(all, line.start).map_or(2, |before| {
            let line = &all[before];
            let level = line.len() - line.trim_start_matches(' ').len();
            level + if line.trim_end().ends_with(':') { 2 } else { 0 }
        });
        " ".repeat(wanted.saturating_sub(first))
    } else {
        " ".into()
    };
    let finding = desk
        .finding(
            Code::Tab,
            text.span(range.clone()),
            "A tab stands here, where only spaces may stand.",
        )
        .found("a tab")
        .expected("spaces: two for each step further in")
        .next("set your editor to write spaces, and replace the tab")
        .mended(text.span(range.clone()), &made, Surety::Sure);
    desk.say(finding);
    // The whole indent is written anew, so that tabs mixed with spaces come right.
    if in_indent {
        let spaces = first + made.len();
        return Some(text.with_edits(&[(line.start..line.start + indent, " ".repeat(spaces))]));
    }
    Some(text.with_edits(&[(range, made)]))
}

/// A bracket that opens on a line above, where the line at hand is clearly a key
/// again: closed at the end of the line before it.
fn bracket_left_open(
    desk: &mut Desk,
    text: &Excerpt,
    here: &Range<usize>,
    refusal: &Refusal,
) -> Option<Excerpt> {
    let all = text.text();
    let open = line::open_brackets(&all[..here.start]);
    let first = *open.first()?;
    let opening_line = line::line_at(all, first);
    let level = |line: &Range<usize>| {
        let content = &all[line.clone()];
        content.len() - content.trim_start_matches(' ').len()
    };
    let keyed = line::has_key(&all[here.clone()]);
    let at_end = all[here.start..].trim().is_empty();
    let key_again = keyed && level(here) <= level(&opening_line);
    if !at_end && !key_again {
        return None;
    }
    let last = line::filled_line_before(all, here.start)?;
    // A `#` or a quote on the way may have taken the closing bracket with it.
    let mut at = opening_line.start;
    while at <= last.start {
        let line = line::line_at(all, at);
        if let Some(mended) = entry_slip(desk, text, &line, refusal) {
            return Some(mended);
        }
        at = line.end + 1;
    }
    let end = line::end_of_text(all, &last);
    let closing: String =
        open.iter().rev().map(|at| if all[*at..].starts_with('[') { ']' } else { '}' }).collect();
    let innermost = *open.last()?;
    let mut finding = desk
        .finding(
            Code::YamlSyntax,
            text.span(innermost..innermost + 1),
            "The bracket that opens here is never closed.",
        )
        .found(format!("`{}`", short(&all[opening_line.clone()])))
        .expected(format!("`{closing}` at the end"))
        .next("close the bracket");
    if opening_line == last {
        finding = finding.mended(text.span(end..end), &closing, Surety::Sure);
    }
    desk.say(finding);
    Some(text.with_edits(&[(end..end, closing)]))
}

/// A word alone behind a sign may be meant as YAML means it, and then quotes help no one.
fn surety_of_quoting(value: &str) -> Surety {
    let marked = value.starts_with(['*', '&', '!']);
    if marked && !value.contains(' ') && !value.ends_with('*') {
        Surety::Likely
    } else {
        Surety::Sure
    }
}

/// A slip in one `key: value` or item of the line.
fn entry_slip(
    desk: &mut Desk,
    text: &Excerpt,
    line: &Range<usize>,
    refusal: &Refusal,
) -> Option<Excerpt> {
    let all = text.text();
    let unclosed = matches!(refusal.why, Why::Syntax(ErrorKind::UnclosedQuotedScalar));
    for piece in line::pieces(all, line) {
        if let Some(hash) = piece.hash {
            let range = piece.value.start..hash.end;
            let finding = desk
                .finding(
                    Code::HashCut,
                    text.span(hash.clone()),
                    "The line is cut off here, because ` #` begins a remark that is not read.",
                )
                .found(format!("`{}` left out", short(&all[hash.start..line.end])))
                .expected("the text with the `#` in quotes")
                .next("put the text in quotes")
                .mended(text.span(range.clone()), &quoted(&all[range.clone()]), Surety::Sure);
            desk.say(finding);
            return Some(quote(text, range));
        }
        let value = &all[piece.value.clone()];
        if let Some(length) = sigil_word(value) {
            let range = piece.value.start..piece.value.start + length;
            let finding = desk
                .finding(
                    Code::YamlSyntax,
                    text.span(range.clone()),
                    "A name with `&` or `!` before a list or keys has no meaning here.",
                )
                .found(format!("`{}`", &all[range.clone()]))
                .expected("the list or the keys alone")
                .next("take the sign and its name out")
                .mended(text.span(range.clone()), "", Surety::Likely);
            desk.say(finding);
            return Some(text.with_edits(&[(range, String::new())]));
        }
        if let Some(sign) = bad_beginning(value, unclosed) {
            let finding = desk
                .finding(
                    Code::NeedsQuotes,
                    text.span(piece.value.clone()),
                    format!("A text that begins with {sign} must stand in quotes."),
                )
                .found(format!("`{}`", short(value)))
                .expected("the whole text in quotes")
                .next("put the text in quotes")
                .mended(text.span(piece.value.clone()), &quoted(value), surety_of_quoting(value));
            desk.say(finding);
            return Some(quote(text, piece.value));
        }
        if let Some(colon) = colon_inside(value) {
            let at = piece.value.start + colon;
            let finding = desk
                .finding(
                    Code::ColonInText,
                    text.span(at..at + 1),
                    "This text has a colon and a space in it, so it must stand in quotes.",
                )
                .found(format!("`{}`", short(value)))
                .expected("the whole text in quotes")
                .next("put the text in quotes")
                .mended(text.span(piece.value.clone()), &quoted(value), Surety::Sure);
            desk.say(finding);
            return Some(quote(text, piece.value));
        }
    }
    None
}

/// The length of `&name ` or `!name ` where a bracket or nothing follows it.
fn sigil_word(value: &str) -> Option<usize> {
    if !value.starts_with(['&', '!']) {
        return None;
    }
    let word = value.find(char::is_whitespace).unwrap_or(value.len());
    let rest = value[word..].trim_start();
    let before_brackets = rest.starts_with(['[', '{']) && !rest.starts_with("{{");
    before_brackets.then_some(value.len() - rest.len())
}

/// What a text begins with that YAML reads as a sign of its own, in words.
fn bad_beginning(value: &str, unclosed: bool) -> Option<&'static str> {
    let first = value.chars().next()?;
    let rest = &value[first.len_utf8()..];
    match first {
        '{' if rest.starts_with('{') => Some("`{{`"),
        '*' => Some("`*`"),
        '&' => Some("`&`"),
        '!' => Some("`!`"),
        '%' => Some("`%`"),
        '@' => Some("`@`"),
        '`' => Some("a backtick"),
        '|' | '>' => {
            let header = rest.trim().chars().all(|c| matches!(c, '+' | '-' | '0'..='9'));
            (!header).then_some(if first == '|' { "`|`" } else { "`>`" })
        }
        '"' | '\'' => match closing_quote(value, first) {
            Some(end) if value[end..].trim().is_empty() => None,
            Some(_) => Some("a quote"),
            None => unclosed.then_some("a quote"),
        },
        _ => None,
    }
}

/// The offset just after the quote that closes the one a text opens with.
fn closing_quote(value: &str, mark: char) -> Option<usize> {
    let mut chars = value.char_indices().skip(1).peekable();
    while let Some((at, c)) = chars.next() {
        if c == '\\' && mark == '"' {
            chars.next();
        } else if c == mark {
            if mark == '\'' && chars.peek().is_some_and(|(_, next)| *next == mark) {
                chars.next();
            } else {
                return Some(at + 1);
            }
        }
    }
    None
}

/// A colon that YAML takes for a key's inside an unquoted text.
fn colon_inside(value: &str) -> Option<usize> {
    if value.starts_with(['"', '\'', '{', '[', '|', '>']) {
        return None;
    }
    let colon = value.find(": ").or_else(|| value.ends_with(':').then(|| value.len() - 1))?;
    (colon > 0).then_some(colon)
}

/// The text with a range of it put in quotes.
fn quote(text: &Excerpt, range: Range<usize>) -> Excerpt {
    let value = &text.text()[range.clone()];
    let double = !value.contains(['"', '\\']);
    let mark = if double { "\"" } else { "'" };
    let mut edits = vec![(range.start..range.start, mark.to_owned())];
    if !double {
        for (at, _) in value.match_indices('\'') {
            edits.push((range.start + at..range.start + at, "'".to_owned()));
        }
    }
    edits.push((range.end..range.end, mark.to_owned()));
    text.with_edits(&edits)
}

/// A key without its space, or a line without a colon.
fn key_slip(
    desk: &mut Desk,
    text: &Excerpt,
    line: &Range<usize>,
    refusal: &Refusal,
) -> Option<Excerpt> {
    let of_key = matches!(
        &refusal.why,
        Why::Syntax(
            ErrorKind::SimpleKeyExpected
                | ErrorKind::ExpectedBlockMappingKey
                | ErrorKind::InvalidSimpleKey
                | ErrorKind::MappingValueNotAllowed
                | ErrorKind::InvalidColonPlacement
        )
    );
    let all = text.text();
    let content = &all[line.clone()];
    let trimmed = content.trim();
    if !of_key || trimmed.is_empty() || trimmed.starts_with(['-', '#', '[', '{', '"', '\'']) {
        return None;
    }
    let Piece { key, .. } = line::pieces(all, line).into_iter().next()?;
    if key.is_some() {
        return None;
    }
    let plain = |c: char| c.is_alphanumeric() || matches!(c, '_' | ' ' | '-' | '.');
    if let Some(colon) = content.find(':')
        && content[..colon].trim().chars().all(plain)
        && !content[..colon].trim().is_empty()
    {
        let at = line.start + colon + 1;
        let finding = desk
            .finding(
                Code::YamlSyntax,
                text.span(at - 1..at),
                "A space is missing after the colon of this key.",
            )
            .found(format!("`{}`", short(trimmed)))
            .expected("`key: value`")
            .next("write a space after the colon")
            .mended(text.span(at..at), " ", Surety::Sure);
        desk.say(finding);
        return Some(text.with_edits(&[(at..at, " ".to_owned())]));
    }
    let start = line.start + (content.len() - content.trim_start().len());
    let finding = desk
        .finding(
            Code::YamlSyntax,
            text.span(start..start + trimmed.len()),
            "This line has no `key:` before its text.",
        )
        .found(format!("`{}`", short(trimmed)))
        .expected("`key: value`, or a line further in that continues the one above")
        .next("write the key and a colon, or move the line further in");
    desk.say(finding);
    Some(without(desk, text, line))
}

/// A key that stands further in than the keys above it.
fn indent_slip(
    desk: &mut Desk,
    text: &Excerpt,
    here: &Range<usize>,
    before: Option<&Range<usize>>,
    refusal: &Refusal,
) -> Option<Excerpt> {
    let before = before?;
    let all = text.text();
    let level = |line: &Range<usize>| {
        let content = &all[line.clone()];
        content.len() - content.trim_start_matches(' ').len()
    };
    let (own, above) = (level(here), level(before));
    let of_indent = matches!(
        &refusal.why,
        Why::Syntax(
            ErrorKind::MappingValueNotAllowed
                | ErrorKind::InvalidIndentation
                | ErrorKind::ExpectedBlockMappingKey
                | ErrorKind::BlockSequenceEntryNotAllowed
        )
    );
    let keyed =
        line::has_key(&all[here.clone()]) || all[here.clone()].trim_start().starts_with("- ");
    if !of_indent || own == above || !keyed {
        return None;
    }
    let start = here.start + own;
    let (word, level_words) = if own > above {
        ("further in", "level with the key above")
    } else {
        ("less far in", "level with its neighbours")
    };
    let finding = desk
        .finding(
            Code::YamlSyntax,
            text.span(start..here.end),
            format!("This line stands {word} than the lines it belongs to."),
        )
        .found(format!("{own} spaces before it, {above} before the line above"))
        .expected(level_words)
        .next("give lines that belong together the same spaces at the beginning");
    desk.say(finding);
    if own > above {
        return Some(text.with_edits(&[(here.start + above..here.start + own, String::new())]));
    }
    Some(without(desk, text, here))
}

/// What has no name of its own.
fn plain_refusal(
    desk: &mut Desk,
    text: &Excerpt,
    here: &Range<usize>,
    before: Option<&Range<usize>>,
    refusal: &Refusal,
) -> Excerpt {
    let all = text.text();
    let (message, expected, next) = match &refusal.why {
        Why::Syntax(kind) => words(kind),
        _ => (
            "A sign that stands here has a meaning of its own in a block.",
            "a text in quotes",
            "put the text in quotes",
        ),
    };
    let filled = !all[here.clone()].trim().is_empty();
    let line = if filled { here.clone() } else { before.cloned().unwrap_or(here.clone()) };
    let at = if filled { refusal.at } else { line.end };
    let start = at.min(line.end).max(line.start);
    let end = all[start..].chars().next().map_or(start, |c| start + c.len_utf8()).min(line.end);
    let finding = desk
        .finding(Code::YamlSyntax, text.span(start..end.max(start)), message)
        .found(format!("`{}`", short(&all[line.clone()])))
        .expected(expected)
        .next(next);
    desk.say(finding);
    // An opening without its end makes all that follows part of it; what follows
    // is better read than the line that opened.
    without(desk, text, &line)
}

fn words(kind: &ErrorKind) -> (&'static str, &'static str, &'static str) {
    match kind {
        ErrorKind::UnclosedQuotedScalar => {
            ("A quote that opens here is never closed.", "a second quote", "add the closing quote")
        }
        ErrorKind::UnclosedFlowCollection { .. }
        | ErrorKind::UnexpectedEofFlowSequence
        | ErrorKind::UnexpectedEofFlowMapping
        | ErrorKind::UnexpectedEofImplicitFlowMapping
        | ErrorKind::UnexpectedEof => (
            "A bracket that opens here is never closed.",
            "a closing bracket",
            "add the closing `]` or `}`",
        ),
        ErrorKind::MisplacedFlowCollectionEnd | ErrorKind::MismatchedFlowCollectionEnd { .. } => (
            "This closing bracket does not fit the one that opened.",
            "`]` to close `[`, and `}` to close `{`",
            "check the brackets of this line",
        ),
        ErrorKind::ExpectedFlowMappingSeparator | ErrorKind::ExpectedFlowSequenceSeparator => (
            "A comma or a closing bracket is missing before this.",
            "entries with commas between them",
            "add the comma, or close the bracket",
        ),
        ErrorKind::UnknownQuotedScalarEscape | ErrorKind::InvalidQuotedScalarHexEscape => (
            "A backslash in double quotes has a meaning of its own.",
            "single quotes around a text with a backslash",
            "write the text in single quotes",
        ),
        _ => (
            "This line cannot be read.",
            "`key: value`, a list with dashes, or texts in [ ]",
            "write the text in quotes, or see whether the line above is complete",
        ),
    }
}

/// The text without a line and the lines further in that belong to it.
fn without(desk: &mut Desk, text: &Excerpt, line: &Range<usize>) -> Excerpt {
    desk.damaged = true;
    let all = text.text();
    let level = |line: &str| line.len() - line.trim_start_matches(' ').len();
    let own = level(&all[line.clone()]);
    let mut end = line.end;
    let mut edits = vec![(line.clone(), String::new())];
    while end < all.len() {
        let next = line::line_at(all, end + 1);
        if next.start <= end {
            break;
        }
        let content = &all[next.clone()];
        if content.trim().is_empty() || level(content) <= own {
            break;
        }
        edits.push((next.clone(), String::new()));
        end = next.end;
    }
    text.with_edits(&edits)
}
