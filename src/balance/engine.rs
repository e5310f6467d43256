//! A problem compiled to a plan, and versions solved with it.
//!
//! Takes a problem and a few samples of its values; gives the plan, or says what
//! the facts lack or contradict. Every version is run through the plan and
//! through the dense solve; where the two differ the version is refused.

use super::dense::{Answer, Dense, Frame, Origin};
use super::flowsheet::Flowsheet;
use super::plan::{Code, Form, Plan, Step, tape};
use super::problem::{At, Problem, Says, What};
use super::relations::{Node, Shape, Slot, System, Why};
use crate::quantity::Formula;

/// Agreement asked of the plan and the dense solve, relative.
pub const CLOSURE: f64 = 1e-9;

/// A question's derivation, once for all versions.
#[derive(Debug, Clone)]
pub struct Engine {
    pub problem: Problem,
    pub(super) sheet: Flowsheet,
    pub system: System,
    pub plan: Plan,
    pub(super) known: Vec<Slot>,
    /// Slots that a fact or a step fills, each once; and the same as flags.
    filled: Vec<Slot>,
    is_filled: Vec<bool>,
    /// The plan as flat code.
    tape: Code,
    /// What of the second solve is the same in every version.
    frame: Frame,
    seats: Seats,
}

/// What is wrong with a problem whatever the version.
#[derive(Debug, Clone, PartialEq)]
pub enum Fault {
    /// The facts do not settle a formula that is needed; any one of `would_do` would
    /// (none: more than one fact is missing). A candidate is a share if its flag is set.
    TooFew { formula: Formula, would_do: Vec<(At, What, bool)> },
    /// These facts (and relations) cannot hold together; without the first, its
    /// quantity would have the second value in place of the first.
    TooMany { facts: Vec<usize>, relations: Vec<usize>, gap: Option<Gap> },
    /// The facts settle it, but no chain with at most two unknowns at a time leads there.
    NoRoute { formula: Formula },
    /// The facts allow it several values, all of them possible.
    SeveralRoots { formula: Formula, values: Vec<f64> },
    /// The pinned step, by number, can be no part of the derivation.
    RouteNotTaken { pin: usize },
}

/// A fact's own number and what the other facts make of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    pub fact: usize,
    pub stated: f64,
    pub implied: f64,
}

/// Why one version cannot be.
#[derive(Debug, Clone, PartialEq)]
pub enum Refusal {
    /// A mass or total would be negative.
    Negative { at: At, of: What, value: f64 },
    /// A share would lie outside 0 to 1.
    Share { at: At, of: What, value: f64 },
    /// A share would be beyond the most that there can be, as at an azeotrope.
    BeyondLimit { at: At, of: What, value: f64, most: f64 },
    /// A number has no finite value, such as after a division by zero.
    NotFinite { slot: Slot },
    /// No possible value of this quantity closes the balances, or more than one does.
    Unclosed { slot: Slot, roots: usize },
    /// A fact reads its table at a temperature (in K) that the table does not hold.
    OffTable { fact: usize, temperature: f64 },
    /// The facts contradict each other in this version.
    Contradiction,
    /// Plan and dense solve differ: a fault of ours, never printed over.
    Disagreement { asked: usize, plan: f64, dense: f64 },
}

impl Engine {
    pub(super) fn new(
        problem: Problem,
        sheet: Flowsheet,
        system: System,
        plan: Plan,
        known: Vec<Slot>,
        frame: Frame,
    ) -> Engine {
        let mut is_filled = vec![false; system.nodes.len()];
        let mut filled = Vec::new();
        for slot in known.iter().copied().chain(plan.steps.iter().flat_map(Step::targets)) {
            if !std::mem::replace(&mut is_filled[slot], true) {
                filled.push(slot);
            }
        }
        let tape = tape(&system, &plan);
        let seats = Seats::of(&problem, &sheet, &system, &frame);
        Engine { problem, sheet, system, plan, known, filled, is_filled, tape, frame, seats }
    }

    /// Solves a version, or says why it cannot be.
    pub fn solve(&self, values: &[f64]) -> Result<Vec<f64>, Refusal> {
        let mut slots = Vec::new();
        self.run_into(values, &mut slots);
        if let Some((fact, temperature)) = off_table(&self.problem, &self.system, &slots) {
            return Err(Refusal::OffTable { fact, temperature });
        }
        let asked = self.system.asked.iter();
        if let Some(slot) = self.filled.iter().chain(asked).find(|slot| !slots[**slot].is_finite())
        {
            return Err(self.without_value(*slot, values));
        }
        if self.problem.streams.is_empty() {
            return Ok(slots);
        }
        self.check_shares(&slots)?;
        let dense = Dense::new(&self.problem, &self.sheet, &self.frame, values);
        let mut all = slots.clone();
        self.plan.run_rest(&self.system, &mut all);
        let start = self.seats.values(&all);
        let near = self.check(&dense, &dense.solve(Some(&start), None), &slots);
        if near.is_err() && !dense.is_linear() {
            // A start that led to a false solution proves nothing.
            let free = self.check(&dense, &dense.solve(None, None), &slots);
            return free.or(near).map(|()| slots);
        }
        near.map(|()| slots)
    }

