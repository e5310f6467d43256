//! What a whole class gave, gathered row by row in memory that depends on the paper
//! alone, and put together from shares.

use std::collections::BTreeMap;

use super::columns::Column;
use super::judge::{Judged, Verdict};
use super::statistics::{Given, Tally, Versions};

/// All that reports need of the rows.
#[derive(Debug, Clone, PartialEq)]
pub struct Gathered {
    pub tally: Tally,
    pub versions: Versions,
    /// For each column how often each mistake was made, by name.
    pub mistakes: Vec<BTreeMap<String, u64>>,
    pub verdicts: Vec<BTreeMap<Verdict, u64>>,
    /// Learners who gave their minutes: how many, their marks, and thousandths of minutes.
    timed: (u64, u64, u64),
}

/// Mistakes of one column that are told apart; a name more than these is not kept, so that
/// memory is bounded whatever the values of the versions.
const MOST_NAMES: usize = 200;

impl Gathered {
    pub fn new(columns: &[Column]) -> Gathered {
        let most: Vec<u32> = columns.iter().map(|column| column.most).collect();
        let tally = Tally::new(&most);
        Gathered {
            versions: Versions::new(&tally),
            tally,
            mistakes: vec![BTreeMap::new(); columns.len()],
            verdicts: vec![BTreeMap::new(); columns.len()],
            timed: (0, 0, 0),
        }
    }

    /// Adds a learner's row.
    pub fn add(&mut self, version: u32, minutes: Option<f64>, judged: &[Judged]) {
        let given: Vec<Given> = judged
            .iter()
            .map(|one| match one.verdict {
                Verdict::Blank => Given::Blank,
                _ => Given::Marks(one.marks),
            })
            .collect();
        self.tally.add(&given);
        self.versions.add(version, &given);
        for (column, one) in judged.iter().enumerate() {
            *self.verdicts[column].entry(one.verdict).or_default() += 1;
            if let Some(name) = &one.mistake {
                let names = &mut self.mistakes[column];
                if names.len() < MOST_NAMES || names.contains_key(name) {
                    *names.entry(name.clone()).or_default() += 1;
                }
            }
        }
        if let Some(minutes) = minutes {
            let marks: u32 = judged.iter().map(|one| one.marks).sum();
            self.timed.0 += 1;
            self.timed.1 += u64::from(marks);
            self.timed.2 += (minutes * 1000.0).round() as u64;
        }
    }

    /// Adds what was gathered of another share of the class.
    pub fn merge(&mut self, other: &Gathered) -> bool {
        if !self.tally.merge(&other.tally) {
            return false;
        }
        self.versions.merge(&other.versions);
        for (to, from) in self.mistakes.iter_mut().zip(&other.mistakes) {
            from.iter().for_each(|(name, count)| *to.entry(name.clone()).or_default() += count);
        }
        for (to, from) in self.verdicts.iter_mut().zip(&other.verdicts) {
            from.iter().for_each(|(verdict, count)| *to.entry(*verdict).or_default() += count);
        }
        self.timed.0 += other.timed.0;
        self.timed.1 += other.timed.1;
        self.timed.2 += other.timed.2;
        true
    }

    /// Marks gained in a minute, over the learners whose minutes are known, and how many
    /// they are.
    pub fn marks_per_minute(&self) -> Option<(f64, u64)> {
        let (learners, marks, thousandths) = self.timed;
        (thousandths > 0).then(|| (marks as f64 * 1000.0 / thousandths as f64, learners))
    }

    /// The mistakes of a column, the commonest first.
    pub fn commonest(&self, column: usize) -> Vec<(&str, u64)> {
        let mut all: Vec<(&str, u64)> =
            self.mistakes[column].iter().map(|(name, count)| (name.as_str(), *count)).collect();
        all.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(b.0)));
        all
    }

    /// How often a column's answers turned out so.
    pub fn count(&self, column: usize, verdict: Verdict) -> u64 {
        self.verdicts[column].get(&verdict).copied().unwrap_or(0)
    }
}
