//! What the engine says of a question's facts, in a teacher's words and at the
//! place of the fact.

use crate::balance::problem::{At, Meaning, Part, Problem, Says, What};
use crate::balance::{Engine, Fault, Gap, Node, Refusal, operation_at};
use crate::diag::{Code, Diagnostic, Diagnostics, Span};
use crate::quantity::{Dimension, Formula, Unit, print_quantity, round_figures};
use crate::reading::parsed::Question;

use super::Asked;
use super::names::UnitNames;
use super::questions::Facts;

/// Reports every fault.
pub(super) fn report(
    unit: &UnitNames<'_>,
    question: &Question,
    problem: &Problem,
    facts: &Facts,
    found: Vec<Fault>,
    diagnostics: &mut Diagnostics,
) {
    for fault in found {
        diagnostics.push(match fault {
            Fault::TooFew { formula, would_do } => too_few(unit, problem, &formula, &would_do),
            Fault::TooMany { facts: clashing, relations, gap } => {
                too_many(unit, question, problem, facts, &clashing, &relations, gap)
            }
            Fault::NoRoute { formula } => Diagnostic::new(
                Code::NoRoute,
                unit.place(formula.span()),
                "The facts settle this, but only through more unknowns at once than a person would work with.",
            )
            .found(format!("`{}`", unit.file.slice(formula.span())))
            .expected("a quantity that at most two unknowns at a time lead to")
            .next("give one of the quantities on the way, such as a total, or ask for it in an earlier part"),
            Fault::SeveralRoots { formula, values } => several(unit, problem, facts, &formula, &values),
            Fault::RouteNotTaken { pin } => route_not_taken(unit, facts, pin),
        });
    }
}

/// A quantity that may be one thing or another.
fn several(
    unit: &UnitNames<'_>,
    problem: &Problem,
    facts: &Facts,
    formula: &Formula,
    values: &[f64],
) -> Diagnostic {
    let name = unit.file.slice(formula.span());
    let meaning = formula.as_name().and_then(|path| problem.meaning(&path).ok());
    let shown = match meaning {
        Some(Meaning::Amount(_, What::Total | What::Component(_) | What::Group(_))) => {
            facts.measures.amount_unit.clone()
        }
        Some(Meaning::Share(..)) => Unit::percent(),
        _ => Unit::none(),
    };
    let values: Vec<String> = values
        .iter()
        .map(|value| {
            let rounded = round_figures(shown.from_si(*value), 4);
            print_quantity(&rounded, &shown).replace('\u{202f}', " ")
        })
        .collect();
    let values = values.join(" or ");
    Diagnostic::new(
        Code::SeveralAnswers,
        unit.place(formula.span()),
        format!("The facts leave `{name}` several possible values: {values}."),
    )
    .found(values)
    .expected("facts that only one of them fits")
    .next("give one more fact that tells them apart, or choose other numbers")
}

/// A pinned balance that the derivation cannot use.
fn route_not_taken(unit: &UnitNames<'_>, facts: &Facts, pin: usize) -> Diagnostic {
    let span = facts.pins.get(pin).copied().unwrap_or_default();
    Diagnostic::new(
        Code::RouteNotTaken,
        unit.place(span),
        "No way to what is asked goes through this balance.",
    )
    .found(format!("`{}`", unit.file.slice(span)))
    .expected("a balance that helps to find what is asked")
    .next("pin another balance, or leave the route to Stillroom")
}

fn too_few(
    unit: &UnitNames<'_>,
    problem: &Problem,
    formula: &Formula,
    would_do: &[(At, What, bool)],
) -> Diagnostic {
    let span = formula.span();
    let name = unit.file.slice(span);
    // Two or three that lie nearest to what is asked, never what is asked itself.
    let of_asked: Vec<usize> = formula
        .names()
        .filter_map(|(path, _)| path.first().and_then(|s| problem.stream(s)))
        .collect();
    let itself = |(at, of, share): &(At, What, bool)| {
        formula.as_name().is_some_and(|path| match problem.meaning(&path) {
            Ok(Meaning::Amount(a, o)) => a == *at && o == *of && !share,
            Ok(Meaning::Share(a, o, _)) => a == *at && o == *of && *share,
            _ => false,
        })
    };
    let mut near: Vec<&(At, What, bool)> = would_do.iter().filter(|c| !itself(c)).collect();
    near.sort_by_key(|(at, _, _)| !of_asked.contains(&at.stream));
    let mut words: Vec<String> = Vec::new();
    for (at, of, share) in near {
        let stream = problem.at_words(*at);
        let line = if *share {
            format!("the share of {} in the {stream}", problem.what_words(*of))
        } else {
            format!("the total of the {stream}")
        };
        // One fact a stream: what its second share is follows from the first.
        if !words.iter().any(|w| w.ends_with(&format!("the {stream}"))) {
            words.push(line);
        }
        if words.len() == 3 {
            break;
        }
    }
    let next = if words.is_empty() {
        "give more facts: two or more are missing".to_owned()
    } else {
        format!("give one more fact: {}", words.join(", or "))
    };
    Diagnostic::new(
        Code::TooFewFacts,
        unit.place(span),
        format!("The facts do not settle `{name}`."),
    )
    .found("too few facts")
    .expected(if words.is_empty() {
        "more facts under `given`".to_owned()
    } else {
        "one more fact under `given`".to_owned()
    })
    .next(next)
}

