//! A number as people type it: with a decimal comma, blanks between thousands, a power of
//! ten, a fraction, a unit behind it.
//!
//! Takes a cell's text and which mark is decimal, if that is known; gives the number with
//! the figures that were typed. What can be read in two ways is said to be so.

use crate::quantity::Unit;

/// Which sign stands before the decimals.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mark {
    Point,
    Comma,
}

/// A number that someone gave.
#[derive(Debug, Clone, PartialEq)]
pub struct Given {
    pub value: f64,
    /// Figures typed: of a whole number those before its closing noughts; none where the
    /// number is exact, as a fraction is.
    pub figures: Option<u32>,
    /// The decimal place of the last digit typed: -2 for 3.25.
    pub last_place: i32,
    /// The unit behind it, if any was typed.
    pub unit: Option<Unit>,
    /// Words behind it that are no unit.
    pub rest: String,
    /// Which decimal mark it leaves no doubt of.
    pub shows: Option<Mark>,
}

/// Why a text is no number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Not {
    /// No digit in it: words.
    Words,
    /// `1,234` or `1.234`: by the one mark, and by the other.
    Ambiguous { less: String, more: String },
    /// A date, as a spreadsheet makes one of 3/4.
    Date,
    /// Digits, but no number that can be made out.
    Unread,
    /// Beyond what numbers here can be.
    TooLarge,
}

/// Reads a cell's text.
pub(super) fn number(text: &str, mark: Option<Mark>) -> Result<Given, Not> {
    let text = plain(text);
    let text = text.trim();
    if !text.chars().any(|c| c.is_ascii_digit()) {
        return Err(Not::Words);
    }
    if is_date(text) {
        return Err(Not::Date);
    }
    let text = without_lead(text);
    let Some(first) = text.find(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | '.' | ','))
    else {
        return Err(Not::Words);
    };
    if first != 0 {
        return Err(Not::Unread);
    }
    let (body, rest) = split(text);
    let mut given = body_of(body, mark)?;
    if !given.value.is_finite() {
        return Err(Not::TooLarge);
    }
    let rest = rest.trim().trim_end_matches(['.', ';', ',']).trim_end();
    let (unit, words) = unit_of(rest)?;
    given.unit = unit;
    given.rest = words;
    Ok(given)
}

/// The number in a text, if there is one and it can be read in one way.
pub(in crate::marking) fn number_in(text: &str, mark: Option<Mark>) -> Option<f64> {
    number(text, mark).ok().map(|given| given.value)
}

/// One spelling for signs that look alike.
fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut raised = false;
    for c in text.chars() {
        let up = match c {
            '⁰' => Some('0'),
            '¹' => Some('1'),
            '²' => Some('2'),
            '³' => Some('3'),
            '⁴'..='⁹' => char::from_u32(u32::from(c) - 0x2070 + u32::from('0')),
            '⁻' => Some('-'),
            _ => None,
        };
        // A raised digit after a ten is a power; after a letter it belongs to a unit.
        let after_digit = out.ends_with(|c: char| c.is_ascii_digit());
        match up {
            Some(digit) if raised || after_digit => {
                if !raised {
                    out.push('^');
                }
                raised = true;
                out.push(digit);
                continue;
            }
            _ => raised = false,
        }
        match c {
            '\u{a0}' | '\u{202f}' | '\u{2009}' | '\t' | '\n' | '\r' => out.push(' '),
            '−' | '–' | '—' => out.push('-'),
            '×' | '·' | '⋅' => out.push('×'),
            '’' | '‘' => out.push('\''),
            _ => out.push(c),
        }
    }
    out
}

/// Without `m =`, `about`, `~` and the like before the number.
fn without_lead(text: &str) -> &str {
    let mut text = text.rsplit_once('=').map_or(text, |(_, after)| after).trim_start();
    loop {
        let lower = text.to_lowercase();
        let lead = ["about", "approx.", "approximately", "approx", "ca.", "ca", "circa", "~", "≈"];
        let Some(found) = lead.iter().find(|lead| lower.starts_with(**lead)) else { return text };
        // The words are plain letters, so their length is the same in both.
        text = text.get(found.len()..).unwrap_or("").trim_start();
    }
}

/// The number at the start, and what stands behind it.
fn split(text: &str) -> (&str, &str) {
    let bytes = text.as_bytes();
    let digit = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
    let mut at = usize::from(matches!(bytes.first(), Some(b'-' | b'+')));
    if at == 1 && bytes.get(1) == Some(&b' ') {
        at = 2;
    }
    while at < bytes.len() {
        let next = match bytes[at] {
            b'0'..=b'9' | b'.' | b',' => at + 1,
            // Between groups of digits, and before the second part of a mixed fraction.
            b' ' | b'\'' if digit(at + 1) && at > 0 && digit(at - 1) => at + 1,
            b'/' if digit(at.wrapping_sub(1)) && digit(at + 1) => at + 1,
            b' ' if bytes[at..].starts_with(b" / ") && digit(at + 3) && digit(at - 1) => at + 3,
            _ => break,
        };
        at = next;
    }
    let power = power_length(&text[at..]);
    text.split_at(at + power)
}

