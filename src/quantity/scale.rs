//! Scales at steps of 1, 2 or 5: of a graph's axis, and of what can be read from it.
//!
//! Takes the ends of the data; gives a scale that holds them. Never more than six
//! numbers at it (seven where values are read, for a finer grid), none between steps.

/// The most steps along an axis.
const STEPS: usize = 5;
/// The same where values are read.
const READING_STEPS: usize = 6;

/// From where to where, and by which steps.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    pub from: f64,
    pub to: f64,
    pub step: f64,
    /// Decimal places of the numbers at its steps.
    places: usize,
}

impl Scale {
    /// The finest scale of few steps that holds both ends. It begins at nought where
    /// that costs less than half of its length.
    pub fn over(least: f64, most: f64, nought: bool) -> Option<Scale> {
        Scale::of(least, most, nought, STEPS)
    }

    /// The same for a grid that is read from.
    pub fn to_read(least: f64, most: f64, nought: bool) -> Option<Scale> {
        Scale::of(least, most, nought, READING_STEPS)
    }

    fn of(least: f64, most: f64, nought: bool, steps: usize) -> Option<Scale> {
        let steps = steps as f64;
        if !(least.is_finite() && most.is_finite()) || least > most {
            return None;
        }
        let low = if least > 0.0 && (nought || least < 0.5 * most) { 0.0 } else { least };
        let high = if nought { most.max(0.0) } else { most };
        let low = if nought { low.min(0.0) } else { low };
        let span = if high > low { high - low } else { low.abs().max(1.0) };
        let high = low + span;
        // A span beyond what numbers can tell apart has no steps.
        let first = (span / steps).log10().floor() as i32 - 1;
        for tens in first..first + 4 {
            for digit in [1, 2, 5] {
                let step = f64::from(digit) * 10f64.powi(tens);
                let first = (low / step + 1e-9).floor();
                let last = (high / step - 1e-9).ceil();
                if last - first <= steps && last > first {
                    let places = usize::try_from(-tens).unwrap_or(0);
                    return Some(Scale { from: first * step, to: last * step, step, places });
                }
            }
        }
        None
    }

    /// The numbers at its steps, from the first to the last.
    pub fn numbers(&self) -> Vec<f64> {
        (0..=self.steps()).map(|index| self.from + index as f64 * self.step).collect()
    }

    pub fn steps(&self) -> usize {
        ((self.to - self.from) / self.step).round() as usize
    }

    /// A number as it stands at the axis.
    pub fn written(&self, number: f64) -> String {
        let written = format!("{number:.*}", self.places);
        match written.strip_prefix('-') {
            // A nought that rounding left with a sign has none.
            Some(rest) if rest.chars().all(|c| matches!(c, '0' | '.')) => rest.to_owned(),
            Some(rest) => format!("\u{2212}{rest}"),
            None => written,
        }
    }

    /// How far along the scale a number stands, nought to one.
    pub fn share(&self, number: f64) -> f64 {
        (number - self.from) / (self.to - self.from)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn scale(least: f64, most: f64) -> (f64, f64, f64) {
        let found = Scale::over(least, most, false).unwrap();
        (found.from, found.to, found.step)
    }

    #[test]
    fn steps_are_one_two_or_five_and_at_most_five() {
        // Worked by hand: the finest such step that needs no more than five.
        assert_eq!(scale(0.0, 80.0), (0.0, 80.0, 20.0));
        assert_eq!(scale(0.0, 100.0), (0.0, 100.0, 20.0));
        assert_eq!(scale(0.0, 101.0), (0.0, 150.0, 50.0));
        assert_eq!(scale(28.0, 51.3), (20.0, 60.0, 10.0));
        assert_eq!(scale(20.0, 51.3), (0.0, 60.0, 20.0));
        assert_eq!(scale(-20.0, 120.0), (-50.0, 150.0, 50.0));
        let read = Scale::to_read(0.0, 110.0, true).unwrap();
        assert_eq!((read.to, read.step), (120.0, 20.0));
        assert_eq!(scale(7.0, 7.0), (6.0, 14.0, 2.0));
        assert_eq!(Scale::over(f64::NAN, 1.0, false), None);
        assert_eq!(Scale::over(0.0, f64::INFINITY, false), None);
    }

    #[test]
    fn numbers_have_the_places_of_their_step() {
        let fine = Scale::over(0.0, 0.5, false).unwrap();
        let written: Vec<String> = fine.numbers().iter().map(|n| fine.written(*n)).collect();
        assert_eq!(written, ["0.0", "0.1", "0.2", "0.3", "0.4", "0.5"]);
        let cold = Scale::over(-20.0, 20.0, false).unwrap();
        let written: Vec<String> = cold.numbers().iter().map(|n| cold.written(*n)).collect();
        assert_eq!(written, ["−20", "−10", "0", "10", "20"]);
    }

    #[test]
    fn bars_begin_at_nought() {
        let found = Scale::over(40.0, 50.0, true).unwrap();
        assert_eq!((found.from, found.to), (0.0, 50.0));
    }
}
