//! How hard a text is to read, from counts.
//!
//! Reading ease: R. Flesch, "A new readability yardstick", Journal of Applied
//! Psychology 32 (1948). Grade: J. P. Kincaid and others, Research Branch Report 8-75
//! (1975). Both formulas from memory. Takes counts or text; says nothing about what is
//! too hard.

use super::language::{sentences, syllables, words};

/// What the formulas count.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Counts {
    pub sentences: u32,
    pub words: u32,
    /// Of the words whose syllables count, and how many those are.
    pub syllables: u32,
    pub counted: u32,
}

impl Counts {
    /// Counts a plain text. What `known` says is a taught term, and what holds a digit,
    /// makes a sentence longer and no word harder.
    pub fn of(text: &str, known: &dyn Fn(&str) -> bool) -> Counts {
        let mut counts = Counts::default();
        for sentence in sentences(text) {
            counts.sentences += 1;
            for word in words(&text[sentence]) {
                counts.words += 1;
                let number = word.text.contains(|c: char| c.is_ascii_digit());
                if !number && !known(&word.text) {
                    counts.counted += 1;
                    counts.syllables += syllables(&word.text);
                }
            }
        }
        counts
    }

    #[must_use]
    pub fn and(self, other: Counts) -> Counts {
        Counts {
            sentences: self.sentences + other.sentences,
            words: self.words + other.words,
            syllables: self.syllables + other.syllables,
            counted: self.counted + other.counted,
        }
    }

    /// Words a sentence and syllables a word; none for an empty text.
    fn rates(self) -> Option<(f64, f64)> {
        let any = self.sentences > 0 && self.counted > 0;
        any.then(|| {
            (
                f64::from(self.words) / f64::from(self.sentences),
                f64::from(self.syllables) / f64::from(self.counted),
            )
        })
    }

    /// Flesch reading ease: 100 is very easy, 30 hard.
    pub fn reading_ease(self) -> Option<f64> {
        let (length, weight) = self.rates()?;
        Some(206.835 - 1.015 * length - 84.6 * weight)
    }

    /// Flesch-Kincaid grade: years at school, counted as in the United States.
    pub fn grade(self) -> Option<f64> {
        let (length, weight) = self.rates()?;
        Some(0.39 * length + 11.8 * weight - 15.59)
    }
}
