//! Facts that once misled the engine: shares of what is absent, tables read where
//! they end, small masses, recoveries of volume, splits that settle little.

use stillroom::balance::operations::{self, Role};
use stillroom::balance::problem::{At, Component, Curve, Fact, Operation, Problem, Says, What};
use stillroom::balance::{Engine, Fault, Refusal};
use stillroom::quantity::Formula;

fn formula(text: &str) -> Formula {
    Formula::parse(text, |at| at).expect("a formula")
}

/// Salt in water through one operation; streams are numbered as they are named.
fn process(kind: &str, inlets: &[&str], outlets: &[(&'static str, &str)]) -> Problem {
    let mut problem = Problem {
        components: [("salt", Role::Solute), ("water", Role::Solvent)]
            .map(|(name, role)| Component { name: name.to_owned(), role, molar_mass: None })
            .to_vec(),
        ..Problem::default()
    };
    let mut number = |name: &str| {
        problem.streams.push(name.to_owned());
        problem.streams.len() - 1
    };
    let inlets: Vec<usize> = inlets.iter().map(|name| number(name)).collect();
    let outlets = outlets.iter().map(|(port, name)| (*port, number(name))).collect();
    let kind = operations::named(kind).expect("an operation");
    let name = "unit".to_owned();
    problem.operations.push(Operation {
        name,
        kind,
        inlet_keys: vec!["feed"; inlets.len()],
        inlets,
        outlets,
        except: Vec::new(),
        crystal: None,
    });
    problem
}

fn pan() -> Problem {
    process("evaporation", &["feed"], &[("vapour", "steam"), ("concentrate", "strong")])
}

fn amount(stream: usize, of: What, value: &str) -> Fact {
    Fact { at: At::whole(stream), says: Says::Amount { of, formula: formula(value) } }
}

fn share(stream: usize, of: What, value: &str) -> Fact {
    Fact { at: At::whole(stream), says: Says::Share { of, formula: formula(value) } }
}

const SALT: What = What::Component(0);
const WATER: What = What::Component(1);

#[test]
fn a_share_of_what_is_absent_contradicts_the_physics() {
    for (of, value, implied) in [(SALT, "0.05", 0.0), (WATER, "0.9", 1.0)] {
        let mut problem = pan();
        problem.facts =
            vec![amount(0, What::Total, "10"), share(0, SALT, "0.1"), share(1, of, value)];
        problem.asked = vec![formula("feed.salt")];
        let faults = Engine::compile(problem, &[vec![]]).expect_err("steam is water");
        let [Fault::TooMany { facts, gap: Some(gap), .. }] = faults.as_slice() else {
            panic!("{faults:?}");
        };
        assert_eq!((facts.as_slice(), gap.implied), ([2].as_slice(), implied));
    }
}

#[test]
fn all_of_a_stream_may_be_its_one_component() {
    let mut problem = pan();
    problem.facts = vec![
        amount(0, What::Total, "10"),
        share(0, SALT, "0.1"),
        share(1, WATER, "1"),
        share(2, SALT, "0.25"),
    ];
    problem.asked = vec![formula("steam.total")];
    let engine = Engine::compile(problem, &[vec![]]).expect("a sound question");
    let slots = engine.solve(&[]).expect("a version that can be");
    assert!((slots[engine.system.asked[0]] - 6.0).abs() < 1e-12);
}

#[test]
fn a_table_is_not_read_beyond_its_ends() {
    let mut problem = pan();
    problem.values = vec!["warm".to_owned()];
    let table = Curve { name: "salt".to_owned(), points: vec![(273.15, 0.3), (373.15, 0.5)] };
    problem.facts = vec![
        amount(0, What::Total, "10"),
        share(0, SALT, "0.1"),
        Fact {
            at: At::whole(2),
            says: Says::Saturated { solute: 0, solvent: 1, table, at: formula("warm") },
        },
    ];
    problem.asked = vec![formula("strong.water"), formula("strong.salt.fraction")];
    let engine = Engine::compile(problem, &[vec![323.15]]).expect("a sound question");
    let slots = engine.solve(&[323.15]).expect("a version that can be");
    assert!((slots[engine.system.asked[0]] - 1.0 / 0.4).abs() < 1e-12);
    assert!((slots[engine.system.asked[1]] - 0.4 / 1.4).abs() < 1e-12);
    let refusal = engine.solve(&[380.0]).expect_err("the table ends at 100 degC");
    assert_eq!(refusal, Refusal::OffTable { fact: 2, temperature: 380.0 });
}

#[test]
fn a_milligram_too_much_is_a_contradiction_among_milligrams() {
    let mut problem = process("mixing", &["a", "b"], &[("product", "sum")]);
    problem.facts = vec![
        amount(0, What::Total, "0.000001"),
        amount(1, What::Total, "0.000002"),
        amount(2, What::Total, "0.00000300001"),
    ];
    problem.asked = vec![formula("sum.total")];
    let faults = Engine::compile(problem, &[vec![]]).expect_err("the sum is out");
    assert!(
        matches!(&faults[..], [Fault::TooMany { facts, .. }] if facts.len() == 3),
        "{faults:?}"
    );
}

#[test]
fn a_share_of_another_streams_volume_settles_a_mass() {
    let mut problem = process("splitting", &["all"], &[("products", "some"), ("products", "rest")]);
    let of = What::Volume;
    problem.facts = vec![
        amount(0, of, "2"),
        amount(0, What::Density, "1100"),
        amount(1, What::Density, "1100"),
        Fact {
            at: At::whole(1),
            says: Says::ShareOf { of, share: formula("0.25"), other: At::whole(0) },
        },
    ];
    problem.asked = vec![formula("rest.total")];
    let engine = Engine::compile(problem, &[vec![]]).expect("a sound question");
    let slots = engine.solve(&[]).expect("a version that can be");
    assert!((slots[engine.system.asked[0]] - 1650.0).abs() < 1e-9);
}

#[test]
fn a_split_that_settles_too_little_is_told_what_it_lacks() {
    let mut problem = process("splitting", &["all"], &[("products", "some"), ("products", "rest")]);
    problem.facts = vec![amount(1, What::Total, "5")];
    problem.asked = vec![formula("rest.salt.fraction")];
    let faults = Engine::compile(problem, &[vec![]]).expect_err("no composition is told");
    let [Fault::TooFew { would_do, .. }] = faults.as_slice() else { panic!("{faults:?}") };
    assert!(would_do.contains(&(At::whole(0), SALT, true)), "{would_do:?}");
}

#[test]
fn ratios_in_one_part_of_a_split_are_shares_in_the_other() {
    let mut problem = process("splitting", &["all"], &[("products", "some"), ("products", "rest")]);
    problem.facts = vec![
        amount(0, What::Total, "5"),
        Fact {
            at: At::whole(1),
            says: Says::Per { of: SALT, ratio: formula("0.25"), base: WATER },
        },
    ];
    problem.asked = vec![formula("rest.salt.fraction")];
    let engine = Engine::compile(problem, &[vec![]]).expect("a sound question");
    let slots = engine.solve(&[]).expect("a version that can be");
    assert!((slots[engine.system.asked[0]] - 0.2).abs() < 1e-12);
}

#[test]
fn no_process_at_all_is_only_arithmetic() {
    let problem = Problem {
        values: vec!["front".to_owned(), "solvent".to_owned()],
        asked: vec![formula("front / solvent")],
        ..Problem::default()
    };
    let engine = Engine::compile(problem, &[vec![3.0, 4.0]]).expect("a sound question");
    let slots = engine.solve(&[3.0, 4.0]).expect("a version that can be");
    assert_eq!(slots[engine.system.asked[0]], 0.75);
    assert!(matches!(engine.solve(&[3.0, 0.0]), Err(Refusal::NotFinite { .. })));
}
