//! A problem written as equations over numbered slots.
//!
//! Quantities that are the same whatever the numbers share one slot (the total
//! of a pure stream and its one component, the composition of a filtrate and of
//! the liquor its cake holds); what is absent has no slot of its own.

use std::collections::HashMap;

use super::flowsheet::{Envelope, Flowsheet};
use super::problem::{
    At, Basis, ComponentId, Curve, ExtraId, GroupId, Law, Meaning, Part, Problem, Quantity, Says,
    StreamId, What,
};
use super::properties::water;
use crate::quantity::formula::Program;

/// Number of a slot: a quantity that has one value in a version.
pub type Slot = usize;

/// What a slot stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Node {
    Zero,
    One,
    /// An author's value.
    Value(usize),
    /// The number in a fact that relates two quantities (a recovery, a ratio).
    Factor(usize),
    Amount(At, What),
    Share(At, What),
    /// An amount and a share in the other measure: moles for masses, masses for moles.
    Other(At, What),
    OtherShare(At, What),
    /// Mass over the volume of the stream.
    Concentration(At, What),
    Extra(ExtraId),
    /// The result of an asked formula that is more than one name.
    Asked(usize),
}

impl Node {
    /// What a name in a formula reads.
    pub fn of(meaning: Meaning) -> Node {
        match meaning {
            Meaning::Value(value) => Node::Value(value),
            Meaning::Amount(at, of) => Node::Amount(at, of),
            Meaning::Share(at, of, _) => Node::Share(at, of),
            Meaning::Other(at, of) => Node::Other(at, of),
            Meaning::OtherShare(at, of) => Node::OtherShare(at, of),
            Meaning::Concentration(at, of) => Node::Concentration(at, of),
            Meaning::Extra(extra) => Node::Extra(extra),
        }
    }
}

impl From<Quantity> for Node {
    fn from(quantity: Quantity) -> Node {
        match quantity {
            Quantity::Amount(at, of) => Node::Amount(at, of),
            Quantity::Share(at, of) => Node::Share(at, of),
            Quantity::Other(at, of) => Node::Other(at, of),
            Quantity::Extra(extra) => Node::Extra(extra),
        }
    }
}

/// Why a relation holds, for the words of the working.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Why {
    /// amount = share x total.
    ShareOfTotal(At, What),
    /// total = sum of amounts.
    AmountsMakeTotal(At),
    /// Shares add up to one.
    SharesMakeOne(At),
    /// What enters an envelope leaves it.
    Balance {
        envelope: usize,
        of: What,
    },
    /// whole = solids + liquor.
    SolidsAndLiquor(At, What),
    /// Nothing dissolves in an operation.
    SolidsStay {
        operation: usize,
        component: ComponentId,
    },
    /// A group is its members.
    GroupAmounts(At, GroupId),
    GroupShares(At, GroupId),
    /// The author's fact, by number.
    Fact(usize),
    /// The same share of a split stream for one of its components.
    FactFor(usize, ComponentId),
    /// The same share for the whole.
    FactForAll(usize),
    /// The author's further relation, by number.
    Author(usize),
    /// total = volume x density.
    VolumeTimesDensity(At),
    /// mass = concentration x volume.
    ConcentrationTimesVolume(At, What),
    /// mass = moles x molar mass.
    MolesTimesMolarMass(At, ComponentId),
    /// Shares by mass told from shares by moles, or the other way.
    Recounted(At, ComponentId),
    /// An operation's physics, by the number of its fact.
    Law(usize, Law),
    /// An asked formula, by number.
    Asked(usize),
}

#[derive(Debug, Clone)]
pub enum Shape {
    /// Sum of coefficient x slot + constant = 0.
    Sum { terms: Vec<(f64, Slot)>, constant: f64 },
    /// whole = part x factor.
    Product { whole: Slot, part: Slot, factor: Slot },
    /// left = right, any algebra.
    Algebra { left: Program, right: Program, slots: Vec<Slot> },
    /// solute = curve(temperature) x solvent.
    Saturation { solute: Slot, solvent: Slot, curve: Curve, temperature: Slot },
    /// In a stream of two: share = ratio / (1 + ratio), the ratio that to the other.
    OfRatio { share: Slot, ratio: Slot },
    /// The same with the ratio read from a table.
    OfSolubility { share: Slot, curve: Curve, temperature: Slot },
    /// left.0 / left.1 = factor x right.0 / right.1.
    Proportion { left: [Slot; 2], right: [Slot; 2], factor: Slot },
    /// left.0 / left.1 = (right.0 / right.1)^exponent.
    Power { left: [Slot; 2], right: [Slot; 2], exponent: Slot },
    /// subject x sum(shares x weights) = share x weight, told from the shares alone;
    /// the weights are molar masses, or divide if `by_mass` says so.
    Recount { subject: Slot, own: usize, shares: Vec<(Slot, Slot)>, by_mass: bool },
    /// pressure = saturation pressure of water at the temperature.
    WaterPressure { pressure: Slot, temperature: Slot },
}

#[derive(Debug, Clone)]
pub struct Relation {
    pub shape: Shape,
    pub why: Why,
}

/// All equations of a problem.
#[derive(Debug, Clone)]
pub struct System {
    pub nodes: Vec<Node>,
    /// Which of them are parts of a whole, from 0 to 1.
    fractions: Vec<bool>,
    index: HashMap<Node, Slot>,
    pub relations: Vec<Relation>,
    /// Slots with one value in every version: molar masses, shares in a hydrate.
    pub constants: Vec<(Slot, f64)>,
    /// Slots that the facts fill from the author's values, in order.
    pub givens: Vec<Given>,
    /// The slot of each asked formula.
    pub asked: Vec<Slot>,
    /// Slots that conditions, slips and texts read.
    pub also: Vec<Slot>,
    pub envelopes: Vec<Envelope>,
    /// The slots before anything is known but the constants.
    blank: Vec<f64>,
    /// How many values the author has.
    values: usize,
}