fn too_many(
    unit: &UnitNames<'_>,
    question: &Question,
    problem: &Problem,
    facts: &Facts,
    clashing: &[usize],
    relations: &[usize],
    gap: Option<Gap>,
) -> Diagnostic {
    let mut places: Vec<(Span, String)> = clashing
        .iter()
        .map(|fact| {
            let at = problem.at_words(problem.facts[*fact].at);
            (facts.spans[*fact], format!("this fact about the {at}"))
        })
        .collect();
    places.extend(relations.iter().filter_map(|relation| {
        question.relations.get(*relation).map(|r| (r.span, "this relation".to_owned()))
    }));
    // Shares that contradict each other leave a total of nothing, which tells nobody
    // which of them is wrong.
    let gap = gap.filter(|g| g.implied.abs() > 1e-9 * g.stated.abs());
    let first = gap.map(|g| facts.spans[g.fact]).or(places.first().map(|(span, _)| *span));
    let span = first.unwrap_or(question.id.span);
    let message = match gap {
        Some(gap) => {
            let (stated, implied) = gap_words(problem, facts, gap);
            let fact = &problem.facts[gap.fact];
            let stream = problem.at_words(fact.at);
            let what = match &fact.says {
                Says::Amount { of: What::Total, .. } => format!("the total of the {stream}"),
                Says::Amount { of: of @ (What::Volume | What::Density), .. } => {
                    format!("the {} of the {stream}", problem.what_words(*of))
                }
                Says::Amount { of, .. } => {
                    format!("the mass of {} in the {stream}", problem.what_words(*of))
                }
                Says::Share { of, .. } => {
                    format!("the share of {} in the {stream}", problem.what_words(*of))
                }
                _ => format!("this fact about the {stream}"),
            };
            format!(
                "These facts contradict each other: {what} is {stated} here, and {implied} by the others."
            )
        }
        None => "These facts contradict each other, so they cannot all be true.".to_owned(),
    };
    let mut diagnostic = Diagnostic::new(Code::TooManyFacts, unit.place(span), message)
        .found(format!("`{}`", unit.file.slice(span)))
        .next("take one of them out, or correct it");
    if let Some(gap) = gap {
        let (stated, implied) = gap_words(problem, facts, gap);
        diagnostic =
            diagnostic.found(stated).expected(format!("{implied}, as the other facts have it"));
    } else {
        diagnostic = diagnostic.expected("facts that fit together");
    }
    for (other, words) in places.iter().filter(|(other, _)| *other != span) {
        diagnostic = diagnostic.related(unit.place(*other), words.clone());
    }
    diagnostic
}

fn gap_words(problem: &Problem, facts: &Facts, gap: Gap) -> (String, String) {
    let unit = match &problem.facts[gap.fact].says {
        Says::Amount { of: What::Volume, .. } => Unit::base(Dimension::VOLUME),
        Says::Amount { of: What::Density, .. } => Unit::base(Dimension::MASS / Dimension::VOLUME),
        Says::Amount { .. } => facts.measures.amount_unit.clone(),
        _ => Unit::percent(),
    };
    let print = |value: f64| {
        let text = print_quantity(&round_figures(unit.from_si(value), 4), &unit);
        text.replace('\u{202f}', " ")
    };
    (print(gap.stated), print(gap.implied))
}

/// Reports a question that no sample of its values makes possible.
pub(super) fn possible(
    unit: &UnitNames<'_>,
    engine: &Engine,
    facts: &Facts,
    asked: &[Asked],
    samples: &[Vec<f64>],
    diagnostics: &mut Diagnostics,
) -> bool {
    let mut first = None;
    for sample in samples {
        match engine.solve(sample) {
            Ok(_) => return true,
            Err(refusal) => first = first.or(Some(refusal)),
        }
    }
    let Some(refusal) = first else { return true };
    let span = asked.first().map_or(Span::default(), |a| a.formula.span());
    let about = match &refusal {
        Refusal::Negative { at, .. }
        | Refusal::Share { at, .. }
        | Refusal::BeyondLimit { at, .. } => {
            engine.problem.facts.iter().position(|f| f.at.stream == at.stream)
        }
        _ => None,
    };
    let place = about.and_then(|fact| facts.spans.get(fact)).copied().unwrap_or(span);
    let why = refusal_words(engine, &facts.measures.amount_unit, &refusal);
    diagnostics.push(
        Diagnostic::new(
            Code::Impossible,
            unit.place(place),
            format!("No version of this question is possible: {why}."),
        )
        .found(format!("`{}`", unit.file.slice(place)))
        .expected("numbers that a real process could give")
        .next(match refusal {
            Refusal::NotFinite { .. } => "change the values, or what is asked",
            _ => "check compositions and totals against each other; one is too large or too small",
        }),
    );
    false
}

