//! Which families a question belongs to: its answer, as it depends on what is given,
//! is one of the right formulas.
//!
//! Looks at numbers, never at words: the quantities that move the answer are put to
//! the letters of a family, and the formula must agree with the plan for the version's
//! values and for others. Gives the values of the family's wrong formulas.

use crate::balance::problem::{Curve, Says};
use crate::balance::{Node, Slot};
use crate::quantity::Dimension;
use crate::reading::model::Checked;

use super::super::{Solution, spread};
use super::catalogue::{Counts, Family, Mistake, Takes};
use super::{Turn, Wrong, differ};

/// How far plan and formula may lie apart, relative.
const AGREE: f64 = 1e-7;
/// Most quantities that an answer may depend on: families have no more letters.
const MOST: usize = 4;
/// By how much quantities are moved, one differently from the next.
const MOVES: [[f64; MOST]; 2] = [[1.013, 0.989, 1.007, 0.981], [0.991, 1.017, 1.023, 1.011]];
/// Kelvins in place of that for a temperature.
const DEGREES: [f64; 2] = [-0.4, 0.7];

/// A quantity that is given, or the answer to another part.
#[derive(Debug, Clone)]
struct Input {
    slot: Slot,
    dimension: Dimension,
    curve: Option<Curve>,
    is_ratio: bool,
}

/// An input read as what a letter takes.
type Read = (usize, fn(f64) -> f64);

impl Input {
    /// A temperature stands for the solubility at it.
    fn plain(&self, slots: &[f64]) -> f64 {
        let value = slots[self.slot];
        self.curve.as_ref().map_or(value, |curve| curve.read(value))
    }

    fn moved(&self, slots: &[f64], round: usize, number: usize) -> f64 {
        let value = slots[self.slot];
        let Some(curve) = &self.curve else { return value * MOVES[round][number] };
        let by = DEGREES[round] * (1.0 + number as f64);
        if curve.read(value + by).is_finite() { value + by } else { value - by }
    }

    fn readings(&self, takes: Takes, unit_factor: f64) -> Vec<fn(f64) -> f64> {
        let d = self.dimension;
        let plain = self.curve.is_none() && !self.is_ratio && d.is_none();
        let ratio = self.curve.is_some() || self.is_ratio;
        let same: fn(f64) -> f64 = |x| x;
        let to_share: fn(f64) -> f64 = |r| r / (1.0 + r);
        let concentration = d == per_volume();
        match takes {
            Takes::Amount if !d.is_none() && !concentration && !is_measured(d) => vec![same],
            Takes::Mass if d == Dimension::MASS => vec![same],
            Takes::Volume if d == Dimension::VOLUME => vec![same],
            Takes::SmallVolume if d == Dimension::VOLUME && unit_factor < 1e-5 => vec![same],
            Takes::Density | Takes::Concentration if concentration => vec![same],
            Takes::Length if d == Dimension::LENGTH => vec![same],
            Takes::Share if plain => vec![same],
            Takes::Share if ratio => vec![to_share],
            Takes::PerSolvent if plain => vec![same],
            Takes::PerSolvent if ratio => vec![same],
            Takes::Strength if plain || concentration => vec![same],
            Takes::Number if plain || self.is_ratio => vec![same],
            _ => Vec::new(),
        }
    }
}

/// Lengths and temperatures are no amounts.
fn is_measured(d: Dimension) -> bool {
    d == Dimension::TEMPERATURE || d == Dimension::LENGTH
}

fn per_volume() -> Dimension {
    crate::quantity::Unit::parse("kg/m3").map_or(Dimension::NONE, |unit| unit.dimension())
}

/// What stands for a letter, and how its value is taken.
type Seat = (Input, fn(f64) -> f64);

/// A family that an asked quantity belongs to, with what stands for its letters.
#[derive(Debug)]
struct Match {
    family: &'static Family,
    seats: Vec<Seat>,
    /// What may stand for the letter that the key does without, one at a time.
    spares: Vec<Input>,
}

/// The wrong answers of all families that the asked quantity belongs to. Which these are
/// is found once, from one choice of the question's values; an entry counts where its
/// family is right of this version too.
pub(super) fn wrong(solution: &Solution<'_>, asked: usize) -> Vec<Wrong> {
    let checked = solution.checked;
    let all = checked.kept.get(|| {
        let sample = sample(checked);
        let of = |asked| sample.as_ref().map_or_else(Vec::new, |s| matches(s, asked));
        (0..checked.asked.len()).map(of).collect::<Vec<Vec<Match>>>()
    });
    let own = all.and_then(|all| all.get(asked)).map_or(&[][..], Vec::as_slice);
    own.iter().flat_map(|matched| matched.wrong(solution, asked)).collect()
}

