//! Temperatures: whether a formula gives a reading or a difference of readings,
//! and the unit in which that is shown.
//!
//! In degrees Celsius the two differ by 273.15, so what cannot be told apart is
//! refused and never guessed.

use crate::diag::{Code, Diagnostic};
use crate::quantity::{Dimension, Formula, Typed, Unit, UnitKind};
use crate::reading::parsed::{Part, Question, Written};

use super::names::UnitNames;
use super::{Source, Value};

const TEMPERATURE: Dimension = Dimension { temperature: 1, ..Dimension::NONE };

/// A temperature in kelvin beyond this is a reading, not a rise.
const LARGEST_RISE: f64 = 150.0;

/// Why a temperature cannot be shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Unclear {
    /// The formula adds readings, or takes shares of them that do not make one.
    Added,
    /// It joins readings in degrees and in kelvin.
    Mixed,
    /// Kelvins, which may be readings or rises, are to be shown in degrees.
    Kelvins,
}

/// Is a name a reading in degrees? A value in kelvin is a rise beside one; a
/// temperature of saturation is read off a table and is never a rise.
pub(super) fn is_reading(values: &[Value], path: &[&str]) -> bool {
    let name = path.join(".");
    reads_a_table(path) || values.iter().any(|v| v.name == name && v.unit.offset() != 0.0)
}

/// `mother.saturation_temperature` is read back from a table, in degrees.
fn reads_a_table(path: &[&str]) -> bool {
    path.len() > 1 && path.last() == Some(&"saturation_temperature")
}

/// The unit in which a formula's result is shown, given the unit that a result of
/// its kind has. Only temperatures change: a difference has the unit for differences.
pub(super) fn unit_for(formula: &Formula, unit: Unit, values: &[Value]) -> Result<Unit, Unclear> {
    if unit.dimension() != TEMPERATURE {
        return Ok(unit);
    }
    let in_degrees = formula.names().any(|(path, _)| is_reading(values, &path))
        || formula.numbers().any(|(typed, _)| typed.unit.offset() != 0.0);
    if !in_degrees {
        let from_differences = formula.names().any(|(path, _)| is_difference(values, &path));
        return match (unit.offset() != 0.0, from_differences) {
            (true, true) => Ok(unit.difference()),
            (true, false) => Err(Unclear::Kelvins),
            (false, _) => Ok(unit),
        };
    }
    if joins_kelvins(formula, values) {
        return Err(Unclear::Mixed);
    }
    let readings = formula.readings(&|path| is_reading(values, path)).unwrap_or(f64::NAN);
    if readings.abs() < 1e-6 {
        Ok(unit.difference())
    } else if (readings - 1.0).abs() < 1e-6 {
        Ok(unit.reading())
    } else {
        Err(Unclear::Added)
    }
}

/// A unit in degrees that a name of the formula has, for a result that is a reading.
pub(super) fn degrees_of(formula: &Formula, values: &[Value]) -> Option<Unit> {
    formula.names().find_map(|(path, _)| {
        if reads_a_table(&path) {
            return Unit::parse("degC").ok();
        }
        let name = path.join(".");
        values.iter().find(|v| v.name == name && v.unit.offset() != 0.0).map(|v| v.unit.clone())
    })
}

/// A derived value that was found to be a difference of readings in degrees.
fn is_difference(values: &[Value], path: &[&str]) -> bool {
    let name = path.join(".");
    values.iter().any(|v| {
        v.name == name
            && v.unit.dimension() == TEMPERATURE
            && v.unit.offset() == 0.0
            && v.unit.reading().offset() != 0.0
    })
}

/// A kelvin value beside readings in degrees that is too large for a rise.
fn joins_kelvins(formula: &Formula, values: &[Value]) -> bool {
    let is_kelvin =
        |unit: &Unit| unit.kind() == UnitKind::Temperature && unit.reading().offset() == 0.0;
    let large = |typed: &Typed| is_kelvin(&typed.unit) && typed.si().abs() > LARGEST_RISE;
    formula.numbers().any(|(typed, _)| large(typed))
        || formula.names().any(|(path, _)| {
            let name = path.join(".");
            values.iter().filter(|v| v.name == name && is_kelvin(&v.unit)).any(|v| {
                matches!(&v.source, Source::Drawn(numbers)
                    if numbers.iter().any(|n| v.unit.to_si(n.value).abs() > LARGEST_RISE))
            })
        })
}

/// What to say of a temperature that cannot be shown.
pub(super) fn mistake(unit: &UnitNames<'_>, formula: &Formula, why: Unclear) -> Diagnostic {
    let (message, expected, next) = match why {
        Unclear::Added => (
            "Temperature readings are added up here, which gives no temperature.",
            "a reading, a mean of readings, or a difference of two",
            "if one of them is a rise, give it in K, for example `rise: 5 K`",
        ),
        Unclear::Mixed => (
            "One temperature reading is in degrees and another in K.",
            "readings in one unit; a rise may be in K",
            "give both readings in degC",
        ),
        Unclear::Kelvins => (
            "A temperature in K may be a reading or a rise, so it cannot be shown in degrees.",
            "a value in degC, or an answer in K",
            "give the value in degC, or write `unit: K`",
        ),
    };
    let span = formula.span();
    Diagnostic::new(Code::UnitMismatch, unit.place(span), message)
        .found(format!("`{}`", unit.file.slice(span)))
        .expected(expected)
        .next(next)
}

/// The question with its typed temperatures settled by what its values are.
pub(super) fn settled(question: &Question, values: &[Value]) -> Question {
    let mut question = question.clone();
    let names = |path: &[&str]| is_reading(values, path);
    for require in &mut question.require {
        let comparison = &mut require.value;
        Formula::settle_sides(&mut comparison.left, &mut comparison.right, &names);
    }
    let settle_text = |text: &mut Written| {
        for blank in &mut text.blanks {
            blank.formula.settle_temperatures(&names);
        }
    };
    settle_text(&mut question.stem);
    for Part { find, mistakes, lead, text, .. } in &mut question.parts {
        find.iter_mut().for_each(|find| find.value.settle_temperatures(&names));
        mistakes.iter_mut().for_each(|(_, formula)| formula.value.settle_temperatures(&names));
        settle_text(lead);
        settle_text(text);
    }
    question
}
