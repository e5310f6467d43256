//! The working of a let: what is let be x (and y), the quantities in terms of it,
//! the relations that close the loop, and the unknowns.

use crate::balance::{Form, Let, Node, ONE, Relation, Shape, Slot, Why, is_equality};
use crate::quantity::{Unit, print_number, round_figures};

use super::solution::with_unit;
use super::{Solution, WorkedStep, words};

/// Figures of the numbers beside x.
const FIGURES: u32 = 5;
const LETTERS: [&str; 2] = ["x", "y"];

/// A quantity that is a + b x + c y, in the unit it is shown in.
struct Line {
    a: f64,
    /// One for each unknown.
    slopes: Vec<f64>,
    /// A further trial lies on the line too.
    straight: bool,
}

impl Line {
    fn moves(&self) -> bool {
        !self.straight || self.slopes.iter().any(|b| *b != 0.0)
    }
}

/// A trial: the unknowns as shown, and all slots.
struct Trial {
    at: Vec<f64>,
    slots: Vec<f64>,
}

struct Working<'s, 'a> {
    solution: &'s Solution<'a>,
    letting: &'s Let,
    part: usize,
    /// The base; each unknown moved; all moved; and once more.
    trials: Vec<Trial>,
}

/// The steps of a let, as a teacher writes them.
pub(super) fn steps(solution: &Solution<'_>, part: usize, letting: &Let) -> Vec<WorkedStep> {
    let trials = trials(solution, letting);
    let working = Working { solution, letting, part, trials };
    let mut worked = working.opening();
    worked.extend(working.inner_steps());
    worked.extend(match letting.unknowns.as_slice() {
        [x] => working.closing_one(*x),
        _ => working.closing_two(),
    });
    worked.extend(working.with_all_known());
    worked
}

/// Trials that tell how everything depends on the unknowns.
fn trials(solution: &Solution<'_>, letting: &Let) -> Vec<Trial> {
    let pairs: Vec<[f64; 2]> = match &letting.form {
        Form::Straight { trials } => trials.clone(),
        // On a curve, between nothing and the root, where all is possible.
        Form::Bent { .. } => {
            letting.unknowns.iter().map(|x| [0.6, 0.8].map(|t| t * solution.slots[*x])).collect()
        }
    };
    let base: Vec<f64> = pairs.iter().map(|pair| pair[0]).collect();
    let mut places = vec![base.clone()];
    for (unknown, pair) in pairs.iter().enumerate() {
        let mut at = base.clone();
        at[unknown] = pair[1];
        places.push(at);
    }
    // Beside the others, and for each unknown at a place of its own.
    for between in [[0.55, 0.43], [0.83, 0.29], [0.27, 0.71]] {
        let moved = pairs.iter().zip(between).map(|([low, high], t)| low + t * (high - low));
        places.push(moved.collect());
    }
    let shown = |slot: &Slot, value: &f64| solution.unit_of(*slot).from_si(*value);
    places
        .into_iter()
        .map(|at| {
            let mut slots = solution.slots.clone();
            letting.fill(&solution.checked.engine.system, &mut slots, &at);
            let at = letting.unknowns.iter().zip(&at).map(|(x, v)| shown(x, v)).collect();
            Trial { at, slots }
        })
        .collect()
}

impl Working<'_, '_> {
    fn step(
        &self,
        says: String,
        finds: Option<Slot>,
        name: String,
        chain: Vec<String>,
    ) -> WorkedStep {
        WorkedStep { part: self.part, says, finds, name, chain, answer: None }
    }

    fn named(&self, slot: Slot) -> String {
        words::of_slot(self.solution, slot)
    }

    /// "x kg".
    fn letter(&self, unknown: usize) -> String {
        with_unit(LETTERS[unknown], &self.solution.unit_of(self.letting.unknowns[unknown]))
    }