    /// What is asked, found from the facts alone without the plan: by elimination, or from
    /// a cold start where the facts are not linear. None if nothing possible was found, or
    /// if there are no streams.
    pub fn asked_anew(&self, values: &[f64]) -> Option<Vec<f64>> {
        if self.problem.streams.is_empty() {
            return None;
        }
        let dense = Dense::new(&self.problem, &self.sheet, &self.frame, values);
        let answer = dense.solve(None, None);
        let is_sound = answer.misfit <= CLOSURE
            && dense.impossible(&answer).is_none()
            && dense.beyond_limit(&answer).is_none();
        let asked = 0..self.system.asked.len();
        is_sound.then(|| asked.map(|number| dense.asked_value(&answer, number)).collect())
    }

    /// Holds what the plan found against another solution.
    fn check(&self, dense: &Dense<'_>, answer: &Answer, slots: &[f64]) -> Result<(), Refusal> {
        if answer.misfit > CLOSURE {
            return Err(Refusal::Contradiction);
        }
        if let Some((at, of, value)) = dense.impossible(answer) {
            return Err(Refusal::Negative { at, of, value });
        }
        if let Some((at, of, value, most)) = dense.beyond_limit(answer) {
            return Err(Refusal::BeyondLimit { at, of, value, most });
        }
        for (number, slot) in self.system.asked.iter().enumerate() {
            let plan = slots[*slot];
            let other = dense.asked_value(answer, number);
            if other.is_finite() && (plan - other).abs() > CLOSURE * plan.abs().max(other.abs()) {
                return Err(Refusal::Disagreement { asked: number, plan, dense: other });
            }
        }
        Ok(())
    }

    /// Why a slot has no value.
    fn without_value(&self, slot: Slot, values: &[f64]) -> Refusal {
        let bent = self.plan.steps.iter().position(|step| {
            matches!(step, Step::Let(letting)
                if letting.unknowns.contains(&slot) && matches!(letting.form, Form::Bent { .. }))
        });
        let Some(bent) = bent else { return Refusal::NotFinite { slot } };
        let Step::Let(letting) = &self.plan.steps[bent] else { return Refusal::NotFinite { slot } };
        let mut slots = filled(&self.system, values);
        let mut before = self.plan.clone();
        before.steps.truncate(bent);
        before.run(&self.system, &mut slots, &|_, value| value);
        let roots = letting.roots(&self.system, &mut slots);
        let roots = roots.iter().filter(|root| root.refused.is_none()).count();
        Refusal::Unclosed { slot, roots }
    }

    /// Runs the plan alone, step by step, with a hand in what each step finds.
    pub fn run_rounded(&self, values: &[f64], round: &dyn Fn(Slot, f64) -> f64) -> Vec<f64> {
        let mut slots = filled(&self.system, values);
        self.plan.run(&self.system, &mut slots, round);
        slots
    }

    /// Runs the plan alone, exactly.
    pub fn run(&self, values: &[f64]) -> Vec<f64> {
        let mut slots = Vec::new();
        self.run_into(values, &mut slots);
        slots
    }

    /// The same into slots that may have served before.
    pub fn run_into(&self, values: &[f64], slots: &mut Vec<f64>) {
        self.tape.run(&self.system, &self.plan, values, slots);
    }

    /// The slots that are filled before the first step.
    pub fn known(&self) -> &[Slot] {
        &self.known
    }

    /// The slot of an amount or share, if the plan or a fact fills it.
    pub fn slot_of(&self, node: Node) -> Option<Slot> {
        self.any_slot_of(node).filter(|slot| self.is_filled[*slot])
    }

    /// The same, filled or not.
    pub fn any_slot_of(&self, node: Node) -> Option<Slot> {
        self.system.find(super::relations::canonical(&self.problem, &self.sheet, node))
    }

    fn check_shares(&self, slots: &[f64]) -> Result<(), Refusal> {
        for slot in &self.filled {
            let value = slots[*slot];
            match self.system.nodes[*slot] {
                Node::Share(at, of) | Node::OtherShare(at, of)
                    if self.system.is_fraction(*slot)
                        && !(-CLOSURE..=1.0 + CLOSURE).contains(&value) =>
                {
                    return Err(Refusal::Share { at, of, value });
                }
                Node::Amount(at, of) | Node::Share(at, of)
                    if value < 0.0 && !is_noise(value, slots) =>
                {
                    return Err(Refusal::Negative { at, of, value });
                }
                _ => {}
            }
        }
        Ok(())
    }

