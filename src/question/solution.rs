//! One version of a question: its values as typed, every quantity that the plan
//! finds, and how far each may be trusted.

use crate::balance::{Node, Refusal, Slot};
use crate::quantity::{
    Formula, Number, Precision, Rounded, Unit, print_number, print_quantity, round_figures,
};
use crate::reading::model::{Checked, Source};

use super::{Response, figures, words};

/// A solved version. What type-checks as a `Solution` is solved and checked.
#[derive(Debug, Clone)]
pub struct Solution<'a> {
    pub checked: &'a Checked,
    pub(super) numbers: Vec<Option<&'a Number>>,
    pub(super) words: Vec<(&'a str, &'a str)>,
    pub(super) values: Vec<f64>,
    pub(super) slots: Vec<f64>,
    /// What a learner took in place of what the plan finds; empty but for one who goes
    /// on from answers of their own.
    pub(super) held: Vec<(Slot, f64)>,
    /// In the unit that `unit_of` gives; none for slots that the plan leaves out.
    pub(super) precision: Vec<Option<Precision>>,
    /// Of the parts that are answered otherwise than by a number on a line.
    pub(super) responses: Vec<Response>,
}

/// Figures shown beyond what the data support, so that a reader can follow.
const GUARD_FIGURES: u32 = 2;
/// Fewest figures shown of a value on the way.
const LEAST_SHOWN: u32 = 4;
/// Digits more that are still shown where they complete the number.
const SPARE_DIGITS: u32 = 2;
/// How far, relative, the rounding of a value that the text gives may lie from it.
const MOST_ASTRAY: f64 = 1e-3;
/// Figures after which a value counts as written out in full.
const FULL: u32 = 10;

impl<'a> Solution<'a> {
    /// Solves the version that `choice` (an index for each axis) stands for.
    ///
    /// # Errors
    /// Why the version cannot be.
    pub fn of(checked: &'a Checked, choice: &[usize]) -> Result<Self, Refusal> {
        let values = checked.values_for(choice);
        let slots = checked.engine.solve(&values)?;
        let mut solution = Solution {
            checked,
            numbers: checked.numbers(choice),
            words: checked.chosen_words(choice),
            values,
            slots,
            held: Vec::new(),
            precision: Vec::new(),
            responses: Vec::new(),
        };
        solution.precision = figures::of_slots(&solution);
        Ok(solution)
    }

    /// Runs the plan on these values, with a hand in what each step finds; what is held
    /// stays.
    pub(super) fn run(&self, values: &[f64], round: &dyn Fn(Slot, f64) -> f64) -> Vec<f64> {
        if self.held.is_empty() {
            return self.checked.engine.run_rounded(values, round);
        }
        self.checked.engine.run_held(values, &self.held, round)
    }

    /// What is asked in base units, in the order asked, found from the facts alone without
    /// the plan; None where that way finds nothing.
    pub fn asked_anew(&self) -> Option<Vec<f64>> {
        self.checked.engine.asked_anew(&self.values)
    }

    /// Every quantity of the version by its slot, in base units.
    pub fn into_slots(self) -> Vec<f64> {
        self.slots
    }

    /// The number that a value or an asked quantity has, in base units.
    pub fn value(&self, slot: Slot) -> f64 {
        self.slots[slot]
    }

    /// What answers a part that asks for no number on a line.
    pub fn response(&self, part: usize) -> Option<&Response> {
        self.responses.iter().find(|response| response.part == part)
    }

    /// What a formula comes to, in base units; no number where something in it has no
    /// value here.
    pub(super) fn evaluated(&self, formula: &Formula) -> f64 {
        let value = formula.evaluate(&|path| {
            self.value_index(&path.join("."))
                .map(|value| self.values[value])
                .or_else(|| self.slot_of_path(path).map(|slot| self.slots[slot]))
        });
        value.unwrap_or(f64::NAN)
    }

    /// What a quantity is called in the working: "mass of slurry".
    pub fn name_of(&self, slot: Slot) -> String {
        words::of_slot(self, slot)
    }

