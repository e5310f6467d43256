//! Units and numbers as teachers type them.

#![allow(clippy::unwrap_used, reason = "a test stops where it fails")]

use proptest::prelude::*;
use stillroom::quantity::{
    Dimension, EXACT, Number, NumberRange, RangeError, Typed, Unit, UnitKind,
};

fn unit(text: &str) -> Unit {
    Unit::parse(text).unwrap_or_else(|e| panic!("{text}: {e}"))
}

fn number(text: &str) -> Number {
    Number::parse(text).unwrap()
}

#[test]
fn units_have_their_size_and_their_printed_form() {
    let per_time = Dimension::MASS / Dimension::TIME;
    let density = Dimension::MASS / Dimension::VOLUME;
    let speed = Dimension::LENGTH / Dimension::TIME;
    // Sizes: BIPM SI Brochure 9th edition; lb, atm, mmHg by definition.
    for (text, normal, printed, dimension, factor) in [
        ("kg", "kg", "kg", Dimension::MASS, 1.0),
        ("ug", "ug", "µg", Dimension::MASS, 1e-9),
        ("µg", "ug", "µg", Dimension::MASS, 1e-9),
        ("tonnes", "t", "t", Dimension::MASS, 1e3),
        ("lb", "lb", "lb", Dimension::MASS, 0.453_592_37),
        ("lbmol", "lbmol", "lbmol", Dimension::AMOUNT, 453.592_37),
        ("kmol", "kmol", "kmol", Dimension::AMOUNT, 1e3),
        ("ml", "mL", "mL", Dimension::VOLUME, 1e-6),
        ("litres", "L", "L", Dimension::VOLUME, 1e-3),
        ("cm3", "cm3", "cm³", Dimension::VOLUME, 1e-6),
        ("cm^3", "cm3", "cm³", Dimension::VOLUME, 1e-6),
        ("dm³", "dm3", "dm³", Dimension::VOLUME, 1e-3),
        ("m2", "m2", "m²", Dimension::AREA, 1.0),
        ("mm2", "mm2", "mm²", Dimension::AREA, 1e-6),
        ("hr", "h", "h", Dimension::TIME, 3600.0),
        ("days", "day", "day", Dimension::TIME, 86_400.0),
        ("kPa", "kPa", "kPa", Dimension::PRESSURE, 1e3),
        ("mm Hg", "mmHg", "mmHg", Dimension::PRESSURE, 133.322_387_415),
        ("atm", "atm", "atm", Dimension::PRESSURE, 101_325.0),
        ("%", "%", "%", Dimension::NONE, 0.01),
        ("per cent", "%", "%", Dimension::NONE, 0.01),
        ("mol%", "mol%", "mol%", Dimension::NONE, 0.01),
        ("ppm", "ppm", "ppm", Dimension::NONE, 1e-6),
        ("kg/h", "kg/h", "kg/h", per_time, 1.0 / 3600.0),
        ("kg per h", "kg/h", "kg/h", per_time, 1.0 / 3600.0),
        ("kg / hour", "kg/h", "kg/h", per_time, 1.0 / 3600.0),
        ("kg h^-1", "kg/h", "kg/h", per_time, 1.0 / 3600.0),
        ("t/day", "t/day", "t/day", per_time, 1000.0 / 86_400.0),
        ("mm/day", "mm/day", "mm/day", speed, 1e-3 / 86_400.0),
        ("g/dm3", "g/dm3", "g/dm³", density, 1.0),
        ("g/100 cm3", "g/100 cm3", "g/100 cm³", density, 10.0),
        ("kg/L", "kg/L", "kg/L", density, 1000.0),
        ("g/mol", "g/mol", "g/mol", Dimension::MASS / Dimension::AMOUNT, 1e-3),
        ("g/100 g water", "g/100 g water", "g/100 g water", Dimension::NONE, 0.01),
        ("g per 100g water", "g/100 g water", "g/100 g water", Dimension::NONE, 0.01),
        ("g/100g", "g/100 g", "g/100 g", Dimension::NONE, 0.01),
        ("kg/kg", "kg/kg", "kg/kg", Dimension::NONE, 1.0),
        ("kg/(m2 h)", "kg/(m2 h)", "kg/(m² h)", per_time / Dimension::AREA, 1.0 / 3600.0),
        ("kg/m2/h", "kg/(m2 h)", "kg/(m² h)", per_time / Dimension::AREA, 1.0 / 3600.0),
        ("1/h", "1/h", "1/h", Dimension::NONE / Dimension::TIME, 1.0 / 3600.0),
        ("degC", "degC", "°C", Dimension::TEMPERATURE, 1.0),
        ("°C", "degC", "°C", Dimension::TEMPERATURE, 1.0),
        ("degC/min", "degC/min", "°C/min", Dimension::TEMPERATURE / Dimension::TIME, 1.0 / 60.0),
        ("", "", "", Dimension::NONE, 1.0),
    ] {
        let found = unit(text);
        assert_eq!(found.text(), normal, "{text}");
        assert_eq!(found.print(), printed.replace(' ', "\u{202f}"), "{text}");
        assert_eq!(found.dimension(), dimension, "{text}");
        assert!((found.factor() / factor - 1.0).abs() < 1e-12, "{text}: {}", found.factor());
        // What is normalised, and what is printed, parses to the same unit.
        assert_eq!(unit(found.text()), found, "{text}");
        assert_eq!(unit(found.print()), found, "{text}");
    }
}