    /// The line through values that the trials give.
    fn line_through(&self, value: &dyn Fn(&Trial) -> f64) -> Line {
        let values: Vec<f64> = self.trials.iter().map(value).collect();
        let base = &self.trials[0].at;
        let count = base.len();
        let size = values[..count + 2].iter().fold(0.0f64, |most, v| most.max(v.abs()));
        let clean = |v: f64, weight: f64| if (v * weight).abs() <= 1e-10 * size { 0.0 } else { v };
        let slopes: Vec<f64> = (0..count)
            .map(|unknown| {
                let moved = self.trials[unknown + 1].at[unknown] - base[unknown];
                (values[unknown + 1] - values[0]) / moved
            })
            .collect();
        let a = values[0] - slopes.iter().zip(base).map(|(b, x)| b * x).sum::<f64>();
        let last = &self.trials[count + 1].at;
        let expected = a + slopes.iter().zip(last).map(|(b, x)| b * x).sum::<f64>();
        Line {
            a: clean(a, 1.0),
            slopes: slopes.iter().zip(base).map(|(b, x)| clean(*b, *x)).collect(),
            straight: (expected - values[count + 1]).abs() <= 1e-9 * size,
        }
    }

    fn line_of(&self, slot: Slot) -> Line {
        let unit = self.solution.unit_of(slot);
        self.line_through(&|trial| unit.from_si(trial.slots[slot]))
    }

    /// What is let be unknown.
    fn opening(&self) -> Vec<WorkedStep> {
        let unknowns = &self.letting.unknowns;
        let lets: Vec<String> = unknowns
            .iter()
            .enumerate()
            .map(|(number, slot)| format!("the {} be {}", self.named(*slot), self.letter(number)))
            .collect();
        let mut says =
            format!("No single balance gives this, so let {}.", words::joined(&lets, "and"));
        let mut worked = Vec::new();
        for (number, slot) in unknowns.iter().enumerate() {
            let chain = vec![self.letter(number)];
            worked.push(self.step(says, Some(*slot), self.named(*slot), chain));
            says =
                format!("The second unknown is the {}.", self.named(unknowns[unknowns.len() - 1]));
        }
        worked
    }

    fn in_terms(&self, slot: Slot) -> String {
        self.term(slot, true)
    }

    /// A quantity in terms of the unknowns, with its unit or without. What lies on no
    /// line is spelled out as it was found.
    fn term(&self, slot: Slot, units: bool) -> String {
        let line = self.line_of(slot);
        if line.straight {
            let unit = self.solution.unit_of(slot);
            return match (units, line.moves(), unit.print().is_empty()) {
                (true, false, _) => self.solution.shown(slot),
                (true, true, false) => written(&line, &unit),
                _ => bracketed(&line),
            };
        }
        let system = &self.solution.checked.engine.system;
        let find = self.letting.inner.iter().find(|find| find.target == slot);
        let relation = find.map(|find| &system.relations[find.relation]);
        match relation.filter(|relation| !matches!(relation.shape, Shape::Algebra { .. })) {
            Some(relation) => {
                let value = |slot| self.term(slot, units);
                format!("({})", self.solution.right_side_in(relation, slot, &value).1)
            }
            None => self.named(slot),
        }
    }

    fn inner_steps(&self) -> Vec<WorkedStep> {
        let system = &self.solution.checked.engine.system;
        let mut worked = Vec::new();
        for find in &self.letting.inner {
            let relation = &system.relations[find.relation];
            let (symbols, numbers) =
                self.solution.right_side_in(relation, find.target, &|slot| self.in_terms(slot));
            let line = self.line_of(find.target);
            if let (false, Why::Author(number)) = (line.straight, relation.why)
                && self.solution.right_formula(relation, find.target).is_none()
            {
                worked.push(self.left_as_given(number, find.target));
                continue;
            }
            let mut chain = vec![symbols];
            if !(line.moves() && matches!(relation.shape, Shape::Algebra { .. })) {
                chain.push(numbers);
            } else if let Some(formula) = self.solution.right_formula(relation, find.target) {
                chain.push(formula.write(&|path| {
                    let slot = self.solution.slot_of_path(path);
                    slot.map_or_else(|| path.join("."), |slot| self.in_terms(slot))
                }));
            }
            if line.moves() {
                if line.straight {
                    chain.push(written(&line, &self.solution.unit_of(find.target)));
                }
            } else if !is_equality(&relation.shape) {
                chain.push(self.solution.shown_unrounded(find.target));
            }
            chain.dedup();
            chain.retain(|line| !line.is_empty());
            let says = self.reason(relation, find.target);
            worked.push(self.step(says, Some(find.target), self.named(find.target), chain));
        }
        worked
    }

