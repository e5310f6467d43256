//! A plan's steps as a teacher writes them: what is found and why in words, the
//! relation in symbols, the numbers put in, and the result.

use crate::balance::problem::{At, Meaning, Says, What};
use crate::balance::{Find, Node, Relation, Shape, Slot, Step, Why, is_equality};
use crate::quantity::{Rounded, print_number, print_quantity, round_figures};

use super::{Answer, Solution, basis, letting, words};

/// One step of a worked answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WorkedStep {
    /// Index of the part that first needs it.
    pub part: usize,
    /// Why, in words.
    pub says: String,
    /// The slot that is found, if it is one.
    pub(super) finds: Option<Slot>,
    /// What is found.
    pub name: String,
    /// The relation, the numbers put in, unrounded: each equals the name.
    pub chain: Vec<String>,
    /// The printed answer, where the step ends with one.
    pub answer: Option<String>,
}

/// Where a worked step comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Origin {
    /// An author's value that is worked out from others.
    Derived,
    /// A relation, by number.
    Find(usize),
    /// A let, by the number of its step in the plan.
    Let(usize),
    /// A basis that is reckoned with, and what follows from it.
    Basis,
    /// Nothing new: it says where the answer stands.
    Known,
}

/// The working, and for each of its steps where it comes from.
pub(super) struct Walk {
    pub(super) steps: Vec<WorkedStep>,
    pub(super) origins: Vec<Origin>,
}

impl WorkedStep {
    /// Whether the step finds a quantity that the author has a remark on.
    pub fn finds(&self, solution: &Solution<'_>, path: &[&str]) -> bool {
        self.finds.is_some() && self.finds == solution.slot_of_path(path)
    }
}

