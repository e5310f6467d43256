//! Random numbers that depend on names and seed only.
//!
//! Takes (seed, unit id, question id, version), gives a stream of numbers that is
//! the same on every machine and in every later release: raw ChaCha words under a
//! key of our own, and our own samplers over them. Never looks at the content or
//! position of a question, so that a corrected typo changes no number.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use sha2::{Digest, Sha256};

/// What the numbers of one question depend on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Key<'a> {
    pub seed: u64,
    /// Id of the unit.
    pub unit: &'a str,
    /// Id of the question within the unit.
    pub question: &'a str,
}

/// A stream of random numbers.
#[derive(Debug, Clone)]
pub struct Stream {
    words: ChaCha8Rng,
}

impl Stream {
    /// The stream of one version of a question. `purpose` parts streams that must
    /// not move each other: shuffling options leaves everything else as it was.
    pub fn of_version(key: Key, version: u64, purpose: &str) -> Stream {
        Stream::keyed("version", key, &version.to_le_bytes(), purpose)
    }

    /// The stream of a question over all its versions.
    pub fn of_question(key: Key, purpose: &str) -> Stream {
        Stream::keyed("question", key, &[], purpose)
    }

    fn keyed(scope: &str, key: Key, version: &[u8], purpose: &str) -> Stream {
        let mut hash = Sha256::new();
        // Each part behind its length: no two lists of parts give the same bytes.
        let parts: [&[u8]; 7] = [
            b"stillroom random stream 1",
            scope.as_bytes(),
            &key.seed.to_le_bytes(),
            key.unit.as_bytes(),
            key.question.as_bytes(),
            version,
            purpose.as_bytes(),
        ];
        for part in parts {
            hash.update((part.len() as u64).to_le_bytes());
            hash.update(part);
        }
        Stream { words: ChaCha8Rng::from_seed(hash.finalize().into()) }
    }

    /// 64 random bits.
    pub fn word(&mut self) -> u64 {
        self.words.next_u64()
    }

    /// A whole number from 0 to `count` - 1, each equally likely; 0 if `count` is 0.
    pub fn below(&mut self, count: u64) -> u64 {
        if count == 0 {
            return 0;
        }
        // Words past the last whole multiple of `count` would favour small numbers.
        let unfair = (u64::MAX % count + 1) % count;
        loop {
            let word = self.word();
            if word <= u64::MAX - unfair {
                return word % count;
            }
        }
    }

    /// An index into a list of `length`; 0 if it is empty.
    pub fn index(&mut self, length: usize) -> usize {
        // Below the length, so it fits again.
        self.below(length as u64) as usize
    }

    /// Puts a list in random order, each order equally likely.
    pub fn shuffle<T>(&mut self, list: &mut [T]) {
        for last in (1..list.len()).rev() {
            let other = self.index(last + 1);
            list.swap(last, other);
        }
    }

    /// One of a list; none if it is empty.
    pub fn choose<'a, T>(&mut self, list: &'a [T]) -> Option<&'a T> {
        if list.is_empty() { None } else { list.get(self.index(list.len())) }
    }
}
