//! The shortest honest hand derivation of what is asked.
//!
//! Takes a system of relations and a sample of values; gives a straight-line
//! plan. A plain step finds one quantity from known ones. Where no chain of
//! plain steps exists, one quantity is let be x, plain steps are taken in terms
//! of it, and a relation not yet used closes the loop. Derivations are compared
//! by the cost of the union of their steps, so a step that serves twice counts once.
//!
//! What may be divided by, and what is absent, was settled for all versions
//! before; the sample only tells whether a relation closes a let.

use super::flowsheet::Envelope;
use super::problem::{At, What};
use super::relations::{Node, ONE, Slot, System, Why, ZERO};

/// A derivation, ready to run for any version.
#[derive(Debug, Clone)]
pub struct Plan {
    pub steps: Vec<Step>,
    /// For each asked formula, how many steps stand before its answer.
    pub reached: Vec<usize>,
}

#[derive(Debug, Clone, PartialEq)]
pub enum Step {
    /// One quantity from one relation.
    Find(Find),
    /// Let `x` be unknown, take the inner steps, and close on a relation.
    Let { x: Slot, trials: [f64; 2], inner: Vec<Find>, close: usize },
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Find {
    pub target: Slot,
    /// Number of the relation.
    pub relation: usize,
}

/// Why there is no plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoPlan {
    /// No chain, with or without one let at a time, reaches this asked formula.
    Asked(usize),
    /// Nor this slot that a condition, a slip or a text reads.
    Also(usize),
}

/// What a step costs a person, in plain steps. These figures gave the routes
/// that textbooks take; goldens judge them.
mod cost {
    /// An envelope of k operations costs 1 + this for each beyond the first.
    pub(super) const ENVELOPE_EACH: f64 = 0.9;
    /// The whole process is a border that everyone sees.
    pub(super) const WHOLE: f64 = 1.3;
    pub(super) const PLAIN: f64 = 1.0;
    /// The author's own relation or fact is in front of the learner's eyes.
    pub(super) const FACT: f64 = 0.8;
    pub(super) const MASS: f64 = 0.3;
    pub(super) const SHARE: f64 = 0.6;
    pub(super) const INNER: f64 = 0.2;
    /// The share of the component that is named, rather than one less the rest.
    pub(super) const REST: f64 = 0.1;
    pub(super) const LET: f64 = 2.0;
    /// A let had better be what is asked, then a total.
    pub(super) const LET_ASKED: f64 = -1.5;
    pub(super) const LET_NOT_TOTAL: f64 = 0.5;
    /// More than any derivation: the let does not lead to what is asked.
    pub(super) const ASTRAY: f64 = 50.0;
}

/// Lets that are followed to the end before the cheapest is taken.
const LETS_FOLLOWED: usize = 12;
/// Lets in one plan; a person gives up sooner.
const MOST_LETS: usize = 4;

impl Plan {
    /// The cheapest derivation found for all that `system` asks, in order.
    ///
    /// `known` are the slots that are filled before the first step; `sample` holds
    /// their values in one version.
    pub fn find(system: &System, known: &[Slot], sample: &[f64]) -> Result<Plan, NoPlan> {
        let mut search = Search::new(system, known, sample);
        let mut reached = Vec::new();
        for (number, asked) in system.asked.iter().enumerate() {
            if !search.reach(*asked) {
                return Err(NoPlan::Asked(number));
            }
            reached.push(search.steps.len());
        }
        for (number, also) in system.also.iter().enumerate() {
            if !search.reach(*also) {
                return Err(NoPlan::Also(number));
            }
        }
        Ok(Plan { steps: search.steps, reached })
    }

