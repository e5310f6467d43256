//! Chemical formulas as typed (`SO4^2-`, `CuSO4.5H2O`) to the runs they are printed
//! with (SO₄²⁻, CuSO₄·5H₂O). What has a character of its own below or above the line
//! is written with it, so that a page's text says it too; other signs are set small.

use std::sync::Arc;

use super::blocks::{Run, Runs, Shift, Slant, plain};
use super::math::{Class, Math, MathLine, Node};

const ELEMENTS: &str = " H He Li Be B C N O F Ne Na Mg Al Si P S Cl Ar K Ca Sc Ti V Cr Mn Fe Co \
    Ni Cu Zn Ga Ge As Se Br Kr Rb Sr Y Zr Nb Mo Tc Ru Rh Pd Ag Cd In Sn Sb Te I Xe Cs Ba La Ce Pr \
    Nd Pm Sm Eu Gd Tb Dy Ho Er Tm Yb Lu Hf Ta W Re Os Ir Pt Au Hg Tl Pb Bi Po At Rn Fr Ra Ac Th \
    Pa U Np Pu Am Cm Bk Cf Es Fm Md No Lr Rf Db Sg Bh Hs Mt Ds Rg Cn Nh Fl Mc Lv Ts Og ";

/// The formula as printed, in plain characters; none if the text is not a formula.
pub fn chemical(text: &str) -> Option<String> {
    chemical_runs(text).map(|runs| plain(&runs))
}

/// The same as runs. Formulas may be joined by `+`, `->`, `<=>` and the like to an
/// equation, each with its state.
pub(super) fn chemical_runs(text: &str) -> Option<Runs> {
    let mut out = Runs::new();
    let mut any = false;
    for (i, word) in words(text).iter().enumerate() {
        let state = is_state(word);
        if i > 0 && !state {
            push(&mut out, " ");
        }
        let sign = match word.as_str() {
            "+" => "+",
            "->" | "→" => "→",
            "<-" | "←" => "←",
            "<=>" | "⇌" => "⇌",
            "<->" | "↔" => "↔",
            "=" => "=",
            "↑" => "↑",
            "↓" => "↓",
            _ if state && any => word,
            _ => {
                Reader { rest: word, out: &mut out, depth: 0 }.formula()?;
                any = true;
                continue;
            }
        };
        push(&mut out, sign);
    }
    any.then_some(out)
}

const ARROWS: [&str; 4] = ["<=>", "<->", "->", "<-"];

/// Formulas and the signs between them, with or without spaces typed there.
fn words(text: &str) -> Vec<String> {
    let mut spaced = String::with_capacity(text.len() + 8);
    let mut rest = text;
    let mut braced = false;
    while let Some(c) = rest.chars().next() {
        braced = c == '{' || braced && c != '}';
        let arrow = ARROWS.iter().find(|arrow| rest.starts_with(**arrow));
        let width = arrow.map_or(c.len_utf8(), |arrow| arrow.len());
        let (sign, after) = rest.split_at(width);
        // A plus sign before another formula adds it; else it is a charge.
        let adds = c == '+'
            && !braced
            && after.starts_with(|c: char| c.is_ascii_alphanumeric() || c == '[');
        if arrow.is_some() || matches!(c, '→' | '⇌' | '↔') || adds {
            spaced.extend([" ", sign, " "]);
        } else {
            spaced.push_str(sign);
        }
        rest = after;
    }
    spaced.split_whitespace().map(str::to_owned).collect()
}

fn is_state(text: &str) -> bool {
    matches!(text, "(s)" | "(l)" | "(g)" | "(aq)")
}

fn push(out: &mut Runs, text: &str) {
    if text.is_empty() {
        return;
    }
    match out.last_mut() {
        Some(last) if last.shift == Shift::None && last.math.is_none() => last.text.push_str(text),
        _ => out.push(Run { text: text.to_owned(), ..Run::default() }),
    }
}

