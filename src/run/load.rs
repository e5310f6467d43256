//! One unit file from disk to model, with the draws of its versions.

use std::path::Path;
use std::sync::Arc;

use crate::composing::faces::Faces;
use crate::composing::page::Face;
use crate::diag::{Code, Diagnostic, Diagnostics, Place, Severity, SourceFile, Span};
use crate::question::kinds::{has_options, lacking};
use crate::question::mistakes;
use crate::question::{Assessment, Fairness, Solution, spread};
use crate::reading;
use crate::reading::model::kinds::Task;
use crate::reading::model::{self, Checked, Model, Source, refusal_words};
use crate::reading::parsed::Waived;
use crate::rules::{self, Waiver};
use crate::version::{Axis, Draws, Key, Space, TooFew};

use super::pipeline::in_order;
use super::{department, figures, mathematics, pictures};

/// Wrong turns that a finding names.
const MOST_NAMED: usize = 4;

/// Reads and checks a unit; what is wrong goes to `out`.
pub(super) fn model_of(file: &Arc<SourceFile>, out: &mut Diagnostics) -> Option<Model> {
    let mut parsed = reading::parse(file, out)?;
    if let Some(figures) = department::figures_beside(Path::new(file.name())) {
        parsed.give_figures(figures);
    }
    let parsed = Arc::new(parsed);
    missing_glyphs(file, out);
    mathematics::check(&parsed, out);
    let model = model::check(&parsed, out);
    figures::check(&model, out);
    pictures::check(&model, out);
    mistakes::unknown(&model).into_iter().for_each(|finding| out.push(finding));
    Some(model)
}

/// The rules of the trade over a unit; gives the waivers in force. They are for units
/// that can be printed: one with mistakes is mended first.
pub(super) fn ruled(model: &Model, out: &mut Diagnostics) -> Vec<Waiver> {
    rules::check(model, out)
}

/// Only what the rules forbid; what they advise against is for `check` to tell.
pub(super) fn refused(model: &Model, out: &mut Diagnostics) {
    let mut all = Diagnostics::new();
    rules::check(model, &mut all);
    all.sorted().into_iter().filter(|f| f.severity == Severity::Error).for_each(|f| out.push(f));
}

/// Reads a file that must be a unit.
pub(super) fn file_of(path: &Path, out: &mut Diagnostics) -> Option<Arc<SourceFile>> {
    reading::file::read(path, &path.display().to_string(), out)
}

/// The characters of a text, and those that it writes as escapes of YAML (`\u00e9`), with
/// the bytes at which they begin and end.
pub(super) fn letters(text: &str) -> impl Iterator<Item = (usize, usize, char)> {
    let own = text.char_indices().map(|(at, c)| (at, at + c.len_utf8(), c));
    let escaped = text.match_indices('\\').filter_map(|(at, _)| {
        let digits = match text.as_bytes().get(at + 1)? {
            b'x' => 2,
            b'u' => 4,
            b'U' => 8,
            _ => return None,
        };
        let end = at + 2 + digits;
        let c = u32::from_str_radix(text.get(at + 2..end)?, 16).ok().and_then(char::from_u32)?;
        Some((at, end, c))
    });
    own.chain(escaped)
}

/// Characters that no typeface here has would print as nothing.
fn missing_glyphs(file: &Arc<SourceFile>, out: &mut Diagnostics) {
    let faces = Faces::embedded();
    let mut seen = Vec::new();
    for (start, end, c) in letters(file.text()) {
        let steers = c.is_control() && !matches!(c, '\n' | '\r' | '\t' | '\0');
        let plain = c.is_ascii() || c.is_control() || c == '\u{feff}';
        if plain && !steers || seen.contains(&c) || !steers && faces.covers(Face::Regular, c) {
            continue;
        }
        seen.push(c);
        if steers {
            out.push(
                Diagnostic::new(
                    Code::MissingGlyph,
                    Place::new(file, Span::new(start, end)),
                    "This sign steers machines; on paper it is nothing.",
                )
                .found(format!("U+{:04X}", u32::from(c)))
                .expected("letters and signs that can be read")
                .next("take it out"),
            );
            continue;
        }
        out.push(
            Diagnostic::new(
                Code::MissingGlyph,
                Place::new(file, Span::new(start, end)),
                format!("The typefaces here have no `{c}`; it would print as an empty box."),
            )
            .found(format!("`{c}` (U+{:04X})", u32::from(c)))
            .expected("a letter of a European language, or a sign of mathematics")
            .next("write it in another way"),
        );
    }
}

