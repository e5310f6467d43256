//! Units as a teacher types them: read from text, sized in base units, printed
//! as type wants them.
//!
//! Takes text, gives a `Unit` or says which part of the text is no unit. A unit
//! is kept by its meaning: `cm3` and `mL` are equal. Never guesses between two
//! meanings; a spelling that can mean only one thing is accepted.

use std::fmt;
use std::ops::Range;

use super::Dimension;
use super::symbols::{SYMBOLS, Symbol, nearest_symbol, symbol};

/// The blank inside `100 g`: narrow and unbreakable.
const NARROW: char = '\u{202f}';
/// Powers past this are a slip, not a unit.
const HIGHEST_POWER: u32 = 9;

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
    factor: f64,
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
            factor: 1.0,
            offset: 0.0,
            kind: UnitKind::None,
        }
    }

    /// The percent sign.
    pub fn percent() -> Unit {
        single(symbol("%").unwrap_or(&SYMBOLS[0]), 1)
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
        let mut reader = Reader { text, at: 0, parts: Vec::new() };
        reader.unit()?;
        Ok(assemble(&reader.parts))
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
        self.factor
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
        value * self.factor + self.offset
    }

    /// A value in base units, in this unit.
    pub fn from_si(&self, value: f64) -> f64 {
        (value - self.offset) / self.factor
    }

    /// The same unit for differences of readings: `5 degC` as a rise is 5 K, not
    /// 278.15 K. Prints alike; every other unit is its own.
    #[must_use]
    pub fn difference(&self) -> Unit {
        Unit { offset: 0.0, ..self.clone() }
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

    /// Every symbol that parses: its text, its printed form and what it measures.
    pub fn symbols() -> impl Iterator<Item = (&'static str, &'static str, Dimension)> {
        SYMBOLS.iter().map(|s| (s.text, s.print, s.dimension))
    }

    /// The longest unit at the start of `text` as formulas want it, with its
    /// length in bytes: quotients are written without blanks (`kg/h`) or with
    /// `per`, and a product only in brackets under a stroke.
    pub(super) fn at_start_of(text: &str) -> Option<(Unit, usize)> {
        let mut end = spelling_length(text);
        if end == 0 {
            return None;
        }
        end += power_length(&text[end..]);
        if continues_a_name(&text[end..]) {
            return None;
        }
        let mut unit = Unit::parse(&text[..end]).ok().filter(|u| !u.is_none())?;
        loop {
            let rest = &text[end..];
            let under = if rest.starts_with('/') {
                1
            } else {
                let blank = blank_length(rest);
                match rest[blank..].strip_prefix("per") {
                    Some(after) if blank > 0 && blank_length(after) > 0 => {
                        blank + 3 + blank_length(after)
                    }
                    _ => break,
                }
            };
            let Some(length) = denominator_length(&rest[under..]) else { break };
            let next = end + under + length;
            if continues_a_name(&text[next..]) {
                break;
            }
            let Ok(longer) = Unit::parse(&text[..next]) else { break };
            (unit, end) = (longer, next);
        }
        Some((unit, end))
    }
}