impl Solution<'_> {
    /// The working of every part; a step that several parts share stands with the
    /// first of them.
    pub fn working(&self, answers: &[Answer]) -> Vec<WorkedStep> {
        self.walk(answers).steps
    }

    pub(super) fn walk(&self, answers: &[Answer]) -> Walk {
        let engine = &self.checked.engine;
        let mut worked = Vec::new();
        let mut origins = Vec::new();
        let mut first = 0;
        let mut shown_values: Vec<usize> = Vec::new();
        for (number, asked) in self.checked.asked.iter().enumerate() {
            let part = asked.part;
            let begins = worked.len();
            for value in self.derived_before(number) {
                // What the text itself says is given to the learner.
                if !self.is_printed_in_text(value) && !shown_values.contains(&value) {
                    shown_values.push(value);
                    worked.push(self.derived_step(part, value));
                }
            }
            origins.resize(worked.len(), Origin::Derived);
            let last = engine.plan.reached[number].max(first);
            for (index, step) in (first..).zip(&engine.plan.steps[first..last]) {
                let origin = match step {
                    Step::Find(find) => Origin::Find(find.relation),
                    Step::Let(_) => Origin::Let(index),
                    Step::Basis(_) => Origin::Basis,
                };
                worked.extend(self.steps_of(part, step));
                origins.resize(worked.len(), origin);
            }
            first = last;
            let slot = engine.system.asked[number];
            self.finish(&mut worked, begins, number, slot, &answers[number]);
            origins.resize(worked.len(), Origin::Known);
        }
        Walk { steps: worked, origins }
    }

    /// The lines of one step.
    pub(super) fn steps_of(&self, part: usize, step: &Step) -> Vec<WorkedStep> {
        match step {
            Step::Find(find) => vec![self.find_step(part, *find)],
            Step::Let(letting) => letting::steps(self, part, letting),
            Step::Basis(taken) => basis::steps(self, part, taken),
        }
    }

    /// Puts the printed answer at the end of the step that finds it; where no new
    /// step was needed, says where the answer stands.
    fn finish(
        &self,
        worked: &mut Vec<WorkedStep>,
        begins: usize,
        number: usize,
        slot: Slot,
        answer: &Answer,
    ) {
        let part = self.checked.asked[number].part;
        let alike = self.asked_elsewhere(number, slot);
        let printed = super::solution::with_unit(&answer.printed, &answer.unit);
        let is_last = worked.last().is_some_and(|step| step.finds == Some(slot));
        if begins == worked.len() || !is_last {
            let before = worked.iter().find(|step| step.finds == Some(slot));
            let says = match before.filter(|step| step.part != part) {
                Some(step) => format!("This was found in {}.", self.part_words(step.part)),
                None => alike.clone().unwrap_or_else(|| "From this:".to_owned()),
            };
            worked.push(WorkedStep {
                part,
                says,
                finds: Some(slot),
                name: words::of_slot(self, slot),
                chain: vec![self.shown_unrounded(slot)],
                answer: None,
            });
        }
        let Some(step) = worked.last_mut() else { return };
        if let Some(alike) = alike.filter(|_| is_last) {
            step.says = format!("{} {alike}", step.says);
        }
        // A formula's own name would only say it twice.
        if let Node::Asked(_) = self.checked.engine.system.nodes[slot]
            && self.checked.question.parts[part].name.is_some()
            && answer.name != "answer"
        {
            step.name.clone_from(&answer.name);
            step.says = format!("To find the {}:", answer.name);
        }
        if step.chain.last() == Some(&printed) {
            step.chain.pop();
        }
        step.answer = Some(printed);
    }

    /// The share that is asked for in one place is found in another of its composition.
    fn asked_elsewhere(&self, number: usize, slot: Slot) -> Option<String> {
        let engine = &self.checked.engine;
        let path = self.checked.asked[number].formula.as_name()?;
        let Meaning::Share(at, ..) = engine.problem.meaning(&path).ok()? else { return None };
        match engine.system.nodes[slot] {
            Node::Share(other, _) if other != at => Some(format!(
                "{} has the composition of {}.",
                words::capital(&words::the_place(&engine.problem, at)),
                words::the_place(&engine.problem, other)
            )),
            _ => None,
        }
    }

    /// "(b)", or "the question" where its part has no letter.
    fn part_words(&self, part: usize) -> String {
        match &self.checked.question.parts[part].label {
            Some(label) => format!("({})", label.value),
            None => "the question".to_owned(),
        }
    }

    /// The derived values that an asked formula uses, innermost first.
    fn derived_before(&self, number: usize) -> Vec<usize> {
        let mut found = Vec::new();
        let formula = &self.checked.asked[number].formula;
        self.collect_derived(formula, &mut found);
        for fact in self.checked.facts.iter().flatten() {
            if !self.checked.engine.problem.streams.is_empty() {
                self.collect_derived(fact, &mut found);
            }
        }
        found
    }

    fn collect_derived(&self, formula: &crate::quantity::Formula, found: &mut Vec<usize>) {
        use crate::reading::model::Source;
        for (path, _) in formula.names() {
            let Some(value) = self.value_index(&path.join(".")) else { continue };
            if let Source::Derived { formula, .. } = &self.checked.values[value].source {
                self.collect_derived(formula, found);
                if !found.contains(&value) {
                    found.push(value);
                }
            }
        }
    }

    fn derived_step(&self, part: usize, value: usize) -> WorkedStep {
        use crate::reading::model::Source;
        let name = self.checked.values[value].name.replace('_', " ");
        let mut chain = Vec::new();
        if let Source::Derived { formula, .. } = &self.checked.values[value].source {
            chain.push(formula.write(&|path| path.join(" ").replace('_', " ")));
            chain.push(self.with_numbers(formula));
        }
        let finds = self.checked.engine.slot_of(Node::Value(value));
        chain.push(finds.map_or_else(|| self.typed(value), |slot| self.shown_unrounded(slot)));
        WorkedStep { part, says: format!("First the {name}:"), finds, name, chain, answer: None }
    }

    /// A formula with every name replaced by its value.
    fn with_numbers(&self, formula: &crate::quantity::Formula) -> String {
        formula.write(&|path| match self.value_index(&path.join(".")) {
            Some(value) => self.value_in_line(value),
            None => self.slot_of_path(path).map_or_else(|| path.join("."), |slot| self.shown(slot)),
        })
    }

    fn find_step(&self, part: usize, find: Find) -> WorkedStep {
        let relation = &self.checked.engine.system.relations[find.relation];
        let (symbols, numbers) = self.right_side(relation, find.target);
        let mut chain = vec![symbols, numbers];
        chain.retain(|line| !line.is_empty());
        if !is_equality(&relation.shape) {
            chain.push(self.shown_unrounded(find.target));
        }
        WorkedStep {
            part,
            says: self.reason(relation, find.target),
            finds: Some(find.target),
            name: words::of_slot(self, find.target),
            chain,
            answer: None,
        }
    }

    /// The relation solved for the target, in symbols and with numbers; nothing where
    /// its words say it all.
    pub(super) fn right_side(&self, relation: &Relation, target: Slot) -> (String, String) {
        self.right_side_in(relation, target, &|slot| self.shown(slot))
    }

    /// The same with values written as `value` says.
    pub(super) fn right_side_in(
        &self,
        relation: &Relation,
        target: Slot,
        value: &dyn Fn(Slot) -> String,
    ) -> (String, String) {
        match &relation.shape {
            Shape::Sum { terms, constant } => {
                self.in_both(value, |name| sum_solved(terms, *constant, target, name))
            }
            Shape::Product { whole, part, factor } => {
                let (left, sign, right) = if target == *whole {
                    (*factor, '×', *part)
                } else if target == *part {
                    (*whole, '÷', *factor)
                } else {
                    (*whole, '÷', *part)
                };
                self.in_both(value, |name| format!("{} {sign} {}", name(left), name(right)))
            }
            Shape::Algebra { .. } => self.algebra_sides(relation, target),
            Shape::OfRatio { share, ratio } => {
                let (of, sign) =
                    if target == *share { (*ratio, '+') } else { (*share, '\u{2212}') };
                self.in_both(value, |name| format!("{0} ÷ (1 {sign} {0})", name(of)))
            }
            Shape::OfSolubility { curve, temperature, .. } => {
                let grams = self.grams_in_table(curve.read(self.slots[*temperature]));
                (
                    "solubility ÷ (100 g + solubility)".to_owned(),
                    format!("{grams} ÷ (100 g + {grams})").replace("100 g", &gram("100")),
                )
            }
            Shape::WaterPressure { .. } => (String::new(), String::new()),
            Shape::Proportion { .. } | Shape::Power { .. } | Shape::Recount { .. } => {
                let solved = |name: &dyn Fn(Slot) -> String| {
                    self.law_solved(relation, target, name).unwrap_or_default()
                };
                self.in_both(value, solved)
            }
            Shape::Saturation { temperature, .. } if target == *temperature => {
                // The words say what the table is asked.
                (String::new(), String::new())
            }
            Shape::Saturation { solute, solvent, curve, temperature } => {
                let ratio = curve.read(self.slots[*temperature]);
                let unit = crate::quantity::Unit::parse("g/100 g")
                    .unwrap_or_else(|_| crate::quantity::Unit::none());
                let printed = print_quantity(&as_in_table(unit.from_si(ratio)), &unit);
                let (other, sign) =
                    if target == *solute { (*solvent, '×') } else { (*solute, '÷') };
                (
                    if target == *solute {
                        format!("solubility × {}", words::of_slot(self, other))
                    } else {
                        format!("{} ÷ solubility", words::of_slot(self, other))
                    },
                    if sign == '×' {
                        format!("{printed} × {}", value(other))
                    } else {
                        format!("{} ÷ {printed}", value(other))
                    },
                )
            }
        }
    }

    /// A solubility as the grams that go with 100 g of water.
    fn grams_in_table(&self, ratio: f64) -> String {
        gram(&print_number(&as_in_table(100.0 * ratio)))
    }

    /// The same line with the names of its slots and with their values.
    fn in_both(
        &self,
        value: &dyn Fn(Slot) -> String,
        write: impl Fn(&dyn Fn(Slot) -> String) -> String,
    ) -> (String, String) {
        (write(&|slot| words::of_slot(self, slot)), write(value))
    }

    /// The formula that an algebra sets its target equal to, if it is one.
    pub(super) fn right_formula(
        &self,
        relation: &Relation,
        target: Slot,
    ) -> Option<&crate::quantity::Formula> {
        match relation.why {
            Why::Asked(number) => Some(&self.checked.asked[number].formula),
            Why::Author(number) => {
                let equation = &self.checked.engine.problem.relations[number];
                let left = equation.left.as_name().and_then(|path| self.slot_of_path(&path));
                (left == Some(target)).then_some(&equation.right)
            }
            _ => None,
        }
    }

    fn algebra_sides(&self, relation: &Relation, target: Slot) -> (String, String) {
        let checked = self.checked;
        let formula = self.right_formula(relation, target);
        match (formula, relation.why) {
            (Some(formula), _) => {
                let symbols = formula.write(&|path| match self.value_index(&path.join(".")) {
                    Some(value) => checked.values[value].name.replace('_', " "),
                    None => self
                        .slot_of_path(path)
                        .map_or_else(|| path.join("."), |slot| words::of_slot(self, slot)),
                });
                (symbols, self.with_numbers(formula))
            }
            // Its sentence shows the equation.
            (None, Why::Author(_)) => (String::new(), String::new()),
            (None, _) => (String::new(), self.shown(target)),
        }
    }

    /// Why a relation holds, in one sentence.
    pub(super) fn reason(&self, relation: &Relation, target: Slot) -> String {
        let problem = &self.checked.engine.problem;
        let what = |of: What| problem.what_words(of);
        match relation.why {
            Why::ShareOfTotal(at, of) => {
                let Shape::Product { whole, factor, .. } = &relation.shape else {
                    return String::new();
                };
                let place = words::the_place(problem, at);
                let borrowed = self.borrowed_composition(at, *factor);
                let (counted, fraction) = match self.checked.engine.system.nodes[*factor] {
                    Node::OtherShare(..) => {
                        let other = self.other_counted_word();
                        (other, if other == "mass" { "mass fraction" } else { "mole fraction" })
                    }
                    _ => (self.counted_word(), "fraction"),
                };
                if self.is_concentration(of) {
                    let of = what(of);
                    match target {
                        _ if target == *whole => {
                            format!(
                                "{borrowed}The {of} in {place} is its concentration times the volume."
                            )
                        }
                        _ if target == *factor => format!(
                            "The concentration of {of} in {place} is its mass over the volume."
                        ),
                        _ => format!(
                            "The volume of {place} is the mass of {of} over its concentration."
                        ),
                    }
                } else if target == *factor {
                    format!(
                        "The {fraction} of {} is its {counted} over the {counted} of {place}.",
                        what(of)
                    )
                } else {
                    let end = if target == *whole { "" } else { ", which gives the whole" };
                    let why = self.why_share(*factor);
                    let share = self.percent(*factor);
                    format!("{why}{borrowed}{share} of {place} is {}{end}.", what(of))
                }
            }
            Why::AmountsMakeTotal(at) => {
                let is_other = |slot: &Slot| {
                    matches!(self.checked.engine.system.nodes[*slot], Node::Other(..))
                };
                let counted = match relation.slots().iter().any(is_other) {
                    true => self.other_counted_word(),
                    false => self.counted_word(),
                };
                let place = words::the_place(problem, at);
                let ending = match counted {
                    "mass" => "es",
                    "moles" => "",
                    _ => "s",
                };
                format!("In {place} the {counted}{ending} add up to the whole.")
            }
            Why::SharesMakeOne(at) => {
                format!("The fractions in {} add up to 1.", words::the_place(problem, at))
            }
            Why::Balance { envelope, of } => self.balance_words(envelope, of, relation),
            Why::SolidsAndLiquor(at, _) => {
                let place = words::the_place(problem, at);
                format!("Solids and liquor together make {place}.")
            }
            Why::SolidsStay { operation, .. } => format!(
                "Nothing dissolves in {}, so the solids that enter leave as solids.",
                words::envelope(problem, &[operation], false)
            ),
            Why::GroupAmounts(_, g) | Why::GroupShares(_, g) => {
                let members: Vec<String> =
                    problem.groups[g].members.iter().map(|c| what(What::Component(*c))).collect();
                format!(
                    "{} is {}.",
                    words::capital(&what(What::Group(g))),
                    words::joined(&members, "and")
                )
            }
            Why::Fact(fact) => {
                let told = self.fact_words(fact);
                match &relation.shape {
                    Shape::OfSolubility { curve, temperature, .. } => {
                        let grams = self.grams_in_table(curve.read(self.slots[*temperature]));
                        let water = gram("100");
                        format!(
                            "{told} With {water} of water go {grams}, and both make the solution."
                        )
                    }
                    Shape::OfRatio { ratio, .. } => format!(
                        "{told} With 1 part of the one go {} of the other, and both make the whole.",
                        self.shown(*ratio)
                    ),
                    _ => format!("{}{told}", self.fact_elsewhere(fact, relation)),
                }
            }
            Why::FactFor(fact, _) | Why::FactForAll(fact) => {
                let told = self.fact_words(fact);
                match problem.facts.get(fact).map(|fact| &fact.says) {
                    Some(Says::ShareOf { of: What::Total, .. }) => told,
                    _ => format!("{told} As both have one composition, all of it is shared alike."),
                }
            }
            Why::Author(number) => match &problem.relations[number].says {
                Some(says) => says.clone(),
                None if self.right_formula(relation, target).is_some() => {
                    "This relation is given.".to_owned()
                }
                None => self.given_equation(number, target),
            },
            Why::VolumeTimesDensity(_) => "Mass is volume times density.".to_owned(),
            Why::ConcentrationTimesVolume(..) => "Concentration is mass over volume.".to_owned(),
            Why::MolesTimesMolarMass(..) => "Mass is moles times molar mass.".to_owned(),
            Why::Recounted(..) => self.recount_words(relation),
            Why::Law(fact, law) => self.law_words(fact, law),
            Why::Asked(_) => "Put the numbers in:".to_owned(),
        }
    }

    /// An author's equation that is solved for something on one of its sides.
    fn given_equation(&self, number: usize, target: Slot) -> String {
        let equation = &self.checked.engine.problem.relations[number];
        let symbols = |path: &[&str]| {
            let slot = self.slot_of_path(path);
            slot.map_or_else(|| path.join("."), |slot| words::of_slot(self, slot))
        };
        format!(
            "This is given: {} = {}. It is solved for the {}.",
            equation.left.write(&symbols),
            equation.right.write(&symbols),
            words::of_slot(self, target)
        )
    }

    /// A share as a person says it.
    fn percent(&self, slot: Slot) -> String {
        use crate::quantity::{Precision, Unit};
        let unit = Unit::percent();
        let value = unit.from_si(self.slots[slot]);
        let figures =
            self.precision[slot].map_or(4, |p: Precision| p.figures(self.slots[slot]).min(4));
        // A share that was worked out is not rounded to what its data are worth.
        let rounded = round_figures(value, figures.max(1));
        let is_whole = (rounded.value - value).abs() <= 1e-9 * value.abs();
        if is_whole {
            return print_quantity(&rounded, &unit);
        }
        let text = round_figures(value, 4).digits;
        let text = if text.contains('.') { text.trim_end_matches('0') } else { &text };
        super::solution::with_unit(&print_number(text.trim_end_matches('.')), &unit)
    }

    /// Where a share comes from, if a formula tells it: "In 1 mol of ... there are ...".
    fn why_share(&self, slot: Slot) -> String {
        match self.checked.engine.system.nodes[slot] {
            Node::Extra(extra) => {
                let says = self.checked.engine.problem.extras[extra].says.as_ref();
                says.map_or_else(String::new, |says| format!("{says} "))
            }
            _ => String::new(),
        }
    }

    /// Says so where a place has another's composition.
    fn borrowed_composition(&self, at: At, share: Slot) -> String {
        let problem = &self.checked.engine.problem;
        match self.checked.engine.system.nodes[share] {
            Node::Share(other, _) if other != at => format!(
                "{} has the composition of {}. ",
                words::capital(&words::the_place(problem, at)),
                words::the_place(problem, other)
            ),
            _ => String::new(),
        }
    }

    fn balance_words(&self, envelope: usize, of: What, relation: &Relation) -> String {
        let engine = &self.checked.engine;
        let problem = &engine.problem;
        let border = &engine.system.envelopes[envelope];
        if let [operation] = border.operations.as_slice()
            && let Some(stream) = problem.operations[*operation].name.strip_prefix("collection of ")
        {
            let stream = stream.replace('_', " ");
            return match of {
                What::Total => format!("What every stage gives adds up to the {stream}."),
                _ => format!(
                    "The {} in the {stream} of every stage adds up.",
                    problem.what_words(of)
                ),
            };
        }
        if let [operation] = border.operations.as_slice()
            && let Some(stream) = problem.operations[*operation].name.strip_prefix("division of ")
        {
            return format!("The {} is shared out among the stages.", stream.replace('_', " "));
        }
        let around = words::envelope(problem, &border.operations, border.whole);
        match of {
            What::Total => {
                let counted = self.counted_word();
                format!("A balance of the whole {counted} over {around}: what enters leaves.")
            }
            _ => {
                let name = problem.what_words(of);
                if is_equality(&relation.shape) && border.inlets.len() + border.outlets.len() > 2 {
                    let (idle, held): (Vec<usize>, Vec<usize>) =
                        border.outlets.iter().copied().partition(|stream| {
                            engine.slot_of(Node::Amount(At::whole(*stream), of)) == Some(0)
                        });
                    if !idle.is_empty() {
                        return format!(
                            "No {name} leaves {around} in {}: all of it is in {}.",
                            words::joined(&words::the_streams(problem, &idle), "or"),
                            words::joined(&words::the_streams(problem, &held), "and")
                        );
                    }
                }
                format!("A balance of {name} over {around}: what enters leaves.")
            }
        }
    }

    /// The number that a fact gives, as a percentage if it is a share.
    pub(super) fn number_of(&self, fact: usize, as_share: bool) -> String {
        let system = &self.checked.engine.system;
        match system.find(Node::Factor(fact)) {
            Some(slot) if as_share => self.percent(slot),
            Some(slot) => self.shown(slot),
            None => String::new(),
        }
    }

    /// Says so where a fact about one place is used in another of its composition.
    fn fact_elsewhere(&self, fact: usize, relation: &Relation) -> String {
        let engine = &self.checked.engine;
        let Some(stated) = engine.problem.facts.get(fact) else { return String::new() };
        let is_ratio = matches!(stated.says, Says::Per { .. } | Says::Saturated { .. });
        let mut places =
            relation.slots().into_iter().filter_map(|slot| match engine.system.nodes[slot] {
                Node::Amount(at, _) | Node::Share(at, _) => Some(at),
                _ => None,
            });
        let Some(first) = places.next().filter(|at| is_ratio && at.stream != stated.at.stream)
        else {
            return String::new();
        };
        // A ratio of liquor alone may stand under its whole stream's name.
        let at = match places.next() {
            Some(second) if second.part.is_some() => second,
            _ => first,
        };
        format!(
            "{} has the composition of {}. ",
            words::capital(&words::the_place(&engine.problem, at)),
            words::the_place(&engine.problem, stated.at)
        )
    }

    fn fact_words(&self, fact: usize) -> String {
        let problem = &self.checked.engine.problem;
        let Some(stated) = problem.facts.get(fact) else { return String::new() };
        let place = words::the_place(problem, stated.at);
        let factor = self.checked.engine.slot_of(Node::Factor(fact));
        let share = factor.map_or_else(|| "a given share".to_owned(), |slot| self.percent(slot));
        match &stated.says {
            Says::ShareOf { of: What::Total, other, .. } => {
                format!(
                    "{} is {share} of {}.",
                    words::capital(&place),
                    words::the_place(problem, *other)
                )
            }
            Says::ShareOf { of, other, .. } => format!(
                "The {} in {place} is {share} of that in {}.",
                problem.what_words(*of),
                words::the_place(problem, *other)
            ),
            Says::Per { of, base, .. } => {
                let (of, base) = (problem.what_words(*of), problem.what_words(*base));
                let plain = factor.filter(|slot| self.unit_of(*slot).dimension().is_none());
                let ratio = plain.map_or_else(|| "given".to_owned(), |slot| self.shown(slot));
                format!("In {place} the ratio of {of} to {base} is {ratio}.")
            }
            Says::SameAs { of: What::Total, other } => format!(
                "{} is as much as {}.",
                words::capital(&place),
                words::the_place(problem, *other)
            ),
            Says::SameAs { of, other } => format!(
                "The {} of {place} is the same as that of {}.",
                problem.what_words(*of),
                words::the_place(problem, *other)
            ),
            Says::Saturated { solute, table, .. } => format!(
                "{} is saturated with {} at {}; the solubility is read from the table ‘{}’.",
                words::capital(&place),
                problem.what_words(What::Component(*solute)),
                self.number_of(fact, false),
                table.name
            ),
            Says::SaturatedWhen { solute, solvent, table, .. } => {
                let amount = |c: usize| {
                    let node = Node::Amount(stated.at, What::Component(c));
                    self.checked.engine.slot_of(node).map_or(f64::NAN, |slot| self.slots[slot])
                };
                let ratio = round_figures(100.0 * amount(*solute) / amount(*solvent), 4);
                format!(
                    "{} holds {} g of {} per 100 g of {}, which the table ‘{}’ gives at this temperature.",
                    words::capital(&place),
                    print_number(&ratio),
                    problem.what_words(What::Component(*solute)),
                    problem.what_words(What::Component(*solvent)),
                    table.name,
                )
            }
            _ => "This is given.".to_owned(),
        }
    }
}

