//! The equations of a problem written down: what holds in each place, over each
//! envelope, and what the author adds.
//!
//! Facts stand in a file of their own.

use crate::balance::flowsheet::{Envelope, Flowsheet};
use crate::balance::problem::{
    At, Basis, ComponentId, ExtraId, GroupId, Meaning, Part, Problem, StreamId, What,
};
use crate::quantity::formula::Program;

use super::canonical::canonical;
use super::{Given, Node, ONE, Relation, Shape, Slot, System, Why, ZERO};

pub(super) struct Builder<'a> {
    pub(super) problem: &'a Problem,
    pub(super) sheet: &'a Flowsheet,
    pub(super) system: System,
}

impl Builder<'_> {
    pub(super) fn slot(&mut self, node: Node) -> Slot {
        let node = canonical(self.problem, self.sheet, node);
        let nodes = &mut self.system.nodes;
        *self.system.index.entry(node).or_insert_with(|| {
            nodes.push(node);
            nodes.len() - 1
        })
    }

    pub(super) fn amount(&mut self, at: At, of: What) -> Slot {
        self.slot(Node::Amount(at, of))
    }

    pub(super) fn share(&mut self, at: At, of: What) -> Slot {
        self.slot(Node::Share(at, of))
    }

    pub(super) fn push(&mut self, shape: Shape, why: Why) {
        self.system.relations.push(Relation { shape, why });
    }

    /// Adds sum of terms = 0, leaving out what is absent.
    pub(super) fn sum(&mut self, terms: &[(f64, Slot)], why: Why) {
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

    pub(super) fn product(&mut self, whole: Slot, part: Slot, factor: Slot, why: Why) {
        if factor == ONE {
            self.sum(&[(1.0, whole), (-1.0, part)], why);
        } else if part == ZERO || factor == ZERO {
            self.sum(&[(1.0, whole)], why);
        } else if whole != ZERO {
            self.push(Shape::Product { whole, part, factor }, why);
        }
    }

    pub(super) fn program(
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
    pub(super) fn given(
        &mut self,
        slot: Slot,
        fact: usize,
        formula: &crate::quantity::formula::Formula,
    ) {
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

    pub(super) fn author_relations(&mut self) {
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
    pub(super) fn places(&mut self) {
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

    pub(super) fn balances(&mut self) {
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

    pub(super) fn also(&mut self) {
        let problem = self.problem;
        for formula in &problem.also {
            if let Some((_, slots)) = self.program(formula) {
                self.system.also.extend(slots);
            }
        }
    }

    pub(super) fn asked(&mut self) {
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