/// The length of ` x 10^3`, `e3`, `*10**-3` at the start of a text.
fn power_length(text: &str) -> usize {
    let tail = text.trim_start();
    let skipped = text.len() - tail.len();
    let whole = |text: &str| {
        let sign = usize::from(text.starts_with(['-', '+']));
        let digits = text[sign..].bytes().take_while(u8::is_ascii_digit).count();
        if digits > 0 { sign + digits } else { 0 }
    };
    if skipped == 0 && tail.starts_with(['e', 'E']) {
        let digits = whole(&tail[1..]);
        return if digits > 0 { 1 + digits } else { 0 };
    }
    let Some(times) = tail.chars().next().filter(|c| matches!(c, 'x' | 'X' | '×' | '*')) else {
        return 0;
    };
    let after = &tail[times.len_utf8()..];
    let ten = after.trim_start();
    let Some(raised) = ten.strip_prefix("10") else { return 0 };
    let power = raised.trim_start_matches(['^', '*', ' ']);
    let digits = whole(power);
    if digits == 0 { 0 } else { text.len() - power.len() + digits }
}

/// The value and figures of a number's own text.
fn body_of(body: &str, mark: Option<Mark>) -> Result<Given, Not> {
    let split = body.find(['x', 'X', '×', '*', 'e', 'E']);
    let (mantissa, power) = match split {
        Some(at) => (body[..at].trim(), exponent(&body[at..]).ok_or(Not::Unread)?),
        None => (body.trim(), 0),
    };
    let negative = mantissa.starts_with('-');
    let digits = mantissa.trim_start_matches(['-', '+']).trim();
    if digits.contains('/') {
        return fraction(digits, negative).filter(|_| power == 0).ok_or(Not::Unread);
    }
    let (digits, shows) = one_mark(digits, mark)?;
    let point = digits.find('.');
    let places = point.map_or(0, |at| (digits.len() - at - 1) as i32);
    let value: f64 = format!("{digits}e{power}").parse().map_err(|_| Not::Unread)?;
    let significant = digits.trim_start_matches(['0', '.']).chars().filter(char::is_ascii_digit);
    let typed = significant.count() as u32;
    // The noughts that close a whole number may only hold its place.
    let idle = if point.is_none() && power == 0 {
        digits.bytes().rev().take_while(|b| *b == b'0').count() as u32
    } else {
        0
    };
    Ok(Given {
        value: if negative { -value } else { value },
        figures: Some(typed.saturating_sub(idle).max(1)),
        last_place: power - places,
        unit: None,
        rest: String::new(),
        shows,
    })
}

fn exponent(text: &str) -> Option<i32> {
    let text = text.trim_start_matches(['x', 'X', '×', '*', 'e', 'E', ' ']);
    // After `e` the power stands at once, after a ten behind its sign.
    let power = text.strip_prefix("10").filter(|rest| rest.starts_with(['^', '*', ' ', '-']));
    let power = power.unwrap_or(text).trim_start_matches(['^', '*', ' ']);
    power.parse().ok().filter(|p: &i32| p.abs() <= 400)
}

/// `3/4`, `1 1/2`.
fn fraction(text: &str, negative: bool) -> Option<Given> {
    let (above, below) = text.split_once('/')?;
    let below: f64 = below.trim().parse().ok().filter(|b: &f64| *b != 0.0)?;
    let mut words = above.split_whitespace();
    let (first, second) = (words.next()?, words.next());
    let whole =
        |text: &str| text.bytes().all(|b| b.is_ascii_digit()).then(|| text.parse::<f64>().ok());
    let first = whole(first)??;
    let value = match second {
        Some(second) => first + whole(second)?? / below,
        None => first / below,
    };
    words.next().is_none().then_some(Given {
        value: if negative { -value } else { value },
        figures: None,
        last_place: 0,
        unit: None,
        rest: String::new(),
        shows: None,
    })
}

