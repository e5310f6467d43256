//! The values of each version of a question, drawn without repetition.
//!
//! Takes the choices of each value and a test, gives for version v the v-th
//! combination that passes, in an order that depends on seed, unit and question
//! only. So version C is the same printed alone or among twelve, and no two
//! versions are alike. Never holds more than one number a version.

use super::order::Order;
use super::stream::{Key, Stream};
use crate::quantity::{Number, NumberRange};

/// Combinations refused one after another before a search is given up.
pub const PATIENCE: u64 = 200_000;

/// What one value may be.
#[derive(Debug, Clone, PartialEq)]
pub enum Axis {
    Range(NumberRange),
    List(Vec<Number>),
    Words(Vec<String>),
}

/// One of an axis.
#[derive(Debug, Clone, PartialEq)]
pub enum Choice {
    Number(Number),
    Word(String),
}

/// Why a list offers no choice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AxisError {
    Empty,
    /// Two entries mean the same; their places from 0.
    Repeated {
        first: usize,
        again: usize,
    },
}

impl Axis {
    /// A list of numbers, all in one unit.
    ///
    /// # Errors
    /// An empty list, or one with a number twice (`5` and `5.0` are one number).
    pub fn list(numbers: Vec<Number>) -> Result<Axis, AxisError> {
        without_repeats(&numbers, |a, b| a.value == b.value)?;
        Ok(Axis::List(numbers))
    }

    /// A list of words.
    ///
    /// # Errors
    /// An empty list, or one with a word twice.
    pub fn words(words: Vec<String>) -> Result<Axis, AxisError> {
        without_repeats(&words, |a, b| a == b)?;
        Ok(Axis::Words(words))
    }

    /// How many choices it offers.
    pub fn count(&self) -> u64 {
        match self {
            Axis::Range(range) => range.count(),
            Axis::List(numbers) => numbers.len() as u64,
            Axis::Words(words) => words.len() as u64,
        }
    }

    /// The choice at `index` from 0.
    pub fn choice(&self, index: u64) -> Option<Choice> {
        let place = usize::try_from(index).ok();
        match self {
            Axis::Range(range) => range.number(index).map(Choice::Number),
            Axis::List(numbers) => numbers.get(place?).cloned().map(Choice::Number),
            Axis::Words(words) => words.get(place?).cloned().map(Choice::Word),
        }
    }
}

fn without_repeats<T>(list: &[T], same: impl Fn(&T, &T) -> bool) -> Result<(), AxisError> {
    if list.is_empty() {
        return Err(AxisError::Empty);
    }
    for (again, item) in list.iter().enumerate() {
        if let Some(first) = list[..again].iter().position(|earlier| same(earlier, item)) {
            return Err(AxisError::Repeated { first, again });
        }
    }
    Ok(())
}

/// All combinations of the choices of several values.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Space {
    axes: Vec<Axis>,
}

impl Space {
    pub fn new(axes: Vec<Axis>) -> Space {
        Space { axes }
    }

    pub fn axes(&self) -> &[Axis] {
        &self.axes
    }

    /// How many combinations there are; `u128::MAX` if more than can be counted.
    pub fn count(&self) -> u128 {
        self.axes.iter().fold(1u128, |count, axis| count.saturating_mul(u128::from(axis.count())))
    }

    /// The combination with this number, as an index into each axis.
    fn split(&self, mut number: u128, into: &mut Vec<u64>) {
        into.clear();
        for axis in &self.axes {
            let count = u128::from(axis.count().max(1));
            // Below the axis's own count, so it fits.
            into.push((number % count) as u64);
            number /= count;
        }
    }
}

/// Which combination each version takes.
#[derive(Debug, Clone)]
pub struct Draws {
    space: Space,
    /// The combination of each version; with no axes there is one for all.
    taken: Vec<u128>,
    /// Combinations looked at.
    pub tried: u64,
    /// How many each test refused, by its number.
    pub refused: Vec<u64>,
}

/// Fewer versions exist (or were found) than were wanted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TooFew {
    /// Versions that were found.
    pub exist: u64,
    /// Was every combination looked at, so that `exist` is all there are?
    pub exhausted: bool,
    /// Combinations looked at, and how many there are.
    pub tried: u64,
    pub combinations: u128,
    /// How many each test refused, by its number; the largest costs most.
    pub refused: Vec<u64>,
}

impl TooFew {
    /// The test that refused most, if any refused.
    pub fn costliest(&self) -> Option<usize> {
        let most = self.refused.iter().max().filter(|most| **most > 0)?;
        self.refused.iter().position(|count| count == most)
    }
}

impl Draws {
    /// Draws versions 0 to `wanted` - 1. `accept` is handed the index chosen on
    /// each axis and refuses with the number of the test that failed (say, the
    /// number of the `require`, or one past the last for what cannot be solved).
    /// A question with no axes is the same in every version.
    ///
    /// # Errors
    /// Fewer combinations pass than versions are wanted. All combinations are
    /// looked at unless `PATIENCE` in a row are refused.
    pub fn find(
        space: Space,
        key: Key,
        wanted: u64,
        mut accept: impl FnMut(&[u64]) -> Result<(), usize>,
    ) -> Result<Draws, TooFew> {
        let order = Order::new(space.count(), Stream::of_question(key, "draw"));
        let mut choices = Vec::with_capacity(space.axes.len());
        let wanted = if space.axes.is_empty() { wanted.min(1) } else { wanted };
        let mut draws = Draws { space, taken: Vec::new(), tried: 0, refused: Vec::new() };
        let mut in_a_row = 0;
        while (draws.taken.len() as u64) < wanted {
            let number = order.at(u128::from(draws.tried)).filter(|_| in_a_row < PATIENCE);
            let Some(number) = number else {
                return Err(TooFew {
                    exist: draws.taken.len() as u64,
                    exhausted: u128::from(draws.tried) >= order.count(),
                    tried: draws.tried,
                    combinations: order.count(),
                    refused: draws.refused,
                });
            };
            draws.tried += 1;
            draws.space.split(number, &mut choices);
            match accept(&choices) {
                Ok(()) => {
                    draws.taken.push(number);
                    in_a_row = 0;
                }
                Err(test) => {
                    if draws.refused.len() <= test {
                        draws.refused.resize(test + 1, 0);
                    }
                    draws.refused[test] += 1;
                    in_a_row += 1;
                }
            }
        }
        Ok(draws)
    }

    pub fn space(&self) -> &Space {
        &self.space
    }

    /// The index chosen on each axis in a version; none past the versions drawn.
    pub fn indices(&self, version: u64) -> Option<Vec<u64>> {
        let version = if self.space.axes.is_empty() { 0 } else { version };
        let number = usize::try_from(version).ok().and_then(|v| self.taken.get(v))?;
        let mut into = Vec::with_capacity(self.space.axes.len());
        self.space.split(*number, &mut into);
        Some(into)
    }

    /// What each value is in a version; none past the versions drawn.
    pub fn choices(&self, version: u64) -> Option<Vec<Choice>> {
        let indices = self.indices(version)?;
        self.space.axes.iter().zip(indices).map(|(axis, index)| axis.choice(index)).collect()
    }
}
