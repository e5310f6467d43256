//! `check --profile`: what each question asks of a learner, how it reads, how long it
//! takes, and what its limits cost when versions are drawn.
//!
//! Takes files and folders; gives text. Units with mistakes are passed over: `check`
//! tells those.

use std::fmt::Write as _;
use std::path::PathBuf;

use crate::diag::Diagnostics;
use crate::reading;
use crate::reading::model::{Checked, Model};
use crate::rules;

use super::check::TRIAL_SEED;
use super::load;

/// Versions drawn to see what is refused.
const DRAWN: u64 = 26;

/// The profile of every question of the units under `paths`.
pub fn profile(paths: &[PathBuf]) -> String {
    let mut text = String::new();
    for found in reading::find::files(paths, &mut Diagnostics::new()).units {
        let mut out = Diagnostics::new();
        let model = load::model_of(&found.file, &mut out);
        if let Some(model) = model.filter(|_| !out.has_errors()) {
            // A string grows without fail.
            let _ = of_unit(&model, &mut text);
        }
    }
    text
}

const HEAD: &str = "\
  question                 steps  let x  convert  figures  read  between  words  ease  grade  index  minutes";

fn of_unit(model: &Model, text: &mut String) -> std::fmt::Result {
    writeln!(text, "{}\n\n{HEAD}", model.parsed.file.name())?;
    let mut sum = 0.0;
    for checked in &model.questions {
        let id = &checked.question.id.value;
        let Some((p, minutes)) = rules::time_of(checked) else { continue };
        let counts = rules::words_of_question(model, checked);
        let given = checked.question.minutes.as_ref();
        let given = given.map_or_else(String::new, |given| format!(" of {}", given.value));
        sum += minutes;
        writeln!(
            text,
            "  {id:<24} {:>5}  {:>5}  {:>7}  {:>7}  {:>4}  {:>7}  {:>5}  {:>4.0}  {:>5.1}  {:>5.1}  {minutes:>7.1}{given}",
            p.steps,
            p.unknowns,
            p.conversions,
            p.digits,
            p.readings,
            p.between,
            p.words,
            counts.reading_ease().unwrap_or(0.0),
            counts.grade().unwrap_or(0.0),
            p.index(),
        )?;
    }
    let given = model.parsed.front.minutes.as_ref();
    let given = given.map_or_else(String::new, |given| format!(" of {}", given.value));
    writeln!(text, "  {:<24} {sum:>84.1}{given}\n", "all questions")?;
    writeln!(text, "  What limits cost, of the combinations tried for {DRAWN} versions:\n")?;
    for checked in &model.questions {
        limits(model, checked, text)?;
    }
    writeln!(text)
}

/// How many combinations each limit of a question refused.
fn limits(model: &Model, checked: &Checked, text: &mut String) -> std::fmt::Result {
    let id = &checked.question.id.value;
    let drawn = load::draw_question(model, checked, TRIAL_SEED, DRAWN);
    let (tried, refused) = match &drawn {
        Ok(draws) => (draws.tried, &draws.refused),
        Err(few) => (few.tried, &few.refused),
    };
    let conditions = checked.require.len();
    let count = |from: usize, to: usize| -> u64 {
        refused.iter().enumerate().filter(|(at, _)| (from..to).contains(at)).map(|(_, n)| n).sum()
    };
    write!(text, "  {id:<24} {tried:>5} tried")?;
    let costs = [
        (count(0, conditions), "by `require`"),
        (count(conditions, conditions + 1), "impossible"),
        (count(conditions + 1, conditions + 2), "without enough options"),
        (count(conditions + 2, conditions + 3), "unlike the others"),
    ];
    for (many, why) in costs.iter().filter(|(many, _)| *many > 0) {
        write!(text, ", {many} {why}")?;
    }
    if let Err(few) = &drawn {
        write!(text, "; {} versions exist", few.exist)?;
    }
    writeln!(text)
}
