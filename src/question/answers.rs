//! The answers of a version: as printed, with the lowest and highest value that
//! earns the marks, and what named slips would give.

use crate::balance::{Node, Slot, Step};
use crate::quantity::{EXACT, Rounded, Unit, print_number, round_figures, round_places};
use crate::reading::model::Asked;

use super::figures::{LEAST, MOST, of_formula};
use super::{Solution, words};

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

/// A named wrong turn and where it leads in this version.
#[derive(Debug, Clone)]
pub struct Slip {
    pub printed: String,
    pub says: String,
}

impl Solution<'_> {
    /// Every answer, in the order asked.
    pub fn answers(&self) -> Vec<Answer> {
        (0..self.checked.asked.len()).map(|number| self.answer(number)).collect()
    }

    fn answer(&self, number: usize) -> Answer {
        let asked = &self.checked.asked[number];
        let slot = self.checked.engine.system.asked[number];
        let part = &self.checked.question.parts[asked.part];
        let value = self.slots[slot];
        let shown = asked.unit.from_si(value);
        let rounded = self.rounded(number, shown);
        let half = 0.5 * 10f64.powi(rounded.last_place);
        let tolerance = part.tolerance.as_ref().map_or(0.0, |t| {
            let relative = t.value.unit.dimension().is_none();
            if relative {
                t.value.si() * shown.abs()
            } else {
                asked.unit.from_si(t.value.si()).abs()
            }
        });
        // What a learner gets who writes every step down rounded: to the figures
        // it is worth, or to one more.
        let mut lowest = shown;
        let mut highest = shown;
        for spare in [0, 1] {
            let carried = asked.unit.from_si(self.carried(slot, spare));
            if carried.is_finite() {
                lowest = lowest.min(carried);
                highest = highest.max(carried);
            }
        }
        Answer {
            part: asked.part,
            name: self.answer_name(number),
            unit: asked.unit.clone(),
            value,
            printed: print_number(&rounded),
            lowest: lowest - half - tolerance,
            highest: highest + half + tolerance,
            rounded,
        }
    }

    /// The final value if every step on the way is rounded to the figures it is
    /// worth and `spare` more.
    fn carried(&self, last: Slot, spare: u32) -> f64 {
        let round = |slot: Slot, value: f64| {
            let unit = self.unit_of(slot);
            let figures = self.precision[slot].map_or(EXACT, |p| p.figures(self.shown_value(slot)));
            if slot == last || figures == EXACT {
                return value;
            }
            let kept = figures.saturating_add(spare).max(LEAST);
            unit.to_si(round_figures(unit.from_si(value), kept).value)
        };
        self.checked.engine.run(&self.values, &round)[last]
    }

    /// An asked value rounded as the part says, else as its data support.
    fn rounded(&self, number: usize, shown: f64) -> Rounded {
        let asked = &self.checked.asked[number];
        let part = &self.checked.question.parts[asked.part];
        if let Some(figures) = &part.sig_figs {
            return round_figures(shown, figures.value);
        }
        if let Some(places) = &part.places {
            return round_places(shown, i32::try_from(places.value).unwrap_or(i32::MAX));
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

    fn supported_figures(&self, number: usize, asked: &Asked, shown: f64) -> u32 {
        let slot = self.checked.engine.system.asked[number];
        let precision = match self.checked.engine.system.nodes[slot] {
            // Printed in a unit of its own, so its places are not the slot's.
            Node::Amount(..) | Node::Share(..) => {
                let unit = self.unit_of(slot);
                let factor = unit.factor() / asked.unit.factor();
                self.precision[slot].map(|p| p.scaled(unit.from_si(self.slots[slot]), factor))
            }
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

    /// The named slips of a part, those that cannot be told from the key or from
    /// each other left out.
    pub fn slips(&self, part: usize, answer: &Answer) -> Vec<Slip> {
        let mut slips: Vec<Slip> = Vec::new();
        for (name, formula) in &self.checked.question.parts[part].mistakes {
            let value = formula
                .value
                .evaluate(&|path| self.slot_of_path(path).map(|slot| self.slots[slot]));
            let Some(value) = value.filter(|v| v.is_finite()) else { continue };
            let shown = answer.unit.from_si(value);
            if (answer.lowest..=answer.highest).contains(&shown) {
                continue;
            }
            let printed = print_number(&round_figures(shown, answer.rounded.figures().max(LEAST)));
            match slips.iter_mut().find(|slip| slip.printed == printed) {
                Some(slip) => slip.says = format!("{}, or {}", slip.says, name.value),
                None => slips.push(Slip { printed, says: name.value.clone() }),
            }
        }
        slips
    }

    /// The slot that a dotted name reads.
    pub(super) fn slot_of_path(&self, path: &[&str]) -> Option<Slot> {
        self.checked.slot_of(path)
    }
}

/// A value that few digits write in full.
fn shortest_of(shown: f64) -> Rounded {
    (1..=MOST)
        .map(|figures| round_figures(shown, figures))
        .find(|r| (r.value - shown).abs() <= 1e-9 * shown.abs())
        .unwrap_or_else(|| round_figures(shown, MOST))
}

/// The marks of a part where the author gives none: one for each step that finds
/// something new, at least one, at most four.
pub fn default_marks(solution: &Solution<'_>, part: usize) -> u32 {
    const MOST_MARKS: u32 = 4;
    let engine = &solution.checked.engine;
    let mut marks = 0;
    let mut first = 0;
    for (number, asked) in solution.checked.asked.iter().enumerate() {
        let last = engine.plan.reached[number];
        if asked.part == part {
            for step in &engine.plan.steps[first.min(last)..last] {
                marks += match step {
                    Step::Find(find) => {
                        let shape = &engine.system.relations[find.relation].shape;
                        u32::from(!crate::balance::is_equality(shape))
                    }
                    Step::Let { .. } => 3,
                };
            }
        }
        first = last.max(first);
    }
    marks.clamp(1, MOST_MARKS)
}
