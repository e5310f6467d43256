//! The phrases of `given:`: what is known of a stream.
//!
//! Takes `stream: {key: phrase}`; gives facts with places. Knows the phrases
//! (`55 % of wet`, `0.08 kg per kg dry_air`, `saturated at warm`), not whether the
//! names in them exist.

use super::desk::{Desk, Fields};
use super::excerpt::Excerpt;
use super::parsed::{Fact, FactValue, Placed, StreamFacts, Text};
use super::words::RESERVED;
use super::yaml::{Entry, Node, NodeKind, short};
use crate::balance::problem::is_stage;
use crate::diag::{Code, Span, Surety};
use crate::quantity::formula::{self, Operator};
use crate::quantity::{Formula, Number, Typed, Unit, round_figures};

/// Keys of facts that are words of the language, not names.
const OWN_KEYS: &[&str] =
    &["total", "volume", "density", "is", "rest", "others", "solids", "liquor"];

/// The `given` of a question or a process.
pub(super) fn given(desk: &mut Desk, fields: &Fields) -> Vec<StreamFacts> {
    let Some(entry) = fields.get("given") else { return Vec::new() };
    let Some(entries) = desk.entries(&entry.value, "list of facts", entry.key.span) else {
        return Vec::new();
    };
    entries.iter().filter_map(|entry| stream_facts(desk, entry)).collect()
}

fn stream_facts(desk: &mut Desk, entry: &Entry) -> Option<StreamFacts> {
    let (stream, part) = stream_and_part(desk, &entry.key.text, entry.key.span);
    if let NodeKind::Scalar(scalar) = &entry.value.kind {
        let phrase = scalar.text.text();
        let made = format!("{{total: {phrase}}}");
        let finding = desk
            .finding(
                Code::TextForMap,
                entry.value.span,
                "What is known of a stream is written as `{key: value}`.",
            )
            .found(entry.value.says())
            .expected("keys such as `total` or a component's name")
            .next("say what the value is: the total, or the share of a component")
            .mended(entry.value.span, &made, Surety::Likely);
        desk.say(finding);
        return None;
    }
    let entries = desk.entries(&entry.value, "stream", entry.key.span)?;
    let mut facts = Vec::new();
    for fact in entries {
        let key = Text::new(fact.key.text.clone(), fact.key.span);
        if !OWN_KEYS.contains(&key.value.as_str()) && !desk.check_name(&key, "a component") {
            continue;
        }
        let values: &[Node] = match &fact.value.kind {
            NodeKind::List(items) => items,
            _ => std::slice::from_ref(&fact.value),
        };
        for node in values {
            let Some(scalar) = desk.scalar(node, fact.key.span) else { continue };
            if let Some(value) = phrase(desk, &key, &scalar.text) {
                facts.push(Fact { key: key.clone(), value: Placed::new(value, node.span) });
            }
        }
    }
    Some(StreamFacts { stream, part, facts })
}

/// `curd` or `curd.liquor`.
fn stream_and_part(desk: &mut Desk, text: &str, span: Span) -> (Text, Option<Text>) {
    let Some((stream, part)) = text.split_once('.') else {
        let stream = Text::new(text.to_owned(), span);
        desk.check_name(&stream, "a stream");
        return (stream, None);
    };
    let dot = span.start + stream.len();
    let stream = Text::new(stream.to_owned(), Span::new(span.start, dot));
    desk.check_name(&stream, "a stream");
    let part = Text::new(part.to_owned(), Span::new(dot + 1, span.end));
    let (stage, inner) = part.value.split_once('.').unwrap_or((&part.value, "liquor"));
    let staged = is_stage(stage) && matches!(inner, "solids" | "liquor");
    if !matches!(part.value.as_str(), "solids" | "liquor") && !staged {
        let finding = desk
            .finding(
                Code::BadFact,
                part.span,
                "Only the solids or the liquor of a stream are parts of it.",
            )
            .found(format!("`{}`", part.value))
            .expected("`solids` or `liquor` after the point")
            .next(format!(
                "write `{}: {{{}: ...}}` for what the stream holds",
                stream.value, part.value
            ));
        desk.say(finding);
    }
    (stream, Some(part))
}