/// The digits with a point before the decimals and nothing between thousands.
fn one_mark(text: &str, mark: Option<Mark>) -> Result<(String, Option<Mark>), Not> {
    let grouped = |text: &str, sign: char| {
        let groups: Vec<&str> = text.split(sign).collect();
        groups.len() > 1
            && (1..=3).contains(&groups[0].len())
            && groups[1..].iter().all(|group| group.len() == 3)
            && !text.starts_with('0')
    };
    let mut text = text.to_owned();
    for blank in [' ', '\''] {
        if text.contains(blank) {
            let end = text.find(['.', ',']).unwrap_or(text.len());
            // Groups of three, on both sides of the mark where blanks stand there too.
            let after: Vec<&str> =
                text[end..].trim_start_matches(['.', ',']).split(blank).collect();
            let fine = after.len() < 2 || after[..after.len() - 1].iter().all(|g| g.len() == 3);
            let before = !text[..end].contains(blank) || grouped(&text[..end], blank);
            if !(fine && before) {
                return Err(Not::Unread);
            }
            text = text.replace(blank, "");
        }
    }
    let (points, commas) = (text.matches('.').count(), text.matches(',').count());
    let digits_only = |text: &str| text.bytes().all(|b| b.is_ascii_digit());
    let decimal = |text: &str, sign: char| {
        let (whole, part) = text.split_once(sign)?;
        (digits_only(whole) && digits_only(part) && !(whole.is_empty() && part.is_empty()))
            .then(|| format!("{}.{part}", if whole.is_empty() { "0" } else { whole }))
    };
    let made = |digits: Option<String>, shows: Option<Mark>| {
        digits.map(|digits| (digits, shows)).ok_or(Not::Unread)
    };
    match (points, commas) {
        (0, 0) => made(Some(text.clone()).filter(|t| digits_only(t)), None),
        // Both: the last one is the decimal mark, the other stands between thousands.
        (1, _) if commas > 0 && text.rfind('.') > text.rfind(',') => {
            let (whole, part) = text.split_once('.').unwrap_or((&text, ""));
            let digits = format!("{}.{part}", whole.replace(',', ""));
            made(Some(digits).filter(|_| grouped(whole, ',')), Some(Mark::Point))
        }
        (_, 1) if points > 0 && text.rfind(',') > text.rfind('.') => {
            let (whole, part) = text.split_once(',').unwrap_or((&text, ""));
            let digits = format!("{}.{part}", whole.replace('.', ""));
            made(Some(digits).filter(|_| grouped(whole, '.')), Some(Mark::Comma))
        }
        (1, 0) | (0, 1) => {
            let sign = if points == 1 { '.' } else { ',' };
            let own = if points == 1 { Mark::Point } else { Mark::Comma };
            let as_decimal = decimal(&text, sign);
            if !grouped(&text, sign) {
                return made(as_decimal, Some(own));
            }
            match mark {
                Some(known) if known == own => made(as_decimal, None),
                Some(_) => made(Some(text.replace(sign, "")), None),
                // A point is the mark of this program's own sheets.
                None if own == Mark::Point => made(as_decimal, None),
                None => Err(Not::Ambiguous {
                    less: as_decimal.ok_or(Not::Unread)?,
                    more: text.replace(sign, ""),
                }),
            }
        }
        // Several of one sign stand between thousands.
        (0, _) => {
            made(Some(text.replace(',', "")).filter(|_| grouped(&text, ',')), Some(Mark::Point))
        }
        (_, 0) => {
            made(Some(text.replace('.', "")).filter(|_| grouped(&text, '.')), Some(Mark::Comma))
        }
        _ => Err(Not::Unread),
    }
}

/// The unit that stands behind a number, and what else.
fn unit_of(text: &str) -> Result<(Option<Unit>, String), Not> {
    if text.is_empty() {
        return Ok((None, String::new()));
    }
    // Two numbers in one cell cannot both be the answer.
    if text.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | '(' | '/' | '×')) {
        return Err(Not::Unread);
    }
    let tidy = text.replace("^", "");
    for spelling in [text, tidy.as_str(), &text.to_lowercase()] {
        if let Ok(unit) = Unit::parse(spelling) {
            return Ok((Some(unit), String::new()));
        }
    }
    let (first, words) = text.split_once(' ').unwrap_or((text, ""));
    match Unit::parse(first) {
        Ok(unit) if !words.is_empty() => Ok((Some(unit), words.trim().to_owned())),
        // Further digits, or half a bracket, may belong to the number.
        _ if text.contains(|c: char| c.is_ascii_digit() || matches!(c, '[' | ']')) => {
            Err(Not::Unread)
        }
        _ => Ok((None, text.to_owned())),
    }
}

/// What a spreadsheet makes of 3/4: a month's name, or day, month and year.
fn is_date(text: &str) -> bool {
    const MONTHS: [&str; 12] =
        ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];
    let lower = text.to_lowercase();
    let words: Vec<&str> =
        lower.split(['-', '/', '.', ' ', ':', 't']).filter(|word| !word.is_empty()).collect();
    let number = |word: &str| word.bytes().all(|b| b.is_ascii_digit());
    let months =
        words.iter().filter(|w| MONTHS.iter().any(|m| w.starts_with(m) && w.len() <= 9)).count();
    if months == 1 && (2..=3).contains(&words.len()) {
        return words.iter().filter(|word| number(word)).count() == words.len() - 1;
    }
    let signs = |sign: char| text.matches(sign).count() == 2;
    let three: Vec<&str> = ['-', '/', '.']
        .into_iter()
        .find(|sign| signs(*sign))
        .map(|sign| text.split(' ').next().unwrap_or("").split(sign).collect())
        .unwrap_or_default();
    if let [a, b, c] = three.as_slice() {
        let fine = number(a) && number(b) && number(c) && !a.is_empty() && !b.is_empty();
        let short = |word: &str| (1..=2).contains(&word.len());
        return fine
            && ((a.len() == 4 && short(b) && short(c))
                || (short(a) && short(b) && matches!(c.len(), 2 | 4)));
    }
    false
}
