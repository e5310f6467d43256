//! The same facts solved by other means: every component's mass in every place
//! is an unknown, every balance and fact a row, and all rows are solved at once.
//!
//! Shares nothing with the plan but the statement of the problem. It checks each
//! version, and tells what the facts determine, lack or contradict.

use std::cell::OnceCell;
use std::collections::BTreeMap;

use super::elimination::{Reduced, reduce};
use super::flowsheet::Flowsheet;
use super::problem::{At, ComponentId, Fact, Meaning, Part, Problem, Says, What};
use crate::quantity::formula::Formula;

/// Where a row comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Origin {
    Physics,
    Fact(usize),
    Author(usize),
}

#[derive(Debug, Clone)]
enum Row {
    Linear(Vec<(usize, f64)>, f64),
    /// One component's share is the same in two places.
    SameShare {
        a: At,
        b: At,
        component: ComponentId,
    },
    VolumeTimesDensity(At),
    /// The author's relation, by number.
    Algebra(usize),
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Unknown {
    Mass(At, ComponentId),
    Volume(At),
    Density(At),
}

/// A problem as rows for one set of values.
pub(super) struct Dense<'a> {
    problem: &'a Problem,
    sheet: &'a Flowsheet,
    values: &'a [f64],
    index: BTreeMap<Unknown, usize>,
    rows: Vec<(Row, Origin)>,
    /// The size of the masses, for scaling.
    scale: f64,
}

/// All unknowns of one version, and what of them is determined.
pub(super) struct Answer {
    x: Vec<f64>,
    /// The rows linearised at `x`, their residuals as right sides.
    matrix: Vec<f64>,
    /// They reduced, once somebody asks: a solution that fits needs no further one.
    reduced: OnceCell<Reduced>,
    /// The largest residual relative to the masses.
    pub(super) misfit: f64,
}

impl Answer {
    fn reduced(&self) -> &Reduced {
        self.reduced.get_or_init(|| reduce(self.matrix.clone(), self.x.len()))
    }
}

const MOST_ROUNDS: usize = 60;

impl<'a> Dense<'a> {
    pub(super) fn new(problem: &'a Problem, sheet: &'a Flowsheet, values: &'a [f64]) -> Self {
        let mut index = BTreeMap::new();
        let mut add = |unknown| {
            let next = index.len();
            index.entry(unknown).or_insert(next);
        };
        for at in &sheet.places {
            for c in sheet.present(problem, *at) {
                add(Unknown::Mass(*at, c));
            }
        }
        for fact in &problem.facts {
            if let Says::Amount { of: What::Volume | What::Density, .. } = fact.says {
                add(Unknown::Volume(fact.at));
                add(Unknown::Density(fact.at));
            }
        }
        let mut dense = Dense { problem, sheet, values, index, rows: Vec::new(), scale: 1.0 };
        dense.write_physics();
        dense.write_facts();
        dense
    }

    fn value(&self, formula: &Formula) -> f64 {
        formula
            .evaluate(&|path| match self.problem.meaning(path) {
                Ok(Meaning::Value(value)) => self.values.get(value).copied(),
                _ => None,
            })
            .unwrap_or(f64::NAN)
    }

    fn form(&self, at: At, of: What) -> Vec<(usize, f64)> {
        let of_components = |keep: &dyn Fn(ComponentId) -> bool| {
            self.sheet
                .present(self.problem, at)
                .into_iter()
                .filter(|c| keep(*c))
                .filter_map(|c| self.index.get(&Unknown::Mass(at, c)).map(|i| (*i, 1.0)))
                .collect()
        };
        match of {
            What::Total => of_components(&|_| true),
            What::Component(c) => of_components(&|other| other == c),
            What::Group(g) => of_components(&|c| self.problem.groups[g].members.contains(&c)),
            What::Part(part) => self.form(At { stream: at.stream, part: Some(part) }, What::Total),
            What::Volume => {
                self.index.get(&Unknown::Volume(at)).map(|i| (*i, 1.0)).into_iter().collect()
            }
            What::Density => {
                self.index.get(&Unknown::Density(at)).map(|i| (*i, 1.0)).into_iter().collect()
            }
        }
    }

    /// a - factor x b.
    fn difference(&self, a: (At, What), b: (At, What), factor: f64) -> Vec<(usize, f64)> {
        let mut form = self.form(a.0, a.1);
        for (column, coefficient) in self.form(b.0, b.1) {
            form.push((column, -factor * coefficient));
        }
        form
    }

    fn push(&mut self, form: Vec<(usize, f64)>, right: f64, origin: Origin) {
        self.rows.push((Row::Linear(form, right), origin));
    }

