//! What must hold of the engine for any process: random flowsheets are run
//! forwards first, some of the truth is told, and the engine has to find the rest.

mod engine_flowsheets;

use engine_flowsheets::{Dice, Sheet, Size};
use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestCaseError, TestRng, TestRunner};
use stillroom::balance::problem::{At, What};
use stillroom::balance::{Engine, Fault, Node};

/// Flat code and steps agree so far, relative to the value or to the largest amount
/// of a version.
const SAME: f64 = 1e-10;

/// A question that the engine has compiled, and what its answers must be.
struct Asked {
    sheet: Sheet,
    engine: Engine,
    answers: Vec<f64>,
}

enum Outcome {
    /// The dice gave no process, or nothing to ask.
    Nothing,
    /// No route, or several answers of which the truth is one.
    NoRoute,
    /// A fact that was said to settle a question did not, or is nothing to tell.
    BadAdvice,
    Compiled(Box<Asked>),
}

/// How many processes came out how.
#[derive(Debug, Default)]
struct Tally {
    compiled: u32,
    no_route: u32,
    bad_advice: u32,
    /// Solved rightly, yet refused: the second solve went to a false solution of
    /// its own, or to none.
    doubted: u32,
}

fn close(found: f64, truth: f64) -> bool {
    (found - truth).abs() <= 1e-9 * truth.abs()
}

/// Tells random facts, then what the engine asks for, until it compiles.
fn ask(dice: &mut Dice, size: Size) -> Result<Outcome, TestCaseError> {
    let Some(mut sheet) = Sheet::random(dice, size) else { return Ok(Outcome::Nothing) };
    sheet.tell_absences();
    let mut answers = Vec::new();
    for _ in 0..1 + dice.below(3) {
        if let Some((asked, answer)) = sheet.random_asked(dice) {
            sheet.problem.asked.push(asked);
            answers.push(answer);
        }
    }
    if answers.is_empty() {
        return Ok(Outcome::Nothing);
    }
    for _ in 0..1 + dice.below(2 * sheet.masses.len()) {
        let fact = sheet.random_fact(dice);
        sheet.problem.facts.extend(fact);
    }
    // What the engine said would settle this formula, and was then told.
    let mut told = None;
    for _ in 0..60 {
        let faults =
            match Engine::compile(sheet.problem.clone(), std::slice::from_ref(&sheet.values)) {
                Ok(engine) => {
                    return Ok(Outcome::Compiled(Box::new(Asked { sheet, engine, answers })));
                }
                Err(faults) => faults,
            };
        match faults.first() {
            Some(Fault::NoRoute { .. }) => return Ok(Outcome::NoRoute),
            Some(Fault::SeveralRoots { formula, values }) => {
                let asked = sheet.problem.asked.iter().position(|asked| asked == formula);
                let truth = asked.map_or(f64::NAN, |number| answers[number]);
                let is_among = values.iter().any(|value| (value - truth).abs() <= 1e-6 * truth);
                prop_assert!(is_among, "{truth} is not among {values:?}");
                return Ok(Outcome::NoRoute);
            }
            Some(Fault::TooFew { formula, would_do }) => {
                let is_nothing = |(at, of, _): &(At, What, bool)| sheet.amount(*at, *of) == 0.0;
                if told.as_ref() == Some(formula) || would_do.iter().any(is_nothing) {
                    return Ok(Outcome::BadAdvice);
                }
                if would_do.is_empty() {
                    let fact = sheet.random_fact(dice);
                    sheet.problem.facts.extend(fact);
                    continue;
                }
                let (at, of, is_share) = would_do[dice.below(would_do.len())];
                told = Some(formula.clone());
                let fact =
                    if is_share { sheet.tell_share(at, of) } else { sheet.tell_amount(at, of) };
                sheet.problem.facts.push(fact);
            }
            _ => return Err(TestCaseError::fail(format!("true facts said to clash: {faults:?}"))),
        }
    }
    Ok(Outcome::Nothing)
}

/// Runs a property on the same processes every time; its seed is printed if it
/// fails. Few may end without a route or with bad advice.
fn for_processes(
    cases: u32,
    size: Size,
    mut property: impl FnMut(&mut Dice, &Asked, &mut Tally) -> Result<(), TestCaseError>,
) {
    let config =
        Config { cases, max_shrink_iters: 0, failure_persistence: None, ..Config::default() };
    let rng = TestRng::deterministic_rng(RngAlgorithm::ChaCha);
    let state = std::cell::RefCell::new((&mut property, Tally::default()));
    TestRunner::new_with_rng(config, rng)
        .run(&any::<u64>(), |seed| {
            let dice = &mut Dice::new(seed);
            let (property, tally) = &mut *state.borrow_mut();
            match ask(dice, size)? {
                Outcome::Nothing => {}
                Outcome::NoRoute => tally.no_route += 1,
                Outcome::BadAdvice => tally.bad_advice += 1,
                Outcome::Compiled(asked) => {
                    tally.compiled += 1;
                    property(dice, &asked, tally)?;
                }
            }
            Ok(())
        })
        .unwrap_or_else(|error| panic!("{error}"));
    let tally = state.into_inner().1;
    let most = |percent: u32| 1 + cases * percent / 100;
    assert!(tally.compiled > cases / 2, "{tally:?}");
    assert!(tally.no_route <= most(4), "{tally:?}");
    assert!(tally.bad_advice <= most(1) && tally.doubted <= most(1), "{tally:?}");
}

