//! What comes out of solution: `as: Na2CO3.10H2O`, or a component's name.
//!
//! Takes an operation as written; gives the solute and, for a hydrate, the shares
//! of salt and water in it, from molar masses.

use crate::balance::operations::{Role, Wants};
use crate::balance::problem::{Crystal, Extra, Hydrate, Problem};
use crate::diag::{Code, Diagnostic, Diagnostics};
use crate::quantity::{Unit, print_number, round_figures};
use crate::reading::parsed::{Operation, Process, SettingValue, Text};

use super::names::UnitNames;
use super::process::{chemical, molar_mass_of};

pub(super) fn of(
    unit: &UnitNames<'_>,
    process: &Process,
    operation: &Operation,
    problem: &mut Problem,
    diagnostics: &mut Diagnostics,
) -> Option<Crystal> {
    let (formula, typed) = operation.settings.iter().find_map(|(setting, value)| {
        let SettingValue::Crystal { formula, molar_mass } = &value.value else { return None };
        (setting.value.takes == Wants::Crystal).then_some((formula, molar_mass))
    })?;
    if let Some(solute) = problem.component(&formula.value) {
        return Some(Crystal { solute, hydrate: None });
    }
    let chemical = chemical(unit, formula, diagnostics)?;
    let solutes: Vec<usize> = (0..problem.components.len())
        .filter(|c| problem.components[*c].role == Role::Solute)
        .collect();
    // The one whose own formula is the salt of these crystals, else the only one.
    let is_salt = |c: &usize| {
        let own = &process.components[*c].formula;
        own.as_ref()
            .and_then(|own| crate::balance::properties::parse(&own.value).ok())
            .is_some_and(|own| (own.molar_mass / chemical.anhydrous - 1.0).abs() < 1e-9)
    };
    let only = || Some(solutes[0]).filter(|_| solutes.len() == 1);
    let found = solutes.iter().copied().find(|c| is_salt(c));
    let Some(solute) = found.or_else(|| if solutes.is_empty() { None } else { only() }) else {
        diagnostics.push(no_solute(unit, formula));
        return None;
    };
    if chemical.water.is_none() {
        return Some(Crystal { solute, hydrate: None });
    }
    let water = problem.components.iter().position(|c| c.role == Role::Solvent)?;
    let whole = match typed {
        Some(typed) => molar_mass_of(unit, typed, diagnostics)?,
        None => chemical.molar_mass,
    };
    let salt = problem.components[solute]
        .molar_mass
        .and_then(|extra| problem.extras[extra].value)
        .unwrap_or(chemical.anhydrous);
    let share = salt / whole;
    if !(0.0..1.0).contains(&share) {
        diagnostics.push(no_solute(unit, formula));
        return None;
    }
    let print = |value: f64| {
        let rounded = round_figures(value, 5).digits;
        let text = match rounded.split_once('.') {
            Some(_) => rounded.trim_end_matches('0').trim_end_matches('.'),
            None => &rounded,
        };
        print_number(text)
    };
    let name = problem.components[solute].name.replace('_', " ");
    let says = format!(
        "In 1 mol of {} there are {} g of {name} in {} g.",
        printed(&formula.value),
        print(1000.0 * salt),
        print(1000.0 * whole),
    );
    let mut extra = |component: usize, value: f64| {
        let name = problem.components[component].name.replace('_', " ");
        problem.extras.push(Extra {
            words: format!("fraction of {name} in the crystals"),
            unit: Unit::none(),
            value: Some(value),
            says: Some(says.clone()),
            path: None,
        });
        problem.extras.len() - 1
    };
    let salt_share = extra(solute, share);
    let water_share = extra(water, 1.0 - share);
    Some(Crystal { solute, hydrate: Some(Hydrate { water, salt_share, water_share }) })
}

/// A formula in plain text with its counts set low: `Na₂CO₃·10H₂O`.
fn printed(formula: &str) -> String {
    let mut text = String::new();
    let mut counts = false;
    for c in formula.chars() {
        match c {
            '0'..='9' if counts => {
                let digit = u32::from(c) - u32::from('0');
                text.extend(char::from_u32(u32::from('\u{2080}') + digit));
            }
            '.' => {
                text.push('\u{b7}');
                counts = false;
            }
            _ => {
                text.push(c);
                counts = !c.is_ascii_digit();
            }
        }
    }
    text
}

fn no_solute(unit: &UnitNames<'_>, formula: &Text) -> Diagnostic {
    Diagnostic::new(
        Code::BadSetting,
        unit.place(formula.span),
        format!("No solute of this process can crystallise as `{}`.", formula.value),
    )
    .found(format!("`{}`", formula.value))
    .expected("the salt of one of the solutes, with or without crystal water")
    .next("give the solute its `formula`, or write the name of the component that comes out")
}
