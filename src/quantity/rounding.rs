//! Rounding to significant figures or to decimal places, on the decimal digits.
//!
//! Takes a typed text or a computed value, gives the digits to print, the value
//! they stand for and the place of the last one. Rounds in one step. Rules:
//! ISO 80000-1:2009 annex B; ties go away from zero (rule B) unless asked.

use super::decimal::Decimal;
pub use super::decimal::{TRUSTED_DIGITS, Ties};

/// A rounded number.
#[derive(Debug, Clone, PartialEq)]
pub struct Rounded {
    /// Plain digits with an ASCII minus sign and every kept zero: `0.0500`, `1600`.
    pub digits: String,
    pub value: f64,
    /// Decimal exponent of the last significant digit: -2 for 1.00, 2 for 1600
    /// rounded to two figures.
    pub last_place: i32,
}

impl Rounded {
    fn of(decimal: &Decimal) -> Rounded {
        Rounded {
            digits: decimal.plain_text(),
            // The largest numbers may round to more than a number can hold.
            value: decimal.value().clamp(f64::MIN, f64::MAX),
            last_place: decimal.last_place,
        }
    }

    /// What a value that is no number prints as; checks upstream refuse it first.
    fn not_a_number(value: f64) -> Rounded {
        Rounded { digits: "?".to_owned(), value, last_place: 0 }
    }

    /// Significant figures shown, counted from the first digit that is not zero.
    pub fn figures(&self) -> u32 {
        let places = usize::try_from(self.last_place).unwrap_or(0);
        let digits = self.digits.bytes().filter(u8::is_ascii_digit);
        let shown = digits.skip_while(|d| *d == b'0').count().saturating_sub(places);
        u32::try_from(shown).unwrap_or(u32::MAX).max(1)
    }
}

/// A computed value to `figures` significant figures (at least one).
pub fn round_figures(value: f64, figures: u32) -> Rounded {
    round_figures_by(value, figures, Ties::default())
}

/// A computed value to `places` decimal places; -1 rounds to tens.
pub fn round_places(value: f64, places: i32) -> Rounded {
    round_places_by(value, places, Ties::default())
}

/// `round_figures` with the tie rule named.
pub fn round_figures_by(value: f64, figures: u32, ties: Ties) -> Rounded {
    let Some(decimal) = Decimal::from_value(value) else { return Rounded::not_a_number(value) };
    Rounded::of(&decimal.to_figures(figures.min(MOST_PLACES.unsigned_abs()), ties))
}

/// `round_places` with the tie rule named.
pub fn round_places_by(value: f64, places: i32, ties: Ties) -> Rounded {
    let Some(decimal) = Decimal::from_value(value) else { return Rounded::not_a_number(value) };
    Rounded::of(&decimal.to_place(-places.clamp(-MOST_PLACES, MOST_PLACES), ties))
}

/// A typed number to `figures` significant figures; none if it is no number.
pub fn round_text_figures(text: &str, figures: u32, ties: Ties) -> Option<Rounded> {
    let decimal = Decimal::from_text(text)?;
    Some(Rounded::of(&decimal.to_figures(figures.min(MOST_PLACES.unsigned_abs()), ties)))
}

/// A typed number to `places` decimal places; none if it is no number.
pub fn round_text_places(text: &str, places: i32, ties: Ties) -> Option<Rounded> {
    let decimal = Decimal::from_text(text)?;
    Some(Rounded::of(&decimal.to_place(-places.clamp(-MOST_PLACES, MOST_PLACES), ties)))
}

/// A computed value with the fewest digits that say it (to 12 figures): `0.25`,
/// `400`, `0.333333333333`.
pub fn shortest(value: f64) -> Rounded {
    match Decimal::from_value(value) {
        Some(decimal) => Rounded::of(&decimal.to_place(decimal.last_place.min(0), Ties::default())),
        None => Rounded::not_a_number(value),
    }
}

/// More places than this are never meant and only cost memory.
const MOST_PLACES: i32 = 400;