    /// The unit in which a slot is worked and shown.
    pub(super) fn unit_of(&self, slot: Slot) -> Unit {
        use crate::balance::problem::{Meaning, Percent, What};
        let measured = |meaning| {
            let problem = &self.checked.engine.problem;
            self.checked.measures.unit(problem, meaning).unwrap_or_else(Unit::none)
        };
        match self.checked.engine.system.nodes[slot] {
            Node::Amount(at, of @ (What::Volume | What::Density)) => {
                self.unit_as_given(slot).unwrap_or_else(|| measured(Meaning::Amount(at, of)))
            }
            Node::Amount(at, of) => measured(Meaning::Amount(at, of)),
            Node::Share(at, of) => measured(Meaning::Share(at, of, Percent::No)),
            Node::Other(at, of) => measured(Meaning::Other(at, of)),
            Node::OtherShare(at, of) => measured(Meaning::OtherShare(at, of)),
            Node::Concentration(at, of) => measured(Meaning::Concentration(at, of)),
            Node::Extra(extra) => measured(Meaning::Extra(extra)),
            Node::Value(value) => self.checked.values[value].unit.clone(),
            Node::Asked(number) => self.checked.asked[number].unit.clone(),
            Node::Factor(fact) => match self.checked.facts.get(fact).and_then(Option::as_ref) {
                Some(formula) => self.factor_unit(formula),
                None => Unit::none(),
            },
            Node::Zero | Node::One => Unit::none(),
        }
    }

    /// A recovery is shown as the fraction it is; a temperature in its own unit.
    fn factor_unit(&self, formula: &Formula) -> Unit {
        let typed = formula.as_typed().map(|t| t.unit.clone()).or_else(|| {
            let name = formula.as_name()?;
            let value = self.checked.values.iter().find(|v| v.name == name.join("."))?;
            Some(value.unit.clone())
        });
        typed.filter(|unit| !unit.dimension().is_none()).unwrap_or_else(Unit::none)
    }

    /// Volumes and densities keep the unit that a fact or the question gave them.
    fn unit_as_given(&self, slot: Slot) -> Option<Unit> {
        let asked = || {
            let slots = &self.checked.engine.system.asked;
            let number = slots.iter().position(|s| *s == slot)?;
            Some(self.checked.asked[number].unit.clone())
        };
        self.unit_of_fact(slot).or_else(asked)
    }

    /// The unit in which a fact gives a slot.
    fn unit_of_fact(&self, slot: Slot) -> Option<Unit> {
        let system = &self.checked.engine.system;
        let given = system.givens.iter().find(|given| given.slot == slot);
        let formula = given.and_then(|given| self.checked.facts[given.fact].as_ref());
        formula.and_then(|formula| {
            formula.as_typed().map(|typed| typed.unit.clone()).or_else(|| {
                let (path, _) = formula.names().next()?;
                let value = self.checked.values.iter().find(|v| v.name == path.join("."))?;
                Some(value.unit.clone())
            })
        })
    }

    /// Whether a share that is given was written in per cent.
    pub(super) fn is_in_percent(&self, slot: Slot) -> bool {
        let unit = match self.checked.engine.system.nodes[slot] {
            Node::Value(value) => Some(self.checked.values[value].unit.clone()),
            _ => self.unit_of_fact(slot),
        };
        unit.is_some_and(|unit| unit.text().ends_with('%'))
    }

    pub(super) fn shown_value(&self, slot: Slot) -> f64 {
        self.unit_of(slot).from_si(self.slots[slot])
    }

    /// A slot's value with its unit, as it stands in a line of working.
    pub(super) fn shown(&self, slot: Slot) -> String {
        let (text, _) = self.digits(slot);
        with_unit(&text, &self.unit_of(slot))
    }

    /// The same, cut short with dots where the digits go on.
    pub(super) fn shown_unrounded(&self, slot: Slot) -> String {
        let (text, complete) = self.digits(slot);
        let unit = self.unit_of(slot);
        if complete {
            return with_unit(&text, &unit);
        }
        let full = round_figures(self.shown_value(slot), FULL).digits;
        let wanted = text.chars().filter(char::is_ascii_digit).count();
        let cut = cut_short(&full, wanted);
        with_unit(&format!("{}…", print_number(cut.as_str())), &unit)
    }

    /// Enough digits to follow the working, and whether they are all there are.
    fn digits(&self, slot: Slot) -> (String, bool) {
        let value = self.shown_value(slot);
        let precision = self.precision[slot].unwrap_or(Precision::Exact);
        let figures = precision.figures(value);
        let full = round_figures(value, FULL);
        let plain = trimmed(&full.digits);
        let significant = plain.chars().filter(char::is_ascii_digit).count() as u32
            - plain
                .chars()
                .take_while(|c| matches!(c, '0' | '.' | '-'))
                .filter(char::is_ascii_digit)
                .count() as u32;
        let wanted = if figures == crate::quantity::EXACT {
            LEAST_SHOWN + GUARD_FIGURES
        } else {
            (figures + GUARD_FIGURES).max(LEAST_SHOWN)
        };
        if significant <= wanted + SPARE_DIGITS {
            // All digits fit: show as many zeros as the data support.
            let shown = if figures == crate::quantity::EXACT || significant > figures {
                plain
            } else {
                precision.round(value).digits
            };
            return (print_number(shown.as_str()), true);
        }
        (print_number(&round_figures(value, wanted)), false)
    }

