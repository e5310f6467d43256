//! What a solution says of the facts: what they settle, lack or contradict, and
//! whether it can be.

use super::super::engine::CLOSURE;
use super::super::problem::{At, Fact, Says, What};
use super::{Answer, Dense, Origin, Unknown};
use crate::quantity::formula::Formula;

impl Dense<'_> {
    /// True if the answer settles the formula.
    pub(in crate::balance) fn settles(&self, answer: &Answer, formula: &Formula) -> bool {
        answer.settles(&self.gradient_of(formula, &answer.x))
    }

    pub(in crate::balance) fn formula_value(&self, answer: &Answer, formula: &Formula) -> f64 {
        self.reading_at(self.reading(formula).as_ref(), &answer.x)
    }

    /// The value of an asked formula, by number.
    pub(in crate::balance) fn asked_value(&self, answer: &Answer, number: usize) -> f64 {
        self.reading_at(self.frame.asked[number].as_ref(), &answer.x)
    }

    /// Would one more fact about `of` at `at` settle the formula?
    pub(in crate::balance) fn would_settle(
        &self,
        answer: &Answer,
        formula: &Formula,
        candidate: (At, What, bool),
    ) -> bool {
        let (at, of, as_share) = candidate;
        let mut extra = vec![0.0; answer.x.len()];
        for (column, v) in self.form(at, of) {
            extra[*column] += v;
        }
        if as_share {
            let share = self.amount(at, of, &answer.x) / self.amount(at, What::Total, &answer.x);
            for (column, v) in self.form(at, What::Total) {
                extra[*column] -= share * v;
            }
        }
        if extra.iter().all(|v| v.abs() < 1e-12 || v.is_nan()) || answer.settles(&extra) {
            return false;
        }
        let sized = |form: &[f64]| -> Vec<f64> {
            form.iter().zip(&answer.sizes).map(|(v, size)| v * size).collect()
        };
        answer.reduced().settles_with(&sized(&extra), &sized(&self.gradient_of(formula, &answer.x)))
    }

    /// True if the other rows, which `answer` solves, settle what `origin` speaks of
    /// and give it another value.
    pub(in crate::balance) fn contradicts(&self, answer: &Answer, origin: Origin) -> bool {
        let own = self.rows().filter(|(_, o)| *o == origin);
        own.map(|(row, _)| row).any(|row| {
            let mut gradient = vec![0.0; answer.x.len()];
            let residual = self.linearised(row, &answer.x, &mut gradient);
            let terms = gradient.iter().zip(&answer.sizes).map(|(g, size)| (g * size).abs());
            let most = terms.fold(f64::MIN_POSITIVE, f64::max);
            (residual.is_nan() || residual.abs() > CLOSURE * most) && answer.settles(&gradient)
        })
    }

    /// True if the answer has emptied a stream that nothing says is empty: a false
    /// solution of rows that are not linear.
    pub(in crate::balance) fn is_empty_somewhere(&self, answer: &Answer) -> bool {
        !self.is_linear()
            && self.sheet.places.iter().any(|at| {
                let form = self.form(*at, What::Total);
                !form.is_empty() && Self::dot(form, &answer.x).abs() < 1e-7 * self.scale
            })
    }

    /// A fact's own number and the number that `answer` gives in its place.
    pub(in crate::balance) fn stated_and_implied(
        &self,
        fact: &Fact,
        answer: &Answer,
    ) -> Option<(f64, f64)> {
        let amount = |at: At, of: What| self.amount(at, of, &answer.x);
        let settled = |at: At, of: What| {
            let mut form = vec![0.0; answer.x.len()];
            self.form(at, of).iter().for_each(|(column, v)| form[*column] += v);
            answer.settles(&form)
        };
        let at = fact.at;
        let (stated, of, other) = match &fact.says {
            Says::Amount { of, formula } => {
                return settled(at, *of).then(|| (self.value(formula), amount(at, *of)));
            }
            Says::Share { of, formula } => (formula, *of, (at, What::Total)),
            Says::ShareOf { of, share, other } => (share, *of, (*other, *of)),
            Says::Per { of, ratio, base } => (ratio, *of, (at, *base)),
            _ => return None,
        };
        (settled(at, of) && settled(other.0, other.1))
            .then(|| (self.value(stated), amount(at, of) / amount(other.0, other.1)))
    }

    /// The rows that the facts and the author's relations make.
    pub(in crate::balance) fn origins(&self) -> Vec<Origin> {
        let mut origins: Vec<Origin> =
            self.rows().map(|(_, o)| *o).filter(|o| *o != Origin::Physics).collect();
        origins.sort_unstable();
        origins.dedup();
        origins
    }

    /// A settled share beyond what it can be: a distillate beyond its azeotrope.
    pub(in crate::balance) fn beyond_limit(&self, answer: &Answer) -> Option<(At, What, f64, f64)> {
        self.problem.limits.iter().find_map(|limit| {
            let settled = |of: What| {
                let mut form = vec![0.0; answer.x.len()];
                self.form(limit.at, of).iter().for_each(|(column, v)| form[*column] += v);
                answer.settles(&form)
            };
            let share = self.amount(limit.at, limit.of, &answer.x)
                / self.amount(limit.at, What::Total, &answer.x);
            let most = self.value(&limit.most);
            let beyond = share > most * (1.0 + CLOSURE);
            (beyond && settled(limit.of) && settled(What::Total))
                .then_some((limit.at, limit.of, share, most))
        })
    }

    /// Masses that are settled and negative, and shares outside 0 to 1, worst first.
    pub(in crate::balance) fn impossible(&self, answer: &Answer) -> Option<(At, What, f64)> {
        let mut worst: Option<(At, What, f64)> = None;
        let least = -1e-9 * self.scale;
        let settled = |form: &[(usize, f64)]| {
            let mut row = vec![0.0; answer.x.len()];
            form.iter().for_each(|(column, v)| row[*column] = *v);
            answer.settles(&row)
        };
        for (unknown, column) in &self.frame.index {
            let Unknown::Mass(at, c) = unknown else { continue };
            let value = answer.x[*column];
            if value < least
                && worst.is_none_or(|(_, _, w)| value < w)
                && settled(&[(*column, 1.0)])
            {
                worst = Some((*at, What::Component(*c), value));
            }
        }
        for at in self.sheet.places.iter().filter(|at| at.part.is_none()) {
            let form = self.form(*at, What::Total);
            let value = Self::dot(form, &answer.x);
            if value < least && worst.is_none_or(|(_, _, w)| value <= w) && settled(form) {
                worst = Some((*at, What::Total, value));
            }
        }
        worst
    }
}
