//! Ranges of numbers as a teacher writes them: `200 to 800, step 50`.
//!
//! Takes typed numbers, gives every number of the range as it would be typed,
//! computed in decimal so that `4, step 0.1` never shows a stray digit. Holds no
//! list: a number is made when asked for.

use std::fmt;

use super::Number;
use super::decimal::Decimal;

/// Evenly spaced numbers from a first to a last, both included.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NumberRange {
    /// In units of 10^-places.
    from: i128,
    step: i128,
    places: u32,
    count: u64,
}

/// Why three numbers make no range.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RangeError {
    /// A fraction such as 1/3, which has no last digit.
    Fraction,
    /// The step is zero or below.
    StepNotPositive,
    /// The first number is larger than the last.
    Backwards,
    /// No whole number of steps leads from the first to the last; the two numbers
    /// are the last that is reached and the one after it.
    StepDoesNotFit { reached: String, past: String },
    /// The numbers differ by more digits than can be counted.
    TooWide,
}

impl fmt::Display for RangeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            RangeError::Fraction => f.write_str("a range is made of decimal numbers"),
            RangeError::StepNotPositive => f.write_str("the step must be above zero"),
            RangeError::Backwards => f.write_str("the range runs backwards"),
            RangeError::StepDoesNotFit { reached, past } => {
                write!(f, "the step leads to {reached} and then past the end to {past}")
            }
            RangeError::TooWide => f.write_str("the range has too many numbers to count"),
        }
    }
}

impl std::error::Error for RangeError {}

impl NumberRange {
    /// The numbers `from`, `from + step`, ... `to`. All are written with as many
    /// decimal places as the most precise of the three.
    ///
    /// # Errors
    /// Where the three make no range.
    pub fn new(from: &Number, to: &Number, step: &Number) -> Result<NumberRange, RangeError> {
        let decimal = |n: &Number| Decimal::from_text(&n.text).ok_or(RangeError::Fraction);
        let (first, last, by) = (decimal(from)?, decimal(to)?, decimal(step)?);
        let place = first.last_place.min(last.last_place).min(by.last_place).min(0);
        let places = place.unsigned_abs();
        let whole = |d: &Decimal| whole_at(d, place).ok_or(RangeError::TooWide);
        let (first, last, by) = (whole(&first)?, whole(&last)?, whole(&by)?);
        if by <= 0 {
            return Err(RangeError::StepNotPositive);
        }
        if first > last {
            return Err(RangeError::Backwards);
        }
        let width = last - first;
        let steps = width / by;
        if width % by != 0 {
            let reached = first + steps * by;
            return Err(RangeError::StepDoesNotFit {
                reached: text_at(reached, places),
                past: text_at(reached + by, places),
            });
        }
        let count = u64::try_from(steps).ok().and_then(|s| s.checked_add(1));
        Ok(NumberRange { from: first, step: by, places, count: count.ok_or(RangeError::TooWide)? })
    }

    /// How many numbers it holds; never zero.
    pub fn count(&self) -> u64 {
        self.count
    }

    /// The number at `index` from 0, as it would be typed.
    pub fn number(&self, index: u64) -> Option<Number> {
        if index >= self.count {
            return None;
        }
        let text = text_at(self.from + i128::from(index) * self.step, self.places);
        Number::parse(&text).ok()
    }
}

/// A decimal counted in units of 10^`place`, if it is not beyond 30 digits (which
/// leaves room to add and multiply).
fn whole_at(decimal: &Decimal, place: i32) -> Option<i128> {
    let zeros = usize::try_from(decimal.last_place.checked_sub(place)?).ok()?;
    if decimal.is_zero() {
        return Some(0);
    }
    if decimal.digits.len() + zeros > 30 {
        return None;
    }
    let digits = decimal.digits.iter().copied().chain(std::iter::repeat_n(0, zeros));
    let size = digits.fold(0i128, |sum, digit| sum * 10 + i128::from(digit));
    Some(if decimal.negative { -size } else { size })
}

fn text_at(units: i128, places: u32) -> String {
    let places = usize::try_from(places).unwrap_or(0);
    let digits = format!("{:0>width$}", units.unsigned_abs(), width = places + 1);
    let (whole, fraction) = digits.split_at(digits.len() - places);
    let sign = if units < 0 { "-" } else { "" };
    if fraction.is_empty() { format!("{sign}{whole}") } else { format!("{sign}{whole}.{fraction}") }
}
