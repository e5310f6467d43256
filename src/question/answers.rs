//! The answers of a version: as printed, with the lowest and highest value that
//! earns the marks.

use crate::balance::{Node, Slot};
use crate::quantity::{EXACT, Rounded, Unit, print_number, round_figures, round_places};
use crate::reading::model::Asked;

use super::figures::{LEAST, MOST, of_formula};
use super::{Solution, words};

/// How much of the answer one figure fewer on the way may cost. The difference of two
/// nearly equal numbers loses most of its figures to such rounding; a range as wide as
/// that would take in wrong answers too.
const SHARE_FOR_FEWER: f64 = 0.01;
/// How much of the answer any rounding on the way may cost, or one unit of its last
/// printed place. Two flows printed as 100 that differ by 2.4 leave nothing between
/// them; who takes up printed answers in such a case follows through from them.
const SHARE_FOR_ANY: f64 = 0.05;

/// Figures that a step is written to beyond those it is worth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Spare {
    OneFewer,
    None,
    OneMore,
}

/// One answer line.
#[derive(Debug, Clone)]
pub struct Answer {
    /// Index of the part that asks.
    pub part: usize,
    /// "mass of slurry".
    pub name: String,
    pub unit: Unit,
    /// In base units, exact.
    pub value: f64,
    /// As printed, without the unit.
    pub printed: String,
    pub rounded: Rounded,
    /// In the printed unit.
    pub lowest: f64,
    pub highest: f64,
}

impl Answer {
    /// The accepted range as printed: to one figure more than the answer, outwards.
    pub fn accepted(&self) -> (String, String) {
        let (lowest, highest) = self.outwards();
        let places = 1 - self.rounded.last_place;
        let printed = |value: f64| print_number(&round_places(value, places));
        (printed(lowest), printed(highest))
    }

    /// The bounds of the accepted range as they are printed.
    pub(super) fn outwards(&self) -> (f64, f64) {
        let step = 10f64.powi(self.rounded.last_place - 1);
        let outwards = |value: f64, round: fn(f64) -> f64| {
            // A bound that lies on a step to within noise stays there.
            let steps = value / step;
            let near = steps.round();
            let whole = if (steps - near).abs() < 1e-6 { near } else { round(steps) };
            whole * step
        };
        (outwards(self.lowest, f64::floor), outwards(self.highest, f64::ceil))
    }
}

