//! Quantities, operations and envelopes in the words of a worked answer.

use crate::balance::problem::{At, Basis, Law, Part, Problem, Says, What};
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

/// "the pan", "the pan and the cooler", "the whole process".
pub(super) fn envelope(problem: &Problem, operations: &[usize], whole: bool) -> String {
    if whole && operations.len() > 1 {
        return "the whole process".to_owned();
    }
    let mut names: Vec<String> = operations
        .iter()
        .map(|o| {
            let name = problem.operation_words(*o);
            if name.starts_with("stage ") { name } else { format!("the {name}") }
        })
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
