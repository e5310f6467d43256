//! Formulas read, worked out, checked and written, by tables and by properties.

#![allow(clippy::unwrap_used, reason = "a test stops where it fails")]

use proptest::prelude::*;

use super::*;
use crate::quantity::{Dimension, Precision, Unit};

fn parse(text: &str) -> Formula {
    Formula::parse(text, |i| i).unwrap_or_else(|e| panic!("{text}: {e} ({e:?})"))
}

fn lookup(path: &[&str]) -> Option<f64> {
    Some(match path.join(".").as_str() {
        "brine" => 400.0,
        "weak" => 0.05,
        "strong" => 0.25,
        "hot" => 333.15,
        "cold" => 293.15,
        "zero" => 0.0,
        "spent.stage1.acid" => 3.0,
        "flow" => 0.5,
        _ => return None,
    })
}

fn value(text: &str) -> Option<f64> {
    parse(text).evaluate(&lookup)
}

#[test]
fn school_algebra_is_worked_out_in_the_usual_order() {
    for (text, expected) in [
        ("1 + 2 * 3", 7.0),
        ("(1 + 2) * 3", 9.0),
        ("2 ^ 3 ^ 2", 512.0),
        ("-2 ^ 2", -4.0),
        ("2 ^ -1", 0.5),
        ("2 * -3", -6.0),
        ("10 - 4 - 3", 3.0),
        ("24 / 4 / 2", 3.0),
        ("x_is - 1 + 1", f64::NAN),
        ("sqrt(16) + ln(exp(2))", 6.0),
        ("brine * weak", 20.0),
        ("brine * (1 - weak / strong)", 320.0),
        ("spent.stage1.acid / 2", 1.5),
        ("5 % * 100 kg", 5.0),
        ("100 kg/h * 24 h", 2400.0),
        ("34.2 g/100 g water * 100 g", 0.0342),
        ("2 t / 4", 500.0),
        ("1/3 * 3", 1.0),
        ("√(9)", 3.0),
        ("3²", 9.0),
        ("3.4 × 10⁻⁵ ÷ 2", 1.7e-5),
        ("100 cm^3", 1e-4),
        ("0.08 kg per kg", 0.08),
        ("10 kg/(m2 h) * 2 m2 * 3 h", 60.0),
        ("6e4 / 1.5e-3", 4e7),
        ("25 °C", 298.15),
        ("12\u{202f}500 kg", 12500.0),
    ] {
        match value(text) {
            Some(found) => {
                assert!((found - expected).abs() <= 1e-12 * expected.abs(), "{text}: {found}");
            }
            None => assert!(expected.is_nan(), "{text} has no value"),
        }
    }
}

#[test]
fn what_has_no_value_gives_none() {
    for text in ["1 / zero", "ln(0 - brine)", "sqrt(-4)", "nobody + 1", "exp(brine * 1000)"] {
        assert_eq!(value(text), None, "{text}");
    }
}

#[test]
fn temperatures_are_readings_or_rises_as_the_sum_wants() {
    for (text, kelvin, difference) in [
        ("hot - cold", 40.0, true),
        ("hot - 20 degC", 40.0, true),
        ("hot + 5 degC", 338.15, false),
        ("5 degC + hot", 338.15, false),
        ("(hot + cold) / 2", 313.15, false),
        ("(hot + 20 degC) / 2", 313.15, false),
        ("-5 degC", 268.15, false),
        ("0.5 * hot + 0.5 * 20 degC", 313.15, false),
        ("50 degF", 283.15, false),
        ("hot - 293.15 K", 40.0, false),
    ] {
        let formula = parse(text);
        let found = formula.evaluate(&lookup).unwrap();
        assert!((found - kelvin).abs() < 1e-9, "{text}: {found}");
        let readings = formula.readings(&|_| true).unwrap();
        let expected = if difference { 0.0 } else { 1.0 };
        assert!((readings - expected).abs() < 1e-9, "{text}: {readings}");
    }
    // In a product the difference counts, whatever stands inside.
    assert!((value("2 * brine * (hot - 20 degC)").unwrap() - 32_000.0).abs() < 1e-6);
    assert!((value("brine * 10 degC").unwrap() - 4000.0).abs() < 1e-9);
    for (text, holds) in [
        ("hot > 50 degC", true),
        ("hot > 70 degC", false),
        ("hot - cold >= 40 degC", true),
        ("hot - cold > 41 degC", false),
        ("hot > cold + 30 degC", true),
        ("hot > cold + 45 degC", false),
        ("40 degC = hot - cold", true),
    ] {
        let comparison = Comparison::parse(text, |i| i).unwrap();
        assert_eq!(comparison.holds(&lookup, &|_| None), Some(holds), "{text}");
    }
}

