//! Units as a teacher types them: read from text, sized in base units, printed
//! as type wants them.
//!
//! Takes text, gives a `Unit` or says which part of the text is no unit. A unit
//! is kept by its meaning: `cm3` and `mL` are equal. Never guesses between two
//! meanings; a spelling that can mean only one thing is accepted.

mod reader;
mod symbols;

use std::fmt;
use std::ops::Range;

use super::Dimension;
use super::print::{NARROW, superscript};
use symbols::{SYMBOLS, Symbol, symbol};

/// What sort of unit it is, where the dimension alone does not say.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum UnitKind {
    /// Any unit not named below.
    Plain,
    /// A plain number has no unit.
    None,
    /// A share in hundredths of the mass (or of the total on the question's basis).
    Percent,
    /// A share in hundredths of the amount of substance.
    MolePercent,
    /// A share in millionths.
    Ppm,
    /// A mass for each so many of another mass (`g/100 g water`): a ratio that is
    /// neither a share nor a plain number.
    PerHundred,
    /// K, degC or degF standing alone: a reading.
    Temperature,
}

/// A unit of measurement.
#[derive(Debug, Clone)]
pub struct Unit {
    text: String,
    print: String,
    dimension: Dimension,
    /// The size is `times` / `by`: both whole where they can be, so that 35 % is
    /// 0.35 and not a bit beside it.
    times: f64,
    by: f64,
    offset: f64,
    kind: UnitKind,
}

/// A text that is no unit: which bytes of it, why, and what may have been meant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnitError {
    /// Byte range in the text that was parsed.
    pub at: Range<usize>,
    pub message: String,
    /// What to write in place of the bytes at `at`.
    pub suggestion: Option<String>,
}

impl fmt::Display for UnitError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for UnitError {}

impl Unit {
    /// The absence of a unit, as a plain number has it.
    pub fn none() -> Unit {
        Unit {
            text: String::new(),
            print: String::new(),
            dimension: Dimension::NONE,
            times: 1.0,
            by: 1.0,
            offset: 0.0,
            kind: UnitKind::None,
        }
    }

    /// The percent sign.
    pub fn percent() -> Unit {
        let symbol = symbol("%").expect("the table of symbols has the percent sign");
        assemble(&[Part { symbol, power: 1, per: None }])
    }

    /// The coherent unit of a dimension in base units, such as kg/s; no unit for
    /// a plain number.
    pub fn base(dimension: Dimension) -> Unit {
        let exponents = [
            ("kg", dimension.mass),
            ("mol", dimension.amount),
            ("m", dimension.length),
            ("s", dimension.time),
            ("K", dimension.temperature),
        ];
        let mut parts = Vec::new();
        for (text, power) in exponents {
            if let (Some(symbol), true) = (symbol(text), power != 0) {
                parts.push(Part { symbol, power: i32::from(power), per: None });
            }
        }
        assemble(&parts)
    }

    /// Reads a unit. Empty text is no unit.
    ///
    /// # Errors
    /// The first part that is not a unit, with its place in `text`.
    pub fn parse(text: &str) -> Result<Unit, UnitError> {
        Ok(assemble(&reader::parts(text)?))
    }

    /// As typed, with one spelling for one unit (`litres` is `L`), in characters
    /// that parse again.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// As it stands on a page: `dm³`, `°C`, `g/100 g`. Empty for no unit.
    pub fn print(&self) -> &str {
        &self.print
    }

    pub fn dimension(&self) -> Dimension {
        self.dimension
    }

    /// Size in base units (kg, mol, m, s, K; a percentage is 0.01).
    pub fn factor(&self) -> f64 {
        self.times / self.by
    }

    /// What a reading of zero is in kelvin: 273.15 for degC, 0 for all but
    /// temperatures that stand alone.
    pub fn offset(&self) -> f64 {
        self.offset
    }

    pub fn kind(&self) -> UnitKind {
        self.kind
    }

    pub fn is_none(&self) -> bool {
        self.kind == UnitKind::None
    }

    /// A value in this unit, in base units.
    pub fn to_si(&self, value: f64) -> f64 {
        value * self.times / self.by + self.offset
    }

    /// A value in base units, in this unit.
    pub fn from_si(&self, value: f64) -> f64 {
        (value - self.offset) * self.by / self.times
    }

    /// The same unit for differences of readings: `5 degC` as a rise is 5 K, not
    /// 278.15 K. Prints alike; every other unit is its own.
    #[must_use]
    pub fn difference(&self) -> Unit {
        Unit { offset: 0.0, ..self.clone() }
    }

    /// The unit for readings again, of a unit for differences.
    #[must_use]
    pub fn reading(&self) -> Unit {
        match self.kind {
            UnitKind::Temperature => Unit::parse(&self.text).unwrap_or_else(|_| self.clone()),
            _ => self.clone(),
        }
    }

    /// Can a value in this unit be restated in the other? Dimensions must agree,
    /// and a mass ratio is no share: 34.2 g/100 g water is not 34.2 %.
    pub fn converts_to(&self, other: &Unit) -> bool {
        self.dimension == other.dimension && self.family() == other.family()
    }

