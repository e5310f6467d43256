//! The order of a paper's questions: section by section, easy before hard, strands
//! mixed and figures not crowded.

use super::pick::Candidate;

/// What the order looks at besides.
#[derive(Debug, Clone, Copy)]
pub struct Place {
    /// The number of its level, from the easiest.
    pub level: usize,
    /// The row of the table.
    pub row: usize,
    pub has_figure: bool,
}

/// The questions in the order of the paper.
pub fn in_order(
    taken: &[(usize, Option<usize>)],
    candidates: &[Candidate],
    place: impl Fn(usize) -> Place,
) -> Vec<(usize, Option<usize>)> {
    let mut left = taken.to_vec();
    let mut ordered: Vec<(usize, Option<usize>)> = Vec::with_capacity(left.len());
    while !left.is_empty() {
        // Of the section and level whose turn it is, the one unlike the question before;
        // then the shorter one, then as the seed has it.
        let before = ordered.last().map(|(number, _)| place(*number));
        let next = left.iter().enumerate().min_by_key(|(_, (number, section))| {
            let (own, candidate) = (place(*number), &candidates[*number]);
            let crowds = before.is_some_and(|b| b.has_figure && own.has_figure);
            let repeats = before.is_some_and(|b| b.row == own.row);
            (*section, own.level, crowds, repeats, candidate.marks, candidate.tie, *number)
        });
        let Some((at, _)) = next else { break };
        ordered.push(left.remove(at));
    }
    ordered
}