/// A slot that a fact fills.
#[derive(Debug, Clone)]
pub struct Given {
    pub slot: Slot,
    pub fact: usize,
    pub program: Program,
}

impl System {
    pub(super) fn of(problem: &Problem, sheet: &Flowsheet) -> System {
        let mut builder = Builder {
            problem,
            sheet,
            system: System {
                nodes: Vec::new(),
                fractions: Vec::new(),
                index: HashMap::new(),
                relations: Vec::new(),
                constants: Vec::new(),
                givens: Vec::new(),
                asked: Vec::new(),
                also: Vec::new(),
                envelopes: sheet.envelopes.clone(),
                blank: Vec::new(),
                values: problem.values.len(),
            },
        };
        builder.slot(Node::Zero);
        builder.slot(Node::One);
        for value in 0..problem.values.len() {
            builder.slot(Node::Value(value));
        }
        for (number, extra) in problem.extras.iter().enumerate() {
            let slot = builder.slot(Node::Extra(number));
            builder.system.constants.extend(extra.value.map(|value| (slot, value)));
        }
        builder.facts();
        builder.author_relations();
        builder.places();
        builder.balances();
        builder.asked();
        builder.also();
        let mut system = builder.system;
        let is_fraction = |node: &Node| match node {
            Node::Share(_, of) => problem.counts_as_share(*of),
            Node::OtherShare(..) => true,
            _ => false,
        };
        system.fractions = system.nodes.iter().map(is_fraction).collect();
        system.blank = vec![f64::NAN; system.nodes.len()];
        system.blank[ZERO] = 0.0;
        system.blank[ONE] = 1.0;
        for (slot, value) in &system.constants {
            system.blank[*slot] = *value;
        }
        system
    }

    /// Is it a part of a whole, and no concentration or amount?
    pub fn is_fraction(&self, slot: Slot) -> bool {
        self.fractions[slot]
    }

    /// Slots with the constants and the author's values, and nothing else.
    pub(super) fn with_values(&self, values: &[f64], slots: &mut Vec<f64>) {
        slots.clone_from(&self.blank);
        let own = &mut slots[FIRST_VALUE..FIRST_VALUE + self.values];
        own.iter_mut().zip(values).for_each(|(slot, value)| *slot = *value);
    }

    /// The slot of a node, if any equation or fact speaks of it.
    pub fn find(&self, node: Node) -> Option<Slot> {
        self.index.get(&node).copied()
    }
}

/// Slots 0 and 1 hold the numbers zero and one; the author's values follow.
pub(super) const ZERO: Slot = 0;
/// The slot that is 1 whatever the numbers.
pub const ONE: Slot = 1;
const FIRST_VALUE: Slot = 2;

struct Builder<'a> {
    problem: &'a Problem,
    sheet: &'a Flowsheet,
    system: System,
}