/// Draws versions 0 to `wanted` - 1 of every question.
pub(super) fn draw(
    asked: &Assessment<'_>,
    seed: u64,
    wanted: u64,
    out: &mut Diagnostics,
) -> Option<Vec<Draws>> {
    let mut drawn = Vec::new();
    let mut short = Vec::new();
    // A question's draws rest on no other's, so questions are drawn side by side.
    let count = u32::try_from(asked.questions.len()).unwrap_or(u32::MAX);
    let done = in_order(
        0..count,
        0,
        |number| -> Result<_, std::convert::Infallible> {
            let listed = asked.questions[number as usize];
            Ok(draw_question(listed.unit, listed.checked, seed, wanted))
        },
        |number, result| {
            match result {
                Ok(draws) => drawn.push(draws),
                Err(few) => short.push((number as usize, few)),
            }
            Ok(())
        },
    );
    if let Err(stopped) = done {
        if let Some(first) = asked.questions.first() {
            let place = Place::new(&first.unit.parsed.file, first.checked.question.id.span);
            out.push(Diagnostic::new(Code::Impossible, place, stopped.to_string()));
        }
        return None;
    }
    let complete = short.is_empty();
    for (number, few) in short {
        let listed = asked.questions[number];
        out.push(too_few(listed.unit, listed.checked, wanted, &few));
    }
    complete.then_some(drawn)
}

/// Draws one question's versions.
pub(super) fn draw_question(
    model: &Model,
    checked: &Checked,
    seed: u64,
    wanted: u64,
) -> Result<Draws, TooFew> {
    let key =
        Key { seed, unit: &model.parsed.front.id.value, question: &checked.question.id.value };
    let fair = fairness(model, checked);
    Draws::find(space(checked), key, wanted, |indices| accept(checked, fair.as_ref(), indices))
}

/// What the versions of a question are measured by, unless its author lets them differ.
/// It rests on the question alone, so that a version is the same however many are drawn.
fn fairness<'a>(model: &Model, checked: &'a Checked) -> Option<Fairness<'a>> {
    let lets =
        |allow: &Waived| allow.iter().any(|(rule, _)| rule.value == Code::UnequalVersions.text());
    if lets(&model.parsed.front.allow) || lets(&checked.question.allow) {
        return None;
    }
    Some(Fairness::of(checked, &mut |choice| possible(checked, choice).ok()))
}

/// The choice of each axis in a version.
pub(super) fn choice_of(checked: &Checked, draws: &Draws, version: u64) -> Option<Vec<usize>> {
    draws.indices(version).map(|indices| choice(checked, &indices))
}

fn space(checked: &Checked) -> Space {
    let numbers = checked.values.iter().filter_map(|value| match &value.source {
        Source::Drawn(choices) => Some(Axis::List(choices.clone())),
        Source::Derived { .. } => None,
    });
    let words = checked.words.iter().map(|(_, words)| Axis::Words(words.clone()));
    let space = Space::new(numbers.chain(words).collect());
    // A question whose values never change is the same in every version.
    if space.count() == 1 { Space::default() } else { space }
}

/// Accepts a choice that solves, meets every `require` and is like the others; else
/// says which it does not (one past the last: it cannot be solved; two past: a
/// choice lacks options; three past: it is unlike the others).
fn accept(checked: &Checked, fair: Option<&Fairness<'_>>, indices: &[u64]) -> Result<(), usize> {
    let choice = choice(checked, indices);
    let slots = possible(checked, &choice)?;
    if fair.is_none_or(|fair| fair.likes(&choice, &slots)) {
        Ok(())
    } else {
        Err(checked.require.len() + 2)
    }
}

/// The solved slots of a choice that can be; else which `require` it does not meet.
fn possible(checked: &Checked, choice: &[usize]) -> Result<Vec<f64>, usize> {
    let values = checked.values_for(choice);
    let slots = checked.engine.run(&values);
    for (number, (require, _)) in checked.require.iter().enumerate() {
        let holds =
            require.holds(&|path| checked.value_at(path, &slots), &|path| checked.shown_unit(path));
        if holds != Some(true) {
            return Err(number);
        }
    }
    let unsolved = checked.require.len();
    if !checked.tasks.iter().any(|task| matches!(task, Task::ChooseNumber { .. })) {
        return checked.engine.solve(&values).map_err(|_| unsolved);
    }
    let solution = Solution::of(checked, choice).map_err(|_| unsolved)?;
    if !has_options(&solution, &solution.answers()) {
        return Err(unsolved + 1);
    }
    Ok(solution.into_slots())
}

