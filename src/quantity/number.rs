//! Numbers as typed: their text, value and significant figures.
//!
//! Takes the source text, never a parsed float: `34.20` keeps four figures. What
//! a school might read in two ways (`1,234`) is refused with a word of advice.

use std::fmt;
use std::ops::Range;

use super::decimal::Decimal;
use super::{Unit, UnitError};

/// The figures of a number that is exact, such as `1/3`: it never limits a result.
pub const EXACT: u32 = u32::MAX;

/// A number as typed: `34.20` keeps four figures.
#[derive(Debug, Clone, PartialEq)]
pub struct Number {
    pub text: String,
    pub value: f64,
    /// Significant figures of the text; typed trailing zeros count (`400` has
    /// three), zero has one, `EXACT` for a fraction.
    pub figures: u32,
    /// Decimal places of the text; 0 for `400`, `6e4` and `1/3`.
    pub places: u32,
}

/// A text that is no number: which bytes of it, why, and how to write it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NumberError {
    /// Byte range in the text that was parsed.
    pub at: Range<usize>,
    pub message: String,
    /// What to write in place of the bytes at `at`.
    pub suggestion: Option<String>,
}

impl fmt::Display for NumberError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for NumberError {}

impl Number {
    /// Reads `400`, `34.20`, `-0.5`, `6e4`, `1/3`.
    ///
    /// # Errors
    /// Anything else, with what a teacher would have to change.
    pub fn parse(text: &str) -> Result<Number, NumberError> {
        let trimmed = text.trim();
        let start = text.len() - text.trim_start().len();
        let fault = |message: String, suggestion: Option<String>| NumberError {
            at: start..start + trimmed.len(),
            message,
            suggestion,
        };
        if trimmed.is_empty() {
            return Err(fault("a number is missing".to_owned(), None));
        }
        let plain = trimmed.replace('\u{2212}', "-");
        if let Some(whole) = Number::fraction(&plain) {
            return whole.ok_or_else(|| {
                fault(format!("`{trimmed}` divides by zero, or its numbers are too long"), None)
            });
        }
        if let Some((message, suggestion)) = comma_advice(&plain) {
            return Err(fault(message, suggestion));
        }
        let Some(decimal) = Decimal::from_text(&plain) else {
            return Err(fault(format!("`{trimmed}` is not a number"), None));
        };
        let value = decimal.value();
        if !value.is_finite() || (value == 0.0 && !decimal.is_zero()) {
            return Err(fault(format!("`{trimmed}` is too large or too small a number"), None));
        }
        Ok(Number {
            figures: u32::try_from(decimal.digits.len()).unwrap_or(EXACT - 1),
            places: decimal.last_place.min(0).unsigned_abs(),
            text: plain,
            value,
        })
    }

    /// `1/3`; the inner none is a fraction that cannot be.
    fn fraction(text: &str) -> Option<Option<Number>> {
        let (above, below) = text.split_once('/')?;
        let (above, below) = (above.trim(), below.trim());
        let unsigned = above.strip_prefix('-').unwrap_or(above);
        let whole = |s: &str| !s.is_empty() && s.bytes().all(|b| b.is_ascii_digit());
        if !whole(unsigned) || !whole(below) {
            return None;
        }
        let value = above.parse::<f64>().ok().zip(below.parse::<f64>().ok()).map(|(a, b)| a / b);
        let number = value.filter(|v| v.is_finite()).map(|value| Number {
            text: format!("{above}/{below}"),
            value,
            figures: EXACT,
            places: 0,
        });
        Some(number)
    }

    /// A whole number counted, not measured: exact, written without a unit.
    pub fn exact(value: u32) -> Number {
        Number { text: value.to_string(), value: f64::from(value), figures: EXACT, places: 0 }
    }

    pub fn is_exact(&self) -> bool {
        self.figures == EXACT
    }

    /// Is it typed as a whole number, without point or exponent?
    pub fn is_whole(&self) -> bool {
        self.text.trim_start_matches('-').bytes().all(|b| b.is_ascii_digit())
    }

    /// Decimal exponent of the last digit: -2 for `34.20`, 0 for `400`, 4 for
    /// `6e4`; none if the number is exact.
    pub fn last_place(&self) -> Option<i32> {
        if self.is_exact() {
            return None;
        }
        Decimal::from_text(&self.text).map(|d| d.last_place)
    }
}

