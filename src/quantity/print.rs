//! Numbers and units as they stand on a page.
//!
//! Takes rounded or typed digits, gives text with a true minus sign, groups of
//! three digits from five digits up, powers of ten outside 0.0001 to 10 million,
//! and a narrow unbreakable blank before every unit (BIPM SI Brochure, 9th
//! edition, 5.4.3, 5.4.4 and 5.4.7). Never rounds.

use std::borrow::Cow;

use super::{Number, Rounded, Unit};

/// Narrow no-break space: between digit groups and before units.
pub const NARROW: char = '\u{202f}';
/// The minus sign.
pub const MINUS: char = '\u{2212}';

/// What can be printed as a number: rounded results, typed numbers, plain text.
pub trait Printable {
    /// Plain digits with an ASCII minus sign.
    fn digits(&self) -> Cow<'_, str>;

    /// Decimal exponent of the last significant digit, where the digits alone do
    /// not say; typed text says all it means and is never turned into a power of ten.
    fn last_place(&self) -> Option<i32>;
}

impl Printable for Rounded {
    fn digits(&self) -> Cow<'_, str> {
        Cow::Borrowed(&self.digits)
    }

    fn last_place(&self) -> Option<i32> {
        Some(self.last_place)
    }
}

impl Printable for Number {
    fn digits(&self) -> Cow<'_, str> {
        Cow::Borrowed(&self.text)
    }

    fn last_place(&self) -> Option<i32> {
        None
    }
}

impl Printable for str {
    fn digits(&self) -> Cow<'_, str> {
        Cow::Borrowed(self)
    }

    fn last_place(&self) -> Option<i32> {
        None
    }
}

impl Printable for String {
    fn digits(&self) -> Cow<'_, str> {
        Cow::Borrowed(self)
    }

    fn last_place(&self) -> Option<i32> {
        None
    }
}

/// A number for the page: `12 500`, `−0.050`, `3.4 × 10⁻⁵`. Text that is no
/// plain number (`1/3`, or printed before) stays as it is but for its minus sign.
pub fn print_number(number: &(impl Printable + ?Sized)) -> String {
    let digits = number.digits();
    let (sign, body) = match digits.strip_prefix(['-', MINUS]) {
        Some(body) => ("\u{2212}", body),
        None => ("", digits.strip_prefix('+').unwrap_or(&digits)),
    };
    if let Some((mantissa, exponent)) = body.split_once(['e', 'E'])
        && let Ok(exponent) = exponent.parse::<i32>()
    {
        return format!("{sign}{}", power_of_ten(mantissa, exponent));
    }
    if let Some(place) = number.last_place()
        && let Some(first) = first_place(body)
        && !(-4..7).contains(&first)
    {
        let mut kept: String = body.chars().filter(char::is_ascii_digit).collect();
        kept = kept.trim_start_matches('0').to_owned();
        // Zeros that only hold the places before the point are no figures.
        kept.truncate(kept.len().saturating_sub(usize::try_from(place).unwrap_or(0)).max(1));
        if kept.len() > 1 {
            kept.insert(1, '.');
        }
        return format!("{sign}{}", power_of_ten(&kept, first));
    }
    format!("{sign}{}", grouped(body))
}

/// A number with its unit, joined so that no line breaks between: `60 kg`, `5.0 %`.
pub fn print_quantity(number: &(impl Printable + ?Sized), unit: &Unit) -> String {
    let mut text = print_number(number);
    if !unit.print().is_empty() {
        text.push(NARROW);
        text.push_str(unit.print());
    }
    text
}

/// A whole number as superscript digits.
pub fn superscript(power: i32) -> String {
    power
        .to_string()
        .chars()
        .map(|c| {
            SUPERSCRIPTS.iter().find(|(plain, _)| *plain == c).map_or(c, |(_, raised)| *raised)
        })
        .collect()
}

const SUPERSCRIPTS: [(char, char); 11] = [
    ('0', '⁰'),
    ('1', '¹'),
    ('2', '²'),
    ('3', '³'),
    ('4', '⁴'),
    ('5', '⁵'),
    ('6', '⁶'),
    ('7', '⁷'),
    ('8', '⁸'),
    ('9', '⁹'),
    ('-', '⁻'),
];

/// The plain character of a superscript one.
pub(super) fn from_superscript(c: char) -> Option<char> {
    SUPERSCRIPTS.iter().find(|(_, raised)| *raised == c).map(|(plain, _)| *plain)
}

fn power_of_ten(mantissa: &str, exponent: i32) -> String {
    format!("{}{NARROW}×{NARROW}10{}", grouped(mantissa), superscript(exponent))
}

/// Decimal exponent of the first digit that is not zero; none for zero.
fn first_place(body: &str) -> Option<i32> {
    let (whole, fraction) = body.split_once('.').unwrap_or((body, ""));
    let places = |s: &str| i32::try_from(s.len()).unwrap_or(i32::MAX);
    if !whole.bytes().chain(fraction.bytes()).all(|b| b.is_ascii_digit()) {
        return None;
    }
    let significant = whole.trim_start_matches('0');
    if !significant.is_empty() {
        return Some(places(significant) - 1);
    }
    let zeros = fraction.len() - fraction.trim_start_matches('0').len();
    (zeros < fraction.len()).then(|| -places(&fraction[..zeros]) - 1)
}

/// Digits before the point in threes, if there are five or more.
fn grouped(body: &str) -> String {
    let whole = body.bytes().take_while(u8::is_ascii_digit).count();
    let rest = &body[whole..];
    if whole < 5 || !(rest.is_empty() || rest.starts_with('.')) {
        return body.to_owned();
    }
    let mut text = String::with_capacity(body.len() + whole);
    for (i, digit) in body[..whole].chars().enumerate() {
        if i > 0 && (whole - i) % 3 == 0 {
            text.push(NARROW);
        }
        text.push(digit);
    }
    text + rest
}