/// Why a version cannot be, in a few words and with the operation's name.
pub fn refusal_words(engine: &Engine, amounts: &Unit, refusal: &Refusal) -> String {
    let problem = &engine.problem;
    let beside = |at: At| {
        operation_at(problem, at).map_or_else(String::new, |o| {
            format!(" at `{}` ({})", problem.operations[o].name, problem.operations[o].kind.name)
        })
    };
    let named = |at: At, of: What| match of {
        What::Total => format!("the {}", problem.at_words(at)),
        _ => format!("{} in the {}", problem.what_words(of), problem.at_words(at)),
    };
    let print = |value: f64, unit: &Unit| {
        print_quantity(&round_figures(unit.from_si(value), 3), unit).replace('\u{202f}', " ")
    };
    match refusal {
        Refusal::Negative { at, of, value } => {
            let why = if comes_out(problem, *at) { ", as the feed is not saturated" } else { "" };
            format!("{} would be {}{}{why}", named(*at, *of), print(*value, amounts), beside(*at))
        }
        Refusal::Share { at, of, value } => format!(
            "the share of {} would be {}{}",
            named(*at, *of),
            print(*value, &Unit::percent()),
            beside(*at)
        ),
        Refusal::BeyondLimit { at, of, value, most } => format!(
            "{} would be {}{}, beyond the azeotrope at {}",
            named(*at, *of),
            print(*value, &Unit::percent()),
            beside(*at),
            print(*most, &Unit::percent()),
        ),
        Refusal::NotFinite { slot } => match engine.system.nodes[*slot] {
            Node::Amount(at, of)
            | Node::Share(at, of)
            | Node::Other(at, of)
            | Node::OtherShare(at, of)
            | Node::Concentration(at, of) => {
                format!("{} cannot be worked out{}", named(at, of), beside(at))
            }
            _ => "a result cannot be worked out, as when something is divided by zero".to_owned(),
        },
        Refusal::Unclosed { slot, roots } => {
            let what = match engine.system.nodes[*slot] {
                Node::Amount(at, of) => named(at, of),
                Node::Share(at, of) => format!("the share of {}", named(at, of)),
                _ => "the unknown".to_owned(),
            };
            if *roots == 0 {
                format!("no possible value of {what} makes the balances close")
            } else {
                format!("{roots} values of {what} make the balances close")
            }
        }
        Refusal::OffTable { fact, temperature } => {
            let celsius = ((temperature - 273.15) * 10.0).round() / 10.0;
            let stream = problem.at_words(problem.facts[*fact].at);
            format!(
                "the {stream} would be saturated at {celsius} degC, where its table has no value"
            )
        }
        Refusal::Contradiction => "its facts contradict each other".to_owned(),
        Refusal::Disagreement { .. } => {
            "the two ways of solving it disagree, which is a fault of Stillroom".to_owned()
        }
    }
}

/// Notes on remarks that no step of the working carries.
pub(super) fn idle_remarks(
    unit: &UnitNames<'_>,
    question: &Question,
    engine: &Engine,
    slot_of: &dyn Fn(&[&str]) -> Option<crate::balance::Slot>,
    diagnostics: &mut Diagnostics,
) {
    for (quantity, _) in question.parts.iter().flat_map(|part| &part.remarks) {
        let Some(path) = quantity.value.as_name() else { continue };
        let is_found = slot_of(&path).is_some_and(|slot| !engine.known().contains(&slot));
        // What does not exist has been reported.
        if is_found || engine.problem.meaning(&path).is_err() {
            continue;
        }
        diagnostics.push(
            Diagnostic::new(
                Code::NotNeeded,
                unit.place(quantity.span),
                "No step of the working finds this, so its remark is printed nowhere.",
            )
            .found(format!("`{}`", unit.file.slice(quantity.span)))
            .expected("a quantity that the working finds")
            .next("see in the key which steps there are, or take the remark out"),
        );
    }
}

/// Crystals, or the solids of what a crystallisation leaves.
fn comes_out(problem: &Problem, at: At) -> bool {
    problem.operations.iter().any(|operation| {
        operation.kind.name == "crystallisation"
            && operation.outlets.iter().any(|(port, stream)| {
                *stream == at.stream && (*port == "crystals" || at.part == Some(Part::Solids))
            })
    })
}

/// Notes on facts that the question does not need.
pub(super) fn unneeded(
    unit: &UnitNames<'_>,
    engine: &Engine,
    facts: &Facts,
    samples: &[Vec<f64>],
    diagnostics: &mut Diagnostics,
) {
    let Some(sample) = samples.first() else { return };
    if engine.problem.streams.is_empty() {
        return;
    }
    for fact in engine.unneeded(sample) {
        if fact < facts.inherited || facts.by_operation[fact] {
            continue;
        }
        diagnostics.push(
            Diagnostic::new(
                Code::NotNeeded,
                unit.place(facts.spans[fact]),
                "The question can be answered without this fact.",
            )
            .found(format!("`{}`", unit.file.slice(facts.spans[fact])))
            .expected("facts that the answer needs")
            .next("leave it if it is meant to be there, or take it out"),
        );
    }
}