fn phrase(desk: &mut Desk, key: &Text, text: &Excerpt) -> Option<FactValue> {
    let all = text.text().trim_end();
    let start = all.len() - all.trim_start().len();
    let all = &all[start..];
    if let Some(before) = all.strip_suffix("each stage")
        && before.ends_with(char::is_whitespace)
    {
        let value = phrase(desk, key, &text.part(start..start + before.trim_end().len()))?;
        return Some(FactValue::EachStage(Box::new(value)));
    }
    let piece = |from: usize, to: usize| text.part(start + from..start + to);
    let name = |from: usize| {
        let word = all[from..].trim_start();
        let at = all.len() - word.len();
        Text::new(word.to_owned(), text.span(start + at..start + all.len()))
    };
    match key.value.as_str() {
        "is" => {
            return match all.strip_prefix("pure ") {
                Some(_) => name_of(desk, name("pure ".len()), "a component").map(FactValue::Pure),
                None => bad(
                    desk,
                    text,
                    "`is` says that a stream is one pure component.",
                    "`is: pure water`",
                ),
            };
        }
        "rest" => {
            if all == "none" {
                return bad(
                    desk,
                    text,
                    "`rest` names the component that makes up the rest.",
                    "`rest: water`, or `others: none`",
                );
            }
            return name_of(desk, name(0), "a component").map(FactValue::Name);
        }
        "others" => {
            return if all == "none" {
                Some(FactValue::Name(name(0)))
            } else {
                bad(desk, text, "`others` can only be `none`.", "`others: none`, or `rest: water`")
            };
        }
        _ => {}
    }
    if all == "none" {
        return Some(FactValue::None);
    }
    if matches!(all, "same as" | "saturated at") {
        return bad(
            desk,
            text,
            "This phrase stops too early.",
            "`same as curd`, or `saturated at 20 degC`",
        );
    }
    if all.starts_with("saturated at ") {
        let at = desk.formula(&piece("saturated at ".len(), all.len()))?;
        return Some(FactValue::SaturatedAt(at.value));
    }
    if all.starts_with("same as ") {
        return stream_of(desk, name("same as ".len())).map(FactValue::SameAs);
    }
    if let Some(per) = all.find(" per ") {
        return per_phrase(desk, text, start, per, all);
    }
    if let Some(of) = all.rfind(" of ") {
        let share = desk.formula(&piece(0, of));
        let stream = stream_of(desk, name(of + " of ".len()));
        return Some(FactValue::ShareOf { share: share?.value, stream: stream? });
    }
    desk.formula(&piece(0, all.len())).map(|f| FactValue::Amount(f.value))
}

fn bad(desk: &mut Desk, text: &Excerpt, message: &str, expected: &str) -> Option<FactValue> {
    let finding = desk
        .finding(Code::BadFact, text.whole(), message)
        .found(format!("`{}`", short(text.text())))
        .expected(expected)
        .next("write it in one of these ways");
    desk.say(finding);
    None
}

/// A name in a phrase, checked for its signs only.
fn name_of(desk: &mut Desk, name: Text, what: &str) -> Option<Text> {
    let part = matches!(name.value.as_str(), "solids" | "liquor");
    (part || desk.check_name(&name, what)).then_some(name)
}

/// A stream or a part of one.
fn stream_of(desk: &mut Desk, name: Text) -> Option<Text> {
    let word = |w: &str| {
        w.starts_with(|c: char| c.is_ascii_alphabetic())
            && w.chars().all(|c| c.is_ascii_alphanumeric() || c == '_')
    };
    let mut words = name.value.split('.');
    let first = words.next().unwrap_or("");
    let plain = word(first) && !RESERVED.contains(&first);
    if plain && name.value.contains('.') && words.all(word) {
        return Some(name);
    }
    desk.check_name(&name, "a stream").then_some(name)
}

/// `RATIO per [NUMBER UNIT] BASE`.
fn per_phrase(
    desk: &mut Desk,
    text: &Excerpt,
    start: usize,
    per: usize,
    all: &str,
) -> Option<FactValue> {
    let left = desk.formula(&text.part(start..start + per));
    let from = per + " per ".len();
    let right = &all[from..];
    let base_at = right.trim_end().rfind(char::is_whitespace).map_or(0, |n| n + 1);
    let base = Text::new(
        right[base_at..].trim().to_owned(),
        text.span(start + from + base_at..start + all.len()),
    );
    let base = name_of(desk, base, "a component");
    let amount = right[..base_at].trim();
    let lead = right.len() - right.trim_start().len();
    let divisor = if amount.is_empty() {
        None
    } else {
        // `per kg` means for each one.
        let counted = amount.starts_with(|c: char| c.is_ascii_digit());
        let written = if counted { amount.to_owned() } else { format!("1 {amount}") };
        let skip = written.len() - amount.len();
        match Typed::parse(&written) {
            Ok(mut typed) => {
                if !counted {
                    typed.number = Number::exact(1);
                }
                Some(typed)
            }
            Err(error) => {
                let at = error.at();
                let span = start + from + lead + at.start.saturating_sub(skip)
                    ..start + from + lead + at.end.saturating_sub(skip);
                let finding = desk
                    .finding(
                        Code::BadFact,
                        text.span(span),
                        "What stands after `per` is a unit and the name of a component.",
                    )
                    .found(format!("`{}`", short(right)))
                    .expected("`0.08 kg per kg dry_air`, or `320 % per dry_matter`")
                    .next("write the unit, then the component's name with underscores");
                desk.say(finding);
                return None;
            }
        }
    };
    let (left, base) = (left?.value, base?);
    let ratio = match divisor {
        None => left,
        Some(typed) => {
            let span = text.span(start + from + lead..start + from + lead + amount.len());
            over(left, typed, span)
        }
    };
    Some(FactValue::Per { ratio, base })
}

