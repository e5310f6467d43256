//! The working of a let: what is let be x, the quantities in terms of it, the
//! relation that closes the loop, and x.

use crate::balance::{Find, Relation, Shape, Slot, is_equality};
use crate::quantity::{Unit, print_number, round_figures};

use super::solution::with_unit;
use super::{Solution, WorkedStep, words};

/// Figures of the numbers beside x.
const FIGURES: u32 = 5;

/// A quantity that is a + b x, in the unit it is shown in.
struct Line {
    a: f64,
    b: f64,
    /// Both trials and a third lie on the line.
    straight: bool,
}

/// The steps of a let, as a teacher writes them.
pub(super) fn steps(
    solution: &Solution<'_>,
    part: usize,
    x: Slot,
    trials: [f64; 2],
    inner: &[Find],
    close: usize,
) -> Vec<WorkedStep> {
    let engine = &solution.checked.engine;
    let system = &engine.system;
    let unit_x = solution.unit_of(x);
    let third = 0.5 * (trials[0] + trials[1]) * 1.1;
    let runs: Vec<(f64, Vec<f64>)> = [trials[0], trials[1], third]
        .into_iter()
        .map(|trial| {
            let mut slots = solution.slots.clone();
            slots[x] = trial;
            for find in inner {
                slots[find.target] = system.relations[find.relation].solve(find.target, &mut slots);
            }
            (unit_x.from_si(trial), slots)
        })
        .collect();
    let line_of = |slot: Slot| -> Line {
        let unit = solution.unit_of(slot);
        let at = |run: &(f64, Vec<f64>)| (run.0, unit.from_si(run.1[slot]));
        let ((x0, y0), (x1, y1), (x2, y2)) = (at(&runs[0]), at(&runs[1]), at(&runs[2]));
        let b = (y1 - y0) / (x1 - x0);
        let a = y0 - b * x0;
        let size = y0.abs().max(y1.abs()).max(y2.abs());
        let straight = (a + b * x2 - y2).abs() <= 1e-9 * size;
        Line {
            a: if a.abs() <= 1e-10 * size { 0.0 } else { a },
            b: if (b * x0).abs() <= 1e-10 * size { 0.0 } else { b },
            straight,
        }
    };
    let x_words = with_unit("x", &unit_x);
    let mut worked = vec![WorkedStep {
        part,
        says: format!(
            "No single balance gives this, so let the {} be {x_words}.",
            words::of_slot(solution, x)
        ),
        finds: Some(x),
        name: words::of_slot(solution, x),
        chain: vec![x_words],
        answer: None,
    }];
    let in_x = |slot: Slot| {
        let line = line_of(slot);
        if find_depends_on_x(&line) && line.straight {
            written(&line, &solution.unit_of(slot))
        } else if find_depends_on_x(&line) {
            words::of_slot(solution, slot)
        } else {
            solution.shown(slot)
        }
    };
    for find in inner {
        let relation = &system.relations[find.relation];
        let (symbols, numbers) = solution.right_side_in(relation, find.target, &in_x);
        let mut chain = vec![symbols, numbers];
        let line = line_of(find.target);
        if find_depends_on_x(&line) {
            if line.straight {
                chain.push(written(&line, &solution.unit_of(find.target)));
            }
        } else if !is_equality(&relation.shape) {
            chain.push(solution.shown_unrounded(find.target));
        }
        chain.dedup();
        worked.push(WorkedStep {
            part,
            says: solution.reason(relation, find.target),
            finds: Some(find.target),
            name: words::of_slot(solution, find.target),
            chain,
            answer: None,
        });
    }
    let relation = &system.relations[close];
    let says = format!("This closes the loop. {}", solution.reason(relation, x));
    let mut sides = closing_chain(solution, relation, &line_of);
    sides.extend(gathered(&runs, relation, solution));
    let value = solution.shown_unrounded(x);
    sides.push(format!("so x = {}", number_only(&value, &unit_x)));
    let name = sides.remove(0);
    worked.push(WorkedStep { part, says, finds: None, name, chain: sides, answer: None });
    // With x known, what was found in terms of it has its value.
    let known: Vec<String> = inner
        .iter()
        .filter(|find| find_depends_on_x(&line_of(find.target)))
        .map(|find| {
            format!("{} = {}", words::of_slot(solution, find.target), solution.shown(find.target))
        })
        .collect();
    if !known.is_empty() {
        worked.push(WorkedStep {
            part,
            says: format!("With x known: {}.", known.join("; ")),
            finds: Some(x),
            name: words::of_slot(solution, x),
            chain: vec![value],
            answer: None,
        });
    }
    worked
}

