//! The working from a basis: so much of a stream is taken, and what is asked comes
//! out the same however much it is.

use crate::balance::Basis;
use crate::quantity::Precision;

use super::{Solution, WorkedStep, figures, words};

/// The version as if there were so much of the stream. Nothing else of it is true.
pub(super) fn taken<'a>(
    solution: &Solution<'a>,
    basis: &Basis,
    precision: &[Option<Precision>],
) -> Solution<'a> {
    let mut taken = solution.clone();
    let system = &solution.checked.engine.system;
    basis.fill(system, &mut taken.slots, Basis::AMOUNT, &|_, value| value);
    let mut found = precision.to_vec();
    found[basis.of] = Some(Precision::Exact);
    figures::of_steps(&taken, &basis.inner, &mut found);
    taken.precision = found;
    taken
}

/// The steps from a basis to what is wanted.
pub(super) fn steps(solution: &Solution<'_>, part: usize, basis: &Basis) -> Vec<WorkedStep> {
    let at_basis = taken(solution, basis, &solution.precision);
    let amount = at_basis.shown(basis.of);
    let name = words::of_slot(solution, basis.of);
    let mut worked = vec![WorkedStep {
        part,
        says: format!(
            "Only proportions matter here, so take {amount} as the {name}: a basis to reckon with."
        ),
        finds: None,
        name,
        chain: vec![amount],
        answer: None,
    }];
    for step in &basis.inner {
        let inner = at_basis.steps_of(part, step);
        worked.extend(inner.into_iter().map(|step| WorkedStep {
            // What holds for the basis alone is found for nobody else.
            finds: step.finds.filter(|slot| *slot == basis.wanted),
            ..step
        }));
    }
    worked
}
