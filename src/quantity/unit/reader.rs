//! Unit text read from left to right.
//!
//! Takes text, gives symbols with their powers, or the part that is no unit. In
//! formulas, finds how far a unit reaches. Knows the grammar; what symbols there
//! are, `symbols` knows.

use super::symbols::{Symbol, nearest_symbol, symbol};
use super::{Part, Per, Unit, UnitError};
use crate::quantity::print::from_superscript;

/// Powers past this are a slip, not a unit.
const HIGHEST_POWER: u32 = 9;

/// The parts of a unit; none for empty text.
pub(super) fn parts(text: &str) -> Result<Vec<Part>, UnitError> {
    let mut reader = Reader { text, at: 0, parts: Vec::new() };
    reader.unit()?;
    Ok(reader.parts)
}

impl Unit {
    /// The longest unit at the start of `text` as formulas want it, with its
    /// length in bytes: quotients are written without blanks (`kg/h`) or with
    /// `per`, and a product only in brackets under a stroke.
    pub(in crate::quantity) fn at_start_of(text: &str) -> Option<(Unit, usize)> {
        let mut end = spelling_length(text);
        if end == 0 {
            return None;
        }
        end += power_length(&text[end..]);
        if continues_a_name(&text[end..]) {
            return None;
        }
        let mut unit = Unit::parse(&text[..end]).ok().filter(|u| !u.is_none())?;
        loop {
            let rest = &text[end..];
            let under = if rest.starts_with('/') {
                1
            } else {
                let blank = blank_length(rest);
                match rest[blank..].strip_prefix("per") {
                    Some(after) if blank > 0 && blank_length(after) > 0 => {
                        blank + 3 + blank_length(after)
                    }
                    _ => break,
                }
            };
            let Some(length) = denominator_length(&rest[under..]) else { break };
            let next = end + under + length;
            if continues_a_name(&text[next..]) {
                break;
            }
            let Ok(longer) = Unit::parse(&text[..next]) else { break };
            (unit, end) = (longer, next);
        }
        Some((unit, end))
    }
}

/// Reads a text from left to right.
struct Reader<'a> {
    text: &'a str,
    at: usize,
    parts: Vec<Part>,
}

impl<'a> Reader<'a> {
    fn rest(&self) -> &'a str {
        &self.text[self.at..]
    }

    fn skip_blanks(&mut self) {
        self.at += blank_length(self.rest());
    }

    fn take(&mut self, word: &str) -> bool {
        let found = self.rest().starts_with(word);
        if found {
            self.at += word.len();
        }
        found
    }

    fn fault(&self, length: usize, message: impl Into<String>) -> UnitError {
        let end = (self.at + length).min(self.text.len());
        UnitError { at: self.at..end, message: message.into(), suggestion: None }
    }

    fn unit(&mut self) -> Result<(), UnitError> {
        self.skip_blanks();
        if self.rest().is_empty() {
            return Ok(());
        }
        // A rate of plain numbers: 1/h.
        if self.rest().starts_with("1/") {
            self.at += 1;
        } else {
            self.product(1)?;
        }
        loop {
            self.skip_blanks();
            let start = self.at;
            if self.rest().is_empty() {
                return Ok(());
            }
            if self.take("/") || self.take_per() {
                self.skip_blanks();
                self.denominator()?;
                continue;
            }
            self.at = start;
            let word = word_length(self.rest());
            let below = self.parts.iter().any(|p| p.power < 0);
            if below && symbol(&self.rest()[..spelling_length(self.rest())]).is_some() {
                return Err(self.fault(
                    word,
                    "after a stroke, several units stand in brackets, as in kg/(m2 h)",
                ));
            }
            let found = self.rest()[..word].to_owned();
            return Err(self.fault(word, format!("`{found}` does not belong in a unit")));
        }
    }

    fn take_per(&mut self) -> bool {
        let rest = self.rest();
        let found = rest.strip_prefix("per").is_some_and(|after| blank_length(after) > 0);
        if found {
            self.at += 3;
        }
        found
    }

    /// One symbol or several with blanks or dots between.
    fn product(&mut self, sign: i32) -> Result<(), UnitError> {
        self.factor(sign, None)?;
        loop {
            let start = self.at;
            self.skip_blanks();
            let dotted = self.take("·") || self.take("*") || self.take("×");
            self.skip_blanks();
            let rest = self.rest();
            let word = &rest[..spelling_length(rest)];
            if !dotted && (symbol(word).is_none() || word == "per") {
                self.at = start;
                return Ok(());
            }
            self.factor(sign, None)?;
        }
    }

    fn denominator(&mut self) -> Result<(), UnitError> {
        if self.take("(") {
            self.skip_blanks();
            self.product(-1)?;
            self.skip_blanks();
            if !self.take(")") {
                return Err(self.fault(1, "a bracket in the unit is not closed"));
            }
            return Ok(());
        }
        let digits = self.rest().bytes().take_while(u8::is_ascii_digit).count();
        if digits == 0 {
            return self.factor(-1, None);
        }
        let number = match self.rest()[..digits].parse::<u32>() {
            Ok(number) if number > 0 => number,
            _ => {
                return Err(
                    self.fault(digits, "the number under the stroke must be whole, such as 100")
                );
            }
        };
        self.at += digits;
        self.skip_blanks();
        let per = if number == 1 { None } else { Some(Per { number, of: None }) };
        self.factor(-1, per)?;
        let start = self.at;
        self.skip_blanks();
        let of = ["water", "solvent"].into_iter().find(|word| {
            self.rest().strip_prefix(word).is_some_and(|after| !continues_a_name(after))
        });
        match (of, self.parts.last_mut().and_then(|p| p.per.as_mut())) {
            (Some(word), Some(per)) => {
                per.of = Some(word);
                self.at += word.len();
            }
            _ => self.at = start,
        }
        Ok(())
    }

    fn factor(&mut self, sign: i32, per: Option<Per>) -> Result<(), UnitError> {
        let length = spelling_length(self.rest());
        let spelling = &self.rest()[..length];
        let Some(found) = symbol(spelling).or_else(|| spaced(spelling)) else {
            let length = word_length(self.rest());
            let word = &self.rest()[..length];
            if word.is_empty() {
                return Err(self.fault(0, "a unit is missing"));
            }
            let mut error = self.fault(length, format!("`{word}` is not a unit"));
            error.suggestion = nearest_symbol(word)
                .or_else(|| nearest_symbol(spelling).filter(|_| !spelling.is_empty()))
                .map(str::to_owned);
            return Err(error);
        };
        self.at += length;
        let digits = power_length(self.rest());
        let written = &self.rest()[..digits];
        let power = read_power(written);
        let bare = written.starts_with(|c: char| c.is_ascii_digit());
        let allowed = match power {
            Some(1) => true,
            Some(_) => found.powers || (!bare && found.offset == 0.0 && found.factor != 0.01),
            None => false,
        };
        let Some(power) = power.filter(|_| allowed) else {
            return Err(
                self.fault(digits, format!("`{}` cannot carry the power `{written}`", found.text))
            );
        };
        self.at += digits;
        self.parts.push(Part { symbol: found, power: sign * power, per });
        Ok(())
    }
}