    /// An author's equation that makes no line of its target: both sides in terms of
    /// the unknowns, and solved by nobody.
    fn left_as_given(&self, number: usize, target: Slot) -> WorkedStep {
        let equation = &self.solution.checked.engine.problem.relations[number];
        let write = |path: &[&str]| match self.solution.slot_of_path(path) {
            Some(slot) if slot == target => self.named(slot),
            Some(slot) => self.in_terms(slot),
            None => path.join("."),
        };
        let says = format!("This is given, and tells the {}.", self.named(target));
        let chain = vec![equation.right.write(&write)];
        self.step(says, Some(target), equation.left.write(&write), chain)
    }

    /// Why a relation holds; a share in terms of x has no number to say.
    fn reason(&self, relation: &Relation, target: Slot) -> String {
        if let (Why::ShareOfTotal(at, of), Shape::Product { factor, .. }) =
            (relation.why, &relation.shape)
            && self.line_of(*factor).moves()
            && target != *factor
        {
            let problem = &self.solution.checked.engine.problem;
            return format!(
                "The {} in {} is its fraction times the whole.",
                problem.what_words(of),
                words::the_place(problem, at)
            );
        }
        self.solution.reason(relation, target)
    }

    fn closing(&self, number: usize) -> &Relation {
        &self.solution.checked.engine.system.relations[self.letting.closes[number]]
    }

    /// The unit in which a closing relation is written.
    fn closing_unit(&self, relation: &Relation) -> Unit {
        relation.slots().first().map_or_else(Unit::none, |slot| self.solution.unit_of(*slot))
    }

    fn residual(&self, relation: &Relation) -> Line {
        self.line_through(&|trial| self.shown_residual(relation, &trial.slots))
    }

    /// Left minus right of a closing relation, in the units it is written in.
    fn shown_residual(&self, relation: &Relation, slots: &[f64]) -> f64 {
        let Shape::Proportion { left: [a, b], right: [c, d], factor } = &relation.shape else {
            return self.closing_unit(relation).from_si(relation.residual(slots));
        };
        if self.stands_over_known(relation) {
            let unit = self.solution.unit_of(*a);
            return unit.from_si(slots[*a] - slots[*factor] * slots[*c] * slots[*b] / slots[*d]);
        }
        let shown = |slot: &Slot| self.solution.unit_of(*slot).from_si(slots[*slot]);
        shown(a) * shown(d) - slots[*factor] * shown(b) * shown(c)
    }

    /// Does a proportion hold the unknown in its upper terms alone?
    fn stands_over_known(&self, relation: &Relation) -> bool {
        let Shape::Proportion { left: [_, b], right: [_, d], .. } = &relation.shape else {
            return false;
        };
        [b, d].into_iter().all(|slot| !self.line_of(*slot).moves())
    }

    /// The relation that closes on one unknown, and the unknown.
    fn closing_one(&self, x: Slot) -> Vec<WorkedStep> {
        let relation = self.closing(0);
        let unit = self.solution.unit_of(x);
        let mut says = format!("This closes the loop. {}", self.reason(relation, x));
        let mut sides = self.sides(relation);
        let value = number_only(&self.solution.shown_unrounded(x), &unit);
        let mut worked = Vec::new();
        if let Form::Straight { .. } = self.letting.form {
            sides.extend(gathered(&self.residual(relation)).map(|line| format!("so {line}")));
            sides.push(format!("so x = {value}"));
            sides.dedup();
        } else if let Some(quadratic) = self.quadratic(relation) {
            sides.push(format!("so {}", quadratic.text()));
            sides.push(format!("so x = {value}"));
            worked.extend(self.other_root(&quadratic, x, &value));
        } else {
            says.push_str(" It is solved by trial.");
            sides.push(format!("so x = {value}"));
        }
        let name = sides.remove(0);
        worked.insert(0, self.step(says, None, name, sides));
        worked
    }

