//! Quantities, operations and envelopes in the words of a worked answer.

use crate::balance::problem::{At, Basis, Law, Part, Problem, Says, What};
use crate::balance::{Node, Slot};
use crate::quantity::formula::Formula;

pub(super) use crate::reading::model::capital;

use super::Solution;

/// A quantity as it stands in a line of working: "mass of slurry", "salt in slurry".
pub(super) fn of_slot(solution: &Solution<'_>, slot: Slot) -> String {
    let problem = &solution.checked.engine.problem;
    match solution.checked.engine.system.nodes[slot] {
        Node::Amount(at, of) => amount(solution, at, of),
        Node::Share(at, What::Part(part)) => {
            format!("share of {} in {}", part.word(), place(problem, at))
        }
        Node::Share(at, of) => {
            format!(
                "{} of {} in {}",
                share_word(problem, of),
                problem.what_words(of),
                within(problem, at)
            )
        }
        Node::Other(at, of) => {
            let kind = other_word(problem);
            match of {
                What::Total => format!("{kind} of {}", place(problem, at)),
                _ => format!("{kind} of {} in {}", problem.what_words(of), within(problem, at)),
            }
        }
        Node::OtherShare(at, of) => {
            let kind = if problem.basis == Basis::Moles { "mass" } else { "mole" };
            format!("{kind} fraction of {} in {}", problem.what_words(of), within(problem, at))
        }
        Node::Concentration(at, of) => {
            format!("concentration of {} in {}", problem.what_words(of), within(problem, at))
        }
        Node::Extra(extra) => problem.extras[extra].words.clone(),
        Node::Value(value) => problem.values[value].replace('_', " "),
        Node::Factor(fact) => match problem.facts.get(fact).map(|f| &f.says) {
            Some(Says::Per { .. }) => "given ratio".to_owned(),
            Some(Says::Proportion { law, .. } | Says::ShareTimes { law, .. }) => match law {
                Law::Distribution => "distribution ratio",
                Law::Equilibrium => "equilibrium ratio",
                Law::Volatility => "relative volatility",
                Law::Rejection => "share let through",
                Law::VapourPressures => "ratio",
            }
            .to_owned(),
            Some(Says::Power { .. }) => "relative volatility".to_owned(),
            Some(Says::Saturated { .. }) => "temperature".to_owned(),
            _ => "given share".to_owned(),
        },
        Node::Asked(_) => "answer".to_owned(),
        Node::Zero => "0".to_owned(),
        Node::One => "1".to_owned(),
    }
}

fn amount(solution: &Solution<'_>, at: At, of: What) -> String {
    let problem = &solution.checked.engine.problem;
    let place = place(problem, at);
    match of {
        What::Total => format!("{} of {place}", kind_of_amount(solution)),
        What::Volume => format!("volume of {place}"),
        What::Density => format!("density of {place}"),
        _ => format!("{} in {}", problem.what_words(of), within(problem, at)),
    }
}

/// Where something is: "slurry", "the liquor of cake".
fn within(problem: &Problem, at: At) -> String {
    let name = problem.stream_words(at.stream);
    match at.part {
        None => name,
        Some(part) => format!("the {} of {name}", part.word()),
    }
}

fn kind_of_amount(solution: &Solution<'_>) -> &'static str {
    match (solution.checked.engine.problem.basis, solution.checked.measures.amounts.time) {
        (Basis::Mass, 0) => "mass",
        (Basis::Moles, 0) => "amount",
        (Basis::Volume, 0) => "volume",
        _ => "flow",
    }
}

/// What a plain share is called.
fn share_word(problem: &Problem, of: What) -> &'static str {
    match problem.basis {
        _ if !problem.counts_as_share(of) => "concentration",
        Basis::Moles => "mole fraction",
        _ => "fraction",
    }
}

fn other_word(problem: &Problem) -> &'static str {
    if problem.basis == Basis::Moles { "mass" } else { "moles" }
}

/// A stream or part without an article: "slurry", "liquor in cake".
pub(super) fn place(problem: &Problem, at: At) -> String {
    let name = problem.stream_words(at.stream);
    match at.part {
        None => name,
        Some(Part::Solids) => format!("solids in {name}"),
        Some(Part::Liquor) => format!("liquor in {name}"),
    }
}

/// The same with one: "the slurry".
pub(super) fn the_place(problem: &Problem, at: At) -> String {
    let name = problem.stream_words(at.stream);
    match at.part {
        None => format!("the {name}"),
        Some(part) => format!("the {} in the {name}", part.word()),
    }
}