/// Puts a count or a charge beside what stands before it.
fn push_shifted(out: &mut Runs, text: &str, shift: Shift) {
    let find = if shift == Shift::Above { above } else { below };
    if let Some(text) = text.chars().map(find).collect::<Option<String>>() {
        push(out, &text);
        return;
    }
    for c in text.chars() {
        let slant = if matches!(c, 'n' | 'x' | 'y') { Slant::Italic } else { Slant::Upright };
        let c = if c == '-' { '−' } else { c };
        match out.last_mut() {
            Some(last) if last.shift == shift && last.slant == slant => last.text.push(c),
            _ => out.push(Run { text: c.into(), slant, shift, ..Run::default() }),
        }
    }
}

struct Reader<'a, 'o> {
    rest: &'a str,
    out: &'o mut Runs,
    /// Brackets open; more than a few is no formula.
    depth: usize,
}

impl<'a> Reader<'a, '_> {
    fn peek(&self) -> Option<char> {
        self.rest.chars().next()
    }

    fn take(&mut self, bytes: usize) -> &'a str {
        let (taken, rest) = self.rest.split_at(bytes);
        self.rest = rest;
        taken
    }

    fn digits(&mut self) -> &'a str {
        let end = self.rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(self.rest.len());
        self.take(end)
    }

    /// A number before a formula: 2, 0.5, 1/2; or, of water, a letter.
    fn coefficient(&mut self, letters: bool) {
        let digits = self.digits();
        push(self.out, digits);
        let mut next = self.rest.chars();
        if !digits.is_empty()
            && matches!(next.next(), Some('.' | '/'))
            && next.next().is_some_and(|c| c.is_ascii_digit())
            && !self.is_hydrate()
        {
            let sign = self.take(1);
            push(self.out, sign);
            let digits = self.digits();
            push(self.out, digits);
        } else if letters && self.rest.starts_with(['x', 'n']) {
            let letter = self.take(1);
            self.out.push(Run { text: letter.into(), slant: Slant::Italic, ..Run::default() });
            self.out.push(Run::default());
        }
    }

    /// `.5H2O` after a coefficient would be a formula's second part.
    fn is_hydrate(&self) -> bool {
        self.rest.strip_prefix('.').is_some_and(|rest| {
            rest.trim_start_matches(|c: char| c.is_ascii_digit()).starts_with("H2O")
        })
    }

    /// What stands in braces, or as many of `signs` as there are.
    fn script(&mut self, signs: impl Fn(char) -> bool) -> Option<&'a str> {
        if self.rest.starts_with('{') {
            let end = self.rest.find('}')?;
            let inner = &self.take(end + 1)[1..end];
            let fair = |c: char| c.is_ascii_alphanumeric() || matches!(c, '+' | '-' | '−');
            return (!inner.is_empty() && inner.chars().all(fair)).then_some(inner);
        }
        let end = self.rest.find(|c: char| !signs(c)).unwrap_or(self.rest.len());
        (end > 0).then(|| self.take(end))
    }

    fn count(&mut self) -> Option<()> {
        let digits = self.digits();
        push_shifted(self.out, digits, Shift::Below);
        if digits.is_empty() && self.rest.starts_with('_') {
            self.take(1);
            let count = self.script(|c| c.is_ascii_digit() || matches!(c, 'n' | 'x' | 'y'))?;
            push_shifted(self.out, count, Shift::Below);
        }
        Some(())
    }

    /// Mass number and atomic number before a symbol, one above the other.
    fn isotope(&mut self) -> Option<()> {
        if !self.rest.starts_with('^') {
            return Some(());
        }
        self.take(1);
        let mass = self.script(|c| c.is_ascii_digit())?;
        let number = if self.rest.starts_with('_') {
            self.take(1);
            self.script(|c| c.is_ascii_digit())?
        } else {
            ""
        };
        if !mass.chars().chain(number.chars()).all(|c| c.is_ascii_digit()) {
            return None;
        }
        if number.is_empty() {
            push_shifted(self.out, mass, Shift::Above);
            return Some(());
        }
        let digits = |text: &str| vec![Node::sign(text, Class::Ordinary)];
        let node = Node::Scripts { base: Vec::new(), below: digits(number), above: digits(mass) };
        let line = MathLine { left: vec![node], ..MathLine::default() };
        let text = mass.chars().filter_map(above).chain(number.chars().filter_map(below)).collect();
        let math = Math { lines: vec![line], display: false };
        self.out.push(Run { text, math: Some(Arc::new(math)), ..Run::default() });
        Some(())
    }

    /// All of the word, or none.
    fn formula(&mut self) -> Option<()> {
        self.coefficient(false);
        self.isotope()?;
        let start = self.rest;
        if let Some(charge) = self.rest.strip_prefix('e').filter(|c| c.starts_with(['^', '-'])) {
            push(self.out, "e");
            self.rest = charge;
        } else if !self.monatomic() {
            self.groups()?;
        }
        while self.peek().is_some_and(|c| matches!(c, '.' | '·')) {
            self.take(self.peek()?.len_utf8());
            push(self.out, "·");
            self.coefficient(true);
            self.groups()?;
        }
        self.charge(start)?;
        if is_state(self.rest) {
            push(self.out, self.rest);
            self.rest = "";
        }
        self.rest.is_empty().then_some(())
    }

    /// `Cu2+`: a digit and a sign after one symbol alone are its charge, as in print.
    fn monatomic(&mut self) -> bool {
        let letters = self.rest.find(|c: char| !c.is_ascii_alphabetic()).unwrap_or(0);
        let (symbol, charge) = self.rest.split_at(letters);
        let mut signs = charge.chars();
        let alone = is_element(symbol)
            && signs.next().is_some_and(|c| c.is_ascii_digit())
            && matches!(signs.next(), Some('+' | '-' | '−'))
            && (signs.as_str().is_empty() || is_state(signs.as_str()));
        if alone {
            push(self.out, symbol);
            push_shifted(self.out, &charge[..1], Shift::Above);
            self.rest = &charge[1..];
        }
        alone
    }

    /// `^2-`, `^{2-}`, or a sign alone at the end.
    fn charge(&mut self, start: &str) -> Option<()> {
        let typed = match self.peek() {
            Some('^') => {
                self.take(1);
                self.script(|c| c.is_ascii_digit() || matches!(c, '+' | '-' | '−'))?
            }
            Some('+' | '-' | '−') if self.rest.len() < start.len() => {
                let sign = self.peek()?.len_utf8();
                self.take(sign)
            }
            _ => return Some(()),
        };
        let signs = typed.trim_start_matches(|c: char| c.is_ascii_digit());
        if !matches!(signs, "+" | "-" | "−") {
            return None;
        }
        push_shifted(self.out, typed, Shift::Above);
        Some(())
    }

    /// Elements and brackets, at least one.
    fn groups(&mut self) -> Option<()> {
        let mut any = false;
        while let Some(c) = self.peek() {
            if c.is_ascii_uppercase() {
                let two = self.rest.get(..2).filter(|two| is_element(two));
                let symbol = two.or_else(|| self.rest.get(..1).filter(|one| is_element(one)))?;
                push(self.out, symbol);
                self.take(symbol.len());
            } else if matches!(c, '(' | '[') && !is_state(self.rest) {
                push(self.out, if c == '(' { "(" } else { "[" });
                self.take(1);
                self.depth += 1;
                if self.depth > 4 {
                    return None;
                }
                self.groups()?;
                // The ion within square brackets may carry its charge there.
                self.depth -= 1;
                let close = if c == '(' { ")" } else { "]" };
                self.rest = self.rest.strip_prefix(close)?;
                push(self.out, close);
                let letter = self.rest.starts_with(['n', 'x']);
                if letter && (self.rest.len() == 1 || is_state(&self.rest[1..])) {
                    let letter = self.take(1);
                    push_shifted(self.out, letter, Shift::Below);
                }
            } else {
                break;
            }
            self.count()?;
            any = true;
        }
        any.then_some(())
    }
}

