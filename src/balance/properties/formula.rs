//! Chemical formulas as typed to molar masses and crystal water.
//!
//! Takes `NaCl`, `Al2(SO4)3`, `Na2CO3.10H2O`, `SO4^2-`; gives a `Chemical`, or
//! the place and the reason why the text is no formula. Never asks whether the
//! substance exists: `NaCl7` has a molar mass too.

use super::elements::element;
use super::fault::MOST;
pub use super::fault::{ChemicalFault, FaultKind};

/// What a formula says of a substance.
#[derive(Debug, Clone, PartialEq)]
pub struct Chemical {
    /// Elements in the order they are first named, with their atoms in one
    /// formula unit as it is written.
    pub atoms: Vec<(&'static str, f64)>,
    /// In units of the elementary charge.
    pub charge: i32,
    /// Of all that is written, kg/mol.
    pub molar_mass: f64,
    /// Of what is left when the crystal water is gone, kg/mol.
    pub anhydrous: f64,
    /// Moles of crystal water in a mole of formula units: what a dot joins on as
    /// H2O. Water in brackets counts as part of the substance.
    pub water: Option<f64>,
}

impl Chemical {
    /// The share of the mass that is left without the crystal water.
    pub fn anhydrous_share(&self) -> f64 {
        self.anhydrous / self.molar_mass
    }
}

/// The largest molar mass, g/mol: above it brackets have multiplied each other.
const HEAVIEST: f64 = 1e9;

/// Reads a formula.
pub fn parse(text: &str) -> Result<Chemical, ChemicalFault> {
    // What the substance is in (solid, in water) weighs nothing.
    let trimmed = text.trim_end();
    let trimmed = ["(s)", "(l)", "(g)", "(aq)"]
        .iter()
        .find_map(|state| trimmed.strip_suffix(state))
        .map_or(trimmed, str::trim_end);
    let mut reader = Reader { text: trimmed, at: text.len() - text.trim_start().len() };
    if reader.at >= trimmed.len() {
        return Err(reader.fault(FaultKind::Nothing));
    }
    reader.formula()
}

/// Atoms with their counts.
type Atoms = Vec<(&'static str, f64)>;

/// A bracket not yet closed, and the atoms named since.
struct Open {
    bracket: char,
    at: usize,
    atoms: Atoms,
}

struct Reader<'a> {
    text: &'a str,
    at: usize,
}

impl<'a> Reader<'a> {
    fn peek(&self) -> Option<char> {
        self.text[self.at..].chars().next()
    }

    fn take_while(&mut self, wanted: impl Fn(char) -> bool) -> &'a str {
        let rest = &self.text[self.at..];
        let taken = &rest[..rest.find(|c| !wanted(c)).unwrap_or(rest.len())];
        self.at += taken.len();
        taken
    }

    fn fault(&self, kind: FaultKind) -> ChemicalFault {
        ChemicalFault { at: self.at, kind }
    }

    /// Parts joined by dots, then a charge.
    fn formula(&mut self) -> Result<Chemical, ChemicalFault> {
        let start = self.at;
        let mut parts: Vec<(f64, Atoms)> = Vec::new();
        let first = self.coefficient()?;
        let number = &self.text[start..self.at];
        parts.push((first.unwrap_or(1.0), self.part()?));
        while self.dot() {
            let times = self.coefficient()?.unwrap_or(1.0);
            parts.push((times, self.part()?));
        }
        // `2CaSO4.H2O` says how many of one go with the other; alone a number in
        // front says nothing of the substance.
        if first.is_some() && parts.len() == 1 {
            return Err(ChemicalFault { at: start, kind: FaultKind::Number(number.to_owned()) });
        }
        let charge = self.charge()?;
        if let Some(c) = self.peek() {
            let kind = match c {
                '+' | '-' | '−' | '^' => FaultKind::Charge,
                _ => FaultKind::Unexpected(c),
            };
            return Err(self.fault(kind));
        }
        weigh(parts, charge).ok_or(ChemicalFault { at: start, kind: FaultKind::TooLarge })
    }

