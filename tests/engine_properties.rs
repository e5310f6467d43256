//! What must hold of the engine for any process: random flowsheets are run
//! forwards first, some of the truth is told, and the engine has to find the rest.

mod engine_flowsheets;

use engine_flowsheets::{Dice, Sheet, Size};
use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestCaseError, TestRng, TestRunner};
use stillroom::balance::problem::{At, What};
use stillroom::balance::{Engine, Fault, Node};

/// A question that the engine has compiled, and what its answers must be.
struct Asked {
    sheet: Sheet,
    engine: Engine,
    answers: Vec<f64>,
}

enum Outcome {
    /// The dice gave no process, or nothing to ask.
    Nothing,
    NoRoute,
    Compiled(Box<Asked>),
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
            Some(Fault::TooFew { formula, would_do }) => {
                prop_assert!(told.as_ref() != Some(formula), "what would do did not");
                let real: Vec<(At, What, bool)> = would_do
                    .iter()
                    .copied()
                    .filter(|(at, of, _)| sheet.amount(*at, *of) != 0.0)
                    .collect();
                prop_assert_eq!(real.len(), would_do.len(), "nothing is not worth telling");
                if real.is_empty() {
                    let fact = sheet.random_fact(dice);
                    sheet.problem.facts.extend(fact);
                    continue;
                }
                let (at, of, is_share) = real[dice.below(real.len())];
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

/// Runs a property on the same processes every time; its seed is printed if it fails.
fn for_processes(cases: u32, mut property: impl FnMut(&mut Dice) -> Result<(), TestCaseError>) {
    let config =
        Config { cases, max_shrink_iters: 0, failure_persistence: None, ..Config::default() };
    let rng = TestRng::deterministic_rng(RngAlgorithm::ChaCha);
    let property = std::cell::RefCell::new(&mut property);
    TestRunner::new_with_rng(config, rng)
        .run(&any::<u64>(), |seed| (property.borrow_mut())(&mut Dice::new(seed)))
        .unwrap_or_else(|error| panic!("{error}"));
}

#[test]
fn what_is_found_is_the_truth() {
    let (mut compiled, mut no_route) = (0, 0);
    for_processes(90, |dice| {
        let asked = match ask(dice, Size::USUAL)? {
            Outcome::Nothing => return Ok(()),
            Outcome::NoRoute => {
                no_route += 1;
                return Ok(());
            }
            Outcome::Compiled(asked) => asked,
        };
        compiled += 1;
        let Asked { sheet, engine, answers } = *asked;
        let slots = engine
            .solve(&sheet.values)
            .map_err(|refusal| TestCaseError::fail(format!("refused: {refusal:?}")))?;
        for (slot, answer) in engine.system.asked.iter().zip(&answers) {
            prop_assert!(close(slots[*slot], *answer), "{} is not {answer}", slots[*slot]);
        }
        // Whatever else was found on the way is true as well, so balances close.
        for stream in 0..sheet.masses.len() {
            let components = (0..sheet.problem.components.len()).map(What::Component);
            for of in components.chain([What::Total]) {
                let at = At::whole(stream);
                if let Some(slot) = engine.slot_of(Node::Amount(at, of)) {
                    let truth = sheet.amount(at, of);
                    let size = sheet.total(stream).max(truth);
                    prop_assert!((slots[slot] - truth).abs() <= 1e-9 * size);
                }
            }
        }
        Ok(())
    });
    let share = f64::from(no_route) / f64::from(no_route + compiled);
    assert!(compiled > 45 && share < 0.08, "{no_route} without a route, {compiled} compiled");
}

#[test]
fn the_order_of_telling_changes_no_value() {
    for_processes(20, |dice| {
        let Outcome::Compiled(asked) = ask(dice, Size::USUAL)? else { return Ok(()) };
        let Asked { sheet, answers, .. } = *asked;
        let problem = sheet.reordered(dice);
        let engine = Engine::compile(problem, std::slice::from_ref(&sheet.values))
            .map_err(|faults| TestCaseError::fail(format!("in this order: {faults:?}")))?;
        let slots = engine
            .solve(&sheet.values)
            .map_err(|refusal| TestCaseError::fail(format!("refused: {refusal:?}")))?;
        for (slot, answer) in engine.system.asked.iter().zip(&answers) {
            prop_assert!(close(slots[*slot], *answer), "{} is not {answer}", slots[*slot]);
        }
        Ok(())
    });
}

#[test]
fn larger_feeds_make_larger_flows_of_the_same_compositions() {
    for_processes(20, |dice| {
        let Outcome::Compiled(asked) = ask(dice, Size::USUAL)? else { return Ok(()) };
        let Asked { sheet, engine, answers } = *asked;
        let factor = [1e-4, 0.5, 37.0][dice.below(3)];
        let values: Vec<f64> = sheet
            .values
            .iter()
            .zip(&sheet.amounts)
            .map(|(value, is_amount)| if *is_amount { value * factor } else { *value })
            .collect();
        let slots = engine
            .solve(&values)
            .map_err(|refusal| TestCaseError::fail(format!("refused: {refusal:?}")))?;
        for (slot, answer) in engine.system.asked.iter().zip(&answers) {
            let scaled = match engine.system.nodes[*slot] {
                Node::Share(..) | Node::One => *answer,
                _ => answer * factor,
            };
            prop_assert!(close(slots[*slot], scaled), "{} is not {scaled}", slots[*slot]);
        }
        Ok(())
    });
}
