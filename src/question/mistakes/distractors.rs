//! Options beside the key of a numeric choice: apart from each other and from the key
//! at printed precision, none that gives itself away, the key anywhere among them.

use crate::balance::Node;

use super::super::{Answer, Solution};
use super::Slip;

/// Two options lie at least this share of the key apart.
const APART: f64 = 0.03;

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
        Distractors {
            answer,
            candidates: can_be.into_iter().chain(cannot).collect(),
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
                if apart_from_key(self.answer, slip) && chosen.iter().all(|o| apart(key, o, slip)) {
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

/// Whether nobody could take a slip for the key.
pub(super) fn apart_from_key(answer: &Answer, slip: &Slip) -> bool {
    let key = answer.rounded.value;
    let touch = slip.lowest <= answer.highest && answer.lowest <= slip.highest;
    !touch && (slip.rounded.value - key).abs() >= APART * key.abs()
}

/// Whether nobody could take one slip for another.
pub(super) fn apart(key: f64, one: &Slip, other: &Slip) -> bool {
    let touch = one.lowest <= other.highest && other.lowest <= one.highest;
    !touch && (one.rounded.value - other.rounded.value).abs() >= APART * key.abs()
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