    /// The dot of a hydrate, with or without blanks around it.
    fn dot(&mut self) -> bool {
        let before = self.at;
        self.take_while(char::is_whitespace);
        match self.peek() {
            Some(c @ ('.' | '·' | '•' | '⋅' | '∙' | '*')) => {
                self.at += c.len_utf8();
                self.take_while(char::is_whitespace);
                true
            }
            _ => {
                self.at = before;
                false
            }
        }
    }

    /// Symbols, counts and brackets, to the first character that is none of them.
    fn part(&mut self) -> Result<Atoms, ChemicalFault> {
        let mut atoms = Atoms::new();
        // Kept by hand: brackets may be nested deeper than calls should be.
        let mut open: Vec<Open> = Vec::new();
        while let Some(c) = self.peek() {
            match c {
                '(' | '[' => {
                    let outer = std::mem::take(&mut atoms);
                    open.push(Open { bracket: c, at: self.at, atoms: outer });
                    self.at += 1;
                }
                ')' | ']' => {
                    let Some(inner) = open.pop() else {
                        return Err(self.fault(FaultKind::Unopened(c)));
                    };
                    if (inner.bracket == '(') != (c == ')') {
                        return Err(self.fault(FaultKind::Unlike(c, inner.bracket)));
                    }
                    if atoms.is_empty() {
                        let kind = FaultKind::EmptyBracket(inner.bracket);
                        return Err(ChemicalFault { at: inner.at, kind });
                    }
                    self.at += 1;
                    let times = self.count()?;
                    let inside = std::mem::replace(&mut atoms, inner.atoms);
                    add(&mut atoms, &inside, times);
                }
                c if c.is_ascii_uppercase() => {
                    let symbol = self.symbol()?;
                    let times = self.count()?;
                    add(&mut atoms, &[(symbol, 1.0)], times);
                }
                c if digit(c).is_some() => {
                    let from = self.at;
                    let number = self.take_while(|c| digit(c).is_some()).to_owned();
                    return Err(ChemicalFault { at: from, kind: FaultKind::Number(number) });
                }
                c if c.is_lowercase() => return Err(self.fault(FaultKind::Small(c))),
                _ => break,
            }
        }
        match open.pop() {
            Some(Open { bracket, at, .. }) if self.peek().is_none() => {
                Err(ChemicalFault { at, kind: FaultKind::Unclosed(bracket) })
            }
            // Something stands inside the bracket that cannot.
            Some(_) => Err(self.stopped()),
            None if atoms.is_empty() => Err(self.stopped()),
            None => Ok(atoms),
        }
    }

    /// Why no symbol could be read here.
    fn stopped(&self) -> ChemicalFault {
        self.fault(match self.peek() {
            None | Some('.' | '·' | '•' | '⋅' | '∙' | '*') => FaultKind::Nothing,
            Some('^' | '+' | '-' | '−') => FaultKind::Charge,
            Some(c) => FaultKind::Unexpected(c),
        })
    }

