//! What the author's facts and the operations' settings say, as equations.

use crate::balance::problem::{At, ComponentId, Curve, Law, Part, Quantity, Says, What};

use super::building::Builder;
use super::canonical::alone_in_part;
use super::{Node, ONE, Shape, Slot, Why};

impl Builder<'_> {
    pub(super) fn facts(&mut self) {
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
}

/// True for what has a share of its stream that other streams may have too.
pub(super) fn is_shared(of: What) -> bool {
    matches!(of, What::Component(_) | What::Group(_))
}
