//! The table of unit symbols: how each is typed, printed and sized.
//!
//! `reader` looks symbols up in it and lists come from it, so that what is said to be
//! known is what parses.

use crate::quantity::Dimension;

/// One unit symbol.
#[derive(Debug)]
pub(super) struct Symbol {
    /// As `stillroom words` lists it and as texts are normalised.
    pub(super) text: &'static str,
    /// As it stands on a page.
    pub(super) print: &'static str,
    /// Other spellings that can mean nothing else here.
    pub(super) also: &'static [&'static str],
    pub(super) dimension: Dimension,
    /// Size in base units (kg, mol, m, s, K).
    pub(super) factor: f64,
    /// What is added after the factor, for readings that do not start at zero.
    pub(super) offset: f64,
    /// May it carry a power (`m3`, `cm^2`)?
    pub(super) powers: bool,
}

const fn plain(
    text: &'static str,
    also: &'static [&'static str],
    dimension: Dimension,
    factor: f64,
) -> Symbol {
    Symbol { text, print: text, also, dimension, factor, offset: 0.0, powers: false }
}

const fn length(text: &'static str, also: &'static [&'static str], factor: f64) -> Symbol {
    Symbol {
        text,
        print: text,
        also,
        dimension: Dimension::LENGTH,
        factor,
        offset: 0.0,
        powers: true,
    }
}

/// The pound, exactly (international yard and pound agreement of 1959).
const POUND: f64 = 0.453_592_37;

/// Every symbol, in the order they are listed for people.
pub(super) const SYMBOLS: &[Symbol] = &[
    Symbol {
        print: "µg",
        ..plain("ug", &["µg", "μg", "microgram", "micrograms"], Dimension::MASS, 1e-9)
    },
    plain("mg", &["milligram", "milligrams"], Dimension::MASS, 1e-6),
    plain("g", &["gram", "grams", "gramme", "grammes"], Dimension::MASS, 1e-3),
    plain("kg", &["kilogram", "kilograms", "kilo", "kilos"], Dimension::MASS, 1.0),
    plain("t", &["tonne", "tonnes"], Dimension::MASS, 1000.0),
    plain("lb", &["lbs", "pound", "pounds"], Dimension::MASS, POUND),
    plain("mol", &["mole", "moles", "mols"], Dimension::AMOUNT, 1.0),
    plain("kmol", &["kmols"], Dimension::AMOUNT, 1000.0),
    // As many moles as a pound has grams.
    plain("lbmol", &[], Dimension::AMOUNT, POUND * 1000.0),
    plain("mL", &["ml", "millilitre", "millilitres"], Dimension::VOLUME, 1e-6),
    plain("L", &["l", "litre", "litres", "liter", "liters"], Dimension::VOLUME, 1e-3),
    length("mm", &["millimetre", "millimetres"], 1e-3),
    length("cm", &["centimetre", "centimetres"], 1e-2),
    length("dm", &["decimetre", "decimetres"], 1e-1),
    length("m", &["metre", "metres", "meter", "meters"], 1.0),
    plain("s", &["sec", "secs", "second", "seconds"], Dimension::TIME, 1.0),
    plain("min", &["mins", "minute", "minutes"], Dimension::TIME, 60.0),
    plain("h", &["hr", "hrs", "hour", "hours"], Dimension::TIME, 3600.0),
    plain("day", &["days", "d"], Dimension::TIME, 86_400.0),
    plain("K", &["kelvin", "kelvins"], Dimension::TEMPERATURE, 1.0),
    Symbol {
        print: "°C",
        offset: 273.15,
        ..plain("degC", &["°C", "℃", "ºC"], Dimension::TEMPERATURE, 1.0)
    },
    Symbol {
        print: "°F",
        offset: 459.67 * 5.0 / 9.0,
        ..plain("degF", &["°F", "℉", "ºF"], Dimension::TEMPERATURE, 5.0 / 9.0)
    },
    plain("Pa", &["pascal", "pascals"], Dimension::PRESSURE, 1.0),
    plain("kPa", &[], Dimension::PRESSURE, 1000.0),
    plain("bar", &["bars"], Dimension::PRESSURE, 100_000.0),
    plain("atm", &["atmosphere", "atmospheres"], Dimension::PRESSURE, 101_325.0),
    // The conventional millimetre of mercury (ISO 80000-4 states 133.322 387 415 Pa).
    plain("mmHg", &[], Dimension::PRESSURE, 133.322_387_415),
    plain("%", &["percent"], Dimension::NONE, 0.01),
    plain("mol%", &["mole%"], Dimension::NONE, 0.01),
    plain("ppm", &[], Dimension::NONE, 1e-6),
];

/// The symbol that a spelling means.
pub(super) fn symbol(spelling: &str) -> Option<&'static Symbol> {
    SYMBOLS.iter().find(|s| s.text == spelling || s.also.contains(&spelling))
}

/// The symbol whose text or other spelling is nearest to a slip of the fingers.
pub(super) fn nearest_symbol(spelling: &str) -> Option<&'static str> {
    // Words that are no slip of the fingers but a habit.
    let habits = [
        ("C", "degC"),
        ("celsius", "degC"),
        ("centigrade", "degC"),
        ("F", "degF"),
        ("cc", "cm3"),
        ("ccm", "cm3"),
        ("cu", "m3"),
        ("Hg", "mmHg"),
        ("torr", "mmHg"),
        ("T", "t"),
        ("ton", "t"),
        ("tons", "t"),
        ("H", "h"),
        ("S", "s"),
        ("M", "mol/L"),
        ("molar", "mol/L"),
        ("k", "K"),
        ("gm", "g"),
        ("gms", "g"),
        ("gr", "g"),
        ("mcg", "ug"),
        ("cent", "%"),
    ];
    if let Some((_, meant)) = habits.iter().find(|(habit, _)| *habit == spelling) {
        return Some(meant);
    }
    let folded = spelling.to_lowercase();
    if let Some(same) = SYMBOLS.iter().find(|s| s.text.to_lowercase() == folded) {
        return Some(same.text);
    }
    // A single letter is near to every other one: no help.
    if spelling.chars().count() < 2 {
        return None;
    }
    let spellings = SYMBOLS
        .iter()
        .flat_map(|s| std::iter::once(s.text).chain(s.also.iter().copied()))
        .filter(|s| s.chars().count() > 1);
    let close = crate::diag::nearest(spelling, spellings)?;
    symbol(close).map(|s| s.text)
}
