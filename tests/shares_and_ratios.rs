//! `36 g/100 g water` is a mass for each 100 g of water, never a share of the stream;
//! a mole percentage is no mass percentage. Expected values are worked out by hand:
//! 136 kg of a brine with 36 g per 100 g of water hold 36 kg of salt. Invented figures.

use stillroom::question::Solution;

use written::checked;

mod written;

/// The printed answer of a question about the brine of a pan, or the codes and
/// sentences of its mistakes.
fn answer(values: &str, brine: &str, find: &str, more: &str) -> Result<String, Vec<String>> {
    let data = "```data\nid: curve\ncolumns: temperature in degC\nunit: \"%\"\nrows: {salt: {0: 26.3, 40: 26.7}}\nsource: invented for this test\n```\n";
    let text = format!(
        "---\nid: u\ntitle: U\nobjectives: {{m: Masses}}\n---\n\n{}```question\nid: q\nobjective: m\nprocess:\n  components: {{salt: solute, mud: insoluble, water: solvent}}\n  operations:\n    pan: {{is: evaporation, feed: brine, vapour: steam, concentrate: slurry}}\n{values}given:\n  brine: {{total: 136 kg, {brine}, others: none}}\nfind: {find}\n{more}---\nFind it.\n```\n",
        if brine.contains("saturated") { data } else { "" },
    );
    let (model, errors) = checked(text);
    let Some(question) = model.questions.first().filter(|_| errors.is_empty()) else {
        return Err(errors);
    };
    let solution =
        Solution::of(question, &vec![0; question.axes().len()]).expect("a version that can be");
    let answer = solution.answers().remove(0);
    Ok(format!("{} {}", answer.printed, answer.unit.print()).trim().replace('\u{202f}', " "))
}

#[test]
fn a_ratio_to_water_is_one_wherever_it_is_written() {
    let drawn = "values:\n  sol: 36.0 g/100 g water\n";
    let half = "values:\n  twice: 72.0 g/100 g water\n  sol: = twice / 2\n";
    let share = "values:\n  sol: 36.0 g/100 g water\n  weak: = sol / (1 + sol)\n";
    for (values, brine) in [
        ("", "salt: 36.0 g/100 g water, water: 100 kg"),
        ("", "salt: 36.0 g per 100 g water, water: 100 kg"),
        (drawn, "salt: sol, water: 100 kg"),
        (half, "salt: sol, water: 100 kg"),
        (share, "salt: weak, water: 100 kg"),
    ] {
        assert_eq!(answer(values, brine, "brine.salt", ""), Ok("36.0 kg".into()), "{brine}");
    }
    // A share of the stream stays one.
    assert_eq!(answer("", "salt: 36.0 %, water: 87.04 kg", "brine.salt", ""), Ok("49.0 kg".into()));
    assert_eq!(
        answer(drawn, "salt: sol, water: 100 kg", "sol", ""),
        Ok("36.0 g/100 g water".into())
    );
}

#[test]
fn what_does_not_say_of_what_is_refused() {
    for (values, brine, find, more, code) in [
        ("", "salt: 36.0 g/100 g, water: 100 kg", "brine.salt", "", "bad-fact"),
        (
            "values:\n  sol: 36.0 g/100 g water\n",
            "salt: 0.5 * sol, water: 100 kg",
            "brine.salt",
            "",
            "bad-fact",
        ),
        ("", "salt: 20 mol%, water: 100 kg", "brine.salt", "", "formula-missing"),
        (
            "values:\n  weak: 20 mol%\n",
            "salt: weak, water: 100 kg",
            "brine.salt",
            "",
            "formula-missing",
        ),
        (
            "",
            "salt: 36.0 kg, water: 100 kg",
            "brine.salt.fraction",
            "unit: mol%\n",
            "unit-mismatch",
        ),
        (
            "",
            "salt: 36.0 kg, water: 100 kg",
            "brine.salt.fraction",
            "unit: g/100 g water\n",
            "unit-mismatch",
        ),
        ("", "salt: saturated at 20 degC, water: 100 kg", "brine.salt", "", "unit-mismatch"),
    ] {
        let said = answer(values, brine, find, more).expect_err(brine);
        assert_eq!(said.len(), 1, "{brine}: {said:?}");
        assert!(said[0].starts_with(code), "{brine}: {said:?}");
    }
}