/// A version from amid the question's choices.
fn sample(checked: &Checked) -> Option<Solution<'_>> {
    let all = spread(&checked.axes());
    let (first, second) = all.split_at(all.len() / 2);
    second.iter().chain(first).find_map(|choice| Solution::of(checked, choice).ok())
}

impl Match {
    fn wrong(&self, solution: &Solution<'_>, asked: usize) -> Vec<Wrong> {
        let mut found = Vec::new();
        let slots = &solution.slots;
        let unit = &solution.checked.asked[asked].unit;
        let letters: Vec<f64> =
            self.seats.iter().map(|(input, read)| read(input.plain(slots))).collect();
        let exact = slots[solution.checked.engine.system.asked[asked]];
        if !agree((self.family.right)(&letters), exact) {
            return found;
        }
        let names: Vec<String> =
            self.seats.iter().map(|(input, _)| solution.name_of(input.slot)).collect();
        let mut spares: Vec<Option<&Input>> = self.spares.iter().map(Some).collect();
        if self.family.spare == 0 {
            spares.push(None);
        }
        for spare in spares {
            let mut letters = letters.clone();
            let mut names = names.clone();
            if let Some(spare) = spare {
                letters.push(spare.plain(slots));
                names.push(solution.name_of(spare.slot));
            }
            letters.push(unit.factor());
            for (mistake, wrong) in self.family.wrong {
                let value = wrong(&letters);
                let value = match mistake.counts {
                    Counts::Base => value,
                    Counts::Printed => unit.to_si(value),
                };
                found.push(Wrong { value, turn: turn(mistake, self.family, &names) });
            }
        }
        found
    }
}

/// The families of an asked quantity, by this version's values and others near them.
fn matches(solution: &Solution<'_>, asked: usize) -> Vec<Match> {
    let engine = &solution.checked.engine;
    let last = engine.system.asked[asked];
    let mut found = Vec::new();
    // From the givens alone; then from the answers to the parts before.
    let part = solution.checked.asked[asked].part;
    let before: Vec<Slot> = (0..asked)
        .filter(|n| solution.checked.asked[*n].part != part)
        .map(|n| engine.system.asked[n])
        .filter(|slot| *slot != last)
        .collect();
    let cuts = if before.is_empty() { vec![Vec::new()] } else { vec![Vec::new(), before] };
    for cut in cuts {
        let Some((inputs, idle)) = inputs(solution, last, &cut) else { continue };
        for (_, family) in super::families() {
            from_family(solution, last, family, (&inputs, &idle), &cut, &mut found);
        }
    }
    found
}

/// What moves the answer, and what is given beside it; none if that is too much.
fn inputs(solution: &Solution<'_>, last: Slot, cut: &[Slot]) -> Option<(Vec<Input>, Vec<Input>)> {
    let engine = &solution.checked.engine;
    let mut all: Vec<Input> = Vec::new();
    let plain = |slot: Slot| Input {
        slot,
        dimension: solution.unit_of(slot).dimension(),
        curve: None,
        is_ratio: false,
    };
    all.extend(cut.iter().map(|slot| plain(*slot)));
    for given in &engine.system.givens {
        let says = engine.problem.facts.get(given.fact).map(|fact| &fact.says);
        let own = matches!(engine.system.nodes[given.slot], Node::Factor(_));
        all.push(match says {
            Some(Says::Saturated { table, .. }) => {
                Input { curve: Some(table.clone()), ..plain(given.slot) }
            }
            Some(Says::Per { .. }) => Input { is_ratio: own, ..plain(given.slot) },
            _ => plain(given.slot),
        });
    }
    for (slot, node) in engine.system.nodes.iter().enumerate() {
        if matches!(node, Node::Value(_)) {
            all.push(plain(slot));
        }
    }
    let held = |slot: Slot, value: f64| {
        let mut held: Vec<(Slot, f64)> = cut.iter().map(|s| (*s, solution.slots[*s])).collect();
        held.retain(|(s, _)| *s != slot);
        held.push((slot, value));
        engine.follow(&solution.values, &held)[last]
    };
    let (mut inputs, mut idle): (Vec<Input>, Vec<Input>) = (Vec::new(), Vec::new());
    for input in all {
        let known = inputs.iter().chain(&idle).any(|other: &Input| other.slot == input.slot);
        if known || input.slot == last || !solution.slots[input.slot].is_finite() {
            continue;
        }
        let moved = held(input.slot, input.moved(&solution.slots, 0, 0));
        let moves = differ(moved, solution.slots[last]);
        if moves { inputs.push(input) } else { idle.push(input) }
    }
    (!inputs.is_empty() && inputs.len() <= MOST).then_some((inputs, idle))
}

