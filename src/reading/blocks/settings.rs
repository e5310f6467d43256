//! The settings of an operation: `distribution: 2.5 by mass ratio`, `stages: 4`.
//!
//! Takes an entry and what the catalogue says the key wants; gives its value with
//! places. Whether names in it exist, and what its numbers may be, is asked later.

use crate::balance::operations::{Setting, Wants};
use crate::diag::{Code, Span, Surety, nearest};
use crate::quantity::Formula;
use crate::reading::desk::Desk;
use crate::reading::excerpt::Excerpt;
use crate::reading::parsed::{Placed, PressureOf, RatioBasis, SettingValue, Text};
use crate::reading::words;
use crate::reading::yaml::{Entry, Node, NodeKind, short};

/// A setting's values: most have one, a list gives several.
pub(super) fn values(
    desk: &mut Desk,
    entry: &Entry,
    setting: &'static Setting,
) -> Vec<Placed<SettingValue>> {
    if setting.takes == Wants::Pressures {
        return pressures(desk, entry).into_iter().collect();
    }
    if let (Wants::Crystal, NodeKind::Map(_)) = (setting.takes, &entry.value.kind) {
        return crystal(desk, entry).into_iter().collect();
    }
    let nodes: &[Node] = match &entry.value.kind {
        NodeKind::List(items) if may_repeat(setting.takes) => items,
        _ => std::slice::from_ref(&entry.value),
    };
    let mut values = Vec::new();
    for node in nodes {
        let Some(scalar) = desk.scalar(node, entry.key.span) else { continue };
        let value = value(desk, setting, &scalar.text, node.span);
        values.extend(value.map(|value| Placed::new(value, node.span)));
    }
    values
}

fn may_repeat(wants: Wants) -> bool {
    matches!(
        wants,
        Wants::Rule
            | Wants::Ratio { .. }
            | Wants::Recovery { .. }
            | Wants::Rejection { .. }
            | Wants::Limit { .. }
    )
}

fn value(
    desk: &mut Desk,
    setting: &'static Setting,
    text: &Excerpt,
    span: Span,
) -> Option<SettingValue> {
    let word = || Text::new(text.text().trim().to_owned(), span);
    match setting.takes {
        Wants::Rule => Some(SettingValue::Word(word())),
        Wants::Flow => one_of(desk, setting, word(), &["cross-current", "counter-current"]),
        Wants::Equal => one_of(desk, setting, word(), &["equal"]),
        Wants::Count => count(desk, setting, &word()),
        Wants::Ratio { .. } => ratio(desk, setting, text),
        Wants::Recovery { .. }
        | Wants::Rejection { .. }
        | Wants::Displaced { .. }
        | Wants::Limit { .. } => share(desk, text),
        Wants::Volatility { .. } | Wants::BoilingDown { .. } => volatility(desk, setting, text),
        Wants::Crystal => Some(SettingValue::Crystal { formula: word(), molar_mass: None }),
        Wants::Temperature | Wants::Pressure => {
            desk.formula(text).map(|formula| SettingValue::Quantity(formula.value))
        }
        Wants::Pressures => None,
    }
}

/// Says what the setting takes where its value is not that.
fn bad(desk: &mut Desk, setting: &'static Setting, span: Span, found: &str) {
    let finding = desk
        .finding(Code::BadSetting, span, format!("`{}` does not take this.", setting.key))
        .found(format!("`{}`", short(found)))
        .expected(setting.says)
        .next("write it like this, with a number or a value's name");
    desk.say(finding);
}

fn one_of(
    desk: &mut Desk,
    setting: &'static Setting,
    word: Text,
    known: &'static [&'static str],
) -> Option<SettingValue> {
    if known.contains(&word.value.as_str()) {
        return Some(SettingValue::Word(word));
    }
    let mut finding = desk
        .finding(Code::BadSetting, word.span, format!("`{}` does not take this.", setting.key))
        .found(format!("`{}`", short(&word.value)))
        .expected(known.join(" or "));
    let near = nearest(&word.value, known.iter().copied()).or(known.first().copied());
    if let Some(near) = near {
        finding = finding.next(format!("write `{near}`, or leave the key out")).mended(
            word.span,
            near,
            Surety::Likely,
        );
    }
    desk.say(finding);
    None
}

/// More stages than any question follows step by step.
const MOST_STAGES: u32 = 12;

fn count(desk: &mut Desk, setting: &'static Setting, word: &Text) -> Option<SettingValue> {
    match word.value.parse::<u32>() {
        Ok(number) if (1..=MOST_STAGES).contains(&number) => {
            Some(SettingValue::Count(Placed::new(number, word.span)))
        }
        _ => {
            let finding = desk
                .finding(
                    Code::BadNumber,
                    word.span,
                    format!("`{}` takes a whole number from 1 to {MOST_STAGES}.", setting.key),
                )
                .found(format!("`{}`", short(&word.value)))
                .expected("a number such as 3")
                .next("write digits only, without a unit");
            desk.say(finding);
            None
        }
    }
}

