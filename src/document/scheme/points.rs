//! Marking points: each worked step that earns something, a line for each mark, with
//! what a marker is to accept, to reject and to follow through.

use crate::question::{
    Answer, Earns, Mark, MarkedStep, Response, Slip, Solution, WorkedStep, joined,
};

use super::super::context::{PointContext, SchemePartContext, SchemeQuestionContext};
use super::super::escape::escape;
use super::super::forms::code;
use super::super::sheet::{mathematical, remarks_on_steps};

pub(super) const OE: &str = "oe";
pub(super) const CAO: &str = "cao";
pub(super) const FT: &str = "ft";
pub(super) const MAX: &str = "max";
/// Blanks that stand between a number and its unit.
const UNIT_GAPS: [char; 3] = [' ', '\u{a0}', '\u{202f}'];

pub(super) fn question(
    number: u32,
    solution: &Solution<'_>,
    answers: &[Answer],
) -> SchemeQuestionContext {
    let worked = solution.marked_working(answers);
    let rests = solution.rests_on();
    let question = &solution.checked.question;
    let parts = (0..question.parts.len())
        .map(|part| {
            let steps: Vec<&MarkedStep> = worked.iter().filter(|s| s.step.part == part).collect();
            let of_part = Part { solution, answers, rests: &rests, part };
            SchemePartContext {
                label: label(number, solution, part),
                points: match solution.response(part) {
                    Some(response) if !question.parts[part].is_worked() => {
                        of_part.response(response)
                    }
                    _ => of_part.points(&steps),
                },
                objective: if part == 0 { objective(solution) } else { String::new() },
            }
        })
        .collect();
    let worked: u32 = worked.iter().flat_map(|step| &step.marks).map(|mark| mark.count).sum();
    let others = (0..question.parts.len()).filter(|part| !question.parts[*part].is_worked());
    let others: u32 = others.filter_map(|part| solution.response(part)).map(|r| r.marks).sum();
    let total = worked + others;
    SchemeQuestionContext { number, parts, total }
}

/// "**1**(a)".
pub(super) fn label(number: u32, solution: &Solution<'_>, part: usize) -> String {
    // A narrow column parts it at the blank.
    format!("**{number}**{}", letter(solution, part).replace(")(", ") ("))
}

/// "(a)"; nothing where the stem itself asks.
pub(super) fn letter(solution: &Solution<'_>, part: usize) -> String {
    escape(&solution.checked.question.parts[part].mark()).into_owned()
}

/// "masses, apply".
fn objective(solution: &Solution<'_>) -> String {
    let question = &solution.checked.question;
    let both = [&question.objective, &question.level];
    let said: Vec<&str> = both.into_iter().flatten().map(|text| text.value.as_str()).collect();
    escape(&said.join(", ")).into_owned()
}

struct Part<'p, 'a> {
    solution: &'p Solution<'a>,
    answers: &'p [Answer],
    /// For each answer of the question the earlier ones that it rests on.
    rests: &'p [Vec<usize>],
    part: usize,
}

impl Part<'_, '_> {
    fn points(&self, steps: &[&MarkedStep]) -> Vec<PointContext> {
        let follows = self.follows();
        let mut points: Vec<PointContext> = Vec::new();
        for step in steps {
            let has_method = step.marks.iter().any(|mark| mark.earns == Earns::Method);
            for mark in &step.marks {
                points.push(point(&step.step, *mark, has_method, !follows.is_empty()));
            }
            let remarks = remarks_on_steps(self.solution);
            let said = remarks.iter().filter(|(path, _)| step.step.finds(self.solution, path));
            if let Some(last) = points.last_mut() {
                last.guidance.extend(said.map(|(_, text)| text.clone()));
            }
        }
        if points.is_empty() {
            // Without marks the part still has its row.
            points.push(PointContext::default());
        }
        if let Some(last) = points.last_mut() {
            last.guidance.extend(self.guidance(&follows));
        }
        points
    }

    /// The points of a part that is answered otherwise than by a number on a line.
    fn response(&self, response: &Response) -> Vec<PointContext> {
        let mut points: Vec<PointContext> = response
            .points
            .iter()
            .flat_map(|point| {
                let each = |word: &str, texts: &[String]| -> Option<String> {
                    (!texts.is_empty()).then(|| format!("{word} {}", texts.join("; ")))
                };
                let guidance = [
                    each("accept", &point.accept),
                    each("reject", &point.reject),
                    each("ignore", &point.ignore),
                ];
                let own = PointContext {
                    text: point.text.clone(),
                    in_words: point.in_words,
                    // One of several, of which the marks count only so many.
                    marks: if point.spare { String::new() } else { code(point) },
                    guidance: guidance.into_iter().flatten().collect(),
                    ..PointContext::default()
                };
                let others = point.or.iter().map(|text| PointContext {
                    text: text.clone(),
                    in_words: point.in_words,
                    or: true,
                    ..PointContext::default()
                });
                std::iter::once(own).chain(others).collect::<Vec<_>>()
            })
            .collect();
        if points.is_empty() {
            points.push(PointContext::default());
        }
        if let Some(last) = points.last_mut() {
            if response.points.iter().any(|point| point.spare) {
                last.guidance.push(format!("{MAX} {}", response.marks));
            }
            last.guidance.extend(response.guidance.iter().cloned());
            let part = &self.solution.checked.question.parts[self.part];
            last.guidance.extend(part.remark.as_ref().map(|text| text.value.clone()));
        }
        points
    }

