//! Examples and questions of a unit, solved for a version.
//!
//! What cannot be solved here was sound when it was checked and drawn, so a failure
//! is a fault of ours and says where.

use crate::question::{Answer, Solution};
use crate::reading::model::Model;
use crate::version::{Draws, letters};

use super::load;
use super::print::Trouble;

/// Solved examples by item index.
pub(super) type Examples<'a> = Vec<(usize, Solution<'a>, Vec<Answer>)>;

pub(super) fn examples(model: &Model) -> Result<Examples<'_>, Trouble> {
    model
        .examples
        .iter()
        .map(|(index, checked)| {
            let choice = vec![0; checked.axes().len()];
            let solution = Solution::of(checked, &choice).map_err(|refusal| {
                Trouble::Ours(format!("example {}: {refusal:?}", checked.question.id.value))
            })?;
            let answers = solution.answers();
            Ok((*index, solution, answers))
        })
        .collect()
}

/// A version's questions with their answers.
pub(super) fn questions<'a>(
    model: &'a Model,
    draws: &[Draws],
    seed: u64,
    version: u32,
) -> Result<Vec<(Solution<'a>, Vec<Answer>)>, Trouble> {
    model
        .questions
        .iter()
        .zip(draws)
        .map(|(checked, draws)| {
            let ours = |why: &str| {
                Trouble::Ours(format!(
                    "question {} of {}, version {}, seed {seed}: {why}",
                    checked.question.id.value,
                    model.parsed.front.id.value,
                    letters(u64::from(version)),
                ))
            };
            let choice = load::choice_of(checked, draws, u64::from(version))
                .ok_or_else(|| ours("it was not drawn"))?;
            let solution =
                Solution::of(checked, &choice).map_err(|refusal| ours(&format!("{refusal:?}")))?;
            let answers = solution.answers();
            Ok((solution, answers))
        })
        .collect()
}