/// "the pan", "the pan and the cooler", "stages 1 and 2 of the column", "the whole
/// process".
pub(super) fn envelope(problem: &Problem, operations: &[usize], whole: bool) -> String {
    let mut names: Vec<(&str, Vec<&str>)> = Vec::new();
    for name in operations.iter().map(|o| problem.operations[*o].name.as_str()) {
        let (name, stage) = match name.split_once(".stage") {
            Some((name, stage)) => (name, Some(stage)),
            None => (name, None),
        };
        match names.last_mut().filter(|(last, _)| *last == name) {
            Some((_, stages)) => stages.extend(stage),
            None => names.push((name, stage.into_iter().collect())),
        }
    }
    if whole {
        names.retain(|(name, _)| !name.contains(' '));
        if names.len() > 1 {
            return "the whole process".to_owned();
        }
    }
    let said: Vec<String> = names
        .iter()
        .map(|(name, stages)| {
            let mut stages: Vec<String> = stages.iter().map(|s| (*s).to_owned()).collect();
            stages.dedup();
            let words = name.replace('_', " ");
            match stages.as_slice() {
                [] => format!("the {words}"),
                [one] => format!("stage {one} of the {words}"),
                all if is_all_stages(problem, name, all) => format!("the {words}"),
                several => format!("stages {} of the {words}", joined(several, "and")),
            }
        })
        .collect();
    joined(&said, "and")
}

fn is_all_stages(problem: &Problem, name: &str, stages: &[String]) -> bool {
    let own = |o: &&str| o.strip_prefix(name).is_some_and(|rest| rest.starts_with(".stage"));
    let mut all: Vec<&str> = problem.operations.iter().map(|o| o.name.as_str()).collect();
    all.retain(|o| own(o));
    all.dedup();
    all.len() == stages.len()
}

/// "the spent", where several of its stages are meant; else each by its name.
pub(super) fn the_streams(problem: &Problem, streams: &[usize]) -> Vec<String> {
    let mut said: Vec<String> = Vec::new();
    for stream in streams {
        let name = &problem.streams[*stream];
        let base = name.split_once(".stage").map_or(name.as_str(), |(base, _)| base);
        let is_same = |other: &&usize| {
            let other = &problem.streams[**other];
            other == base || other.strip_prefix(base).is_some_and(|r| r.starts_with(".stage"))
        };
        let words = if streams.iter().filter(is_same).count() > 1 {
            format!("the {}", base.replace('_', " "))
        } else {
            the_place(problem, At::whole(*stream))
        };
        if !said.contains(&words) {
            said.push(words);
        }
    }
    said
}

/// a, b and c.
pub fn joined(names: &[String], last: &str) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [rest @ .., end] => format!("{} {last} {end}", rest.join(", ")),
    }
}

/// What an answer line says where the author gives no name.
pub(super) fn answer_name(solution: &Solution<'_>, formula: &Formula) -> String {
    use crate::balance::problem::{Meaning, Percent};
    let problem = &solution.checked.engine.problem;
    let Some(path) = formula.as_name() else { return written_out(solution, formula) };
    match problem.meaning(&path) {
        Ok(Meaning::Value(value)) => problem.values[value].replace('_', " "),
        Ok(Meaning::Amount(at, What::Part(part))) => {
            format!(
                "{} of {}",
                kind_of_amount(solution),
                place(problem, At { part: Some(part), ..at })
            )
        }
        Ok(Meaning::Amount(at, of @ (What::Component(_) | What::Group(_)))) => {
            let is_mass = !problem.counts_as_share(of);
            format!(
                "{} of {} in {}",
                match kind_of_amount(solution) {
                    "volume" if is_mass => "mass",
                    kind => kind,
                },
                problem.what_words(of),
                place(problem, at)
            )
        }
        Ok(Meaning::Amount(at, of)) => amount(solution, at, of),
        Ok(
            meaning @ (Meaning::Other(..) | Meaning::OtherShare(..) | Meaning::Concentration(..)),
        ) => solution
            .checked
            .engine
            .slot_of(Node::of(meaning))
            .map_or_else(|| "answer".to_owned(), |slot| of_slot(solution, slot)),
        Ok(Meaning::Extra(extra)) => problem.extras[extra].words.clone(),
        Ok(Meaning::Share(at, of, percent)) => {
            let word = if percent == Percent::Yes { "percentage" } else { share_word(problem, of) };
            format!("{word} of {} in {}", problem.what_words(of), place(problem, at))
        }
        Err(_) => "answer".to_owned(),
    }
}

/// Longest formula that stands as the name of an answer.
const LONGEST: usize = 60;

/// A short formula in words is its own name.
fn written_out(solution: &Solution<'_>, formula: &Formula) -> String {
    let words = |path: &[&str]| match solution.slot_of_path(path) {
        Some(slot) => of_slot(solution, slot),
        None => path.join(" ").replace('_', " "),
    };
    let text = formula.write(&words);
    if text.chars().count() <= LONGEST { text } else { "answer".to_owned() }
}