/// Units are equal when they mean the same, however they are spelt.
impl PartialEq for Unit {
    fn eq(&self, other: &Unit) -> bool {
        // Factors are products of exact ones taken in another order.
        let close = (self.factor - other.factor).abs() <= 1e-12 * self.factor.abs();
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

fn single(symbol: &'static Symbol, power: i32) -> Unit {
    assemble(&[Part { symbol, power, per: None }])
}

/// A unit from its parts, those with a power below zero under one stroke.
fn assemble(parts: &[Part]) -> Unit {
    if parts.is_empty() {
        return Unit::none();
    }
    let mut dimension = Dimension::NONE;
    let mut factor = 1.0;
    for part in parts {
        let power = i8::try_from(part.power).unwrap_or(i8::MAX);
        dimension = dimension * part.symbol.dimension.powi(power);
        factor *= part.symbol.factor.powi(part.power);
        if let Some(per) = &part.per {
            factor /= f64::from(per.number);
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
            let power = if power == 1 { String::new() } else { super::print::superscript(power) };
            format!("{}{power}", s.print)
        }),
        dimension,
        factor,
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

/// Reads a text from left to right.
struct Reader<'a> {
    text: &'a str,
    at: usize,
    parts: Vec<Part>,
}

impl<'a> Reader<'a> {
    fn rest(&self) -> &'a str {
        &self.text[self.at..]
    }

    fn skip_blanks(&mut self) {
        self.at += blank_length(self.rest());
    }

    fn take(&mut self, word: &str) -> bool {
        let found = self.rest().starts_with(word);
        if found {
            self.at += word.len();
        }
        found
    }

    fn fault(&self, length: usize, message: impl Into<String>) -> UnitError {
        let end = (self.at + length).min(self.text.len());
        UnitError { at: self.at..end, message: message.into(), suggestion: None }
    }

    fn unit(&mut self) -> Result<(), UnitError> {
        self.skip_blanks();
        if self.rest().is_empty() {
            return Ok(());
        }
        // A rate of plain numbers: 1/h.
        if self.rest().starts_with("1/") {
            self.at += 1;
        } else {
            self.product(1)?;
        }
        loop {
            self.skip_blanks();
            let start = self.at;
            if self.rest().is_empty() {
                return Ok(());
            }
            if self.take("/") || self.take_per() {
                self.skip_blanks();
                self.denominator()?;
                continue;
            }
            self.at = start;
            let word = word_length(self.rest());
            let below = self.parts.iter().any(|p| p.power < 0);
            if below && symbol(&self.rest()[..spelling_length(self.rest())]).is_some() {
                return Err(self.fault(
                    word,
                    "after a stroke, several units stand in brackets, as in kg/(m2 h)",
                ));
            }
            let found = self.rest()[..word].to_owned();
            return Err(self.fault(word, format!("`{found}` does not belong in a unit")));
        }
    }

    fn take_per(&mut self) -> bool {
        let rest = self.rest();
        let found = rest.strip_prefix("per").is_some_and(|after| blank_length(after) > 0);
        if found {
            self.at += 3;
        }
        found
    }

    /// One symbol or several with blanks or dots between.
    fn product(&mut self, sign: i32) -> Result<(), UnitError> {
        self.factor(sign, None)?;
        loop {
            let start = self.at;
            self.skip_blanks();
            let dotted = self.take("·") || self.take("*") || self.take("×");
            self.skip_blanks();
            let rest = self.rest();
            let word = &rest[..spelling_length(rest)];
            if !dotted && (symbol(word).is_none() || word == "per") {
                self.at = start;
                return Ok(());
            }
            self.factor(sign, None)?;
        }
    }

    fn denominator(&mut self) -> Result<(), UnitError> {
        if self.take("(") {
            self.skip_blanks();
            self.product(-1)?;
            self.skip_blanks();
            if !self.take(")") {
                return Err(self.fault(1, "a bracket in the unit is not closed"));
            }
            return Ok(());
        }
        let digits = self.rest().bytes().take_while(u8::is_ascii_digit).count();
        if digits == 0 {
            return self.factor(-1, None);
        }
        let number = match self.rest()[..digits].parse::<u32>() {
            Ok(number) if number > 0 => number,
            _ => {
                return Err(
                    self.fault(digits, "the number under the stroke must be whole, such as 100")
                );
            }
        };
        self.at += digits;
        self.skip_blanks();
        let per = if number == 1 { None } else { Some(Per { number, of: None }) };
        self.factor(-1, per)?;
        let start = self.at;
        self.skip_blanks();
        let of = ["water", "solvent"].into_iter().find(|word| {
            self.rest().strip_prefix(word).is_some_and(|after| !continues_a_name(after))
        });
        match (of, self.parts.last_mut().and_then(|p| p.per.as_mut())) {
            (Some(word), Some(per)) => {
                per.of = Some(word);
                self.at += word.len();
            }
            _ => self.at = start,
        }
        Ok(())
    }

    fn factor(&mut self, sign: i32, per: Option<Per>) -> Result<(), UnitError> {
        let length = spelling_length(self.rest());
        let spelling = &self.rest()[..length];
        let Some(found) = symbol(spelling).or_else(|| spaced(spelling)) else {
            let length = word_length(self.rest());
            let word = &self.rest()[..length];
            if word.is_empty() {
                return Err(self.fault(0, "a unit is missing"));
            }
            let mut error = self.fault(length, format!("`{word}` is not a unit"));
            error.suggestion = nearest_symbol(word)
                .or_else(|| nearest_symbol(spelling).filter(|_| !spelling.is_empty()))
                .map(str::to_owned);
            return Err(error);
        };
        self.at += length;
        let digits = power_length(self.rest());
        let written = &self.rest()[..digits];
        let power = read_power(written);
        let bare = written.starts_with(|c: char| c.is_ascii_digit());
        let allowed = match power {
            Some(1) => true,
            Some(_) => found.powers || (!bare && found.offset == 0.0 && found.factor != 0.01),
            None => false,
        };
        let Some(power) = power.filter(|_| allowed) else {
            return Err(
                self.fault(digits, format!("`{}` cannot carry the power `{written}`", found.text))
            );
        };
        self.at += digits;
        self.parts.push(Part { symbol: found, power: sign * power, per });
        Ok(())
    }
}

/// Spellings with a blank inside, which `spelling_length` keeps together.
fn spaced(spelling: &str) -> Option<&'static Symbol> {
    let joined: String = spelling.chars().filter(|c| !c.is_whitespace()).collect();
    match joined.as_str() {
        "percent" | "degC" | "degF" | "mmHg" | "°C" | "°F" | "mol%" => symbol(&joined),
        _ => None,
    }
}

