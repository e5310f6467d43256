//! What a question asks for, and the unit that each answer is printed in.
//!
//! Takes the parts of a question; gives formulas with units, or says why an answer
//! cannot be printed as the author wants.

use crate::balance::problem::{Basis, Meaning};
use crate::diag::{Code, Diagnostic, Diagnostics};
use crate::quantity::formula::Formula;
use crate::quantity::{Dimension, Unit, UnitKind};
use crate::reading::parsed::{Part, Question};

use super::lookup::Lookup;
use super::names::UnitNames;
use super::{Asked, temperatures};

pub(super) fn asked(
    unit: &UnitNames<'_>,
    question: &Question,
    lookup: &Lookup<'_>,
    diagnostics: &mut Diagnostics,
) -> Vec<Asked> {
    let mut asked = Vec::new();
    for (number, part) in question.parts.iter().enumerate() {
        for find in &part.find {
            let Some(dimension) = lookup.check(unit, &find.value, diagnostics) else { continue };
            check_tolerance(unit, part, dimension, diagnostics);
            let printed = match &part.unit {
                Some(wanted)
                    if wanted.value.dimension() == dimension
                        && converts(&find.value, lookup, &wanted.value) =>
                {
                    wanted.value.clone()
                }
                Some(wanted) => {
                    diagnostics.push(
                        Diagnostic::new(
                            Code::UnitMismatch,
                            unit.place(wanted.span),
                            format!(
                                "The answer is {}, which cannot be printed in {}.",
                                dimension.words(),
                                wanted.value.print()
                            ),
                        )
                        .found(format!("`{}`", wanted.value.text()))
                        .expected(format!("a unit for {}", dimension.words()))
                        .next("change the unit, or leave it out"),
                    );
                    continue;
                }
                None => default_unit(&find.value, dimension, lookup),
            };
            match temperatures::unit_for(&find.value, printed, &lookup.values.numbers) {
                Ok(unit) => {
                    asked.push(Asked { part: number, formula: find.value.clone(), unit });
                }
                Err(why) => diagnostics.push(temperatures::mistake(unit, &find.value, why)),
            }
        }
    }
    asked
}

/// A share is no ratio and a ratio no share, though both are plain numbers. Algebra
/// may come to either, so there the author's unit decides.
fn converts(formula: &Formula, lookup: &Lookup<'_>, wanted: &Unit) -> bool {
    let Some(path) = formula.as_name() else { return true };
    let name = path.join(".");
    if let Some(value) = lookup.values.numbers.iter().find(|v| v.name == name) {
        return value.unit.converts_to(wanted);
    }
    match lookup.problem.meaning(&path) {
        Ok(Meaning::Share(_, of, _)) if super::measures::by_mass_beside(lookup.problem, of) => true,
        // Per cent of the mass are no per cent of the moles.
        Ok(Meaning::Share(..)) if lookup.problem.basis == Basis::Moles => {
            Unit::percent().converts_to(wanted) || wanted.kind() == UnitKind::MolePercent
        }
        Ok(Meaning::OtherShare(..)) if lookup.problem.basis == Basis::Mass => {
            wanted.is_none() || wanted.kind() == UnitKind::MolePercent
        }
        Ok(Meaning::Share(..) | Meaning::OtherShare(..)) => Unit::percent().converts_to(wanted),
        _ => true,
    }
}

/// A tolerance is a percentage of the answer or an amount of its own kind.
fn check_tolerance(
    unit: &UnitNames<'_>,
    part: &Part,
    answer: Dimension,
    diagnostics: &mut Diagnostics,
) {
    let Some(tolerance) = &part.tolerance else { return };
    let given = &tolerance.value.unit;
    let bare = given.is_none() && !answer.is_none();
    let number = tolerance.value.number.value;
    if number < 0.0 || !bare && given.dimension().is_none() && given.to_si(number) >= 1.0 {
        diagnostics.push(
            Diagnostic::new(
                Code::BadValue,
                unit.place(tolerance.span),
                "This tolerance leaves no range, or one that takes in 0.",
            )
            .found(format!("`{}`", unit.file.slice(tolerance.span).trim()))
            .expected("a few hundredths of the answer: `2 %`")
            .next("write what is allowed on either side, without a sign"),
        );
        return;
    }
    if !bare && (given.dimension() == answer || given.dimension().is_none()) {
        return;
    }
    let text = unit.file.slice(tolerance.span).trim();
    let message = if bare {
        "This tolerance does not say of what: a percentage, or an amount with its unit.".to_owned()
    } else {
        format!(
            "This tolerance is {}, while the answer is {}.",
            given.dimension().words(),
            answer.words()
        )
    };
    let diagnostic = Diagnostic::new(Code::UnitMismatch, unit.place(tolerance.span), message)
        .found(format!("`{text}`"))
        .expected("a percentage such as `2 %`, or an amount in a unit of the answer")
        .next("write the sign or the unit behind the number");
    let known = diagnostics.iter().any(|d| d.place.span == tolerance.span);
    if !known {
        diagnostics.push(if bare {
            diagnostic.written(format!("tolerance: {text} %"))
        } else {
            diagnostic
        });
    }
}

/// The unit an answer is printed in where the author names none.
pub(super) fn default_unit(formula: &Formula, dimension: Dimension, lookup: &Lookup<'_>) -> Unit {
    if let Some(path) = formula.as_name()
        && let Ok(meaning) = lookup.problem.meaning(&path)
        && let Some(unit) = lookup.measures.unit(lookup.problem, meaning)
    {
        return unit;
    }
    if let Some(path) = formula.as_name()
        && let Some(value) = lookup.values.numbers.iter().find(|v| v.name == path.join("."))
    {
        return value.unit.clone();
    }
    if dimension.is_none() {
        return Unit::none();
    }
    let measures = lookup.measures;
    let known = [
        &measures.amount_unit,
        &measures.solute_unit,
        &measures.other_unit,
        &measures.concentration_unit,
    ];
    if !lookup.problem.streams.is_empty()
        && let Some(unit) = known.into_iter().find(|unit| unit.dimension() == dimension)
    {
        return unit.clone();
    }
    if let Some(degrees) = temperatures::degrees_of(formula, &lookup.values.numbers)
        && degrees.dimension() == dimension
    {
        return degrees;
    }
    let of_values = formula
        .names()
        .filter_map(|(path, _)| lookup.values.numbers.iter().find(|v| v.name == path.join(".")))
        .chain(&lookup.values.numbers)
        .find(|v| v.unit.dimension() == dimension)
        .map(|v| v.unit.clone());
    of_values.unwrap_or_else(|| Unit::base(dimension))
}
