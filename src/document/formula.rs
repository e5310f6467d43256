//! Chemical formulas as typed (`SO4^2-`, `CuSO4.5H2O`) to the characters they
//! are printed with (SO₄²⁻, CuSO₄·5H₂O), so that a page's text says them too.

const ELEMENTS: &str = " H He Li Be B C N O F Ne Na Mg Al Si P S Cl Ar K Ca Sc Ti V Cr Mn Fe Co \
    Ni Cu Zn Ga Ge As Se Br Kr Rb Sr Y Zr Nb Mo Tc Ru Rh Pd Ag Cd In Sn Sb Te I Xe Cs Ba La Ce Pr \
    Nd Pm Sm Eu Gd Tb Dy Ho Er Tm Yb Lu Hf Ta W Re Os Ir Pt Au Hg Tl Pb Bi Po At Rn Fr Ra Ac Th \
    Pa U Np Pu Am Cm Bk Cf Es Fm Md No Lr Rf Db Sg Bh Hs Mt Ds Rg Cn Nh Fl Mc Lv Ts Og ";

/// The formula as printed; none if the text is not a formula. Formulas may be
/// joined by `+`, `->` and `<=>` to an equation.
pub fn chemical(text: &str) -> Option<String> {
    let mut out = String::with_capacity(text.len() + 8);
    let mut any = false;
    for (i, word) in text.split_whitespace().enumerate() {
        if i > 0 {
            out.push(' ');
        }
        match word {
            "+" => out.push('+'),
            "->" | "→" => out.push('→'),
            "<=>" | "⇌" => out.push('⇌'),
            _ => {
                Reader { rest: word, out: &mut out, depth: 0 }.formula()?;
                any = true;
            }
        }
    }
    any.then_some(out)
}

struct Reader<'a, 'o> {
    rest: &'a str,
    out: &'o mut String,
    /// Brackets open; more than a few is no formula.
    depth: usize,
}

impl Reader<'_, '_> {
    fn peek(&self) -> Option<char> {
        self.rest.chars().next()
    }

    fn digits(&mut self) -> &str {
        let end = self.rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(self.rest.len());
        let (digits, rest) = self.rest.split_at(end);
        self.rest = rest;
        digits
    }

    fn coefficient(&mut self) {
        let digits = self.digits().to_owned();
        self.out.push_str(&digits);
    }

    fn count(&mut self) {
        let digits: String = self.digits().chars().filter_map(below).collect();
        self.out.push_str(&digits);
    }

    /// All of the word, or none.
    fn formula(&mut self) -> Option<()> {
        self.coefficient();
        self.groups()?;
        while self.peek().is_some_and(|c| matches!(c, '.' | '·')) {
            self.rest = &self.rest[self.peek()?.len_utf8()..];
            self.out.push('·');
            self.coefficient();
            self.groups()?;
        }
        if let Some(charge) = self.rest.strip_prefix('^') {
            let end = charge.find('(').unwrap_or(charge.len());
            let signs = charge[..end].trim_start_matches(|c: char| c.is_ascii_digit());
            if !matches!(signs, "+" | "-" | "−") {
                return None;
            }
            for c in charge[..end].chars() {
                self.out.push(above(c)?);
            }
            self.rest = &charge[end..];
        }
        if matches!(self.rest, "(s)" | "(l)" | "(g)" | "(aq)") {
            self.out.push_str(self.rest);
            self.rest = "";
        }
        self.rest.is_empty().then_some(())
    }

    /// Elements and brackets, at least one.
    fn groups(&mut self) -> Option<()> {
        let mut any = false;
        while let Some(c) = self.peek() {
            if c.is_ascii_uppercase() {
                let two = self.rest.get(..2).filter(|two| is_element(two));
                let symbol = two.or_else(|| self.rest.get(..1).filter(|one| is_element(one)))?;
                self.out.push_str(symbol);
                self.rest = &self.rest[symbol.len()..];
            } else if matches!(c, '(' | '[') && !self.at_state() {
                self.out.push(c);
                self.rest = &self.rest[1..];
                self.depth += 1;
                if self.depth > 4 {
                    return None;
                }
                self.groups()?;
                self.depth -= 1;
                let close = if c == '(' { ')' } else { ']' };
                self.rest = self.rest.strip_prefix(close)?;
                self.out.push(close);
            } else {
                break;
            }
            self.count();
            any = true;
        }
        any.then_some(())
    }

    fn at_state(&self) -> bool {
        matches!(self.rest, "(s)" | "(l)" | "(g)" | "(aq)")
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

    #[test]
    fn formulas_print_as_chemists_write_them() {
        for (typed, printed) in [
            ("H2O", "H₂O"),
            ("Ca(OH)2", "Ca(OH)₂"),
            ("SO4^2-", "SO₄²⁻"),
            ("Na^+", "Na⁺"),
            ("CuSO4.5H2O", "CuSO₄·5H₂O"),
            ("Na2CO3.10H2O", "Na₂CO₃·10H₂O"),
            ("2NaCl(aq)", "2NaCl(aq)"),
            ("CaCO3 -> CaO + CO2", "CaCO₃ → CaO + CO₂"),
            ("[Cu(NH3)4]^2+", "[Cu(NH₃)₄]²⁺"),
            ("C12H26", "C₁₂H₂₆"),
        ] {
            assert_eq!(chemical(typed).as_deref(), Some(printed));
        }
    }

    #[test]
    fn other_words_are_no_formulas() {
        for typed in ["feed", "Xq2", "print --seed 7", "", "+", "H2O^", "Ca(OH", "brine.salt", "²"]
        {
            assert_eq!(chemical(typed), None, "{typed}");
        }
    }
}
