//! A problem compiled to a plan, and versions solved with it.
//!
//! Takes a problem and a few samples of its values; gives the plan, or says what
//! the facts lack or contradict. Every version is run through the plan and
//! through the dense solve; where the two differ the version is refused.

use super::dense::{Answer, Dense, Origin};
use super::flowsheet::Flowsheet;
use super::plan::{NoPlan, Plan, Step, known_slots};
use super::problem::{At, Problem, Says, What};
use super::relations::{Node, ONE, Shape, Slot, System, Why};
use crate::quantity::Formula;

/// Agreement asked of the plan and the dense solve, relative.
pub const CLOSURE: f64 = 1e-9;

/// A question's derivation, once for all versions.
#[derive(Debug, Clone)]
pub struct Engine {
    pub problem: Problem,
    sheet: Flowsheet,
    pub system: System,
    pub plan: Plan,
    known: Vec<Slot>,
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
    /// The facts settle it, but no chain with at most one let at a time leads there.
    NoRoute { formula: Formula },
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
    /// A number has no finite value, such as after a division by zero.
    NotFinite { slot: Slot },
    /// A fact reads its table at a temperature (in K) that the table does not hold.
    OffTable { fact: usize, temperature: f64 },
    /// The facts contradict each other in this version.
    Contradiction,
    /// Plan and dense solve differ: a fault of ours, never printed over.
    Disagreement { asked: usize, plan: f64, dense: f64 },
}

impl Engine {
    /// Compiles a problem; `samples` are sets of the author's values (at least one).
    pub fn compile(problem: Problem, samples: &[Vec<f64>]) -> Result<Engine, Vec<Fault>> {
        let sheet = Flowsheet::of(&problem);
        let system = System::of(&problem, &sheet);
        let known = known_slots(&system);
        let nothing = Vec::new();
        let first = samples.first().unwrap_or(&nothing);
        let sample =
            samples.iter().find(|values| is_feasible(&problem, &sheet, values)).unwrap_or(first);
        let plan = Plan::find(&system, &known, &filled(&system, &problem, sample));
        let contradicted = |values: &Vec<f64>| {
            let mut slots = filled(&system, &problem, values);
            if let Ok(plan) = &plan {
                plan.run(&system, &mut slots, &|_, value| value);
            }
            let start = |at, of| value_of(&problem, &sheet, &system, &slots, at, of);
            contradiction(&problem, &sheet, values, &start)
        };
        let mut faults: Vec<Fault> = Vec::new();
        faults.extend(told_of_the_absent(&problem, &sheet, &system, samples));
        if faults.is_empty() && samples.iter().all(|values| contradicted(values).is_some()) {
            faults.extend(contradicted(sample));
        }
        if let Err(no_plan) = &plan
            && faults.is_empty()
        {
            faults.extend(missing(&problem, &sheet, sample));
            if faults.is_empty() {
                let formula = match no_plan {
                    NoPlan::Asked(number) => problem.asked.get(*number),
                    NoPlan::Also(_) => problem.also.first(),
                };
                faults.extend(formula.map(|f| Fault::NoRoute { formula: f.clone() }));
            }
        }
        match plan {
            Ok(plan) if faults.is_empty() => Ok(Engine { problem, sheet, system, plan, known }),
            _ => Err(faults),
        }
    }

    /// Solves a version, or says why it cannot be.
    pub fn solve(&self, values: &[f64]) -> Result<Vec<f64>, Refusal> {
        let slots = self.run(values, &|_, value| value);
        if let Some((fact, temperature)) = off_table(&self.problem, &self.system, &slots) {
            return Err(Refusal::OffTable { fact, temperature });
        }
        let given = self.system.givens.iter().map(|given| given.slot);
        let found = self.plan.steps.iter().flat_map(targets);
        let asked = self.system.asked.iter().copied();
        if let Some(slot) = given.chain(found).chain(asked).find(|slot| !slots[*slot].is_finite()) {
            return Err(Refusal::NotFinite { slot });
        }
        if self.problem.streams.is_empty() {
            return Ok(slots);
        }
        self.check_shares(&slots)?;
        let dense = Dense::new(&self.problem, &self.sheet, values);
        let start = |at: At, of: What| self.value_of(&slots, at, of);
        let answer = dense.solve(Some(&start), None);
        if answer.misfit > CLOSURE {
            return Err(Refusal::Contradiction);
        }
        if let Some((at, of, value)) = dense.impossible(&answer) {
            return Err(Refusal::Negative { at, of, value });
        }
        for (number, formula) in self.problem.asked.iter().enumerate() {
            let plan = slots[self.system.asked[number]];
            let other = dense.formula_value(&answer, formula);
            if other.is_finite() && (plan - other).abs() > CLOSURE * plan.abs().max(other.abs()) {
                return Err(Refusal::Disagreement { asked: number, plan, dense: other });
            }
        }
        Ok(slots)
    }

