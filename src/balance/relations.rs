//! A problem written as equations over numbered slots.
//!
//! Quantities that are the same whatever the numbers share one slot (the total
//! of a pure stream and its one component, the composition of a filtrate and of
//! the liquor its cake holds); what is absent has no slot of its own.

use std::collections::HashMap;

use super::flowsheet::{Envelope, Flowsheet};
use super::problem::{At, ComponentId, Curve, GroupId, Meaning, Part, Problem, Says, What};
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
    /// The result of an asked formula that is more than one name.
    Asked(usize),
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
    index: HashMap<Node, Slot>,
    pub relations: Vec<Relation>,
    /// Slots that the facts fill from the author's values, in order.
    pub givens: Vec<Given>,
    /// The slot of each asked formula.
    pub asked: Vec<Slot>,
    /// Slots that conditions, slips and texts read.
    pub also: Vec<Slot>,
    pub envelopes: Vec<Envelope>,
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
                index: HashMap::new(),
                relations: Vec::new(),
                givens: Vec::new(),
                asked: Vec::new(),
                also: Vec::new(),
                envelopes: sheet.envelopes.clone(),
            },
        };
        builder.slot(Node::Zero);
        builder.slot(Node::One);
        for value in 0..problem.values.len() {
            builder.slot(Node::Value(value));
        }
        builder.facts();
        builder.author_relations();
        builder.places();
        builder.balances();
        builder.asked();
        builder.also();
        builder.system
    }

    /// The slot of a node, if any equation or fact speaks of it.
    pub fn find(&self, node: Node) -> Option<Slot> {
        self.index.get(&node).copied()
    }
}

/// Slots 0 and 1 hold the numbers zero and one; the author's values follow.
pub(super) const ZERO: Slot = 0;
pub(super) const ONE: Slot = 1;

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
            let slot = match self.problem.meaning(&path).ok()? {
                Meaning::Value(value) => self.slot(Node::Value(value)),
                Meaning::Amount(at, of) => self.amount(at, of),
                Meaning::Share(at, of, _) => self.share(at, of),
            };
            if !slots.contains(&slot) {
                slots.push(slot);
            }
        }
        let problem = self.problem;
        let sheet = self.sheet;
        let index = &self.system.index;
        let program = formula.compile(&|path| {
            let node = match problem.meaning(path).ok()? {
                Meaning::Value(value) => Node::Value(value),
                Meaning::Amount(at, of) => Node::Amount(at, of),
                Meaning::Share(at, of, _) => Node::Share(at, of),
            };
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
                    let (solute, solvent) = (What::Component(*solute), What::Component(*solvent));
                    // The ratio of the amounts is the ratio of the shares.
                    for (solute, solvent) in [
                        (self.amount(at, solute), self.amount(at, solvent)),
                        (self.share(at, solute), self.share(at, solvent)),
                    ] {
                        self.push(
                            Shape::Saturation {
                                solute,
                                solvent,
                                curve: table.clone(),
                                temperature: factor,
                            },
                            Why::Fact(number),
                        );
                    }
                }
                Says::Absent(_) => {}
            }
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
        for (number, (left, right)) in problem.relations.iter().enumerate() {
            if let (Some((left, mut slots)), Some((right, more))) =
                (self.program(left), self.program(right))
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
            let total = self.amount(at, What::Total);
            if present.len() > 1 {
                let mut amounts = vec![(1.0, total)];
                let mut shares = vec![(-1.0, ONE)];
                for c in present {
                    let amount = self.amount(at, What::Component(c));
                    let share = self.share(at, What::Component(c));
                    self.product(amount, total, share, Why::ShareOfTotal(at, What::Component(c)));
                    amounts.push((-1.0, amount));
                    shares.push((1.0, share));
                }
                self.sum(&amounts, Why::AmountsMakeTotal(at));
                if self.sheet.composition(at) == at {
                    self.sum(&shares, Why::SharesMakeOne(at));
                }
            }
            for (g, group) in problem.groups.iter().enumerate() {
                self.group(at, g, &group.members);
            }
            if self.is_spoken_of(at) {
                let volume = self.amount(at, What::Volume);
                let density = self.amount(at, What::Density);
                self.product(total, volume, density, Why::VolumeTimesDensity(at));
            }
        }
        for stream in self.sheet.parted.clone() {
            self.parts(At::whole(stream));
        }
    }

    /// Volume and density matter only where a fact or a question names them.
    fn is_spoken_of(&self, at: At) -> bool {
        [What::Volume, What::Density]
            .iter()
            .any(|what| self.system.index.contains_key(&Node::Amount(at, *what)))
            || self.problem.asked.iter().chain(&self.problem.also).any(|formula| {
                formula.names().any(|(path, _)| {
                    matches!(self.problem.meaning(&path),
                        Ok(Meaning::Amount(place, What::Volume | What::Density)) if place == at)
                })
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
                Some(Meaning::Value(value)) => self.slot(Node::Value(value)),
                Some(Meaning::Amount(at, of)) => self.amount(at, of),
                Some(Meaning::Share(at, of, _)) => self.share(at, of),
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
        _ => node,
    }
}

fn canonical_amount(problem: &Problem, sheet: &Flowsheet, at: At, of: What) -> Node {
    let present = sheet.present(problem, at);
    match of {
        What::Part(part) => canonical_amount(
            problem,
            sheet,
            At { stream: at.stream, part: Some(part) },
            What::Total,
        ),
        What::Group(g) => {
            let members: Vec<ComponentId> =
                present.iter().copied().filter(|c| problem.groups[g].members.contains(c)).collect();
            match members.as_slice() {
                [] => Node::Zero,
                [c] => canonical_amount(problem, sheet, at, What::Component(*c)),
                _ if members.len() == present.len() => {
                    canonical_amount(problem, sheet, at, What::Total)
                }
                _ => Node::Amount(at, of),
            }
        }
        What::Total => match (present.as_slice(), at.part) {
            ([], _) => Node::Zero,
            // The solids of a cake that holds one insoluble are that insoluble.
            ([c], Some(_)) if alone_in_part(sheet, at, *c) => {
                canonical_amount(problem, sheet, At::whole(at.stream), What::Component(*c))
            }
            _ => Node::Amount(at, of),
        },
        What::Component(c) => {
            if sheet.is_absent(at, c) {
                Node::Zero
            } else if alone_in_part(sheet, at, c) {
                canonical_amount(problem, sheet, At::whole(at.stream), of)
            } else if present.len() == 1 {
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
    let present = sheet.present(problem, at);
    match of {
        What::Component(c) => {
            if sheet.is_absent(at, c) {
                Node::Zero
            } else if present.len() == 1 {
                Node::One
            } else {
                Node::Share(sheet.composition(at), of)
            }
        }
        What::Group(g) => {
            let members: Vec<ComponentId> =
                present.iter().copied().filter(|c| problem.groups[g].members.contains(c)).collect();
            match members.as_slice() {
                [] => Node::Zero,
                _ if members.len() == present.len() => Node::One,
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
            Shape::Saturation { temperature, .. } => *temperature != slot,
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
                let ratio = curve.read(slots[*temperature]);
                if slot == *solute { slots[*solvent] * ratio } else { slots[*solute] / ratio }
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
        }
    }
}
