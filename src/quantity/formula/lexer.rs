//! Formula text cut into words, numbers with units, and signs.
//!
//! Takes text and its place in the file, gives tokens with places. Accepts what
//! `write` prints as well (`×`, `÷`, `−`, superscripts), so that a printed
//! formula can be typed back. Never joins tokens into meaning.

use super::{FormulaError, Relation};
use crate::diag::Span;
use crate::quantity::print::from_superscript;
use crate::quantity::{Number, Typed, Unit};

/// A formula longer than this is not school algebra; trees stay shallow enough
/// to walk without a deep stack.
const MOST_TOKENS: usize = 400;

#[derive(Debug, Clone, PartialEq)]
pub(super) enum Token {
    Number(Typed),
    Name(Vec<(String, Span)>),
    Plus,
    Minus,
    Times,
    Over,
    Power,
    /// A power written in superscript digits.
    Raised(Number),
    Root,
    Open,
    Close,
    Compare(Relation),
    End,
}

#[derive(Debug, Clone)]
pub(super) struct Placed {
    pub(super) token: Token,
    pub(super) span: Span,
    /// The bytes as typed, for messages.
    pub(super) text: String,
}

pub(super) struct Lexer<'a> {
    text: &'a str,
    place: &'a dyn Fn(usize) -> usize,
    at: usize,
}

pub(super) fn tokens(
    text: &str,
    place: &dyn Fn(usize) -> usize,
) -> Result<Vec<Placed>, FormulaError> {
    let mut lexer = Lexer { text, place, at: 0 };
    let mut all = Vec::new();
    loop {
        let next = lexer.next()?;
        let end = next.token == Token::End;
        all.push(next);
        if end {
            return Ok(all);
        }
        if all.len() > MOST_TOKENS {
            let span = lexer.span(0, text.len());
            return Err(FormulaError {
                span,
                message: "this formula is too long".to_owned(),
                found: format!("more than {MOST_TOKENS} words and signs"),
                expected: "a formula a learner could follow".to_owned(),
                next: "split it into derived values".to_owned(),
            });
        }
    }
}

