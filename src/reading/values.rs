//! The phrases of `values:`: what a question's numbers are drawn from.
//!
//! `200 to 800 kg, step 50` · `one of 4.0, 5.0, 8.0 %` · `one of alum, potash` ·
//! `3 g` · `= brine / 4`. Takes a text with places; figures are read from the
//! text. Draws nothing.

use super::desk::Desk;
use super::excerpt::Excerpt;
use super::parsed::{Placed, Text, ValueKind, ValueLine};
use super::yaml::{Entry, NodeKind, short};
use crate::diag::{Code, Span, Surety};
use crate::quantity::{Formula, Number, Typed, Unit};

/// The lines of a `values` map.
pub(super) fn values(desk: &mut Desk, entry: &Entry) -> Vec<ValueLine> {
    let Some(entries) = desk.entries(&entry.value, "list of values", entry.key.span) else {
        return Vec::new();
    };
    entries.iter().filter_map(|line| value_line(desk, line)).collect()
}

fn value_line(desk: &mut Desk, line: &Entry) -> Option<ValueLine> {
    let name = Text::new(line.key.text.clone(), line.key.span);
    desk.check_name(&name, "a value");
    if let NodeKind::List(items) = &line.value.kind {
        let words: Vec<&str> = items.iter().map(|i| desk.file.slice(i.span)).collect();
        let made = format!("one of {}", words.join(", "));
        let finding = desk
            .finding(Code::BadValue, line.value.span, "A choice of values begins with `one of`.")
            .found("a list")
            .expected("`one of 4.0, 5.0, 8.0 %`")
            .next("write `one of`, the values with commas, and the unit once")
            .mended(line.value.span, &made, Surety::Sure);
        desk.say(finding);
        return None;
    }
    let scalar = desk.scalar(&line.value, line.key.span)?;
    let value = value(desk, &scalar.text)?;
    Some(ValueLine { name, value: Placed::new(value, line.value.span) })
}

fn value(desk: &mut Desk, text: &Excerpt) -> Option<ValueKind> {
    let all = text.text();
    let trimmed = all.trim_start();
    let start = all.len() - trimmed.len();
    if let Some(rest) = trimmed.strip_prefix('=') {
        let part = text.part(all.len() - rest.len()..all.len());
        return desk.formula(&part).map(|f| ValueKind::Derived(f.value));
    }
    if let Some(rest) = after_word(trimmed, "one of") {
        return one_of(desk, text, all.len() - rest.len());
    }
    if let Some(to) = word_at(all, "to") {
        return range(desk, text, start, to);
    }
    match Typed::parse(all) {
        Ok(typed) => Some(ValueKind::Constant(typed)),
        Err(error) => {
            let algebra = Formula::parse(all, |offset| text.at(offset));
            if let Ok(formula) = algebra
                && formula.names().next().is_some()
            {
                let finding = if formula.as_name().is_some() {
                    desk.finding(Code::BadValue, text.whole(), "This value is a word alone.")
                        .expected("a number with its unit, a choice of words, or `=` and algebra")
                        .next(format!(
                            "write `= {all}` if it is the name of a value, or `one of {all}, ...`"
                        ))
                } else {
                    desk.finding(
                        Code::BadValue,
                        text.whole(),
                        "A value that is worked out begins with `=`.",
                    )
                    .expected("`= ` before the algebra")
                    .next("put `= ` before it")
                    .mended(text.whole(), &format!("= {all}"), Surety::Sure)
                };
                let finding = finding.found(format!("`{}`", short(all)));
                desk.say(finding);
            } else {
                desk.bad_typed(text, 0, error);
            }
            None
        }
    }
}

/// What follows a phrase at the beginning of a text.
fn after_word<'a>(text: &'a str, phrase: &str) -> Option<&'a str> {
    text.strip_prefix(phrase).filter(|rest| rest.is_empty() || rest.starts_with(' '))
}

/// Where a word stands by itself.
fn word_at(text: &str, word: &str) -> Option<usize> {
    text.match_indices(word).map(|(n, _)| n).find(|n| {
        let before = text[..*n].chars().next_back();
        let after = text[n + word.len()..].chars().next();
        before.is_none_or(char::is_whitespace) && after.is_none_or(char::is_whitespace)
    })
}

/// `4.0, 5.0, 8.0 %` or `alum, potash` after `one of`.
fn one_of(desk: &mut Desk, text: &Excerpt, from: usize) -> Option<ValueKind> {
    let all = text.text();
    let mut parts = Vec::new();
    let mut at = from;
    for part in all[from..].split(',') {
        let lead = part.len() - part.trim_start().len();
        parts.push((at + lead, part.trim()));
        at += part.len() + 1;
    }
    if parts.iter().any(|(_, part)| part.is_empty()) {
        let (at, _) = parts.iter().find(|(_, part)| part.is_empty()).copied().unwrap_or((from, ""));
        let finding = desk
            .finding(Code::BadValue, text.span(at..at), "A choice is missing here.")
            .found("nothing between two commas")
            .expected("`one of 4.0, 5.0, 8.0 %`")
            .next("write the choice, or take the comma out");
        desk.say(finding);
        return None;
    }
    let is_number =
        |part: &str| part.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | '.'));
    if !parts.iter().any(|(_, part)| is_number(part)) {
        return Some(ValueKind::Words(parts.iter().map(|(_, part)| (*part).to_owned()).collect()));
    }
    let (last_at, last) = *parts.last()?;
    let (number, unit) = match Typed::parse(last) {
        Ok(typed) => (typed.number, typed.unit),
        Err(error) => {
            desk.bad_typed(text, last_at, error);
            return None;
        }
    };
    let mut numbers = Vec::new();
    for (at, part) in &parts[..parts.len() - 1] {
        numbers.push(number_in(desk, text, *at, part, &unit)?);
    }
    numbers.push(number);
    for (n, number) in numbers.iter().enumerate() {
        if numbers[..n].iter().any(|other| other.value == number.value) {
            let (at, part) = parts[n];
            let finding = desk
                .finding(
                    Code::BadValue,
                    text.span(at..at + part.len()),
                    "This choice stands here twice.",
                )
                .found(format!("`{part}` again"))
                .expected("choices that differ")
                .next("take one of the two out");
            desk.say(finding);
        }
    }
    Some(ValueKind::OneOf { numbers, unit })
}

