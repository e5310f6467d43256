//! Physics and facts written as rows.

use super::super::problem::{At, Operation, Part, Quantity, Says, What};
use super::{Dense, Origin, Row, Unknown};

impl Dense<'_> {
    fn push(&mut self, form: Vec<(usize, f64)>, right: f64, origin: Origin) {
        self.facts.push((Row::Linear(form, right), origin));
    }

    pub(super) fn write_physics(&mut self) {
        let balanced = |o: &&Operation| !o.inlets.is_empty() && !o.outlets.is_empty();
        for operation in self.problem.operations.iter().filter(balanced) {
            for c in 0..self.problem.components.len() {
                let mut form = Vec::new();
                for stream in &operation.inlets {
                    form.extend(self.form(At::whole(*stream), What::Component(c)));
                }
                for (_, stream) in &operation.outlets {
                    let leaving = self.form(At::whole(*stream), What::Component(c));
                    form.extend(leaving.iter().map(|(column, v)| (*column, -v)));
                }
                self.push(form, 0.0, Origin::Physics);
            }
        }
        for stream in &self.sheet.parted {
            for c in 0..self.problem.components.len() {
                let mut form = self.form(At::whole(*stream), What::Component(c)).to_vec();
                for part in [Part::Solids, Part::Liquor] {
                    let at = At { stream: *stream, part: Some(part) };
                    let inside = self.form(at, What::Component(c));
                    form.extend(inside.iter().map(|(column, v)| (*column, -v)));
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
                        form.extend(inside.iter().map(|(column, v)| (*column, sign * v)));
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
                    self.facts
                        .push((Row::SameShare { a: *at, b: chief, component: c }, Origin::Physics));
                }
            }
            if self.frame.index.contains_key(&Unknown::Volume(*at)) {
                self.facts.push((Row::VolumeTimesDensity(*at), Origin::Physics));
            }
        }
    }

    pub(super) fn write_facts(&mut self) {
        for (number, fact) in self.problem.facts.iter().enumerate() {
            let at = fact.at;
            let origin = Origin::Fact(number);
            match &fact.says {
                Says::Amount { of, .. } => {
                    let value = self.number(number);
                    let counted = match of {
                        What::Volume | What::Density => false,
                        What::Component(c) => self.problem.counts(*c),
                        _ => true,
                    };
                    if counted && value.is_finite() {
                        self.scale = self.scale.max(value.abs());
                    }
                    self.push(self.form(at, *of).to_vec(), value, origin);
                }
                Says::Share { of, .. } => {
                    let share = self.number(number);
                    self.push(self.difference((at, *of), (at, What::Total), share), 0.0, origin);
                }
                Says::ShareOf { of, other, .. } => {
                    let share = self.number(number);
                    self.push(self.difference((at, *of), (*other, *of), share), 0.0, origin);
                }
                Says::Per { of, base, .. } => {
                    let ratio = self.number(number);
                    self.push(self.difference((at, *of), (at, *base), ratio), 0.0, origin);
                }
                Says::SameAs { of, other } => {
                    self.push(self.difference((at, *of), (*other, *of), 1.0), 0.0, origin);
                }
                Says::Saturated { solute, solvent, table, .. } => {
                    let ratio = table.read(self.number(number));
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
                    self.facts.push((row, Origin::Physics));
                }
                Says::OtherAmount { of, .. } => {
                    if let Some(form) = self.other_form(at, *of) {
                        let value = self.number(number);
                        let by = form.first().map_or(1.0, |(_, by)| *by);
                        self.scale = self.scale.max((value / by).abs());
                        self.push(form, value, origin);
                    }
                }
                Says::OtherShare { of, .. } => {
                    let (share, whole) =
                        (self.other_form(at, *of), self.other_form(at, What::Total));
                    if let (Some(mut form), Some(whole)) = (share, whole) {
                        let value = self.number(number);
                        form.extend(whole.into_iter().map(|(column, by)| (column, -value * by)));
                        self.push(form, 0.0, origin);
                    }
                }
                Says::ShareTimes { of, other, .. } => {
                    let share = |at| [Quantity::Amount(at, *of), Quantity::Amount(at, What::Total)];
                    let factor = self.number(number);
                    let row = Row::Proportion { left: share(at), right: share(*other), factor };
                    self.facts.push((row, origin));
                }
                Says::Proportion { left, right, factor, .. } => {
                    let factor = if factor.is_some() { self.number(number) } else { 1.0 };
                    self.facts.push((
                        Row::Proportion { left: *left, right: *right, factor },
                        Origin::Fact(number),
                    ));
                }
                Says::Power { left, right, .. } => {
                    let exponent = self.number(number);
                    self.facts.push((Row::Power { left: *left, right: *right, exponent }, origin));
                }
                Says::ExtraIs { extra, .. } => {
                    let value = self.number(number);
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
                    self.facts.push((
                        Row::WaterPressure { pressure: *pressure, temperature: *temperature },
                        Origin::Physics,
                    ));
                }
                Says::Absent(_) => {}
            }
        }
        for number in 0..self.problem.relations.len() {
            self.facts.push((Row::Algebra(number), Origin::Author(number)));
        }
    }

    /// Crystals of a hydrate have its composition.
    pub(super) fn write_hydrates(&mut self) {
        for at in self.sheet.places.iter().copied() {
            for c in self.sheet.present(self.problem, at) {
                let Some(extra) = self.sheet.fixed_share(at, c) else { continue };
                let share = self.problem.extras[extra].value.unwrap_or(f64::NAN);
                let of = What::Component(c);
                let form = self.difference((at, of), (at, What::Total), share);
                self.push(form, 0.0, Origin::Physics);
            }
        }
    }
}