#[test]
fn every_listed_unit_parses_as_listed() {
    let listed = Unit::catalogue();
    for (label, texts) in &listed {
        let measured = unit(&texts[0]).dimension();
        let words = measured.words();
        let said = if measured.is_none() { "share" } else { words.split_once(' ').unwrap().1 };
        assert_eq!(said, *label);
        for text in texts {
            assert_eq!(unit(text).text(), text);
            assert_eq!(unit(text).dimension(), measured, "{text}");
        }
    }
    // All that the language promises is listed.
    let all: Vec<&str> = listed.iter().flat_map(|(_, t)| t.iter().map(String::as_str)).collect();
    for promised in "ug mg g kg t lb mol kmol lbmol mL L cm3 dm3 m3 s min h day K degC degF \
                     Pa kPa bar atm mmHg mm cm m % mol% ppm"
        .split_whitespace()
    {
        assert!(all.contains(&promised), "{promised}");
    }
}

#[test]
fn conversions_leave_no_stray_bits() {
    for (value, text, si) in [
        (35.0, "%", 0.35),
        (7.0, "%", 0.07),
        (2.9, "g", 0.0029),
        (3600.0, "kg/h", 1.0),
        (35.0, "g/L", 35.0),
        (34.2, "g/100 g water", 0.342),
        (3.0, "g/100 cm3", 30.0),
        (0.3, "mL", 0.3e-6),
    ] {
        assert_eq!(unit(text).to_si(value), si, "{value} {text}");
        assert!((unit(text).from_si(si) / value - 1.0).abs() < 1e-15, "{value} {text}");
    }
}

#[test]
fn kinds_tell_apart_what_dimensions_do_not() {
    for (text, kind) in [
        ("", UnitKind::None),
        ("%", UnitKind::Percent),
        ("mol%", UnitKind::MolePercent),
        ("ppm", UnitKind::Ppm),
        ("g/100 g water", UnitKind::PerHundred),
        ("g/100 g", UnitKind::PerHundred),
        ("g/100 cm3", UnitKind::Plain),
        ("degC", UnitKind::Temperature),
        ("K", UnitKind::Temperature),
        ("degC/min", UnitKind::Plain),
        ("kg", UnitKind::Plain),
        ("%/h", UnitKind::Plain),
    ] {
        assert_eq!(unit(text).kind(), kind, "{text}");
    }
    for (one, other, converts) in [
        ("kg", "t", true),
        ("kg", "kg/h", false),
        ("%", "", true),
        ("%", "ppm", true),
        ("%", "mol%", false),
        ("%", "g/100 g water", false),
        ("g/100 g water", "", false),
        ("g/100 g water", "kg/kg", true),
        ("degC", "K", true),
    ] {
        assert_eq!(unit(one).converts_to(&unit(other)), converts, "{one} {other}");
        assert_eq!(unit(other).converts_to(&unit(one)), converts, "{other} {one}");
    }
}

