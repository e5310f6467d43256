//! Mathematics as typed to a tree.
//!
//! Takes what stands between the dollar signs: school algebra with the usual
//! commands for what a keyboard has no key for. Gives a tree, or one fault with
//! its place. Letters that stand alone are quantities, several together a word.

use std::ops::Range;

use super::super::formula::chemical;
use super::symbols::{self, class, command, is_function};
use super::{Accent, Class, Math, MathLine, Node, Row};
use crate::diag::nearest;

/// What cannot be read, in a teacher's words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MathFault {
    /// Bytes within what stands between the dollar signs.
    pub at: Range<usize>,
    /// One sentence.
    pub message: String,
    pub expected: String,
    /// One next step.
    pub next: String,
}

/// Groups within each other beyond this are no school mathematics.
const DEEPEST: usize = 16;

/// Reads a formula.
///
/// # Errors
/// The first thing in it that cannot be read.
pub fn read(text: &str, display: bool) -> Result<Math, MathFault> {
    let mut reader = Reader { text, at: 0, depth: 0, lines: vec![MathLine::default()] };
    let last = reader.row(Until::End)?;
    reader.add(last);
    let mut lines = reader.lines;
    lines.retain(|line| !line.left.is_empty() || !line.right.is_empty());
    Ok(Math { lines, display })
}

/// What ends a row.
#[derive(Clone, Copy, PartialEq)]
enum Until {
    End,
    Brace,
    Bracket,
    Right,
}

struct Reader<'a> {
    text: &'a str,
    at: usize,
    depth: usize,
    /// The lines so far; the row that is read comes to the last of them.
    lines: Vec<MathLine>,
}

type Read<T> = Result<T, MathFault>;

fn fault(at: Range<usize>, message: &str, expected: &str, next: &str) -> MathFault {
    MathFault { at, message: message.into(), expected: expected.into(), next: next.into() }
}

