//! A problem made into an engine: its plan found on samples of the author's
//! values and tried on all of them, or what its facts lack or contradict.
//!
//! A step that has no value in some version, or a let that leads astray there, is
//! banned and the plan sought again; what holds in one sample only is no route.

use super::dense::{Answer, Dense, Frame, Origin};
use super::engine::{CLOSURE, Engine, Fault, Gap, Seats, filled};
use super::flowsheet::Flowsheet;
use super::plan::{Bans, Find, NoPlan, Plan, Route, Step, known_slots};
use super::problem::{At, Part, Problem, Says, What};
use super::relations::{Node, Slot, System, canonical};
use crate::quantity::Formula;

/// Plans that are tried before the first is kept with its faults: versions in
/// which it fails are refused then, one by one.
const MOST_PLANS: usize = 12;

impl Engine {
    /// Compiles a problem; `samples` are sets of the author's values (at least one).
    ///
    /// # Errors
    /// What is wrong with it whatever the version.
    pub fn compile(problem: Problem, samples: &[Vec<f64>]) -> Result<Engine, Vec<Fault>> {
        Engine::compile_by(problem, samples, &Route::default())
    }

    /// The same by a route that the author has a say in.
    ///
    /// # Errors
    /// What is wrong with it whatever the version.
    pub fn compile_by(
        problem: Problem,
        samples: &[Vec<f64>],
        route: &Route,
    ) -> Result<Engine, Vec<Fault>> {
        let sheet = Flowsheet::of(&problem);
        let system = System::of(&problem, &sheet);
        let known = known_slots(&system);
        let nothing = [Vec::new()];
        let samples = if samples.is_empty() { &nothing } else { samples };
        let frame = Frame::of(&problem, &sheet);
        let seats = Seats::of(&problem, &sheet, &system, &frame);
        let compiling = Compiling {
            problem: &problem,
            sheet: &sheet,
            system: &system,
            frame: &frame,
            seats: &seats,
        };
        let (plan, is_sound) = compiling.robust_plan(&known, samples, route);
        let faults = match told_of_the_absent(&problem, &sheet, &system, samples) {
            Some(told) => vec![told],
            None if is_sound => Vec::new(),
            None => compiling.faults(&plan, samples),
        };
        match plan {
            Ok(plan) if faults.is_empty() => {
                Ok(Engine::new(problem, sheet, system, plan, known, frame))
            }
            _ => Err(faults),
        }
    }
}

struct Compiling<'a> {
    problem: &'a Problem,
    sheet: &'a Flowsheet,
    system: &'a System,
    frame: &'a Frame,
    seats: &'a Seats,
}

/// How a plan does in one version.
enum Trial {
    Holds,
    CannotBe,
    Fails(Culprit),
}

/// What a plan fails by in one version.
enum Culprit {
    Find(Find),
    Let(Vec<Slot>, Vec<usize>),
}