/// `NUMBER by BASIS`, `NUMBER by BASIS of NAME`.
fn ratio(desk: &mut Desk, setting: &'static Setting, text: &Excerpt) -> Option<SettingValue> {
    let all = text.text();
    let Some(by) = all.find(" by ") else {
        bad(desk, setting, text.whole(), all);
        return None;
    };
    let number = desk.formula(&text.part(0..by))?.value;
    let from = by + " by ".len();
    let (basis, of) = match all[from..].find(" of ") {
        Some(at) => (from..from + at, Some(from + at + " of ".len()..all.len())),
        None => (from..all.len(), None),
    };
    let word = all[basis.clone()].trim();
    let Some(named) = RatioBasis::named(word) else {
        let known = || RatioBasis::NAMED.iter().map(|(name, _)| *name);
        let span = text.span(basis);
        let mut finding = desk
            .finding(Code::BadSetting, span, format!("`{word}` is no way to count a ratio."))
            .found(format!("`{}`", short(word)))
            .expected(known().collect::<Vec<_>>().join(", "));
        finding =
            finding.misspelt(span, nearest(word, known()), Surety::Sure, "choose one of these");
        desk.say(finding);
        return None;
    };
    let of = of.and_then(|range| name_in(desk, text, range));
    Some(SettingValue::Ratio { number, basis: Placed::new(named, text.span(basis)), of })
}

fn name_in(desk: &mut Desk, text: &Excerpt, range: std::ops::Range<usize>) -> Option<Text> {
    let word = &text.text()[range.clone()];
    let start = range.start + word.len() - word.trim_start().len();
    let end = start + word.trim().len();
    let name = Text::new(word.trim().to_owned(), text.span(start..end));
    desk.check_name(&name, "a component").then_some(name)
}

/// `95 %`, `95 % ethanol`, `taken ethanol`.
fn share(desk: &mut Desk, text: &Excerpt) -> Option<SettingValue> {
    let (number, of) = number_and_name(desk, text)?;
    Some(SettingValue::Share { number, of })
}

/// A formula, and the name behind it if there is one.
fn number_and_name(desk: &mut Desk, text: &Excerpt) -> Option<(Formula, Option<Text>)> {
    let all = text.text().trim_end();
    let lead = all.len() - all.trim_start().len();
    let split = all[lead..].rfind(char::is_whitespace).map(|at| lead + at);
    let name = split.filter(|at| {
        let word = &all[at + 1..];
        let before = all[..*at].trim_end();
        word.starts_with(|c: char| c.is_ascii_alphabetic())
            && word.chars().all(|c| c.is_ascii_alphanumeric() || c == '_')
            && !before.ends_with(['+', '-', '*', '/', '^', '('])
            && !is_unit_of(before, word)
    });
    let Some(at) = name else {
        return Some((desk.formula(text)?.value, None));
    };
    let before = all[..at].trim_end();
    let before = before.strip_suffix(" of").unwrap_or(before);
    let number = desk.formula(&text.part(0..before.len()))?.value;
    let name = name_in(desk, text, at + 1..all.len())?;
    Some((number, Some(name)))
}

/// `5 kg` ends with a unit, not with a name.
fn is_unit_of(before: &str, word: &str) -> bool {
    before.ends_with(|c: char| c.is_ascii_digit()) && crate::quantity::Unit::parse(word).is_ok()
}

/// `2.5 benzene to toluene`.
fn volatility(desk: &mut Desk, setting: &'static Setting, text: &Excerpt) -> Option<SettingValue> {
    let all = text.text();
    let Some(to) = all.find(" to ") else {
        bad(desk, setting, text.whole(), all);
        return None;
    };
    let (number, more) = number_and_name(desk, &text.part(0..to))?;
    let Some(more) = more else {
        bad(desk, setting, text.whole(), all);
        return None;
    };
    let less = name_in(desk, text, to + " to ".len()..all.len())?;
    Some(SettingValue::Volatility { number, more, less })
}

/// `{formula: MgSO4.7H2O, molar mass: 246.5 g/mol}`.
fn crystal(desk: &mut Desk, entry: &Entry) -> Option<Placed<SettingValue>> {
    let fields = desk.fields(&entry.value, &words::CRYSTAL, entry.key.span)?;
    let formula = desk.optional_text(&fields, "formula")?;
    let molar_mass = fields.get("molar mass").and_then(|e| desk.typed_at(e));
    Some(Placed::new(SettingValue::Crystal { formula, molar_mass }, entry.value.span))
}

/// `{water: from table, oil: the rest}`.
fn pressures(desk: &mut Desk, entry: &Entry) -> Option<Placed<SettingValue>> {
    let entries = desk.entries(&entry.value, "vapour pressure", entry.key.span)?;
    let mut found = Vec::new();
    for each in entries {
        let name = Text::new(each.key.text.clone(), each.key.span);
        if !desk.check_name(&name, "a component") {
            continue;
        }
        let Some(scalar) = desk.scalar(&each.value, each.key.span) else { continue };
        let of = match scalar.text.text().trim() {
            "from table" => PressureOf::Table,
            "the rest" | "rest" => PressureOf::Rest,
            _ => match desk.formula(&scalar.text) {
                Some(formula) => PressureOf::Given(formula.value),
                None => continue,
            },
        };
        found.push((name, Placed::new(of, each.value.span)));
    }
    Some(Placed::new(SettingValue::Pressures(found), entry.value.span))
}