/// Advice about a comma: thousands are written without it, decimals with a point.
fn comma_advice(text: &str) -> Option<(String, Option<String>)> {
    if !text.contains(',') {
        return None;
    }
    let without = text.replace(',', "");
    if Decimal::from_text(&without).is_none() {
        return Some((format!("`{text}` is not a number"), None));
    }
    let pointed = text.replacen(',', ".", 1);
    let one = text.matches(',').count() == 1;
    let thousands = text
        .split(',')
        .skip(1)
        .all(|group| group.split('.').next().is_some_and(|digits| digits.len() == 3));
    Some(match (one, thousands) {
        (true, true) if !text.contains('.') => (
            format!("`{text}` can be read as {without} or as {pointed}; write it without a comma"),
            Some(without),
        ),
        (true, false) if !text.contains('.') => {
            (format!("`{text}` has a comma; the decimal mark is a point"), Some(pointed))
        }
        _ => (format!("`{text}` has commas; write the number without them"), Some(without)),
    })
}

/// A number with its unit, as typed.
#[derive(Debug, Clone, PartialEq)]
pub struct Typed {
    pub number: Number,
    pub unit: Unit,
}

/// A text that is no number with a unit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum TypedError {
    Number(NumberError),
    Unit(UnitError),
}

impl TypedError {
    /// Byte range in the text that was parsed.
    pub fn at(&self) -> Range<usize> {
        match self {
            TypedError::Number(error) => error.at.clone(),
            TypedError::Unit(error) => error.at.clone(),
        }
    }

    pub fn message(&self) -> &str {
        match self {
            TypedError::Number(error) => &error.message,
            TypedError::Unit(error) => &error.message,
        }
    }

    /// What to write in place of the bytes at `at`.
    pub fn suggestion(&self) -> Option<&str> {
        match self {
            TypedError::Number(error) => error.suggestion.as_deref(),
            TypedError::Unit(error) => error.suggestion.as_deref(),
        }
    }
}

impl fmt::Display for TypedError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.message())
    }
}

impl std::error::Error for TypedError {}

impl Typed {
    /// Reads a number and, after it, a unit: `60 kg`, `5.0 %`, `1/3`, `0.872 kg/L`.
    ///
    /// # Errors
    /// The part that is no number or no unit, with its place in `text`.
    pub fn parse(text: &str) -> Result<Typed, TypedError> {
        let start = text.len() - text.trim_start().len();
        let split = start + number_length(&text[start..]);
        if split == start {
            let word = text[start..].split_whitespace().next().unwrap_or("");
            let message = if word.is_empty() {
                "a number is missing".to_owned()
            } else {
                format!("`{word}` is not a number")
            };
            return Err(TypedError::Number(NumberError {
                at: start..start + word.len(),
                message,
                suggestion: None,
            }));
        }
        let number = Number::parse(&text[start..split]).map_err(|mut error| {
            error.at = error.at.start + start..error.at.end + start;
            TypedError::Number(error)
        })?;
        let rest = &text[split..];
        if rest.trim_start().starts_with(|c: char| c.is_ascii_digit()) {
            let end = text.len() - rest.trim_start().trim_start_matches(is_digit).len();
            let joined: String = text[start..end].split_whitespace().collect();
            return Err(TypedError::Number(NumberError {
                at: start..end,
                message: format!("`{}` looks like two numbers", &text[start..end]),
                suggestion: Some(joined),
            }));
        }
        let unit = Unit::parse(rest).map_err(|mut error| {
            error.at = error.at.start + split..error.at.end + split;
            TypedError::Unit(error)
        })?;
        Ok(Typed { number, unit })
    }

    /// The value in base units: kg, mol, m, s, K; 5.0 % is 0.05.
    pub fn si(&self) -> f64 {
        self.unit.to_si(self.number.value)
    }
}

fn is_digit(c: char) -> bool {
    c.is_ascii_digit()
}

/// Length of the number at the start of a text: sign, digits, point, commas,
/// exponent, and a stroke with digits behind it (`1/3`).
fn number_length(text: &str) -> usize {
    let sign = text.chars().next().filter(|c| matches!(c, '-' | '+' | '\u{2212}'));
    let mut at = sign.map_or(0, char::len_utf8);
    let run = |from: usize, allowed: &dyn Fn(u8) -> bool| {
        text.as_bytes()[from..].iter().take_while(|b| allowed(**b)).count()
    };
    let body = run(at, &|b| b.is_ascii_digit() || matches!(b, b'.' | b','));
    if body == 0 {
        return 0;
    }
    at += body;
    let rest = &text.as_bytes()[at..];
    if let Some(b'e' | b'E') = rest.first() {
        let signed = 1 + usize::from(matches!(rest.get(1), Some(b'-' | b'+')));
        let digits = run(at + signed, &|b| b.is_ascii_digit());
        if digits > 0 {
            at += signed + digits;
        }
    } else if rest.first() == Some(&b'/') {
        let digits = run(at + 1, &|b| b.is_ascii_digit());
        if digits > 0 {
            at += 1 + digits;
        }
    }
    at
}
