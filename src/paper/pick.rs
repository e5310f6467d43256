//! The integer programme that fills a table of specifications.
//!
//! Takes candidates with their cells, marks and times, and what is wanted; gives the
//! choice of least cost that meets all of it, or what keeps it from being met and
//! the nearest table that can be. Knows nothing of units or files.

use microlp::{
    ComparisonOp, Error, OptimizationDirection, Problem, Solution, SolveOptions, SolveOutcome,
    Variable,
};

use crate::reading::paper::Bounds;

/// A question as the programme sees it.
#[derive(Debug, Clone, Default)]
pub struct Candidate {
    /// Which cell of the table its marks count in.
    pub cell: usize,
    pub marks: u32,
    pub seconds: u32,
    /// How many earlier papers have it.
    pub earlier: u32,
    /// Settles ties; below `TIES`.
    pub tie: u32,
}

/// Ties are settled among so many.
pub const TIES: u32 = 64;

/// Branches after which the best choice found stands, or a search is begun anew with twice as
/// many; how often, and how the order of the questions is changed for it. A number of
/// branches stops at the same place on every machine, as a time would not.
const BRANCHES: u64 = 400;
const TURNS: usize = 6;
const STRIDES: [usize; 8] = [1, 7, 13, 29, 37, 53, 71, 89];
/// Larger than most banks; of larger ones a few questions stand beside each other.
const PRIME: usize = 1009;
/// Branches that the search for the best tie may take. Proving that no tie is better can
/// take minutes over a large bank and changes nothing that anyone asked for; a number of
/// branches stops it at the same place on every machine, as a time would not.
const TIE_BRANCHES: u64 = 60;

/// The cost of taking a question: its marks, for each earlier paper that had it.
pub fn cost(candidate: &Candidate) -> u64 {
    u64::from(candidate.earlier) * u64::from(candidate.marks)
}

/// What a section takes.
#[derive(Debug, Clone, Default)]
pub struct SectionRule {
    /// For each candidate whether it may stand here.
    pub allowed: Vec<bool>,
    pub marks: Option<Bounds>,
    pub questions: Option<Bounds>,
}

#[derive(Debug, Clone, Default)]
pub struct Wanted {
    pub cells: Vec<Bounds>,
    pub total: Option<Bounds>,
    /// The time allowed.
    pub seconds: Option<u32>,
    pub must: Vec<usize>,
    /// Of each group exactly one.
    pub one_of: Vec<Vec<usize>>,
    /// Pairs of which at most one is taken.
    pub apart: Vec<(usize, usize)>,
    /// None: the paper has no sections.
    pub sections: Vec<SectionRule>,
}

/// The questions taken, by their number, each with its section.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picked {
    pub questions: Vec<(usize, Option<usize>)>,
}

/// A demand beside the table without which it could be filled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Blocker {
    Total,
    Time,
    Must,
    OneOf,
    Apart,
    Sections,
}

impl Blocker {
    const ALL: [Blocker; 6] = [
        Blocker::Apart,
        Blocker::Must,
        Blocker::OneOf,
        Blocker::Sections,
        Blocker::Total,
        Blocker::Time,
    ];
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unfillable {
    /// The marks of each cell in the nearest table that can be filled; none if the
    /// other demands contradict each other whatever the table.
    pub nearest: Option<Vec<u32>>,
    /// Demands each of which alone stands in the way.
    pub blockers: Vec<Blocker>,
}

/// Chooses. No other choice costs less, unless proving that would take too many branches; of
/// those that cost the same, one with a low sum of ties is taken.
///
/// # Errors
/// `Unfillable` where nothing meets all that is wanted; the words of the solver
/// where it failed.
pub fn pick(
    candidates: &[Candidate],
    wanted: &Wanted,
) -> Result<Result<Picked, Unfillable>, String> {
    if let Some(taken) = solved(candidates, wanted, None, Aim::LeastCost)? {
        return Ok(Ok(untied(candidates, wanted, taken)));
    }
    let mut blockers = Vec::new();
    for blocker in Blocker::ALL {
        if solved(candidates, wanted, Some(blocker), Aim::LeastCost)?.is_some() {
            blockers.push(blocker);
        }
    }
    let near = solved(candidates, wanted, None, Aim::Nearest)?;
    let nearest = near.map(|picked| {
        let mut marks = vec![0; wanted.cells.len()];
        for (number, _) in picked.questions {
            marks[candidates[number].cell] += candidates[number].marks;
        }
        marks
    });
    Ok(Err(Unfillable { nearest, blockers }))
}

/// A choice of the same cost whose ties come to less, if a short search finds one.
fn untied(candidates: &[Candidate], wanted: &Wanted, taken: Picked) -> Picked {
    let least = taken.questions.iter().map(|(number, _)| cost(&candidates[*number])).sum();
    let programme = Programme::of(candidates, wanted, None, Aim::Ties(least), 0);
    let start = programme
        .takes
        .iter()
        .map(|(variable, number, section)| {
            let is_taken = taken.questions.contains(&(*number, *section));
            (*variable, if is_taken { 1.0 } else { 0.0 })
        })
        .collect();
    let mut options = SolveOptions::default();
    options.node_limit = Some(TIE_BRANCHES);
    options.warm_start = Some(start);
    let found = programme.problem.solve_with(options).ok();
    let found = found.as_ref().and_then(SolveOutcome::solution);
    found.map_or(taken, |solution| programme.taken(solution))
}

/// What a programme makes as small as it can.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Aim {
    LeastCost,
    /// The sum of ties, at this cost.
    Ties(u64),
    /// The distance to a table that cannot be filled.
    Nearest,
}