impl Builder<'_> {
    fn slot(&mut self, node: Node) -> Slot {
        let node = canonical(self.problem, self.sheet, node);
        let nodes = &mut self.system.nodes;
        *self.system.index.entry(node).or_insert_with(|| {
            nodes.push(node);
            nodes.len() - 1
        })
    }

    fn amount(&mut self, at: At, of: What) -> Slot {
        self.slot(Node::Amount(at, of))
    }

    fn share(&mut self, at: At, of: What) -> Slot {
        self.slot(Node::Share(at, of))
    }

    fn push(&mut self, shape: Shape, why: Why) {
        self.system.relations.push(Relation { shape, why });
    }

    /// Adds sum of terms = 0, leaving out what is absent.
    fn sum(&mut self, terms: &[(f64, Slot)], why: Why) {
        let mut constant = 0.0;
        let mut kept: Vec<(f64, Slot)> = Vec::new();
        for &(coefficient, slot) in terms {
            match slot {
                ZERO => {}
                ONE => constant += coefficient,
                _ => match kept.iter_mut().find(|(_, s)| *s == slot) {
                    Some((c, _)) => *c += coefficient,
                    None => kept.push((coefficient, slot)),
                },
            }
        }
        kept.retain(|(c, _)| *c != 0.0);
        if !kept.is_empty() {
            self.push(Shape::Sum { terms: kept, constant }, why);
        }
    }

    fn product(&mut self, whole: Slot, part: Slot, factor: Slot, why: Why) {
        if factor == ONE {
            self.sum(&[(1.0, whole), (-1.0, part)], why);
        } else if part == ZERO || factor == ZERO {
            self.sum(&[(1.0, whole)], why);
        } else if whole != ZERO {
            self.push(Shape::Product { whole, part, factor }, why);
        }
    }

    fn program(
        &mut self,
        formula: &crate::quantity::formula::Formula,
    ) -> Option<(Program, Vec<Slot>)> {
        let mut slots = Vec::new();
        for (path, _) in formula.names() {
            let slot = self.slot(Node::of(self.problem.meaning(&path).ok()?));
            if !slots.contains(&slot) {
                slots.push(slot);
            }
        }
        let problem = self.problem;
        let sheet = self.sheet;
        let index = &self.system.index;
        let program = formula.compile(&|path| {
            let node = Node::of(problem.meaning(path).ok()?);
            index.get(&canonical(problem, sheet, node)).copied()
        })?;
        Some((program, slots))
    }

    /// Fills `slot` from a fact; a second fact about it becomes a relation.
    fn given(&mut self, slot: Slot, fact: usize, formula: &crate::quantity::formula::Formula) {
        let Some((program, _)) = self.program(formula) else { return };
        let taken =
            slot == ZERO || slot == ONE || self.system.givens.iter().any(|g| g.slot == slot);
        if taken {
            let twin = self.slot(Node::Factor(fact));
            self.system.givens.push(Given { slot: twin, fact, program });
            self.sum(&[(1.0, slot), (-1.0, twin)], Why::Fact(fact));
        } else {
            self.system.givens.push(Given { slot, fact, program });
        }
    }

    fn facts(&mut self) {
        let problem = self.problem;
        for (number, fact) in problem.facts.iter().enumerate() {
            let at = fact.at;
            match &fact.says {
                Says::Amount { of, formula } => {
                    let slot = self.amount(at, *of);
                    self.given(slot, number, formula);
                }
                Says::Share { of, formula } => {
                    let slot = self.share(at, *of);
                    self.given(slot, number, formula);
                }
                Says::ShareOf { of, share, other } => {
                    let factor = self.slot(Node::Factor(number));
                    self.given(factor, number, share);
                    let whole = self.amount(at, *of);
                    let part = self.amount(*other, *of);
                    self.product(whole, part, factor, Why::Fact(number));
                    self.like_shares(number, (at, *other), *of, factor);
                }
                Says::Per { of, ratio, base } => {
                    let factor = self.slot(Node::Factor(number));
                    self.given(factor, number, ratio);
                    let whole = self.amount(at, *of);
                    let part = self.amount(at, *base);
                    self.product(whole, part, factor, Why::Fact(number));
                    if is_shared(*of) && is_shared(*base) {
                        let (whole, part) = (self.share(at, *of), self.share(at, *base));
                        self.product(whole, part, factor, Why::Fact(number));
                        if self.is_all_of(at, *of, *base) {
                            let shape = Shape::OfRatio { share: whole, ratio: factor };
                            self.push(shape, Why::Fact(number));
                        }
                        // So it is wherever else there is this composition.
                        for other in self.like(at) {
                            let (whole, part) =
                                (self.amount(other, *of), self.amount(other, *base));
                            self.product(whole, part, factor, Why::Fact(number));
                        }
                    }
                }
                Says::SameAs { of, other } => {
                    let here = self.amount(at, *of);
                    let there = self.amount(*other, *of);
                    self.sum(&[(1.0, here), (-1.0, there)], Why::Fact(number));
                }
                Says::Saturated { solute, solvent, table, at: temperature } => {
                    let factor = self.slot(Node::Factor(number));
                    self.given(factor, number, temperature);
                    self.saturation(number, at, (*solute, *solvent), table, factor);
                }
                Says::SaturatedWhen { solute, solvent, table, at: temperature } => {
                    let temperature = self.slot(Node::Extra(*temperature));
                    self.saturation(number, at, (*solute, *solvent), table, temperature);
                }
                Says::OtherAmount { of, formula } => {
                    let slot = self.slot(Node::Other(at, *of));
                    self.given(slot, number, formula);
                }
                Says::OtherShare { of, formula } => {
                    let slot = self.slot(Node::OtherShare(at, *of));
                    self.given(slot, number, formula);
                }
                Says::ExtraIs { extra, formula } => {
                    let slot = self.slot(Node::Extra(*extra));
                    self.given(slot, number, formula);
                }
                Says::ShareTimes { of, factor, other, law } => {
                    let by = self.slot(Node::Factor(number));
                    self.given(by, number, factor);
                    let (whole, part) = (self.share(at, *of), self.share(*other, *of));
                    self.product(whole, part, by, Why::Law(number, *law));
                }
                Says::Proportion { left, right, factor, law } => {
                    let by = match factor {
                        Some(factor) => {
                            let by = self.slot(Node::Factor(number));
                            self.given(by, number, factor);
                            by
                        }
                        None => ONE,
                    };
                    self.proportion(number, *left, *right, by, *law);
                }
                Says::Power { left, right, exponent } => {
                    let by = self.slot(Node::Factor(number));
                    self.given(by, number, exponent);
                    let [left, right] =
                        [left, right].map(|pair| pair.map(|quantity| self.slot(quantity.into())));
                    let shape = Shape::Power { left, right, exponent: by };
                    self.push(shape, Why::Law(number, Law::Volatility));
                }
                Says::ExtraSum { whole, parts } => {
                    let mut terms = vec![(1.0, self.slot(Node::Extra(*whole)))];
                    for part in parts {
                        terms.push((-1.0, self.slot(Node::Extra(*part))));
                    }
                    self.sum(&terms, Why::Law(number, Law::VapourPressures));
                }
                Says::WaterPressure { pressure, temperature } => {
                    let pressure = self.slot(Node::Extra(*pressure));
                    let temperature = self.slot(Node::Extra(*temperature));
                    let shape = Shape::WaterPressure { pressure, temperature };
                    self.push(shape, Why::Law(number, Law::VapourPressures));
                }
                Says::Absent(_) => {}
            }
        }
    }

    /// Do two components make up all of a place?
    fn is_all_of(&self, at: At, of: What, base: What) -> bool {
        let (What::Component(a), What::Component(b)) = (of, base) else { return false };
        let mut both = [a, b];
        both.sort_unstable();
        self.sheet.counted(self.problem, at) == both
    }

    fn saturation(
        &mut self,
        fact: usize,
        at: At,
        (solute, solvent): (ComponentId, ComponentId),
        table: &Curve,
        temperature: Slot,
    ) {
        let (solute, solvent) = (What::Component(solute), What::Component(solvent));
        // The ratio of the amounts is the ratio of the shares, and so wherever else
        // there is this composition.
        let mut pairs = vec![
            (self.amount(at, solute), self.amount(at, solvent)),
            (self.share(at, solute), self.share(at, solvent)),
        ];
        for other in self.like(at) {
            pairs.push((self.amount(other, solute), self.amount(other, solvent)));
        }
        if self.is_all_of(at, solute, solvent) {
            let share = self.share(at, solute);
            let shape = Shape::OfSolubility { share, curve: table.clone(), temperature };
            self.push(shape, Why::Fact(fact));
        }
        for (solute, solvent) in pairs {
            let shape = Shape::Saturation { solute, solvent, curve: table.clone(), temperature };
            self.push(shape, Why::Fact(fact));
        }
    }

    /// The other places of a place's composition.
    fn like(&self, at: At) -> Vec<At> {
        let chief = self.sheet.composition(at);
        let places = self.sheet.places.iter().copied();
        places.filter(|other| *other != at && self.sheet.composition(*other) == chief).collect()
    }

    /// Two ratios, in amounts; and in shares too where both lie within one stream.
    fn proportion(
        &mut self,
        fact: usize,
        left: [Quantity; 2],
        right: [Quantity; 2],
        factor: Slot,
        law: Law,
    ) {
        let why = Why::Law(fact, law);
        let slots = [left, right].map(|pair| pair.map(|quantity| self.slot(quantity.into())));
        self.push(Shape::Proportion { left: slots[0], right: slots[1], factor }, why);
        let shares = |pair: [Quantity; 2]| match pair {
            [Quantity::Amount(a, x), Quantity::Amount(b, y)] if a == b => {
                Some([Quantity::Share(a, x), Quantity::Share(b, y)])
            }
            _ => None,
        };
        if let (Some(left), Some(right)) = (shares(left), shares(right)) {
            let slots = [left, right].map(|pair| pair.map(|quantity| self.slot(quantity.into())));
            self.push(Shape::Proportion { left: slots[0], right: slots[1], factor }, why);
        }
    }

    /// Where both places have one composition, what holds for one of its components
    /// or for the whole holds for all.
    fn like_shares(&mut self, fact: usize, (at, other): (At, At), told: What, factor: Slot) {
        let [at, other] = [at, other].map(|place| self.home(place, told));
        if self.sheet.composition(at) != self.sheet.composition(other) {
            return;
        }
        let components = self.sheet.present(self.problem, at);
        for of in components.into_iter().map(What::Component).chain([What::Total]) {
            let why = match of {
                What::Component(c) => Why::FactFor(fact, c),
                _ => Why::FactForAll(fact),
            };
            if of != told {
                let (whole, part) = (self.amount(at, of), self.amount(other, of));
                self.product(whole, part, factor, why);
            }
        }
    }

    /// The part of a place that holds all there is of a component, or the place.
    fn home(&self, at: At, of: What) -> At {
        let What::Component(c) = of else { return at };
        let parts = [Part::Solids, Part::Liquor].map(|part| At { part: Some(part), ..at });
        let is_parted = at.part.is_none() && self.sheet.parted.contains(&at.stream);
        let home = parts.into_iter().find(|part| alone_in_part(self.sheet, *part, c));
        home.filter(|_| is_parted).unwrap_or(at)
    }

    fn author_relations(&mut self) {
        let problem = self.problem;
        for (number, equation) in problem.relations.iter().enumerate() {
            if let (Some((left, mut slots)), Some((right, more))) =
                (self.program(&equation.left), self.program(&equation.right))
            {
                slots.extend(more.into_iter().filter(|s| !slots.contains(s)).collect::<Vec<_>>());
                slots.retain(|s| *s != ZERO && *s != ONE);
                self.push(Shape::Algebra { left, right, slots }, Why::Author(number));
            }
        }
    }

    /// What holds inside each stream and part.
    fn places(&mut self) {
        let problem = self.problem;
        for at in self.sheet.places.clone() {
            let present = self.sheet.present(problem, at);
            let counted = self.sheet.counted(problem, at);
            let total = self.amount(at, What::Total);
            if present.len() > 1 {
                let mut amounts = vec![(1.0, total)];
                let mut shares = vec![(-1.0, ONE)];
                for c in present.iter().copied() {
                    if counted.as_slice() == [c] {
                        continue;
                    }
                    let amount = self.amount(at, What::Component(c));
                    let share = self.share(at, What::Component(c));
                    self.product(amount, total, share, Why::ShareOfTotal(at, What::Component(c)));
                    if problem.counts(c) {
                        amounts.push((-1.0, amount));
                        shares.push((1.0, share));
                    }
                }
                if counted.len() > 1 {
                    self.sum(&amounts, Why::AmountsMakeTotal(at));
                    if self.sheet.composition(at) == at {
                        self.sum(&shares, Why::SharesMakeOne(at));
                    }
                }
            }
            for (g, group) in problem.groups.iter().enumerate() {
                self.group(at, g, &group.members);
            }
            if self.is_spoken_of(at) {
                let volume = self.amount(at, What::Volume);
                let density = self.amount(at, What::Density);
                let mass = match problem.basis {
                    Basis::Moles => self.slot(Node::Other(at, What::Total)),
                    _ => total,
                };
                self.product(mass, volume, density, Why::VolumeTimesDensity(at));
                for c in present {
                    self.concentration(at, What::Component(c));
                }
            }
            self.other_measure(at);
        }
        for stream in self.sheet.parted.clone() {
            self.parts(At::whole(stream));
        }
    }

    /// A concentration that a formula names.
    fn concentration(&mut self, at: At, of: What) {
        let node = canonical(self.problem, self.sheet, Node::Concentration(at, of));
        if self.names(at, |meaning| Node::of(meaning) == Node::Concentration(at, of)) {
            let concentration = self.slot(node);
            let (amount, volume) = (self.amount(at, of), self.amount(at, What::Volume));
            self.product(amount, volume, concentration, Why::ConcentrationTimesVolume(at, of));
        }
    }

    /// Moles beside masses, or masses beside moles, where a fact or a formula names them.
    fn other_measure(&mut self, at: At) {
        let problem = self.problem;
        let is_other = |meaning: Meaning| matches!(meaning, Meaning::Other(place, _) | Meaning::OtherShare(place, _) if place == at);
        let spoken = self.system.index.keys().any(|node| {
            matches!(node, Node::Other(place, _) | Node::OtherShare(place, _) if *place == at)
        });
        if !spoken && !self.names(at, is_other) {
            return;
        }
        let present = self.sheet.counted(problem, at);
        let masses: Option<Vec<ExtraId>> =
            present.iter().map(|c| problem.components[*c].molar_mass).collect();
        // Reading has refused names in a measure that no molar mass leads to; what a
        // law alone speaks of may lack some.
        for c in present.iter().copied() {
            let Some(molar_mass) = problem.components[c].molar_mass else { continue };
            let of = What::Component(c);
            let own = self.amount(at, of);
            let other = self.slot(Node::Other(at, of));
            let factor = self.slot(Node::Extra(molar_mass));
            let (mass, moles) =
                if problem.basis == Basis::Moles { (other, own) } else { (own, other) };
            self.product(mass, moles, factor, Why::MolesTimesMolarMass(at, c));
        }
        let Some(masses) = masses else { return };
        if present.len() < 2 {
            return;
        }
        let total = self.slot(Node::Other(at, What::Total));
        let mut amounts = vec![(1.0, total)];
        let mut sum = vec![(-1.0, ONE)];
        let mut own_shares = Vec::new();
        let mut other_shares = Vec::new();
        for (c, molar_mass) in present.iter().zip(&masses) {
            let of = What::Component(*c);
            let other = self.slot(Node::Other(at, of));
            let share = self.slot(Node::OtherShare(at, of));
            let weight = self.slot(Node::Extra(*molar_mass));
            self.product(other, total, share, Why::ShareOfTotal(at, of));
            amounts.push((-1.0, other));
            sum.push((1.0, share));
            own_shares.push((self.share(at, of), weight));
            other_shares.push((share, weight));
        }
        self.sum(&amounts, Why::AmountsMakeTotal(at));
        self.sum(&sum, Why::SharesMakeOne(at));
        for (own, c) in present.iter().enumerate() {
            let by_mass = problem.basis != Basis::Moles;
            let why = Why::Recounted(at, *c);
            let subject = other_shares[own].0;
            let shares = own_shares.clone();
            self.push(Shape::Recount { subject, own, shares, by_mass }, why);
            let subject = own_shares[own].0;
            let shares = other_shares.clone();
            self.push(Shape::Recount { subject, own, shares, by_mass: !by_mass }, why);
        }
    }

    /// Does a formula read a name of this place that `wanted` picks out?
    fn names(&self, at: At, wanted: impl Fn(Meaning) -> bool) -> bool {
        let problem = self.problem;
        let equations = problem.relations.iter().flat_map(|e| [&e.left, &e.right]);
        problem.asked.iter().chain(&problem.also).chain(equations).any(|formula| {
            formula.names().any(|(path, _)| {
                problem.locate(&path).is_ok_and(|(place, _)| place.stream == at.stream)
                    && problem.meaning(&path).is_ok_and(&wanted)
            })
        })
    }

    /// Volume and density matter only where a fact or a question names them.
    fn is_spoken_of(&self, at: At) -> bool {
        [What::Volume, What::Density]
            .iter()
            .any(|what| self.system.index.contains_key(&Node::Amount(at, *what)))
            || self.names(at, |meaning| {
                matches!(meaning, Meaning::Amount(place, What::Volume | What::Density)
                    | Meaning::Concentration(place, _) if place == at)
            })
    }

    fn group(&mut self, at: At, g: GroupId, members: &[ComponentId]) {
        let amount = self.amount(at, What::Group(g));
        if self.system.nodes[amount] != Node::Amount(at, What::Group(g)) {
            return;
        }
        let total = self.amount(at, What::Total);
        let share = self.share(at, What::Group(g));
        let mut amounts = vec![(1.0, amount)];
        let mut shares = vec![(1.0, share)];
        for c in members {
            amounts.push((-1.0, self.amount(at, What::Component(*c))));
            shares.push((-1.0, self.share(at, What::Component(*c))));
        }
        self.sum(&amounts, Why::GroupAmounts(at, g));
        self.sum(&shares, Why::GroupShares(at, g));
        // The group and the rest make the whole.
        let mut amounts = vec![(1.0, total), (-1.0, amount)];
        let mut shares = vec![(1.0, share), (-1.0, ONE)];
        for c in (0..self.problem.components.len()).filter(|c| !members.contains(c)) {
            amounts.push((-1.0, self.amount(at, What::Component(c))));
            shares.push((1.0, self.share(at, What::Component(c))));
        }
        self.sum(&amounts, Why::AmountsMakeTotal(at));
        if self.sheet.composition(at) == at {
            self.sum(&shares, Why::SharesMakeOne(at));
        }
        self.product(amount, total, share, Why::ShareOfTotal(at, What::Group(g)));
    }

    fn parts(&mut self, whole: At) {
        let problem = self.problem;
        let [solids, liquor] =
            [Part::Solids, Part::Liquor].map(|part| At { stream: whole.stream, part: Some(part) });
        for of in
            std::iter::once(What::Total).chain((0..problem.components.len()).map(What::Component))
        {
            let terms = [
                (1.0, self.amount(whole, of)),
                (-1.0, self.amount(solids, of)),
                (-1.0, self.amount(liquor, of)),
            ];
            self.sum(&terms, Why::SolidsAndLiquor(whole, of));
        }
        let total = self.amount(whole, What::Total);
        let mut shares = vec![(-1.0, ONE)];
        for (part, at) in [(Part::Solids, solids), (Part::Liquor, liquor)] {
            let share = self.share(whole, What::Part(part));
            let amount = self.amount(at, What::Total);
            self.product(amount, total, share, Why::ShareOfTotal(whole, What::Part(part)));
            shares.push((1.0, share));
        }
        self.sum(&shares, Why::SharesMakeOne(whole));
    }

    fn balances(&mut self) {
        let problem = self.problem;
        for kept in self.sheet.kept_solids.clone() {
            for component in 0..problem.components.len() {
                let of = What::Component(component);
                let mut terms: Vec<(f64, Slot)> =
                    kept.from.iter().map(|at| (1.0, self.amount(*at, of))).collect();
                terms.extend(kept.to.iter().map(|at| (-1.0, self.amount(*at, of))));
                let why = Why::SolidsStay { operation: kept.operation, component };
                self.sum(&terms, why);
            }
        }
        for (number, envelope) in self.sheet.envelopes.clone().iter().enumerate() {
            if self.sheet.balances_liquor(problem, envelope) {
                let of = What::Part(Part::Liquor);
                let liquor = |stream: StreamId| match self.sheet.parted.contains(&stream) {
                    true => of,
                    false => What::Total,
                };
                let enters = envelope.inlets.iter().map(|stream| (1.0, *stream));
                let leaves = envelope.outlets.iter().map(|stream| (-1.0, *stream));
                let terms: Vec<(f64, Slot)> = enters
                    .chain(leaves)
                    .map(|(sign, stream)| (sign, At::whole(stream), liquor(stream)))
                    .collect::<Vec<_>>()
                    .into_iter()
                    .map(|(sign, at, what)| (sign, self.amount(at, what)))
                    .collect();
                self.sum(&terms, Why::Balance { envelope: number, of });
            }
            for of in std::iter::once(What::Total)
                .chain((0..problem.components.len()).map(What::Component))
                .chain((0..problem.groups.len()).map(What::Group))
            {
                if let What::Group(g) = of
                    && !self.group_balance_helps(g, envelope)
                {
                    continue;
                }
                let mut terms = Vec::new();
                for stream in &envelope.inlets {
                    terms.push((1.0, self.amount(At::whole(*stream), of)));
                }
                for stream in &envelope.outlets {
                    terms.push((-1.0, self.amount(At::whole(*stream), of)));
                }
                self.sum(&terms, Why::Balance { envelope: number, of });
            }
        }
    }

    /// A group's balance is worth having only where the group is spoken of.
    fn group_balance_helps(&self, g: GroupId, envelope: &Envelope) -> bool {
        envelope.inlets.iter().chain(&envelope.outlets).any(|stream| {
            let at = At::whole(*stream);
            let node = canonical(self.problem, self.sheet, Node::Amount(at, What::Group(g)));
            node == Node::Amount(at, What::Group(g)) && self.system.index.contains_key(&node)
        })
    }

    fn also(&mut self) {
        let problem = self.problem;
        for formula in &problem.also {
            if let Some((_, slots)) = self.program(formula) {
                self.system.also.extend(slots);
            }
        }
    }

    fn asked(&mut self) {
        let problem = self.problem;
        for (number, formula) in problem.asked.iter().enumerate() {
            let bare = formula.as_name().and_then(|path| problem.meaning(&path).ok());
            let slot = match bare {
                Some(meaning) => self.slot(Node::of(meaning)),
                None => {
                    let slot = self.slot(Node::Asked(number));
                    if let Some((right, slots)) = self.program(formula) {
                        let left = Program::load(slot);
                        let mut slots: Vec<Slot> =
                            slots.into_iter().filter(|s| *s != ZERO && *s != ONE).collect();
                        slots.push(slot);
                        self.push(Shape::Algebra { left, right, slots }, Why::Asked(number));
                    }
                    slot
                }
            };
            self.system.asked.push(slot);
        }
    }
}

