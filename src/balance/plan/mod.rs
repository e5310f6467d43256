//! The shortest honest hand derivation of what is asked.
//!
//! Takes a system of relations and a sample of values; gives a straight-line
//! plan. A plain step finds one quantity from known ones. Where no chain of
//! plain steps exists, one quantity is let be x (two at most, x and y), plain
//! steps are taken in terms of it, and relations not yet used close the loop.
//! Derivations are compared by the cost of the union of their steps, so a step
//! that serves twice counts once.
//!
//! `search` finds chains, `lets` what is let be unknown, `probe` tells cheaply
//! which lets are worth following, `route` holds what the author pins, `running`
//! runs a plan step by step, `tape` makes `code` of it for exact versions (`lines` of
//! its straight lets). What may be divided by, and what is absent, was settled for all
//! versions before; the sample only tells whether a relation closes a let.

mod code;
mod cost;
mod lets;
mod lines;
mod probe;
mod route;
mod running;
mod search;
mod tape;

use super::relations::{Node, ONE, Slot, System, ZERO};
pub(super) use code::Code;
pub use route::{Pin, Route};
pub use running::Root;
use search::Search;
pub(super) use tape::tape;

/// A derivation, ready to run for any version.
#[derive(Debug, Clone)]
pub struct Plan {
    pub steps: Vec<Step>,
    /// For each asked formula, how many steps stand before its answer.
    pub reached: Vec<usize>,
    /// Steps that nobody asked for, to whatever else follows: a start for the check.
    rest: Vec<Find>,
}

#[derive(Debug, Clone, PartialEq)]
pub enum Step {
    /// One quantity from one relation.
    Find(Find),
    /// Let something be unknown, take the inner steps, and close on a relation.
    Let(Let),
    /// Take so much of one stream, for what is a matter of proportions.
    Basis(Basis),
}

/// As if there were [`Basis::AMOUNT`] of a stream, of which nobody knows how much
/// there is: what is wanted is the same however much it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Basis {
    pub of: Slot,
    /// Steps whose values hold for the basis alone.
    pub inner: Vec<Step>,
    pub wanted: Slot,
}

impl Basis {
    /// A hundred of whatever unit, so that shares are read as percentages.
    pub const AMOUNT: f64 = 100.0;
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Find {
    pub target: Slot,
    /// Number of the relation.
    pub relation: usize,
}

/// One or two quantities let be unknown, and what settles them.
#[derive(Debug, Clone, PartialEq)]
pub struct Let {
    pub unknowns: Vec<Slot>,
    /// Steps in terms of the unknowns.
    pub inner: Vec<Find>,
    /// As many relations as unknowns, none of them used by `inner`.
    pub closes: Vec<usize>,
    pub form: Form,
}

/// How the closing residuals depend on the unknowns.
#[derive(Debug, Clone, PartialEq)]
pub enum Form {
    /// On a straight line: two trial values for each unknown settle it exactly.
    Straight { trials: Vec<[f64; 2]> },
    /// On a curve in one unknown, so its root is looked for where it can be.
    Bent {
        /// Known amounts, whose largest says how far an amount is looked for.
        sized_by: Vec<Slot>,
        /// Steps that no working shows: they tell which of several roots can be.
        checks: Vec<Find>,
    },
}

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum NoPlan {
    /// No chain, with or without lets, reaches this asked formula.
    Asked(usize),
    /// Nor this slot that a condition, a slip or a text reads.
    Also(usize),
    /// A let leads to this asked formula, but several values of it are possible.
    Several { asked: usize, values: Vec<f64> },
    /// This pinned relation cannot be part of the derivation.
    Route(usize),
}

/// What a search may not use, because it fails in some version.
#[derive(Debug, Clone, Default)]
pub(super) struct Bans {
    pub(super) finds: Vec<Find>,
    /// Unknowns with the relations that close them.
    pub(super) lets: Vec<(Vec<Slot>, Vec<usize>)>,
}

impl Step {
    /// The slots that the step finds.
    pub fn targets(&self) -> Vec<Slot> {
        match self {
            Step::Find(find) => vec![find.target],
            Step::Let(letting) => letting.targets().collect(),
            Step::Basis(basis) => vec![basis.wanted],
        }
    }

    /// Numbers of the relations that the step uses.
    pub fn relations(&self) -> Vec<usize> {
        match self {
            Step::Find(find) => vec![find.relation],
            Step::Let(letting) => letting.relations().collect(),
            Step::Basis(basis) => basis.inner.iter().flat_map(Step::relations).collect(),
        }
    }
}

impl Let {
    pub fn targets(&self) -> impl Iterator<Item = Slot> + '_ {
        self.unknowns.iter().copied().chain(self.inner.iter().map(|find| find.target))
    }

    pub fn relations(&self) -> impl Iterator<Item = usize> + '_ {
        self.inner.iter().map(|find| find.relation).chain(self.closes.iter().copied())
    }
}

impl Plan {
    /// The cheapest derivation found for all that `system` asks, in order.
    ///
    /// `known` are the slots that are filled before the first step; `sample` holds
    /// their values in one version.
    pub(super) fn find(
        system: &System,
        known: &[Slot],
        sample: &[f64],
        route: &Route,
        bans: &Bans,
    ) -> Result<Plan, NoPlan> {
        let mut blocked = None;
        for insistence in route.insistence() {
            let plan = Plan::find_once(system, known, sample, route, *insistence, bans)?;
            match route.passed_by(system, &plan) {
                None => return Ok(plan),
                Some(pin) => blocked = Some(pin),
            }
        }
        Err(NoPlan::Route(blocked.unwrap_or_default()))
    }

    fn find_once(
        system: &System,
        known: &[Slot],
        sample: &[f64],
        route: &Route,
        insistence: f64,
        bans: &Bans,
    ) -> Result<Plan, NoPlan> {
        let mut search = Search::new(system, known, sample, bans);
        let mut reached = Vec::new();
        for (number, asked) in system.asked.iter().enumerate() {
            search.follow(route, insistence, number);
            if !search.reach(*asked) {
                return Err(match search.take_several() {
                    Some(values) => NoPlan::Several { asked: number, values },
                    None => NoPlan::Asked(number),
                });
            }
            reached.push(search.steps.len());
        }
        search.follow(&Route::default(), insistence, usize::MAX);
        for (number, also) in system.also.iter().enumerate() {
            if !search.reach(*also) {
                return Err(NoPlan::Also(number));
            }
        }
        let rest = search.rest();
        let mut plan = Plan { steps: search.steps, reached, rest };
        plan.drop_idle(system);
        Ok(plan)
    }

    /// Leaves out steps that lead to nothing that is asked: a let that was tried
    /// on the way.
    fn drop_idle(&mut self, system: &System) {
        let mut needed = vec![false; system.nodes.len()];
        system.asked.iter().chain(&system.also).for_each(|slot| needed[*slot] = true);
        let mut kept = vec![false; self.steps.len()];
        for (number, step) in self.steps.iter().enumerate().rev() {
            if step.targets().iter().any(|slot| needed[*slot]) {
                kept[number] = true;
                for relation in step.relations() {
                    system.relations[relation].slots().iter().for_each(|s| needed[*s] = true);
                }
            }
        }
        for reached in &mut self.reached {
            *reached = kept[..*reached].iter().filter(|kept| **kept).count();
        }
        let mut kept = kept.into_iter();
        self.steps.retain(|_| kept.next().unwrap_or(true));
    }
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
