//! Temperatures in degrees: readings, differences of readings and rises come out as
//! a thermometer shows them. Expected values are worked out in the degrees
//! themselves, by hand, never through kelvin. All figures are invented.

use std::sync::Arc;

use stillroom::diag::{Diagnostics, SourceFile};
use stillroom::question::Solution;
use stillroom::reading::{self, model};

/// What a lone `find` gives, as printed, and the slip's value if there is one.
fn answer(values: &str, find: &str, more: &str) -> Result<(String, Vec<String>), Vec<String>> {
    let text = format!(
        "---\nid: u\ntitle: U\nobjectives: {{m: Temperatures}}\n---\n\n```question\nid: q\nobjective: m\nvalues:\n{values}parts:\n  a:\n    find: {find}\n{more}---\nText.\n\n(a) Find it.\n```\n"
    );
    let file = SourceFile::new("u.md", text);
    let mut found = Diagnostics::new();
    let parsed = reading::parse(&file, &mut found).expect("a unit");
    let model = model::check(&Arc::new(parsed), &mut found);
    let Some(question) = model.questions.first() else {
        return Err(found.sorted().into_iter().map(|d| d.message).collect());
    };
    assert!(found.is_empty(), "{:?}", found.sorted());
    let solution =
        Solution::of(question, &vec![0; question.axes().len()]).expect("a version that can be");
    let answer = solution.answers().remove(0);
    assert!((answer.lowest..=answer.highest).contains(&answer.rounded.value), "{find}");
    let slips = solution.slips(0, &answer).into_iter().map(|slip| slip.printed).collect();
    Ok((format!("{} {}", answer.printed, answer.unit.print()), slips))
}

const VALUES: &str = "  warm: 49.0 degC\n  cool: 15.5 degC\n  rise: 7.0 K\n  part: 0.25\n  fall: = warm - cool\n  mean: = (warm + cool) / 2\n  body: 98.6 degF\n";

#[test]
fn readings_and_differences_come_out_as_a_thermometer_shows_them() {
    for (find, expected) in [
        ("warm", "49.0 °C"),
        ("warm - cool", "33.5 °C"),
        ("cool - warm", "−33.5 °C"),
        ("fall", "33.5 °C"),
        ("fall / 2", "16.8 °C"),
        ("warm - fall", "15.5 °C"),
        ("mean", "32.3 °C"),
        ("mean - cool", "16.8 °C"),
        ("cool + rise", "22.5 °C"),
        ("rise + cool", "22.5 °C"),
        ("warm - rise", "42.0 °C"),
        ("warm - 20.0 degC", "29.0 °C"),
        ("warm + 5.0 degC", "54.0 °C"),
        ("fall + 5.0 degC", "38.5 °C"),
        ("part * warm + (1 - part) * cool", "24 °C"),
        ("2 * (warm - cool)", "67.0 °C"),
        ("rise", "7.0 K"),
        ("body", "98.6 °F"),
        ("body - 90.0 degF", "8.6 °F"),
    ] {
        let (printed, _) =
            answer(VALUES, find, "").unwrap_or_else(|said| panic!("{find}: {said:?}"));
        assert_eq!(printed, expected, "{find}");
    }
}

#[test]
fn a_tolerance_in_degrees_is_a_width_and_an_answers_unit_follows_the_difference() {
    let (printed, slips) = answer(
        VALUES,
        "warm - cool",
        "    unit: degC\n    tolerance: 0.5 degC\n    mistakes:\n      gave the first reading: warm\n",
    )
    .expect("a sound question");
    assert_eq!(printed, "33.5 °C");
    // The reading that was given in place of the difference.
    assert_eq!(slips, ["49.0"]);
}

#[test]
fn conditions_compare_readings_with_readings_and_rises_with_rises() {
    let values = "  warm: one of 40, 70 degC\n  cool: 15 degC\n  fall: = warm - cool\n";
    // Both conditions hold for 70 degC alone, so that the first choice is refused.
    for (require, holds) in [
        ("fall > 20 degC", true),
        ("fall > 30 degC", false),
        ("warm > 30 degC", true),
        ("warm - cool > 30 degC", false),
    ] {
        let text = format!(
            "---\nid: u\ntitle: U\nobjectives: {{m: Temperatures}}\n---\n\n```question\nid: q\nobjective: m\nvalues:\n{values}require:\n  - {require}\nfind: fall\n---\nFind it.\n```\n"
        );
        let file = SourceFile::new("u.md", text);
        let mut found = Diagnostics::new();
        let parsed = reading::parse(&file, &mut found).expect("a unit");
        let model = model::check(&Arc::new(parsed), &mut found);
        let question = model.questions.first().expect("a sound question");
        let solution = Solution::of(question, &[0, 0]).expect("a version that can be");
        let (condition, _) = &question.require[0];
        let slots: Vec<f64> =
            (0..question.engine.system.nodes.len()).map(|slot| solution.value(slot)).collect();
        let found = condition.holds(&|path| question.value_at(path, &slots), &|_| None);
        assert_eq!(found, Some(holds), "{require}");
    }
}

#[test]
fn what_gives_no_temperature_is_refused() {
    for (values, find) in [
        (VALUES, "warm + cool"),
        (VALUES, "warm - cool - rise - cool"),
        ("  warm: 49.0 degC\n  chamber: 290 K\n", "warm - chamber"),
        (VALUES, "warm - 290 K"),
    ] {
        let said = answer(values, find, "").expect_err(find);
        assert_eq!(said.len(), 1, "{find}: {said:?}");
        assert!(said[0].contains("reading"), "{find}: {said:?}");
    }
    let said = answer("  bath: 320 K\n", "bath", "    unit: degC\n").expect_err("kelvins");
    assert!(said[0].contains("may be a reading or a rise"), "{said:?}");
}