/// True for what has a share of its stream that other streams may have too.
fn is_shared(of: What) -> bool {
    matches!(of, What::Component(_) | What::Group(_))
}

/// The node that speaks for this one: quantities that are the same whatever the
/// numbers have one node.
pub(super) fn canonical(problem: &Problem, sheet: &Flowsheet, node: Node) -> Node {
    match node {
        Node::Amount(at, of) => canonical_amount(problem, sheet, at, of),
        Node::Share(at, of) => canonical_share(problem, sheet, at, of),
        Node::Other(at, of) => match canonical_amount(problem, sheet, at, of) {
            Node::Zero => Node::Zero,
            // What is alone in its stream is the stream; its moles are its own.
            Node::Amount(_, What::Total) if of == What::Total => {
                match sheet.counted(problem, at).as_slice() {
                    [c] => Node::Other(at, What::Component(*c)),
                    _ => node,
                }
            }
            _ => node,
        },
        Node::OtherShare(at, of) => match canonical_share(problem, sheet, at, of) {
            Node::Zero => Node::Zero,
            Node::One => Node::One,
            _ => node,
        },
        Node::Concentration(at, of) => match canonical_amount(problem, sheet, at, of) {
            Node::Zero => Node::Zero,
            _ => node,
        },
        _ => node,
    }
}

