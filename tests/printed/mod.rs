//! Arithmetic on printed text: `12 150… kg ÷ 0.240` to the range of what it may come
//! to, given that what is printed is rounded. Knows nothing of how it was made.

use std::collections::BTreeMap;

/// Everything that a printed number may stand for, in base units.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Range {
    pub(crate) low: f64,
    pub(crate) high: f64,
}

impl Range {
    pub(crate) fn of(low: f64, high: f64) -> Range {
        Range { low: low.min(high), high: low.max(high) }
    }

    /// All that the ends of two ranges come to.
    fn with(self, other: Range, does: fn(f64, f64) -> f64) -> Range {
        let all = [
            does(self.low, other.low),
            does(self.low, other.high),
            does(self.high, other.low),
            does(self.high, other.high),
        ];
        let least = all.iter().copied().fold(f64::INFINITY, f64::min);
        Range { low: least, high: all.iter().copied().fold(f64::NEG_INFINITY, f64::max) }
    }

    /// Whether both may be the same number, but for noise.
    pub(crate) fn meets(self, other: Range) -> bool {
        let ends = [self.low, self.high, other.low, other.high];
        let noise = 1e-9 * ends.iter().fold(0.0, |most: f64, end| most.max(end.abs()));
        self.low <= other.high + noise && other.low <= self.high + noise
    }
}

/// What letters stand for, in their own units.
pub(crate) type Letters = BTreeMap<char, f64>;

/// What names stand for, in base units.
pub(crate) type Names = BTreeMap<String, f64>;

const NARROW: char = '\u{202f}';
const MINUS: char = '\u{2212}';

/// Base units of the symbols that are printed, by definition (pound: 1959 agreement).
const UNITS: &[(&str, f64)] = &[
    ("kg", 1.0),
    ("g", 1e-3),
    ("mg", 1e-6),
    ("t", 1e3),
    ("lb", 0.453_592_37),
    ("mol", 1.0),
    ("kmol", 1e3),
    ("lbmol", 453.592_37),
    ("Pa", 1.0),
    ("kPa", 1e3),
    ("bar", 1e5),
    ("ppm", 1e-6),
    ("L", 1e-3),
    ("mL", 1e-6),
    ("cm", 1e-2),
    ("cm³", 1e-6),
    ("dm³", 1e-3),
    ("m³", 1.0),
    ("s", 1.0),
    ("min", 60.0),
    ("h", 3600.0),
    ("day", 86_400.0),
    ("%", 0.01),
];

/// The size of a unit as printed, quotients and `g/100 g` among them.
pub(crate) fn unit_size(text: &str) -> Option<f64> {
    let mut size = 1.0;
    for (index, part) in text.split('/').enumerate() {
        let (count, symbol) = part.split_once(NARROW).unwrap_or(("1", part));
        let (_, own) = UNITS.iter().find(|(known, _)| *known == symbol)?;
        let own = own * count.parse::<f64>().ok()?;
        size = if index == 0 { size * own } else { size / own };
    }
    Some(size)
}

/// What a printed line comes to; none if it holds words that `names` does not know.
pub(crate) fn value(line: &str, letters: &Letters, names: &Names) -> Option<Range> {
    let lettered = letters.keys().any(|letter| has_letter(line, *letter));
    let mut reader = Reader { rest: line, letters, names, lettered };
    let value = reader.sum()?;
    reader.rest.trim().is_empty().then_some(value)
}

/// Whether a letter stands alone in a line, or behind digits.
fn has_letter(line: &str, letter: char) -> bool {
    let mut before = ' ';
    let mut chars = line.chars().peekable();
    while let Some(c) = chars.next() {
        let after = chars.peek().copied().unwrap_or(' ');
        if c == letter && !before.is_alphabetic() && !after.is_alphabetic() {
            return true;
        }
        before = c;
    }
    false
}

struct Reader<'a> {
    rest: &'a str,
    letters: &'a Letters,
    names: &'a Names,
    /// Numbers beside letters are rounded to five figures.
    lettered: bool,
}