    /// Runs the plan on slots whose known ones are filled. `round` may replace a
    /// found value (a learner rounds on the way); the identity gives exact values.
    pub fn run(&self, system: &System, slots: &mut [f64], round: &dyn Fn(Slot, f64) -> f64) {
        for step in &self.steps {
            match step {
                Step::Find(find) => {
                    let value = system.relations[find.relation].solve(find.target, slots);
                    slots[find.target] = round(find.target, value);
                }
                Step::Let { x, trials, inner, close } => {
                    let value = solve_let(system, slots, *x, *trials, inner, *close);
                    slots[*x] = round(*x, value);
                    for find in inner {
                        let value = system.relations[find.relation].solve(find.target, slots);
                        slots[find.target] = round(find.target, value);
                    }
                }
            }
        }
    }
}

/// The x at which the closing relation holds; its residual is affine in x.
fn solve_let(
    system: &System,
    slots: &mut [f64],
    x: Slot,
    trials: [f64; 2],
    inner: &[Find],
    close: usize,
) -> f64 {
    let [r0, r1] = trials.map(|trial| residual_at(system, slots, x, trial, inner, close));
    let slope = (r1 - r0) / (trials[1] - trials[0]);
    let near = trials[0] - r0 / slope;
    // Once more from close by: the trials may be far larger than x.
    near - residual_at(system, slots, x, near, inner, close) / slope
}

fn residual_at(
    system: &System,
    slots: &mut [f64],
    x: Slot,
    trial: f64,
    inner: &[Find],
    close: usize,
) -> f64 {
    slots[x] = trial;
    for find in inner {
        slots[find.target] = system.relations[find.relation].solve(find.target, slots);
    }
    system.relations[close].residual(slots)
}

/// A derivation of one slot: its steps (sorted numbers) and what they cost together.
#[derive(Debug, Clone)]
struct Derivation {
    cost: f64,
    steps: Vec<u32>,
}

struct Search<'a> {
    system: &'a System,
    known: Vec<bool>,
    values: Vec<f64>,
    steps: Vec<Step>,
    /// Every (relation, target) pair and its cost; a step's number is its index.
    catalogue: Vec<(Find, f64)>,
    /// For each relation, its slots and the step that finds each.
    ways: Vec<Vec<(Slot, Option<u32>)>>,
    scale: f64,
}

impl<'a> Search<'a> {
    fn new(system: &'a System, known: &[Slot], sample: &[f64]) -> Self {
        let mut flags = vec![false; system.nodes.len()];
        for slot in known {
            flags[*slot] = true;
        }
        let mut catalogue = Vec::new();
        let mut ways = Vec::new();
        for (number, relation) in system.relations.iter().enumerate() {
            let mut way = Vec::new();
            for slot in relation.slots() {
                let step = relation.gives(slot).then(|| {
                    let find = Find { target: slot, relation: number };
                    catalogue.push((find, step_cost(system, relation.why, slot)));
                    (catalogue.len() - 1) as u32
                });
                way.push((slot, step));
            }
            ways.push(way);
        }
        let scale = known
            .iter()
            .filter(|slot| matches!(system.nodes[**slot], Node::Amount(..)))
            .map(|slot| sample[*slot].abs())
            .fold(0.0, f64::max);
        Search {
            system,
            known: flags,
            values: sample.to_vec(),
            steps: Vec::new(),
            catalogue,
            ways,
            scale: if scale > 0.0 { scale } else { 1.0 },
        }
    }

    /// Extends the plan until `asked` is known; false if it cannot be.
    fn reach(&mut self, asked: Slot) -> bool {
        for _ in 0..=MOST_LETS {
            if self.known[asked] {
                return true;
            }
            let derivations = self.closure(&[]);
            if let Some(derivation) = &derivations[asked] {
                for find in self.ordered(&derivation.steps, &[asked]) {
                    self.take(find);
                }
                return true;
            }
            match self.best_let(asked) {
                Some(step) => self.take_let(step),
                None => return false,
            }
        }
        self.known[asked]
    }

    fn take(&mut self, find: Find) {
        let value = self.system.relations[find.relation].solve(find.target, &mut self.values);
        self.values[find.target] = value;
        self.known[find.target] = true;
        self.steps.push(Step::Find(find));
    }

