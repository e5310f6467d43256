//! The search for the cheapest chain of steps from what is known.
//!
//! Takes a system, what is known and a sample; extends its list of steps until an
//! asked slot is known. Where plain steps do not lead there it turns to `lets`.

use super::super::problem::What;
use super::super::relations::{Node, Slot, System};
use super::lets::Kinds;
use super::probe::Probe;
use super::running::largest_amount;
use super::{Bans, Basis, Find, Let, Route, Step, cost, route};

/// Lets in one plan; a person gives up sooner.
const MOST_LETS: usize = 4;
/// Streams that are tried as a basis.
const BASES_FOLLOWED: usize = 4;

/// A derivation of one slot: its steps (sorted numbers) and what they cost together.
#[derive(Debug, Clone)]
pub(super) struct Derivation {
    pub(super) cost: f64,
    pub(super) steps: Vec<u32>,
}

pub(super) struct Search<'a> {
    pub(super) system: &'a System,
    pub(super) bans: &'a Bans,
    pub(super) known: Vec<bool>,
    pub(super) values: Vec<f64>,
    pub(super) steps: Vec<Step>,
    /// Every (relation, target) pair and its cost; a step's number is its index.
    pub(super) catalogue: Vec<(Find, f64)>,
    /// For each relation, its slots and the step that finds each.
    pub(super) ways: Vec<Vec<(Slot, Option<u32>)>>,
    /// For each slot, the relations that speak of it.
    pub(super) spoken: Vec<Vec<usize>>,
    /// For each relation, what is added to its cost now; infinite where barred.
    pub(super) surcharges: Vec<f64>,
    /// Known amounts, and the largest of them.
    pub(super) sized_by: Vec<Slot>,
    pub(super) scale: f64,
    /// Values of an asked slot that a let allows, where there are several.
    pub(super) several: Option<Vec<f64>>,
}