impl Reader<'_> {
    fn peek(&self) -> Option<char> {
        self.text[self.at..].chars().next()
    }

    fn next(&mut self) -> Option<char> {
        let c = self.peek()?;
        self.at += c.len_utf8();
        Some(c)
    }

    fn skip_spaces(&mut self) -> bool {
        let from = self.at;
        while self.peek().is_some_and(char::is_whitespace) {
            self.next();
        }
        self.at > from
    }

    fn takes(&mut self, text: &str) -> bool {
        let found = self.text[self.at..].starts_with(text);
        if found {
            self.at += text.len();
        }
        found
    }

    /// Ends a line's half: to the left until an alignment sign was met.
    fn add(&mut self, row: Row) {
        if let Some(line) = self.lines.last_mut() {
            line.right.extend(row);
        }
    }

    /// A row up to what ends it, which is taken too.
    fn row(&mut self, until: Until) -> Read<Row> {
        let start = self.at;
        self.depth += 1;
        if self.depth > DEEPEST {
            return Err(fault(
                start.saturating_sub(1)..start,
                "Brackets stand too deep within each other here.",
                "a formula that a learner can follow",
                "part the formula into two",
            ));
        }
        let mut out = Row::new();
        // Brackets still open in this row, by place.
        let mut opens: Vec<(usize, char)> = Vec::new();
        loop {
            let spaced = self.skip_spaces();
            let at = self.at;
            let Some(c) = self.next() else {
                if until == Until::End {
                    break;
                }
                let (what, next) = match until {
                    Until::Bracket => ("a closing `]`", "write `]` after the degree of the root"),
                    Until::Right => ("`\\right` and a bracket", "close it with `\\right)`"),
                    _ => ("a closing `}`", "write `}` where the group ends"),
                };
                return Err(fault(
                    start.saturating_sub(1)..start,
                    "What opens here is never closed.",
                    what,
                    next,
                ));
            };
            match c {
                '}' if until == Until::Brace => break,
                ']' if until == Until::Bracket => break,
                '}' => {
                    return Err(fault(
                        at..self.at,
                        "This `}` closes nothing.",
                        "as many `{` as `}`",
                        "take it out, or write `{` where the group begins",
                    ));
                }
                '{' => {
                    let inner = self.row(Until::Brace)?;
                    out.push(Node::Group(inner));
                }
                '^' | '_' => self.script(&mut out, c, at)?,
                '\'' => attach(&mut out, vec![Node::sign("′", Class::Ordinary)], true)
                    .ok_or_else(|| twice(at..self.at))?,
                '&' if until == Until::End => {
                    let done = std::mem::take(&mut out);
                    opens.clear();
                    if let Some(line) = self.lines.last_mut() {
                        line.left.append(&mut line.right);
                        line.left.extend(done);
                    }
                }
                '\\' if self.takes("\\") => {
                    let done = std::mem::take(&mut out);
                    opens.clear();
                    if until != Until::End {
                        return Err(fault(
                            at..self.at,
                            "A line cannot end inside a group.",
                            "`\\\\` between the lines of a formula",
                            "take it out of the brackets",
                        ));
                    }
                    self.add(done);
                    self.lines.push(MathLine::default());
                }
                '\\' => {
                    if !self.command(&mut out, at, until)? {
                        break;
                    }
                }
                '(' | '[' => {
                    opens.push((out.len(), c));
                    out.push(Node::sign(c, Class::Open));
                }
                ')' | ']' => fold(&mut out, &mut opens, c),
                c if c.is_alphabetic() => self.word(&mut out, at, spaced),
                c if c.is_ascii_digit() => self.number(&mut out, at),
                _ => self.typed_sign(&mut out, c),
            }
        }
        self.depth -= 1;
        Ok(out)
    }

    fn word(&mut self, out: &mut Row, at: usize, spaced: bool) {
        while self.peek().is_some_and(char::is_alphabetic) {
            self.next();
        }
        let mut word = &self.text[at..self.at];
        // The change of a quantity: the quantity stays a letter of its own.
        if let Some(rest) = word.strip_prefix('Δ').filter(|rest| !rest.is_empty()) {
            out.push(Node::sign("Δ", Class::Ordinary));
            word = rest;
        }
        let letter = word.chars().count() == 1;
        let (number, before_is_word) = match out.last() {
            Some(Node::Sign { text, class: Class::Ordinary, .. }) => {
                (text.ends_with(|c: char| c.is_ascii_digit()), is_word(text))
            }
            Some(Node::Sign { class: Class::Large, text, .. }) => (false, is_word(text)),
            _ => (false, false),
        };
        let unit = letter && number && spaced && matches!(word, "g" | "t" | "s" | "h" | "L" | "K")
            || letter && number && self.text[..at].ends_with(['\u{202f}', '\u{a0}'])
            || letter && Self::is_per(out);
        if spaced && (before_is_word || number && (unit || !letter)) {
            out.push(Node::Space(if before_is_word && !letter { 250 } else { 200 }));
        }
        let class = if is_function(word) { Class::Large } else { Class::Ordinary };
        let upright = matches!(word, "Δ" | "Σ" | "∂");
        out.push(Node::Sign { text: word.into(), class, italic: letter && !unit && !upright });
    }

    /// Whether a letter ends a unit such as kg/s.
    fn is_per(out: &[Node]) -> bool {
        let [.., Node::Sign { text: unit, italic: false, .. }, Node::Sign { text: per, .. }] = out
        else {
            return false;
        };
        per == "/" && unit.chars().all(char::is_alphabetic) && !is_function(unit)
    }

    /// A number as typed, its decimal sign and its grouping spaces with it.
    fn number(&mut self, out: &mut Row, at: usize) {
        loop {
            let rest = &self.text[self.at..];
            let mut next = rest.chars();
            match (next.next(), next.next()) {
                (Some(c), _) if c.is_ascii_digit() => {}
                (Some('.' | ',' | '\u{202f}' | '\u{2009}'), Some(c)) if c.is_ascii_digit() => {}
                _ => break,
            }
            self.next();
        }
        out.push(Node::sign(&self.text[at..self.at], Class::Ordinary));
    }

    fn typed_sign(&mut self, out: &mut Row, c: char) {
        let sign = match c {
            '<' if self.takes("=>") => '⇌',
            '<' if self.takes("=") => '≤',
            '>' if self.takes("=") => '≥',
            '-' if self.takes(">") => '→',
            '-' => '−',
            '*' => '×',
            '~' => {
                out.push(Node::Space(333));
                return;
            }
            c => c,
        };
        let unit = sign == '%' || sign == '°';
        if unit && self.text[..self.at - c.len_utf8()].ends_with(char::is_whitespace) {
            out.push(Node::Space(200));
        }
        out.push(Node::sign(sign, class(sign)));
    }

    /// What stands raised or lowered, beside the node before it.
    fn script(&mut self, out: &mut Row, sign: char, at: usize) -> Read<()> {
        let script = self.argument(at..at + 1, if sign == '^' { "power" } else { "index" })?;
        let degree = matches!(script.as_slice(), [Node::Sign { text, .. }] if text == "°");
        if degree && sign == '^' {
            out.extend(script);
            return Ok(());
        }
        attach(out, script, sign == '^').ok_or_else(|| twice(at..self.at))
    }

    /// One letter, number, command or group.
    fn argument(&mut self, of: Range<usize>, what: &str) -> Read<Row> {
        self.skip_spaces();
        let at = self.at;
        let missing = |at| {
            fault(
                at,
                &format!("The {what} is missing here."),
                &format!("a {what}, in braces if it is more than one sign"),
                "write it after the sign",
            )
        };
        let mut out = Row::new();
        match self.next() {
            None => return Err(missing(of)),
            Some('{') => return self.row(Until::Brace),
            Some('\\') => {
                self.depth += 1;
                if self.depth > DEEPEST {
                    return Err(fault(
                        of,
                        "Too much stands within itself here.",
                        "less",
                        "part it",
                    ));
                }
                if !self.command(&mut out, at, Until::Brace)? {
                    return Err(missing(of));
                }
                self.depth -= 1;
            }
            Some(c) if c.is_alphabetic() => {
                out.push(Node::Sign { text: c.into(), class: Class::Ordinary, italic: true });
            }
            Some('}' | ']' | ')' | '^' | '_' | '&') => return Err(missing(of)),
            Some(c) => self.typed_sign(&mut out, c),
        }
        Ok(out)
    }

    /// A command; false if it ended the row.
    fn command(&mut self, out: &mut Row, at: usize, until: Until) -> Read<bool> {
        while self.peek().is_some_and(|c| c.is_ascii_alphabetic()) {
            self.next();
        }
        let name = &self.text[at + 1..self.at];
        let here = at..self.at;
        match name {
            "" => match self.next() {
                Some(',' | ' ') => out.push(Node::Space(170)),
                Some(':') => out.push(Node::Space(220)),
                Some(';') => out.push(Node::Space(280)),
                Some('!') => out.push(Node::Space(-170)),
                Some(c @ ('{' | '}')) => {
                    let class = if c == '{' { Class::Open } else { Class::Close };
                    out.push(Node::sign(c, class));
                }
                Some(c) => out.push(Node::sign(c, class(c))),
                None => {
                    return Err(fault(
                        here,
                        "A backslash at the end says nothing.",
                        "a command after it",
                        "take it out",
                    ));
                }
            },
            "frac" | "dfrac" | "tfrac" => {
                let over = self.argument(here.clone(), "upper part of the fraction")?;
                let under = self.argument(here, "lower part of the fraction")?;
                out.push(Node::Fraction { over, under });
            }
            "sqrt" => {
                self.skip_spaces();
                let degree = if self.takes("[") { self.row(Until::Bracket)? } else { Row::new() };
                let under = self.argument(here, "number under the root")?;
                out.push(Node::Root { degree, under });
            }
            "text" | "mathrm" | "mathbf" | "mathit" | "textbf" | "operatorname" | "ce" => {
                let words = self.words(here.clone())?;
                let text = if name == "ce" {
                    chemical(&words).ok_or_else(|| {
                        fault(
                            here,
                            &format!("`{words}` is no chemical formula."),
                            "a formula such as `\\ce{SO4^2-}`",
                            "write it as it is said, or as `\\text{...}`",
                        )
                    })?
                } else {
                    words
                };
                out.push(Node::sign(text, Class::Ordinary));
            }
            "left" => {
                let open = self.delimiter(here)?;
                let inside = self.row(Until::Right)?;
                let close = self.delimiter(self.at.saturating_sub(6)..self.at)?;
                out.push(Node::Fenced { open, inside, close });
            }
            "right" => {
                if until == Until::Right {
                    return Ok(false);
                }
                return Err(fault(
                    here,
                    "This `\\right` has no `\\left` before it.",
                    "`\\left(` ... `\\right)`",
                    "brackets grow by themselves: write `(` and `)` alone",
                ));
            }
            "overline" | "bar" | "hat" | "vec" | "dot" => {
                let accent = match name {
                    "hat" => Accent::Hat,
                    "vec" => Accent::Arrow,
                    "dot" => Accent::Dot,
                    _ => Accent::Bar,
                };
                let under = self.argument(here, "letter under the mark")?;
                out.push(Node::Accent { accent, under });
            }
            "quad" => out.push(Node::Space(1000)),
            "qquad" => out.push(Node::Space(2000)),
            "displaystyle" | "textstyle" | "limits" | "big" | "Big" => {}
            "begin" | "end" => {
                let words = self.words(here.clone())?;
                if !matches!(
                    words.trim_end_matches('*'),
                    "aligned" | "align" | "gathered" | "split"
                ) {
                    return Err(fault(
                        here,
                        &format!("Mathematics here has no `{words}`."),
                        "`aligned`, or lines parted with `\\\\`",
                        "write a Markdown table, or one formula a line",
                    ));
                }
            }
            _ if is_function(name) => out.push(Node::sign(name, Class::Large)),
            _ => match command(name) {
                Some((sign, class)) => {
                    let letter = sign.is_lowercase();
                    out.push(Node::Sign { text: sign.into(), class, italic: letter });
                }
                None => {
                    let mut found = fault(
                        here,
                        &format!("Mathematics here has no command `\\{name}`."),
                        "a command of school mathematics, such as `\\frac` or `\\times`",
                        "write it in plain signs, or words as `\\text{...}`",
                    );
                    if let Some(near) = nearest(name, symbols::names()) {
                        found.next = format!("did you mean `\\{near}`?");
                    }
                    return Err(found);
                }
            },
        }
        Ok(true)
    }

    /// Words in braces, spaces kept.
    fn words(&mut self, of: Range<usize>) -> Read<String> {
        self.skip_spaces();
        let open = self.at;
        if !self.takes("{") {
            return Err(fault(of, "Words in braces are missing here.", "`{words}`", "write them"));
        }
        let mut depth = 1;
        while let Some(c) = self.next() {
            match c {
                '{' => depth += 1,
                '}' => depth -= 1,
                _ => {}
            }
            if depth == 0 {
                let words = self.text[open + 1..self.at - 1].replace(['{', '}'], "");
                return Ok(words.replace(char::is_whitespace, " "));
            }
        }
        Err(fault(
            open..open + 1,
            "What opens here is never closed.",
            "a closing `}`",
            "write `}` where the group ends",
        ))
    }

    fn delimiter(&mut self, of: Range<usize>) -> Read<Option<char>> {
        self.skip_spaces();
        let at = self.at;
        let wrong = |at| {
            fault(at, "A bracket is missing here.", "one of `( ) [ ] \\{ \\} | .`", "write it")
        };
        match self.next() {
            Some('.') => Ok(None),
            Some(c @ ('(' | ')' | '[' | ']' | '|')) => Ok(Some(c)),
            Some('\\') => match self.next() {
                Some(c @ ('{' | '}')) => Ok(Some(c)),
                _ => Err(wrong(at..self.at)),
            },
            Some(_) => Err(wrong(at..self.at)),
            None => Err(wrong(of)),
        }
    }
}