#[test]
fn figures_are_counted_in_the_unit_shown() {
    let hourly = |path: &[&str]| (path == ["flow"]).then(|| Unit::parse("kg/h").unwrap());
    for (text, figures) in [
        ("sf(brine)", 1.0),
        ("sf(brine + 5 kg)", 3.0),
        ("sf(flow)", 2.0),
        ("sf(flow * 2)", 2.0),
        ("sf(brine / 3)", 12.0),
        ("sf(hot)", 5.0),
    ] {
        let formula = parse(text);
        assert_eq!(formula.evaluate_shown(&lookup, &hourly), Some(figures), "{text}");
    }
    // 0.5 kg/s is 1800 kg/h, and both sides of a ratio are hourly.
    assert_eq!(parse("sf(flow / flow)").evaluate_shown(&lookup, &hourly), Some(1.0));
    let celsius = |_: &[&str]| Some(Unit::parse("degC").unwrap());
    assert_eq!(parse("sf(hot)").evaluate_shown(&lookup, &celsius), Some(1.0));
}

#[test]
fn faults_are_said_where_they_stand() {
    for (text, at, says, next) in [
        ("", 0..0, "a formula is missing", "write the formula"),
        ("brine *", 6..7, "stops too early", "finish"),
        ("brine weak", 6..10, "a sign is missing before `weak`", "`brine * weak`"),
        ("brine kg", 6..8, "a sign is missing before `kg`", "leave `kg` out"),
        ("2 brine", 2..7, "`brine` is not a unit", "`2 * brine`"),
        ("100 Kg", 4..6, "`Kg` is not a unit", "`100 kg`"),
        ("2(brine)", 1..2, "a sign is missing", "`2 * (`"),
        ("brine(2)", 0..5, "not a function", "`brine * (`"),
        ("log(2)", 0..3, "not a function", "`ln(`"),
        ("(brine + 1", 0..1, "never closed", "close"),
        ("brine + 1)", 9..10, "never opened", "take the bracket out"),
        ("brine + * 2", 8..9, "missing before `*`", "one of the two signs"),
        ("1,234 * 2", 0..5, "1234 or as 1.234", "write 1234"),
        ("1,5 * 2", 0..3, "decimal mark is a point", "write 1.5"),
        ("1.2.3", 0..5, "not a number", "at most one point"),
        ("brine = 3", 6..7, "compares nothing", "require"),
        ("brine ** 2", 6..8, "written with `^`", "^"),
        ("brine & 2", 6..7, "no part of a formula", "+ - * /"),
        ("brine. + 1", 0..6, "ends in a point", "after the point"),
        ("é + $", 5..6, "no part of a formula", "+ - * /"),
        ("{{ brine }}", 0..1, "no part of a formula", "round brackets"),
        ("%", 0..1, "needs a number before", "5 %"),
        ("()", 1..2, "missing before `)`", "brackets"),
    ] {
        let error = Formula::parse(text, |i| i).unwrap_err();
        assert_eq!(error.span.range(), at, "{text}: {error:?}");
        assert!(error.message.contains(says), "{text}: {}", error.message);
        assert!(error.next.contains(next), "{text}: {}", error.next);
        assert!(!error.found.is_empty() && !error.expected.is_empty(), "{text}");
    }
    for (text, says) in [
        ("brine", "compares nothing"),
        ("1 < brine < 3", "two comparisons"),
        ("brine <", "stops too early"),
        ("< 3", "missing before `<`"),
    ] {
        let error = Comparison::parse(text, |i| i).unwrap_err();
        assert!(error.message.contains(says), "{text}: {}", error.message);
    }
}