    /// Runs the plan alone, with a hand in what each step finds.
    pub fn run(&self, values: &[f64], round: &dyn Fn(Slot, f64) -> f64) -> Vec<f64> {
        let mut slots = filled(&self.system, &self.problem, values);
        self.plan.run(&self.system, &mut slots, round);
        slots
    }

    /// The slots that are filled before the first step.
    pub fn known(&self) -> &[Slot] {
        &self.known
    }

    /// The slot of an amount or share, if the plan or a fact fills it.
    pub fn slot_of(&self, node: Node) -> Option<Slot> {
        let node = super::relations::canonical(&self.problem, &self.sheet, node);
        let slot = self.system.find(node)?;
        let found = self.known.contains(&slot)
            || self.plan.steps.iter().any(|step| targets(step).contains(&slot));
        found.then_some(slot)
    }

    fn value_of(&self, slots: &[f64], at: At, of: What) -> Option<f64> {
        value_of(&self.problem, &self.sheet, &self.system, slots, at, of)
    }

    fn check_shares(&self, slots: &[f64]) -> Result<(), Refusal> {
        let filled = self.known.iter().copied().chain(self.plan.steps.iter().flat_map(targets));
        for slot in filled {
            let value = slots[slot];
            match self.system.nodes[slot] {
                Node::Share(at, of) if !(-CLOSURE..=1.0 + CLOSURE).contains(&value) => {
                    return Err(Refusal::Share { at, of, value });
                }
                Node::Amount(at, of) if value < 0.0 && !is_noise(value, slots) => {
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
        let dense = Dense::new(&self.problem, &self.sheet, sample);
        let slots = self.run(sample, &|_, value| value);
        let start = |at: At, of: What| self.value_of(&slots, at, of);
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
            let relations: Vec<usize> = match step {
                Step::Find(find) => vec![find.relation],
                Step::Let { inner, close, .. } => {
                    inner.iter().map(|f| f.relation).chain([*close]).collect()
                }
            };
            for relation in relations {
                let relation = &self.system.relations[relation];
                read.extend(relation.slots());
                match relation.why {
                    Why::Fact(fact) | Why::FactFor(fact, _) => used.push(fact),
                    _ => {}
                }
            }
        }
        used.extend(self.system.givens.iter().filter(|g| read.contains(&g.slot)).map(|g| g.fact));
        used
    }
}

/// The slots a step finds.
pub fn targets(step: &Step) -> Vec<Slot> {
    match step {
        Step::Find(find) => vec![find.target],
        Step::Let { x, inner, .. } => {
            std::iter::once(*x).chain(inner.iter().map(|find| find.target)).collect()
        }
    }
}

/// The value of an amount, if a fact or the plan has filled its slot or those of
/// its share and total.
fn value_of(
    problem: &Problem,
    sheet: &Flowsheet,
    system: &System,
    slots: &[f64],
    at: At,
    of: What,
) -> Option<f64> {
    let value = |node| {
        let node = super::relations::canonical(problem, sheet, node);
        system.find(node).map(|slot| slots[slot]).filter(|value| value.is_finite())
    };
    value(Node::Amount(at, of))
        .or_else(|| Some(value(Node::Amount(at, What::Total))? * value(Node::Share(at, of))?))
}

/// A fact that reads its table where it has no points, and the temperature.
fn off_table(problem: &Problem, system: &System, slots: &[f64]) -> Option<(usize, f64)> {
    problem.facts.iter().enumerate().find_map(|(number, fact)| {
        let Says::Saturated { table, .. } = &fact.says else { return None };
        let temperature = slots[system.find(Node::Factor(number))?];
        (!table.read(temperature).is_finite()).then_some((number, temperature))
    })
}

/// Shares of a stream that cannot be: some of what is absent, or not all of what
/// is alone. Balances alone would call such a stream empty.
fn told_of_the_absent(
    problem: &Problem,
    sheet: &Flowsheet,
    system: &System,
    samples: &[Vec<f64>],
) -> Option<Fault> {
    problem.facts.iter().enumerate().find_map(|(number, fact)| {
        let Says::Share { of, .. } = &fact.says else { return None };
        let implied = match super::relations::canonical(problem, sheet, Node::Share(fact.at, *of)) {
            Node::Zero => 0.0,
            Node::One => 1.0,
            _ => return None,
        };
        let twin = system.find(Node::Factor(number))?;
        let given = system.givens.iter().find(|given| given.slot == twin)?;
        let stated = |values: &Vec<f64>| {
            let mut slots = vec![f64::NAN; system.nodes.len()];
            for (slot, node) in system.nodes.iter().enumerate() {
                if let Node::Value(value) = node {
                    slots[slot] = values.get(*value).copied().unwrap_or(f64::NAN);
                }
            }
            given.program.run(&slots)
        };
        let first = stated(samples.first()?);
        samples.iter().all(|values| (stated(values) - implied).abs() > CLOSURE).then(|| {
            let gap = Some(Gap { fact: number, stated: first, implied });
            Fault::TooMany { facts: vec![number], relations: Vec::new(), gap }
        })
    })
}

fn is_noise(value: f64, slots: &[f64]) -> bool {
    let most = slots.iter().filter(|v| v.is_finite()).fold(0.0f64, |m, v| m.max(v.abs()));
    value.abs() <= 1e-12 * most
}

/// Slots with the constants, the author's values and the facts filled in.
fn filled(system: &System, problem: &Problem, values: &[f64]) -> Vec<f64> {
    let mut slots = vec![f64::NAN; system.nodes.len()];
    slots[super::relations::ZERO] = 0.0;
    slots[ONE] = 1.0;
    for (slot, node) in system.nodes.iter().enumerate() {
        if let Node::Value(value) = node {
            slots[slot] = values.get(*value).copied().unwrap_or(f64::NAN);
        }
    }
    for (slot, value) in &system.constants {
        slots[*slot] = *value;
    }
    for given in &system.givens {
        slots[given.slot] = given.program.run(&slots);
    }
    debug_assert!(slots.len() >= System::first_unknown(problem));
    slots
}

fn is_feasible(problem: &Problem, sheet: &Flowsheet, values: &[f64]) -> bool {
    let dense = Dense::new(problem, sheet, values);
    let answer = dense.solve(None, None);
    answer.misfit <= CLOSURE && dense.impossible(&answer).is_none()
}

/// The facts that cannot hold together, if any.
fn contradiction(
    problem: &Problem,
    sheet: &Flowsheet,
    values: &[f64],
    start: &dyn Fn(At, What) -> Option<f64>,
) -> Option<Fault> {
    let dense = Dense::new(problem, sheet, values);
    let answer = dense.solve(Some(start), None);
    if answer.misfit <= CLOSURE {
        return None;
    }
    let mut facts = Vec::new();
    let mut relations = Vec::new();
    let mut gap = None;
    for origin in dense.origins() {
        let without = dense.solve(Some(start), Some(origin));
        if without.misfit > CLOSURE
            || dense.is_empty_somewhere(&without)
            || !dense.contradicts(&without, origin)
        {
            continue;
        }
        match origin {
            Origin::Fact(fact) => {
                facts.push(fact);
                gap = gap.or_else(|| gap_of(problem, &dense, &without, fact));
            }
            Origin::Author(relation) => relations.push(relation),
            Origin::Physics => {}
        }
    }
    // A start that Newton's rounds could not bring home proves nothing.
    (!facts.is_empty() || !relations.is_empty() || dense.is_linear()).then_some(Fault::TooMany {
        facts,
        relations,
        gap,
    })
}

fn gap_of(problem: &Problem, dense: &Dense<'_>, without: &Answer, fact: usize) -> Option<Gap> {
    dense.stated_and_implied(&problem.facts[fact], without).map(|(stated, implied)| Gap {
        fact,
        stated,
        implied,
    })
}

/// For the first asked formula that the facts do not settle, what would.
fn missing(problem: &Problem, sheet: &Flowsheet, values: &[f64]) -> Vec<Fault> {
    let dense = Dense::new(problem, sheet, values);
    let answer = dense.solve(None, None);
    let mut faults = Vec::new();
    for formula in problem.asked.iter().chain(&problem.also) {
        if dense.settles(&answer, formula) {
            continue;
        }
        let mut would_do = Vec::new();
        for stream in 0..problem.streams.len() {
            let at = At::whole(stream);
            let components = sheet.present(problem, at);
            let many = components.len() > 1;
            let forms = components
                .into_iter()
                .filter(|_| many)
                .map(|c| (at, What::Component(c), true))
                .chain([(at, What::Total, false)]);
            would_do.extend(forms.filter(|form| dense.would_settle(&answer, formula, *form)));
        }
        faults.push(Fault::TooFew { formula: formula.clone(), would_do });
    }
    faults
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