/// Solves a version that is known to be possible; None where the second solve
/// refuses what the plan found rightly.
fn solved(
    engine: &Engine,
    values: &[f64],
    answers: &[f64],
    tally: &mut Tally,
) -> Result<Option<Vec<f64>>, TestCaseError> {
    let solved = engine.solve(values);
    if solved.is_err() {
        tally.doubted += 1;
    }
    runs_as_its_steps_say(engine, values)?;
    let slots = engine.run(values);
    for (slot, answer) in engine.system.asked.iter().zip(answers) {
        prop_assert!(close(slots[*slot], *answer), "{} is not {answer}", slots[*slot]);
    }
    Ok(solved.ok())
}

/// The flat code that versions are run by finds what the plan's steps find one by
/// one, to rounding: its lets are settled by other means.
fn runs_as_its_steps_say(engine: &Engine, values: &[f64]) -> Result<(), TestCaseError> {
    let flat = engine.run(values);
    let steps = engine.run_rounded(values, &|_, value| value);
    prop_assert_eq!(flat.len(), steps.len());
    let nodes = &engine.system.nodes;
    let is_amount = |slot: usize| matches!(nodes[slot], Node::Amount(..));
    let amounts = (0..nodes.len()).filter(|slot| is_amount(*slot) && steps[*slot].is_finite());
    let largest = amounts.fold(0.0f64, |most, slot| most.max(steps[slot].abs()));
    for (slot, (flat, step)) in flat.iter().zip(&steps).enumerate() {
        let size = if is_amount(slot) { largest } else { step.abs().max(1.0) };
        let same = (flat - step).abs() <= SAME * size || flat.is_nan() && step.is_nan();
        prop_assert!(same, "{:?}: {flat} and {step}", nodes[slot]);
    }
    Ok(())
}

/// Whatever was found on the way is true as well, and what enters leaves.
fn all_is_true(asked: &Asked, tally: &mut Tally) -> Result<(), TestCaseError> {
    let Asked { sheet, engine, answers } = asked;
    let Some(slots) = solved(engine, &sheet.values, answers, tally)? else { return Ok(()) };
    let components = (0..sheet.problem.components.len()).map(What::Component);
    let all: Vec<What> = components.chain([What::Total]).collect();
    let found = |stream: usize, of: What| {
        engine.slot_of(Node::Amount(At::whole(stream), of)).map(|slot| slots[slot])
    };
    for stream in 0..sheet.masses.len() {
        for of in &all {
            if let Some(value) = found(stream, *of) {
                let truth = sheet.amount(At::whole(stream), *of);
                let size = sheet.total(stream).max(truth);
                prop_assert!((value - truth).abs() <= 1e-9 * size);
            }
        }
    }
    for envelope in &engine.system.envelopes {
        for of in &all {
            let sum = |streams: &[usize]| -> Option<f64> {
                streams.iter().map(|stream| found(*stream, *of)).sum()
            };
            if let (Some(enters), Some(leaves)) = (sum(&envelope.inlets), sum(&envelope.outlets)) {
                let size: f64 = envelope.inlets.iter().map(|s| sheet.total(*s)).sum();
                prop_assert!((enters - leaves).abs() <= 1e-9 * size, "{enters} in, {leaves} out");
            }
        }
    }
    Ok(())
}

#[test]
fn what_is_found_in_small_processes_is_the_truth() {
    for_processes(5600, Size::SMALL, |_, asked, tally| all_is_true(asked, tally));
}

#[test]
fn what_is_found_in_usual_processes_is_the_truth() {
    for_processes(400, Size::USUAL, |_, asked, tally| all_is_true(asked, tally));
}

#[test]
fn what_is_found_in_large_processes_is_the_truth() {
    for_processes(40, Size::LARGE, |_, asked, tally| all_is_true(asked, tally));
}

#[test]
fn the_order_of_telling_changes_no_value() {
    for_processes(2000, Size::SMALL, |dice, asked, tally| {
        let Asked { sheet, answers, .. } = asked;
        let problem = sheet.reordered(dice);
        match Engine::compile(problem, std::slice::from_ref(&sheet.values)) {
            Ok(engine) => solved(&engine, &sheet.values, answers, tally).map(|_| ()),
            Err(faults)
                if matches!(faults[..], [Fault::NoRoute { .. } | Fault::SeveralRoots { .. }]) =>
            {
                tally.no_route += 1;
                Ok(())
            }
            Err(faults) => Err(TestCaseError::fail(format!("in this order: {faults:?}"))),
        }
    });
}

#[test]
fn larger_feeds_make_larger_flows_of_the_same_compositions() {
    for_processes(2000, Size::SMALL, |dice, asked, tally| {
        let Asked { sheet, engine, answers } = asked;
        let factor = [1e-4, 0.5, 37.0][dice.below(3)];
        let scaled = |(value, is_amount): (&f64, &bool)| {
            if *is_amount { value * factor } else { *value }
        };
        let values: Vec<f64> = sheet.values.iter().zip(&sheet.amounts).map(scaled).collect();
        let is_share =
            |slot: &usize| matches!(engine.system.nodes[*slot], Node::Share(..) | Node::One);
        let grown = engine.system.asked.iter().zip(answers);
        let answers: Vec<f64> =
            grown.map(|(slot, a)| if is_share(slot) { *a } else { a * factor }).collect();
        solved(engine, &values, &answers, tally).map(|_| ())
    });
}