    /// Both relations that close on two unknowns, the elimination, the unknowns.
    fn closing_two(&self) -> Vec<WorkedStep> {
        let unknowns = &self.letting.unknowns;
        let mut worked = Vec::new();
        let mut lines = Vec::new();
        for number in 0..self.letting.closes.len() {
            let relation = self.closing(number);
            let line = self.residual(relation);
            let reason = self.reason(relation, unknowns[0]);
            let says = if number == 0 {
                format!("Two relations close the loop. {reason}")
            } else {
                format!("And the second. {reason}")
            };
            let mut sides = self.sides(relation);
            sides.extend(gathered(&line).map(|line| format!("so {line}")));
            let name = sides.remove(0);
            worked.push(self.step(says, None, name, sides));
            lines.push(line);
        }
        let value = |number: usize| {
            let slot = unknowns[number];
            number_only(&self.solution.shown_unrounded(slot), &self.solution.unit_of(slot))
        };
        let [first, second] = lines.as_slice() else { return worked };
        // The equation in one unknown alone is the one to begin with.
        let (first, second) =
            if second.slopes.contains(&0.0) { (second, first) } else { (first, second) };
        let (begin, other) = if first.slopes[0] == 0.0 { (1, 0) } else { (0, 1) };
        let alone = if first.slopes[other] == 0.0 {
            Line { a: first.a, slopes: first.slopes.clone(), straight: true }
        } else {
            let times = second.slopes[other] / first.slopes[other];
            let mut slopes = vec![0.0; 2];
            slopes[begin] = second.slopes[begin] - times * first.slopes[begin];
            Line { a: second.a - times * first.a, slopes, straight: true }
        };
        let says = if first.slopes[other] == 0.0 {
            format!("One of them holds {} alone.", LETTERS[begin])
        } else {
            let times = second.slopes[other] / first.slopes[other];
            let times = times * sign_of(second) * sign_of(first);
            let (does, to) = if times < 0.0 { ("added", "to") } else { ("taken", "from") };
            format!(
                "To take {} out, the equation {} is {does} {} times {to} {}.",
                LETTERS[other],
                gathered(first).unwrap_or_default(),
                number(times.abs()),
                gathered(second).unwrap_or_default(),
            )
        };
        let sides = gathered(&alone).unwrap_or_default();
        let (left, right) = sides.split_once(" = ").unwrap_or((sides.as_str(), ""));
        let chain = vec![right.to_owned(), format!("so {} = {}", LETTERS[begin], value(begin))];
        worked.push(self.step(says, None, left.to_owned(), chain));
        // The other unknown from whichever equation holds it.
        let source = if first.slopes[other] == 0.0 { second } else { first };
        let rest = Line {
            a: source.a,
            slopes: (0..2).map(|n| if n == other { source.slopes[n] } else { 0.0 }).collect(),
            straight: true,
        };
        let known = -source.slopes[begin] * sign_of(&rest);
        let right = format!(
            "{} {} {} × {}",
            number(-source.a * sign_of(&rest)),
            if known < 0.0 { "\u{2212}" } else { "+" },
            number(known.abs()),
            value(begin)
        );
        let left = expression(&Line {
            a: 0.0,
            slopes: rest.slopes.iter().map(|b| b * sign_of(&rest)).collect(),
            straight: true,
        });
        let chain = vec![right, format!("so {} = {}", LETTERS[other], value(other))];
        let says =
            format!("With {} put into {}:", LETTERS[begin], gathered(source).unwrap_or_default());
        worked.push(self.step(says, None, left, chain));
        worked
    }

    /// With the unknowns known, what was found in terms of them has its value.
    fn with_all_known(&self) -> Vec<WorkedStep> {
        let solution = self.solution;
        let known: Vec<String> = self
            .letting
            .inner
            .iter()
            .filter(|find| self.line_of(find.target).moves())
            .map(|find| format!("{} = {}", self.named(find.target), solution.shown(find.target)))
            .collect();
        let unknowns = &self.letting.unknowns;
        if known.is_empty() && unknowns.len() == 1 {
            return Vec::new();
        }
        let letters = words::joined(
            &LETTERS[..unknowns.len()].iter().map(|l| (*l).to_owned()).collect::<Vec<_>>(),
            "and",
        );
        let mut says = if known.is_empty() {
            format!("This gives {letters}.")
        } else {
            format!("With {letters} known: {}.", known.join("; "))
        };
        let mut worked = Vec::new();
        for slot in unknowns {
            let chain = vec![solution.shown_unrounded(*slot)];
            worked.push(self.step(says, Some(*slot), self.named(*slot), chain));
            says = format!("And {}:", LETTERS[1]);
        }
        worked
    }