    fn write_physics(&mut self) {
        for operation in &self.problem.operations {
            for c in 0..self.problem.components.len() {
                let mut form = Vec::new();
                for stream in &operation.inlets {
                    form.extend(self.form(At::whole(*stream), What::Component(c)));
                }
                for (_, stream) in &operation.outlets {
                    let leaving = self.form(At::whole(*stream), What::Component(c));
                    form.extend(leaving.into_iter().map(|(column, v)| (column, -v)));
                }
                self.push(form, 0.0, Origin::Physics);
            }
        }
        for stream in &self.sheet.parted {
            for c in 0..self.problem.components.len() {
                let mut form = self.form(At::whole(*stream), What::Component(c));
                for part in [Part::Solids, Part::Liquor] {
                    let at = At { stream: *stream, part: Some(part) };
                    let inside = self.form(at, What::Component(c));
                    form.extend(inside.into_iter().map(|(column, v)| (column, -v)));
                }
                self.push(form, 0.0, Origin::Physics);
            }
        }
        for kept in &self.sheet.kept_solids {
            for c in 0..self.problem.components.len() {
                let mut form = Vec::new();
                for (places, sign) in [(&kept.from, 1.0), (&kept.to, -1.0)] {
                    for at in places {
                        let inside = self.form(*at, What::Component(c));
                        form.extend(inside.into_iter().map(|(column, v)| (column, sign * v)));
                    }
                }
                self.push(form, 0.0, Origin::Physics);
            }
        }
        for at in &self.sheet.places {
            let chief = self.sheet.composition(*at);
            if chief != *at {
                // The last share follows from the others.
                for c in self.sheet.present(self.problem, *at).into_iter().skip(1) {
                    self.rows
                        .push((Row::SameShare { a: *at, b: chief, component: c }, Origin::Physics));
                }
            }
            if self.index.contains_key(&Unknown::Volume(*at)) {
                self.rows.push((Row::VolumeTimesDensity(*at), Origin::Physics));
            }
        }
    }

    fn write_facts(&mut self) {
        for (number, fact) in self.problem.facts.iter().enumerate() {
            let at = fact.at;
            let origin = Origin::Fact(number);
            match &fact.says {
                Says::Amount { of, formula } => {
                    let value = self.value(formula);
                    if !matches!(of, What::Volume | What::Density) && value.is_finite() {
                        self.scale = self.scale.max(value.abs());
                    }
                    self.push(self.form(at, *of), value, origin);
                }
                Says::Share { of, formula } => {
                    let share = self.value(formula);
                    self.push(self.difference((at, *of), (at, What::Total), share), 0.0, origin);
                }
                Says::ShareOf { of, share, other } => {
                    let share = self.value(share);
                    self.push(self.difference((at, *of), (*other, *of), share), 0.0, origin);
                }
                Says::Per { of, ratio, base } => {
                    let ratio = self.value(ratio);
                    self.push(self.difference((at, *of), (at, *base), ratio), 0.0, origin);
                }
                Says::SameAs { of, other } => {
                    self.push(self.difference((at, *of), (*other, *of), 1.0), 0.0, origin);
                }
                Says::Saturated { solute, solvent, table, at: temperature } => {
                    let ratio = table.read(self.value(temperature));
                    let solute = (at, What::Component(*solute));
                    let solvent = (at, What::Component(*solvent));
                    self.push(self.difference(solute, solvent, ratio), 0.0, origin);
                }
                Says::Absent(_) => {}
            }
        }
        for number in 0..self.problem.relations.len() {
            self.rows.push((Row::Algebra(number), Origin::Author(number)));
        }
    }

    fn dot(form: &[(usize, f64)], x: &[f64]) -> f64 {
        form.iter().map(|(column, v)| v * x[*column]).sum()
    }

    fn amount(&self, at: At, of: What, x: &[f64]) -> f64 {
        Self::dot(&self.form(at, of), x)
    }

    /// A formula's value at `x`.
    fn formula_at(&self, formula: &Formula, x: &[f64]) -> f64 {
        formula
            .evaluate(&|path| {
                Some(match self.problem.meaning(path).ok()? {
                    Meaning::Value(value) => *self.values.get(value)?,
                    Meaning::Amount(at, What::Volume)
                        if !self.index.contains_key(&Unknown::Volume(at)) =>
                    {
                        return None;
                    }
                    Meaning::Amount(at, of) => self.amount(at, of, x),
                    Meaning::Share(at, of, _) => {
                        self.amount(at, of, x) / self.amount(at, What::Total, x)
                    }
                })
            })
            .unwrap_or(f64::NAN)
    }