    fn symbol(&mut self) -> Result<&'static str, ChemicalFault> {
        let from = self.at;
        self.at += 1;
        self.take_while(|c| c.is_ascii_lowercase());
        let symbol = &self.text[from..self.at];
        let kind = match element(symbol) {
            Some(known) if known.weight.is_some() => return Ok(known.symbol),
            Some(known) => FaultKind::Unweighed(known.symbol),
            None => FaultKind::Unknown(symbol.to_owned()),
        };
        Err(ChemicalFault { at: from, kind })
    }

    /// How often the symbol or bracket before it is there.
    fn count(&mut self) -> Result<f64, ChemicalFault> {
        let from = self.at;
        let typed = self.take_while(|c| digit(c).is_some());
        if typed.is_empty() {
            return Ok(1.0);
        }
        whole(typed)
            .ok_or_else(|| ChemicalFault { at: from, kind: FaultKind::Count(typed.to_owned()) })
    }

    /// The number in front of a part: whole, `0.5`, `1/2` or `½`.
    fn coefficient(&mut self) -> Result<Option<f64>, ChemicalFault> {
        let from = self.at;
        let digits = self.take_while(|c| digit(c).is_some());
        let mut number = whole(digits);
        let after = |reader: &Reader<'_>| {
            let mut next = reader.text[reader.at..].chars();
            (next.next(), next.next().and_then(digit).is_some())
        };
        match after(self) {
            (Some(half @ ('½' | '¼' | '¾')), _) => {
                self.at += half.len_utf8();
                let part = match half {
                    '½' => 0.5,
                    '¼' => 0.25,
                    _ => 0.75,
                };
                number = if digits.is_empty() { Some(part) } else { number.map(|n| n + part) };
            }
            (Some('/'), true) if !digits.is_empty() => {
                self.at += 1;
                let under = whole(self.take_while(|c| digit(c).is_some()));
                number = number.zip(under).map(|(over, under)| over / under);
            }
            (Some('.'), true) if !digits.is_empty() => {
                self.at += 1;
                self.take_while(|c| c.is_ascii_digit());
                number = self.text[from..self.at].parse().ok();
            }
            _ if digits.is_empty() => return Ok(None),
            _ => {}
        }
        match number.filter(|n| *n > 0.0 && *n <= f64::from(MOST)) {
            Some(number) => Ok(Some(number)),
            None => Err(ChemicalFault {
                at: from,
                kind: FaultKind::Count(self.text[from..self.at].to_owned()),
            }),
        }
    }

    /// `^2-` or `^+`, if anything.
    fn charge(&mut self) -> Result<i32, ChemicalFault> {
        if self.peek() != Some('^') {
            return Ok(0);
        }
        let from = self.at;
        self.at += 1;
        let size = match self.take_while(|c| c.is_ascii_digit()) {
            "" => Some(1),
            typed => typed.parse().ok().filter(|n| (1..=99).contains(n)),
        };
        let sign = match self.take_while(|c| matches!(c, '+' | '-' | '−')) {
            "+" => Some(1),
            "-" | "−" => Some(-1),
            _ => None,
        };
        match (size, sign) {
            (Some(size), Some(sign)) => Ok(size * sign),
            _ => Err(ChemicalFault { at: from, kind: FaultKind::Charge }),
        }
    }
}

/// A digit on the line or below it.
fn digit(c: char) -> Option<u32> {
    match c {
        '₀'..='₉' => Some(u32::from(c) - u32::from('₀')),
        _ => c.to_digit(10),
    }
}

/// A whole number from 1 to the largest count.
fn whole(typed: &str) -> Option<f64> {
    let mut number = 0_u32;
    for c in typed.chars() {
        number = number.checked_mul(10)?.checked_add(digit(c)?)?;
    }
    (1..=MOST).contains(&number).then(|| f64::from(number))
}

fn add(atoms: &mut Atoms, more: &[(&'static str, f64)], times: f64) {
    for &(symbol, count) in more {
        match atoms.iter_mut().find(|(known, _)| *known == symbol) {
            Some((_, sum)) => *sum += count * times,
            None => atoms.push((symbol, count * times)),
        }
    }
}

/// The masses of the parts together; none if no molecule is so heavy.
fn weigh(parts: Vec<(f64, Atoms)>, charge: i32) -> Option<Chemical> {
    let mass = |atoms: &Atoms| -> f64 {
        let grams = |symbol| element(symbol).and_then(|known| known.weight).unwrap_or(f64::NAN);
        atoms.iter().map(|(symbol, count)| grams(symbol) * count).sum()
    };
    let is_water = |atoms: &Atoms| {
        atoms.len() == 2 && atoms.contains(&("H", 2.0)) && atoms.contains(&("O", 1.0))
    };
    // Water alone is a substance, not the water of one.
    let dry = parts.iter().any(|(_, atoms)| !is_water(atoms));
    let (mut atoms, mut anhydrous, mut water) = (Atoms::new(), 0.0, 0.0);
    for (times, part) in &parts {
        add(&mut atoms, part, *times);
        if dry && is_water(part) {
            water += times;
        } else {
            anhydrous += mass(part) * times;
        }
    }
    let all = mass(&atoms);
    (all <= HEAVIEST).then_some(Chemical {
        atoms,
        charge,
        molar_mass: all / 1000.0,
        anhydrous: anhydrous / 1000.0,
        water: (water > 0.0).then_some(water),
    })
}