/// A number with no unit of its own, or with the same one.
fn number_in(
    desk: &mut Desk,
    text: &Excerpt,
    at: usize,
    part: &str,
    unit: &Unit,
) -> Option<Number> {
    match Typed::parse(part) {
        Ok(typed) if typed.unit.is_none() || typed.unit.text() == unit.text() => Some(typed.number),
        Ok(typed) => {
            let finding = desk
                .finding(
                    Code::BadValue,
                    text.span(at..at + part.len()),
                    "The values of one line have one unit, written once after the last.",
                )
                .found(format!("`{}` beside `{}`", typed.unit.text(), unit.text()))
                .expected("one unit")
                .next("write the unit once, after the last number");
            desk.say(finding);
            None
        }
        Err(error) => {
            desk.bad_typed(text, at, error);
            None
        }
    }
}

/// `200 to 800 kg, step 50`; `to` is where the word stands.
fn range(desk: &mut Desk, text: &Excerpt, start: usize, to: usize) -> Option<ValueKind> {
    let all = text.text();
    let after = to + "to".len();
    let Some(step_word) = word_at(&all[after..], "step").map(|n| after + n) else {
        let end = all.trim_end().len();
        let finding = desk
            .finding(Code::BadValue, text.span(start..end), "A range needs a step.")
            .found(format!("`{}`", short(all)))
            .expected("`200 to 800 kg, step 50`")
            .next("write `, step` and how far apart the values stand");
        desk.say(finding);
        return None;
    };
    let upper = all[after..step_word].trim_end().trim_end_matches(',');
    let upper_at = after + (upper.len() - upper.trim_start().len());
    let typed = match Typed::parse(upper.trim()) {
        Ok(typed) => typed,
        Err(error) => {
            desk.bad_typed(text, upper_at, error);
            return None;
        }
    };
    let unit = typed.unit;
    let from = number_in(desk, text, start, all[start..to].trim(), &unit)?;
    let step_part = &all[step_word + "step".len()..];
    let step_at = all.len() - step_part.trim_start().len();
    let step = number_in(desk, text, step_at, step_part.trim(), &unit)?;
    let amiss = |desk: &mut Desk, span: Span, message: &str, expected: &str, next: &str| {
        let finding = desk
            .finding(Code::BadValue, span, message)
            .found(format!("`{}`", desk.file.slice(span)))
            .expected(expected)
            .next(next);
        desk.say(finding);
        None
    };
    let step_span = text.span(step_at..step_at + step_part.trim().len());
    if typed.number.value <= from.value {
        let span = text.span(start..upper_at + upper.trim().len());
        return amiss(
            desk,
            span,
            "A range goes from the smaller to the larger.",
            "the smaller first",
            "change the two about",
        );
    }
    if step.value <= 0.0 {
        return amiss(
            desk,
            step_span,
            "A step is above zero.",
            "a number above zero",
            "write how far apart the values stand",
        );
    }
    if step.value > typed.number.value - from.value {
        return amiss(
            desk,
            step_span,
            "The step is longer than the range.",
            "a step that fits into the range",
            "write a smaller step",
        );
    }
    Some(ValueKind::Range { from, to: typed.number, step, unit })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::{Diagnostics, SourceFile};

    fn read(phrase: &str) -> Option<ValueKind> {
        let file = SourceFile::new("u.md", phrase);
        let mut out = Diagnostics::new();
        let mut desk = Desk::new(&file, &mut out);
        let kind = value(&mut desk, &Excerpt::of(&file, 0..phrase.len()));
        assert_eq!(kind.is_none(), out.has_errors(), "{phrase}");
        kind
    }

    #[test]
    fn figures_are_those_of_the_text() {
        let Some(ValueKind::OneOf { numbers, unit }) = read("one of 4.0, 5.00, 8 %") else {
            panic!("no choice")
        };
        assert_eq!(numbers.iter().map(|n| n.figures).collect::<Vec<_>>(), [2, 3, 1]);
        assert_eq!(unit.text(), "%");
        let Some(ValueKind::Range { from, to, step, unit }) = read("200 to 800 kg, step 50") else {
            panic!("no range")
        };
        assert_eq!((from.value, to.value, step.value, unit.text()), (200.0, 800.0, 50.0, "kg"));
    }

    #[test]
    fn words_constants_and_algebra_are_told_apart() {
        assert!(
            matches!(read("one of alum, potash"), Some(ValueKind::Words(w)) if w == ["alum", "potash"])
        );
        assert!(matches!(read("3 g"), Some(ValueKind::Constant(t)) if t.unit.text() == "g"));
        assert!(matches!(read("= brine / 4"), Some(ValueKind::Derived(_))));
        for wrong in ["", "brine", "brine / 4", "4 to 2 kg, step 1", "one of", "3 furlongs"] {
            assert!(read(wrong).is_none(), "{wrong}");
        }
    }
}
