//! Rounding, figures and printed numbers against tables and an exact second opinion.

#![allow(clippy::unwrap_used, reason = "a test stops where it fails")]

use std::str::FromStr;

use proptest::prelude::*;
use rust_decimal::{Decimal, RoundingStrategy};
use stillroom::quantity::figures::{figures_needed, of_product, of_sum};
use stillroom::quantity::rounding::{
    round_figures_by, round_places_by, round_text_figures, round_text_places, shortest,
};
use stillroom::quantity::{
    EXACT, Number, Precision, Ties, Unit, print_number, print_quantity, round_figures, round_places,
};

/// Rows of a data file below its comment and head lines.
fn rows(text: &str) -> Vec<Vec<String>> {
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(text.as_bytes());
    reader.records().map(|row| row.unwrap().iter().map(str::to_owned).collect()).collect()
}

fn number(text: &str) -> Number {
    Number::parse(text).unwrap()
}

#[test]
fn both_tie_rules_give_the_table() {
    // Source: the first line of the data file.
    let table = rows(include_str!("data/rounding.csv"));
    assert_eq!(table.len(), 17);
    for row in table {
        let figures: u32 = row[1].parse().unwrap();
        for (ties, expected) in [(Ties::AwayFromZero, &row[2]), (Ties::ToEven, &row[3])] {
            let expected = number(expected);
            let computed = row[0].parse::<f64>().unwrap();
            for found in [
                round_text_figures(&row[0], figures, ties).unwrap(),
                // Binary noise in the same number must not decide the tie.
                round_figures_by(computed, figures, ties),
                round_figures_by(computed * (1.0 + 1e-15), figures, ties),
                round_figures_by(computed * (1.0 - 1e-15), figures, ties),
            ] {
                assert_eq!(found.value, expected.value, "{row:?} {ties:?}");
                assert_eq!(Some(found.last_place), expected.last_place(), "{row:?} {ties:?}");
                assert_eq!(found.figures(), figures, "{row:?}");
            }
        }
    }
}

#[test]
fn rounded_numbers_have_the_digits_asked_for() {
    for (value, figures, digits) in [
        (0.99951, 3, "1.00"),
        (9.996, 3, "10.0"),
        (0.000_999_96, 3, "0.00100"),
        (122.068_965_5, 4, "122.1"),
        (0.1 + 0.2, 1, "0.3"),
        (1.15 * 100.0, 2, "120"),
        (2.5, 1, "3"),
        (-0.45, 1, "-0.5"),
        (400.0, 3, "400"),
        (400.0, 5, "400.00"),
        (123_456.0, 2, "120000"),
        (0.0, 3, "0"),
        (7.0, 0, "7"),
        (1e-9, 2, "0.0000000010"),
    ] {
        assert_eq!(round_figures(value, figures).digits, digits, "{value} to {figures}");
    }
    for (value, places, digits) in [
        (2.345, 2, "2.35"),
        (0.004, 2, "0.00"),
        (-0.004, 2, "0.00"),
        (999.996, 2, "1000.00"),
        (1249.0, -2, "1200"),
        (1250.0, -2, "1300"),
        (40.0, -2, "0"),
        (50.0, -2, "100"),
        (7.0, 3, "7.000"),
        (0.0, 2, "0.00"),
    ] {
        assert_eq!(round_places(value, places).digits, digits, "{value} to {places}");
    }
    assert_eq!(round_places_by(0.125, 2, Ties::ToEven).digits, "0.12");
    assert_eq!(round_text_places("0.135", 2, Ties::ToEven).unwrap().digits, "0.14");
    assert_eq!(round_text_figures("three", 2, Ties::ToEven), None);
    assert_eq!(shortest(0.25 + 1e-17).digits, "0.25");
    assert_eq!(shortest(40_000.0).digits, "40000");
}

#[test]
fn every_size_of_number_can_be_rounded() {
    for value in [f64::MAX, f64::MIN_POSITIVE, 5e-324, 1e300, -1e-300] {
        let rounded = round_figures(value, 12);
        assert!((rounded.value - value).abs() <= value.abs() * 1e-11, "{value}");
    }
    assert_eq!(round_places(1e300, 2).digits.len(), 301 + 3);
    for value in [f64::NAN, f64::INFINITY] {
        assert_eq!(round_figures(value, 3).digits, "?");
    }
    let printed = print_number(&round_figures(6.022e23, 3));
    assert_eq!(printed, "6.02\u{202f}×\u{202f}10²³");
}