/// A formula over an amount with unit: one plain number where both are written out
/// in units of one kind and the result has the figures typed.
fn over(left: Formula, divisor: Typed, span: Span) -> Formula {
    if let Some(typed) = left.as_typed()
        && typed.unit.dimension() == divisor.unit.dimension()
        && let Some(number) = plain_ratio(typed, &divisor)
    {
        let kind = formula::NodeKind::Number(Typed { number, unit: Unit::none() });
        return Formula { root: formula::Node { span: left.span(), kind } };
    }
    let whole = left.span().to(span);
    let right = formula::Node { span, kind: formula::NodeKind::Number(divisor) };
    Formula {
        root: formula::Node {
            span: whole,
            kind: formula::NodeKind::Binary {
                op: Operator::Divide,
                left: Box::new(left.root),
                right: Box::new(right),
            },
        },
    }
}

fn plain_ratio(typed: &Typed, divisor: &Typed) -> Option<Number> {
    if typed.unit.text() == divisor.unit.text() && divisor.number.value == 1.0 {
        return Some(typed.number.clone());
    }
    let value = typed.si() / divisor.si();
    let rounded = round_figures(value, typed.number.figures.min(12));
    let number = Number::parse(&rounded.digits).ok()?;
    ((number.value - value).abs() <= 1e-12 * value.abs()).then_some(number)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::{Diagnostics, SourceFile};

    /// The value that `salt: PHRASE` has, or what was found wrong with it.
    fn read(phrase: &str) -> Result<FactValue, String> {
        let file = SourceFile::new("u.md", phrase);
        let mut out = Diagnostics::new();
        let mut desk = Desk::new(&file, &mut out);
        let key = Text::new("salt".into(), Span::default());
        let value = super::phrase(&mut desk, &key, &Excerpt::of(&file, 0..phrase.len()));
        value.ok_or_else(|| out.iter().map(|d| d.code.text()).collect())
    }

    fn ratio(phrase: &str) -> (f64, String) {
        match read(phrase) {
            Ok(FactValue::Per { ratio, base }) => {
                let typed = ratio.as_typed().expect("written out");
                (typed.si(), base.value)
            }
            other => panic!("{phrase}: {other:?}"),
        }
    }

    #[test]
    fn a_ratio_written_out_is_one_plain_number() {
        assert_eq!(ratio("0.08 kg per kg dry_air"), (0.08, "dry_air".into()));
        assert_eq!(ratio("21.5 g per 100 g water"), (0.215, "water".into()));
        assert_eq!(ratio("320 % per dry_matter"), (3.2, "dry_matter".into()));
        assert_eq!(ratio("80 g per kg liquor"), (0.08, "liquor".into()));
        // A named value keeps its unit: it is divided by the one after `per`.
        let Ok(FactValue::Per { ratio, .. }) = read("damp per kg dry_air") else { panic!() };
        assert!(matches!(ratio.root.kind, formula::NodeKind::Binary { op: Operator::Divide, .. }));
    }

    #[test]
    fn each_phrase_is_told_apart() {
        assert!(
            matches!(read("55 % of wet"), Ok(FactValue::ShareOf { stream, .. }) if stream.value == "wet")
        );
        assert!(matches!(read("taken of wet.liquor"), Ok(FactValue::ShareOf { .. })));
        assert!(matches!(read("saturated at 100 degC"), Ok(FactValue::SaturatedAt(_))));
        assert!(matches!(read("same as curd"), Ok(FactValue::SameAs(s)) if s.value == "curd"));
        assert!(matches!(read("none"), Ok(FactValue::None)));
        assert!(matches!(read("0.95 * batch"), Ok(FactValue::Amount(_))));
        assert!(matches!(read("1/3"), Ok(FactValue::Amount(_))));
    }

    #[test]
    fn a_phrase_cut_short_is_a_finding() {
        for phrase in ["same as", "saturated at", "55 % of", "2 kg per", "2 kg per kg 3"] {
            assert!(read(phrase).is_err(), "{phrase}");
        }
    }
}
