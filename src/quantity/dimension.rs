//! What kind of thing a number measures, as exponents of the base quantities.
//!
//! Takes and gives exponents only; knows no unit and no number.

use std::fmt;
use std::ops::{Div, Mul};

/// Exponents of mass, amount of substance, length, time and temperature.
/// All zero means a plain number, as are percentages and ratios.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Dimension {
    pub mass: i8,
    pub amount: i8,
    pub length: i8,
    pub time: i8,
    pub temperature: i8,
}

impl Dimension {
    pub const NONE: Dimension = Dimension::of(0, 0, 0, 0, 0);
    pub const MASS: Dimension = Dimension::of(1, 0, 0, 0, 0);
    pub const AMOUNT: Dimension = Dimension::of(0, 1, 0, 0, 0);
    pub const LENGTH: Dimension = Dimension::of(0, 0, 1, 0, 0);
    pub const AREA: Dimension = Dimension::of(0, 0, 2, 0, 0);
    pub const VOLUME: Dimension = Dimension::of(0, 0, 3, 0, 0);
    pub const TIME: Dimension = Dimension::of(0, 0, 0, 1, 0);
    pub const TEMPERATURE: Dimension = Dimension::of(0, 0, 0, 0, 1);
    pub const PRESSURE: Dimension = Dimension::of(1, 0, -1, -2, 0);

    const fn of(mass: i8, amount: i8, length: i8, time: i8, temperature: i8) -> Self {
        Dimension { mass, amount, length, time, temperature }
    }

    /// Is it a plain number?
    pub fn is_none(self) -> bool {
        self == Dimension::NONE
    }

    /// The dimension of a whole power. Exponents past the range of `i8` stop at its end.
    #[must_use]
    pub fn powi(self, power: i8) -> Dimension {
        self.each(|exponent| exponent.saturating_mul(power))
    }

    /// The dimension of a square root, if every exponent is even.
    pub fn sqrt(self) -> Option<Dimension> {
        self.exponents().iter().all(|e| e % 2 == 0).then(|| self.each(|e| e / 2))
    }

    fn each(self, change: impl Fn(i8) -> i8) -> Dimension {
        let [mass, amount, length, time, temperature] = self.exponents().map(change);
        Dimension { mass, amount, length, time, temperature }
    }

    fn exponents(self) -> [i8; 5] {
        [self.mass, self.amount, self.length, self.time, self.temperature]
    }

    fn join(self, other: Dimension, with: impl Fn(i8, i8) -> i8) -> Dimension {
        Dimension {
            mass: with(self.mass, other.mass),
            amount: with(self.amount, other.amount),
            length: with(self.length, other.length),
            time: with(self.time, other.time),
            temperature: with(self.temperature, other.temperature),
        }
    }

    /// The dimension in a teacher's words with its article: "a mass",
    /// "a mass per time", "a plain number".
    pub fn words(self) -> String {
        if self.is_none() {
            return "a plain number".to_owned();
        }
        if self == Dimension::PRESSURE {
            return "a pressure".to_owned();
        }
        let length = match self.length.unsigned_abs() {
            2 => ("area", 1),
            3 => ("volume", 1),
            n => ("length", n),
        };
        let bases = [
            ("mass", self.mass, self.mass.unsigned_abs()),
            ("amount of substance", self.amount, self.amount.unsigned_abs()),
            (length.0, self.length, length.1),
            ("time", self.time, self.time.unsigned_abs()),
            ("temperature", self.temperature, self.temperature.unsigned_abs()),
        ];
        let side = |positive: bool| -> String {
            let parts: Vec<String> = bases
                .iter()
                .filter(|(_, sign, times)| *times > 0 && (*sign > 0) == positive && *sign != 0)
                .map(|(word, _, times)| match times {
                    1 => (*word).to_owned(),
                    2 => format!("{word} squared"),
                    n => format!("{word} to the power {n}"),
                })
                .collect();
            parts.join(" times ")
        };
        let (above, below) = (side(true), side(false));
        let above = if above.is_empty() { "number" } else { &above };
        let article = if above.starts_with('a') { "an" } else { "a" };
        if below.is_empty() {
            format!("{article} {above}")
        } else {
            format!("{article} {above} per {below}")
        }
    }
}

impl Mul for Dimension {
    type Output = Dimension;

    fn mul(self, other: Dimension) -> Dimension {
        self.join(other, i8::saturating_add)
    }
}

impl Div for Dimension {
    type Output = Dimension;

    fn div(self, other: Dimension) -> Dimension {
        self.join(other, i8::saturating_sub)
    }
}

impl fmt::Display for Dimension {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.words())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dimensions_are_said_in_plain_words() {
        let flow = Dimension::MASS / Dimension::TIME;
        let density = Dimension::MASS / Dimension::VOLUME;
        for (dimension, words) in [
            (Dimension::NONE, "a plain number"),
            (Dimension::MASS, "a mass"),
            (Dimension::AMOUNT, "an amount of substance"),
            (Dimension::AREA, "an area"),
            (Dimension::PRESSURE, "a pressure"),
            (flow, "a mass per time"),
            (density, "a mass per volume"),
            (density / Dimension::TIME, "a mass per volume times time"),
            (Dimension::NONE / Dimension::TIME, "a number per time"),
            (Dimension::MASS * Dimension::MASS, "a mass squared"),
        ] {
            assert_eq!(dimension.words(), words);
        }
    }

    #[test]
    fn powers_and_roots_undo_each_other() {
        let squared = Dimension::PRESSURE.powi(2);
        assert_eq!(squared.sqrt(), Some(Dimension::PRESSURE));
        assert_eq!(Dimension::MASS.sqrt(), None);
        assert_eq!(Dimension::MASS.powi(100).powi(100).mass, i8::MAX);
    }
}