/// What a search came to.
enum Settled {
    Taken(Picked),
    Infeasible,
    /// Nothing was found in so many branches.
    Open,
}

/// The choice of least cost for an aim; none if nothing meets the demands. Where the proof
/// that it is the least takes too many branches, the best that was found stands: it meets all
/// demands. A search that found none by then is begun anew in another order, with more.
fn solved(
    candidates: &[Candidate],
    wanted: &Wanted,
    without: Option<Blocker>,
    aim: Aim,
) -> Result<Option<Picked>, String> {
    for turn in 0..=TURNS {
        let branches = (turn < TURNS).then(|| BRANCHES << turn);
        let programme = Programme::of(candidates, wanted, without, aim, turn);
        match programme.settled(branches)? {
            Settled::Taken(picked) => return Ok(Some(picked)),
            Settled::Infeasible => return Ok(None),
            Settled::Open => {}
        }
    }
    Err("the choice of questions was stopped before it was done".to_owned())
}

struct Programme {
    problem: Problem,
    /// Each variable with the candidate and section that it takes.
    takes: Vec<(Variable, usize, Option<usize>)>,
}

impl Programme {
    /// The programme without one of its demands, or one that comes as near to the
    /// table as it can.
    fn of(
        candidates: &[Candidate],
        wanted: &Wanted,
        without: Option<Blocker>,
        aim: Aim,
        turn: usize,
    ) -> Programme {
        let near = aim == Aim::Nearest;
        let mut problem = Problem::new(OptimizationDirection::Minimize);
        let mut takes = Vec::new();
        let mut of = vec![Vec::new(); candidates.len()];
        let sections: Vec<Option<usize>> =
            if wanted.sections.is_empty() || without == Some(Blocker::Sections) {
                vec![None]
            } else {
                (0..wanted.sections.len()).map(Some).collect()
            };
        let mut in_turn: Vec<usize> = (0..candidates.len()).collect();
        let stride = STRIDES[turn % STRIDES.len()];
        in_turn.sort_by_key(|number| number * stride % PRIME);
        for number in in_turn {
            let candidate = &candidates[number];
            for section in &sections {
                let allowed = section.is_none_or(|s| wanted.sections[s].allowed[number]);
                if !allowed {
                    continue;
                }
                let price = match aim {
                    Aim::LeastCost => cost(candidate) as f64,
                    Aim::Ties(_) => f64::from(candidate.tie),
                    Aim::Nearest => 0.0,
                };
                let variable = problem.add_binary_var(price);
                of[number].push(variable);
                takes.push((variable, number, *section));
            }
        }
        let mut programme = Programme { problem, takes };
        let all = |numbers: &[usize]| -> Vec<(Variable, f64)> {
            numbers.iter().flat_map(|n| of[*n].iter().map(|v| (*v, 1.0))).collect()
        };
        for (number, variables) in of.iter().enumerate() {
            if variables.len() > 1 {
                programme.holds(all(&[number]), Bounds { least: 0, most: 1 });
            }
        }
        for (cell, bounds) in wanted.cells.iter().enumerate() {
            let marks = |programme: &Programme| -> Vec<(Variable, f64)> {
                let own = programme.takes.iter().filter(|(_, n, _)| candidates[*n].cell == cell);
                own.map(|(v, n, _)| (*v, f64::from(candidates[*n].marks))).collect()
            };
            let mut terms = marks(&programme);
            if near {
                // How far the cell stays under and goes over what it should hold.
                let under = programme.problem.add_var(1.0, (0.0, f64::from(bounds.least)));
                let over = programme.problem.add_var(1.001, (0.0, f64::INFINITY));
                terms.extend([(under, 1.0), (over, -1.0)]);
            }
            programme.holds(terms, *bounds);
        }
        if let Aim::Ties(least) = aim {
            let costs = programme.weighed(|n| cost(&candidates[n]) as f64);
            programme.problem.add_constraint(costs, ComparisonOp::Le, least as f64);
        }
        let total: Vec<(Variable, f64)> = programme.weighed(|n| f64::from(candidates[n].marks));
        if let Some(bounds) = wanted.total
            && without != Some(Blocker::Total)
            && !near
        {
            programme.holds(total, bounds);
        }
        if let Some(seconds) = wanted.seconds
            && without != Some(Blocker::Time)
        {
            let times = programme.weighed(|n| f64::from(candidates[n].seconds));
            programme.holds(times, Bounds { least: 0, most: seconds });
        }
        if without != Some(Blocker::Must) {
            for number in &wanted.must {
                programme.holds(all(&[*number]), Bounds::exactly(1));
            }
        }
        if without != Some(Blocker::OneOf) {
            for group in &wanted.one_of {
                programme.holds(all(group), Bounds::exactly(1));
            }
        }
        if without != Some(Blocker::Apart) {
            for (one, other) in &wanted.apart {
                programme.holds(all(&[*one, *other]), Bounds { least: 0, most: 1 });
            }
        }
        if sections.len() > 1 || sections != [None] {
            for (section, rule) in wanted.sections.iter().enumerate() {
                let own = |weigh: &dyn Fn(usize) -> f64| -> Vec<(Variable, f64)> {
                    let own = programme.takes.iter().filter(|(_, _, s)| *s == Some(section));
                    own.map(|(v, n, _)| (*v, weigh(*n))).collect()
                };
                let marks = own(&|n| f64::from(candidates[n].marks));
                let count = own(&|_| 1.0);
                if let Some(bounds) = rule.marks {
                    programme.holds(marks, bounds);
                }
                if let Some(bounds) = rule.questions {
                    programme.holds(count, bounds);
                }
            }
        }
        programme
    }

