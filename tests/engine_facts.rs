//! Facts that once misled the engine: shares of what is absent, tables read where
//! they end, small masses, recoveries of volume, splits that settle little. And
//! unknowns: two at once, on a curve, with several roots, beside other versions.

use stillroom::balance::operations::{self, Role};
use stillroom::balance::problem::{
    At, Component, Curve, Equation, Fact, Operation, Problem, Says, What,
};
use stillroom::balance::{Engine, Fault, Pin, Refusal, Route, Step};
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

/// The answer to the only question asked.
fn answer(engine: &Engine, values: &[f64]) -> f64 {
    let slots = engine.solve(values).expect("a version that can be");
    slots[engine.system.asked[0]]
}

#[test]
fn three_feeds_are_blended_with_two_unknowns() {
    let mut problem = process("mixing", &["lean", "mid", "rich"], &[("product", "blend")]);
    problem.components.push(Component {
        name: "silt".to_owned(),
        role: Role::Insoluble,
        molar_mass: None,
    });
    let silt = What::Component(2);
    let shares = [("0.05", "0.1"), ("0.2", "0.05"), ("0.4", "0.3"), ("0.25", "0.14")];
    problem.facts = vec![amount(3, What::Total, "100")];
    for (stream, (of_salt, of_silt)) in shares.into_iter().enumerate() {
        problem.facts.extend([share(stream, SALT, of_salt), share(stream, silt, of_silt)]);
    }
    problem.asked = vec![formula("rich.total")];
    let engine = Engine::compile(problem, &[vec![]]).expect("a sound question");
    let unknowns = engine.plan.steps.iter().find_map(|step| match step {
        Step::Let(letting) => Some(letting.unknowns.len()),
        _ => None,
    });
    assert_eq!(unknowns, Some(2));
    // By hand with l and m for the other two: 0.35 l + 0.2 m = 15, 0.2 l + 0.25 m = 16,
    // so l = 2.75 / 0.2375 and m = (15 - 0.35 l) / 0.2.
    let l = 2.75 / 0.2375;
    let m = (15.0 - 0.35 * l) / 0.2;
    assert!((answer(&engine, &[]) - (100.0 - l - m)).abs() < 1e-9);
}

/// A drum that parts a feed, half of it salt, in two of the given share.
fn drum(relation: &str, top: &str) -> Problem {
    let mut problem =
        process("separation", &["feed"], &[("products", "top"), ("products", "bottom")]);
    problem.values = vec!["taken".to_owned()];
    problem.facts =
        vec![amount(0, What::Total, "100"), share(0, SALT, "0.5"), amount(1, What::Total, top)];
    let (left, right) = relation.split_once(" = ").expect("two sides");
    problem.relations = vec![Equation { left: formula(left), right: formula(right), says: None }];
    problem.asked = vec![formula("bottom.salt.fraction")];
    problem
}

const EQUILIBRIUM: &str =
    "top.salt.fraction = 2.5 * bottom.salt.fraction / (1 + 1.5 * bottom.salt.fraction)";

#[test]
fn one_root_of_a_curve_is_possible() {
    let engine = Engine::compile(drum(EQUILIBRIUM, "taken"), &[vec![40.0], vec![70.0]])
        .expect("a sound question");
    // By hand, with a share f taken and x in the bottom: multiplied out,
    // 1.5 (1 - f) x^2 + (2.5 f + 1 - f - 0.75) x - 0.5 = 0.
    for taken in [5.0, 40.0, 70.0, 95.0] {
        let f: f64 = taken / 100.0;
        let (a, b) = (1.5 * (1.0 - f), 1.5 * f + 0.25);
        let x = (-b + (b * b + 2.0 * a).sqrt()) / (2.0 * a);
        assert!((answer(&engine, &[taken]) - x).abs() < 1e-12, "{taken}");
    }
}

#[test]
fn several_possible_roots_are_told() {
    let mut problem = drum("top.salt.fraction = 1 - bottom.salt.fraction", "taken");
    problem.facts[1] = share(0, SALT, "0.4");
    problem.facts[2] = amount(1, SALT, "30");
    problem.asked = vec![formula("top.total")];
    let faults = Engine::compile(problem, &[vec![0.0]]).expect_err("two totals are possible");
    let [Fault::SeveralRoots { values, .. }] = faults.as_slice() else { panic!("{faults:?}") };
    // By hand: t^2 - 120 t + 3000 = 0.
    let apart = 600f64.sqrt();
    let expected = [60.0 - apart, 60.0 + apart];
    assert_eq!(values.len(), 2);
    assert!(values.iter().zip(expected).all(|(v, e)| (v - e).abs() < 1e-9), "{values:?}");
}