#[test]
fn units_are_equal_by_meaning() {
    for (one, other) in [
        ("cm3", "mL"),
        ("dm3", "L"),
        ("g/dm3", "kg/m3"),
        ("kg/h", "kg per hour"),
        ("L/h", "dm^3/hr"),
        ("Pa", "Pa"),
    ] {
        assert_eq!(unit(one), unit(other));
    }
    for (one, other) in [("%", "g/100 g"), ("degC", "K"), ("%", "mol%"), ("kg", "g"), ("", "kg/kg")]
    {
        assert_ne!(unit(one), unit(other), "{one} {other}");
    }
    assert_eq!(Unit::base(Dimension::MASS / Dimension::TIME), unit("kg/s"));
    assert_eq!(Unit::base(Dimension::NONE), Unit::none());
    assert_eq!(Unit::percent(), unit("%"));
}

#[test]
fn temperatures_are_readings_with_an_origin() {
    // t/degC = T/K - 273.15 exactly (SI Brochure 2.3.1); degF by definition.
    for (reading, text, kelvin) in [
        (20.0, "degC", 293.15),
        (-40.0, "degF", 233.15),
        (-40.0, "degC", 233.15),
        (212.0, "degF", 373.15),
        (300.0, "K", 300.0),
    ] {
        let found = unit(text).to_si(reading);
        assert!((found - kelvin).abs() < 1e-9, "{reading} {text}: {found}");
        assert!((unit(text).from_si(kelvin) - reading).abs() < 1e-9);
    }
    let rise = unit("degC").difference();
    assert_eq!(rise.to_si(5.0), 5.0);
    assert_eq!(rise.print(), "°C");
    assert_eq!(unit("degF").difference().to_si(9.0), 5.0);
}

#[test]
fn what_is_no_unit_is_pointed_at() {
    for (text, at, says, suggestion) in [
        ("Kg", 0..2, "`Kg` is not a unit", Some("kg")),
        ("kg/hour_", 7..8, "`_` does not belong in a unit", None),
        ("kg/hours of", 9..11, "`of` does not belong", None),
        ("kgg", 0..3, "is not a unit", Some("kg")),
        ("litrs", 0..5, "is not a unit", Some("L")),
        ("C", 0..1, "is not a unit", Some("degC")),
        ("cc", 0..2, "is not a unit", Some("cm3")),
        ("kg/H", 3..4, "is not a unit", Some("h")),
        ("kg/", 3..3, "a unit is missing", None),
        ("kg//h", 3..4, "is not a unit", None),
        ("kg/(m2 h", 8..8, "not closed", None),
        ("kg/m2 h", 6..7, "in brackets", None),
        ("kg3", 2..3, "cannot carry the power `3`", None),
        ("m99", 1..3, "cannot carry the power `99`", None),
        ("degC2", 4..5, "cannot carry the power", None),
        ("g/0 g", 2..3, "must be whole", None),
        ("g/100", 5..5, "a unit is missing", None),
        ("parsnips", 0..8, "is not a unit", None),
        ("x", 0..1, "is not a unit", None),
        ("5 kg", 0..1, "is not a unit", None),
        ("kg of brine", 3..5, "does not belong", None),
        ("größe", 0..7, "is not a unit", None),
        ("kpa", 0..3, "is not a unit", Some("kPa")),
    ] {
        let error = Unit::parse(text).unwrap_err();
        assert_eq!(error.at, at, "{text}: {error}");
        assert!(error.message.contains(says), "{text}: {error}");
        assert_eq!(error.suggestion.as_deref(), suggestion, "{text}");
        if let Some(better) = &error.suggestion {
            let mended = format!("{}{better}{}", &text[..at.start], &text[at.end..]);
            assert!(Unit::parse(&mended).is_ok(), "{mended}");
        }
    }
}

