//! What a row and a formula come to at a point, and how they change there.

use super::super::problem::{At, Basis, Meaning, Quantity, Says, What};
use super::super::properties::water;
use super::{Dense, Reading, Row};
use crate::quantity::formula::Formula;

/// A value and what it changes with.
type Slope = (f64, Vec<(usize, f64)>);

impl Dense<'_> {
    /// A quantity's value and slope at `x`.
    fn quantity(&self, quantity: Quantity, x: &[f64]) -> Slope {
        let linear = |form: &[(usize, f64)]| (Self::dot(form, x), form.to_vec());
        match quantity {
            Quantity::Amount(at, of) => linear(self.form(at, of)),
            Quantity::Other(at, of) => linear(&self.other_form(at, of).unwrap_or_default()),
            Quantity::Extra(extra) => (self.extra_value(extra, x), self.extra_form(extra)),
            Quantity::Share(at, of) => {
                quotient(&linear(self.form(at, of)), &linear(self.form(at, What::Total)))
            }
        }
    }

    /// A formula's value at `x`; NaN where it has none.
    pub(super) fn reading_at(&self, reading: Option<&Reading>, x: &[f64]) -> f64 {
        let Some(reading) = reading else { return f64::NAN };
        let other =
            |at: At, of: What| self.other_form(at, of).map_or(f64::NAN, |form| Self::dot(&form, x));
        let value = |meaning: &Meaning| match *meaning {
            Meaning::Value(value) => self.values.get(value).copied().unwrap_or(f64::NAN),
            Meaning::Amount(at, of) => self.amount(at, of, x),
            Meaning::Share(at, of, _) => self.amount(at, of, x) / self.amount(at, What::Total, x),
            Meaning::Other(at, of) => other(at, of),
            Meaning::OtherShare(at, of) => other(at, of) / other(at, What::Total),
            Meaning::Concentration(at, of) => {
                self.amount(at, of, x) / self.amount(at, What::Volume, x)
            }
            Meaning::Extra(extra) => self.extra_value(extra, x),
        };
        let names: Vec<f64> = reading.names.iter().map(value).collect();
        reading.program.run(&names)
    }

    /// Adds a formula's gradient at `x`, so many times, by central differences.
    pub(super) fn add_gradient(
        &self,
        reading: Option<&Reading>,
        x: &[f64],
        times: f64,
        gradient: &mut [f64],
    ) {
        let Some(reading) = reading else { return };
        let mut moved = x.to_vec();
        for column in reading.columns.iter().copied() {
            let kept = x[column];
            let step = 1e-6 * kept.abs().max(1e-3 * self.scale);
            moved[column] = kept + step;
            let up = self.reading_at(Some(reading), &moved);
            moved[column] = kept - step;
            let down = self.reading_at(Some(reading), &moved);
            moved[column] = kept;
            gradient[column] += times * ((up - down) / (2.0 * step));
        }
    }

    /// A formula's gradient at `x`; NaN where it has none.
    pub(super) fn gradient_of(&self, formula: &Formula, x: &[f64]) -> Vec<f64> {
        let reading = self.reading(formula);
        let mut gradient = vec![if reading.is_some() { 0.0 } else { f64::NAN }; x.len()];
        self.add_gradient(reading.as_ref(), x, 1.0, &mut gradient);
        gradient
    }

    /// Residual of a row at `x`; its gradient is added to `gradient`.
    pub(super) fn linearised(&self, row: &Row, x: &[f64], gradient: &mut [f64]) -> f64 {
        let mut add = |form: &[(usize, f64)], factor: f64| {
            for (column, v) in form {
                gradient[*column] += factor * v;
            }
        };
        match row {
            Row::Linear(form, right) => {
                add(form, 1.0);
                Self::dot(form, x) - right
            }
            Row::SameShare { a, b, component } => {
                let [am, bm] = [a, b].map(|at| self.form(*at, What::Component(*component)));
                let [at, bt] = [a, b].map(|at| self.form(*at, What::Total));
                let [vam, vbm, vat, vbt] = [am, bm, at, bt].map(|form| Self::dot(form, x));
                // As shares, and not multiplied out: an empty stream shares
                // every composition, and must not look like a solution.
                add(am, 1.0 / vat);
                add(at, -vam / (vat * vat));
                add(bm, -1.0 / vbt);
                add(bt, vbm / (vbt * vbt));
                vam / vat - vbm / vbt
            }
            Row::VolumeTimesDensity(at) => {
                let mass = match self.problem.basis {
                    Basis::Moles => self.other_form(*at, What::Total).unwrap_or_default(),
                    _ => self.form(*at, What::Total).to_vec(),
                };
                let volume = self.form(*at, What::Volume);
                let density = self.form(*at, What::Density);
                let (v, d) = (Self::dot(volume, x), Self::dot(density, x));
                add(&mass, 1.0);
                add(volume, -d);
                add(density, -v);
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
                    return f64::NAN;
                };
                let ends = |c: &(f64, f64)| c.0;
                let (first, last) =
                    (table.points.first().map_or(0.0, ends), table.points.last().map_or(0.0, ends));
                let t = self.extra_value(*temperature, x).clamp(first, last);
                let read = table.read(t);
                let (low, high) = ((t - 0.01).max(first), (t + 0.01).min(last));
                let slope = (table.read(high) - table.read(low)) / (high - low);
                let (solute, solvent) = (self.form(*at, *solute), self.form(*at, *solvent));
                let liquid = Self::dot(solvent, x);
                add(solute, 1.0);
                add(solvent, -read);
                add(&self.extra_form(*temperature), -slope * liquid);
                Self::dot(solute, x) - read * liquid
            }
            Row::Algebra(number) => {
                let [left, right] = self.frame.relations[*number].each_ref().map(Option::as_ref);
                self.add_gradient(left, x, 1.0, gradient);
                self.add_gradient(right, x, -1.0, gradient);
                self.reading_at(left, x) - self.reading_at(right, x)
            }
        }
    }
}

/// a / b with its slope.
fn quotient(a: &Slope, b: &Slope) -> Slope {
    let value = a.0 / b.0;
    let mut slope: Vec<(usize, f64)> = a.1.iter().map(|(column, v)| (*column, v / b.0)).collect();
    slope.extend(b.1.iter().map(|(column, v)| (*column, -v * value / b.0)));
    (value, slope)
}