fn canonical_amount(problem: &Problem, sheet: &Flowsheet, at: At, of: What) -> Node {
    let counted = sheet.counted(problem, at);
    match of {
        What::Part(part) => canonical_amount(
            problem,
            sheet,
            At { stream: at.stream, part: Some(part) },
            What::Total,
        ),
        What::Group(g) => {
            let members = sheet.members(problem, at, g);
            match members.as_slice() {
                [] => Node::Zero,
                [c] => canonical_amount(problem, sheet, at, What::Component(*c)),
                _ if members == counted => canonical_amount(problem, sheet, at, What::Total),
                _ => Node::Amount(at, of),
            }
        }
        What::Total => match (counted.as_slice(), at.part) {
            ([], _) => Node::Zero,
            ([c], None) if sheet.pass(at.stream, *c).is_some() => {
                canonical_amount(problem, sheet, at, What::Component(*c))
            }
            // The solids of a cake that holds one insoluble are that insoluble.
            ([c], Some(_)) if alone_in_part(sheet, at, *c) => {
                canonical_amount(problem, sheet, At::whole(at.stream), What::Component(*c))
            }
            _ => Node::Amount(at, of),
        },
        What::Component(c) => {
            if sheet.is_absent(at, c) {
                Node::Zero
            } else if let (Some(chief), None) = (sheet.pass(at.stream, c), at.part) {
                canonical_amount(problem, sheet, At::whole(chief), of)
            } else if alone_in_part(sheet, at, c) {
                canonical_amount(problem, sheet, At::whole(at.stream), of)
            } else if counted.as_slice() == [c] {
                Node::Amount(at, What::Total)
            } else {
                Node::Amount(at, of)
            }
        }
        What::Volume | What::Density => Node::Amount(at, of),
    }
}