fn from_family(
    solution: &Solution<'_>,
    last: Slot,
    family: &'static Family,
    (inputs, idle): (&[Input], &[Input]),
    cut: &[Slot],
    found: &mut Vec<Match>,
) {
    let needed = family.letters.len() - family.spare;
    if inputs.len() != needed {
        return;
    }
    let mut seats: Vec<Read> = Vec::new();
    let mut taken = vec![false; inputs.len()];
    let mut all = Vec::new();
    seat(solution, family, inputs, (&mut seats, &mut taken), &mut all);
    let exact = solution.slots[last];
    let holds = |seats: &[Read]| {
        let at = |slots: &[f64]| -> f64 {
            let letters: Vec<f64> =
                seats.iter().map(|(n, read)| read(inputs[*n].plain(slots))).collect();
            (family.right)(&letters)
        };
        if !agree(at(&solution.slots), exact) {
            return false;
        }
        (0..MOVES.len()).all(|round| {
            let mut held: Vec<(Slot, f64)> = cut.iter().map(|s| (*s, solution.slots[*s])).collect();
            for (number, input) in inputs.iter().enumerate() {
                held.retain(|(s, _)| *s != input.slot);
                held.push((input.slot, input.moved(&solution.slots, round, number)));
            }
            let slots = solution.checked.engine.follow(&solution.values, &held);
            // What is held stands in its slot whatever the plan says.
            agree(at(&slots), slots[last])
        })
    };
    for seats in all.into_iter().filter(|seats| holds(seats)) {
        let fits = |input: &&Input| {
            let takes = family.letters[needed].1;
            let of = inputs[seats[0].0].dimension;
            !input.readings(takes, 1.0).is_empty() && input.dimension == of
        };
        let spares = match family.spare {
            0 => Vec::new(),
            _ => idle.iter().filter(fits).cloned().collect(),
        };
        let seats = seats.iter().map(|(n, read)| (inputs[*n].clone(), *read)).collect();
        found.push(Match { family, seats, spares });
    }
}

fn turn(mistake: &'static Mistake, family: &Family, names: &[String]) -> Turn {
    // A letter stands alone; the letters of words do not.
    let pieces: Vec<String> = mistake
        .formula
        .split(' ')
        .map(|piece| {
            let bare: String = piece.chars().filter(|c| c.is_alphanumeric()).collect();
            let mut letters = bare.chars();
            let (Some(letter), None) = (letters.next(), letters.next()) else {
                return piece.to_owned();
            };
            let place = family.letters.iter().position(|(own, _)| *own == letter);
            let name = place.and_then(|place| names.get(place));
            name.map_or_else(|| piece.to_owned(), |name| piece.replace(letter, name))
        })
        .collect();
    Turn::of(mistake, pieces.join(" "))
}

/// Every way of putting inputs to the letters of the key.
fn seat(
    solution: &Solution<'_>,
    family: &Family,
    inputs: &[Input],
    (seats, taken): (&mut Vec<Read>, &mut Vec<bool>),
    all: &mut Vec<Vec<Read>>,
) {
    if seats.len() == inputs.len() {
        all.push(seats.clone());
        return;
    }
    let takes = family.letters[seats.len()].1;
    for (number, input) in inputs.iter().enumerate() {
        if taken[number] {
            continue;
        }
        for read in input.readings(takes, solution.unit_of(input.slot).factor()) {
            taken[number] = true;
            seats.push((number, read));
            seat(solution, family, inputs, (&mut *seats, &mut *taken), all);
            seats.pop();
            taken[number] = false;
        }
    }
}

fn agree(one: f64, other: f64) -> bool {
    (one - other).abs() <= AGREE * one.abs().max(other.abs())
}