fn find_depends_on_x(line: &Line) -> bool {
    line.b != 0.0 || !line.straight
}

/// The closing relation with x on one side: "so 0.16x = 59.5".
fn gathered(
    runs: &[(f64, Vec<f64>)],
    relation: &Relation,
    solution: &Solution<'_>,
) -> Option<String> {
    let slot = relation.slots().into_iter().next()?;
    let unit = solution.unit_of(slot);
    let residual = |run: &(f64, Vec<f64>)| unit.from_si(relation.residual(&run.1));
    let (x0, x1) = (runs[0].0, runs[1].0);
    let (r0, r1) = (residual(&runs[0]), residual(&runs[1]));
    let b = (r1 - r0) / (x1 - x0);
    let a = r0 - b * x0;
    let straight = b.is_finite() && a.is_finite() && b != 0.0;
    straight.then(|| {
        let sign = b.signum();
        let left = expression(&Line { a: 0.0, b: b * sign, straight: true });
        let right = expression(&Line { a: -a * sign, b: 0.0, straight: true });
        format!("so {left} = {right}")
    })
}

/// The digits of a printed quantity.
fn number_only(text: &str, unit: &Unit) -> String {
    text.strip_suffix(unit.print()).unwrap_or(text).trim_end().to_owned()
}

/// `120 + 0.38x kg`, bracketed where a unit follows.
fn written(line: &Line, unit: &Unit) -> String {
    let text = expression(line);
    if unit.print().is_empty() {
        text
    } else if line.a == 0.0 {
        with_unit(&text, unit)
    } else {
        with_unit(&format!("({text})"), unit)
    }
}

/// `120 + 0.38x`.
fn expression(line: &Line) -> String {
    let number = |value: f64| {
        let rounded = round_figures(value, FIGURES);
        let digits = if rounded.digits.contains('.') {
            rounded.digits.trim_end_matches('0').trim_end_matches('.').to_owned()
        } else {
            rounded.digits
        };
        print_number(digits.as_str())
    };
    let times_x = |b: f64| if b == 1.0 { "x".to_owned() } else { format!("{}x", number(b)) };
    let near_one = |b: f64| if (b.abs() - 1.0).abs() < 1e-9 { b.signum() } else { b };
    let b = near_one(line.b);
    if b == 0.0 {
        number(line.a)
    } else if line.a == 0.0 {
        if b == -1.0 { "\u{2212}x".to_owned() } else { times_x(b) }
    } else if b < 0.0 {
        format!("{} \u{2212} {}", number(line.a), times_x(-b))
    } else {
        format!("{} + {}", number(line.a), times_x(b))
    }
}

/// Left side = right side of the closing relation, in terms of x.
fn closing_chain(
    solution: &Solution<'_>,
    relation: &Relation,
    line_of: &dyn Fn(Slot) -> Line,
) -> Vec<String> {
    let term = |slot: Slot| {
        let line = line_of(slot);
        if line.straight { bracketed(&line) } else { words::of_slot(solution, slot) }
    };
    match &relation.shape {
        Shape::Sum { terms, constant } => {
            let side = |sign: f64| {
                let mut pieces: Vec<String> = terms
                    .iter()
                    .filter(|(c, _)| c.signum() == sign)
                    .map(|(c, s)| {
                        if c.abs() == 1.0 {
                            term(*s)
                        } else {
                            format!("{} × {}", c.abs(), term(*s))
                        }
                    })
                    .collect();
                if *constant != 0.0 && constant.signum() == sign {
                    pieces.push(format!("{}", constant.abs()));
                }
                if pieces.is_empty() { "0".to_owned() } else { pieces.join(" + ") }
            };
            vec![side(1.0), side(-1.0)]
        }
        Shape::Product { whole, part, factor } => {
            vec![term(*whole), format!("{} × {}", term(*factor), term(*part))]
        }
        Shape::Algebra { .. } | Shape::Saturation { .. } => {
            let slot = relation.slots().first().copied().unwrap_or(0);
            let (symbols, _) = solution.right_side(relation, slot);
            vec![words::of_slot(solution, slot), symbols]
        }
    }
}

fn bracketed(line: &Line) -> String {
    let text = expression(line);
    if line.a != 0.0 && line.b != 0.0 { format!("({text})") } else { text }
}
