//! A choice among words or numbers, its options lettered in the order of this version.

use crate::reading::model::kinds::{OptionText, Task};
use crate::version::Stream;

use super::super::solution::with_unit;
use super::positions::Positions;
use super::{Asked, Choice, Form, Response, letter, point};
use crate::question::mistakes::Distractors;
use crate::question::{Answer, Solution};

/// Orders that are tried for one that the guards allow.
const TRIES: usize = 40;

/// A numeric choice for which too few wrong turns are left in a version.
#[derive(Debug)]
pub struct Lack {
    pub part: usize,
    /// With the key.
    pub options: usize,
    /// Wrong answers that can stand together.
    pub found: usize,
    /// Names of those that cannot.
    pub too_near: Vec<String>,
}

/// The first numeric choice of a version that lacks options.
pub fn lacking(solution: &Solution<'_>, answers: &[Answer]) -> Option<Lack> {
    solution.checked.tasks.iter().enumerate().find_map(|(part, task)| {
        let Task::ChooseNumber { options } = *task else { return None };
        let lack = |found, too_near| Lack { part, options, found, too_near };
        let Some(answer) = answers.iter().find(|answer| answer.part == part) else {
            return Some(lack(0, Vec::new()));
        };
        let few = Distractors::of(solution, answer).suffice(options.saturating_sub(1)).err()?;
        Some(lack(few.found, few.too_near))
    })
}

/// Whether every numeric choice of a version has its options, all of them apart.
pub fn has_options(solution: &Solution<'_>, answers: &[Answer]) -> bool {
    lacking(solution, answers).is_none()
}

/// Whether one place among its options is the key's.
pub(super) fn has_one_key(task: &Task) -> bool {
    match task {
        Task::ChooseNumber { .. } => true,
        Task::Choose { several, .. } => !several,
        _ => false,
    }
}

impl Asked<'_, '_> {
    /// Numbers in the order of their size. How many are smaller than the key is drawn,
    /// as far as the wrong turns of this version allow.
    pub(super) fn choose_number(
        &self,
        options: usize,
        stream: &mut Stream,
        positions: &mut Positions,
    ) -> Option<Response> {
        let answer = self.answers.iter().find(|answer| answer.part == self.part)?;
        let distractors = Distractors::of(self.solution, answer);
        let mut wishes: Vec<usize> = (0..options).collect();
        stream.shuffle(&mut wishes);
        let choices: Vec<_> = wishes
            .into_iter()
            .filter_map(|below| distractors.beside(options - 1, below).ok())
            .collect();
        let allowed = choices.iter().position(|choice| positions.allows(choice.rank));
        let choice = choices.into_iter().nth(allowed.unwrap_or(0))?;
        positions.take(choice.rank);
        let mut numbers: Vec<(f64, String, String, bool)> = choice
            .slips
            .into_iter()
            .map(|slip| (slip.rounded.value, slip.printed, slip.says, false))
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