fn choice(checked: &Checked, indices: &[u64]) -> Vec<usize> {
    if indices.is_empty() {
        return vec![0; checked.axes().len()];
    }
    indices.iter().map(|i| usize::try_from(*i).unwrap_or(usize::MAX)).collect()
}

fn too_few(model: &Model, checked: &Checked, wanted: u64, few: &TooFew) -> Diagnostic {
    let file = &model.parsed.file;
    let costly = few.costliest();
    let require = costly.and_then(|number| checked.require.get(number));
    let id = &checked.question.id;
    if few.exist == 0
        && let Some((_, span)) = require
    {
        return Diagnostic::new(
            Code::RequireUnmet,
            Place::new(file, *span),
            format!("No version of `{}` meets this condition.", id.value),
        )
        .found(format!("{} combinations tried, none meets it", few.tried))
        .expected("a condition that some values meet")
        .next("widen the values or loosen the condition");
    }
    if costly == Some(checked.require.len() + 1) {
        return too_few_options(model, checked, wanted, few);
    }
    let span = require.map_or(id.span, |(_, span)| *span);
    let why = match (require, costly) {
        (Some(_), _) => "; this condition costs most".to_owned(),
        (None, Some(test)) if test > checked.require.len() + 1 => {
            "; others are not like them in figures, readings or difficulty".to_owned()
        }
        (None, Some(_)) => {
            let reason = first_refusal(checked);
            reason.map_or_else(String::new, |r| format!("; others are impossible, because {r}"))
        }
        (None, None) => String::new(),
    };
    let (are, plural) = if few.exist == 1 { ("is", "") } else { ("are", "s") };
    let exist = if few.exhausted {
        format!("There {are} {} version{plural}", few.exist)
    } else {
        format!("Only {} version{plural}", few.exist)
    };
    let found = if few.exhausted { "" } else { " could be found" };
    Diagnostic::new(
        Code::TooFewVersions,
        Place::new(file, span),
        format!("{exist} of `{}`{found}, and {wanted} are wanted{why}.", id.value),
    )
    .found(format!("{} combinations of its values", few.combinations))
    .expected(format!("at least {wanted} versions"))
    .next("print fewer versions, or give the values more choices")
}

/// A numeric choice whose wrong turns lie too near the key or each other in nearly
/// every version.
fn too_few_options(model: &Model, checked: &Checked, wanted: u64, few: &TooFew) -> Diagnostic {
    let choices = spread(&checked.axes());
    let solved = choices.iter().filter_map(|choice| Solution::of(checked, choice).ok());
    // The same choices whatever is printed, so the words are too.
    let short = solved
        .filter_map(|solution| lacking(&solution, &solution.answers()))
        .min_by_key(|lack| lack.found);
    let parts = &checked.question.parts;
    let span = short.as_ref().map_or(checked.question.id.span, |lack| parts[lack.part].span);
    let (options, found) = short.as_ref().map_or((0, 0), |lack| (lack.options, lack.found));
    let mut near = short.map(|lack| lack.too_near).unwrap_or_default();
    near.truncate(MOST_NAMED);
    let plural = if found == 1 { "" } else { "s" };
    let near = match near.as_slice() {
        [] => String::new(),
        names => format!("; too near the answer or each other: {}", names.join(", ")),
    };
    Diagnostic::new(
        Code::TooFewOptions,
        Place::new(&model.parsed.file, span),
        format!(
            "Only {} of {wanted} versions of `{}` have {options} options that can be told apart.",
            few.exist, checked.question.id.value
        ),
    )
    .found(format!("{found} wrong answer{plural} in one version{near}"))
    .expected(format!(
        "at least {} wrong answers that lie 3 % of the answer apart, and outside what is accepted",
        options.saturating_sub(1)
    ))
    .next("name more `mistakes`, ask for fewer `options`, or give the values more choices")
}

fn first_refusal(checked: &Checked) -> Option<String> {
    let counts = checked.axes();
    let corners = [
        counts.iter().map(|_| 0).collect::<Vec<_>>(),
        counts.iter().map(|n| n.saturating_sub(1)).collect(),
    ];
    corners.iter().find_map(|choice| {
        Solution::of(checked, choice)
            .err()
            .map(|r| refusal_words(&checked.engine, &checked.measures.amount_unit, &r))
    })
}
