//! A choice among words or numbers, its options lettered in the order of this version.

use crate::reading::model::kinds::{OptionText, Task};
use crate::version::Stream;

use super::super::solution::with_unit;
use super::positions::Positions;
use super::{Asked, Choice, Form, Response, letter, point};
use crate::question::{Answer, Solution};

/// Two options whose values lie nearer than this, as a share of the key, are too near
/// to be told apart.
const APART: f64 = 0.03;
/// Orders that are tried for one that the guards allow.
const TRIES: usize = 40;

/// A wrong turn that may stand among the options of a numeric choice.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// What went wrong.
    pub says: String,
    /// In the unit of the answer.
    pub value: f64,
    /// To the figures of the answer, without the unit.
    pub printed: String,
}

/// The wrong turns known of a part. Those that read as the key, or as one before,
/// are not among them.
pub fn candidates(solution: &Solution<'_>, part: usize, answer: &Answer) -> Vec<Candidate> {
    solution
        .slips(part, answer)
        .into_iter()
        .map(|slip| Candidate {
            value: answer.unit.from_si(slip.value),
            says: slip.says,
            printed: slip.printed,
        })
        .collect()
}

/// Whether every numeric choice of a version has its options, all of them apart.
pub fn has_options(solution: &Solution<'_>, answers: &[Answer]) -> bool {
    let tasks = solution.checked.tasks.iter().enumerate();
    tasks
        .filter_map(|(part, task)| match task {
            Task::ChooseNumber { options } => Some((part, *options)),
            _ => None,
        })
        .all(|(part, options)| {
            let answer = answers.iter().find(|answer| answer.part == part);
            answer.is_some_and(|answer| {
                let all = candidates(solution, part, answer);
                (0..all.len()).any(|first| {
                    let order = (first..all.len()).chain(0..first);
                    picked(answer, &all, order, options - 1).len() + 1 == options
                })
            })
        })
}

/// Whether one place among its options is the key's.
pub(super) fn has_one_key(task: &Task) -> bool {
    match task {
        Task::ChooseNumber { .. } => true,
        Task::Choose { several, .. } => !several,
        _ => false,
    }
}

/// Up to so many candidates, in this order, that can be told from the key and from
/// each other.
fn picked(
    answer: &Answer,
    all: &[Candidate],
    order: impl Iterator<Item = usize>,
    count: usize,
) -> Vec<usize> {
    let key = answer.rounded.value;
    // What is accepted of a wrong answer reaches as far as with the key.
    let reach = ((answer.highest - key).abs()).max((key - answer.lowest).abs());
    let share = if key == 0.0 { 0.0 } else { reach / key.abs() };
    let apart = |one: f64, other: f64| {
        let gap = (one - other).abs();
        gap > APART * key.abs() && gap > share * (one.abs() + other.abs()).max(key.abs())
    };
    let mut chosen: Vec<usize> = Vec::new();
    for n in order {
        if chosen.len() == count {
            break;
        }
        let candidate = &all[n];
        let clear = candidate.printed != answer.printed
            && apart(candidate.value, key)
            && chosen.iter().all(|c| {
                all[*c].printed != candidate.printed && apart(all[*c].value, candidate.value)
            });
        if clear {
            chosen.push(n);
        }
    }
    chosen
}

impl Asked<'_, '_> {
    /// Numbers in the order of their size; which wrong turns stand among them is
    /// drawn, and with them the place of the key.
    pub(super) fn choose_number(
        &self,
        options: usize,
        stream: &mut Stream,
        positions: &mut Positions,
    ) -> Option<Response> {
        let answer = self.answers.iter().find(|answer| answer.part == self.part)?;
        let all = candidates(self.solution, self.part, answer);
        let mut order: Vec<usize> = (0..all.len()).collect();
        let mut best: Option<(Vec<usize>, usize)> = None;
        for _ in 0..TRIES {
            stream.shuffle(&mut order);
            let chosen = picked(answer, &all, order.iter().copied(), options - 1);
            let place = chosen.iter().filter(|n| all[**n].value < answer.rounded.value).count();
            let longer = best.as_ref().is_none_or(|(known, _)| chosen.len() > known.len());
            let full = chosen.len() + 1 == options;
            if longer || full && positions.allows(place) {
                best = Some((chosen, place));
            }
            if full && positions.allows(place) {
                break;
            }
        }
        let (chosen, place) = best?;
        positions.take(place);
        let mut numbers: Vec<(f64, String, String, bool)> = chosen
            .iter()
            .map(|n| {
                let candidate = &all[*n];
                (candidate.value, candidate.printed.clone(), candidate.says.clone(), false)
            })
            .collect();
        numbers.push((answer.rounded.value, answer.printed.clone(), String::new(), true));
        numbers.sort_by(|a, b| a.0.total_cmp(&b.0));
        let options = numbers
            .into_iter()
            .enumerate()
            .map(|(n, (_, printed, why, right))| Choice {
                letter: letter(n),
                text: with_unit(&printed, &answer.unit),
                right,
                why,
            })
            .collect();
        Some(self.choice(options, false))
    }

    pub(super) fn choose(
        &self,
        options: &[OptionText],
        several: bool,
        locked: bool,
        stream: &mut Stream,
        positions: &mut Positions,
    ) -> Response {
        let mut order: Vec<usize> = (0..options.len()).collect();
        let place = |order: &[usize]| order.iter().position(|n| options[*n].right).unwrap_or(0);
        if !locked {
            for _ in 0..TRIES {
                stream.shuffle(&mut order);
                if several || positions.allows(place(&order)) {
                    break;
                }
            }
        }
        if !several {
            positions.take(place(&order));
        }
        let options = order
            .into_iter()
            .enumerate()
            .map(|(n, option)| Choice {
                letter: letter(n),
                text: options[option].text.clone(),
                right: options[option].right,
                why: options[option].why.clone(),
            })
            .collect();
        self.choice(options, several)
    }

    fn choice(&self, options: Vec<Choice>, several: bool) -> Response {
        let right: Vec<&Choice> = options.iter().filter(|option| option.right).collect();
        let key: Vec<&str> = right.iter().map(|option| option.letter.as_str()).collect();
        let key = key.join(" ");
        let count = u32::try_from(right.len()).unwrap_or(1);
        let mut points: Vec<_> = right
            .iter()
            .map(|option| point(format!("**{}** {}", option.letter, option.text)))
            .collect();
        if self.wanted().is_some_and(|marks| marks < count) {
            // Fewer marks than right options: only all of them earn any.
            points = vec![point(format!("**{key}**, all of them"))];
        }
        let several = several.then_some(right.len());
        let wrong = options.iter().filter(|option| !option.right && !option.why.is_empty());
        let mut guidance: Vec<String> =
            wrong.map(|option| format!("reject **{}**: {}", option.letter, option.why)).collect();
        if several.is_some() {
            guidance
                .push("each box ticked beyond the number asked for takes one mark away".to_owned());
        }
        let mut response = self.made(Form::Options { options, several }, key, points);
        response.guidance = guidance;
        response
    }
}
