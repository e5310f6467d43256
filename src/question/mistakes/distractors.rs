//! Options beside the key of a numeric choice: apart from each other and from the key
//! at printed precision, none that gives itself away, the key anywhere among them.

use crate::balance::Node;

use super::super::{Answer, Solution};
use super::Slip;

/// Two options lie at least this share of the key apart.
const APART: f64 = 0.03;
/// What is so many times too large or too small is seen without a list.
const FAR: f64 = 20.0;

/// The options that stand beside the key, smallest first, and the key's rank.
#[derive(Debug, Clone)]
pub struct Choice {
    pub slips: Vec<Slip>,
    /// How many of them are smaller than the key.
    pub rank: usize,
}

/// Too few slips can stand beside the key in this version.
#[derive(Debug, Clone)]
pub struct TooFew {
    pub found: usize,
    /// Names of slips that lie too near the key, or to each other, to be told apart.
    pub too_near: Vec<String>,
}

/// What may stand beside the key of an answer in this version.
#[derive(Debug)]
pub struct Distractors<'a> {
    answer: &'a Answer,
    /// The first are wished for most: the author's, those of the families, the general.
    candidates: Vec<Slip>,
    /// What cannot be told from the key.
    hidden: Vec<String>,
}

impl<'a> Distractors<'a> {
    pub fn of(solution: &Solution<'_>, answer: &'a Answer) -> Distractors<'a> {
        let all = solution.all_slips(answer.part, answer);
        let limit = most_there_is(solution, answer);
        let feasible = |slip: &Slip| slip.rounded.value > 0.0 && slip.rounded.value <= limit;
        // What no process can have comes last, and only as the mistake that it is.
        let (can_be, cannot): (Vec<Slip>, Vec<Slip>) = all.told.into_iter().partition(feasible);
        let flagged = |slip: &Slip| slip.is_authors() || slip.turns.iter().all(|turn| turn.absurd);
        let cannot = cannot.into_iter().filter(|slip| slip.rounded.value > 0.0 && flagged(slip));
        // An option of another size than all the rest is seen to be wrong without a sum.
        let (near, far): (Vec<Slip>, Vec<Slip>) =
            can_be.into_iter().partition(|slip| slip.is_authors() || of_its_size(answer, slip));
        Distractors {
            answer,
            candidates: near.into_iter().chain(far).chain(cannot).collect(),
            hidden: all.hidden.into_iter().map(|turn| turn.name).collect(),
        }
    }

    /// `count` options, `below` of them smaller than the key as far as there are such.
    ///
    /// # Errors
    /// How many there are, and what lies too near.
    pub fn beside(&self, count: usize, below: usize) -> Result<Choice, TooFew> {
        let key = self.answer.rounded.value;
        let mut too_near = self.hidden.clone();
        let mut chosen: Vec<Slip> = Vec::new();
        // On the side that is wished for, then on any.
        for strict in [true, false] {
            for slip in &self.candidates {
                if chosen.len() == count {
                    break;
                }
                if chosen.iter().any(|other| other.printed == slip.printed) {
                    continue;
                }
                let is_below = slip.rounded.value < key;
                let beside = chosen.iter().filter(|o| (o.rounded.value < key) == is_below).count();
                let room = if is_below { below } else { count.saturating_sub(below) };
                if strict && beside >= room {
                    continue;
                }
                if apart_from_key(self.answer, slip)
                    && chosen.iter().all(|o| apart(self.answer, o, slip))
                {
                    chosen.push(slip.clone());
                } else if !too_near.contains(&slip.says) {
                    too_near.push(slip.says.clone());
                }
            }
        }
        if chosen.len() < count {
            return Err(TooFew { found: chosen.len(), too_near });
        }
        chosen.sort_by(|a, b| a.rounded.value.total_cmp(&b.rounded.value));
        let rank = chosen.iter().filter(|slip| slip.rounded.value < key).count();
        Ok(Choice { slips: chosen, rank })
    }

    /// Whether there are `count` options wherever the key is to stand.
    ///
    /// # Errors
    /// The first place for which there are too few.
    pub fn suffice(&self, count: usize) -> Result<(), TooFew> {
        (0..=count).try_for_each(|below| self.beside(count, below).map(drop))
    }
}

/// Whether a slip is of the size of the key.
pub(super) fn of_its_size(answer: &Answer, slip: &Slip) -> bool {
    (1.0 / FAR..FAR).contains(&(slip.rounded.value / answer.rounded.value))
}

/// Whether nobody could take a slip for the key.
pub(super) fn apart_from_key(answer: &Answer, slip: &Slip) -> bool {
    let touch = slip.lowest <= answer.highest && answer.lowest <= slip.highest;
    !touch && printed_apart(answer, answer.rounded.value, slip.rounded.value)
}

/// Whether nobody could take one slip for another.
pub(super) fn apart(answer: &Answer, one: &Slip, other: &Slip) -> bool {
    let touch = one.lowest <= other.highest && other.lowest <= one.highest;
    !touch && printed_apart(answer, one.rounded.value, other.rounded.value)
}

/// Whether two options are apart as they are printed, by the key as printed and as it is,
/// and if each were accepted as far, in proportion, as the key is.
fn printed_apart(answer: &Answer, one: f64, other: f64) -> bool {
    let key = answer.unit.from_si(answer.value).abs();
    let reach = (answer.highest - answer.lowest) / (2.0 * key);
    let gap = (one - other).abs();
    gap >= APART * key.max(answer.rounded.value.abs()) && gap > reach * (one.abs() + other.abs())
}

/// The most that the answer could be, in its unit: all of a whole, the largest amount
/// of its kind.
fn most_there_is(solution: &Solution<'_>, answer: &Answer) -> f64 {
    let dimension = answer.unit.dimension();
    if dimension.is_none() {
        return if answer.unit.text() == "%" { 100.0 } else { f64::INFINITY };
    }
    let engine = &solution.checked.engine;
    let amounts = engine.known().iter().copied().filter(|slot| {
        matches!(engine.system.nodes[*slot], Node::Amount(..) | Node::Value(_))
            && solution.unit_of(*slot).dimension() == dimension
    });
    let most = amounts.map(|slot| answer.unit.from_si(solution.slots[slot])).fold(0.0, f64::max);
    if most > 0.0 { most.max(answer.rounded.value) } else { f64::INFINITY }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Unit, round_figures};

    /// A key of 10.4 kg that prints as 10 kg, accepted within `reach` on either side.
    fn key(reach: f64) -> Answer {
        let unit = Unit::parse("kg").unwrap();
        Answer {
            part: 0,
            name: String::new(),
            value: unit.to_si(10.4),
            unit,
            printed: String::new(),
            rounded: round_figures(10.4, 2),
            lowest: 10.4 - reach,
            highest: 10.4 + reach,
        }
    }

    #[test]
    fn options_are_apart_by_the_key_as_it_is_and_as_it_is_printed() {
        // 3 % of 10.4 is 0.312, and of 10 no more than 0.3.
        assert!(!printed_apart(&key(0.01), 5.0, 5.31));
        assert!(printed_apart(&key(0.01), 5.0, 5.32));
    }

    #[test]
    fn options_are_apart_by_as_much_as_the_key_is_accepted() {
        // 5 % of 5.0 and 5.4 come to 0.52, 3 % to 0.312.
        assert!(!printed_apart(&key(0.52), 5.0, 5.4));
        assert!(printed_apart(&key(0.312), 5.0, 5.4));
    }
}
