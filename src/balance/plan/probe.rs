//! A cheap look at where a let would lead.
//!
//! Takes trial values of one or two unknowns; goes wherever plain steps lead, in
//! no particular order, and says which slots were reached and which relations were
//! left over with residuals that move. Says nothing of costs: what it finds worth
//! following is searched properly.

use super::super::relations::Slot;
use super::Find;
use super::search::Search;

/// Trials of every probe: the first is the base, the second moves the first
/// unknown, the third the second, the last both.
pub(super) const TRIALS: usize = 4;

/// What is reached from what is known, ready to be probed from.
pub(super) struct Probe<'s, 'a> {
    search: &'s Search<'a>,
    /// For each slot, the relations that speak of it.
    spoken: Vec<Vec<u32>>,
    reached: Vec<bool>,
    /// The steps to what is reached without any unknown.
    pub(super) taken_first: Vec<Find>,
    /// For each relation, how many of its slots are not reached.
    lacking: Vec<u32>,
    /// Relations that the probe at hand has used.
    used: Vec<bool>,
    values: [Vec<f64>; TRIALS],
}

/// A relation left over: its residuals and the size of its terms.
pub(super) struct LeftOver {
    pub(super) residuals: [f64; TRIALS],
    pub(super) size: f64,
}

/// What a probe saw.
pub(super) struct Seen {
    /// The steps taken, in order.
    pub(super) taken: Vec<Find>,
    /// Relations whose residuals move with the unknowns.
    pub(super) moving: Vec<LeftOver>,
}

impl Seen {
    pub(super) fn reaches(&self, slot: Slot) -> bool {
        self.taken.iter().any(|find| find.target == slot)
    }
}

impl<'s, 'a> Probe<'s, 'a> {
    pub(super) fn new(search: &'s Search<'a>) -> Self {
        let slots = search.system.nodes.len();
        let mut spoken = vec![Vec::new(); slots];
        let mut lacking = Vec::new();
        for (number, way) in search.ways.iter().enumerate() {
            for (slot, _) in way {
                spoken[*slot].push(number as u32);
            }
            let unknown = way.iter().filter(|(slot, _)| !search.known[*slot]).count();
            lacking.push(unknown as u32);
        }
        let values = std::array::from_fn(|_| search.values.clone());
        let reached = search.known.clone();
        let used = vec![false; search.ways.len()];
        let taken_first = Vec::new();
        let mut probe = Probe { search, spoken, reached, taken_first, lacking, used, values };
        let all: Vec<u32> = (0..search.ways.len() as u32).collect();
        let mut taken = Vec::new();
        probe.spread(all, &mut taken);
        taken.iter().for_each(|find| probe.used[find.relation] = false);
        probe.taken_first = taken;
        probe
    }

    pub(super) fn is_reached(&self, slot: Slot) -> bool {
        self.reached[slot]
    }

    /// Looks where trial values of these unknowns lead, and forgets them again.
    pub(super) fn from(&mut self, unknowns: &[(Slot, [f64; TRIALS])]) -> Seen {
        let mut open = Vec::new();
        for (slot, trials) in unknowns {
            for (values, trial) in self.values.iter_mut().zip(trials) {
                values[*slot] = *trial;
            }
            open.extend(self.mark(*slot));
        }
        let mut taken: Vec<Find> = Vec::new();
        self.spread(open, &mut taken);
        let mut moving = Vec::new();
        let mut judged: Vec<u32> = Vec::new();
        let starts = unknowns.iter().map(|(slot, _)| *slot);
        for slot in starts.chain(taken.iter().map(|find| find.target)) {
            for number in &self.spoken[slot] {
                let relation = *number as usize;
                let is_over = self.lacking[relation] == 0 && !self.used[relation];
                if is_over && !self.search.is_barred(relation) {
                    judged.push(*number);
                }
            }
        }
        judged.sort_unstable();
        judged.dedup();
        for number in judged {
            moving.extend(self.left_over(number as usize));
        }
        taken.iter().for_each(|find| self.used[find.relation] = false);
        let starts = unknowns.iter().map(|(slot, _)| *slot);
        for slot in starts.chain(taken.iter().map(|find| find.target)) {
            self.reached[slot] = false;
            for number in &self.spoken[slot] {
                self.lacking[*number as usize] += 1;
            }
        }
        Seen { taken, moving }
    }

    /// True if a slot that the last probe reached had one value in all trials.
    pub(super) fn stayed(&self, slot: Slot) -> bool {
        let base = self.values[0][slot];
        self.values.iter().all(|values| (values[slot] - base).abs() <= 1e-9 * base.abs())
    }

    /// Notes that a slot is reached; the relations that now lack one slot.
    fn mark(&mut self, slot: Slot) -> Vec<u32> {
        self.reached[slot] = true;
        let mut open = Vec::new();
        for number in &self.spoken[slot] {
            let lacking = &mut self.lacking[*number as usize];
            *lacking -= 1;
            if *lacking == 1 {
                open.push(*number);
            }
        }
        open
    }

    fn spread(&mut self, open: Vec<u32>, taken: &mut Vec<Find>) {
        let mut open = std::collections::VecDeque::from(open);
        while let Some(number) = open.pop_front() {
            let relation = number as usize;
            if self.lacking[relation] != 1 || self.search.is_barred(relation) {
                continue;
            }
            let way = &self.search.ways[relation];
            let Some((slot, Some(step))) = way.iter().find(|(slot, _)| !self.reached[*slot]) else {
                continue;
            };
            let find = self.search.catalogue[*step as usize].0;
            let mut is_finite = true;
            for values in &mut self.values {
                let value = find.value(self.search.system, values);
                values[*slot] = value;
                is_finite &= value.is_finite();
            }
            if is_finite {
                taken.push(find);
                self.used[relation] = true;
                open.extend(self.mark(*slot));
            }
        }
    }

    fn left_over(&self, relation: usize) -> Option<LeftOver> {
        let relation = &self.search.system.relations[relation];
        let residuals = std::array::from_fn(|trial| relation.residual(&self.values[trial]));
        let sizes = self.values.iter().map(|values| relation.size(values));
        let size = sizes.fold(0.0, f64::max);
        let base: f64 = residuals[0];
        let moves = residuals.iter().any(|r: &f64| (r - base).abs() > 1e-9 * size);
        (moves && residuals.iter().all(|r| r.is_finite())).then_some(LeftOver { residuals, size })
    }
}