impl<'a> Search<'a> {
    pub(super) fn new(
        system: &'a System,
        known: &[Slot],
        sample: &[f64],
        bans: &'a Bans,
    ) -> Search<'a> {
        let mut flags = vec![false; system.nodes.len()];
        for slot in known {
            flags[*slot] = true;
        }
        let mut catalogue = Vec::new();
        let mut ways = Vec::new();
        for (number, relation) in system.relations.iter().enumerate() {
            let mut way = Vec::new();
            for slot in relation.slots() {
                let find = Find { target: slot, relation: number };
                let step = (relation.gives(slot) && !bans.finds.contains(&find)).then(|| {
                    catalogue.push((find, cost::of_step(system, relation.why, slot)));
                    (catalogue.len() - 1) as u32
                });
                way.push((slot, step));
            }
            ways.push(way);
        }
        let mut spoken = vec![Vec::new(); system.nodes.len()];
        for (number, way) in ways.iter().enumerate() {
            way.iter().for_each(|(slot, _)| spoken[*slot].push(number));
        }
        let is_amount = |slot: &Slot| matches!(system.nodes[*slot], Node::Amount(..));
        let sized_by: Vec<Slot> = known.iter().copied().filter(is_amount).collect();
        let scale = largest_amount(system, &sized_by, sample);
        Search {
            system,
            bans,
            known: flags,
            values: sample.to_vec(),
            steps: Vec::new(),
            catalogue,
            ways,
            surcharges: vec![0.0; system.relations.len()],
            spoken,
            sized_by,
            scale,
            several: None,
        }
    }

    /// Charges relations as the route says for an asked formula.
    pub(super) fn follow(&mut self, route: &Route, insistence: f64, asked: usize) {
        self.surcharges = route.surcharges(self.system, insistence, asked);
        for (find, cost) in &mut self.catalogue {
            let plain =
                cost::of_step(self.system, self.system.relations[find.relation].why, find.target);
            *cost = route::charged(plain, self.surcharges[find.relation]);
        }
    }

    pub(super) fn is_barred(&self, relation: usize) -> bool {
        self.surcharges[relation] == f64::INFINITY
    }

    pub(super) fn take_several(&mut self) -> Option<Vec<f64>> {
        self.several.take()
    }

    /// Extends the plan until `asked` is known; false if it cannot be. Simple lets
    /// are tried first, and alone.
    pub(super) fn reach(&mut self, asked: Slot) -> bool {
        let (known, values, steps) = (self.known.clone(), self.values.clone(), self.steps.len());
        for (turn, kinds) in Kinds::IN_TURN.into_iter().enumerate() {
            if self.attempt(asked, kinds) {
                return true;
            }
            self.known.clone_from(&known);
            self.values.clone_from(&values);
            self.steps.truncate(steps);
            if turn == 0 && self.take_basis(asked, None) {
                return true;
            }
        }
        // Beside real amounts, an unknown of the basis would be none of theirs.
        self.sized_by.is_empty() && self.take_basis(asked, Some(Kinds::IN_TURN[0]))
    }

    fn attempt(&mut self, asked: Slot, kinds: Kinds) -> bool {
        for _ in 0..=MOST_LETS {
            if self.known[asked] {
                return true;
            }
            if self.attempt_plainly(asked) {
                return true;
            }
            match self.best_let(asked, kinds) {
                Some(letting) => self.take_let(letting),
                None => return false,
            }
        }
        self.known[asked]
    }

    /// Finds `asked` as a matter of proportions, where it is one: from a basis by
    /// plain steps, or with lets of these kinds.
    fn take_basis(&mut self, asked: Slot, kinds: Option<Kinds>) -> bool {
        // Amounts are no matter of proportions.
        if matches!(self.system.nodes[asked], Node::Amount(..)) {
            return false;
        }
        let candidates = self.bases(asked, kinds.is_none());
        let found = candidates.into_iter().find_map(|of| self.basis(of, asked, kinds));
        let Some((basis, value)) = found else { return false };
        self.values[asked] = value;
        self.known[asked] = true;
        self.steps.push(Step::Basis(basis));
        true
    }

    /// Streams whose amount might be taken as a basis, the likeliest first.
    fn bases(&self, asked: Slot, by_plain_steps: bool) -> Vec<Slot> {
        let mut probe = Probe::new(self);
        let trials = [0.31, 0.57, 0.43, 0.71].map(|t| t * Basis::AMOUNT);
        let mut found: Vec<(f64, Slot)> = Vec::new();
        for (slot, node) in self.system.nodes.iter().enumerate() {
            let is_total = matches!(node, Node::Amount(at, What::Total) if at.part.is_none());
            if !is_total || slot == asked || probe.is_reached(slot) {
                continue;
            }
            let seen = probe.from(&[(slot, trials)]);
            if by_plain_steps && seen.reaches(asked) && probe.stayed(asked) {
                let cost = self.closure(&[slot])[asked].as_ref().map_or(f64::MAX, |d| d.cost);
                found.push((cost, slot));
            } else if !by_plain_steps {
                // The more follows from it, the better it is.
                found.push((-(seen.taken.len() as f64), slot));
            }
        }
        found.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        found.truncate(BASES_FOLLOWED);
        found.into_iter().map(|(_, slot)| slot).collect()
    }

    /// The steps from a basis to `asked`, and its value; None if they depend on
    /// how much is taken.
    fn basis(&mut self, of: Slot, asked: Slot, kinds: Option<Kinds>) -> Option<(Basis, f64)> {
        let (known, values, steps) = (self.known.clone(), self.values.clone(), self.steps.len());
        let scale = std::mem::replace(&mut self.scale, Basis::AMOUNT);
        self.known[of] = true;
        self.values[of] = Basis::AMOUNT;
        let reaches = match kinds {
            Some(kinds) => self.attempt(asked, kinds),
            None => self.attempt_plainly(asked),
        };
        let inner = self.steps.split_off(steps);
        (self.known, self.values, self.scale) = (known, values, scale);
        let basis = Basis { of, inner, wanted: asked };
        let at = |amount: f64| {
            let mut slots = self.values.clone();
            basis.fill(self.system, &mut slots, amount, &|_, value| value);
            slots[asked]
        };
        let value = at(Basis::AMOUNT);
        let is_like = |other: f64| (value - other).abs() <= 1e-9 * value.abs();
        let is_proportion =
            value.is_normal() && [0.3, 2.7].map(|t| at(t * Basis::AMOUNT)).into_iter().all(is_like);
        (reaches && is_proportion).then_some((basis, value))
    }

    fn attempt_plainly(&mut self, asked: Slot) -> bool {
        let derivation = self.closure(&[])[asked].take();
        let Some(derivation) = derivation else { return false };
        for find in self.ordered_from(&derivation.steps, &[asked], &[]) {
            self.take(find);
        }
        self.known[asked]
    }

    /// Steps to all that follows from what is known, in no particular order.
    pub(super) fn rest(&self) -> Vec<Find> {
        Probe::new(self).taken_first
    }

    fn take(&mut self, find: Find) {
        self.values[find.target] = find.value(self.system, &mut self.values);
        self.known[find.target] = true;
        self.steps.push(Step::Find(find));
    }

    fn take_let(&mut self, letting: Let) {
        let found = letting.solve(self.system, &mut self.values);
        letting.fill(self.system, &mut self.values, &found);
        for slot in letting.targets() {
            self.known[slot] = true;
        }
        if let super::Form::Bent { checks, .. } = &letting.form {
            checks.iter().for_each(|find| self.values[find.target] = f64::NAN);
        }
        self.steps.push(Step::Let(letting));
    }

    /// The cheapest derivation of every slot that plain steps reach from what is
    /// known and from `also`.
    pub(super) fn closure(&self, also: &[Slot]) -> Vec<Option<Derivation>> {
        let mut best: Vec<Option<Derivation>> = self
            .known
            .iter()
            .map(|known| known.then(|| Derivation { cost: 0.0, steps: Vec::new() }))
            .collect();
        for slot in also {
            best[*slot] = Some(Derivation { cost: 0.0, steps: Vec::new() });
        }
        // A relation is looked at again only where something that it speaks of has
        // become cheaper since.
        let mut stale = vec![true; self.ways.len()];
        let mut changed = true;
        while changed {
            changed = false;
            for (number, way) in self.ways.iter().enumerate() {
                if !std::mem::replace(&mut stale[number], false) || self.is_barred(number) {
                    continue;
                }
                let unknown = way.iter().filter(|(slot, _)| best[*slot].is_none()).count();
                if unknown > 1 {
                    continue;
                }
                for (target, step) in way {
                    let Some(step) = step else { continue };
                    if unknown == 1 && best[*target].is_some() {
                        continue;
                    }
                    if best[*target].as_ref().is_some_and(|d| d.steps.is_empty()) {
                        continue;
                    }
                    let floor = way
                        .iter()
                        .filter(|(slot, _)| slot != target)
                        .filter_map(|(slot, _)| best[*slot].as_ref().map(|d| d.cost))
                        .fold(0.0, f64::max);
                    let own = self.catalogue[*step as usize].1;
                    if best[*target].as_ref().is_some_and(|d| d.cost <= floor + own + 1e-9) {
                        continue;
                    }
                    let mut steps = vec![*step];
                    for (slot, _) in way.iter().filter(|(slot, _)| slot != target) {
                        if let Some(derivation) = &best[*slot] {
                            merge(&mut steps, &derivation.steps);
                        }
                    }
                    let cost = self.cost_of(&steps);
                    if best[*target].as_ref().is_none_or(|d| cost < d.cost - 1e-9) {
                        best[*target] = Some(Derivation { cost, steps });
                        changed = true;
                        self.spoken[*target].iter().for_each(|number| stale[*number] = true);
                    }
                }
            }
        }
        best
    }

    pub(super) fn cost_of(&self, steps: &[u32]) -> f64 {
        steps.iter().map(|step| self.catalogue[*step as usize].1).sum()
    }

    /// Steps put in the order of need, each target found once, nothing idle.
    pub(super) fn ordered_from(&self, steps: &[u32], wanted: &[Slot], also: &[Slot]) -> Vec<Find> {
        let is_known = |slot: Slot| self.known[slot] || also.contains(&slot);
        // Which of several steps for one target can go first?
        let mut chosen: Vec<Option<Find>> = vec![None; self.system.nodes.len()];
        let mut left: Vec<Find> = steps.iter().map(|s| self.catalogue[*s as usize].0).collect();
        loop {
            let ready = left.iter().position(|find| {
                self.ways[find.relation].iter().all(|(slot, _)| {
                    *slot == find.target || is_known(*slot) || chosen[*slot].is_some()
                })
            });
            let Some(ready) = ready else { break };
            let find = left.remove(ready);
            if chosen[find.target].is_none() && !is_known(find.target) {
                chosen[find.target] = Some(find);
            }
        }
        let mut order = Vec::new();
        let mut done: Vec<bool> = (0..self.system.nodes.len()).map(is_known).collect();
        for slot in wanted {
            self.visit(*slot, &chosen, &mut done, &mut order);
        }
        order
    }

    fn visit(&self, slot: Slot, chosen: &[Option<Find>], done: &mut [bool], order: &mut Vec<Find>) {
        if done[slot] {
            return;
        }
        let Some(find) = chosen[slot] else { return };
        done[slot] = true;
        for (input, _) in &self.ways[find.relation] {
            self.visit(*input, chosen, done, order);
        }
        order.push(find);
    }
}

/// Adds the numbers of `more` that are not yet in `steps`; both stay sorted.
pub(super) fn merge(steps: &mut Vec<u32>, more: &[u32]) {
    for step in more {
        if let Err(place) = steps.binary_search(step) {
            steps.insert(place, *step);
        }
    }
}
