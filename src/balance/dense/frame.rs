//! What of the dense rows is the same in every version: the unknowns, every amount
//! as a linear form, the rows of physics, and formulas with their names looked up.
//! Written once a problem, so that a version only puts its numbers in.

use std::collections::{BTreeMap, HashMap};

use super::super::flowsheet::Flowsheet;
use super::super::problem::{At, ComponentId, Meaning, Problem, Says, What};
use super::{Dense, Frame, LinearForm, Reading, Unknown};
use crate::quantity::formula::{Formula, Program};

impl Frame {
    pub(in crate::balance) fn of(problem: &Problem, sheet: &Flowsheet) -> Frame {
        let mut index = BTreeMap::new();
        let mut unknowns = Vec::new();
        let mut add = |unknown| {
            index.entry(unknown).or_insert_with(|| {
                unknowns.push(unknown);
                unknowns.len() - 1
            });
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
        let mut frame = Frame {
            index,
            unknowns,
            forms: HashMap::new(),
            physics: Vec::new(),
            numbers: problem.facts.iter().map(|fact| number_of(problem, &fact.says)).collect(),
            asked: Vec::new(),
            relations: Vec::new(),
        };
        frame.write_forms(problem, sheet);
        let mut dense = Dense::bare(problem, sheet, &frame, &[]);
        dense.write_physics();
        dense.write_hydrates();
        let reading = |formula: &Formula| dense.reading(formula);
        let asked = problem.asked.iter().map(reading).collect();
        let relations =
            problem.relations.iter().map(|e| [&e.left, &e.right].map(reading)).collect();
        let physics = dense.facts;
        Frame { physics, asked, relations, ..frame }
    }

    fn write_forms(&mut self, problem: &Problem, sheet: &Flowsheet) {
        let mut places = sheet.places.clone();
        let elsewhere = self.unknowns.iter().filter_map(|unknown| match unknown {
            Unknown::Volume(at) | Unknown::Density(at) => Some(*at),
            _ => None,
        });
        places.extend(elsewhere);
        places.sort_unstable();
        places.dedup();
        for at in places {
            let present = sheet.present(problem, at);
            let of_components = |keep: &dyn Fn(ComponentId) -> bool| -> LinearForm {
                present
                    .iter()
                    .filter(|c| keep(**c))
                    .filter_map(|c| self.index.get(&Unknown::Mass(at, *c)).map(|i| (*i, 1.0)))
                    .collect()
            };
            let one = |unknown| self.index.get(&unknown).map(|i| (*i, 1.0)).into_iter().collect();
            let mut forms = vec![
                (What::Total, of_components(&|c| problem.counts(c))),
                (What::Volume, one(Unknown::Volume(at))),
                (What::Density, one(Unknown::Density(at))),
            ];
            for c in 0..problem.components.len() {
                forms.push((What::Component(c), of_components(&|other| other == c)));
            }
            for (g, group) in problem.groups.iter().enumerate() {
                forms.push((What::Group(g), of_components(&|c| group.members.contains(&c))));
            }
            let told = forms.into_iter().filter(|(_, form)| !form.is_empty());
            self.forms.extend(told.map(|(of, form)| ((at, of), form)));
        }
    }

    /// For each column the place and quantity of a mass, a volume or a density.
    pub(in crate::balance) fn places(&self) -> impl Iterator<Item = Option<(At, What)>> + '_ {
        self.unknowns.iter().map(|unknown| match unknown {
            Unknown::Mass(at, c) => Some((*at, What::Component(*c))),
            Unknown::Volume(at) => Some((*at, What::Volume)),
            Unknown::Density(at) => Some((*at, What::Density)),
            Unknown::Extra(_) => None,
        })
    }
}

impl Dense<'_> {
    /// A formula with its names looked up; none if one of them has no value.
    pub(super) fn reading(&self, formula: &Formula) -> Option<Reading> {
        let mut names = Vec::new();
        let mut columns = Vec::new();
        for (path, _) in formula.names() {
            let meaning = self.problem.meaning(&path).ok()?;
            if !names.contains(&meaning) {
                columns.extend(self.columns_of(meaning)?);
                names.push(meaning);
            }
        }
        columns.sort_unstable();
        columns.dedup();
        let program = formula.compile(&|path| {
            let meaning = self.problem.meaning(path).ok()?;
            names.iter().position(|name| *name == meaning)
        })?;
        Some(Reading { program, names, columns })
    }

    /// The columns that a name changes with; none where it can have no value.
    fn columns_of(&self, meaning: Meaning) -> Option<Vec<usize>> {
        let of = |form: &[(usize, f64)]| form.iter().map(|(column, _)| *column).collect();
        let volume = |at: At| self.frame.index.get(&Unknown::Volume(at)).copied();
        let mut columns: Vec<usize> = match meaning {
            Meaning::Value(_) => Vec::new(),
            Meaning::Extra(extra) => of(&self.extra_form(extra)),
            Meaning::Amount(at, what) | Meaning::Share(at, what, _) => of(self.form(at, what)),
            Meaning::Other(at, what) | Meaning::OtherShare(at, what) => {
                of(&self.other_form(at, what)?)
            }
            Meaning::Concentration(at, what) => of(self.form(at, what)),
        };
        match meaning {
            Meaning::Amount(at, What::Volume | What::Density) => {
                volume(at)?;
            }
            Meaning::Share(at, ..) => columns.extend(of(self.form(at, What::Total))),
            Meaning::OtherShare(at, _) => columns.extend(of(&self.other_form(at, What::Total)?)),
            Meaning::Concentration(at, _) => columns.push(volume(at)?),
            _ => {}
        }
        Some(columns)
    }
}

/// The formula by which a fact states its number, over the author's values.
fn number_of(problem: &Problem, says: &Says) -> Option<Program> {
    let formula = match says {
        Says::Amount { formula, .. }
        | Says::Share { formula, .. }
        | Says::ShareOf { share: formula, .. }
        | Says::Per { ratio: formula, .. }
        | Says::Saturated { at: formula, .. }
        | Says::OtherAmount { formula, .. }
        | Says::OtherShare { formula, .. }
        | Says::ShareTimes { factor: formula, .. }
        | Says::Proportion { factor: Some(formula), .. }
        | Says::Power { exponent: formula, .. }
        | Says::ExtraIs { formula, .. } => formula,
        Says::Proportion { factor: None, .. }
        | Says::Absent(_)
        | Says::SameAs { .. }
        | Says::SaturatedWhen { .. }
        | Says::ExtraSum { .. }
        | Says::WaterPressure { .. } => return None,
    };
    formula.compile(&|path| match problem.meaning(path) {
        Ok(Meaning::Value(value)) => Some(value),
        _ => None,
    })
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