#[test]
fn results_are_as_precise_as_their_data() {
    // Source: the first line of the data file; its last row is for a bare 1000.
    let table = rows(include_str!("data/sigfig_operations.csv"));
    assert_eq!(table.len(), 5);
    let mut checked = 0;
    for row in &table[..4] {
        let words: Vec<&str> = row[0].split(' ').collect();
        let numbers: Vec<Number> = words.iter().step_by(2).map(|w| number(w)).collect();
        let first = numbers[0].value;
        let result = words[1..].chunks(2).fold(first, |sum, pair| {
            let next = number(pair[1]).value;
            match pair[0] {
                "+" => sum + next,
                "-" => sum - next,
                "*" => sum * next,
                _ => sum / next,
            }
        });
        let precisions: Vec<Precision> = numbers.iter().map(Precision::of).collect();
        let precision = if matches!(words[1], "+" | "-") {
            of_sum(&precisions)
        } else {
            let factors: Vec<_> =
                numbers.iter().zip(precisions).map(|(n, p)| (n.value, p)).collect();
            of_product(result, &factors)
        };
        assert_eq!(precision.round(result).digits, row[1], "{row:?}");
        checked += 1;
    }
    assert_eq!(checked, 4);
    // 1000 counted, typed as 1000 (all typed zeros count) and as 1.000e3: 70.8.
    for thousand in [Number::exact(1000), number("1000"), number("1.000e3")] {
        let factors =
            [(0.0708, Precision::of(&number("0.0708"))), (1000.0, Precision::of(&thousand))];
        assert_eq!(of_product(70.8, &factors).round(70.8).digits, "70.8");
    }
    // 1e3 has one figure.
    let factors =
        [(0.0708, Precision::of(&number("0.0708"))), (1000.0, Precision::of(&number("1e3")))];
    assert_eq!(of_product(70.8, &factors).round(70.8).digits, "70");
}

#[test]
fn precision_holds_at_its_edges() {
    let exact = Precision::of(&number("1/3"));
    assert_eq!(exact, Precision::Exact);
    assert_eq!(of_sum(&[]), Precision::Exact);
    assert_eq!(of_product(2.0, &[(2.0, exact)]), Precision::Exact);
    assert_eq!(of_product(2.0, &[(2.0, exact), (1.0, Precision::Place(-1))]), Precision::Place(-1));
    assert_eq!(of_sum(&[exact, Precision::Place(-2)]), Precision::Place(-2));
    assert_eq!(Precision::Exact.figures(3.0), EXACT);
    assert_eq!(Precision::Exact.round(1.0 / 3.0).digits, "0.333333333333");
    // A difference smaller than its own last place still shows a figure.
    assert_eq!(Precision::Place(0).round(0.04).digits, "0.04");
    assert_eq!(Precision::Place(0).round(0.0).digits, "0");
    // 5.0 % as a fraction keeps two figures.
    assert_eq!(Precision::Place(-1).scaled(5.0, 0.01), Precision::Place(-3));
    for (value, figures) in [
        (400.0, 1),
        (0.25, 2),
        (0.1 + 0.2, 1),
        (1.0 / 3.0, 12),
        (0.0, 1),
        (-1230.0, 3),
        (f64::NAN, EXACT),
    ] {
        assert_eq!(figures_needed(value), figures, "{value}");
    }
}