/// True for a part that holds all there is of a component.
fn alone_in_part(sheet: &Flowsheet, at: At, c: ComponentId) -> bool {
    let other = match at.part {
        None => return false,
        Some(Part::Solids) => Part::Liquor,
        Some(Part::Liquor) => Part::Solids,
    };
    sheet.is_absent(At { stream: at.stream, part: Some(other) }, c)
}

fn canonical_share(problem: &Problem, sheet: &Flowsheet, at: At, of: What) -> Node {
    let counted = sheet.counted(problem, at);
    match of {
        What::Component(c) => {
            if sheet.is_absent(at, c) {
                Node::Zero
            } else if counted.as_slice() == [c] {
                Node::One
            } else if let Some(extra) = sheet.fixed_share(at, c) {
                Node::Extra(extra)
            } else {
                Node::Share(sheet.composition(at), of)
            }
        }
        What::Group(g) => {
            let members = sheet.members(problem, at, g);
            match members.as_slice() {
                [] => Node::Zero,
                _ if members == counted => Node::One,
                [c] => canonical_share(problem, sheet, at, What::Component(*c)),
                _ => Node::Share(sheet.composition(at), of),
            }
        }
        What::Part(part) => {
            let is_empty = |part| {
                sheet.present(problem, At { stream: at.stream, part: Some(part) }).is_empty()
            };
            let other = if part == Part::Solids { Part::Liquor } else { Part::Solids };
            if is_empty(part) {
                Node::Zero
            } else if is_empty(other) {
                Node::One
            } else {
                Node::Share(at, of)
            }
        }
        What::Total => Node::One,
        What::Volume | What::Density => Node::Share(at, of),
    }
}