fn is_word(text: &str) -> bool {
    text.chars().count() > 1 && text.chars().all(char::is_alphabetic)
}

fn twice(at: Range<usize>) -> MathFault {
    fault(
        at,
        "Two powers, or two indices, stand on one thing here.",
        "one of each",
        "put braces round what the second belongs to: `{x^2}^3`",
    )
}

/// Puts a script on the last node; none if that has one there already.
fn attach(out: &mut Row, script: Row, above: bool) -> Option<()> {
    if let Some(Node::Scripts { below, above: raised, .. }) = out.last_mut() {
        let place = if above { raised } else { below };
        let prime =
            |row: &Row| row.iter().all(|n| matches!(n, Node::Sign { text, .. } if text == "′"));
        // Primes go together, and with a power.
        if !place.is_empty() && !prime(place) {
            return None;
        }
        place.extend(script);
        return Some(());
    }
    let base = match out.last() {
        None | Some(Node::Space(_)) => Row::new(),
        Some(_) => out.pop().into_iter().collect(),
    };
    let (below, above) = if above { (Row::new(), script) } else { (script, Row::new()) };
    out.push(Node::Scripts { base, below, above });
    Some(())
}

/// Closes a bracket: what stands since its partner becomes one thing that the
/// brackets grow with. Without a partner it is a sign like others.
fn fold(out: &mut Row, opens: &mut Vec<(usize, char)>, close: char) {
    let partner = if close == ')' { '(' } else { '[' };
    // An opening bracket that a script was hung on is no longer there by itself.
    opens.retain(|(at, c)| {
        matches!(out.get(*at), Some(Node::Sign { text, class: Class::Open, .. })
            if text.starts_with(*c))
    });
    match opens.iter().rposition(|(_, open)| *open == partner) {
        Some(place) => {
            let (at, open) = opens[place];
            opens.truncate(place);
            let inside = out.split_off(at + 1);
            out.pop();
            out.push(Node::Fenced { open: Some(open), inside, close: Some(close) });
        }
        None => out.push(Node::sign(close, Class::Close)),
    }
}