impl Reader<'_> {
    fn take(&mut self, text: &str) -> bool {
        let rest = self.rest.strip_prefix(text);
        self.rest = rest.unwrap_or(self.rest);
        rest.is_some()
    }

    fn sum(&mut self) -> Option<Range> {
        let mut value = self.product()?;
        loop {
            if self.take(" + ") {
                value = value.with(self.product()?, |a, b| a + b);
            } else if self.take(" \u{2212} ") {
                value = value.with(self.product()?, |a, b| a - b);
            } else {
                return Some(value);
            }
        }
    }

    fn product(&mut self) -> Option<Range> {
        let mut value = self.power()?;
        loop {
            if self.take(" × ") {
                value = value.with(self.power()?, |a, b| a * b);
            } else if self.take(" ÷ ") {
                value = value.with(self.power()?, |a, b| a / b);
            } else {
                return Some(value);
            }
        }
    }

    fn power(&mut self) -> Option<Range> {
        let base = self.atom()?;
        if self.take("²") {
            return Some(base.with(base, |a, b| a * b));
        }
        if self.take("^") {
            let power = self.atom()?;
            return Some(base.with(power, f64::powf));
        }
        Some(base)
    }

    fn atom(&mut self) -> Option<Range> {
        if self.take(&MINUS.to_string()) {
            let value = self.atom()?;
            return Some(Range::of(-value.low, -value.high));
        }
        if self.take("√(") {
            let value = self.sum()?;
            return self.take(")").then(|| Range::of(value.low.sqrt(), value.high.sqrt()));
        }
        if self.take("ln(") {
            let value = self.sum()?;
            return self.take(")").then(|| Range::of(value.low.ln(), value.high.ln()));
        }
        if self.take("(") {
            let value = self.sum()?;
            let size = self.take(")").then(|| self.unit())??;
            return Some(Range::of(value.low * size, value.high * size));
        }
        if self.rest.starts_with(|c: char| c.is_ascii_digit()) {
            let number = self.number()?;
            // The square of 90x² is that of x alone.
            let times = match self.letter() {
                Some(value) if self.take("²") => value * value,
                Some(value) => value,
                None => 1.0,
            };
            if self.take(&format!("{NARROW}°C")) {
                return Some(Range::of(number.low + 273.15, number.high + 273.15));
            }
            let size = self.unit()? * times;
            return Some(Range::of(number.low * size, number.high * size));
        }
        if let Some(value) = self.letter() {
            let size = self.unit()?;
            return Some(Range::of(value * size, value * size));
        }
        self.name()
    }

    /// A letter of algebra, no part of a word.
    fn letter(&mut self) -> Option<f64> {
        let letter = self.rest.chars().next()?;
        let value = *self.letters.get(&letter)?;
        let rest = &self.rest[letter.len_utf8()..];
        if rest.starts_with(|c: char| c.is_alphabetic() || c.is_ascii_digit()) {
            return None;
        }
        self.rest = rest;
        Some(value)
    }

    /// Words up to the next sign.
    fn name(&mut self) -> Option<Range> {
        let signs = [" + ", " \u{2212} ", " × ", " ÷ ", ")", "²"];
        let end = signs.iter().filter_map(|sign| self.rest.find(sign)).min();
        let (name, rest) = self.rest.split_at(end.unwrap_or(self.rest.len()));
        let value = *self.names.get(name)?;
        self.rest = rest;
        Some(Range::of(value, value))
    }

    /// Behind a number: nothing, or a narrow blank and a unit.
    fn unit(&mut self) -> Option<f64> {
        let Some(rest) = self.rest.strip_prefix(NARROW) else { return Some(1.0) };
        let end = rest.find([' ', ')']).unwrap_or(rest.len());
        self.rest = &rest[end..];
        unit_size(&rest[..end])
    }

    /// Digits in groups, with a power of ten or dots; what they may stand for.
    fn number(&mut self) -> Option<Range> {
        let mut digits = String::new();
        loop {
            let end = self.rest.find(|c: char| !c.is_ascii_digit() && c != '.');
            digits.push_str(&self.rest[..end.unwrap_or(self.rest.len())]);
            self.rest = &self.rest[end.unwrap_or(self.rest.len())..];
            // A narrow blank and three digits go on the same number.
            let more = self.rest.strip_prefix(NARROW).filter(|more| {
                let group: Vec<char> = more.chars().take(4).collect();
                group.len() >= 3
                    && group[..3].iter().all(char::is_ascii_digit)
                    && group.get(3).is_none_or(|c| !c.is_alphanumeric() || *c == '.')
            });
            match more {
                Some(more) => self.rest = more,
                None => break,
            }
        }
        let cut = self.take("…");
        let power = self.power_of_ten();
        let plain: f64 = digits.parse().ok()?;
        let value = plain * 10f64.powi(power);
        let places = digits.split_once('.').map_or(0, |(_, places)| places.len() as i32);
        let unit = 10f64.powi(power - places);
        let significant = digits.chars().filter(char::is_ascii_digit);
        let significant = significant.skip_while(|c| *c == '0').count();
        // Fewer figures than four are printed only where they are all there are.
        let mut rounded = if significant >= 4 { 0.5 * unit } else { 0.0 };
        if self.lettered {
            rounded = rounded.max(0.51e-4 * value);
        }
        let high = if cut { value + unit } else { value + rounded };
        Some(Range::of(if cut { value } else { value - rounded }, high))
    }

    fn power_of_ten(&mut self) -> i32 {
        let sign = format!("{NARROW}×{NARROW}10");
        if !self.take(&sign) {
            return 0;
        }
        let raised = "⁰¹²³⁴⁵⁶⁷⁸⁹";
        let negative = self.take("⁻");
        let mut power = 0;
        while let Some(c) = self.rest.chars().next() {
            let Some(digit) = raised.chars().position(|r| r == c) else { break };
            power = 10 * power + digit as i32;
            self.rest = &self.rest[c.len_utf8()..];
        }
        if negative { -power } else { power }
    }
}
