//! Solubility in water against temperature, for the substances of school and
//! first-year laboratories.
//!
//! Takes a name or a formula, gives a table: grams of anhydrous solute that
//! 100 g of water hold, all the water counted, that of crystals dissolved
//! included. Every table names its source. Never reads beyond its points.

mod halides;
mod nitrates;
mod others;
mod sulfates;

use crate::balance::problem::Curve;

/// How a value between two points is read; said to users beside the tables.
pub const INTERPOLATION: &str = "on the straight line between the two nearest points of the table";

/// Sources that several tables share. Typed from memory, so none is a quotation:
/// a question that uses a table prints it and rests on it alone.
pub(super) const CRC: &str = "from memory of the CRC Handbook of Chemistry and Physics \
    (aqueous solubility at various temperatures), turned from mass per cent and rounded";
pub(super) const PERRY: &str = "from memory of the solubility table in Perry's Chemical \
    Engineers' Handbook, some values rounded";
pub(super) const SEIDELL: &str =
    "from memory of Seidell and Linke, Solubilities of Inorganic Compounds, rounded";
pub(super) const SCHOOL: &str = "from memory of the usual school table, rounded";

/// The solubility of one substance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Table {
    pub name: &'static str,
    /// Other names that an author may write.
    pub also: &'static [&'static str],
    /// Of the anhydrous substance, which is what the table counts.
    pub formula: &'static str,
    /// What crystallises; where it changes, at what temperature.
    pub solid: &'static str,
    /// Temperature in degC, g of anhydrous solute per 100 g of water.
    pub points: &'static [(f64, f64)],
    pub source: &'static str,
}

impl Table {
    /// The points as the engine takes them: K and plain ratios.
    pub fn curve(&self) -> Curve {
        Curve {
            name: self.name.to_owned(),
            points: self.points.iter().map(|&(t, grams)| (t + 273.15, grams / 100.0)).collect(),
        }
    }

    /// The lowest and the highest temperature of the table, degC.
    pub fn range(&self) -> (f64, f64) {
        let end = |point: Option<&(f64, f64)>| point.map_or(f64::NAN, |(t, _)| *t);
        (end(self.points.first()), end(self.points.last()))
    }
}

/// Every table, families one after the other.
pub fn all() -> impl Iterator<Item = &'static Table> {
    [halides::TABLES, nitrates::TABLES, sulfates::TABLES, others::TABLES].into_iter().flatten()
}

/// The table with this name or formula. Capitals, blanks, hyphens, underscores
/// and the dot of a hydrate do not matter. Words that could mean several
/// substances, such as `salt`, `potash` or `soda`, name none.
pub fn named(word: &str) -> Option<&'static Table> {
    let wanted = key(word);
    all().find(|table| table.names().any(|name| key(name) == wanted))
}

impl Table {
    /// All that the table answers to.
    pub fn names(&self) -> impl Iterator<Item = &'static str> {
        [self.name, self.formula].into_iter().chain(self.also.iter().copied())
    }
}

fn key(word: &str) -> String {
    word.chars()
        .filter(|c| !c.is_whitespace() && !matches!(c, '_' | '-' | '.' | '·' | '*'))
        .flat_map(char::to_lowercase)
        .collect()
}

/// Points every 10 degC.
const fn tens<const N: usize>(first: f64, grams: [f64; N]) -> [(f64, f64); N] {
    let mut points = [(0.0, 0.0); N];
    let mut i = 0;
    while i < N {
        points[i] = (first + 10.0 * i as f64, grams[i]);
        i += 1;
    }
    points
}

/// Points at temperatures of their own, where the solid changes between tens or
/// tens are missing.
const fn at<const N: usize>(temperatures: [f64; N], grams: [f64; N]) -> [(f64, f64); N] {
    let mut points = [(0.0, 0.0); N];
    let mut i = 0;
    while i < N {
        points[i] = (temperatures[i], grams[i]);
        i += 1;
    }
    points
}
