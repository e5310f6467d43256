//! Liquor that a solid keeps, or does not. Expected values are worked out by hand
//! beside each case; the figures are invented.

use stillroom::question::Solution;

use written::checked;

mod written;

/// The value of what is asked, in base units.
fn answer(operation: &str, given: &str, find: &str) -> f64 {
    let text = format!(
        "---\nid: u\ntitle: U\nobjectives: {{m: Masses}}\n---\n\n```question\nid: q\nobjective: m\nprocess:\n  components: {{salt: solute, sand: insoluble, clay: insoluble, water: solvent}}\n  groups: {{ground: [sand, clay]}}\n  operations:\n    vessel: {operation}\ngiven:\n{given}find: {find}\n---\nFind it.\n```\n"
    );
    let (model, errors) = checked(text);
    assert_eq!(errors, Vec::<String>::new(), "{given}");
    let solution = Solution::of(&model.questions[0], &[]).expect("a version that can be");
    solution.answers().remove(0).value
}

/// 10 kg of dry cake from 100 kg leave 90 kg of filtrate.
#[test]
fn a_cake_may_hold_no_liquor() {
    let filter = "{is: filtration, feed: slurry, cake: cake, filtrate: filtrate}";
    for dry in ["liquor: none", "liquor: 0 %", "solids: 100 %"] {
        let given =
            format!("  slurry: {{total: 100 kg, sand: 10 %, clay: none}}\n  cake: {{{dry}}}\n");
        let filtrate = answer(filter, &given, "filtrate.total");
        assert!((filtrate - 90.0).abs() < 1e-9, "{dry}: {filtrate}");
    }
}

/// Two stages in counter-current, twice as much water as liquor: 1/(1 + 2 + 4) of the
/// salt is left, 40 kg / 7 (the closed form of washing with constant underflow,
/// common practice, no source).
#[test]
fn what_a_solid_keeps_holds_for_each_stage_said_or_not() {
    let drums = "{is: washing, flow: counter-current, stages: 2, feed: tailings, solvent: fresh, residue: washed, extract: washings}";
    for kept in ["same as tailings", "same as tailings each stage", "200 kg each stage"] {
        let given = format!(
            "  tailings: {{sand: 600 kg, clay: none}}\n  tailings.liquor: {{total: 200 kg, salt: 20 %}}\n  fresh: {{total: 400 kg, is: pure water}}\n  washed: {{liquor: {kept}}}\n"
        );
        let left = answer(drums, &given, "washed.salt");
        assert!((left - 40.0 / 7.0).abs() < 1e-9, "{kept}: {left}");
    }
}

/// The solvent of a leach brings no solids, though the author does not say so: 700 kg
/// of ground keep 175 kg of liquor, of which 540 kg in 2700 kg is salt: 35 kg.
#[test]
fn the_solvent_of_a_leach_is_clear() {
    let tank = "{is: leaching, feed: ore, solvent: brine, residue: tailings, extract: strong}";
    let given = "  ore: {total: 1000 kg, salt: 30 %, clay: 6 %, rest: sand}\n  brine: {total: 2400 kg, salt: 10 %}\n  tailings: {liquor: 0.25 per ground}\n";
    let kept = answer(tank, given, "tailings.salt");
    assert!((kept - 35.0).abs() < 1e-9, "{kept}");
}