    /// Facts that no asked formula needs and no step uses, by number.
    pub fn unneeded(&self, sample: &[f64]) -> Vec<usize> {
        let used = self.used_facts();
        let dense = Dense::new(&self.problem, &self.sheet, &self.frame, sample);
        let start = self.seats.values(&self.run(sample));
        (0..self.problem.facts.len())
            .filter(|fact| !used.contains(fact) && dense.origins().contains(&Origin::Fact(*fact)))
            .filter(|fact| {
                let answer = dense.solve(Some(&start), Some(Origin::Fact(*fact)));
                self.problem
                    .asked
                    .iter()
                    .chain(&self.problem.also)
                    .all(|formula| dense.settles(&answer, formula))
            })
            .collect()
    }

    /// Facts that a step uses, by number.
    fn used_facts(&self) -> Vec<usize> {
        let mut read: Vec<Slot> =
            self.system.asked.iter().chain(&self.system.also).copied().collect();
        let mut used = Vec::new();
        for step in &self.plan.steps {
            for relation in step.relations() {
                let relation = &self.system.relations[relation];
                read.extend(relation.slots());
                match relation.why {
                    Why::Fact(fact) | Why::FactFor(fact, _) | Why::FactForAll(fact) => {
                        used.push(fact);
                    }
                    _ => {}
                }
            }
        }
        used.extend(self.system.givens.iter().filter(|g| read.contains(&g.slot)).map(|g| g.fact));
        used
    }
}

/// Where the unknowns of the second solve are found among the slots: an amount, or
/// a total and a share.
#[derive(Debug, Clone)]
pub(super) struct Seats(Vec<Seat>);

/// The slot of an amount, and those of its total and its share.
type Seat = (Option<Slot>, Option<(Slot, Slot)>);

impl Seats {
    pub(super) fn of(
        problem: &Problem,
        sheet: &Flowsheet,
        system: &System,
        frame: &Frame,
    ) -> Seats {
        let slot = |node| system.find(super::relations::canonical(problem, sheet, node));
        let seat = |place: Option<(At, What)>| {
            let Some((at, of)) = place else { return (None, None) };
            let total = slot(Node::Amount(at, What::Total));
            (slot(Node::Amount(at, of)), total.zip(slot(Node::Share(at, of))))
        };
        Seats(frame.places().map(seat).collect())
    }

    /// The value of each unknown, NaN where the slots have none.
    pub(super) fn values(&self, slots: &[f64]) -> Vec<f64> {
        let value = |(amount, parts): &(Option<Slot>, Option<(Slot, Slot)>)| {
            let amount = amount.map(|slot| slots[slot]).filter(|value| value.is_finite());
            amount.unwrap_or_else(|| {
                let Some((total, share)) = *parts else { return f64::NAN };
                slots[total] * slots[share]
            })
        };
        self.0.iter().map(value).collect()
    }
}

/// A fact that reads its table where it has no points, and the temperature.
fn off_table(problem: &Problem, system: &System, slots: &[f64]) -> Option<(usize, f64)> {
    problem.facts.iter().enumerate().find_map(|(number, fact)| {
        let Says::Saturated { table, .. } = &fact.says else { return None };
        let temperature = slots[system.find(Node::Factor(number))?];
        (!table.read(temperature).is_finite()).then_some((number, temperature))
    })
}

fn is_noise(value: f64, slots: &[f64]) -> bool {
    let most = slots.iter().filter(|v| v.is_finite()).fold(0.0f64, |m, v| m.max(v.abs()));
    value.abs() <= 1e-12 * most
}

/// Slots with the constants, the author's values and the facts filled in.
pub(super) fn filled(system: &System, values: &[f64]) -> Vec<f64> {
    let mut slots = Vec::new();
    system.with_values(values, &mut slots);
    for given in &system.givens {
        slots[given.slot] = given.program.run(&slots);
    }
    slots
}

/// The operation next to a place, for messages: where it leaves, else where it enters.
pub fn operation_at(problem: &Problem, at: At) -> Option<usize> {
    let leaves = |o: &super::problem::Operation| o.outlets.iter().any(|(_, s)| *s == at.stream);
    let enters = |o: &super::problem::Operation| o.inlets.contains(&at.stream);
    problem
        .operations
        .iter()
        .position(leaves)
        .or_else(|| problem.operations.iter().position(enters))
}

/// True if a relation's solution for a slot is a plain equality.
pub fn is_equality(shape: &Shape) -> bool {
    matches!(shape, Shape::Sum { terms, constant } if terms.len() == 2 && *constant == 0.0
        && terms[0].0 == -terms[1].0)
}