#[test]
fn numbers_keep_what_was_typed() {
    for (text, value, figures, places) in [
        ("400", 400.0, 3, 0),
        ("34.20", 34.2, 4, 2),
        ("0.050", 0.05, 2, 3),
        ("-7", -7.0, 1, 0),
        ("\u{2212}7.5", -7.5, 2, 1),
        ("+3", 3.0, 1, 0),
        ("6e4", 6e4, 1, 0),
        ("1.5e-3", 1.5e-3, 2, 4),
        ("1.000E3", 1000.0, 4, 0),
        ("0", 0.0, 1, 0),
        ("0.00", 0.0, 1, 2),
        ("007", 7.0, 1, 0),
        (".5", 0.5, 1, 1),
        ("400.", 400.0, 3, 0),
        (" 12 ", 12.0, 2, 0),
        ("1/3", 1.0 / 3.0, EXACT, 0),
        ("-1 / 4", -0.25, EXACT, 0),
    ] {
        let found = number(text);
        assert_eq!((found.value, found.figures, found.places), (value, figures, places), "{text}");
        assert_eq!(found.text, text.trim().replace('\u{2212}', "-").replace(" / ", "/"));
    }
}

#[test]
fn doubtful_numbers_are_refused_with_advice() {
    for (text, says, suggestion) in [
        ("1,234", "1234 or as 1.234", Some("1234")),
        ("1,5", "the decimal mark is a point", Some("1.5")),
        ("1,234,567", "has commas", Some("1234567")),
        ("1,234.5", "has commas", Some("1234.5")),
        ("NaN", "not a number", None),
        ("inf", "not a number", None),
        ("infinity", "not a number", None),
        ("1e999", "too large", None),
        ("1e-999", "too small", None),
        ("1e99999999999", "not a number", None),
        ("1/0", "divides by zero", None),
        ("", "missing", None),
        ("-", "not a number", None),
        (".", "not a number", None),
        ("1.2.3", "not a number", None),
        ("1 2", "not a number", None),
        ("0x10", "not a number", None),
        ("½", "not a number", None),
        ("1_000", "not a number", None),
    ] {
        let error = Number::parse(text).unwrap_err();
        assert!(error.message.contains(says), "{text}: {error}");
        assert_eq!(error.suggestion.as_deref(), suggestion, "{text}");
        assert_eq!(error.at, 0..text.len());
    }
}

#[test]
fn a_number_and_its_unit_are_read_together() {
    for (text, figures, unit_text, si) in [
        ("60 kg", 2, "kg", 60.0),
        ("60kg", 2, "kg", 60.0),
        ("5.0 %", 2, "%", 0.05),
        ("5.0%", 2, "%", 0.05),
        ("1/3", EXACT, "", 1.0 / 3.0),
        ("1/3 kg", EXACT, "kg", 1.0 / 3.0),
        ("0.872 kg/L", 3, "kg/L", 872.0),
        ("25 degC", 2, "degC", 298.15),
        ("−5 °C", 1, "degC", 268.15),
        ("6e4 Pa", 1, "Pa", 6e4),
        ("34.2 g/100 g water", 3, "g/100 g water", 0.342),
        ("2000 L/h", 4, "L/h", 2.0 / 3600.0),
        ("95 mol%", 2, "mol%", 0.95),
    ] {
        let typed = Typed::parse(text).unwrap();
        assert_eq!(typed.number.figures, figures, "{text}");
        assert_eq!(typed.unit.text(), unit_text, "{text}");
        assert!((typed.si() - si).abs() <= 1e-12 * si.abs(), "{text}: {}", typed.si());
    }
    for (text, at, says, suggestion) in [
        ("60 Kg", 3..5, "`Kg` is not a unit", Some("kg")),
        ("1,500 kg", 0..5, "1500 or as 1.500", Some("1500")),
        ("10 000 kg", 0..6, "looks like two numbers", Some("10000")),
        ("kg", 0..2, "`kg` is not a number", None),
        ("", 0..0, "a number is missing", None),
        ("  5 kgs of", 4..7, "`kgs` is not a unit", Some("kg")),
    ] {
        let error = Typed::parse(text).unwrap_err();
        assert_eq!(error.at(), at, "{text}: {error}");
        assert!(error.message().contains(says), "{text}: {error}");
        assert_eq!(error.suggestion(), suggestion, "{text}");
    }
}