impl Relation {
    /// The slots that the relation speaks of.
    pub fn slots(&self) -> Vec<Slot> {
        match &self.shape {
            Shape::Sum { terms, .. } => terms.iter().map(|(_, s)| *s).collect(),
            Shape::Product { whole, part, factor } => vec![*whole, *part, *factor],
            Shape::Algebra { slots, .. } => slots.clone(),
            Shape::Saturation { solute, solvent, temperature, .. } => {
                vec![*solute, *solvent, *temperature]
            }
            Shape::OfRatio { share, ratio } => vec![*share, *ratio],
            Shape::OfSolubility { share, temperature, .. } => vec![*share, *temperature],
            Shape::Proportion { left, right, factor: other }
            | Shape::Power { left, right, exponent: other } => {
                let mut slots = vec![left[0], left[1], right[0], right[1], *other];
                slots.sort_unstable();
                slots.dedup();
                slots
            }
            Shape::Recount { subject, shares, .. } => {
                let mut slots = vec![*subject];
                slots.extend(shares.iter().flat_map(|(share, weight)| [*share, *weight]));
                slots
            }
            Shape::WaterPressure { pressure, temperature } => vec![*pressure, *temperature],
        }
    }

    /// True if the relation can be solved for the slot, the others known.
    pub(super) fn gives(&self, slot: Slot) -> bool {
        match &self.shape {
            Shape::Sum { .. } => true,
            Shape::Product { whole, part, factor } => {
                // x = x * f and the like settle nothing.
                [whole, part, factor].iter().filter(|s| ***s == slot).count() == 1
            }
            Shape::Algebra { .. } => true,
            // A table is read backwards only for a temperature that is asked for.
            Shape::Saturation { .. } => true,
            Shape::OfRatio { .. } => true,
            Shape::OfSolubility { share, .. } => *share == slot,
            Shape::Proportion { left, right, factor } => {
                slot > ONE
                    && [left[0], left[1], right[0], right[1], *factor]
                        .iter()
                        .filter(|s| **s == slot)
                        .count()
                        == 1
            }
            Shape::Power { left, right, exponent } => {
                slot != *exponent
                    && [left[0], left[1], right[0], right[1]].iter().filter(|s| **s == slot).count()
                        == 1
            }
            Shape::Recount { subject, shares, .. } => {
                *subject == slot && shares.iter().all(|(share, _)| *share != slot)
            }
            Shape::WaterPressure { .. } => true,
        }
    }

