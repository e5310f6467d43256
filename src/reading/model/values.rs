//! The values of a question: what each may be, its unit, and derived values in
//! the order they can be worked out.

use std::collections::BTreeSet;

use crate::diag::{Code, Diagnostic, Diagnostics, Span};
use crate::quantity::formula::Formula;
use crate::quantity::{Dimension, Number, NumberRange, Unit};
use crate::reading::parsed::{ValueKind, ValueLine};

use super::names::UnitNames;
use super::{Source, Value, temperatures};

/// More choices than any value on a worksheet needs.
const MOST_CHOICES: u64 = 100_000;

/// The checked values: numbers in slot order, and words.
#[derive(Debug, Default)]
pub(super) struct Values {
    pub(super) numbers: Vec<Value>,
    pub(super) words: Vec<(String, Vec<String>)>,
    /// Names whose own line has a mistake: they are known, but no number.
    pub(super) broken: Vec<String>,
}

impl Values {
    pub(super) fn dimension(&self, name: &str) -> Option<Dimension> {
        self.numbers.iter().find(|v| v.name == name).map(|v| v.unit.dimension())
    }

    pub(super) fn names(&self) -> impl Iterator<Item = &str> + Clone {
        self.numbers
            .iter()
            .map(|v| v.name.as_str())
            .chain(self.words.iter().map(|(name, _)| name.as_str()))
            .chain(self.broken.iter().map(String::as_str))
    }
}

/// Reads the lines of `values`, a later line winning over an earlier one of the
/// same name (a question's over its process's). `block` is where they stand.
pub(super) fn check(
    unit: &UnitNames<'_>,
    lines: &[&ValueLine],
    block: Span,
    diagnostics: &mut Diagnostics,
) -> Values {
    let mut values = Values::default();
    let mut derived: Vec<(&ValueLine, &Formula)> = Vec::new();
    for line in lines {
        let name = line.name.value.as_str();
        values.numbers.retain(|v| v.name != name);
        values.words.retain(|(n, _)| n != name);
        values.broken.retain(|broken| broken != name);
        derived.retain(|(other, _)| other.name.value != name);
        let choices = match &line.value.value {
            ValueKind::Range { from, to, step, unit: range_unit } => {
                match counted_off(from, to, step) {
                    Ok(numbers) => (numbers, range_unit.clone()),
                    Err(why) => {
                        diagnostics.push(
                            Diagnostic::new(
                                Code::BadValue,
                                unit.place(line.value.span),
                                format!("The range of `{name}` cannot be counted off: {why}."),
                            )
                            .found(format!("`{}`", unit.file.slice(line.value.span)))
                            .expected(
                                "a range that its step divides, such as `200 to 800 kg, step 50`",
                            )
                            .next("change the step, or the end of the range"),
                        );
                        values.broken.push(name.to_owned());
                        continue;
                    }
                }
            }
            ValueKind::OneOf { numbers, unit } => (numbers.clone(), unit.clone()),
            ValueKind::Constant(typed) => (vec![typed.number.clone()], typed.unit.clone()),
            ValueKind::Words(words) => {
                values.words.push((name.to_owned(), words.clone()));
                continue;
            }
            ValueKind::Derived(formula) => {
                derived.push((line, formula));
                continue;
            }
        };
        values.numbers.push(Value {
            name: name.to_owned(),
            unit: choices.1,
            source: Source::Drawn(choices.0),
            span: line.value.span,
        });
    }
    add_derived(unit, &mut values, derived, block, diagnostics);
    values
}

/// All numbers of a range, or why there are none.
fn counted_off(from: &Number, to: &Number, step: &Number) -> Result<Vec<Number>, String> {
    let range = NumberRange::new(from, to, step).map_err(|error| error.to_string())?;
    if range.count() > MOST_CHOICES {
        return Err(format!("it holds more than {MOST_CHOICES} numbers"));
    }
    Ok((0..range.count()).filter_map(|i| range.number(i)).collect())
}

/// Adds derived values, each after those it uses.
fn add_derived(
    unit: &UnitNames<'_>,
    values: &mut Values,
    mut left: Vec<(&ValueLine, &Formula)>,
    block: Span,
    diagnostics: &mut Diagnostics,
) {
    let pending = |left: &[(&ValueLine, &Formula)]| -> BTreeSet<String> {
        left.iter().map(|(line, _)| line.name.value.clone()).collect()
    };
    let mut order = 0;
    loop {
        let waiting = pending(&left);
        let ready = left.iter().position(|(_, formula)| {
            formula.names().all(|(path, _)| !waiting.contains(&path.join(".")))
        });
        let Some(ready) = ready else { break };
        let (line, formula) = left.remove(ready);
        let mut formula = formula.clone();
        formula.settle_temperatures(&|path| temperatures::is_reading(&values.numbers, path));
        match formula_unit(unit, values, &formula, block, diagnostics) {
            Some(found) => {
                order += 1;
                values.numbers.push(Value {
                    name: line.name.value.clone(),
                    unit: found,
                    source: Source::Derived { formula, order },
                    span: line.value.span,
                });
            }
            None => values.broken.push(line.name.value.clone()),
        }
    }
    if let Some((line, _)) = left.first() {
        let ring = ring(&left);
        let message = match ring.as_slice() {
            [name] => format!("`{name}` is worked out from itself."),
            _ => format!("{} are worked out from each other.", all_of(&ring)),
        };
        diagnostics.push(
            Diagnostic::new(Code::DerivedCycle, unit.place(line.value.span), message)
                .found(format!("`{}`", unit.file.slice(line.value.span)))
                .expected("values that can be worked out one after another")
                .next(format!("give `{}` a range or a number of its own", line.name.value)),
        );
        values.broken.extend(left.iter().map(|(line, _)| line.name.value.clone()));
    }
}