impl Solution<'_> {
    /// Every answer, in the order asked.
    pub fn answers(&self) -> Vec<Answer> {
        (0..self.checked.asked.len()).map(|number| self.answer(number)).collect()
    }

    /// The answer of this number among those asked.
    pub fn answer(&self, number: usize) -> Answer {
        let asked = &self.checked.asked[number];
        let slot = self.checked.engine.system.asked[number];
        let part = &self.checked.question.parts[asked.part];
        let value = self.slots[slot];
        let shown = asked.unit.from_si(value);
        let rounded = self.rounded(number, shown);
        let tolerance = part.tolerance.as_ref().map_or(0.0, |t| {
            let relative = t.value.unit.dimension().is_none();
            if relative {
                t.value.si() * shown.abs()
            } else {
                // A width, not a reading: 0.5 degC is half a kelvin.
                t.value.number.value.abs() * t.value.unit.factor() / asked.unit.factor()
            }
        });
        let (lowest, highest) = self.accepted(number, shown, &rounded);
        let mut lowest = lowest - tolerance;
        if shown >= 0.0 {
            lowest = lowest.max(0.0);
        }
        Answer {
            part: asked.part,
            name: self.answer_name(number),
            unit: asked.unit.clone(),
            value,
            printed: print_number(&rounded),
            lowest,
            highest: highest + tolerance,
            rounded,
        }
    }

    /// From the least to the greatest that a learner may reach who rounds on the way,
    /// written as the answer is printed or, give or take half a unit, to one figure
    /// more; and the printed answer itself.
    fn accepted(&self, number: usize, shown: f64, rounded: &Rounded) -> (f64, f64) {
        let unit = &self.checked.asked[number].unit;
        let slot = self.checked.engine.system.asked[number];
        let slack = 0.05 * 10f64.powi(rounded.last_place);
        let widened = |(lowest, highest): (f64, f64), reached: f64| {
            let reached = unit.from_si(reached);
            if !reached.is_finite() {
                return (lowest, highest);
            }
            let written = round_places(reached, -rounded.last_place).value;
            let (low, high) = (written.min(reached - slack), written.max(reached + slack));
            (lowest.min(low), highest.max(high))
        };
        let careful = self.reached_by_rounding(slot);
        let (low, high) = careful.into_iter().fold((rounded.value, rounded.value), widened);
        let (lower, higher) = widened((low, high), self.reached_by_steps(slot, Spare::OneFewer));
        let most = (SHARE_FOR_FEWER * shown.abs()).max(0.5 * 10f64.powi(rounded.last_place));
        let any = (SHARE_FOR_ANY * shown.abs()).max(10f64.powi(rounded.last_place));
        (lower.max(low - most).max(shown - any), higher.min(high + most).min(shown + any))
    }

    /// The value, in base units, that a learner reaches who does not round on the
    /// way; who writes every step to the figures it is worth, or one more; who takes
    /// up the printed answers of other parts, all of them or a single one; who takes
    /// what the text gives rounded.
    fn reached_by_rounding(&self, last: Slot) -> Vec<f64> {
        let engine = &self.checked.engine;
        let answers: Vec<Slot> =
            engine.system.asked.iter().copied().filter(|slot| *slot != last).collect();
        let printed = |slot: Slot| match engine.system.asked.iter().position(|s| *s == slot) {
            Some(number) => {
                let unit = &self.checked.asked[number].unit;
                self.rounded(number, unit.from_si(self.slots[slot])).figures()
            }
            None => EXACT,
        };
        let mut reached = vec![
            self.slots[last],
            self.reached_by_steps(last, Spare::None),
            self.reached_by_steps(last, Spare::OneMore),
            self.run_rounded(last, &printed),
            self.run(&self.values_as_read(), &|_, value| value)[last],
        ];
        for answer in answers {
            let alone = |slot: Slot| if slot == answer { printed(slot) } else { EXACT };
            reached.push(self.run_rounded(last, &alone));
        }
        reached
    }

    /// The value if every step is written to the figures it is worth, or one more or
    /// fewer.
    fn reached_by_steps(&self, last: Slot, spare: Spare) -> f64 {
        self.run_rounded(last, &|slot| {
            let worth = self.figures_of(slot);
            match spare {
                Spare::OneFewer if worth != EXACT => worth.saturating_sub(1),
                Spare::OneMore => worth.saturating_add(1),
                Spare::OneFewer | Spare::None => worth,
            }
        })
    }

    fn figures_of(&self, slot: Slot) -> u32 {
        self.precision[slot].map_or(EXACT, |p| p.figures(self.shown_value(slot)))
    }

    /// The last value if each step on the way is rounded to so many figures.
    fn run_rounded(&self, last: Slot, figures: &dyn Fn(Slot) -> u32) -> f64 {
        let round = |slot: Slot, value: f64| {
            let kept = figures(slot);
            if slot == last || kept == EXACT {
                return value;
            }
            let unit = self.unit_of(slot);
            unit.to_si(round_figures(unit.from_si(value), kept.max(LEAST)).value)
        };
        self.run(&self.values, &round)[last]
    }

    /// An asked value rounded as the part says, else as its data support.
    pub(super) fn rounded(&self, number: usize, shown: f64) -> Rounded {
        let asked = &self.checked.asked[number];
        let part = &self.checked.question.parts[asked.part];
        if let Some(figures) = &part.sig_figs {
            return round_figures(shown, figures.value);
        }
        if let Some(places) = &part.places {
            return round_places(shown, i32::try_from(places.value).unwrap_or(i32::MAX));
        }
        if let Some(figures) = part.usual_figures {
            return round_figures(shown, figures);
        }
        let figures = self.supported_figures(number, asked, shown);
        if figures == EXACT {
            // Counted or defined: all digits, if they are few.
            let full = round_figures(shown, MOST);
            let exact = (full.value - shown).abs() <= 1e-9 * shown.abs();
            return if exact { shortest_of(shown) } else { full };
        }
        round_figures(shown, figures.max(LEAST))
    }

    /// The figures that the data of an answer bear; `EXACT` if they set no limit.
    pub fn borne(&self, number: usize) -> u32 {
        let asked = &self.checked.asked[number];
        let slot = self.checked.engine.system.asked[number];
        self.supported_figures(number, asked, asked.unit.from_si(self.slots[slot]))
    }

    fn supported_figures(&self, number: usize, asked: &Asked, shown: f64) -> u32 {
        let slot = self.checked.engine.system.asked[number];
        let precision = match self.checked.engine.system.nodes[slot] {
            // Printed in a unit of its own, so its places are not the slot's.
            Node::Amount(..) | Node::Share(..) => {
                let unit = self.unit_of(slot);
                let factor = unit.factor() / asked.unit.factor();
                self.precision[slot].map(|p| p.scaled(unit.from_si(self.slots[slot]), factor))
            }
            Node::Asked(_) => self.precision[slot],
            _ => None,
        };
        let precision = precision
            .unwrap_or_else(|| of_formula(self, &asked.formula, &asked.unit, &self.precision));
        precision.figures(shown)
    }

    fn answer_name(&self, number: usize) -> String {
        let asked = &self.checked.asked[number];
        let part = &self.checked.question.parts[asked.part];
        match &part.name {
            Some(name) if part.find.len() == 1 => name.value.clone(),
            _ => words::answer_name(self, &asked.formula),
        }
    }

    /// The slot that a dotted name reads.
    pub(super) fn slot_of_path(&self, path: &[&str]) -> Option<Slot> {
        self.checked.slot_of(path).or_else(|| {
            // From a basis a slot has a value that the plan does not keep.
            let slot = self.checked.engine.any_slot_of(self.checked.node_of(path)?)?;
            self.slots[slot].is_finite().then_some(slot)
        })
    }
}

/// A value that few digits write in full.
fn shortest_of(shown: f64) -> Rounded {
    (1..=MOST)
        .map(|figures| round_figures(shown, figures))
        .find(|r| (r.value - shown).abs() <= 1e-9 * shown.abs())
        .unwrap_or_else(|| round_figures(shown, MOST))
}