    /// The value of `slot` that the others' values demand; NaN or infinite where
    /// there is none.
    pub fn solve(&self, slot: Slot, slots: &mut [f64]) -> f64 {
        match &self.shape {
            Shape::Sum { terms, constant } => {
                let mut own = 0.0;
                let mut rest = *constant;
                for &(coefficient, s) in terms {
                    if s == slot {
                        own = coefficient;
                    } else {
                        rest += coefficient * slots[s];
                    }
                }
                -rest / own
            }
            Shape::Product { whole, part, factor } => {
                if slot == *whole {
                    slots[*part] * slots[*factor]
                } else if slot == *part {
                    slots[*whole] / slots[*factor]
                } else {
                    slots[*whole] / slots[*part]
                }
            }
            Shape::Algebra { left, right, .. } => {
                if left.as_slot() == Some(slot) {
                    return right.run(slots);
                }
                if right.as_slot() == Some(slot) {
                    return left.run(slots);
                }
                let kept = slots[slot];
                let mut residual = |x: f64| {
                    slots[slot] = x;
                    left.run(slots) - right.run(slots)
                };
                let (at_one, at_two, at_three) = (residual(1.0), residual(2.0), residual(3.0));
                slots[slot] = kept;
                let slope = at_two - at_one;
                let bend = at_three - at_two - slope;
                if bend.abs() > 1e-9 * (at_one.abs() + at_two.abs() + at_three.abs()) {
                    return f64::NAN;
                }
                1.0 - at_one / slope
            }
            Shape::Saturation { solute, solvent, curve, temperature } => {
                if slot == *temperature {
                    return curve.read_back(slots[*solute] / slots[*solvent]);
                }
                let ratio = curve.read(slots[*temperature]);
                if slot == *solute { slots[*solvent] * ratio } else { slots[*solute] / ratio }
            }
            Shape::OfRatio { share, ratio } => {
                let known = slots[if slot == *share { *ratio } else { *share }];
                if slot == *share { known / (1.0 + known) } else { known / (1.0 - known) }
            }
            Shape::OfSolubility { curve, temperature, .. } => {
                let ratio = curve.read(slots[*temperature]);
                ratio / (1.0 + ratio)
            }
            Shape::Proportion { left: [a, b], right: [c, d], factor } => {
                let of = |s: &Slot| slots[*s];
                if slot == *a {
                    of(factor) * of(c) * of(b) / of(d)
                } else if slot == *b {
                    of(a) * of(d) / (of(factor) * of(c))
                } else if slot == *c {
                    of(a) * of(d) / (of(factor) * of(b))
                } else if slot == *d {
                    of(factor) * of(c) * of(b) / of(a)
                } else {
                    of(a) * of(d) / (of(b) * of(c))
                }
            }
            Shape::Power { left: [a, b], right: [c, d], exponent } => {
                let of = |s: &Slot| slots[*s];
                let (left, right) = (of(a) / of(b), of(c) / of(d));
                if slot == *a {
                    of(b) * right.powf(of(exponent))
                } else if slot == *b {
                    of(a) / right.powf(of(exponent))
                } else if slot == *c {
                    of(d) * left.powf(1.0 / of(exponent))
                } else {
                    of(c) / left.powf(1.0 / of(exponent))
                }
            }
            Shape::Recount { own, shares, by_mass, .. } => recounted(*own, shares, *by_mass, slots),
            Shape::WaterPressure { pressure, temperature } => {
                let found = if slot == *pressure {
                    water::saturation_pressure(slots[*temperature])
                } else {
                    water::saturation_temperature(slots[*pressure])
                };
                found.unwrap_or(f64::NAN)
            }
        }
    }

    /// How large the relation's terms are: what its residual is to be judged by.
    pub(super) fn size(&self, slots: &[f64]) -> f64 {
        match &self.shape {
            Shape::Sum { terms, constant } => {
                terms.iter().map(|(c, s)| (c * slots[*s]).abs()).sum::<f64>() + constant.abs()
            }
            Shape::Product { whole, part, factor } => {
                slots[*whole].abs() + (slots[*part] * slots[*factor]).abs()
            }
            Shape::Algebra { left, right, .. } => left.run(slots).abs() + right.run(slots).abs(),
            Shape::Saturation { solute, .. } => slots[*solute].abs(),
            Shape::OfRatio { share, .. } | Shape::OfSolubility { share, .. } => slots[*share].abs(),
            Shape::Proportion { left: [a, b], right: [c, d], factor } => {
                (slots[*a] * slots[*d]).abs() + (slots[*factor] * slots[*b] * slots[*c]).abs()
            }
            Shape::Power { left: [a, b], .. } => (slots[*a] / slots[*b]).abs(),
            Shape::Recount { subject, .. } => slots[*subject].abs(),
            Shape::WaterPressure { pressure, .. } => slots[*pressure].abs(),
        }
    }

    /// Left minus right, zero where the relation holds.
    pub fn residual(&self, slots: &[f64]) -> f64 {
        match &self.shape {
            Shape::Sum { terms, constant } => {
                terms.iter().map(|(c, s)| c * slots[*s]).sum::<f64>() + constant
            }
            Shape::Product { whole, part, factor } => slots[*whole] - slots[*part] * slots[*factor],
            Shape::Algebra { left, right, .. } => left.run(slots) - right.run(slots),
            Shape::Saturation { solute, solvent, curve, temperature } => {
                slots[*solute] - slots[*solvent] * curve.read(slots[*temperature])
            }
            Shape::OfRatio { share, ratio } => {
                slots[*share] - slots[*ratio] / (1.0 + slots[*ratio])
            }
            Shape::OfSolubility { share, curve, temperature } => {
                let ratio = curve.read(slots[*temperature]);
                slots[*share] - ratio / (1.0 + ratio)
            }
            Shape::Proportion { left: [a, b], right: [c, d], factor } => {
                slots[*a] * slots[*d] - slots[*factor] * slots[*b] * slots[*c]
            }
            Shape::Power { left: [a, b], right: [c, d], exponent } => {
                slots[*a] / slots[*b] - (slots[*c] / slots[*d]).powf(slots[*exponent])
            }
            Shape::Recount { subject, own, shares, by_mass } => {
                slots[*subject] - recounted(*own, shares, *by_mass, slots)
            }
            Shape::WaterPressure { pressure, temperature } => {
                slots[*pressure]
                    - water::saturation_pressure(slots[*temperature]).unwrap_or(f64::NAN)
            }
        }
    }
}

/// One component's share in the other measure, from all shares in this one.
fn recounted(own: usize, shares: &[(Slot, Slot)], by_mass: bool, slots: &[f64]) -> f64 {
    let counted = |(share, weight): &(Slot, Slot)| {
        if by_mass { slots[*share] / slots[*weight] } else { slots[*share] * slots[*weight] }
    };
    counted(&shares[own]) / shares.iter().map(counted).sum::<f64>()
}
