//! Quantities, operations and envelopes in the words of a worked answer.

use crate::balance::problem::{At, Part, Problem, Says, What};
use crate::balance::{Node, Slot};
use crate::quantity::formula::Formula;

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
            format!("fraction of {} in {}", problem.what_words(of), within(problem, at))
        }
        Node::Value(value) => problem.values[value].replace('_', " "),
        Node::Factor(fact) => match problem.facts.get(fact).map(|f| &f.says) {
            Some(Says::Per { .. }) => "given ratio".to_owned(),
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
    let name = problem.streams[at.stream].replace('_', " ");
    match at.part {
        None => name,
        Some(part) => format!("the {} of {name}", part.word()),
    }
}

fn kind_of_amount(solution: &Solution<'_>) -> &'static str {
    if solution.checked.amounts.time == 0 { "mass" } else { "flow" }
}

/// A stream or part without an article: "slurry", "liquor in cake".
pub(super) fn place(problem: &Problem, at: At) -> String {
    let name = problem.streams[at.stream].replace('_', " ");
    match at.part {
        None => name,
        Some(Part::Solids) => format!("solids in {name}"),
        Some(Part::Liquor) => format!("liquor in {name}"),
    }
}

/// The same with one: "the slurry".
pub(super) fn the_place(problem: &Problem, at: At) -> String {
    let name = problem.streams[at.stream].replace('_', " ");
    match at.part {
        None => format!("the {name}"),
        Some(part) => format!("the {} in the {name}", part.word()),
    }
}

/// "the pan", "the pan and the cooler", "the whole process".
pub(super) fn envelope(problem: &Problem, operations: &[usize], whole: bool) -> String {
    if whole && operations.len() > 1 {
        return "the whole process".to_owned();
    }
    let mut names: Vec<String> = operations
        .iter()
        .map(|o| format!("the {}", problem.operations[*o].name.replace('_', " ")))
        .collect();
    names.dedup();
    joined(&names, "and")
}

/// a, b and c.
pub(super) fn joined(names: &[String], last: &str) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [rest @ .., end] => format!("{} {last} {end}", rest.join(", ")),
    }
}

pub(super) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}

/// What an answer line says where the author gives no name.
pub(super) fn answer_name(solution: &Solution<'_>, formula: &Formula) -> String {
    use crate::balance::problem::{Meaning, Percent};
    let problem = &solution.checked.engine.problem;
    let Some(path) = formula.as_name() else { return "answer".to_owned() };
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
            format!(
                "{} of {} in {}",
                kind_of_amount(solution),
                problem.what_words(of),
                place(problem, at)
            )
        }
        Ok(Meaning::Amount(at, of)) => amount(solution, at, of),
        Ok(Meaning::Share(at, of, percent)) => {
            let word = if percent == Percent::Yes { "percentage" } else { "fraction" };
            format!("{word} of {} in {}", problem.what_words(of), place(problem, at))
        }
        Err(_) => "answer".to_owned(),
    }
}