    /// What holds for the part as a whole.
    fn guidance(&self, follows: &[String]) -> Vec<String> {
        let part = &self.solution.checked.question.parts[self.part];
        let own = || self.answers.iter().filter(|answer| answer.part == self.part);
        let several = own().count() > 1;
        let response = self.solution.response(self.part);
        // Of an option only its letter is to be accepted.
        let ranges = own().filter(|_| response.is_none());
        let mut lines: Vec<String> = ranges.map(|answer| accepted(answer, several)).collect();
        if !follows.is_empty() {
            lines.push(format!("{FT} their {}", joined(follows, "and")));
        }
        let slips = own().next().map(|answer| self.solution.common_slips(self.part, answer));
        match response {
            // Of the wrong turns only those that stand among the options.
            Some(response) => {
                lines.insert(0, format!("option **{}**", response.key));
                lines.extend(response.guidance.iter().cloned());
            }
            None => lines.extend(slips.unwrap_or_default().iter().map(rejected)),
        }
        lines.extend(part.remark.as_ref().map(|text| text.value.clone()));
        lines
    }

    /// The parts whose answers this one is worked out from.
    fn follows(&self) -> Vec<String> {
        let own = (0..self.answers.len()).filter(|n| self.answers[*n].part == self.part);
        let mut parts: Vec<usize> = own
            .flat_map(|number| &self.rests[number])
            .map(|earlier| self.answers[*earlier].part)
            .filter(|part| *part != self.part)
            .collect();
        parts.sort_unstable();
        parts.dedup();
        parts.into_iter().map(|part| letter(self.solution, part)).collect()
    }
}

/// The method as it looks with numbers put in; the value as it is printed.
fn point(step: &WorkedStep, mark: Mark, has_method: bool, follows: bool) -> PointContext {
    let name = mathematical(&step.name);
    // What only goes on from the relation that closes a let is left out.
    let links: Vec<String> =
        step.chain.iter().filter(|l| !l.starts_with("so ")).map(|l| mathematical(l)).collect();
    let with_numbers = links.get(1).or(links.first());
    let is_method = mark.earns == Earns::Method;
    let text = match (&step.answer, with_numbers) {
        (None, None) => escape(&step.says).into_owned(),
        (Some(answer), _) if !is_method && has_method => {
            format!("**{}**", mathematical(answer))
        }
        (Some(answer), Some(link)) if !is_method => {
            format!("{link} = **{}**", mathematical(answer))
        }
        (Some(answer), None) => format!("**{}**", mathematical(answer)),
        (None, Some(link)) if !is_method => {
            format!("{name} = {}", links.last().unwrap_or(link))
        }
        (_, Some(link)) if links.len() == 1 && is_opening(link) => {
            format!("let {name} = {link}")
        }
        (_, Some(link)) => format!("{name} = {link}"),
    };
    let reckons = step.chain.iter().any(|link| link.contains(['×', '÷', '+', '−', '=']));
    let guidance = if is_method && reckons { vec![OE.to_owned()] } else { Vec::new() };
    let through = follows && !is_method && step.answer.is_some();
    let marks = if through { format!("{mark} {FT}") } else { mark.to_string() };
    PointContext { text, marks, guidance, ..PointContext::default() }
}

/// A lone letter with its unit: a quantity is let be it.
fn is_opening(link: &str) -> bool {
    ["*x*", "*y*"].iter().any(|letter| {
        link.strip_prefix(letter).is_some_and(|rest| rest.is_empty() || rest.starts_with(UNIT_GAPS))
    })
}

fn accepted(answer: &Answer, several: bool) -> String {
    let (lowest, highest) = answer.accepted();
    let unit = answer.unit.print();
    // Escaping would trim the narrow blank away.
    let unit = if unit.is_empty() { String::new() } else { format!("\u{202f}{}", escape(unit)) };
    let name = if several { format!("{}: ", mathematical(&answer.name)) } else { String::new() };
    if lowest == highest {
        format!("{name}{CAO}")
    } else {
        format!("{name}accept {lowest} to {highest}{unit}")
    }
}

fn rejected(slip: &Slip) -> String {
    format!("reject **{}**: {}", slip.printed, escape(&slip.says))
}
