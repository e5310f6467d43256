//! Examples and questions of a unit, solved for a version.
//!
//! What cannot be solved here was sound when it was checked and drawn, so a failure
//! is a fault of ours and says where.

use std::path::Path;

use crate::diag::Diagnostics;
use crate::document::Solved;
use crate::question::{Answer, Assessment, Solution, respond};
use crate::reading::model::Model;
use crate::version::{Draws, letters};

use super::load;
use super::paper;
use super::print::{Trouble, is_paper};

/// Solved examples by item index.
pub(super) type Examples<'a> = Vec<(usize, Solution<'a>, Vec<Answer>)>;

/// Examples are the same whatever the seed.
const EXAMPLE_SEED: u64 = 0;

pub(super) fn examples(model: &Model) -> Result<Examples<'_>, Trouble> {
    let unit = &model.parsed.front.id.value;
    model
        .examples
        .iter()
        .map(|(index, checked)| {
            let choice = vec![0; checked.axes().len()];
            let solution = Solution::of(checked, &choice).map_err(|refusal| {
                Trouble::Ours(format!("example {}: {refusal:?}", checked.question.id.value))
            })?;
            let answers = solution.answers();
            let mut one = [(solution, answers)];
            respond(&mut one, EXAMPLE_SEED, unit, 0);
            let [(solution, answers)] = one;
            Ok((*index, solution, answers))
        })
        .collect()
}

/// Draws and solves versions 0 to `versions` - 1 of a unit, or of a paper with its own seed
/// at most as many as it has, and hands each on with its number. Nothing is handed on of
/// files with mistakes.
///
/// # Errors
/// A version that was drawn and cannot be solved.
pub fn solved_versions(
    unit: &Path,
    seed: u64,
    versions: u32,
    then: &mut dyn FnMut(u32, &Assessment<'_>, &Solved<'_>),
) -> Result<(), Trouble> {
    let mut out = Diagnostics::new();
    if is_paper(unit) {
        let done = paper::with_asked(unit, &mut out, |asked, draws, front, _| {
            for version in 0..versions.min(front.versions) {
                then(version, asked, &questions(asked, draws, front.seed, version)?);
            }
            Ok(())
        });
        return done.unwrap_or(Ok(()));
    }
    let model = load::file_of(unit, &mut out).and_then(|file| load::model_of(&file, &mut out));
    let Some(model) = model.filter(|_| !out.has_errors()) else { return Ok(()) };
    let asked = Assessment::of_unit(&model);
    let draws = load::draw(&asked, seed, u64::from(versions), &mut out);
    for version in 0..draws.as_ref().map_or(0, |_| versions) {
        let draws = draws.as_deref().unwrap_or_default();
        then(version, &asked, &questions(&asked, draws, seed, version)?);
    }
    Ok(())
}

/// A version's questions with their answers.
pub(super) fn questions<'a>(
    asked: &Assessment<'a>,
    draws: &[Draws],
    seed: u64,
    version: u32,
) -> Result<Vec<(Solution<'a>, Vec<Answer>)>, Trouble> {
    let mut solved = asked
        .questions
        .iter()
        .zip(draws)
        .map(|(listed, draws)| {
            let checked = listed.checked;
            let ours = |why: &str| {
                Trouble::Ours(format!(
                    "question {} of {}, version {}, seed {seed}: {why}",
                    checked.question.id.value,
                    listed.unit_id(),
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
        .collect::<Result<Vec<_>, Trouble>>()?;
    asked.respond(&mut solved, seed, u64::from(version));
    Ok(solved)
}
