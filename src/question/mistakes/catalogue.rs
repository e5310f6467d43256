//! What an entry of the catalogue is: a named wrong formula, the family of right
//! formulas that it strays from, and what its letters may stand for.
//!
//! Data alone; `matching` finds which family a question belongs to.

/// One named wrong turn.
#[derive(Debug, Clone, Copy)]
pub struct Mistake {
    /// Kebab case; never changes once published.
    pub id: &'static str,
    /// What the learner did, as a teacher says it.
    pub name: &'static str,
    pub shows: &'static str,
    /// One line for the learner.
    pub remedy: &'static str,
    pub source: &'static str,
    /// In the letters of its family: "M × (y − x)".
    pub formula: &'static str,
    /// Gives a value that cannot be; whoever made it did not notice.
    pub absurd: bool,
    pub counts: Counts,
}

/// A right formula with letters, and the wrong ones that learners use in its place.
#[derive(Debug, Clone, Copy)]
pub(super) struct Family {
    pub letters: &'static [(char, Takes)],
    /// How many of the letters, at the end, the key itself does without.
    pub spare: usize,
    pub right: fn(&[f64]) -> f64,
    /// They are given the letters' values and, behind them, the factor of the answer's
    /// unit.
    pub wrong: &'static [(Mistake, Wrong)],
}

/// The letters' values to a wrong one.
pub(super) type Wrong = fn(&[f64]) -> f64;

/// What a wrong formula's value counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Counts {
    /// A quantity in base units.
    Base,
    /// The bare number that is written before the answer's unit.
    Printed,
}

/// What may stand for a letter.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Takes {
    /// Mass, volume, moles or a flow of any.
    Amount,
    Mass,
    Volume,
    /// A volume given in cm³ or smaller.
    SmallVolume,
    Density,
    Length,
    /// A share of a whole, 0 to 1.
    Share,
    /// An amount for each one of solvent: a solubility, a dry basis.
    PerSolvent,
    /// A concentration of any kind.
    Strength,
    /// Mass in a volume.
    Concentration,
    /// A plain number.
    Number,
}

pub(super) const PL: &str = "Parker and Leinhardt 1995 (percent; from memory)";
pub(super) const PRACTICE: &str = "common practice, no source";
pub(super) const GE: &str = "Gultepe and Erdem 2026 (concentration; from memory)";
pub(super) const RFT: &str = "Raviolo, Farre and Traiman Schroh 2021 (molarity; from memory)";
pub(super) const MV: &str = "a 2016 study of M1V1 = M2V2 in Univ. J. Educ. Res. (from memory)";
pub(super) const DSW: &str = "Dunnivant, Simon and Willson 2002 (dilution; from memory)";
pub(super) const TP: &str = "Tourniaire and Pulos 1985 (proportion; from memory)";
pub(super) const PC: &str = "Pinarbasi and Canpolat 2003 (solutions; from memory)";
pub(super) const AS: &str = "Adadan and Savasci 2012 (solution chemistry; from memory)";

impl Mistake {
    pub(super) const fn of(
        id: &'static str,
        name: &'static str,
        formula: &'static str,
        shows: &'static str,
        remedy: &'static str,
        source: &'static str,
    ) -> Mistake {
        Mistake { id, name, shows, remedy, source, formula, absurd: false, counts: Counts::Base }
    }

    pub(super) const fn absurd(self) -> Mistake {
        Mistake { absurd: true, ..self }
    }

    pub(super) const fn as_number(self) -> Mistake {
        Mistake { counts: Counts::Printed, ..self }
    }
}