#[test]
fn places_are_those_of_the_file() {
    // As if the text stood at byte 100, its second word on another line.
    let place = |i: usize| if i < 8 { 100 + i } else { 110 + i };
    let formula = Formula::parse("brine * weak.part", place).unwrap();
    let names: Vec<_> = formula.names().collect();
    assert_eq!(names[0].0, ["brine"]);
    assert_eq!(names[0].1, Span::new(100, 105));
    assert_eq!(names[1].0, ["weak", "part"]);
    assert_eq!(names[1].1, Span::new(118, 127));
    let NodeKind::Binary { right, .. } = &formula.root.kind else { panic!("{formula:?}") };
    let NodeKind::Name(path) = &right.kind else { panic!("{right:?}") };
    assert_eq!(path[1].1, Span::new(123, 127));
    let error = Formula::parse("brine * weak weak", place).unwrap_err();
    assert_eq!(error.span, Span::new(123, 127));
}

#[test]
fn a_formula_may_be_one_name_or_one_number() {
    assert_eq!(parse("curd.liquor.lactose").as_name(), Some(vec!["curd", "liquor", "lactose"]));
    assert_eq!(parse("( brine )").as_name(), Some(vec!["brine"]));
    assert_eq!(parse("1/3").as_typed().unwrap().number.figures, crate::quantity::EXACT);
    assert_eq!(parse("34.20 %").as_typed().unwrap().number.figures, 4);
    assert_eq!(parse("4").as_whole(), Some(4));
    assert_eq!(parse("4 kg").as_whole(), None);
    assert_eq!(parse("brine + 1").as_name(), None);
    // A fraction is folded only where it is one: (brine / 1) / 3 is not.
    assert_eq!(parse("brine / 1 / 3").numbers().count(), 2);
    assert_eq!(value("brine ^ 1/2"), Some(200.0));
}

fn dimensions(path: &[&str]) -> Option<Dimension> {
    Some(match path[0] {
        "brine" | "salt" => Dimension::MASS,
        "weak" => Dimension::NONE,
        "rate" => Dimension::MASS / Dimension::TIME,
        "hours" => Dimension::TIME,
        "hot" => Dimension::TEMPERATURE,
        "area" => Dimension::AREA,
        _ => return None,
    })
}

#[test]
fn dimensions_follow_the_algebra() {
    for (text, expected) in [
        ("brine * weak", Dimension::MASS),
        ("brine / salt", Dimension::NONE),
        ("rate * hours + 5 kg", Dimension::MASS),
        ("sqrt(area)", Dimension::LENGTH),
        ("area ^ 0.5", Dimension::LENGTH),
        ("brine ^ 2 / salt", Dimension::MASS),
        ("brine - 0", Dimension::MASS),
        ("1 - 5 %", Dimension::NONE),
        ("1 + 20 g/100 g water", Dimension::NONE),
        ("ln(brine / salt)", Dimension::NONE),
        ("sf(brine)", Dimension::NONE),
        ("weak ^ weak", Dimension::NONE),
        ("unheard_of + brine", Dimension::MASS),
        ("unheard_of * brine", Dimension::NONE),
        ("hot - 20 degC", Dimension::TEMPERATURE),
    ] {
        assert_eq!(parse(text).dimension(&dimensions).unwrap(), expected, "{text}");
    }
}

#[test]
fn unlike_quantities_are_not_mixed() {
    for (text, says, at) in [
        ("brine + 5 %", "a percentage cannot be added to a mass", 0..11),
        ("weak - brine", "a mass cannot be taken away from a plain number", 0..12),
        ("1 + (brine + rate)", "a mass per time cannot be added to a mass", 5..17),
        ("ln(brine)", "`ln` takes a plain number, not a mass", 2..9),
        ("exp(hours)", "`exp` takes a plain number, not a time", 3..10),
        ("brine ^ weak", "a mass can only be raised to a whole number", 0..12),
        ("2 ^ brine", "a power cannot be a mass", 4..9),
        ("sqrt(brine)", "a mass has no square root", 4..11),
        ("5 % + 20 g/100 g water", "a mass ratio cannot be added to a percentage", 0..22),
    ] {
        let error = parse(text).dimension(&dimensions).unwrap_err();
        assert_eq!(error.message, says, "{text}");
        assert_eq!(error.span.range(), at, "{text}");
    }
    let error = Comparison::parse("brine > 5", |i| i).unwrap().dimension(&dimensions).unwrap_err();
    assert_eq!(error.message, "a mass cannot be compared with a plain number");
    assert!(Comparison::parse("brine > 0", |i| i).unwrap().dimension(&dimensions).is_ok());
}