    /// A formula's gradient at `x`, by central differences.
    fn gradient_of(&self, formula: &Formula, x: &[f64]) -> Vec<f64> {
        let mut x = x.to_vec();
        (0..x.len())
            .map(|column| {
                let kept = x[column];
                let step = 1e-6 * kept.abs().max(1e-3 * self.scale);
                x[column] = kept + step;
                let up = self.formula_at(formula, &x);
                x[column] = kept - step;
                let down = self.formula_at(formula, &x);
                x[column] = kept;
                (up - down) / (2.0 * step)
            })
            .collect()
    }

    /// Residual and gradient of a row at `x`.
    fn linearised(&self, row: &Row, x: &[f64]) -> (f64, Vec<f64>) {
        let mut gradient = vec![0.0; x.len()];
        let mut add = |form: &[(usize, f64)], factor: f64| {
            for (column, v) in form {
                gradient[*column] += factor * v;
            }
        };
        let residual = match row {
            Row::Linear(form, right) => {
                add(form, 1.0);
                Self::dot(form, x) - right
            }
            Row::SameShare { a, b, component } => {
                let [am, bm] = [a, b].map(|at| self.form(*at, What::Component(*component)));
                let [at, bt] = [a, b].map(|at| self.form(*at, What::Total));
                let [vam, vbm, vat, vbt] = [&am, &bm, &at, &bt].map(|form| Self::dot(form, x));
                let unit = 1.0 / self.scale;
                add(&am, vbt * unit);
                add(&bt, vam * unit);
                add(&bm, -vat * unit);
                add(&at, -vbm * unit);
                (vam * vbt - vbm * vat) * unit
            }
            Row::VolumeTimesDensity(at) => {
                let total = self.form(*at, What::Total);
                let volume = self.form(*at, What::Volume);
                let density = self.form(*at, What::Density);
                let (v, d) = (Self::dot(&volume, x), Self::dot(&density, x));
                add(&total, 1.0);
                add(&volume, -d);
                add(&density, -v);
                Self::dot(&total, x) - v * d
            }
            Row::Algebra(number) => {
                let (left, right) = &self.problem.relations[*number];
                let residual = self.formula_at(left, x) - self.formula_at(right, x);
                gradient = self.gradient_of(left, x);
                for (g, r) in gradient.iter_mut().zip(self.gradient_of(right, x)) {
                    *g -= r;
                }
                return (residual, gradient);
            }
        };
        (residual, gradient)
    }

    pub(super) fn is_linear(&self) -> bool {
        self.rows.iter().all(|(row, _)| matches!(row, Row::Linear(..)))
    }

    /// Solves all rows but those of `without`, from `start` (masses by place and
    /// component) where the rows are not linear.
    pub(super) fn solve(
        &self,
        start: Option<&dyn Fn(At, What) -> Option<f64>>,
        without: Option<Origin>,
    ) -> Answer {
        let columns = self.index.len();
        let mut x = vec![0.0; columns];
        if !self.is_linear() {
            for (unknown, column) in &self.index {
                let known = match unknown {
                    Unknown::Mass(at, c) => start.and_then(|s| s(*at, What::Component(*c))),
                    Unknown::Volume(at) => start.and_then(|s| s(*at, What::Volume)),
                    Unknown::Density(at) => start.and_then(|s| s(*at, What::Density)),
                };
                // Off the plan's values, each by its own few per cent, so that
                // agreement is found and not handed over.
                let wobble = 1.0 + 0.01 * (1 + column % 5) as f64;
                let far = self.scale * (0.2 + 0.1 * (column % 7) as f64);
                x[*column] = known.filter(|v| v.is_finite()).unwrap_or(far) * wobble;
            }
        }
        let mut last = f64::INFINITY;
        let mut answer = self.step(&x, without);
        for _ in 0..MOST_ROUNDS {
            for (value, step) in x.iter_mut().zip(answer.reduced().solution()) {
                *value += step * self.scale;
            }
            answer = self.step(&x, without);
            if answer.misfit < 1e-13 || answer.misfit >= last * 0.5 && answer.misfit < 1e-10 {
                break;
            }
            if self.is_linear() && last.is_finite() {
                break;
            }
            last = answer.misfit;
        }
        answer.x = x;
        answer
    }

    /// The rows linearised at `x`.
    fn step(&self, x: &[f64], without: Option<Origin>) -> Answer {
        let mut matrix = Vec::with_capacity(self.rows.len() * (x.len() + 1));
        let mut misfit: f64 = 0.0;
        for (row, origin) in &self.rows {
            if without == Some(*origin) {
                continue;
            }
            let (residual, gradient) = self.linearised(row, x);
            let size = gradient.iter().fold(0.0f64, |m, v| m.max(v.abs()));
            if size == 0.0 && residual == 0.0 {
                continue;
            }
            let relative = residual / (size.max(1e-30) * self.scale);
            misfit = if relative.is_nan() { f64::INFINITY } else { misfit.max(relative.abs()) };
            matrix.extend(&gradient);
            matrix.push(-residual / self.scale);
        }
        Answer { x: x.to_vec(), matrix, reduced: OnceCell::new(), misfit }
    }

