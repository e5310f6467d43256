//! The few wrong answers that a marker should know by sight.
//!
//! Takes all slips of an answer; keeps the author's and, as far as there is room, those of
//! the catalogue that show what a learner thinks and that nobody could take for the key or
//! for each other. Slips of the pen are recognised when typed, not printed.

use super::super::{Answer, Solution};
use super::distractors::{apart, apart_from_key, of_its_size};
use super::{Slip, Turn};

/// For one answer, the author's counted.
const MOST: usize = 3;
/// Names of one wrong answer.
const MOST_NAMES: usize = 2;
/// They come about in any sum and say little of what was thought; the last fits any amount
/// times any share, solubility or not.
const TELL_LITTLE: [&str; 6] = [
    "rounded-too-early",
    "cut-off",
    "thousand-times",
    "minutes-for-hours",
    "seconds-for-hours",
    "all-dissolves",
];

impl Solution<'_> {
    /// The author's slips, then the catalogue's most telling, for the printed key and scheme.
    pub fn common_slips(&self, part: usize, answer: &Answer) -> Vec<Slip> {
        let mut chosen: Vec<Slip> = Vec::new();
        let all = self.slips(part, answer);
        for (place, slip) in all.iter().enumerate() {
            // One name stands for one number: the first that it leads to.
            let named_before = |turn: &Turn| {
                all[..place].iter().flat_map(|other| &other.turns).any(|o| o.name == turn.name)
            };
            let mut slip = slip.clone();
            slip.turns.retain(|turn| turn.id.is_none() || !named_before(turn));
            let stands = slip.is_authors()
                || chosen.len() < MOST
                    && slip.turns.iter().any(is_telling)
                    && of_its_size(answer, &slip)
                    && apart_from_key(answer, &slip)
                    && chosen.iter().all(|other| apart(answer, other, &slip));
            if stands {
                chosen.push(briefly_named(slip));
            }
        }
        chosen
    }
}

fn is_telling(turn: &Turn) -> bool {
    !turn.absurd && turn.id.is_none_or(|id| !TELL_LITTLE.contains(&id))
}

/// Under the author's name, else under the first of the catalogue's that tell something.
fn briefly_named(mut slip: Slip) -> Slip {
    if slip.is_authors() {
        slip.turns.retain(|turn| turn.id.is_none());
    } else {
        slip.turns.retain(is_telling);
        slip.turns.truncate(MOST_NAMES);
    }
    let names: Vec<&str> = slip.turns.iter().map(|turn| turn.name.as_str()).collect();
    slip.says = names.join(", or ");
    slip
}