    /// Left side = right side of a closing relation, in terms of the unknowns.
    fn sides(&self, relation: &Relation) -> Vec<String> {
        let term = |slot: Slot| self.term(slot, false);
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
                let size = |slot: &Slot| self.solution.unit_of(*slot).factor();
                let fits = (size(whole) / (size(part) * size(factor)) - 1.0).abs() < 1e-9;
                // Grams per litre times millilitres: the units have to be seen.
                let side = |slot: &Slot| if fits { term(*slot) } else { self.in_terms(*slot) };
                vec![side(whole), format!("{} × {}", side(factor), side(part))]
            }
            Shape::Proportion { left: [a, _], .. } if self.stands_over_known(relation) => {
                let right = self.solution.law_solved(relation, *a, &term);
                vec![term(*a), right.unwrap_or_default()]
            }
            Shape::Proportion { left: [a, b], right: [c, d], factor } => {
                let right: Vec<String> =
                    [factor, b, c].into_iter().filter(|s| **s != ONE).map(|s| term(*s)).collect();
                vec![format!("{} × {}", term(*a), term(*d)), right.join(" × ")]
            }
            Shape::Saturation { solute, solvent, curve, temperature } => {
                let ratio = number(curve.read(self.solution.slots[*temperature]));
                vec![term(*solute), format!("{ratio} × {}", term(*solvent))]
            }
            _ => {
                let slot = relation.slots().first().copied().unwrap_or(0);
                let (symbols, _) = self.solution.right_side(relation, slot);
                vec![self.named(slot), symbols]
            }
        }
    }

    /// The closing residual as a quadratic in x, if it is one, or is one once a
    /// denominator is multiplied out.
    fn quadratic(&self, relation: &Relation) -> Option<Quadratic> {
        let points: Vec<(f64, f64)> = self
            .trials
            .iter()
            .map(|trial| (trial.at[0], self.shown_residual(relation, &trial.slots)))
            .collect();
        let fitted = |unknowns: usize| -> Option<Quadratic> {
            // residual x (1 + d x) = a x² + b x + c, through as many points.
            let row = |(x, r): &(f64, f64)| vec![x * x, *x, 1.0, -r * x, *r];
            let rows = points[..unknowns].iter().map(row);
            let rows = rows.map(|row| [&row[..unknowns], &row[4..]].concat()).collect();
            let fit = solve(rows)?;
            let [a, b, c] = [fit[0], fit[1], fit[2]];
            let d = fit.get(3).copied().unwrap_or(0.0);
            let mut rest = points[unknowns..].iter();
            let fits = rest.all(|(x, r)| {
                let terms = [a * x * x, b * x, c, r * d * x, *r];
                let size = terms.iter().fold(0.0f64, |most, t| most.max(t.abs()));
                (terms[0] + terms[1] + terms[2] - terms[3] - terms[4]).abs() <= 1e-8 * size
            });
            let x = points[0].0;
            let size = (a * x * x).abs().max((b * x).abs()).max(c.abs());
            let is_curved = (a * x * x).abs() > 1e-7 * size;
            let sign = if a < 0.0 { -1.0 } else { 1.0 };
            // Where units and denominators leave unwieldy numbers, x² stands alone.
            let by = if (1e-2..1e4).contains(&a.abs()) { sign } else { 1.0 / a };
            let clean = |v: f64, weight: f64| {
                if (v * weight).abs() <= 1e-9 * size { 0.0 } else { v * by }
            };
            let quadratic = Quadratic { a: a * by, b: clean(b, x), c: clean(c, 1.0) };
            (fits && is_curved).then_some(quadratic)
        };
        fitted(3).or_else(|| fitted(4))
    }

    /// Why the other root of a quadratic is no answer.
    fn other_root(&self, quadratic: &Quadratic, x: Slot, value: &str) -> Option<WorkedStep> {
        let system = &self.solution.checked.engine.system;
        let unit = self.solution.unit_of(x);
        let own = unit.from_si(self.solution.slots[x]);
        let other = -quadratic.b / quadratic.a - own;
        let mut slots = self.solution.slots.clone();
        let (slot, refused) = self.letting.refusal(system, &mut slots, unit.to_si(other))?;
        let shown = |slot: Slot, si: f64| {
            let unit = self.solution.unit_of(slot);
            with_unit(&print_number(&round_figures(unit.from_si(si), 4)), &unit)
        };
        let would = match system.nodes[slot] {
            _ if slot == x && refused < 0.0 => "cannot be negative".to_owned(),
            _ if slot == x && refused > 1.0 => "cannot be more than 1".to_owned(),
            _ if !refused.is_finite() => format!("gives no {}", self.named(slot)),
            Node::Share(..) if refused > 1.0 => {
                format!("makes the {} {}, more than 1", self.named(slot), shown(slot, refused))
            }
            _ => format!("makes the {} {}", self.named(slot), shown(slot, refused)),
        };
        Some(self.step(
            format!(
                "The other root, x = {}, is refused: it {would}.",
                number_only(&shown(x, unit.to_si(other)), &unit)
            ),
            None,
            "x".to_owned(),
            vec![value.to_owned()],
        ))
    }
}