    fn family(&self) -> u8 {
        match self.kind {
            UnitKind::PerHundred => 1,
            UnitKind::MolePercent => 2,
            // A mass for a mass written without a number (kg/kg) is a ratio too.
            UnitKind::Plain if self.dimension.is_none() => 1,
            _ => 0,
        }
    }

    /// Every unit that can stand alone, by what it measures, for lists. Quotients
    /// and products of them parse too.
    pub fn catalogue() -> Vec<(&'static str, Vec<String>)> {
        let label = |dimension: Dimension| match dimension {
            Dimension::MASS => "mass",
            Dimension::AMOUNT => "amount of substance",
            Dimension::LENGTH => "length",
            Dimension::AREA => "area",
            Dimension::VOLUME => "volume",
            Dimension::TIME => "time",
            Dimension::TEMPERATURE => "temperature",
            Dimension::PRESSURE => "pressure",
            _ => "share",
        };
        let mut groups: Vec<(&'static str, Vec<String>)> = Vec::new();
        let mut add = |label: &'static str, text: String| match groups
            .iter_mut()
            .find(|(known, _)| *known == label)
        {
            Some((_, texts)) => texts.push(text),
            None => groups.push((label, vec![text])),
        };
        for symbol in SYMBOLS {
            add(label(symbol.dimension), symbol.text.to_owned());
        }
        for symbol in SYMBOLS.iter().filter(|s| s.powers) {
            add("area", format!("{}2", symbol.text));
            add("volume", format!("{}3", symbol.text));
        }
        groups
    }
}

/// Units are equal when they mean the same, however they are spelt.
impl PartialEq for Unit {
    fn eq(&self, other: &Unit) -> bool {
        // Factors are products of exact ones taken in another order.
        let (a, b) = (self.factor(), other.factor());
        let close = (a - b).abs() <= 1e-12 * a.abs();
        self.kind == other.kind
            && self.dimension == other.dimension
            && close
            && (self.offset - other.offset).abs() <= 1e-9
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)
    }
}

/// A symbol with its power; `per` is the number under the stroke, `g/100 g`.
struct Part {
    symbol: &'static Symbol,
    power: i32,
    per: Option<Per>,
}

#[derive(Clone)]
struct Per {
    number: u32,
    /// The word after the unit, such as `water`.
    of: Option<&'static str>,
}

/// A unit from its parts, those with a power below zero under one stroke.
fn assemble(parts: &[Part]) -> Unit {
    if parts.is_empty() {
        return Unit::none();
    }
    let mut dimension = Dimension::NONE;
    let (mut times, mut by) = (1.0, 1.0);
    for part in parts {
        let power = i8::try_from(part.power).unwrap_or(i8::MAX);
        dimension = dimension * part.symbol.dimension.powi(power);
        let (above, below) =
            if part.power > 0 { (&mut times, &mut by) } else { (&mut by, &mut times) };
        let size = part.symbol.factor;
        // A thousandth is kept as a division by a thousand.
        let parts_of_one = (1.0 / size).round();
        if size < 1.0 && (parts_of_one * size - 1.0).abs() < 1e-12 {
            *below *= parts_of_one.powi(part.power.abs());
        } else {
            *above *= size.powi(part.power.abs());
        }
        if let Some(per) = &part.per {
            by *= f64::from(per.number);
        }
    }
    let alone = match parts {
        [part] if part.power == 1 && part.per.is_none() => Some(part.symbol),
        _ => None,
    };
    let kind = match alone.map(|s| s.text) {
        Some("%") => UnitKind::Percent,
        Some("mol%") => UnitKind::MolePercent,
        Some("ppm") => UnitKind::Ppm,
        Some("K" | "degC" | "degF") => UnitKind::Temperature,
        _ if dimension.is_none() && parts.iter().any(|p| p.per.is_some()) => UnitKind::PerHundred,
        _ => UnitKind::Plain,
    };
    Unit {
        text: spell(parts, ' ', |s, power| {
            let power = if power == 1 { String::new() } else { power.to_string() };
            // A digit that is no power of a length needs its sign.
            let sign = if power.is_empty() || s.powers { "" } else { "^" };
            format!("{}{sign}{power}", s.text)
        }),
        print: spell(parts, NARROW, |s, power| {
            let power = if power == 1 { String::new() } else { superscript(power) };
            format!("{}{power}", s.print)
        }),
        dimension,
        times,
        by,
        offset: alone.map_or(0.0, |s| s.offset),
        kind,
    }
}

fn spell(parts: &[Part], blank: char, one: impl Fn(&Symbol, i32) -> String) -> String {
    let above: Vec<String> =
        parts.iter().filter(|p| p.power > 0).map(|p| one(p.symbol, p.power)).collect();
    let mut below = Vec::new();
    for part in parts.iter().filter(|p| p.power < 0) {
        let mut text = one(part.symbol, -part.power);
        if let Some(per) = &part.per {
            text = format!("{}{blank}{text}", per.number);
            if let Some(of) = per.of {
                text = format!("{text}{blank}{of}");
            }
        }
        below.push(text);
    }
    let between = blank.to_string();
    let top = if above.is_empty() { "1".to_owned() } else { above.join(&between) };
    match below.len() {
        0 => top,
        1 => format!("{top}/{}", below[0]),
        _ => format!("{top}/({})", below.join(&between)),
    }
}
