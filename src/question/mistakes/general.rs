//! Wrong turns of any question: one step of the plan replaced by what a learner does in
//! its place, and the later steps run on from there.

use crate::balance::problem::Says;
use crate::balance::{Node, Shape, Slot, Step};
use crate::quantity::{Dimension, round_figures};

use super::super::Solution;
use super::catalogue::{AS, GE, Mistake, PL, PRACTICE, TP};
use super::{Keeps, Turn, Wrong, differ};

/// Figures to which a learner rounds too early.
const EARLY: u32 = 2;
/// The unit's own factors that are forgotten or taken twice.
const THOUSAND: f64 = 1000.0;

pub(super) const MISTAKES: &[Mistake] = &[
    GAVE_THE_FEED,
    GAVE_THE_OTHER,
    LEFT_ONE_OUT,
    ADDED,
    MULTIPLIED,
    DIVIDED,
    COMPLEMENT,
    PER_SOLVENT,
    GRID_STEP,
    ANHYDROUS,
    WHOLE_PERCENT,
    KILO,
    EARLY_ROUNDING,
    CUT_OFF,
    MINUTES,
    HOURS,
];

const GAVE_THE_FEED: Mistake = Mistake::of(
    "nothing-taken-away",
    "left out the last subtraction",
    "the first amount alone",
    "the last step was forgotten",
    "Take away what does not belong to the answer.",
    PRACTICE,
);
const GAVE_THE_OTHER: Mistake = Mistake::of(
    "wrong-stream",
    "gave the other stream",
    "the amount taken away",
    "two streams are mixed up",
    "Read again which stream is asked for.",
    PRACTICE,
);
const LEFT_ONE_OUT: Mistake = Mistake::of(
    "one-left-out",
    "left one amount out of the sum",
    "the sum without one of its terms",
    "not every stream was counted",
    "List all that enters and leaves before you add.",
    PRACTICE,
);
const ADDED: Mistake = Mistake::of(
    "added-not-taken-away",
    "added in place of taking away",
    "the sum of both amounts",
    "the balance was set up the wrong way round",
    "What enters is what leaves: put the unknown alone.",
    PRACTICE,
)
.absurd();
const MULTIPLIED: Mistake = Mistake::of(
    "multiplied-not-divided",
    "multiplied in place of dividing",
    "the amount × the share",
    "part and whole have changed places",
    "The whole is more than its part: divide the part by its share.",
    TP,
);
const DIVIDED: Mistake = Mistake::of(
    "divided-not-multiplied",
    "divided in place of multiplying",
    "the amount ÷ the share",
    "part and whole have changed places",
    "A part is less than its whole: multiply the whole by the share.",
    TP,
)
.absurd();
const COMPLEMENT: Mistake = Mistake::of(
    "other-share",
    "took the other share",
    "with 1 − share in place of the share",
    "the share of one component was put to the other",
    "Say which component a percentage belongs to.",
    PL,
);
const PER_SOLVENT: Mistake = Mistake::of(
    "per-solvent-as-share",
    "took a ratio to the solvent as a share of the whole",
    "with the ratio in place of ratio ÷ (1 + ratio)",
    "for each 100 g of water is not for each 100 g of solution",
    "Add solute and solvent to get the whole.",
    GE,
);
const GRID_STEP: Mistake = Mistake::of(
    "curve-one-line-off",
    "read the curve one line off",
    "with the solubility 10 °C away",
    "the axis was read carelessly",
    "Go up from the temperature, then across, with a ruler.",
    AS,
);
const ANHYDROUS: Mistake = Mistake::of(
    "gave-the-anhydrous-mass",
    "gave the mass without its water",
    "the crystals × the share of salt in them",
    "water of crystallisation was forgotten",
    "The crystals hold water: divide by the share of salt.",
    PRACTICE,
);
const WHOLE_PERCENT: Mistake = Mistake::of(
    "percent-as-whole-number",
    "used a percentage as a whole number",
    "with 100 × the share",
    "a percentage is taken for a number",
    "Divide a percentage by 100 before you use it.",
    PL,
)
.absurd();
const KILO: Mistake = Mistake::of(
    "thousand-times",
    "missed a factor of a thousand",
    "the answer × 1000, or ÷ 1000",
    "units were not made the same",
    "Write the unit beside every number.",
    GE,
);
const EARLY_ROUNDING: Mistake = Mistake::of(
    "rounded-too-early",
    "rounded to two figures at every step",
    "each step to two figures",
    "rounding errors add up",
    "Keep all digits until the end.",
    PRACTICE,
);
const CUT_OFF: Mistake = Mistake::of(
    "cut-off",
    "cut digits off in place of rounding",
    "the answer rounded down",
    "rounding is taken for leaving digits out",
    "Look at the next digit: five or more rounds up.",
    PRACTICE,
);
const MINUTES: Mistake = Mistake::of(
    "minutes-for-hours",
    "missed a factor of sixty",
    "the answer × 60, or ÷ 60",
    "units of time were not made the same",
    "Turn all times into one unit first.",
    GE,
);
const HOURS: Mistake = Mistake::of(
    "seconds-for-hours",
    "missed a factor of 3600",
    "the answer × 3600, or ÷ 3600",
    "units of time were not made the same",
    "Turn all times into one unit first.",
    GE,
);