impl Lexer<'_> {
    /// The place in the file of a byte range in the text.
    fn span(&self, start: usize, end: usize) -> Span {
        // The end is where the last character ends: what follows it in the text
        // may stand on another line of the file.
        match self.text[start..end].char_indices().next_back() {
            Some((last, c)) => {
                Span::new((self.place)(start), (self.place)(start + last) + c.len_utf8())
            }
            None => {
                let here = match self.text[..start].char_indices().next_back() {
                    Some((last, c)) => (self.place)(last) + c.len_utf8(),
                    None => (self.place)(start),
                };
                Span::new(here, here)
            }
        }
    }

    fn placed(&self, token: Token, start: usize) -> Placed {
        Placed {
            token,
            span: self.span(start, self.at),
            text: self.text[start..self.at].to_owned(),
        }
    }

    fn rest(&self) -> &str {
        &self.text[self.at..]
    }

    fn next(&mut self) -> Result<Placed, FormulaError> {
        let blanks = self.rest().len() - self.rest().trim_start().len();
        self.at += blanks;
        let start = self.at;
        let Some(first) = self.rest().chars().next() else {
            let end = self.text.trim_end().len();
            return Ok(Placed {
                token: Token::End,
                span: self.span(end, end),
                text: String::new(),
            });
        };
        let second = self.rest()[first.len_utf8()..].chars().next();
        if first.is_ascii_digit() || (first == '.' && second.is_some_and(|c| c.is_ascii_digit())) {
            return self.number();
        }
        if first.is_alphabetic() || first == '_' {
            return self.name();
        }
        if from_superscript(first).is_some() {
            return self.raised();
        }
        let (token, length) = match (first, second) {
            ('*', Some('*')) => {
                self.at += 2;
                return Err(self.fault(
                    start,
                    "a power is written with `^`",
                    "`^`",
                    "write ^ for a power",
                ));
            }
            ('<', Some('=')) => (Token::Compare(Relation::AtMost), 2),
            ('>', Some('=')) => (Token::Compare(Relation::AtLeast), 2),
            ('!', Some('=')) | ('<', Some('>')) => (Token::Compare(Relation::Unequal), 2),
            ('=', Some('=')) => (Token::Compare(Relation::Equal), 2),
            ('<', _) => (Token::Compare(Relation::Less), 1),
            ('>', _) => (Token::Compare(Relation::More), 1),
            ('=', _) => (Token::Compare(Relation::Equal), 1),
            ('≤', _) => (Token::Compare(Relation::AtMost), '≤'.len_utf8()),
            ('≥', _) => (Token::Compare(Relation::AtLeast), '≥'.len_utf8()),
            ('≠', _) => (Token::Compare(Relation::Unequal), '≠'.len_utf8()),
            ('+', _) => (Token::Plus, 1),
            ('-' | '\u{2212}', _) => (Token::Minus, first.len_utf8()),
            ('*' | '×' | '·' | '⋅', _) => (Token::Times, first.len_utf8()),
            ('/' | '÷', _) => (Token::Over, first.len_utf8()),
            ('^', _) => (Token::Power, 1),
            ('√', _) => (Token::Root, first.len_utf8()),
            ('(', _) => (Token::Open, 1),
            (')', _) => (Token::Close, 1),
            _ => {
                self.at += first.len_utf8();
                let (message, next) = match first {
                    '[' | ']' | '{' | '}' => (
                        format!("`{first}` is no part of a formula"),
                        "use round brackets ( )".to_owned(),
                    ),
                    '%' => (
                        "a percent sign needs a number before it".to_owned(),
                        "write the number with its sign, such as 5 %".to_owned(),
                    ),
                    '\u{2013}' | '\u{2014}' => (
                        "this dash is not a minus sign".to_owned(),
                        "type the plain hyphen of the keyboard, -".to_owned(),
                    ),
                    ',' => (
                        "a comma is no part of a formula".to_owned(),
                        "write decimals with a point, and one formula at a time".to_owned(),
                    ),
                    _ => (
                        format!("`{first}` is no part of a formula"),
                        "use only + - * / ^ ( ), numbers, units and names".to_owned(),
                    ),
                };
                return Err(self.fault(start, &message, "a number, a name or a sign", &next));
            }
        };
        self.at += length;
        Ok(self.placed(token, start))
    }

    fn fault(&self, start: usize, message: &str, expected: &str, next: &str) -> FormulaError {
        FormulaError {
            span: self.span(start, self.at),
            message: message.to_owned(),
            found: format!("`{}`", &self.text[start..self.at]),
            expected: expected.to_owned(),
            next: next.to_owned(),
        }
    }

    /// A name of words with dots between.
    fn name(&mut self) -> Result<Placed, FormulaError> {
        let start = self.at;
        let mut path = Vec::new();
        loop {
            let from = self.at;
            let length = self
                .rest()
                .char_indices()
                .find(|(_, c)| {
                    !(c.is_alphanumeric() || *c == '_') || from_superscript(*c).is_some()
                })
                .map_or(self.rest().len(), |(i, _)| i);
            self.at += length;
            path.push((self.text[from..self.at].to_owned(), self.span(from, self.at)));
            let Some(after) = self.rest().strip_prefix('.') else { break };
            if !after.starts_with(|c: char| c.is_alphabetic() || c == '_') {
                self.at += 1;
                return Err(self.fault(
                    start,
                    "this name ends in a point",
                    "a word after the point, such as `.total`",
                    "write the word after the point, or leave the point out",
                ));
            }
            self.at += 1;
        }
        Ok(self.placed(Token::Name(path), start))
    }

    fn raised(&mut self) -> Result<Placed, FormulaError> {
        let start = self.at;
        let mut plain = String::new();
        while let Some((c, digit)) =
            self.rest().chars().next().and_then(|c| from_superscript(c).map(|d| (c, d)))
        {
            plain.push(digit);
            self.at += c.len_utf8();
        }
        match Number::parse(&plain) {
            Ok(number) => Ok(self.placed(Token::Raised(number), start)),
            Err(_) => Err(self.fault(
                start,
                "this power is not a whole number",
                "a whole number",
                "write the power with `^`",
            )),
        }
    }

    /// A number and, directly or after a blank, its unit.
    fn number(&mut self) -> Result<Placed, FormulaError> {
        let start = self.at;
        self.digits();
        let typed = &self.text[start..self.at];
        // Groups of three as they are printed.
        let joined: String = typed.chars().filter(|c| *c != '\u{202f}').collect();
        let number = Number::parse(&joined).map_err(|error| {
            let next = error.suggestion.as_ref().map_or_else(
                || "write the number with digits and at most one point".to_owned(),
                |suggestion| format!("write {suggestion}"),
            );
            self.fault(start, &error.message, "a number such as 1250 or 0.05", &next)
        })?;
        let blank = self.rest().len() - self.rest().trim_start().len();
        let after = &self.rest()[blank..];
        if let Some((unit, length)) = Unit::at_start_of(after) {
            self.at += blank + length;
            return Ok(self.placed(Token::Number(Typed { number, unit }), start));
        }
        if after.starts_with(|c: char| c.is_alphabetic() || matches!(c, '°' | '_')) {
            return Err(self.no_unit(start, blank));
        }
        Ok(self.placed(Token::Number(Typed { number, unit: Unit::none() }), start))
    }

    /// What follows a number is a word but no unit: a slip, or a missing `*`.
    fn no_unit(&mut self, start: usize, blank: usize) -> FormulaError {
        let number = self.text[start..self.at].to_owned();
        let from = self.at + blank;
        let word = self.text[from..]
            .find(|c: char| !(c.is_alphanumeric() || matches!(c, '_' | '.' | '°')))
            .map_or(&self.text[from..], |length| &self.text[from..from + length])
            .to_owned();
        self.at = from + word.len();
        let near = Unit::parse(&word).err().and_then(|error| error.suggestion);
        let next = match near {
            Some(unit) => {
                format!("write `{number} {unit}` if a unit is meant, `{number} * {word}` if a name")
            }
            None => format!("write `{number} * {word}` to multiply"),
        };
        self.fault(
            from,
            &format!("`{word}` is not a unit"),
            "a unit or a sign after the number",
            &next,
        )
    }

    /// Moves past digits, a point, commas (refused later with advice) and an exponent.
    fn digits(&mut self) {
        let bytes = self.text.as_bytes();
        let digit = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
        loop {
            let group = self.rest().starts_with('\u{202f}')
                && (3..6).all(|i| digit(self.at + i))
                && !digit(self.at + 6);
            let mark = matches!(bytes.get(self.at), Some(b'.' | b',')) && digit(self.at + 1);
            if mark || digit(self.at) {
                self.at += 1;
            } else if group {
                self.at += '\u{202f}'.len_utf8();
            } else {
                break;
            }
        }
        // `400.` is a number with its point typed, `2.5.` is not.
        if bytes.get(self.at) == Some(&b'.') {
            self.at += 1;
        }
        if matches!(bytes.get(self.at), Some(b'e' | b'E')) {
            let signed = 1 + usize::from(matches!(bytes.get(self.at + 1), Some(b'-' | b'+')));
            if digit(self.at + signed) {
                self.at += signed;
                while digit(self.at) {
                    self.at += 1;
                }
            }
        }
    }
}