#[test]
fn a_formula_prints_as_symbols_and_as_substitution() {
    let symbol = |path: &[&str]| path.join(" ").replace('_', " ");
    let substituted = |path: &[&str]| match path[0] {
        "brine" => "400\u{202f}kg".to_owned(),
        "weak" => "5.0\u{202f}%".to_owned(),
        "third" => "1/3".to_owned(),
        _ => "\u{2212}2".to_owned(),
    };
    for (text, symbols, values) in [
        ("brine*weak", "brine × weak", "400\u{202f}kg × 5.0\u{202f}%"),
        ("brine*(1-weak)", "brine × (1 − weak)", "400\u{202f}kg × (1 − 5.0\u{202f}%)"),
        (
            "brine-(1 kg+brine)",
            "brine − (1\u{202f}kg + brine)",
            "400\u{202f}kg − (1\u{202f}kg + 400\u{202f}kg)",
        ),
        (
            "(brine+1 kg)-brine",
            "brine + 1\u{202f}kg − brine",
            "400\u{202f}kg + 1\u{202f}kg − 400\u{202f}kg",
        ),
        ("brine/(weak*2)", "brine ÷ (weak × 2)", "400\u{202f}kg ÷ (5.0\u{202f}% × 2)"),
        ("brine^2", "brine²", "(400\u{202f}kg)²"),
        ("low^2", "low²", "(−2)²"),
        ("brine - low", "brine − low", "400\u{202f}kg − (−2)"),
        ("low - brine", "low − brine", "−2 − 400\u{202f}kg"),
        ("brine / third", "brine ÷ third", "400\u{202f}kg ÷ (1/3)"),
        ("-(brine + 2)", "−(brine + 2)", "−(400\u{202f}kg + 2)"),
        ("sqrt(brine)*ln(2)", "√(brine) × ln(2)", "√(400\u{202f}kg) × ln(2)"),
        ("brine^-1", "brine⁻¹", "(400\u{202f}kg)⁻¹"),
        ("brine^0.5", "brine^(0.5)", "(400\u{202f}kg)^(0.5)"),
        ("(2^3)^2", "(2³)²", "(2³)²"),
        ("1/3*brine", "1/3 × brine", "1/3 × 400\u{202f}kg"),
    ] {
        let formula = parse(text);
        assert_eq!(formula.write(&symbol), symbols, "{text}");
        assert_eq!(formula.write(&substituted), values, "{text}");
    }
    let comparison = Comparison::parse("brine<=2*low", |i| i).unwrap();
    assert_eq!(comparison.write(&symbol), "brine ≤ 2 × low");
}

#[test]
fn figures_of_a_result_follow_the_algebra() {
    use crate::quantity::Number;
    let data = |path: &[&str]| {
        let typed = Typed::parse(match path[0] {
            "brine" => "450 kg",
            "weak" => "5.0 %",
            "strong" => "25 %",
            "batch" => "2.50 t",
            "third" => "1/3",
            _ => return None,
        });
        let Typed { number, unit } = typed.unwrap();
        let precision = Precision::of(&number).scaled(number.value, unit.factor());
        Some((unit.to_si(number.value), precision))
    };
    for (text, unit, shown) in [
        ("brine * weak", "kg", "23"),
        ("brine * third", "kg", "150"),
        ("brine * weak / strong", "kg", "90"),
        ("brine * (1 - weak)", "kg", "428"),
        ("brine + 0.5 kg", "kg", "451"),
        ("batch - brine", "t", "2.05"),
        ("2 * brine", "kg", "900"),
        ("weak", "%", "5.0"),
        ("sqrt(brine / 2 kg)", "", "20"),
        ("brine ^ 2 / brine", "kg", "450"),
        ("1 + 1", "", "2"),
        ("-brine", "kg", "-450"),
    ] {
        let unit = Unit::parse(unit).unwrap();
        let (value, precision) = parse(text).precision(&data).unwrap();
        let shown_value = unit.from_si(value);
        let rounded = precision.scaled(value, 1.0 / unit.factor()).round(shown_value);
        assert_eq!(rounded.digits, shown, "{text}");
    }
    assert_eq!(parse("nobody * 2").precision(&data), None);
    assert_eq!(parse("20 degC").precision(&data).unwrap().1, Precision::Place(0));
    assert_eq!(parse("20.0 degC").precision(&data).unwrap().1, Precision::Place(-1));
    assert_eq!(Precision::of(&Number::exact(3)), Precision::Exact);
}