#[test]
fn numbers_print_as_the_field_writes_them() {
    for (typed, printed) in [
        ("400", "400"),
        ("-0.050", "−0.050"),
        ("1250", "1250"),
        ("12500", "12 500"),
        ("1234567.891", "1 234 567.891"),
        ("34.20", "34.20"),
        ("0.00005", "0.00005"),
        ("6e4", "6 × 10⁴"),
        ("1.5e-3", "1.5 × 10⁻³"),
        ("1/3", "1/3"),
        ("-1/3", "−1/3"),
        ("20000000", "20 000 000"),
    ] {
        assert_eq!(print_number(&number(typed)), printed.replace(' ', "\u{202f}"), "{typed}");
        // Printing what is printed changes nothing.
        let again = print_number(printed.replace(' ', "\u{202f}").as_str());
        assert_eq!(again, printed.replace(' ', "\u{202f}"));
    }
    for (value, figures, printed) in [
        (0.000_034, 2, "3.4 × 10⁻⁵"),
        (0.000_340, 2, "0.00034"),
        (0.0001, 1, "0.0001"),
        (0.000_099_99, 2, "0.00010"),
        (-0.000_05, 1, "−5 × 10⁻⁵"),
        (9_999_999.0, 7, "9 999 999"),
        (9_999_999.0, 3, "1.00 × 10⁷"),
        (12_345_678.0, 3, "1.23 × 10⁷"),
        (12_345_678.0, 8, "1.2345678 × 10⁷"),
        (5134.49, 2, "5100"),
        (0.0, 3, "0"),
    ] {
        let rounded = round_figures(value, figures);
        assert_eq!(print_number(&rounded), printed.replace(' ', "\u{202f}"), "{value} {figures}");
    }
    for (typed, unit, printed) in [
        ("60", "kg", "60 kg"),
        ("5.0", "%", "5.0 %"),
        ("-5", "degC", "−5 °C"),
        ("12500", "dm3/h", "12 500 dm³/h"),
        ("0.5", "", "0.5"),
        ("34.2", "g/100 g water", "34.2 g/100 g water"),
    ] {
        let unit = Unit::parse(unit).unwrap();
        assert_eq!(print_quantity(typed, &unit), printed.replace(' ', "\u{202f}"));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn rounding_agrees_with_exact_decimals(
        whole in -9_999_999_999_999i64..9_999_999_999_999, scale in 0u32..15, places in 0u32..15
    ) {
        let exact = Decimal::new(whole, scale);
        let text = exact.to_string();
        for (ties, strategy) in [
            (Ties::AwayFromZero, RoundingStrategy::MidpointAwayFromZero),
            (Ties::ToEven, RoundingStrategy::MidpointNearestEven),
        ] {
            let found = round_text_places(&text, i32::try_from(places).unwrap(), ties).unwrap();
            let expected = exact.round_dp_with_strategy(places, strategy);
            prop_assert_eq!(Decimal::from_str(&found.digits).unwrap(), expected);
            let shown = found.digits.split_once('.').map_or(0, |(_, f)| f.len());
            prop_assert_eq!(shown, places as usize);
        }
    }

    #[test]
    fn ties_are_decided_on_the_digits(units in 0i64..100_000, scale in 1u32..8) {
        // Numbers that end in 5, to one place fewer: always a tie.
        let exact = Decimal::new(units * 10 + 5, scale);
        let places = i32::try_from(scale).unwrap() - 1;
        let computed: f64 = exact.to_string().parse().unwrap();
        let away = round_places(computed, places);
        let even = round_places_by(computed, places, Ties::ToEven);
        let up = Decimal::new(units + 1, scale - 1);
        let nearest_even = Decimal::new(units + units % 2, scale - 1);
        prop_assert_eq!(Decimal::from_str(&away.digits).unwrap(), up);
        prop_assert_eq!(Decimal::from_str(&even.digits).unwrap(), nearest_even);
    }

    #[test]
    fn rounding_does_not_depend_on_the_size(
        digits in 1i64..999_999_999_999, figures in 1u32..14, power in -280i32..280
    ) {
        let near = round_text_figures(&digits.to_string(), figures, Ties::AwayFromZero).unwrap();
        let far = round_text_figures(&format!("{digits}e{power}"), figures, Ties::AwayFromZero);
        let far = far.unwrap();
        prop_assert_eq!(far.last_place - near.last_place, power);
        prop_assert_eq!(near.figures(), figures);
        prop_assert_eq!(far.figures(), figures);
        // And the same number read from its binary value.
        let value: f64 = format!("{digits}e{power}").parse().unwrap();
        prop_assert_eq!(round_figures(value, figures), far);
    }

    #[test]
    fn any_value_can_be_rounded_and_printed(bits: u64, figures: u32, places: i32) {
        let value = f64::from_bits(bits);
        let rounded = round_figures(value, figures % 40);
        print_number(&rounded);
        print_number(&round_places(value, places));
        if value.is_finite() && figures % 40 >= 1 {
            let off = (rounded.value - value).abs();
            let unit: f64 = format!("1e{}", rounded.last_place).parse().unwrap();
            // The smallest numbers stand 5e-324 apart.
            let bound = 0.5 * unit + value.abs() * 1e-11 + 1e-323;
            prop_assert!(off <= bound * 1.0001, "{} {} {:?}", value, figures % 40, rounded);
        }
    }

    #[test]
    fn printed_numbers_read_back(value in -1e12f64..1e12, figures in 1u32..12) {
        let rounded = round_figures(value, figures);
        let plain = print_number(&rounded).replace('\u{202f}', "").replace('−', "-");
        let (mantissa, power) = plain.split_once("×10").unwrap_or((&plain, "⁰"));
        let power: String = power
            .chars()
            .map(|c| match "⁰¹²³⁴⁵⁶⁷⁸⁹".chars().position(|s| s == c) {
                Some(digit) => char::from_digit(u32::try_from(digit).unwrap(), 10).unwrap(),
                None => '-',
            })
            .collect();
        prop_assert_eq!(format!("{mantissa}e{power}").parse::<f64>().unwrap(), rounded.value);
    }
}
