//! Where keys stand among the options of one version.
//!
//! Positions are drawn; these are loose guards against what a class would notice, and
//! never make counts even, which would tell a learner where the last key must be.

/// No more keys in a row at one place.
const RUN: usize = 3;
/// From so many choices on no place holds more than half of the keys.
const MANY: usize = 8;
/// No pattern that repeats after so few choices.
const PERIOD: usize = 5;

#[derive(Debug)]
pub(super) struct Positions {
    /// How many choices the version has.
    count: usize,
    taken: Vec<usize>,
}

impl Positions {
    pub(super) fn of(count: usize) -> Positions {
        Positions { count, taken: Vec::new() }
    }

    /// Whether the next key may stand here.
    pub(super) fn allows(&self, place: usize) -> bool {
        let mut then = self.taken.clone();
        then.push(place);
        let run = then.iter().rev().take_while(|p| **p == place).count();
        let here = then.iter().filter(|p| **p == place).count();
        run <= RUN && (self.count < MANY || 2 * here <= self.count) && !has_period(&then)
    }

    pub(super) fn take(&mut self, place: usize) {
        self.taken.push(place);
    }
}

/// Whether a sequence of some length only repeats its first few members.
fn has_period(places: &[usize]) -> bool {
    places.len() >= MANY
        && (1..=PERIOD)
            .filter(|period| 2 * period <= places.len())
            .any(|period| (period..places.len()).all(|i| places[i] == places[i - period]))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn after(count: usize, taken: &[usize]) -> Positions {
        Positions { count, taken: taken.to_vec() }
    }

    #[test]
    fn a_fourth_key_in_a_row_is_refused() {
        assert!(after(5, &[2, 2]).allows(2));
        assert!(!after(5, &[2, 2, 2]).allows(2));
        assert!(after(5, &[2, 2, 2]).allows(0));
    }

    #[test]
    fn a_place_holds_at_most_half_of_eight() {
        let four = [1, 1, 0, 1, 2, 1];
        assert!(!after(8, &four).allows(1));
        // Of few choices it may hold more.
        assert!(after(7, &four).allows(1));
    }

    #[test]
    fn a_pattern_is_refused_and_its_break_is_not() {
        let abcd = [0, 1, 2, 3, 0, 1, 2];
        assert!(!after(12, &abcd).allows(3));
        assert!(after(12, &abcd).allows(1));
    }
}