/// The names that lead from the first value back to itself, or all that are left.
fn ring<'a>(left: &[(&'a ValueLine, &Formula)]) -> Vec<&'a str> {
    let mut path: Vec<usize> = vec![0];
    loop {
        let at = path[path.len() - 1];
        let next = left.iter().position(|(line, _)| {
            left[at].1.names().any(|(name, _)| name.join(".") == line.name.value)
        });
        match next.map(|next| (next, path.iter().position(|seen| *seen == next))) {
            Some((next, None)) => path.push(next),
            Some((_, Some(start))) => {
                return path[start..].iter().map(|i| left[*i].0.name.value.as_str()).collect();
            }
            None => return left.iter().map(|(line, _)| line.name.value.as_str()).collect(),
        }
    }
}

/// `a`, `b` and `c`.
fn all_of(names: &[&str]) -> String {
    super::names::listed(names).replace(" or ", " and ")
}

/// The unit a derived value is printed in: that of a value of its dimension, else
/// the base unit.
fn formula_unit(
    unit: &UnitNames<'_>,
    values: &Values,
    formula: &Formula,
    block: Span,
    diagnostics: &mut Diagnostics,
) -> Option<Unit> {
    let mut sound = true;
    for (path, span) in formula.names() {
        let name = path.join(".");
        if values.broken.contains(&name) {
            sound = false;
        } else if values.words.iter().any(|(word, _)| *word == name) {
            diagnostics.push(super::lookup::no_number(unit, &name, span));
            sound = false;
        } else if values.dimension(&name).is_none() {
            sound = false;
            if unit.may_be_key(&name, block) {
                continue;
            }
            let text = crate::reading::parsed::Text::new(name, span);
            diagnostics.push(unit.unknown(
                Code::UnknownName,
                &text,
                "value",
                "`values`",
                values.numbers.iter().map(|v| v.name.as_str()),
            ));
        }
    }
    if !sound {
        return None;
    }
    match formula.dimension(&|path| values.dimension(&path.join("."))) {
        Ok(dimension) => {
            let like = formula
                .names()
                .filter_map(|(path, _)| {
                    values.numbers.iter().find(|v| v.name == path.join(".")).map(|v| v.unit.clone())
                })
                .chain(values.numbers.iter().map(|v| v.unit.clone()))
                .find(|u| u.dimension() == dimension && !dimension.is_none());
            let like = like.or_else(|| ratio_unit(formula, values));
            let like = temperatures::degrees_of(formula, &values.numbers)
                .filter(|u| u.dimension() == dimension)
                .or(like)
                .unwrap_or_else(|| Unit::base(dimension));
            match temperatures::unit_for(formula, like, &values.numbers) {
                Ok(shown) => Some(shown),
                Err(why) => {
                    diagnostics.push(temperatures::mistake(unit, formula, why));
                    None
                }
            }
        }
        Err(error) => {
            diagnostics.push(super::lookup::dimension_mistake(unit, error));
            None
        }
    }
}

/// The unit of a mass ratio such as `36 g/100 g water`, if the formula only takes so
/// many times of one: what doubles when the ratio doubles is a ratio still.
fn ratio_unit(formula: &Formula, values: &Values) -> Option<Unit> {
    let ratio = |path: &[&str]| {
        let name = path.join(".");
        values.numbers.iter().find(|v| {
            v.name == name && v.unit.dimension().is_none() && !v.unit.converts_to(&Unit::percent())
        })
    };
    let unit = formula.names().find_map(|(path, _)| ratio(&path)).map(|v| v.unit.clone())?;
    let at = |times: f64| {
        formula.evaluate(&|path| Some(if ratio(path).is_some() { 0.3 * times } else { 0.7 }))
    };
    let (once, twice) = (at(1.0)?, at(2.0)?);
    ((twice - 2.0 * once).abs() <= 1e-9 * once.abs()).then_some(unit)
}

/// All values in base units, derived ones worked out from the drawn.
pub(super) fn worked_out(values: &[Value], numbers: &[Option<&Number>]) -> Vec<f64> {
    let mut found: Vec<f64> = values
        .iter()
        .zip(numbers)
        .map(|(value, number)| number.map_or(f64::NAN, |n| value.unit.to_si(n.value)))
        .collect();
    let mut derived: Vec<(usize, usize, &Formula)> = values
        .iter()
        .enumerate()
        .filter_map(|(index, value)| match &value.source {
            Source::Derived { formula, order } => Some((*order, index, formula)),
            Source::Drawn(_) => None,
        })
        .collect();
    derived.sort_by_key(|(order, ..)| *order);
    for (_, index, formula) in derived {
        let result = formula.evaluate(&|path| {
            let name = path.join(".");
            values.iter().position(|v| v.name == name).map(|i| found[i])
        });
        found[index] = result.unwrap_or(f64::NAN);
    }
    found
}
