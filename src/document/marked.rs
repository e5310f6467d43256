//! A learner's marked copy, and a follow-up sheet of what they lost: the sheet of their
//! version with a marker's signs, and the same questions in fresh numbers.
//!
//! Takes a sheet's context and judgements; gives contexts. Judges nothing itself.

use crate::marking::{Column, Judged, Verdict, at_their_places, in_a_row, letters};
use crate::question::{Answer, Assessment, Mark, Response, Solution};
use crate::reading::department::Letters;

use super::context::{
    CodeContext, FormContext, FreshContext, JudgedContext, LookContext, MarkedContext, NameContext,
    PartContext, SheetContext, StepContext, StripContext, WriteContext,
};
use super::escape::escape;
use super::forms;
use super::letters::lettered;

/// Parts that a learner is asked to look at again.
const MOST_LOOKS: usize = 3;
/// Shares of an objective's marks from which on it counts as something a learner can do,
/// and below which it is to be worked on (common practice, no source).
const CAN: f64 = 0.7;
const WORK_ON: f64 = 0.5;

/// Whose copy it is.
#[derive(Debug, Clone, Copy)]
pub struct MarkedFor<'a> {
    pub learner: &'a str,
    pub class: &'a str,
    /// The follow-up sheet, if there is one, as a learner's copy.
    pub follow_up: Option<&'a SheetContext>,
}