    /// True if the answer settles the formula.
    pub(super) fn settles(&self, answer: &Answer, formula: &Formula) -> bool {
        answer.reduced().settles(&self.gradient_of(formula, &answer.x))
    }

    pub(super) fn formula_value(&self, answer: &Answer, formula: &Formula) -> f64 {
        self.formula_at(formula, &answer.x)
    }

    /// Would one more fact about `of` at `at` settle the formula?
    pub(super) fn would_settle(
        &self,
        answer: &Answer,
        formula: &Formula,
        candidate: (At, What, bool),
    ) -> bool {
        let (at, of, as_share) = candidate;
        let mut extra = vec![0.0; answer.x.len()];
        for (column, v) in self.form(at, of) {
            extra[column] += v;
        }
        if as_share {
            let share = self.amount(at, of, &answer.x) / self.amount(at, What::Total, &answer.x);
            for (column, v) in self.form(at, What::Total) {
                extra[column] -= share * v;
            }
        }
        if extra.iter().all(|v| v.abs() < 1e-12 || v.is_nan()) || answer.reduced().settles(&extra) {
            return false;
        }
        let mut matrix = Vec::new();
        for (row, _) in &self.rows {
            let (_, gradient) = self.linearised(row, &answer.x);
            matrix.extend(gradient);
            matrix.push(0.0);
        }
        matrix.extend(extra);
        matrix.push(0.0);
        reduce(matrix, answer.x.len()).settles(&self.gradient_of(formula, &answer.x))
    }

    /// A fact's own number and the number that `answer` gives in its place.
    pub(super) fn stated_and_implied(&self, fact: &Fact, answer: &Answer) -> Option<(f64, f64)> {
        let amount = |at: At, of: What| self.amount(at, of, &answer.x);
        let settled = |at: At, of: What| {
            let mut form = vec![0.0; answer.x.len()];
            self.form(at, of).into_iter().for_each(|(column, v)| form[column] += v);
            answer.reduced().settles(&form)
        };
        let at = fact.at;
        let (stated, of, other) = match &fact.says {
            Says::Amount { of, formula } => {
                return settled(at, *of).then(|| (self.value(formula), amount(at, *of)));
            }
            Says::Share { of, formula } => (formula, *of, (at, What::Total)),
            Says::ShareOf { of, share, other } => (share, *of, (*other, *of)),
            Says::Per { of, ratio, base } => (ratio, *of, (at, *base)),
            Says::Absent(_) | Says::SameAs { .. } | Says::Saturated { .. } => return None,
        };
        (settled(at, of) && settled(other.0, other.1))
            .then(|| (self.value(stated), amount(at, of) / amount(other.0, other.1)))
    }

    /// The rows that the facts and the author's relations make.
    pub(super) fn origins(&self) -> Vec<Origin> {
        let mut origins: Vec<Origin> =
            self.rows.iter().map(|(_, o)| *o).filter(|o| *o != Origin::Physics).collect();
        origins.sort_unstable();
        origins.dedup();
        origins
    }

    /// Masses that are settled and negative, and shares outside 0 to 1, worst first.
    pub(super) fn impossible(&self, answer: &Answer) -> Option<(At, What, f64)> {
        let mut worst: Option<(At, What, f64)> = None;
        for (unknown, column) in &self.index {
            let Unknown::Mass(at, c) = unknown else { continue };
            let mut form = vec![0.0; answer.x.len()];
            form[*column] = 1.0;
            let value = answer.x[*column];
            if value < -1e-9 * self.scale
                && worst.is_none_or(|(_, _, w)| value < w)
                && answer.reduced().settles(&form)
            {
                worst = Some((*at, What::Component(*c), value));
            }
        }
        for at in self.sheet.places.iter().filter(|at| at.part.is_none()) {
            let form = self.form(*at, What::Total);
            let value = Self::dot(&form, &answer.x);
            let mut row = vec![0.0; answer.x.len()];
            form.iter().for_each(|(column, v)| row[*column] = *v);
            if value < -1e-9 * self.scale
                && worst.is_none_or(|(_, _, w)| value <= w)
                && answer.reduced().settles(&row)
            {
                worst = Some((*at, What::Total, value));
            }
        }
        worst
    }
}