fn is_element(symbol: &str) -> bool {
    ELEMENTS
        .match_indices(symbol)
        .any(|(i, _)| ELEMENTS[..i].ends_with(' ') && ELEMENTS[i + symbol.len()..].starts_with(' '))
}

/// The character that stands for `c` below the line.
pub(super) fn below(c: char) -> Option<char> {
    Some(match c {
        '0'..='9' => char::from_u32('₀' as u32 + (c as u32 - '0' as u32))?,
        _ => return None,
    })
}

/// The character that stands for `c` above the line.
pub(super) fn above(c: char) -> Option<char> {
    Some(match c {
        '1' => '¹',
        '2' => '²',
        '3' => '³',
        '0' | '4'..='9' => char::from_u32('⁰' as u32 + (c as u32 - '0' as u32))?,
        '+' => '⁺',
        '-' | '−' => '⁻',
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    // How each is written in print: IUPAC Red Book (2005), IR-4, from memory.
    #[test]
    fn formulas_print_as_chemists_write_them() {
        for (typed, printed) in [
            ("H2O", "H₂O"),
            ("Ca(OH)2", "Ca(OH)₂"),
            ("SO4^2-", "SO₄²⁻"),
            ("SO4^{2-}", "SO₄²⁻"),
            ("Na^+", "Na⁺"),
            ("Na+", "Na⁺"),
            ("Cl-(aq)", "Cl⁻(aq)"),
            ("NH4+", "NH₄⁺"),
            ("Cu2+", "Cu²⁺"),
            ("Fe3+(aq)", "Fe³⁺(aq)"),
            ("CuSO4.5H2O", "CuSO₄·5H₂O"),
            ("MgSO4.xH2O", "MgSO₄·xH₂O"),
            ("Na2CO3.10H2O", "Na₂CO₃·10H₂O"),
            ("2NaCl(aq)", "2NaCl(aq)"),
            ("2NaCl (aq)", "2NaCl(aq)"),
            ("CaCO3 -> CaO + CO2", "CaCO₃ → CaO + CO₂"),
            ("2H2+O2->2H2O", "2H₂ + O₂ → 2H₂O"),
            ("1/2O2 <=> 0.5O2", "1/2O₂ ⇌ 0.5O₂"),
            ("Ag+(aq) + Cl-(aq) -> AgCl(s)", "Ag⁺(aq) + Cl⁻(aq) → AgCl(s)"),
            ("Cu2+ + 2e- -> Cu", "Cu²⁺ + 2e⁻ → Cu"),
            ("CaCO3 + 2H+ -> Ca2+ + CO2 ↑ + H2O", "CaCO₃ + 2H⁺ → Ca²⁺ + CO₂ ↑ + H₂O"),
            ("[Cu(NH3)4]^2+", "[Cu(NH₃)₄]²⁺"),
            ("C12H26", "C₁₂H₂₆"),
            ("H_2O", "H₂O"),
            ("C_nH_{2n+2}", "CnH2n+2"),
            ("(C6H10O5)n", "(C₆H₁₀O₅)n"),
            ("^14C", "¹⁴C"),
            ("^{235}_{92}U", "²³⁵₉₂U"),
            ("^14CO2", "¹⁴CO₂"),
        ] {
            assert_eq!(chemical(typed).as_deref(), Some(printed));
        }
    }

    #[test]
    fn a_count_without_a_character_of_its_own_is_set_small() {
        let runs = chemical_runs("(C6H10O5)n").expect("a formula");
        let last = runs.last().map(|run| (run.text.as_str(), run.shift, run.slant));
        assert_eq!(last, Some(("n", Shift::Below, Slant::Italic)));
    }

    #[test]
    fn other_words_are_no_formulas() {
        for typed in [
            "feed",
            "Xq2",
            "print --seed 7",
            "",
            "+",
            "->",
            "H2O^",
            "H2O^2",
            "Ca(OH",
            "brine.salt",
            "²",
            "^",
            "^x",
            "e",
            "{",
            "H_{",
            "C_{a b}",
            "(((((H)))))",
        ] {
            assert_eq!(chemical(typed), None, "{typed}");
        }
    }
}