    fn take_let(&mut self, step: Step) {
        let Step::Let { x, trials, inner, close } = &step else { return };
        let value = solve_let(self.system, &mut self.values, *x, *trials, inner, *close);
        residual_at(self.system, &mut self.values, *x, value, inner, *close);
        self.known[*x] = true;
        for find in inner {
            self.known[find.target] = true;
        }
        self.steps.push(step);
    }

    /// The cheapest derivation of every slot that plain steps reach from what is
    /// known and from `also`.
    fn closure(&self, also: &[Slot]) -> Vec<Option<Derivation>> {
        let mut best: Vec<Option<Derivation>> = self
            .known
            .iter()
            .map(|known| known.then(|| Derivation { cost: 0.0, steps: Vec::new() }))
            .collect();
        for slot in also {
            best[*slot] = Some(Derivation { cost: 0.0, steps: Vec::new() });
        }
        let mut changed = true;
        while changed {
            changed = false;
            for way in &self.ways {
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
                    }
                }
            }
        }
        best
    }

    fn cost_of(&self, steps: &[u32]) -> f64 {
        steps.iter().map(|step| self.catalogue[*step as usize].1).sum()
    }

    /// Steps put in the order of need, each target found once, nothing idle.
    fn ordered(&self, steps: &[u32], wanted: &[Slot]) -> Vec<Find> {
        self.ordered_from(steps, wanted, &[])
    }

    fn ordered_from(&self, steps: &[u32], wanted: &[Slot], also: &[Slot]) -> Vec<Find> {
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

    /// The let that leads to `asked` at the least cost; where none does, the
    /// cheapest that settles anything.
    fn best_let(&mut self, asked: Slot) -> Option<Step> {
        let mut found: Vec<(f64, Step)> = Vec::new();
        let plain = self.closure(&[]);
        for (x, reached) in plain.iter().enumerate() {
            // What plain steps reach need not be let be anything.
            if reached.is_some() || !self.may_be_let(x) {
                continue;
            }
            found.extend(self.lets_for(x, asked));
        }
        found.sort_by(|a, b| a.0.total_cmp(&b.0));
        found.truncate(LETS_FOLLOWED);
        let mut best: Option<(f64, Step)> = None;
        for (cost, step) in found {
            let Step::Let { x, inner, .. } = &step else { continue };
            let mut also = vec![*x];
            also.extend(inner.iter().map(|find| find.target));
            let rest = if also.contains(&asked) {
                0.0
            } else {
                self.closure(&also)[asked].as_ref().map_or(cost::ASTRAY, |d| d.cost)
            };
            if best.as_ref().is_none_or(|(least, _)| cost + rest < least - 1e-9) {
                best = Some((cost + rest, step));
            }
        }
        best.map(|(_, step)| step)
    }

    fn may_be_let(&self, x: Slot) -> bool {
        matches!(
            self.system.nodes[x],
            Node::Amount(_, What::Total | What::Component(_)) | Node::Share(_, What::Component(_))
        )
    }

    /// Every way to close a let of `x`, the cheapest few.
    fn lets_for(&mut self, x: Slot, asked: Slot) -> Vec<(f64, Step)> {
        let derivations = self.closure(&[x]);
        let trials = match self.system.nodes[x] {
            Node::Share(..) => [0.31, 0.57, 0.43],
            _ => [0.31, 0.57, 0.43].map(|t| t * self.scale),
        };
        let liking = if x == asked { cost::LET_ASKED } else { 0.0 }
            + match self.system.nodes[x] {
                Node::Amount(at, What::Total) if at.part.is_none() => 0.0,
                _ => cost::LET_NOT_TOTAL,
            };
        let mut closers: Vec<(f64, usize, Vec<u32>)> = Vec::new();
        for (number, way) in self.ways.iter().enumerate() {
            let mut steps = Vec::new();
            let mut reachable = true;
            for (slot, _) in way {
                match &derivations[*slot] {
                    Some(derivation) => merge(&mut steps, &derivation.steps),
                    None => reachable = false,
                }
            }
            let uses_itself =
                steps.iter().any(|s| self.catalogue[*s as usize].0.relation == number);
            let touches = way.iter().any(|(slot, _)| *slot == x || !self.known[*slot]);
            if reachable && touches && !uses_itself {
                let closing = step_cost(self.system, self.system.relations[number].why, x);
                let cost = self.cost_of(&steps) + closing + cost::LET + liking;
                closers.push((cost, number, steps));
            }
        }
        closers.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        for (cost, close, steps) in closers {
            let wanted: Vec<Slot> = self.ways[close].iter().map(|(slot, _)| *slot).collect();
            let inner = self.ordered_from(&steps, &wanted, &[x]);
            let mut values = self.values.clone();
            let residuals =
                trials.map(|t| residual_at(self.system, &mut values, x, t, &inner, close));
            let size = self.system.relations[close].size(&values);
            if is_affine_and_varies(trials, residuals, size) {
                let step = Step::Let { x, trials: [trials[0], trials[1]], inner, close };
                return vec![(cost, step)];
            }
        }
        Vec::new()
    }
}