#[test]
fn a_version_that_no_root_fits_is_refused() {
    let relation = "top.salt.fraction * bottom.salt.fraction = taken";
    let engine = Engine::compile(drum(relation, "50"), &[vec![0.24]]);
    // The shares add up to 1 here, so their product is at most a quarter; below that
    // either may be the larger.
    let faults = engine.expect_err("two roots");
    assert!(matches!(faults[..], [Fault::SeveralRoots { .. }]), "{faults:?}");
    let relation = "top.salt.fraction = taken + bottom.salt.fraction ^ 2";
    let engine = Engine::compile(drum(relation, "50"), &[vec![0.2]]).expect("a sound question");
    // By hand: 1 - x = taken + x^2.
    assert!((answer(&engine, &[0.2]) - (4.2f64.sqrt() - 1.0) / 2.0).abs() < 1e-12);
    let refusal = engine.solve(&[1.5]).expect_err("no share is above 1");
    assert!(matches!(refusal, Refusal::Unclosed { roots: 0, .. }), "{refusal:?}");
}

#[test]
fn a_route_holds_in_every_sample() {
    let mut problem = process("mixing", &["a", "b"], &[("product", "sum")]);
    problem.values = vec!["salt".to_owned(), "share".to_owned()];
    problem.facts = vec![
        amount(0, SALT, "salt"),
        share(0, SALT, "share"),
        amount(1, SALT, "1"),
        amount(1, WATER, "5"),
        amount(2, What::Total, "10"),
    ];
    problem.asked = vec![formula("a.total")];
    let with_salt = vec![2.0, 0.5];
    // With no salt in it, its share tells nothing of the total.
    let without = vec![0.0, 0.0];
    let short = Engine::compile(problem.clone(), std::slice::from_ref(&with_salt)).expect("sound");
    assert!(matches!(short.solve(&without), Err(Refusal::NotFinite { .. })));
    let engine = Engine::compile(problem, &[with_salt.clone(), without.clone()]).expect("sound");
    for values in [with_salt, without] {
        assert!((answer(&engine, &values) - 4.0).abs() < 1e-12);
    }
}

#[test]
fn a_pinned_balance_is_used_and_a_barred_one_is_not() {
    let problem = {
        let mut problem = pan();
        problem.facts =
            vec![amount(0, What::Total, "10"), share(0, SALT, "0.1"), share(2, SALT, "0.25")];
        problem.asked = vec![formula("steam.total")];
        problem
    };
    let balance = |of: What| Pin { of, operations: vec![0], asked: 0..1 };
    let uses = |engine: &Engine, pin: &Pin| {
        let relation = pin.relation(&engine.system);
        engine.plan.steps.iter().flat_map(Step::relations).any(|used| Some(used) == relation)
    };
    let (total, water) = (balance(What::Total), balance(WATER));
    for (pinned, forbidden) in [(&water, None), (&total, None), (&water, Some(&total))] {
        let route = Route {
            pinned: vec![pinned.clone()],
            forbidden: forbidden.into_iter().cloned().collect(),
        };
        let engine = Engine::compile_by(problem.clone(), &[vec![]], &route).expect("a route");
        assert!(uses(&engine, pinned) && !forbidden.is_some_and(|pin| uses(&engine, pin)));
        assert!((answer(&engine, &[]) - 6.0).abs() < 1e-12);
    }
    let route = Route { pinned: vec![balance(What::Component(7))], forbidden: Vec::new() };
    let faults = Engine::compile_by(problem, &[vec![]], &route).expect_err("no such balance");
    assert_eq!(faults, [Fault::RouteNotTaken { pin: 0 }]);
}

#[test]
fn proportions_need_no_amount() {
    let mut problem = pan();
    problem.facts = vec![share(0, SALT, "0.1"), share(2, SALT, "0.25")];
    problem.asked = vec![formula("steam.total / feed.water")];
    let engine = Engine::compile(problem, &[vec![]]).expect("a sound question");
    // By hand: of 10 kg feed, 1 kg is salt, so 4 kg stay and 6 of 9 kg of water leave.
    assert!((answer(&engine, &[]) - 6.0 / 9.0).abs() < 1e-12);
}

#[test]
fn an_unknown_far_from_the_sample_keeps_its_figures() {
    let mut problem = pan();
    problem.values = vec!["steamed".to_owned(), "salty".to_owned()];
    problem.facts =
        vec![amount(1, What::Total, "steamed"), share(0, SALT, "salty"), share(2, SALT, "0.25")];
    problem.asked = vec![formula("feed.total")];
    let engine = Engine::compile(problem, &[vec![10.0, 0.1]]).expect("a sound question");
    assert!(engine.plan.steps.iter().any(|step| matches!(step, Step::Let(_))));
    // By hand: feed x (0.25 - salty) = 0.25 steamed. The last share is nearly that of
    // the strong liquor, and exact in binary.
    for steamed in [10.0, 3e-9, 7e11] {
        for salty in [0.1, 0.25 - 2f64.powi(-16)] {
            let feed = 0.25 * steamed / (0.25 - salty);
            let found = engine.run(&[steamed, salty])[engine.system.asked[0]];
            assert!((found - feed).abs() <= 1e-11 * feed, "{found} is not {feed}");
        }
    }
}
