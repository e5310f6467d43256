//! Decimal digits: numbers as people write them, rounded on the digits.
//!
//! Takes number text or a computed `f64` (read to 12 significant digits, so that
//! binary noise past them never decides a tie), gives digits and an exponent.
//! Covers the whole range of `f64`; never does arithmetic.

/// Digits to which a computed value is trusted.
pub const TRUSTED_DIGITS: usize = 12;

/// Which way a number exactly half way goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Ties {
    /// Away from zero: 2.5 gives 3 (ISO 80000-1 rule B, common in schools).
    #[default]
    AwayFromZero,
    /// To the even digit: 2.5 gives 2 (ISO 80000-1 rule A).
    ToEven,
}

/// `digits` × 10^`last_place`, with its sign. No leading zeros; zero has one digit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Decimal {
    pub(super) negative: bool,
    /// Values 0 to 9, never empty.
    pub(super) digits: Vec<u8>,
    /// Decimal exponent of the last digit.
    pub(super) last_place: i32,
}

impl Decimal {
    /// From `-12.50e3`; none if it is no plain decimal number.
    pub(super) fn from_text(text: &str) -> Option<Decimal> {
        let text = text.trim();
        let (negative, text) = match text.strip_prefix(['-', '\u{2212}']) {
            Some(rest) => (true, rest),
            None => (false, text.strip_prefix('+').unwrap_or(text)),
        };
        let (mantissa, exponent) = match text.split_once(['e', 'E']) {
            Some((mantissa, exponent)) => (mantissa, exponent.parse::<i32>().ok()?),
            None => (text, 0),
        };
        if exponent.unsigned_abs() > 100_000 {
            return None;
        }
        let (whole, fraction) = mantissa.split_once('.').unwrap_or((mantissa, ""));
        let all: Vec<u8> = whole.bytes().chain(fraction.bytes()).collect();
        if all.is_empty() || !all.iter().all(u8::is_ascii_digit) {
            return None;
        }
        let places = i32::try_from(fraction.len()).ok()?;
        let digits = all.iter().map(|d| d - b'0').collect();
        Some(Decimal { negative, digits, last_place: exponent - places }.trimmed())
    }

    /// A computed value to its trusted digits; none if it is not finite.
    pub(super) fn from_value(value: f64) -> Option<Decimal> {
        if !value.is_finite() {
            return None;
        }
        let mut decimal = Decimal::from_text(&format!("{value:.*e}", TRUSTED_DIGITS - 1))?;
        while decimal.digits.len() > 1 && decimal.digits.last() == Some(&0) {
            decimal.digits.pop();
            decimal.last_place += 1;
        }
        if decimal.is_zero() {
            decimal.last_place = 0;
        }
        Some(decimal)
    }

    fn trimmed(mut self) -> Decimal {
        let zeros = self.digits.iter().take_while(|d| **d == 0).count();
        self.digits.drain(..zeros.min(self.digits.len() - 1));
        self
    }

    pub(super) fn is_zero(&self) -> bool {
        self.digits.iter().all(|d| *d == 0)
    }

    /// Decimal exponent of the first digit that is not zero; for zero, of its only digit.
    pub(super) fn first_place(&self) -> i32 {
        self.last_place + i32::try_from(self.digits.len()).unwrap_or(i32::MAX) - 1
    }

    /// Rounded (or filled with zeros) so that its last digit stands at 10^`place`.
    pub(super) fn to_place(&self, place: i32, ties: Ties) -> Decimal {
        if place <= self.last_place {
            let missing = usize::try_from(self.last_place.saturating_sub(place)).unwrap_or(0);
            let mut digits = self.digits.clone();
            if !self.is_zero() {
                digits.extend(std::iter::repeat_n(0, missing));
            }
            return Decimal { negative: self.negative, digits, last_place: place };
        }
        let dropped = usize::try_from(place.saturating_sub(self.last_place)).unwrap_or(usize::MAX);
        let kept = self.digits.len().saturating_sub(dropped);
        let mut digits = self.digits[..kept].to_vec();
        // What is dropped stands against one half: its first digit counts only if
        // it stands directly behind the last kept one.
        let tail = &self.digits[kept..];
        let half = if tail.len() < dropped {
            std::cmp::Ordering::Less
        } else {
            let more = tail[1..].iter().any(|d| *d > 0);
            tail[0].cmp(&5).then(if more {
                std::cmp::Ordering::Greater
            } else {
                std::cmp::Ordering::Equal
            })
        };
        let odd = digits.last().is_some_and(|d| d % 2 == 1);
        let up = match half {
            std::cmp::Ordering::Greater => true,
            std::cmp::Ordering::Equal => ties == Ties::AwayFromZero || odd,
            std::cmp::Ordering::Less => false,
        };
        if up {
            let nines = digits.iter().rev().take_while(|d| **d == 9).count();
            let from = digits.len() - nines;
            digits[from..].fill(0);
            match from.checked_sub(1) {
                Some(last) => digits[last] += 1,
                None => digits.insert(0, 1),
            }
        }
        if digits.is_empty() {
            digits.push(0);
        }
        Decimal { negative: self.negative, digits, last_place: place }.trimmed()
    }

    /// Rounded (or filled) to so many significant figures, at least one. Zero has
    /// none to show and stays one digit.
    pub(super) fn to_figures(&self, figures: u32, ties: Ties) -> Decimal {
        if self.is_zero() {
            return self.to_place(0, ties);
        }
        let figures = i32::try_from(figures.max(1)).unwrap_or(i32::MAX);
        let place = self.first_place().saturating_sub(figures - 1);
        let rounded = self.to_place(place, ties);
        // 0.99951 to three figures carries into a new first digit: one zero goes.
        if !rounded.is_zero() && rounded.first_place() > self.first_place() {
            return rounded.to_place(place + 1, ties);
        }
        rounded
    }

    /// In plain digits with every place written: `0.0500`, `1600`, `-3`. A minus
    /// sign before zero is dropped.
    pub(super) fn plain_text(&self) -> String {
        let mut text = String::new();
        if self.negative && !self.is_zero() {
            text.push('-');
        }
        let digit = |d: u8| char::from(b'0' + d);
        if self.last_place >= 0 {
            text.extend(self.digits.iter().map(|d| digit(*d)));
            if !self.is_zero() {
                let zeros = usize::try_from(self.last_place).unwrap_or(0);
                text.extend(std::iter::repeat_n('0', zeros));
            }
            return text;
        }
        let places = usize::try_from(self.last_place.unsigned_abs()).unwrap_or(0);
        let whole = self.digits.len().saturating_sub(places);
        if whole == 0 {
            text.push('0');
        }
        text.extend(self.digits[..whole].iter().map(|d| digit(*d)));
        text.push('.');
        text.extend(std::iter::repeat_n('0', places - (self.digits.len() - whole)));
        text.extend(self.digits[whole..].iter().map(|d| digit(*d)));
        text
    }

    /// The nearest `f64`.
    pub(super) fn value(&self) -> f64 {
        let digits: String = self.digits.iter().map(|d| char::from(b'0' + d)).collect();
        let sign = if self.negative && !self.is_zero() { "-" } else { "" };
        // Digits and an exponent always parse; past the range they give infinity or zero.
        format!("{sign}{digits}e{}", self.last_place).parse().unwrap_or(f64::NAN)
    }
}