/// Spellings with a blank inside, which `spelling_length` keeps together.
fn spaced(spelling: &str) -> Option<&'static Symbol> {
    let joined: String = spelling.chars().filter(|c| !c.is_whitespace()).collect();
    match joined.as_str() {
        "percent" | "degC" | "degF" | "mmHg" | "°C" | "°F" | "mol%" => symbol(&joined),
        _ => None,
    }
}

/// Length of the symbol at the start: letters, a degree sign, a percent sign.
fn spelling_length(text: &str) -> usize {
    for known in ["per cent", "deg C", "deg F", "mm Hg", "° C", "° F", "mol %"] {
        if text.strip_prefix(known).is_some_and(|after| !continues_a_name(after)) {
            return known.len();
        }
    }
    if text.starts_with('%') {
        return 1;
    }
    let letters = text
        .char_indices()
        .find(|(_, c)| !(c.is_alphabetic() || matches!(c, '°' | 'µ' | '℃' | '℉' | 'º')))
        .map_or(text.len(), |(i, _)| i);
    letters + usize::from(letters > 0 && text[letters..].starts_with('%'))
}

/// Length of the power at the start: `3`, `^3`, `^-2`, `³`, `⁻²`.
fn power_length(text: &str) -> usize {
    let sign = if let Some(after) = text.strip_prefix('^') {
        1 + usize::from(after.starts_with('-'))
    } else {
        0
    };
    let digits = text[sign..].bytes().take_while(u8::is_ascii_digit).count();
    if digits > 0 {
        return sign + digits;
    }
    text.char_indices().find(|(_, c)| from_superscript(*c).is_none()).map_or(text.len(), |(i, _)| i)
}

fn read_power(text: &str) -> Option<i32> {
    if text.is_empty() {
        return Some(1);
    }
    let plain: String = text
        .strip_prefix('^')
        .unwrap_or(text)
        .chars()
        .map(|c| from_superscript(c).unwrap_or(c))
        .collect();
    let power: i32 = plain.parse().ok()?;
    (power != 0 && power.unsigned_abs() <= HIGHEST_POWER).then_some(power)
}

/// Length of what may stand under a stroke in a formula.
fn denominator_length(text: &str) -> Option<usize> {
    if text.starts_with('(') {
        return text.find(')').map(|end| end + 1);
    }
    let digits = text.bytes().take_while(u8::is_ascii_digit).count();
    let mut at = digits;
    if digits > 0 {
        let blank = blank_length(&text[at..]);
        at += blank;
    }
    let spelling = spelling_length(&text[at..]);
    if spelling == 0 {
        return None;
    }
    at += spelling;
    at += power_length(&text[at..]);
    if digits > 0 {
        let blank = blank_length(&text[at..]);
        for word in ["water", "solvent"] {
            if blank > 0 && text[at + blank..].starts_with(word) {
                return Some(at + blank + word.len());
            }
        }
    }
    Some(at)
}

fn continues_a_name(text: &str) -> bool {
    text.starts_with(|c: char| c.is_alphanumeric() || c == '_')
}

fn blank_length(text: &str) -> usize {
    text.find(|c: char| !c.is_whitespace()).unwrap_or(text.len())
}

/// Length of the word at the start, for pointing at what is wrong.
fn word_length(text: &str) -> usize {
    let end = text
        .char_indices()
        .find(|(_, c)| c.is_whitespace() || matches!(c, '/' | '(' | ')' | '*' | '·' | ','))
        .map_or(text.len(), |(i, _)| i);
    if end > 0 { end } else { text.chars().next().map_or(0, char::len_utf8) }
}