#[test]
fn ranges_are_counted_in_decimals() {
    let range = |from, to, step| NumberRange::new(&number(from), &number(to), &number(step));
    for (from, to, step, count, second, last) in [
        ("200", "800", "50", 13, "250", "800"),
        ("4", "6", "0.5", 5, "4.5", "6.0"),
        ("4.0", "8.0", "1", 5, "5.0", "8.0"),
        ("0.1", "0.7", "0.1", 7, "0.2", "0.7"),
        ("-2", "2", "1", 5, "-1", "2"),
        ("-0.5", "0.5", "0.25", 5, "-0.25", "0.50"),
        ("1e3", "3e3", "1e3", 3, "2000", "3000"),
        ("20", "26", "2", 4, "22", "26"),
    ] {
        let found = range(from, to, step).unwrap();
        assert_eq!(found.count(), count, "{from} to {to}");
        assert_eq!(found.number(1).unwrap().text, second);
        assert_eq!(found.number(count - 1).unwrap().text, last);
        assert_eq!(found.number(count), None);
    }
    assert_eq!(range("5", "5", "1").unwrap().count(), 1);
    let fit = |reached: &str, past: &str| RangeError::StepDoesNotFit {
        reached: reached.to_owned(),
        past: past.to_owned(),
    };
    for (from, to, step, error) in [
        ("1", "10", "2", fit("9", "11")),
        ("0", "1", "0.3", fit("0.9", "1.2")),
        ("1", "10", "0", RangeError::StepNotPositive),
        ("1", "10", "-1", RangeError::StepNotPositive),
        ("10", "1", "1", RangeError::Backwards),
        ("1/3", "1", "1", RangeError::Fraction),
        ("1e-300", "1", "1", RangeError::TooWide),
        ("0", "1e25", "1e-3", RangeError::TooWide),
    ] {
        assert_eq!(range(from, to, step), Err(error), "{from} to {to}, step {step}");
    }
}

/// Any unit text built from the listed symbols.
fn any_unit() -> impl Strategy<Value = String> {
    let listed: Vec<String> = Unit::catalogue().into_iter().flat_map(|(_, texts)| texts).collect();
    let one = prop::sample::select(listed);
    prop_oneof![
        one.clone(),
        (one.clone(), one.clone()).prop_map(|(a, b)| format!("{a}/{b}")),
        (one.clone(), one.clone()).prop_map(|(a, b)| format!("{a} per 100 {b}")),
        (one.clone(), one.clone(), one).prop_map(|(a, b, c)| format!("{a}/({b} {c})")),
    ]
}

proptest! {
    #[test]
    fn conversions_undo_each_other(text in any_unit(), value in -1e6f64..1e6) {
        let unit = unit(&text);
        let back = unit.from_si(unit.to_si(value));
        // A reading near absolute zero loses what its offset swallows.
        let slack = 1e-12 * (value.abs() + (unit.offset() / unit.factor()).abs());
        prop_assert!((back - value).abs() <= slack, "{}: {} came back as {}", text, value, back);
    }

    #[test]
    fn units_read_back_from_text_and_print(text in any_unit()) {
        let found = unit(&text);
        prop_assert_eq!(unit(found.text()), found.clone());
        prop_assert_eq!(unit(found.print()), found.clone());
        let again = unit(found.text());
        prop_assert_eq!(again.text(), found.text());
    }

    #[test]
    fn no_text_makes_the_readers_panic(text in "\\PC{0,30}") {
        for at in [
            Unit::parse(&text).err().map(|e| e.at),
            Number::parse(&text).err().map(|e| e.at),
            Typed::parse(&text).err().map(|e| e.at()),
        ].into_iter().flatten() {
            prop_assert!(text.get(at.clone()).is_some(), "{:?} in {:?}", at, text);
        }
    }

    #[test]
    fn ranges_hold_their_ends(from in -5000i64..5000, step in 1i64..500, steps in 0i64..300, p in 0u32..4) {
        let text = |n: i64| rust_decimal::Decimal::new(n, p).to_string();
        let to = from + step * steps;
        let range =
            NumberRange::new(&number(&text(from)), &number(&text(to)), &number(&text(step)))
                .unwrap();
        prop_assert_eq!(range.count(), u64::try_from(steps).unwrap() + 1);
        for i in 0..range.count() {
            let expected = text(from + step * i64::try_from(i).unwrap());
            prop_assert_eq!(range.number(i).unwrap().text, expected);
        }
    }
}
