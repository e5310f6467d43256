//! The same facts solved by other means: every component's mass in every place
//! is an unknown, every balance and fact a row, and all rows are solved at once.
//!
//! Shares nothing with the plan but the statement of the problem. It checks each
//! version, and tells what the facts determine, lack or contradict.

use std::cell::OnceCell;
use std::collections::BTreeMap;

use super::elimination::{Reduced, reduce};
use super::engine::CLOSURE;
use super::flowsheet::Flowsheet;
use super::problem::{
    At, Basis, ComponentId, ExtraId, Fact, Meaning, Part, Problem, Quantity, Says, What,
};
use super::properties::water;
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
    /// left.0 / left.1 = factor x right.0 / right.1.
    Proportion {
        left: [Quantity; 2],
        right: [Quantity; 2],
        factor: f64,
    },
    /// The same with the right side to a power.
    Power {
        left: [Quantity; 2],
        right: [Quantity; 2],
        exponent: f64,
    },
    /// An extra is the saturation pressure of water at another.
    WaterPressure {
        pressure: ExtraId,
        temperature: ExtraId,
    },
    /// A stream is saturated at a temperature that is not told.
    Saturated {
        at: At,
        solute: What,
        solvent: What,
        fact: usize,
        temperature: ExtraId,
    },
    /// The author's relation, by number.
    Algebra(usize),
}

/// A value and what it changes with.
type Slope = (f64, Vec<(usize, f64)>);

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Unknown {
    Mass(At, ComponentId),
    Volume(At),
    Density(At),
    Extra(ExtraId),
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
    /// The rows in terms of unknowns over their sizes, residuals as right sides.
    matrix: Vec<f64>,
    /// They reduced, once somebody asks: a solution that fits needs no further one.
    reduced: OnceCell<Reduced>,
    sizes: Vec<f64>,
    /// The largest residual relative to the terms of its row.
    pub(super) misfit: f64,
}

impl Answer {
    fn reduced(&self) -> &Reduced {
        self.reduced.get_or_init(|| reduce(self.matrix.clone(), self.x.len()))
    }

    /// True if the rows settle the value of a linear form.
    fn settles(&self, form: &[f64]) -> bool {
        let sized: Vec<f64> = form.iter().zip(&self.sizes).map(|(f, size)| f * size).collect();
        self.reduced().settles(&sized)
    }
}

