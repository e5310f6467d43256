//! Names of formulas that belong to no stream: `sieve.effectiveness`,
//! `mother.saturation_temperature`.
//!
//! Takes the formulas of a question; gives the problem an extra quantity for each
//! such name, with the equation or fact that tells it. A name that no formula
//! reads costs nothing.

use crate::balance::operations::Role;
use crate::balance::problem::{At, Equation, Extra, Fact, Problem, Says};
use crate::diag::{Diagnostics, Span};
use crate::quantity::Unit;
use crate::quantity::formula::Formula;

use super::facts::{Placed, Reader};
use super::names::UnitNames;
use super::questions::Blocks;
use super::values::Values;

/// Adds what the names of `formulas` need; gives facts.
pub(super) fn add<'f>(
    unit: &UnitNames<'_>,
    problem: &mut Problem,
    values: &Values,
    blocks: Blocks<'_>,
    formulas: impl Iterator<Item = &'f Formula>,
    diagnostics: &mut Diagnostics,
) -> Vec<Placed> {
    let mut names: Vec<(Vec<String>, Span)> = Vec::new();
    for formula in formulas {
        for (path, span) in formula.names() {
            let path: Vec<String> = path.iter().map(|word| (*word).to_owned()).collect();
            if path.len() > 1 && !names.iter().any(|(known, _)| *known == path) {
                names.push((path, span));
            }
        }
    }
    let mut found = Vec::new();
    for (path, span) in names {
        let path: Vec<&str> = path.iter().map(String::as_str).collect();
        if let [operation, measure] = path.as_slice() {
            add_measure(problem, operation, measure, span);
        }
        if let [place @ .., "saturation_temperature"] = path.as_slice() {
            found.extend(saturation(unit, problem, values, blocks, place, span, diagnostics));
        }
    }
    found
}

/// `sieve.effectiveness`: an extra and the equation for it.
fn add_measure(problem: &mut Problem, operation: &str, measure: &str, span: Span) {
    let Some(owner) = problem.operations.iter().find(|o| o.name == operation) else { return };
    let Some(told) = owner.kind.measures.iter().find(|m| m.name == measure) else { return };
    let mut text = told.formula.to_owned();
    for (key, stream) in owner
        .outlets
        .iter()
        .map(|(key, s)| (*key, *s))
        .chain(owner.inlet_keys.iter().copied().zip(owner.inlets.iter().copied()))
    {
        text = text.replace(&format!("<{key}>"), &problem.streams[stream]);
    }
    for (number, component) in problem.components.iter().enumerate() {
        text = text.replace(&format!(".{}", number + 1), &format!(".{}", component.name));
    }
    let path = format!("{operation}.{measure}");
    let left = Formula::parse(&path, |_| span.start);
    let right = Formula::parse(&text, |_| span.start);
    let (Ok(left), Ok(right)) = (left, right) else { return };
    problem.extras.push(Extra {
        words: format!("{measure} of the {}", operation.replace('_', " ")),
        unit: Unit::none(),
        value: None,
        says: None,
        path: Some(path),
    });
    let mut says = format!("The {measure} is {}.", told.says);
    for (ordinal, component) in ["first", "second"].iter().zip(&problem.components) {
        let name = component.name.replace('_', " ");
        says = says.replace(&format!("{ordinal} component"), &name).replace(ordinal, &name);
    }
    let says = Some(says);
    problem.relations.push(Equation { left, right, says });
}

/// `mother.saturation_temperature`, `mother.salt.saturation_temperature`.
fn saturation(
    unit: &UnitNames<'_>,
    problem: &mut Problem,
    values: &Values,
    blocks: Blocks<'_>,
    place: &[&str],
    span: Span,
    diagnostics: &mut Diagnostics,
) -> Option<Placed> {
    let (at, read) = problem.locate(place).ok()?;
    let named = place.get(read).and_then(|word| problem.component(word));
    let with_role = |role| problem.components.iter().position(|c| c.role == role);
    let solute = named.or_else(|| with_role(Role::Solute))?;
    let solvent = with_role(Role::Solvent)?;
    let reader = Reader { unit, problem, values, blocks };
    let table = reader.table(solute, span, diagnostics)?;
    problem.extras.push(Extra {
        words: format!("saturation temperature of {}", problem.at_words(at)),
        unit: Unit::parse("degC").unwrap_or_else(|_| Unit::none()),
        value: None,
        says: None,
        path: Some(format!("{}.saturation_temperature", place.join("."))),
    });
    let says = Says::SaturatedWhen { solute, solvent, table, at: problem.extras.len() - 1 };
    Some(Placed {
        fact: Fact { at: At { ..at }, says },
        span,
        formula: None,
        amount: None,
        by_operation: true,
    })
}
