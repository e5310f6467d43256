//! A problem written as equations over numbered slots.
//!
//! Quantities that are the same whatever the numbers share one slot (the total
//! of a pure stream and its one component, the composition of a filtrate and of
//! the liquor its cake holds); what is absent has no slot of its own.

mod building;
mod canonical;
mod facts;
mod shape;

use std::collections::HashMap;

use super::flowsheet::{Envelope, Flowsheet};
use super::problem::{
    At, ComponentId, Curve, ExtraId, GroupId, Law, Meaning, Problem, Quantity, What,
};
use crate::quantity::formula::Program;

pub(super) use canonical::canonical;

use building::Builder;

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
        self.put_values(values, slots);
    }

    /// The slots before anything is known but the constants.
    pub(super) fn blank(&self) -> &[f64] {
        &self.blank
    }

    /// The author's values in their slots.
    #[inline]
    pub(super) fn put_values(&self, values: &[f64], slots: &mut [f64]) {
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