/// A solubility with the three figures that tables have, or four where it stands
/// between two columns and needs them.
fn as_in_table(solubility: f64) -> Rounded {
    let three = round_figures(solubility, 3);
    if (three.value - solubility).abs() <= 1e-9 * solubility.abs() {
        three
    } else {
        round_figures(solubility, 4)
    }
}

/// "45.8 g".
fn gram(digits: &str) -> String {
    let unit = crate::quantity::Unit::parse("g").unwrap_or_else(|_| crate::quantity::Unit::none());
    super::solution::with_unit(digits, &unit)
}

/// A sum solved for one of its terms: "a + b − c".
fn sum_solved(
    terms: &[(f64, Slot)],
    constant: f64,
    target: Slot,
    name: &dyn Fn(Slot) -> String,
) -> String {
    let own = terms.iter().find(|(_, s)| *s == target).map_or(1.0, |(c, _)| *c);
    let mut pieces: Vec<(f64, String)> = Vec::new();
    if constant != 0.0 {
        let value = -constant / own;
        pieces.push((value.signum(), format!("{}", value.abs())));
    }
    for (coefficient, slot) in terms.iter().filter(|(_, s)| *s != target) {
        let factor = -coefficient / own;
        let text = if factor.abs() == 1.0 {
            name(*slot)
        } else {
            format!("{} × {}", factor.abs(), name(*slot))
        };
        pieces.push((factor.signum(), text));
    }
    // What is added stands before what is taken away.
    pieces.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut line = String::new();
    for (index, (sign, text)) in pieces.iter().enumerate() {
        match (index, *sign < 0.0) {
            (0, false) => line.push_str(text),
            (0, true) => {
                line.push('\u{2212}');
                line.push_str(text);
            }
            (_, negative) => {
                line.push_str(if negative { " \u{2212} " } else { " + " });
                line.push_str(text);
            }
        }
    }
    line
}
