//! How far a result may be trusted, from how far its data were.
//!
//! Takes values with the place of their last significant digit, gives the place
//! of the result's. Common practice: a sum keeps the places of its coarsest term,
//! a product the figures of its poorest factor; exact numbers limit nothing.
//! Never rounds on the way: guard digits are kept to the end.

use super::decimal::Decimal;
use super::rounding::{Rounded, round_figures, round_places, shortest};
use super::{EXACT, Number};

/// The decimal exponent of a value's last significant digit, or exact.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Precision {
    /// Counted or defined, not measured.
    Exact,
    /// -2 for 34.20, 0 for 400, 2 for 1600 known to two figures.
    Place(i32),
}

impl Precision {
    /// What the typed text claims.
    pub fn of(number: &Number) -> Precision {
        number.last_place().map_or(Precision::Exact, Precision::Place)
    }

    /// A computed value known to so many figures.
    pub fn from_figures(value: f64, figures: u32) -> Precision {
        if figures == EXACT {
            return Precision::Exact;
        }
        let figures = i32::try_from(figures.clamp(1, 1000)).unwrap_or(1000);
        Precision::Place(first_place(value).saturating_sub(figures - 1))
    }

    /// Significant figures of `value` at this precision: at least one, `EXACT` if exact.
    pub fn figures(self, value: f64) -> u32 {
        match self {
            Precision::Exact => EXACT,
            Precision::Place(place) => {
                let figures = first_place(value).saturating_sub(place).saturating_add(1);
                u32::try_from(figures).unwrap_or(0).max(1)
            }
        }
    }

    /// The same value in a unit `factor` times smaller, figures kept.
    #[must_use]
    pub fn scaled(self, value: f64, factor: f64) -> Precision {
        match self {
            Precision::Exact => Precision::Exact,
            Precision::Place(_) => Precision::from_figures(value * factor, self.figures(value)),
        }
    }

    /// The coarser of two places; exact yields to the other.
    #[must_use]
    pub fn coarser(self, other: Precision) -> Precision {
        match (self, other) {
            (Precision::Exact, known) | (known, Precision::Exact) => known,
            (Precision::Place(a), Precision::Place(b)) => Precision::Place(a.max(b)),
        }
    }

    /// `value` rounded to this precision; an exact one with the digits it needs.
    pub fn round(self, value: f64) -> Rounded {
        match self {
            Precision::Exact => shortest(value),
            // A value smaller than its own last place still shows one figure.
            Precision::Place(place) if place > first_place(value) => round_figures(value, 1),
            Precision::Place(place) => round_places(value, -place),
        }
    }
}

/// Precision of a sum or difference of terms all in one unit.
pub fn of_sum(terms: &[Precision]) -> Precision {
    terms.iter().fold(Precision::Exact, |coarsest, term| coarsest.coarser(*term))
}

/// Precision of a product or quotient `result` of factors (value and precision each,
/// every value in the unit in which it was typed).
pub fn of_product(result: f64, factors: &[(f64, Precision)]) -> Precision {
    let fewest = factors.iter().map(|(value, p)| p.figures(*value)).min().unwrap_or(EXACT);
    Precision::from_figures(result, fewest)
}

/// The figures needed to write a value exactly (to 12): `sf` in formulas. 400
/// needs one, 0.25 two, a third twelve, zero one; a value that is not finite,
/// more than any.
pub fn figures_needed(value: f64) -> u32 {
    Decimal::from_value(value)
        .map_or(EXACT, |decimal| u32::try_from(decimal.digits.len()).unwrap_or(EXACT))
}

fn first_place(value: f64) -> i32 {
    Decimal::from_value(value).map_or(0, |decimal| decimal.first_place())
}