    fn weighed(&self, weigh: impl Fn(usize) -> f64) -> Vec<(Variable, f64)> {
        self.takes.iter().map(|(v, n, _)| (*v, weigh(*n))).collect()
    }

    fn holds(&mut self, terms: Vec<(Variable, f64)>, bounds: Bounds) {
        let (least, most) = (f64::from(bounds.least), f64::from(bounds.most));
        if bounds.is_exact() {
            self.problem.add_constraint(terms, ComparisonOp::Eq, least);
        } else {
            if bounds.least > 0 {
                self.problem.add_constraint(terms.clone(), ComparisonOp::Ge, least);
            }
            self.problem.add_constraint(terms, ComparisonOp::Le, most);
        }
    }

    /// What is taken, in the candidates' order, if so many branches settle it.
    fn settled(&self, branches: Option<u64>) -> Result<Settled, String> {
        let mut options = SolveOptions::default();
        options.node_limit = branches;
        let outcome = match self.problem.solve_with(options) {
            Ok(outcome) => outcome,
            Err(Error::Infeasible) => return Ok(Settled::Infeasible),
            Err(error) => return Err(error.to_string()),
        };
        Ok(match outcome.solution() {
            Some(solution) => Settled::Taken(self.taken(solution)),
            None => Settled::Open,
        })
    }

    fn taken(&self, solution: &Solution) -> Picked {
        let taken = self.takes.iter().filter(|(v, ..)| solution.var_value(*v) > 0.5);
        let mut questions: Vec<_> = taken.map(|(_, n, section)| (*n, *section)).collect();
        questions.sort_unstable();
        Picked { questions }
    }
}
