//! In which units the quantities of a question are worked and shown.
//!
//! Takes the basis and the units that the facts were typed in; gives for every
//! quantity its dimension and unit. What no fact tells follows from the unit of
//! the totals: kmol beside kg, g beside L.

use crate::balance::problem::{Basis, Meaning, Percent, Problem, What};
use crate::quantity::{Dimension, Unit};

/// The units of one question.
#[derive(Debug, Clone)]
pub struct Measures {
    /// What totals are, with the time they are counted per.
    pub amounts: Dimension,
    pub amount_unit: Unit,
    /// Of what is counted by mass beside volumes.
    pub solute_unit: Unit,
    pub concentration_unit: Unit,
    /// Of moles beside masses, or masses beside moles.
    pub other_unit: Unit,
    /// Of volumes and densities that no fact tells.
    pub volume_unit: Unit,
    pub density_unit: Unit,
}

impl Measures {
    /// `typed` are the units that the facts were written in, in order.
    pub(super) fn of(basis: Basis, amounts: Dimension, typed: &[Unit]) -> Measures {
        let like =
            |dimension: Dimension| typed.iter().find(|unit| unit.dimension() == dimension).cloned();
        let per_time = |dimension: Dimension| Dimension { time: amounts.time, ..dimension };
        // Where only a volume is told, masses go by its size and its time: g beside mL.
        let halves = |unit: &Unit| -> Option<(String, String)> {
            let (size, per) = unit.text().split_once('/')?;
            Some((size.to_owned(), per.to_owned()))
        };
        let rate = typed.iter().find(|unit| unit.dimension().time == -1).and_then(halves);
        let per_typed_time = |size: &str| match &rate {
            Some((_, time)) if amounts.time != 0 => format!("{size}/{time}"),
            _ => size.to_owned(),
        };
        let density = like(CONCENTRATION);
        let small = |unit: &Unit| {
            let size = unit.text().split('/').next().unwrap_or_default();
            matches!(size, "g" | "mg" | "mL" | "cm3" | "mm3")
        };
        let is_small =
            typed.iter().any(|u| u.dimension() == per_time(Dimension::VOLUME) && small(u));
        let usual = match basis {
            Basis::Mass if is_small => "g",
            Basis::Mass => "kg",
            Basis::Moles => "mol",
            Basis::Volume => "L",
        };
        let amount_unit = like(amounts).unwrap_or_else(|| {
            parsed(&per_typed_time(usual))
                .filter(|u| u.dimension() == amounts)
                .unwrap_or_else(|| Unit::base(amounts))
        });
        let text = amount_unit.text().to_owned();
        let (size, time) = text.split_once('/').unwrap_or((&text, ""));
        let beside = |of: &str, dimension: Dimension| {
            let written = if time.is_empty() { of.to_owned() } else { format!("{of}/{time}") };
            like(per_time(dimension))
                .or_else(|| parsed(&written).filter(|u| u.dimension() == per_time(dimension)))
                .unwrap_or_else(|| Unit::base(per_time(dimension)))
        };
        let large = matches!(size, "kg" | "t" | "lb" | "m3" | "kmol" | "lbmol");
        let other_unit = match basis {
            Basis::Moles => beside(if large { "kg" } else { "g" }, Dimension::MASS),
            _ => beside(if large { "kmol" } else { "mol" }, Dimension::AMOUNT),
        };
        let solute_unit = beside(if large { "kg" } else { "g" }, Dimension::MASS);
        let concentration_unit =
            like(CONCENTRATION).or_else(|| parsed("g/L")).unwrap_or_else(Unit::none);
        let volume_of_density = density.as_ref().and_then(halves).map(|(_, volume)| volume);
        let volume_unit = like(per_time(Dimension::VOLUME)).unwrap_or_else(|| {
            let size = volume_of_density.unwrap_or_else(|| "L".to_owned());
            beside(&size, Dimension::VOLUME)
        });
        let density_unit = density.or_else(|| parsed("kg/L")).unwrap_or_else(Unit::none);
        Measures {
            amounts,
            amount_unit,
            solute_unit,
            concentration_unit,
            other_unit,
            volume_unit,
            density_unit,
        }
    }

    /// What a name's value is; none for an author's value, which has its own.
    pub fn dimension(&self, problem: &Problem, meaning: Meaning) -> Option<Dimension> {
        let per_time = |dimension: Dimension| Dimension { time: self.amounts.time, ..dimension };
        Some(match meaning {
            Meaning::Value(_) => return None,
            Meaning::Amount(_, What::Volume) => per_time(Dimension::VOLUME),
            Meaning::Amount(_, What::Density) => CONCENTRATION,
            Meaning::Amount(_, of) if by_mass_beside(problem, of) => per_time(Dimension::MASS),
            Meaning::Amount(..) => self.amounts,
            Meaning::Share(_, of, _) if by_mass_beside(problem, of) => CONCENTRATION,
            Meaning::Share(..) | Meaning::OtherShare(..) => Dimension::NONE,
            Meaning::Other(..) if problem.basis == Basis::Moles => per_time(Dimension::MASS),
            Meaning::Other(..) => per_time(Dimension::AMOUNT),
            Meaning::Concentration(..) => CONCENTRATION,
            Meaning::Extra(extra) => problem.extras[extra].unit.dimension(),
        })
    }

    /// The unit that a name's value is shown in; none for values, which keep their own.
    pub fn unit(&self, problem: &Problem, meaning: Meaning) -> Option<Unit> {
        Some(match meaning {
            Meaning::Value(_) => return None,
            Meaning::Amount(_, What::Volume) => self.volume_unit.clone(),
            Meaning::Amount(_, What::Density) => self.density_unit.clone(),
            Meaning::Amount(_, of) if by_mass_beside(problem, of) => self.solute_unit.clone(),
            Meaning::Amount(..) => self.amount_unit.clone(),
            Meaning::Share(_, of, _) if by_mass_beside(problem, of) => {
                self.concentration_unit.clone()
            }
            Meaning::Share(_, _, Percent::Yes) => Unit::percent(),
            Meaning::Share(..) | Meaning::OtherShare(..) => Unit::none(),
            Meaning::Other(..) => self.other_unit.clone(),
            Meaning::Concentration(..) => self.concentration_unit.clone(),
            Meaning::Extra(extra) => problem.extras[extra].unit.clone(),
        })
    }
}

/// Mass per volume: a concentration or a density.
pub(super) const CONCENTRATION: Dimension = Dimension { mass: 1, length: -3, ..Dimension::NONE };

/// Is it counted by mass while totals are volumes?
pub(super) fn by_mass_beside(problem: &Problem, of: What) -> bool {
    !problem.counts_as_share(of)
}

fn parsed(text: &str) -> Option<Unit> {
    Unit::parse(text).ok()
}