/// Makes a sheet the marked copy of a learner. `columns` and `judged` go together.
pub fn marked(
    sheet: &mut SheetContext,
    asked: &Assessment<'_>,
    solved: &[(Solution<'_>, Vec<Answer>)],
    columns: &[Column],
    judged: &[Judged],
    learner: MarkedFor<'_>,
) {
    for (question, context) in sheet.questions.iter_mut().enumerate() {
        let (mut opened, mut names) = (None, Vec::new());
        for (part, context) in context.parts.iter_mut().enumerate() {
            let own = || {
                columns
                    .iter()
                    .zip(judged)
                    .filter(move |(column, _)| column.question == question && column.part == part)
            };
            for (line, (_, one)) in context.answers.iter_mut().zip(own()) {
                line.wrote = without_unit(&one.wrote, &line.unit);
            }
            let wrote = own().next().map_or("", |(_, one)| one.wrote.as_str());
            let own: Vec<&Judged> = own().map(|(_, one)| one).collect();
            context.judged = Some(beside(&own, &asked.department.letters));
            let (Some(form), Some(judged)) = (&mut context.form, &mut context.judged) else {
                continue;
            };
            // One sign stands beside the marks of such a part, and a note below it.
            judged.codes.clear();
            judged.note = own.iter().find_map(|one| below(one, context.marks)).unwrap_or_default();
            let solution = &solved[question].0;
            fill(form, wrote, solution.response(part));
            if let Some((stem, text)) = super::sheet::with_gaps(solution, part, &in_a_row(wrote)) {
                opened.get_or_insert(stem);
                context.text = text;
            }
            if let Some(asked) = solution.response(part).and_then(forms::names) {
                let written = at_their_places(&asked, wrote).into_iter();
                let name = |(name, wrote)| NameContext { name, wrote };
                names.extend(asked.into_iter().zip(written).map(name));
            }
        }
        if let Some(stem) = opened {
            context.stem = stem;
        }
        if let Some(figure) = &mut context.figure {
            figure.names = names;
        }
    }
    let given = judged.iter().map(|one| one.marks).sum();
    let full = columns.iter().map(|column| column.most).sum();
    if let Some(front) = &mut sheet.front {
        learner.learner.clone_into(&mut front.learner);
        learner.class.clone_into(&mut front.class);
        for (question, row) in front.rows.iter_mut().enumerate() {
            let own = columns.iter().zip(judged).filter(|(c, _)| c.question == question);
            row.given = Some(own.map(|(_, one)| one.marks).sum());
        }
    }
    sheet.marked = Some(MarkedContext {
        learner: learner.learner.to_owned(),
        class: learner.class.to_owned(),
        given,
        grade: asked.department.grade(given, full).unwrap_or_default(),
        strip: strip(columns, judged, given),
        can: objectives(asked, columns, judged, |share| share >= CAN),
        work_on: objectives(asked, columns, judged, |share| share < WORK_ON),
        look_again: looks(solved, columns, judged),
        fresh: learner.follow_up.and_then(|fresh| to_try(fresh, columns, judged)),
        follow_up: learner.follow_up.is_some(),
    });
}

/// The first part with an answer line that was lost and needs no part before it, from the
/// follow-up sheet; one in which a mistake was named before others.
fn to_try(follow_up: &SheetContext, columns: &[Column], judged: &[Judged]) -> Option<FreshContext> {
    let label = |column: &Column| column.label.clone();
    let alone = follow_up.questions.iter().filter_map(|question| {
        let part = question.parts.first().filter(|part| part.form.is_none())?;
        // What stands in a figure or table beside the stem has no room here.
        let plain = question.figure.is_none() && question.data.is_empty();
        plain.then_some((question, part))
    });
    let lost = |number: u32, part: &PartContext| {
        let own = columns
            .iter()
            .zip(judged)
            .find(|(column, _)| column.label == format!("{number}{}", part.mark));
        own.filter(|(column, one)| one.marks < column.most)
    };
    let mut found: Option<(bool, FreshContext)> = None;
    for (question, part) in alone {
        let Some((column, one)) = lost(question.number, part) else { continue };
        let named = one.mistake.is_some();
        if found.as_ref().is_none_or(|(best, _)| named && !best) {
            let part = PartContext { working: Vec::new(), mistakes: Vec::new(), ..part.clone() };
            let fresh = FreshContext { stem: question.stem.clone(), label: label(column), part };
            found = Some((named, fresh));
        }
    }
    found.map(|(_, fresh)| fresh)
}

/// The signs beside a part, of all its lines together.
fn beside(judged: &[&Judged], letters: &Letters) -> JudgedContext {
    let mut codes = Vec::new();
    for one in judged {
        let through =
            if one.through && one.verdict == Verdict::FollowedThrough { " ft" } else { "" };
        for (mark, earned) in &one.codes {
            let count = if *earned { mark.count } else { 0 };
            let ft = if *earned { through } else { "" };
            let code = lettered(&Mark { count, ..*mark }.to_string(), letters);
            codes.push(CodeContext { code: format!("{code}{ft}"), earned: *earned });
        }
    }
    let note = judged.iter().find_map(|one| match one.verdict {
        Verdict::Right | Verdict::FollowedThrough | Verdict::Given => None,
        Verdict::Blank => Some("left out".to_owned()),
        // What costs nothing is not worth a word beside it.
        Verdict::Figures | Verdict::Unit if one.codes.iter().all(|(_, earned)| *earned) => None,
        Verdict::Wrong if !one.expected.is_empty() => Some(format!("expected {}", one.expected)),
        _ if one.expected.is_empty() => Some(one.reason.clone()),
        _ => Some(format!("{}; expected {}", one.reason, one.expected)),
    });
    JudgedContext {
        given: judged.iter().map(|one| one.marks).sum(),
        codes,
        note: note.unwrap_or_default(),
    }
}

/// What is said below a part of so many marks that cannot be seen in it: why what was
/// written is wrong, where it shows a mistake, and what was expected.
fn below(one: &Judged, most: u32) -> Option<String> {
    if one.marks >= most || one.verdict == Verdict::Blank {
        return None;
    }
    let sentence = |text: &str| {
        let text = text.trim_end_matches('.');
        let mut rest = text.chars();
        let first: String = rest.next()?.to_uppercase().collect();
        Some(format!("{first}{}.", rest.as_str()))
    };
    let why = sentence(&one.reason).filter(|_| one.verdict == Verdict::Named);
    let expected = match one.expected.trim_end_matches('.') {
        "" => None,
        expected => Some(format!("Expected: {expected}.")),
    };
    let said: Vec<String> = why.into_iter().chain(expected).collect();
    (!said.is_empty()).then(|| said.join(" "))
}

/// Puts what a learner wrote where the key would stand.
fn fill(form: &mut FormContext, wrote: &str, response: Option<&Response>) {
    let signs = letters(wrote);
    let (first, reason) = wrote.split_once(|c: char| !c.is_alphanumeric()).unwrap_or((wrote, ""));
    let said = match first.to_lowercase().as_str() {
        "t" | "true" | "yes" | "right" => "true",
        "f" | "false" | "no" | "wrong" => "false",
        _ => "",
    };
    let is_judgement = form.is == "judgement";
    for (place, own) in form.boxes.iter_mut().enumerate() {
        own.fill = signs.get(place).cloned().unwrap_or_default();
        own.ticked = match is_judgement {
            true => own.text.to_lowercase() == said,
            false => signs.contains(&own.label),
        };
    }
    // What says neither true nor false stands where there is room for it.
    let mut written = if is_judgement && !said.is_empty() { reason } else { wrote };
    if form.is == "odd" {
        let (value, reason) = odd(wrote);
        written = reason;
        form.answers.iter_mut().for_each(|line| value.clone_into(&mut line.wrote));
    } else {
        for line in &mut form.answers {
            line.wrote = without_unit(wrote, &line.unit);
        }
    }
    let text = escape(written.trim()).into_owned();
    form.writes = match text.as_str() {
        "" => Vec::new(),
        _ => vec![WriteContext { text, marks: String::new() }],
    };
    if let Some(rows) = response.and_then(|asked| forms::with_cells(asked, &in_a_row(wrote))) {
        form.rows = rows;
    }
}

/// The value that does not fit, and the reason for it.
fn odd(wrote: &str) -> (&str, &str) {
    if let Some((value, reason)) = wrote.split_once(';') {
        return (value.trim(), reason);
    }
    let (first, rest) = wrote.split_once([' ', ':']).unwrap_or((wrote, ""));
    let first = first.trim_end_matches(',');
    if first.starts_with(|c: char| c.is_ascii_digit()) { (first, rest) } else { ("", wrote) }
}

/// What was written, without the unit that is printed behind the line anyway.
fn without_unit(wrote: &str, unit: &str) -> String {
    match wrote.strip_suffix(unit) {
        Some(number) if !unit.is_empty() => number.trim_end().to_owned(),
        _ => wrote.to_owned(),
    }
}

fn strip(columns: &[Column], judged: &[Judged], given: u32) -> Vec<StripContext> {
    let mut cells: Vec<StripContext> = columns
        .iter()
        .zip(judged)
        .map(|(column, one)| StripContext {
            head: column.key.clone(),
            says: match one.verdict {
                Verdict::Blank => format!("– / {}", column.most),
                _ => format!("{} / {}", one.marks, column.most),
            },
            full: one.marks == column.most,
            total: false,
        })
        .collect();
    let full: u32 = columns.iter().map(|column| column.most).sum();
    cells.push(StripContext {
        head: "total".to_owned(),
        says: format!("{given} / {full}"),
        full: true,
        total: true,
    });
    cells
}

/// The objectives whose share of the marks is such, in the units' words.
fn objectives(
    asked: &Assessment<'_>,
    columns: &[Column],
    judged: &[Judged],
    counts: impl Fn(f64) -> bool,
) -> Vec<String> {
    let objectives = asked.objectives().into_iter();
    objectives
        .filter_map(|(id, words)| {
            let own =
                || columns.iter().zip(judged).filter(|(c, _)| c.objective.as_deref() == Some(id));
            let of: u32 = own().map(|(column, _)| column.most).sum();
            let marks: u32 = own().map(|(_, one)| one.marks).sum();
            let share = f64::from(marks) / f64::from(of.max(1));
            (of > 0 && counts(share))
                .then(|| format!("{} ({marks} of {of} marks)", escape(words.trim_end_matches('.'))))
        })
        .collect()
}

/// The parts that lost most, the earliest of equals first, in the order of the paper.
fn looks(
    solved: &[(Solution<'_>, Vec<Answer>)],
    columns: &[Column],
    judged: &[Judged],
) -> Vec<LookContext> {
    let mut lost: Vec<usize> =
        (0..columns.len()).filter(|at| judged[*at].marks < columns[*at].most).collect();
    // A mistake with a name can be spoken of, an empty line hardly.
    let weight = |at: &usize| {
        let named = judged[*at].mistake.is_some();
        (judged[*at].verdict == Verdict::Blank, !named, judged[*at].marks, *at)
    };
    lost.sort_by_key(weight);
    lost.truncate(MOST_LOOKS);
    lost.sort_unstable();
    lost.into_iter().map(|at| look(solved, &columns[at], &judged[at])).collect()
}

fn look(solved: &[(Solution<'_>, Vec<Answer>)], column: &Column, one: &Judged) -> LookContext {
    let (solution, answers) = &solved[column.question];
    let mut lines = Vec::new();
    let wrote = escape(&one.wrote).into_owned();
    match one.verdict {
        Verdict::Blank => lines.push("You left this out.".to_owned()),
        Verdict::Named => {
            lines.push(format!(
                "You wrote {wrote}. It comes from this slip: {}.",
                escape(&one.reason)
            ));
            // Of several that are possible none is guessed.
            let remedies = one.turns.iter().map(|turn| turn.remedy).filter(|r| !r.is_empty());
            let mut remedies: Vec<&str> = remedies.collect();
            remedies.dedup();
            if let [remedy] = remedies.as_slice() {
                lines.push(escape(remedy).into_owned());
            }
        }
        Verdict::Given => lines.push("Your teacher saw your working.".to_owned()),
        _ => lines.push(format!("You wrote {wrote}: {}.", escape(&one.reason))),
    }
    let step = solution.working(answers).into_iter().find(|step| step.part == column.part);
    if let Some(step) = step {
        let says = super::sheet::mathematical(&step.says);
        let link = step.chain.get(1).or(step.chain.first());
        let link = link.filter(|link| !link.starts_with("so ")).map_or_else(String::new, |link| {
            format!(
                " {} = {}",
                super::sheet::mathematical(&step.name),
                super::sheet::mathematical(link)
            )
        });
        lines.push(format!("Start like this: {says}{link}"));
    }
    if !one.expected.is_empty() {
        let whose = if one.through { "From your own numbers" } else { "Expected" };
        lines.push(format!("{whose}: **{}**", escape(&one.expected)));
    }
    LookContext { part: column.label.clone(), lines }
}

/// Leaves of a key's sheet the parts at these places (question, part); a part that tells
/// something new stays, because those after it need it.
pub fn follow_up(
    sheet: &mut SheetContext,
    lost: &[(usize, usize)],
    solved: &[(Solution<'_>, Vec<Answer>)],
) {
    for (question, context) in sheet.questions.iter_mut().enumerate() {
        let tells = |part: usize| {
            let parts = &solved[question].0.checked.question.parts;
            parts.get(part).is_some_and(|part| !part.text.blanks.is_empty())
        };
        let last = lost.iter().filter(|(q, _)| *q == question).map(|(_, part)| *part).max();
        let mut kept: Vec<PartContext> = Vec::new();
        let mut carried: Option<PartContext> = None;
        for (part, own) in context.parts.drain(..).enumerate() {
            let wanted = lost.contains(&(question, part));
            let needed = last.is_some_and(|last| part < last) && tells(part);
            let mut own = own;
            if let Some(before) = carried.take() {
                // What a part that is left out would have found is worked here.
                own.working.splice(0..0, before.working);
                // Its marks and its range are not asked for here.
                let steps = before.solution.into_iter().filter(|step| step.number.is_some());
                let steps: Vec<StepContext> =
                    steps.map(|step| StepContext { marks: String::new(), ..step }).collect();
                own.solution.splice(0..0, steps);
            }
            if wanted || needed {
                kept.push(own);
            } else {
                carried = Some(own);
            }
        }
        context.total = kept.iter().map(|part| part.marks).sum();
        context.parts = kept;
    }
    sheet.questions.retain(|question| !question.parts.is_empty());
    sheet.front = None;
    sheet.questions.iter_mut().for_each(|question| question.section = None);
    sheet.score = sheet.questions.iter().map(|question| question.total).sum();
    sheet.title = format!("Follow-up: {}", sheet.title);
    sheet.objective_line = Some("The parts to try again, in fresh numbers.".to_owned());
}