/// True if the third residual lies on the line through the first two and the
/// line is not level; `terms` is the size of what the residuals are differences of.
fn is_affine_and_varies(trials: [f64; 3], residuals: [f64; 3], terms: f64) -> bool {
    if residuals.iter().any(|r| !r.is_finite()) {
        return false;
    }
    let [r0, r1, r2] = residuals;
    let size = residuals.iter().fold(terms, |most: f64, r| most.max(r.abs()));
    let slope = (r1 - r0) / (trials[1] - trials[0]);
    let expected = r0 + slope * (trials[2] - trials[0]);
    size > 0.0 && (r1 - r0).abs() > 1e-9 * size && (r2 - expected).abs() <= 1e-9 * size
}

/// Adds the numbers of `more` that are not yet in `steps`; both stay sorted.
fn merge(steps: &mut Vec<u32>, more: &[u32]) {
    for step in more {
        if let Err(place) = steps.binary_search(step) {
            steps.insert(place, *step);
        }
    }
}

fn step_cost(system: &System, why: Why, target: Slot) -> f64 {
    let base = match why {
        Why::Balance { envelope, .. } => {
            let Envelope { operations, whole, .. } = &system.envelopes[envelope];
            let drawn = cost::PLAIN + cost::ENVELOPE_EACH * (operations.len() as f64 - 1.0);
            if *whole { drawn.min(cost::WHOLE) } else { drawn }
        }
        Why::Fact(_) | Why::FactFor(..) | Why::Author(_) | Why::Asked(_) => cost::FACT,
        Why::SharesMakeOne(_) => cost::PLAIN + cost::REST,
        _ => cost::PLAIN,
    };
    let is_inner = |at: &At| at.part.is_some();
    let kind = match &system.nodes[target] {
        Node::Amount(at, of) => {
            let inner = if is_inner(at) { cost::INNER } else { 0.0 };
            inner + if *of == What::Total { 0.0 } else { cost::MASS }
        }
        Node::Share(at, _) => cost::SHARE + if is_inner(at) { cost::INNER } else { 0.0 },
        _ => 0.0,
    };
    base + kind
}

/// The slots that are filled before the first step: the constants, the author's
/// values and what the facts give.
pub(super) fn known_slots(system: &System) -> Vec<Slot> {
    let mut known = vec![ZERO, ONE];
    known.extend(
        system
            .nodes
            .iter()
            .enumerate()
            .filter(|(_, node)| matches!(node, Node::Value(_)))
            .map(|(slot, _)| slot),
    );
    known.extend(system.constants.iter().map(|(slot, _)| *slot));
    known.extend(system.givens.iter().map(|given| given.slot));
    known
}