/// Rounds that look for a solution without negative masses.
const CAREFUL_ROUNDS: usize = 250;
const MOST_ROUNDS: usize = 80;
const POLISHING_ROUNDS: usize = 8;
/// Small enough a residual, relative to the terms of its row.
const POLISHED: f64 = 1e-13;
/// Keeps the normal equations solvable where rows repeat each other.
const LEAST_DAMPING: f64 = 1e-14;
/// Starts that are tried before rows that are not linear count as contradictory.
const STARTS: usize = 4;
/// Where nothing is told, a litre of liquid is near enough a kilogram.
const USUAL_DENSITY: f64 = 1000.0;
const USUAL_TEMPERATURE: f64 = 330.0;
const USUAL_PRESSURE: f64 = 50_000.0;

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
        for at in measured_by_volume(problem) {
            add(Unknown::Volume(at));
            add(Unknown::Density(at));
        }
        for (number, extra) in problem.extras.iter().enumerate() {
            if extra.value.is_none() {
                add(Unknown::Extra(number));
            }
        }
        let mut dense = Dense { problem, sheet, values, index, rows: Vec::new(), scale: 0.0 };
        dense.write_physics();
        dense.write_facts();
        if dense.scale == 0.0 {
            dense.scale = 1.0;
        }
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
            What::Total => of_components(&|c| self.problem.counts(c)),
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

    /// Amounts in the other measure as a linear form; none where a molar mass is wanting.
    fn other_form(&self, at: At, of: What) -> Option<Vec<(usize, f64)>> {
        let mut found = Vec::new();
        for c in self.sheet.counted(self.problem, at) {
            let wanted = match of {
                What::Total => true,
                What::Component(other) => other == c,
                What::Group(g) => self.problem.groups[g].members.contains(&c),
                What::Part(_) | What::Volume | What::Density => false,
            };
            if wanted {
                let molar_mass = self.molar_mass(c)?;
                let by =
                    if self.problem.basis == Basis::Moles { molar_mass } else { 1.0 / molar_mass };
                let column = self.index.get(&Unknown::Mass(at, c))?;
                found.push((*column, by));
            }
        }
        Some(found)
    }

    fn molar_mass(&self, component: ComponentId) -> Option<f64> {
        self.problem.extras[self.problem.components[component].molar_mass?].value
    }

    fn extra_form(&self, extra: ExtraId) -> Vec<(usize, f64)> {
        self.index.get(&Unknown::Extra(extra)).map(|i| (*i, 1.0)).into_iter().collect()
    }

    fn extra_value(&self, extra: ExtraId, x: &[f64]) -> f64 {
        let unknown = || self.index.get(&Unknown::Extra(extra)).map(|column| x[*column]);
        self.problem.extras[extra].value.or_else(unknown).unwrap_or(f64::NAN)
    }

    /// A quantity's value and slope at `x`.
    fn quantity(&self, quantity: Quantity, x: &[f64]) -> Slope {
        let linear = |form: Vec<(usize, f64)>| (Self::dot(&form, x), form);
        match quantity {
            Quantity::Amount(at, of) => linear(self.form(at, of)),
            Quantity::Other(at, of) => linear(self.other_form(at, of).unwrap_or_default()),
            Quantity::Extra(extra) => (self.extra_value(extra, x), self.extra_form(extra)),
            Quantity::Share(at, of) => {
                quotient(&linear(self.form(at, of)), &linear(self.form(at, What::Total)))
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
        let balanced =
            |o: &&super::problem::Operation| !o.inlets.is_empty() && !o.outlets.is_empty();
        for operation in self.problem.operations.iter().filter(balanced) {
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
                    let counted = match of {
                        What::Volume | What::Density => false,
                        What::Component(c) => self.problem.counts(*c),
                        _ => true,
                    };
                    if counted && value.is_finite() {
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
                Says::SaturatedWhen { solute, solvent, at: temperature, .. } => {
                    let row = Row::Saturated {
                        at,
                        solute: What::Component(*solute),
                        solvent: What::Component(*solvent),
                        fact: number,
                        temperature: *temperature,
                    };
                    self.rows.push((row, Origin::Physics));
                }
                Says::OtherAmount { of, formula } => {
                    if let Some(form) = self.other_form(at, *of) {
                        let value = self.value(formula);
                        let by = form.first().map_or(1.0, |(_, by)| *by);
                        self.scale = self.scale.max((value / by).abs());
                        self.push(form, value, origin);
                    }
                }
                Says::OtherShare { of, formula } => {
                    let (share, whole) =
                        (self.other_form(at, *of), self.other_form(at, What::Total));
                    if let (Some(mut form), Some(whole)) = (share, whole) {
                        let value = self.value(formula);
                        form.extend(whole.into_iter().map(|(column, by)| (column, -value * by)));
                        self.push(form, 0.0, origin);
                    }
                }
                Says::ShareTimes { of, factor, other, .. } => {
                    let share = |at| [Quantity::Amount(at, *of), Quantity::Amount(at, What::Total)];
                    let factor = self.value(factor);
                    let row = Row::Proportion { left: share(at), right: share(*other), factor };
                    self.rows.push((row, origin));
                }
                Says::Proportion { left, right, factor, .. } => {
                    let factor = factor.as_ref().map_or(1.0, |factor| self.value(factor));
                    self.rows.push((
                        Row::Proportion { left: *left, right: *right, factor },
                        Origin::Fact(number),
                    ));
                }
                Says::Power { left, right, exponent } => {
                    let exponent = self.value(exponent);
                    self.rows.push((Row::Power { left: *left, right: *right, exponent }, origin));
                }
                Says::ExtraIs { extra, formula } => {
                    let value = self.value(formula);
                    self.push(self.extra_form(*extra), value, origin);
                }
                Says::ExtraSum { whole, parts } => {
                    let mut form = self.extra_form(*whole);
                    for part in parts {
                        form.extend(self.extra_form(*part).into_iter().map(|(c, v)| (c, -v)));
                    }
                    self.push(form, 0.0, Origin::Physics);
                }
                Says::WaterPressure { pressure, temperature } => {
                    self.rows.push((
                        Row::WaterPressure { pressure: *pressure, temperature: *temperature },
                        Origin::Physics,
                    ));
                }
                Says::Absent(_) => {}
            }
        }
        self.write_hydrates();
        for number in 0..self.problem.relations.len() {
            self.rows.push((Row::Algebra(number), Origin::Author(number)));
        }
    }

    /// Crystals of a hydrate have its composition.
    fn write_hydrates(&mut self) {
        for at in self.sheet.places.clone() {
            for c in self.sheet.present(self.problem, at) {
                let Some(extra) = self.sheet.fixed_share(at, c) else { continue };
                let share = self.problem.extras[extra].value.unwrap_or(f64::NAN);
                let of = What::Component(c);
                let form = self.difference((at, of), (at, What::Total), share);
                self.push(form, 0.0, Origin::Physics);
            }
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
                    Meaning::Amount(at, What::Volume | What::Density)
                        if !self.index.contains_key(&Unknown::Volume(at)) =>
                    {
                        return None;
                    }
                    Meaning::Amount(at, of) => self.amount(at, of, x),
                    Meaning::Share(at, of, _) => {
                        self.amount(at, of, x) / self.amount(at, What::Total, x)
                    }
                    Meaning::Other(at, of) => Self::dot(&self.other_form(at, of)?, x),
                    Meaning::OtherShare(at, of) => {
                        let whole = Self::dot(&self.other_form(at, What::Total)?, x);
                        Self::dot(&self.other_form(at, of)?, x) / whole
                    }
                    Meaning::Concentration(at, of) => {
                        let volume = self.index.get(&Unknown::Volume(at))?;
                        self.amount(at, of, x) / x[*volume]
                    }
                    Meaning::Extra(extra) => self.extra_value(extra, x),
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
                // As shares, and not multiplied out: an empty stream shares
                // every composition, and must not look like a solution.
                add(&am, 1.0 / vat);
                add(&at, -vam / (vat * vat));
                add(&bm, -1.0 / vbt);
                add(&bt, vbm / (vbt * vbt));
                vam / vat - vbm / vbt
            }
            Row::VolumeTimesDensity(at) => {
                let mass = match self.problem.basis {
                    Basis::Moles => self.other_form(*at, What::Total).unwrap_or_default(),
                    _ => self.form(*at, What::Total),
                };
                let volume = self.form(*at, What::Volume);
                let density = self.form(*at, What::Density);
                let (v, d) = (Self::dot(&volume, x), Self::dot(&density, x));
                add(&mass, 1.0);
                add(&volume, -d);
                add(&density, -v);
                Self::dot(&mass, x) - v * d
            }
            Row::Proportion { left, right, factor } => {
                let [a, b] = left.map(|quantity| self.quantity(quantity, x));
                let [c, d] = right.map(|quantity| self.quantity(quantity, x));
                let (left, right) = (quotient(&a, &b), quotient(&c, &d));
                add(&left.1, 1.0);
                add(&right.1, -factor);
                left.0 - factor * right.0
            }
            Row::Power { left, right, exponent } => {
                // In logarithms the power is a factor.
                let mut residual = 0.0;
                for (pair, by) in [(left, 1.0), (right, -exponent)] {
                    for (quantity, sign) in pair.iter().zip([by, -by]) {
                        let (value, slope) = self.quantity(*quantity, x);
                        residual += sign * value.ln();
                        add(&slope, sign / value);
                    }
                }
                residual
            }
            Row::WaterPressure { pressure, temperature } => {
                let at = |t: f64| water::saturation_pressure(t).unwrap_or(f64::NAN);
                let t = self.extra_value(*temperature, x);
                add(&self.extra_form(*pressure), 1.0);
                add(&self.extra_form(*temperature), -(at(t + 0.01) - at(t - 0.01)) / 0.02);
                self.extra_value(*pressure, x) - at(t)
            }
            Row::Saturated { at, solute, solvent, fact, temperature } => {
                let Says::SaturatedWhen { table, .. } = &self.problem.facts[*fact].says else {
                    return (f64::NAN, gradient);
                };
                let ends = |c: &(f64, f64)| c.0;
                let (first, last) =
                    (table.points.first().map_or(0.0, ends), table.points.last().map_or(0.0, ends));
                let t = self.extra_value(*temperature, x).clamp(first, last);
                let read = table.read(t);
                let (low, high) = ((t - 0.01).max(first), (t + 0.01).min(last));
                let slope = (table.read(high) - table.read(low)) / (high - low);
                let (solute, solvent) = (self.form(*at, *solute), self.form(*at, *solvent));
                let liquid = Self::dot(&solvent, x);
                add(&solute, 1.0);
                add(&solvent, -read);
                add(&self.extra_form(*temperature), -slope * liquid);
                Self::dot(&solute, x) - read * liquid
            }
            Row::Algebra(number) => {
                let equation = &self.problem.relations[*number];
                let (left, right) = (&equation.left, &equation.right);
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
        if start.is_some() && !self.is_linear() {
            let near = self.polished(self.first_guess(start, 0), without);
            if near.misfit < POLISHED && !self.is_empty_somewhere(&near) {
                return near;
            }
        }
        let starts = if self.is_linear() || without.is_some() { 1 } else { STARTS };
        let mut answer = self.solve_from(self.first_guess(start, 0), without);
        for number in 1..starts {
            let is_false = answer.misfit > 1e-10 || self.is_empty_somewhere(&answer);
            if !is_false {
                break;
            }
            answer = self.solve_from(self.first_guess(start, number), without);
        }
        answer
    }

    /// A few plain Newton rounds, for a start that is already near a solution.
    fn polished(&self, mut x: Vec<f64>, without: Option<Origin>) -> Answer {
        let mut answer = self.step(&x, without);
        for _ in 0..POLISHING_ROUNDS {
            if answer.misfit < POLISHED || !answer.misfit.is_finite() {
                break;
            }
            let step = answer.reduced().solution();
            for ((value, step), size) in x.iter_mut().zip(step).zip(&answer.sizes) {
                *value += step * size;
            }
            answer = self.step(&x, without);
        }
        answer
    }

    /// The solution nearest `x`.
    fn solve_from(&self, mut x: Vec<f64>, without: Option<Origin>) -> Answer {
        if self.is_linear() {
            let mut answer = self.step(&x, without);
            // The second round takes away what rounding left.
            for _ in 0..2 {
                let step = answer.reduced().solution();
                for ((value, step), size) in x.iter_mut().zip(step).zip(&answer.sizes) {
                    *value += step * size;
                }
                answer = self.step(&x, without);
            }
            return answer;
        }
        self.approach(&mut x, without);
        let mut damping: f64 = 1e-6;
        let mut best = f64::INFINITY;
        let mut idle = 0;
        for _ in 0..MOST_ROUNDS {
            let sizes = self.sizes(&x);
            let rows = self.sized_rows(&x, &sizes, without);
            let off = sum_of_squares(&rows);
            let worst = rows.iter().map(|(_, residual)| residual.abs()).fold(0.0, f64::max);
            idle = if worst < 0.7 * best { 0 } else { idle + 1 };
            best = best.min(worst);
            if !off.is_finite() || worst < 1e-15 || idle > 2 && worst < 1e-12 || idle > 15 {
                break;
            }
            let Some(step) = least_step(&rows, x.len(), damping.max(LEAST_DAMPING)) else { break };
            let moved: Vec<f64> =
                x.iter().zip(&step).zip(&sizes).map(|((v, s), size)| v + s * size).collect();
            let after = sum_of_squares(&self.sized_rows(&moved, &sizes, without));
            if after <= off * 1.0001 || worst < 1e-10 {
                damping = (damping * 0.1).min(off).max(LEAST_DAMPING);
                x = moved;
            } else {
                damping *= 10.0;
            }
        }
        self.step(&x, without)
    }

    /// Comes near a solution in which all masses are positive, each round changing
    /// every mass by a factor. Judged by shares and proportions alone, emptying the
    /// streams gains nothing, so the search does not drift to a false solution.
    fn approach(&self, x: &mut Vec<f64>, without: Option<Origin>) {
        let least = f64::MIN_POSITIVE.max(1e-12 * self.scale);
        x.iter_mut().for_each(|v| *v = v.abs().max(1e-6 * self.scale));
        let sizes_of = |x: &[f64]| x.iter().map(|v| v.abs().max(least)).collect::<Vec<f64>>();
        let mut rows = self.sized_rows(x, &sizes_of(x), without);
        let mut off = sum_of_squares(&rows);
        let mut damping: f64 = 1e-2;
        for _ in 0..CAREFUL_ROUNDS {
            if !off.is_finite() || off < 1e-16 || damping > 1e6 {
                return;
            }
            let Some(step) = least_step(&rows, x.len(), damping) else { return };
            let moved: Vec<f64> =
                x.iter().zip(&step).map(|(v, s)| v * s.clamp(-1.5, 1.5).exp()).collect();
            let after = self.sized_rows(&moved, &sizes_of(&moved), without);
            let off_after = sum_of_squares(&after);
            if off_after < off {
                damping = (damping * 0.2).max(LEAST_DAMPING);
                (*x, rows, off) = (moved, after, off_after);
            } else {
                damping *= 6.0;
            }
        }
    }

    /// Rows at `x` in terms of unknowns over their sizes, each over its largest
    /// term: what is not zero of the gradient, and the residual.
    fn sized_rows(
        &self,
        x: &[f64],
        sizes: &[f64],
        without: Option<Origin>,
    ) -> Vec<(Vec<(usize, f64)>, f64)> {
        let mut rows = Vec::new();
        for (row, _) in self.rows.iter().filter(|(_, origin)| without != Some(*origin)) {
            let (residual, gradient) = self.linearised(row, x);
            let mut entries: Vec<(usize, f64)> = gradient
                .iter()
                .zip(sizes)
                .enumerate()
                .filter(|(_, (g, _))| **g != 0.0)
                .map(|(column, (g, size))| (column, g * size))
                .collect();
            let most = entries.iter().fold(0.0f64, |m, (_, v)| m.max(v.abs()));
            if most == 0.0 && residual == 0.0 {
                continue;
            }
            let most = most.max(f64::MIN_POSITIVE);
            entries.iter_mut().for_each(|(_, v)| *v /= most);
            rows.push((entries, residual / most));
        }
        rows
    }

    /// Positive masses of no particular pattern, alike in the places that share a
    /// composition; off `start` by a few per cent each, so that agreement with the
    /// plan is found and not handed over.
    fn first_guess(
        &self,
        start: Option<&dyn Fn(At, What) -> Option<f64>>,
        number: usize,
    ) -> Vec<f64> {
        let mut x = vec![0.0; self.index.len()];
        for (unknown, column) in &self.index {
            let usual = match unknown {
                Unknown::Mass(at, c) => {
                    let chief = self.sheet.composition(*at);
                    let uneven = |seed: usize| 0.3 + 0.1 * ((seed * 7 + number * 5) % 11) as f64;
                    let share = uneven(chief.stream * 3 + c * 5 + 1);
                    self.scale * share * uneven(at.stream + 2)
                }
                Unknown::Volume(_) => self.scale / USUAL_DENSITY,
                Unknown::Density(_) => USUAL_DENSITY,
                Unknown::Extra(extra) => self.usual_extra(*extra),
            };
            let known = match unknown {
                Unknown::Extra(_) => None,
                Unknown::Mass(at, c) => start.and_then(|s| s(*at, What::Component(*c))),
                Unknown::Volume(at) => start.and_then(|s| s(*at, What::Volume)),
                Unknown::Density(at) => start.and_then(|s| s(*at, What::Density)),
            };
            let known = known.filter(|v| v.is_finite() && number.is_multiple_of(2));
            let wobble = 1.0 + 0.01 * (1 + column % 5) as f64;
            x[*column] = known.map_or(usual, |v| v * wobble);
        }
        x
    }

    /// The size of an extra, told by its unit: a temperature, a pressure or a number.
    fn usual_extra(&self, extra: ExtraId) -> f64 {
        let dimension = self.problem.extras[extra].unit.dimension();
        if dimension.temperature != 0 {
            USUAL_TEMPERATURE
        } else if dimension.is_none() {
            1.0
        } else {
            USUAL_PRESSURE
        }
    }

    /// How large an unknown is, for judging changes by; never nothing.
    fn sizes(&self, x: &[f64]) -> Vec<f64> {
        let mut sizes = vec![0.0; x.len()];
        for (unknown, column) in &self.index {
            let usual = match unknown {
                Unknown::Mass(..) => self.scale,
                Unknown::Volume(_) => self.scale / USUAL_DENSITY,
                Unknown::Density(_) => USUAL_DENSITY,
                Unknown::Extra(extra) => self.usual_extra(*extra),
            };
            sizes[*column] = x[*column].abs().max(1e-3 * usual);
        }
        sizes
    }

    /// The rows linearised at `x`, reduced.
    fn step(&self, x: &[f64], without: Option<Origin>) -> Answer {
        let sizes = self.sizes(x);
        let mut matrix = Vec::new();
        let mut misfit: f64 = 0.0;
        for (row, origin) in &self.rows {
            if without == Some(*origin) {
                continue;
            }
            let (residual, mut gradient) = self.linearised(row, x);
            gradient.iter_mut().zip(&sizes).for_each(|(g, size)| *g *= size);
            let size = gradient.iter().fold(0.0f64, |m, v| m.max(v.abs()));
            if size == 0.0 && residual == 0.0 {
                continue;
            }
            let relative = (residual / size.max(f64::MIN_POSITIVE)).abs();
            misfit = if relative.is_finite() { misfit.max(relative) } else { f64::INFINITY };
            matrix.extend(&gradient);
            matrix.push(-residual);
        }
        Answer { x: x.to_vec(), matrix, reduced: OnceCell::new(), sizes, misfit }
    }

    /// True if the answer settles the formula.
    pub(super) fn settles(&self, answer: &Answer, formula: &Formula) -> bool {
        answer.settles(&self.gradient_of(formula, &answer.x))
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
    pub(super) fn contradicts(&self, answer: &Answer, origin: Origin) -> bool {
        let own = self.rows.iter().filter(|(_, o)| *o == origin);
        own.map(|(row, _)| self.linearised(row, &answer.x)).any(|(residual, gradient)| {
            let terms = gradient.iter().zip(&answer.sizes).map(|(g, size)| (g * size).abs());
            let most = terms.fold(f64::MIN_POSITIVE, f64::max);
            (residual.is_nan() || residual.abs() > CLOSURE * most) && answer.settles(&gradient)
        })
    }

    /// True if the answer has emptied a stream that nothing says is empty: a false
    /// solution of rows that are not linear.
    pub(super) fn is_empty_somewhere(&self, answer: &Answer) -> bool {
        !self.is_linear()
            && self.sheet.places.iter().any(|at| {
                let form = self.form(*at, What::Total);
                !form.is_empty() && Self::dot(&form, &answer.x).abs() < 1e-7 * self.scale
            })
    }

    /// A fact's own number and the number that `answer` gives in its place.
    pub(super) fn stated_and_implied(&self, fact: &Fact, answer: &Answer) -> Option<(f64, f64)> {
        let amount = |at: At, of: What| self.amount(at, of, &answer.x);
        let settled = |at: At, of: What| {
            let mut form = vec![0.0; answer.x.len()];
            self.form(at, of).into_iter().for_each(|(column, v)| form[column] += v);
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
    pub(super) fn origins(&self) -> Vec<Origin> {
        let mut origins: Vec<Origin> =
            self.rows.iter().map(|(_, o)| *o).filter(|o| *o != Origin::Physics).collect();
        origins.sort_unstable();
        origins.dedup();
        origins
    }

    /// A settled share beyond what it can be: a distillate beyond its azeotrope.
    pub(super) fn beyond_limit(&self, answer: &Answer) -> Option<(At, What, f64, f64)> {
        self.problem.limits.iter().find_map(|limit| {
            let settled = |of: What| {
                let mut form = vec![0.0; answer.x.len()];
                self.form(limit.at, of).into_iter().for_each(|(column, v)| form[column] += v);
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
    pub(super) fn impossible(&self, answer: &Answer) -> Option<(At, What, f64)> {
        let mut worst: Option<(At, What, f64)> = None;
        for (unknown, column) in &self.index {
            let Unknown::Mass(at, c) = unknown else { continue };
            let mut form = vec![0.0; answer.x.len()];
            form[*column] = 1.0;
            let value = answer.x[*column];
            if value < -1e-9 * self.scale
                && worst.is_none_or(|(_, _, w)| value < w)
                && answer.settles(&form)
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
                && answer.settles(&row)
            {
                worst = Some((*at, What::Total, value));
            }
        }
        worst
    }
}

fn sum_of_squares(rows: &[(Vec<(usize, f64)>, f64)]) -> f64 {
    rows.iter().map(|(_, residual)| residual * residual).sum()
}

/// The damped least-squares step: it copes with rows that repeat each other (a
/// split whose parts and balance both say one composition) and moves what nothing
/// settles no farther than it must.
fn least_step(rows: &[(Vec<(usize, f64)>, f64)], columns: usize, damping: f64) -> Option<Vec<f64>> {
    let mut normal = vec![0.0; columns * columns];
    let mut right = vec![0.0; columns];
    for (entries, residual) in rows {
        for (i, a) in entries {
            right[*i] -= a * residual;
            for (j, b) in entries {
                normal[i * columns + j] += a * b;
            }
        }
    }
    for i in 0..columns {
        normal[i * columns + i] += damping;
    }
    cholesky(&mut normal, &mut right, columns).then_some(right)
}

/// Solves a symmetric positive system in place; false if it is not positive.
fn cholesky(matrix: &mut [f64], right: &mut [f64], count: usize) -> bool {
    for i in 0..count {
        let (above, own) = matrix.split_at_mut(i * count);
        let own = &mut own[..count];
        for j in 0..i {
            let other = &above[j * count..j * count + j + 1];
            let sum: f64 = other[..j].iter().zip(&own[..j]).map(|(a, b)| a * b).sum();
            own[j] = (own[j] - sum) / other[j];
        }
        let rest = own[i] - own[..i].iter().map(|v| v * v).sum::<f64>();
        if rest.is_nan() {
            return false;
        }
        own[i] = rest.max(1e-2 * LEAST_DAMPING).sqrt();
        let sum: f64 = own[..i].iter().zip(&right[..i]).map(|(a, b)| a * b).sum();
        right[i] = (right[i] - sum) / own[i];
    }
    for i in (0..count).rev() {
        let sum: f64 = (i + 1..count).map(|k| matrix[k * count + i] * right[k]).sum();
        right[i] = (right[i] - sum) / matrix[i * count + i];
    }
    true
}

/// a / b with its slope.
fn quotient(a: &Slope, b: &Slope) -> Slope {
    let value = a.0 / b.0;
    let mut slope: Vec<(usize, f64)> = a.1.iter().map(|(column, v)| (*column, v / b.0)).collect();
    slope.extend(b.1.iter().map(|(column, v)| (*column, -v * value / b.0)));
    (value, slope)
}

/// Places whose volume or density a fact or a relation speaks of.
fn measured_by_volume(problem: &Problem) -> Vec<At> {
    let is_volume = |of: &What| matches!(of, What::Volume | What::Density);
    let mut places = Vec::new();
    for fact in &problem.facts {
        match &fact.says {
            Says::Amount { of, .. } | Says::Share { of, .. } if is_volume(of) => {
                places.push(fact.at);
            }
            Says::ShareOf { of, other, .. } | Says::SameAs { of, other } if is_volume(of) => {
                places.extend([fact.at, *other]);
            }
            Says::Per { of, base, .. } if is_volume(of) || is_volume(base) => places.push(fact.at),
            _ => {}
        }
    }
    for formula in problem.relations.iter().flat_map(|e| [&e.left, &e.right]) {
        for (path, _) in formula.names() {
            match problem.meaning(&path) {
                Ok(Meaning::Amount(at, of)) if is_volume(&of) => places.push(at),
                Ok(Meaning::Concentration(at, _)) => places.push(at),
                _ => {}
            }
        }
    }
    places
}