#[test]
fn deep_and_long_formulas_are_refused_not_crashed_on() {
    for text in [
        "(".repeat(100_000),
        "-".repeat(100_000),
        "2^".repeat(100_000),
        "1+".repeat(100_000),
        "sqrt(".repeat(5_000),
    ] {
        assert!(Formula::parse(&text, |i| i).is_err());
    }
    let long = vec!["1"; 190].join("+");
    assert_eq!(value(&long), Some(190.0));
}

#[test]
fn comparisons_do_not_hang_on_noise() {
    for (text, holds) in [
        ("0.1 + 0.2 <= 0.3", true),
        ("0.1 + 0.2 > 0.3", false),
        ("0.1 + 0.2 = 0.3", true),
        ("0.1 + 0.2 != 0.3", false),
        ("0 >= 0", true),
        ("1 / zero > 0", false),
    ] {
        let comparison = Comparison::parse(text, |i| i).unwrap();
        assert_eq!(comparison.holds(&lookup, &|_| None).unwrap_or(false), holds, "{text}");
        let test = comparison.compile(&|_| Some(0), &|_| None).unwrap();
        assert_eq!(test.holds(&[0.0]), holds, "{text}");
    }
}

/// Any formula over three names, as text.
fn any_formula() -> impl Strategy<Value = String> {
    let leaf = prop_oneof![
        Just("brine".to_owned()),
        Just("weak".to_owned()),
        Just("spent.stage1.acid".to_owned()),
        (0u32..100_000, 0usize..4).prop_map(|(n, p)| format!("{:.p$}", f64::from(n) / 97.0)),
        (1u32..50).prop_map(|n| format!("{n} kg")),
        (1u32..50).prop_map(|n| format!("{n}.5 %")),
        (1u32..9, 2u32..9).prop_map(|(a, b)| format!("{a}/{b}")),
        (1u32..9, -3i32..4).prop_map(|(a, b)| format!("{a}e{b}")),
    ];
    leaf.prop_recursive(5, 40, 2, |inner| {
        prop_oneof![
            (inner.clone(), "[-+*/]", inner.clone())
                .prop_map(|(a, op, b)| format!("({a}) {op} ({b})")),
            (inner.clone(), "[-+*/]", inner.clone()).prop_map(|(a, op, b)| format!("{a} {op} {b}")),
            (inner.clone(), -3i32..4).prop_map(|(a, n)| format!("({a}) ^ {n}")),
            inner.clone().prop_map(|a| format!("-({a})")),
            inner.clone().prop_map(|a| format!("sqrt({a})")),
            inner.prop_map(|a| format!("exp({a})")),
        ]
    })
}

fn same(a: Option<f64>, b: Option<f64>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() <= 1e-9 * a.abs().max(b.abs()),
        (a, b) => a == b,
    }
}

proptest! {
    #[test]
    fn what_is_written_reads_back_to_the_same_value(text in any_formula()) {
        let formula = parse(&text);
        let written = formula.write(&|path| path.join("."));
        let again = parse(&written);
        prop_assert!(
            same(formula.evaluate(&lookup), again.evaluate(&lookup)),
            "{} gave {}", text, written
        );
        // A typed power of ten comes back as a product, with wider blanks.
        let rewritten = again.write(&|path| path.join("."));
        prop_assert_eq!(rewritten.replace('\u{202f}', " "), written.replace('\u{202f}', " "));
    }

    #[test]
    fn compiled_and_walked_agree(text in any_formula()) {
        let names = ["brine", "weak", "spent.stage1.acid"];
        let slots: Vec<f64> =
            names.iter().map(|n| lookup(&n.split('.').collect::<Vec<_>>()).unwrap()).collect();
        let formula = parse(&text);
        let program =
            formula.compile(&|path| names.iter().position(|n| *n == path.join("."))).unwrap();
        let run = Some(program.run(&slots)).filter(|v| v.is_finite());
        prop_assert_eq!(run, formula.evaluate(&lookup));
    }

    #[test]
    fn no_text_makes_the_reader_panic(text in "[-+*/^()<>=!.,%a-c0-9 kg²³°é√µ\u{202f}\u{2212}]{0,40}") {
        let _ = Formula::parse(&text, |i| i);
        let _ = Comparison::parse(&text, |i| i);
        let _ = Typed::parse(&text);
        if let Err(error) = Unit::parse(&text) {
            prop_assert!(text.get(error.at.clone()).is_some(), "{:?} in {:?}", error, text);
        }
    }
}