impl Compiling<'_> {
    /// A plan that holds in all samples that can be; true if there is such a sample.
    fn robust_plan(
        &self,
        known: &[Slot],
        samples: &[Vec<f64>],
        route: &Route,
    ) -> (Result<Plan, NoPlan>, bool) {
        let mut bans = Bans::default();
        let found = |sample: &[f64], bans: &Bans| {
            Plan::find(self.system, known, &filled(self.system, sample), route, bans)
        };
        let mut sample = &samples[0];
        let mut first = found(sample, &bans);
        let holds = |plan: &Result<Plan, NoPlan>, values: &[f64]| match plan {
            Ok(plan) => matches!(self.trial(plan, values), Trial::Holds),
            Err(_) => false,
        };
        let is_simple = self.problem.streams.is_empty();
        if !is_simple && !samples.iter().any(|values| holds(&first, values)) {
            // The first sample may not be one that a plan can be found on.
            let Some(feasible) = samples.iter().find(|values| self.is_feasible(values)) else {
                // Nothing can be held against it but that its steps have no values.
                for _ in 0..MOST_PLANS {
                    let Ok(plan) = &first else { break };
                    let Some(find) = self.without_value(plan, sample) else { break };
                    bans.finds.push(find);
                    match found(sample, &bans) {
                        Ok(next) => first = Ok(next),
                        Err(_) => break,
                    }
                }
                return (first, false);
            };
            if feasible != sample {
                sample = feasible;
                first = found(sample, &bans);
            }
        }
        let Ok(mut plan) = first.clone() else { return (first, false) };
        if is_simple {
            return (first, true);
        }
        for _ in 0..MOST_PLANS {
            let failed = samples.iter().find_map(|values| match self.trial(&plan, values) {
                Trial::Fails(culprit) => Some(culprit),
                Trial::Holds | Trial::CannotBe => None,
            });
            match failed {
                None => return (Ok(plan), true),
                Some(Culprit::Find(find)) => bans.finds.push(find),
                Some(Culprit::Let(unknowns, closes)) => bans.lets.push((unknowns, closes)),
            }
            match found(sample, &bans) {
                Ok(next) => plan = next,
                // A plan for some versions is better than none; one for none is none.
                Err(_) if samples.iter().any(|values| holds(&first, values)) => break,
                Err(no_plan) => return (Err(no_plan), false),
            }
        }
        (first, true)
    }

    /// The first step of a plan that has no value in a version.
    fn without_value(&self, plan: &Plan, values: &[f64]) -> Option<Find> {
        let mut slots = filled(self.system, values);
        plan.run(self.system, &mut slots, &|_, value| value);
        plan.steps
            .iter()
            .filter_map(|step| match step {
                Step::Find(find) => Some(*find),
                Step::Let(_) | Step::Basis(_) => None,
            })
            .find(|find| !slots[find.target].is_finite())
    }

    /// How a plan does in one version.
    fn trial(&self, plan: &Plan, values: &[f64]) -> Trial {
        let mut slots = filled(self.system, values);
        plan.run(self.system, &mut slots, &|_, value| value);
        let dense = self.dense(values);
        let is_finite =
            plan.steps.iter().flat_map(Step::targets).all(|slot| slots[slot].is_finite());
        if is_finite {
            let mut all = slots.clone();
            plan.run_rest(self.system, &mut all);
            let start = self.seats.values(&all);
            let near = dense.solve(Some(&start), None);
            if self.is_possible(&dense, &near) && self.agrees(&dense, &near, &slots) {
                return Trial::Holds;
            }
        }
        let free = dense.solve(None, None);
        if !self.is_possible(&dense, &free) {
            return Trial::CannotBe;
        }
        let differs = |slot: &Slot| {
            let value = slots[*slot];
            let other = self.formula_of(self.system.nodes[*slot]);
            let other = other.map(|formula| dense.formula_value(&free, &formula));
            !value.is_finite() || other.is_some_and(|other| is_apart(value, other))
        };
        let culprit = plan.steps.iter().find_map(|step| match step {
            Step::Find(find) => differs(&find.target).then_some(Culprit::Find(*find)),
            // Its steps have no values of their own to be held against.
            Step::Basis(_) => None,
            Step::Let(letting) => {
                // With the unknowns right, it is an inner step that has no value.
                if letting.unknowns.iter().any(differs) {
                    Some(Culprit::Let(letting.unknowns.clone(), letting.closes.clone()))
                } else {
                    let found = letting.inner.iter().find(|find| differs(&find.target));
                    found.map(|find| Culprit::Find(*find))
                }
            }
        });
        culprit.map_or(Trial::Holds, Trial::Fails)
    }

    fn dense<'b>(&'b self, values: &'b [f64]) -> Dense<'b> {
        Dense::new(self.problem, self.sheet, self.frame, values)
    }

    fn agrees(&self, dense: &Dense<'_>, answer: &Answer, slots: &[f64]) -> bool {
        self.system
            .asked
            .iter()
            .enumerate()
            .all(|(number, slot)| !is_apart(slots[*slot], dense.asked_value(answer, number)))
    }

    /// A formula that reads a node; None where no name says it.
    fn formula_of(&self, node: Node) -> Option<Formula> {
        let (at, of, end) = match node {
            Node::Amount(at, of) => (at, of, ""),
            Node::Share(at, of) => (at, of, ".fraction"),
            _ => return None,
        };
        let part = match at.part {
            None => "",
            Some(Part::Solids) => ".solids",
            Some(Part::Liquor) => ".liquor",
        };
        let of = match of {
            What::Total => "total",
            What::Component(c) => &self.problem.components[c].name,
            What::Group(g) => &self.problem.groups[g].name,
            _ => return None,
        };
        let text = format!("{}{part}.{of}{end}", self.problem.streams[at.stream]);
        Formula::parse(&text, |at| at).ok()
    }

    fn is_possible(&self, dense: &Dense<'_>, answer: &Answer) -> bool {
        answer.misfit <= CLOSURE && dense.impossible(answer).is_none()
    }

    fn is_feasible(&self, values: &[f64]) -> bool {
        let dense = self.dense(values);
        self.is_possible(&dense, &dense.solve(None, None))
    }

    fn faults(&self, plan: &Result<Plan, NoPlan>, samples: &[Vec<f64>]) -> Vec<Fault> {
        let sample = samples.iter().find(|values| self.is_feasible(values)).unwrap_or(&samples[0]);
        let contradicted = |values: &Vec<f64>| {
            let mut slots = filled(self.system, values);
            if let Ok(plan) = plan {
                plan.run(self.system, &mut slots, &|_, value| value);
            }
            contradiction(self.problem, &self.dense(values), &self.seats.values(&slots))
        };
        if let Some(clash) = contradicted(sample)
            && samples.iter().all(|values| values == sample || contradicted(values).is_some())
        {
            return vec![clash];
        }
        let Err(no_plan) = plan else { return Vec::new() };
        let missing = missing(self.problem, self.sheet, &self.dense(sample));
        if !missing.is_empty() {
            return missing;
        }
        let formula = |number: usize| self.problem.asked.get(number).cloned();
        let fault = match no_plan {
            NoPlan::Asked(number) => formula(*number).map(|formula| Fault::NoRoute { formula }),
            NoPlan::Also(_) => {
                self.problem.also.first().map(|f| Fault::NoRoute { formula: f.clone() })
            }
            NoPlan::Several { asked, values } => formula(*asked)
                .map(|formula| Fault::SeveralRoots { formula, values: values.clone() }),
            NoPlan::Route(pin) => Some(Fault::RouteNotTaken { pin: *pin }),
        };
        fault.into_iter().collect()
    }
}

fn is_apart(value: f64, other: f64) -> bool {
    let close = (value - other).abs() <= CLOSURE * value.abs().max(other.abs());
    other.is_finite() && !close
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
        let implied = match canonical(problem, sheet, Node::Share(fact.at, *of)) {
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

/// The facts that cannot hold together, if any.
fn contradiction(problem: &Problem, dense: &Dense<'_>, start: &[f64]) -> Option<Fault> {
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
                gap = gap.or_else(|| gap_of(problem, dense, &without, fact));
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
fn missing(problem: &Problem, sheet: &Flowsheet, dense: &Dense<'_>) -> Vec<Fault> {
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
