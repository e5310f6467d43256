//! What the mark scheme's template is given: marking points with their guidance,
//! and the tables that tell versions apart.
//!
//! Takes an assessment, a version or a few that are solved, and the printed values of the
//! others; gives a context. The marks are those of the worked steps, so they add up
//! to those on the sheets.

mod follow;
mod points;
mod strip;
mod tables;

pub(super) use tables::values;
pub use tables::{MOST_VERSIONS, VersionCells, version_cells};

use crate::question::{Answer, Assessment, Form, Listed, Solution};
use crate::reading::department::Letters;

use super::context::{AbbreviationContext, SchemeContext, SchemeQuestionContext};
use super::letters::lettered;

/// The questions of one version, solved, in the order of the assessment.
pub type Solved<'a> = Vec<(Solution<'a>, Vec<Answer>)>;

/// The scheme. Its numbers are those of the first version in `solved`; each of
/// these gets its tables of following through. `cells` are the versions that the
/// tables of values hold, `versions` is how many there are.
pub fn scheme(
    asked: &Assessment<'_>,
    solved: &[(String, Solved<'_>)],
    cells: &[VersionCells],
    versions: u32,
) -> SchemeContext {
    let Some((version, shown)) = solved.first() else { return SchemeContext::default() };
    let letters = &asked.department.letters;
    let mut questions: Vec<SchemeQuestionContext> = (1..)
        .zip(shown)
        .map(|(number, (solution, answers))| points::question(number, solution, answers))
        .collect();
    let total = questions.iter().map(|question| question.total).sum();
    let follow = follow::tables(solved);
    // They are looked for under the letters that marks are given with.
    let abbreviations = abbreviations(&questions, !follow.is_empty(), shown, letters);
    for point in questions.iter_mut().flat_map(|q| &mut q.parts).flat_map(|p| &mut p.points) {
        point.marks = lettered(&point.marks, letters);
    }
    SchemeContext {
        title: asked.title.clone(),
        head_left: asked.left.clone(),
        head_right: asked.right.clone(),
        language: asked.language.clone(),
        line: line(asked, total),
        version: version.clone(),
        shown: cells.len(),
        versions,
        abbreviations,
        grades: tables::grades(&asked.department, total),
        questions,
        total,
        values: values(shown, cells),
        slips: tables::slips(shown, cells),
        follow,
        strips: strip::strips(shown, cells),
    }
}

/// "48 marks · 90 minutes", the time where it is given or every question says its own.
fn line(asked: &Assessment<'_>, total: u32) -> String {
    let marks = format!("{total} mark{}", if total == 1 { "" } else { "s" });
    let own = |listed: &Listed<'_>| listed.checked.question.minutes.as_ref().map(|m| m.value);
    let times: Option<u32> = asked.questions.iter().map(own).sum();
    match asked.cover.as_ref().map(|cover| cover.minutes).or(times) {
        Some(minutes) if minutes > 0 => format!("{marks} · {minutes} minutes"),
        _ => marks,
    }
}

/// Whether anything is marked by what a learner writes in words.
fn has_words(shown: &Solved<'_>) -> bool {
    let parts = |solution: &Solution<'_>| 0..solution.checked.question.parts.len();
    shown.iter().any(|(solution, _)| {
        parts(solution).filter_map(|part| solution.response(part)).any(|response| {
            matches!(response.form, Form::Prose { .. } | Form::Judgement { .. } | Form::Odd { .. })
                && response.points.iter().any(|point| point.text.contains("**"))
        })
    })
}

/// What the short words of mark schemes mean, as far as these questions use them
/// (common practice, no source).
fn abbreviations(
    questions: &[SchemeQuestionContext],
    has_follow: bool,
    shown: &Solved<'_>,
    letters: &Letters,
) -> Vec<AbbreviationContext> {
    let points = || questions.iter().flat_map(|q| &q.parts).flat_map(|part| &part.points);
    let marked = |letter: char| points().any(|p| p.marks.contains(letter));
    let said = |word: &str| {
        points()
            .flat_map(|p| &p.guidance)
            .any(|line| line.split([' ', ',', ';']).any(|w| w == word))
    };
    let ft = points().any(|p| p.marks.ends_with(points::FT)) || has_follow;
    let all = [
        (
            letters.method.as_str(),
            "method: the mark stands though the number be wrong",
            marked('M'),
        ),
        (
            letters.accuracy.as_str(),
            "accuracy: the value, after the method that it needs",
            marked('A'),
        ),
        (letters.independent.as_str(), "stands alone, whatever stands before it", marked('B')),
        (points::OE, "or an equivalent way of writing it", said(points::OE)),
        (points::CAO, "correct answer only", said(points::CAO)),
        (
            points::MAX,
            "no more marks than these, whichever of the points earn them",
            said(points::MAX),
        ),
        ("bold", "a word that must be there, or one that sounds like it", has_words(shown)),
        (
            points::FT,
            "follow through: worked rightly from the learner\u{2019}s own earlier answer, \
             as long as the result can be",
            ft,
        ),
    ];
    all.into_iter()
        .filter(|(_, _, used)| *used)
        .map(|(short, says, _)| AbbreviationContext {
            short: short.to_owned(),
            says: says.to_owned(),
        })
        .collect()
}