/// a x² + b x + c, with a above 0.
struct Quadratic {
    a: f64,
    b: f64,
    c: f64,
}

impl Quadratic {
    fn text(&self) -> String {
        let mut text = String::new();
        add_term(&mut text, self.a, "x²");
        add_term(&mut text, self.b, "x");
        add_term(&mut text, self.c, "");
        format!("{text} = 0")
    }
}

/// Solves a few linear equations, each a row that ends with its right side.
fn solve(mut rows: Vec<Vec<f64>>) -> Option<Vec<f64>> {
    let count = rows.len();
    for column in 0..count {
        let size = |row: &Vec<f64>| row[column].abs();
        let largest = (column..count).max_by(|a, b| size(&rows[*a]).total_cmp(&size(&rows[*b])))?;
        rows.swap(column, largest);
        let pivot = rows[column].clone();
        if pivot[column] == 0.0 {
            return None;
        }
        for row in rows.iter_mut().enumerate().filter(|(n, _)| *n != column).map(|(_, row)| row) {
            let times = row[column] / pivot[column];
            row.iter_mut().zip(&pivot).for_each(|(v, p)| *v -= times * p);
        }
    }
    let found: Vec<f64> = (0..count).map(|n| rows[n][count] / rows[n][n]).collect();
    found.iter().all(|v| v.is_finite()).then_some(found)
}

/// Which way round a gathered equation is written: its first unknown is positive.
fn sign_of(line: &Line) -> f64 {
    line.slopes.iter().find(|b| **b != 0.0).map_or(1.0, |b| b.signum())
}

/// The closing relation with its unknowns on one side: "0.16x = 59.5".
fn gathered(residual: &Line) -> Option<String> {
    let sign = sign_of(residual);
    let is_sound = residual.a.is_finite()
        && residual.slopes.iter().all(|b| b.is_finite())
        && residual.slopes.iter().any(|b| *b != 0.0);
    is_sound.then(|| {
        let slopes: Vec<f64> = residual.slopes.iter().map(|b| b * sign).collect();
        let left = expression(&Line { a: 0.0, slopes, straight: true });
        format!("{left} = {}", number(-residual.a * sign))
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
    } else if is_one_term(line) {
        with_unit(&text, unit)
    } else {
        with_unit(&format!("({text})"), unit)
    }
}

fn is_one_term(line: &Line) -> bool {
    let terms = line.slopes.iter().chain([&line.a]).filter(|v| **v != 0.0);
    terms.count() < 2
}

/// `120 + 0.38x`.
fn expression(line: &Line) -> String {
    let mut text = String::new();
    add_term(&mut text, line.a, "");
    for (slope, letter) in line.slopes.iter().zip(LETTERS) {
        add_term(&mut text, *slope, letter);
    }
    if text.is_empty() { "0".to_owned() } else { text }
}

/// Adds one term with its sign; nothing for a factor of 0.
fn add_term(text: &mut String, factor: f64, letter: &str) {
    if factor == 0.0 {
        return;
    }
    text.push_str(match (text.is_empty(), factor < 0.0) {
        (true, false) => "",
        (true, true) => "\u{2212}",
        (false, false) => " + ",
        (false, true) => " \u{2212} ",
    });
    let is_one = (factor.abs() - 1.0).abs() < 1e-9;
    if letter.is_empty() || !is_one {
        text.push_str(&number(factor.abs()));
    }
    text.push_str(letter);
}

fn number(value: f64) -> String {
    let rounded = round_figures(value, FIGURES);
    let digits = if rounded.digits.contains('.') {
        rounded.digits.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        rounded.digits
    };
    print_number(digits.as_str())
}

fn bracketed(line: &Line) -> String {
    let text = expression(line);
    if is_one_term(line) { text } else { format!("({text})") }
}
