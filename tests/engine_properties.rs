//! What must hold of the engine for any process: random flowsheets are run
//! forwards first, some of the truth is told, and the engine has to find the rest.

mod engine_flowsheets;

use engine_flowsheets::{Dice, Sheet, formula};
use stillroom::balance::problem::{At, What};
use stillroom::balance::{Engine, Fault};

#[derive(Debug, Default)]
struct Verdicts {
    compiled: usize,
    no_route: usize,
    gave_up: usize,
}

fn explore(seed: u64, verdicts: &mut Verdicts) {
    let mut dice = Dice::new(seed);
    let Some(mut sheet) = Sheet::random(&mut dice) else { return };
    sheet.tell_absences();
    let mut answers = Vec::new();
    for _ in 0..1 + dice.below(3) {
        if let Some((asked, answer)) = sheet.random_asked(&mut dice) {
            sheet.problem.asked.push(asked);
            answers.push(answer);
        }
    }
    if answers.is_empty() {
        return;
    }
    for _ in 0..1 + dice.below(2 * sheet.masses.len()) {
        if let Some(fact) = sheet.random_fact(&mut dice) {
            sheet.problem.facts.push(fact);
        }
    }
    let mut added = None;
    for _ in 0..25 {
        match Engine::compile(sheet.problem.clone(), &[sheet.values.clone()]) {
            Ok(engine) => {
                verdicts.compiled += 1;
                let slots = match engine.solve(&sheet.values) {
                    Ok(slots) => slots,
                    Err(e) => {
                        println!("seed {seed}: REFUSED {e:?}\n{}", show(&sheet));
                        return;
                    }
                };
                for (number, answer) in answers.iter().enumerate() {
                    let found = slots[engine.system.asked[number]];
                    if (found - answer).abs() > 1e-9 * answer.abs() {
                        println!(
                            "seed {seed}: asked {number} is {found}, truth {answer}\n{}",
                            show(&sheet)
                        );
                    }
                }
                return;
            }
            Err(faults) => match &faults[0] {
                Fault::NoRoute { formula } => {
                    verdicts.no_route += 1;
                    println!("seed {seed}: NOROUTE {formula:?}\n{}", show(&sheet));
                    return;
                }
                Fault::TooMany { .. } => {
                    println!("seed {seed}: TOOMANY {faults:?}\n{}", show(&sheet));
                    return;
                }
                Fault::TooFew { formula, would_do } => {
                    if added.as_ref() == Some(formula) {
                        println!("seed {seed}: suggestion did not settle {}", show(&sheet));
                    }
                    added = None;
                    let real: Vec<_> = would_do
                        .iter()
                        .filter(|(at, of, _)| sheet.amount(*at, *of) != 0.0)
                        .collect();
                    if real.len() < would_do.len() {
                        println!("seed {seed}: zero suggested");
                    }
                    if real.is_empty() {
                        if let Some(fact) = sheet.random_fact(&mut dice) {
                            sheet.problem.facts.push(fact);
                        }
                        continue;
                    }
                    let (at, of, share) = *real[dice.below(real.len())];
                    let fact =
                        if share { sheet.tell_share(at, of) } else { sheet.tell_amount(at, of) };
                    sheet.problem.facts.push(fact);
                    added = Some(formula.clone());
                }
            },
        }
    }
    verdicts.gave_up += 1;
}

fn show(sheet: &Sheet) -> String {
    use std::fmt::Write;
    let mut out = String::new();
    let p = &sheet.problem;
    let name = |s: &usize| p.streams[*s].clone();
    writeln!(out, "  comps {:?}", p.components.iter().map(|c| c.role).collect::<Vec<_>>()).unwrap();
    for o in &p.operations {
        writeln!(
            out,
            "  {} {}: {:?} -> {:?}",
            o.name,
            o.kind.name,
            o.inlets.iter().map(name).collect::<Vec<_>>(),
            o.outlets.iter().map(|(k, s)| format!("{k} {}", name(s))).collect::<Vec<_>>()
        )
        .unwrap();
    }
    for f in &p.facts {
        use stillroom::balance::problem::Says::*;
        let says = match &f.says {
            Amount { of, .. } => format!("amount {of:?}"),
            Share { of, .. } => format!("share {of:?}"),
            ShareOf { of, other, .. } => format!("recovery {of:?} of {}", name(&other.stream)),
            Per { of, base, .. } => format!("ratio {of:?}/{base:?}"),
            Absent(c) => format!("absent {c:?}"),
            SameAs { .. } | Saturated { .. } => String::new(),
        };
        writeln!(out, "  {}: {says}", name(&f.at.stream)).unwrap();
    }
    for a in &p.asked {
        writeln!(
            out,
            "  ask {}",
            a.names().map(|(p, _)| p.join(".")).collect::<Vec<_>>().join(" ")
        )
        .unwrap();
    }
    for (s, m) in sheet.masses.iter().enumerate() {
        writeln!(out, "  {} = {m:?}", name(&s)).unwrap();
    }
    out
}

#[test]
fn explore_all() {
    let mut verdicts = Verdicts::default();
    let n: u64 = std::env::var("N").ok().and_then(|n| n.parse().ok()).unwrap_or(200);
    let from: u64 = std::env::var("FROM").ok().and_then(|n| n.parse().ok()).unwrap_or(0);
    for seed in from..from + n {
        let t = std::time::Instant::now();
        explore(seed, &mut verdicts);
        if t.elapsed().as_secs_f64() > 2.0 {
            println!("seed {seed} took {:?}", t.elapsed());
        }
    }
    println!("{verdicts:?}");
    let _ = (formula("1"), At::whole(0), What::Total);
}
