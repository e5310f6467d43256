//! The physics of single operations in a worked answer: what a distribution, a
//! volatility, a molar mass or a vapour pressure says, in words and in symbols.

use crate::balance::problem::{At, Basis, Law, Quantity, Says, What};
use crate::balance::{Node, Relation, Shape, Slot};

use super::{Solution, words};

impl Solution<'_> {
    /// A law solved for the target, each slot written by `name`; none where the
    /// relation is no law.
    pub(super) fn law_solved(
        &self,
        relation: &Relation,
        target: Slot,
        name: &dyn Fn(Slot) -> String,
    ) -> Option<String> {
        match &relation.shape {
            Shape::Proportion { left: [a, b], right: [c, d], factor } => {
                let one = self.checked.engine.known().get(1).copied();
                let with = |slots: &[Slot]| {
                    let kept: Vec<String> = slots
                        .iter()
                        .filter(|slot| Some(**slot) != one)
                        .map(|slot| name(*slot))
                        .collect();
                    kept.join(" × ")
                };
                let over = |up: &[Slot], down: &[Slot]| {
                    let (up, down_text) = (with(up), with(down));
                    let several = down_text.contains(" × ");
                    if several {
                        format!("{up} ÷ ({down_text})")
                    } else {
                        format!("{up} ÷ {down_text}")
                    }
                };
                Some(if target == *a {
                    over(&[*factor, *c, *b], &[*d])
                } else if target == *b {
                    over(&[*a, *d], &[*factor, *c])
                } else if target == *c {
                    over(&[*a, *d], &[*factor, *b])
                } else if target == *d {
                    over(&[*factor, *c, *b], &[*a])
                } else {
                    over(&[*a, *d], &[*b, *c])
                })
            }
            Shape::Power { left: [a, b], right: [c, d], exponent } => {
                let power = |up: Slot, down: Slot, of: &str| {
                    let of = if of.contains(' ') { format!("({of})") } else { of.to_owned() };
                    format!("({} ÷ {})^{of}", name(up), name(down))
                };
                let (n, inverse) = (name(*exponent), format!("1 ÷ {}", name(*exponent)));
                Some(if target == *a {
                    format!("{} × {}", name(*b), power(*c, *d, &n))
                } else if target == *b {
                    format!("{} ÷ {}", name(*a), power(*c, *d, &n))
                } else if target == *c {
                    format!("{} × {}", name(*d), power(*a, *b, &inverse))
                } else {
                    format!("{} ÷ {}", name(*c), power(*a, *b, &inverse))
                })
            }
            Shape::Recount { own, shares, by_mass, .. } => {
                let sign = if *by_mass { '÷' } else { '×' };
                let term = |(share, weight): &(Slot, Slot)| {
                    format!("{} {sign} {}", name(*share), name(*weight))
                };
                let sum: Vec<String> = shares.iter().map(term).collect();
                Some(format!("({}) ÷ ({})", term(&shares[*own]), sum.join(" + ")))
            }
            _ => None,
        }
    }

    /// What a law says, in one sentence.
    pub(super) fn law_words(&self, fact: usize, law: Law) -> String {
        let problem = &self.checked.engine.problem;
        let Some(stated) = problem.facts.get(fact) else { return String::new() };
        let the = |at: At| words::the_place(problem, at);
        let factor = self.checked.engine.slot_of(Node::Factor(fact));
        let times = factor.map_or_else(|| "so many".to_owned(), |slot| self.shown(slot));
        let of = |quantity: &Quantity| match quantity {
            Quantity::Amount(_, of) | Quantity::Share(_, of) | Quantity::Other(_, of) => {
                problem.what_words(*of)
            }
            Quantity::Extra(extra) => problem.extras[*extra].words.clone(),
        };
        let place = |quantity: &Quantity| match quantity {
            Quantity::Amount(at, _) | Quantity::Share(at, _) | Quantity::Other(at, _) => the(*at),
            Quantity::Extra(_) => String::new(),
        };
        match (&stated.says, law) {
            (Says::ExtraSum { parts, .. }, _) => {
                let parts: Vec<String> =
                    parts.iter().map(|extra| format!("the {}", problem.extras[*extra].words)).collect();
                format!("The mixture boils when {} add up to the pressure above it.", words::joined(&parts, "and"))
            }
            (Says::WaterPressure { .. }, _) => {
                "Water's vapour pressure at this temperature, from the equation for saturated steam (IAPWS-IF97, region 4)."
                    .to_owned()
            }
            (Says::Proportion { .. }, Law::VapourPressures) => {
                "In the vapour the moles are in the ratio of the vapour pressures.".to_owned()
            }
            (Says::Proportion { left, right, .. }, Law::Volatility) => format!(
                "Relative volatility: {} over {} in {} is {times} times that ratio in {}.",
                of(&left[0]),
                of(&left[1]),
                place(&left[0]),
                place(&right[0]),
            ),
            (Says::Power { left, right, .. }, _) => format!(
                "Rayleigh's law for boiling away: the part of {} that is left is the part of {} that is left, to the power of the relative volatility.",
                of(&left[0]),
                of(&right[0]),
            ),
            (Says::Proportion { left, right, .. }, _) => format!(
                "{}: {} per {} in {} is {times} times {} per {} in {}.",
                self.law_name(law),
                of(&left[0]),
                of(&left[1]),
                place(&left[0]),
                of(&right[0]),
                of(&right[1]),
                place(&right[0]),
            ),
            (Says::ShareTimes { of, other, .. }, Law::Rejection) => format!(
                "The membrane lets through {} of the {} of {} in {}: what it does not reject.",
                self.number_of(fact, true),
                if problem.basis == Basis::Volume { "concentration" } else { "fraction" },
                problem.what_words(*of),
                the(*other),
            ),
            (Says::ShareTimes { of, other, .. }, _) => format!(
                "{}: the {} of {} in {} is {times} times that in {}.",
                self.law_name(law),
                if problem.counts_as_share(*of) { "fraction" } else { "concentration" },
                problem.what_words(*of),
                the(stated.at),
                the(*other),
            ),
            _ => String::new(),
        }
    }

    fn law_name(&self, law: Law) -> &'static str {
        match law {
            Law::Distribution => "Distribution ratio",
            Law::Equilibrium => "Equilibrium ratio",
            Law::Volatility => "Relative volatility",
            Law::Rejection => "Rejection",
            Law::VapourPressures => "Vapour pressures",
        }
    }

    /// Why a share by mass follows from shares by moles, or the other way.
    pub(super) fn recount_words(&self, relation: &Relation) -> String {
        let to_moles = matches!(relation.shape, Shape::Recount { by_mass: true, .. });
        if to_moles {
            "Moles are mass over molar mass, so the mole fraction is its part of all the moles."
                .to_owned()
        } else {
            "Mass is moles times molar mass, so the mass fraction is its part of all the mass."
                .to_owned()
        }
    }

    /// "mass", "amount" or "volume": what totals count.
    pub(super) fn counted_word(&self) -> &'static str {
        match self.checked.engine.problem.basis {
            Basis::Mass => "mass",
            Basis::Moles => "amount",
            Basis::Volume => "volume",
        }
    }

    /// "moles" or "mass": what stands beside what totals count.
    pub(super) fn other_counted_word(&self) -> &'static str {
        match self.checked.engine.problem.basis {
            Basis::Moles => "mass",
            _ => "moles",
        }
    }

    /// Is it a concentration that a share of `of` means?
    pub(super) fn is_concentration(&self, of: What) -> bool {
        !self.checked.engine.problem.counts_as_share(of)
    }
}