    /// A value of the author's as typed, with its unit.
    pub(super) fn typed(&self, value: usize) -> String {
        let unit = &self.checked.values[value].unit;
        with_unit(&self.typed_number(value), unit)
    }

    pub(super) fn typed_number(&self, value: usize) -> String {
        match (&self.checked.values[value].source, self.numbers[value]) {
            (Source::Drawn(_), Some(number)) => print_number(number),
            _ => {
                let shown = self.checked.values[value].unit.from_si(self.values[value]);
                print_number(&self.derived_as_printed(value, shown))
            }
        }
    }

    /// A value worked out from others, rounded as its data support; but what a text
    /// gives as data must not lead far astray, so figures are added, up to four, until
    /// the rounding is small.
    fn derived_as_printed(&self, value: usize, shown: f64) -> Rounded {
        let figures = figures::of_value(self, value).figures(shown).min(LEAST_SHOWN);
        let rounded = |figures| round_figures(shown, figures);
        let is_near = |r: &Rounded| (r.value - shown).abs() <= MOST_ASTRAY * shown.abs();
        (figures..LEAST_SHOWN)
            .map(rounded)
            .find(is_near)
            .unwrap_or_else(|| rounded(figures.max(LEAST_SHOWN)))
    }

    /// The author's values in base units as a learner reads them: what the text prints
    /// of derived ones is rounded.
    pub(super) fn values_as_read(&self) -> Vec<f64> {
        let read = |value: usize| {
            let unit = &self.checked.values[value].unit;
            let is_derived = matches!(self.checked.values[value].source, Source::Derived { .. });
            if is_derived && self.is_printed_in_text(value) {
                let shown = unit.from_si(self.values[value]);
                unit.to_si(self.derived_as_printed(value, shown).value)
            } else {
                self.values[value]
            }
        };
        (0..self.values.len()).map(read).collect()
    }

    /// Whether a blank of the question's text is just this value.
    pub(super) fn is_printed_in_text(&self, value: usize) -> bool {
        let name = self.checked.values[value].name.as_str();
        let question = &self.checked.question;
        let texts = std::iter::once(&question.stem).chain(question.parts.iter().map(|p| &p.text));
        texts
            .flat_map(|text| &text.blanks)
            .any(|blank| blank.formula.as_name().is_some_and(|path| path == [name]))
    }

    /// A value as it stands in a line of working: as the text gives it, else in full.
    pub(super) fn value_in_line(&self, value: usize) -> String {
        let is_derived = matches!(self.checked.values[value].source, Source::Derived { .. });
        match self.checked.engine.slot_of(Node::Value(value)) {
            Some(slot) if is_derived && !self.is_printed_in_text(value) => self.shown(slot),
            _ => self.typed(value),
        }
    }

    /// What this version drew and another may have drawn otherwise: name, unit and the
    /// value as printed.
    pub fn drawn(&self) -> Vec<(String, String, String)> {
        let name = |name: &str| name.replace('_', " ");
        let varies = |value: &usize| {
            matches!(&self.checked.values[*value].source,
                Source::Drawn(choices) if choices.len() > 1)
        };
        let numbers = (0..self.checked.values.len()).filter(varies).map(|value| {
            let own = &self.checked.values[value];
            (name(&own.name), own.unit.print().to_owned(), self.typed_number(value))
        });
        let varied = self.checked.words.iter().filter(|(_, words)| words.len() > 1);
        let words = varied.filter_map(|(of, _)| {
            let (_, word) = self.words.iter().find(|(own, _)| own == of)?;
            Some((name(of), String::new(), (*word).to_owned()))
        });
        numbers.chain(words).collect()
    }

    pub(super) fn value_index(&self, name: &str) -> Option<usize> {
        self.checked.values.iter().position(|v| v.name == name)
    }
}

/// Digits and unit with the narrow blank between; digits are printed already.
pub(super) fn with_unit(digits: &str, unit: &Unit) -> String {
    if unit.print().is_empty() {
        return digits.to_owned();
    }
    let sample = print_quantity("1", unit);
    format!("{digits}{}", &sample[1..])
}

/// The first so many digits after the point's own zeros, the rest left off; a whole
/// number keeps all its digits.
fn cut_short(digits: &str, wanted: usize) -> String {
    let mut kept = String::new();
    let mut count = 0;
    let mut after_point = false;
    for c in digits.chars() {
        if c == '.' {
            after_point = true;
        } else if c.is_ascii_digit() {
            if after_point && count >= wanted {
                break;
            }
            count += 1;
        }
        kept.push(c);
    }
    kept.trim_end_matches('.').to_owned()
}

fn trimmed(digits: &str) -> String {
    if digits.contains('.') {
        digits.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        digits.to_owned()
    }
}