/// Length of the symbol at the start: letters, a degree sign, a percent sign.
fn spelling_length(text: &str) -> usize {
    for known in ["per cent", "deg C", "deg F", "mm Hg", "° C", "° F", "mol %"] {
        if text.strip_prefix(known).is_some_and(|after| !continues_a_name(after)) {
            return known.len();
        }
    }
    if text.starts_with('%') {
        return 1;
    }
    let letters = text
        .char_indices()
        .find(|(_, c)| !(c.is_alphabetic() || matches!(c, '°' | 'µ' | '℃' | '℉' | 'º')))
        .map_or(text.len(), |(i, _)| i);
    letters + usize::from(letters > 0 && text[letters..].starts_with('%'))
}

/// Length of the power at the start: `3`, `^3`, `^-2`, `³`, `⁻²`.
fn power_length(text: &str) -> usize {
    let sign = if let Some(after) = text.strip_prefix('^') {
        1 + usize::from(after.starts_with('-'))
    } else {
        0
    };
    let digits = text[sign..].bytes().take_while(u8::is_ascii_digit).count();
    if digits > 0 {
        return sign + digits;
    }
    text.char_indices()
        .find(|(_, c)| super::print::from_superscript(*c).is_none())
        .map_or(text.len(), |(i, _)| i)
}

fn read_power(text: &str) -> Option<i32> {
    if text.is_empty() {
        return Some(1);
    }
    let plain: String = text
        .strip_prefix('^')
        .unwrap_or(text)
        .chars()
        .map(|c| super::print::from_superscript(c).unwrap_or(c))
        .collect();
    let power: i32 = plain.parse().ok()?;
    (power != 0 && power.unsigned_abs() <= HIGHEST_POWER).then_some(power)
}

/// Length of what may stand under a stroke in a formula.
fn denominator_length(text: &str) -> Option<usize> {
    if text.starts_with('(') {
        return text.find(')').map(|end| end + 1);
    }
    let digits = text.bytes().take_while(u8::is_ascii_digit).count();
    let mut at = digits;
    if digits > 0 {
        let blank = blank_length(&text[at..]);
        at += blank;
    }
    let spelling = spelling_length(&text[at..]);
    if spelling == 0 {
        return None;
    }
    at += spelling;
    at += power_length(&text[at..]);
    if digits > 0 {
        let blank = blank_length(&text[at..]);
        for word in ["water", "solvent"] {
            if blank > 0 && text[at + blank..].starts_with(word) {
                return Some(at + blank + word.len());
            }
        }
    }
    Some(at)
}

fn continues_a_name(text: &str) -> bool {
    text.starts_with(|c: char| c.is_alphanumeric() || c == '_')
}

fn blank_length(text: &str) -> usize {
    text.find(|c: char| !c.is_whitespace()).unwrap_or(text.len())
}

/// Length of the word at the start, for pointing at what is wrong.
fn word_length(text: &str) -> usize {
    let end = text
        .char_indices()
        .find(|(_, c)| c.is_whitespace() || matches!(c, '/' | '(' | ')' | '*' | '·' | ','))
        .map_or(text.len(), |(i, _)| i);
    if end > 0 { end } else { text.chars().next().map_or(0, char::len_utf8) }
}
