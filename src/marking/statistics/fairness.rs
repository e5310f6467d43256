//! Whether the versions of a paper were equally hard.
//!
//! Takes marks with the version they were made on; gives, for each part, how the
//! versions' means differ and how often chance alone would do as much. What is compared
//! is a learner's share of the part's marks less their share of all other marks, so that
//! a version that happened to go to abler learners is not called easy. One-way analysis
//! of variance (Fisher 1925); the probabilities of the parts are adjusted together by
//! Holm's rule (Holm 1979, Scand. J. Stat. 6:65-70, from memory). Sums are whole numbers,
//! so shares can be put together in any order.

use std::collections::BTreeMap;

use super::distribution::f_tail;
use super::tally::{Given, Tally};

/// Versions with fewer learners are left out of the test.
const FEWEST: u64 = 2;

/// Sums by version.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Versions {
    most: Vec<u32>,
    of: BTreeMap<u32, OfVersion>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
struct OfVersion {
    learners: u64,
    /// Marks on each part, and of all.
    marks: Vec<u64>,
    /// What is compared, on each part: its sum and the sum of its squares. Whole numbers,
    /// share times (own marks x other marks).
    gaps: Vec<(i128, i128)>,
    total: u64,
    total_squares: u64,
}

/// What the comparison of the versions says of one part, or of the whole paper.
#[derive(Debug, Clone, PartialEq)]
pub struct Fairness {
    /// Version number, learners and the mean share of the marks there.
    pub shares: Vec<(u32, u64, f64)>,
    /// The F ratio, and how often chance alone does as much; none where it cannot be
    /// told: one version, or no spread within versions.
    pub f: Option<f64>,
    pub p: Option<f64>,
    /// The same after Holm's adjustment for the number of parts.
    pub adjusted: Option<f64>,
}

impl Fairness {
    /// The difference between the highest and the lowest share of a version.
    pub fn gap(&self) -> f64 {
        let shares = || self.shares.iter().map(|(_, _, share)| *share);
        let (low, high) = (shares().fold(f64::INFINITY, f64::min), shares().fold(0.0, f64::max));
        if low.is_finite() { high - low } else { 0.0 }
    }
}

impl Versions {
    pub fn new(tally: &Tally) -> Versions {
        Versions { most: tally.most.clone(), of: BTreeMap::new() }
    }

    /// Adds a learner who sat this version.
    pub fn add(&mut self, version: u32, given: &[Given]) {
        let parts = self.most.len();
        let own = self.of.entry(version).or_insert_with(|| OfVersion {
            learners: 0,
            marks: vec![0; parts],
            gaps: vec![(0, 0); parts],
            total: 0,
            total_squares: 0,
        });
        let marks = |part: usize| given.get(part).map_or(0, |g| g.marks()).min(self.most[part]);
        let total: u32 = (0..parts).map(marks).sum();
        let full: u32 = self.most.iter().sum();
        own.learners += 1;
        own.total += u64::from(total);
        own.total_squares += u64::from(total) * u64::from(total);
        for part in 0..parts {
            let (here, most) = (i128::from(marks(part)), i128::from(self.most[part]));
            let gap = here * (i128::from(full) - most) - (i128::from(total) - here) * most;
            own.marks[part] += u64::from(marks(part));
            own.gaps[part].0 += gap;
            own.gaps[part].1 += gap * gap;
        }
    }

    /// Adds what was gathered of another share of the same paper.
    pub fn merge(&mut self, other: &Versions) {
        for (version, from) in &other.of {
            match self.of.get_mut(version) {
                None => {
                    self.of.insert(*version, from.clone());
                }
                Some(to) => {
                    to.learners += from.learners;
                    to.total += from.total;
                    to.total_squares += from.total_squares;
                    to.marks.iter_mut().zip(&from.marks).for_each(|(a, b)| *a += b);
                    for (a, b) in to.gaps.iter_mut().zip(&from.gaps) {
                        *a = (a.0 + b.0, a.1 + b.1);
                    }
                }
            }
        }
    }

    /// Each part in order, adjusted together.
    pub fn parts(&self) -> Vec<Fairness> {
        let mut all: Vec<Fairness> = (0..self.most.len())
            .map(|part| {
                let most = f64::from(self.most[part]);
                let groups = self.groups(|of| of.gaps[part]);
                self.fairness(&groups, |of| of.marks[part] as f64 / most)
            })
            .collect();
        holm(&mut all);
        all
    }

    /// The totals of the versions.
    pub fn whole(&self) -> Fairness {
        let full = f64::from(self.most.iter().sum::<u32>());
        let groups = self.groups(|of| (i128::from(of.total), i128::from(of.total_squares)));
        let mut whole = self.fairness(&groups, |of| of.total as f64 / full);
        whole.adjusted = whole.p;
        whole
    }

    fn groups(&self, sums: impl Fn(&OfVersion) -> (i128, i128)) -> Vec<(u64, i128, i128)> {
        let counted = self.of.values().filter(|of| of.learners >= FEWEST);
        counted.map(|of| (of.learners, sums(of).0, sums(of).1)).collect()
    }

    fn fairness(
        &self,
        groups: &[(u64, i128, i128)],
        share: impl Fn(&OfVersion) -> f64,
    ) -> Fairness {
        let shares = self
            .of
            .iter()
            .map(|(version, of)| (*version, of.learners, share(of) / of.learners as f64))
            .collect();
        let tested = analysis(groups);
        Fairness { shares, f: tested.map(|(f, _)| f), p: tested.map(|(_, p)| p), adjusted: None }
    }
}

/// F and its tail, for groups of: how many, sum, sum of squares.
fn analysis(groups: &[(u64, i128, i128)]) -> Option<(f64, f64)> {
    let n: u64 = groups.iter().map(|(n, _, _)| n).sum();
    let (above, below) =
        (groups.len().checked_sub(1)? as f64, n.checked_sub(groups.len() as u64)? as f64);
    if above < 1.0 || below < 1.0 {
        return None;
    }
    let sum: i128 = groups.iter().map(|(_, sum, _)| sum).sum();
    let within: f64 = groups
        .iter()
        .map(|(n, sum, squares)| (i128::from(*n) * squares - sum * sum) as f64 / *n as f64)
        .sum();
    let between: f64 = groups
        .iter()
        .map(|(own, sum_here, _)| {
            let apart = (i128::from(n) * sum_here - i128::from(*own) * sum) as f64 / n as f64;
            apart * apart / *own as f64
        })
        .sum();
    if within <= 0.0 {
        return None;
    }
    let f = (between / above) / (within / below);
    Some((f, f_tail(f, above, below)))
}

/// Holm's adjusted probabilities: the smallest times how many there are, the next times
/// one fewer, never below the one before.
fn holm(all: &mut [Fairness]) {
    let mut order: Vec<(usize, f64)> =
        all.iter().enumerate().filter_map(|(i, one)| Some((i, one.p?))).collect();
    order.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
    let (count, mut least) = (order.len(), 0.0f64);
    for (rank, (index, p)) in order.into_iter().enumerate() {
        least = least.max(((count - rank) as f64 * p).min(1.0));
        all[index].adjusted = Some(least);
    }
}