pub(super) fn wrong(solution: &Solution<'_>, asked: usize) -> Vec<Wrong> {
    let engine = &solution.checked.engine;
    let last = engine.system.asked[asked];
    let exact = solution.slots[last];
    let mut found = Vec::new();
    let mut tell = |mistake: &'static Mistake, value: f64, keeps: Keeps| {
        let turn = Turn { keeps, ..Turn::of(mistake, mistake.formula.to_owned()) };
        found.push(Wrong { value, turn });
    };
    let unit = &solution.checked.asked[asked].unit;
    let is_temperature = unit.dimension() == Dimension::TEMPERATURE;
    let with = |slot: Slot, value: f64| engine.follow(&solution.values, &[(slot, value)])[last];
    let leads = |slot: Slot| slot == last || differ(with(slot, solution.slots[slot] * 1.01), exact);
    let of = |slot: Slot| solution.slots[slot];
    let bare = |slot: Slot| solution.unit_of(slot).dimension().is_none();
    let is_given = |slot: Slot| engine.known().contains(&slot);
    for step in &engine.plan.steps {
        let Step::Find(find) = step else { continue };
        let target = find.target;
        if !leads(target) {
            continue;
        }
        let mut say = |mistake, value| tell(mistake, value, Keeps::AllBut(target));
        match &engine.system.relations[find.relation].shape {
            Shape::Sum { terms, constant } if *constant == 0.0 => {
                let own = terms.iter().find(|(_, s)| *s == target).map_or(1.0, |(c, _)| *c);
                let sides: Vec<(f64, Slot)> = terms
                    .iter()
                    .filter(|(_, s)| *s != target)
                    .map(|(c, s)| (-c / own, *s))
                    .collect();
                let (added, taken): (Vec<_>, Vec<_>) =
                    sides.into_iter().partition(|(c, _)| *c > 0.0);
                match (added.as_slice(), taken.as_slice()) {
                    ([(_, whole)], [(_, part)]) => {
                        say(&GAVE_THE_FEED, with(target, of(*whole)));
                        if target == last {
                            say(&GAVE_THE_OTHER, of(*part));
                        }
                        say(&ADDED, with(target, of(*whole) + of(*part)));
                    }
                    ([_, _, ..], []) => {
                        for (_, slot) in &added {
                            say(&LEFT_ONE_OUT, with(target, of(target) - of(*slot)));
                        }
                    }
                    _ => {}
                }
            }
            Shape::Sum { terms, constant } if terms.len() == 2 && *constant != 0.0 => {
                // 1 less a share: the share itself was used.
                if let Some((_, other)) = terms.iter().find(|(_, s)| *s != target) {
                    say(&COMPLEMENT, with(target, of(*other)));
                }
            }
            Shape::Product { whole, part, factor } => {
                let (known, by) = if target == *whole {
                    if bare(*factor) { (*part, *factor) } else { (*factor, *part) }
                } else if target == *part {
                    (*whole, *factor)
                } else {
                    (*whole, *part)
                };
                if bare(by) && of(by) != 1.0 {
                    if target == *whole {
                        say(&DIVIDED, with(target, of(known) / of(by)));
                    } else {
                        say(&MULTIPLIED, with(target, of(known) * of(by)));
                    }
                    let share = engine.system.is_fraction(by);
                    if share && is_given(by) {
                        let other = 1.0 - of(by);
                        let value =
                            if target == *whole { of(known) * other } else { of(known) / other };
                        say(&COMPLEMENT, with(target, value));
                    }
                    if share && is_given(by) && solution.is_in_percent(by) {
                        let hundred = 100.0 * of(by);
                        let value = if target == *whole {
                            of(known) * hundred
                        } else {
                            of(known) / hundred
                        };
                        say(&WHOLE_PERCENT, with(target, value));
                    }
                }
            }
            Shape::OfRatio { share, ratio } if target == *share => {
                say(&PER_SOLVENT, with(target, of(*ratio)));
            }
            Shape::OfSolubility { curve, temperature, .. } => {
                say(&PER_SOLVENT, with(target, curve.read(of(*temperature))));
            }
            _ => {}
        }
    }
    for given in &engine.system.givens {
        let says = engine.problem.facts.get(given.fact).map(|fact| &fact.says);
        if let Some(Says::Saturated { .. }) = says {
            for by in [10.0, -10.0] {
                let value = with(given.slot, of(given.slot) + by);
                if value.is_finite() && differ(value, exact) {
                    tell(&GRID_STEP, value, Keeps::AllBut(given.slot));
                }
            }
        }
    }
    if let Some(share) = salt_share(solution, last) {
        tell(&ANHYDROUS, exact * share, Keeps::AllBut(last));
    }
    if is_temperature {
        return found;
    }
    // What follows is a slip of form: the steps were right.
    let mut say = |mistake, value| tell(mistake, value, Keeps::Method);
    let dimension = unit.dimension();
    let text = unit.text();
    if !dimension.is_none() {
        say(&KILO, exact * THOUSAND);
        say(&KILO, exact / THOUSAND);
    }
    if text.ends_with("/h") || text.ends_with("/min") || text.ends_with("/s") {
        say(&MINUTES, exact * 60.0);
        say(&MINUTES, exact / 60.0);
        say(&HOURS, exact * 3600.0);
        say(&HOURS, exact / 3600.0);
    }
    let early = |slot: Slot, value: f64| {
        if slot == last {
            return value;
        }
        let unit = solution.unit_of(slot);
        unit.to_si(round_figures(unit.from_si(value), EARLY).value)
    };
    let rounded = engine.run_rounded(&solution.values, &early)[last];
    say(&EARLY_ROUNDING, rounded);
    let answer = solution.rounded(asked, unit.from_si(exact));
    let place = 10f64.powi(answer.last_place);
    say(&CUT_OFF, unit.to_si((unit.from_si(exact) / place + 1e-9).floor() * place));
    found
}

/// The share of salt in what is asked for, where that is crystals of a hydrate.
fn salt_share(solution: &Solution<'_>, asked: Slot) -> Option<f64> {
    let engine = &solution.checked.engine;
    let Node::Amount(at, _) = engine.system.nodes[asked] else { return None };
    engine.problem.operations.iter().find_map(|operation| {
        let hydrate = operation.crystal?.hydrate?;
        let is_crystals =
            operation.outlets.iter().any(|(port, s)| *port == "crystals" && *s == at.stream);
        let wet = at.part == Some(crate::balance::problem::Part::Solids);
        let share = engine.problem.extras[hydrate.salt_share].value?;
        (is_crystals || wet).then_some(share)
    })
}
