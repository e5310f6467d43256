//! The same facts solved by other means: every component's mass in every place
//! is an unknown, every balance and fact a row, and all rows are solved at once.
//!
//! Shares nothing with the plan but the statement of the problem. It checks each
//! version, and tells what the facts determine, lack or contradict.
//!
//! `frame` holds what is the same in every version, `rows` writes the rows,
//! `slopes` linearises them, `newton` solves them, `verdicts` reads the solution.

mod frame;
mod newton;
mod rows;
mod slopes;
mod verdicts;

use std::cell::OnceCell;
use std::collections::{BTreeMap, HashMap};

use super::elimination::{Reduced, largest_size, reduce};
use super::flowsheet::Flowsheet;
use super::problem::{At, Basis, ComponentId, ExtraId, Meaning, Problem, Quantity, What};
use crate::quantity::formula::{Formula, Program};

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

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Unknown {
    Mass(At, ComponentId),
    Volume(At),
    Density(At),
    Extra(ExtraId),
}

/// A linear form: columns and what each counts for.
type LinearForm = Vec<(usize, f64)>;

/// What of the rows is the same in every version.
#[derive(Debug, Clone)]
pub(super) struct Frame {
    index: BTreeMap<Unknown, usize>,
    /// The unknown of each column.
    unknowns: Vec<Unknown>,
    /// Every amount that is not nothing.
    forms: HashMap<(At, What), LinearForm>,
    /// The rows that no fact's number enters.
    physics: Vec<(Row, Origin)>,
    /// The number that each fact states.
    numbers: Vec<Option<Program>>,
    asked: Vec<Option<Reading>>,
    /// Both sides of the author's relations.
    relations: Vec<[Option<Reading>; 2]>,
}

/// A formula with its names looked up.
#[derive(Debug, Clone)]
struct Reading {
    program: Program,
    names: Vec<Meaning>,
    /// The columns that its names change with.
    columns: Vec<usize>,
}

/// A problem as rows for one set of values.
pub(super) struct Dense<'a> {
    problem: &'a Problem,
    sheet: &'a Flowsheet,
    frame: &'a Frame,
    values: &'a [f64],
    /// The rows that facts and the author's relations make.
    facts: Vec<(Row, Origin)>,
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

/// Where nothing is told, a litre of liquid is near enough a kilogram.
const USUAL_DENSITY: f64 = 1000.0;
const USUAL_TEMPERATURE: f64 = 330.0;
const USUAL_PRESSURE: f64 = 50_000.0;

impl<'a> Dense<'a> {
    pub(super) fn new(
        problem: &'a Problem,
        sheet: &'a Flowsheet,
        frame: &'a Frame,
        values: &'a [f64],
    ) -> Self {
        let mut dense = Dense::bare(problem, sheet, frame, values);
        dense.write_facts();
        if dense.scale == 0.0 {
            dense.scale = 1.0;
        }
        dense
    }

    fn bare(
        problem: &'a Problem,
        sheet: &'a Flowsheet,
        frame: &'a Frame,
        values: &'a [f64],
    ) -> Self {
        Dense { problem, sheet, frame, values, facts: Vec::new(), scale: 0.0 }
    }

    fn rows(&self) -> impl Iterator<Item = &(Row, Origin)> {
        self.frame.physics.iter().chain(&self.facts)
    }

    fn value(&self, formula: &Formula) -> f64 {
        formula
            .evaluate(&|path| match self.problem.meaning(path) {
                Ok(Meaning::Value(value)) => self.values.get(value).copied(),
                _ => None,
            })
            .unwrap_or(f64::NAN)
    }

    /// The number that a fact states.
    fn number(&self, fact: usize) -> f64 {
        self.frame.numbers[fact].as_ref().map_or(f64::NAN, |number| number.run(self.values))
    }

    /// An amount as a linear form; empty where there is nothing.
    fn form(&self, at: At, of: What) -> &'a [(usize, f64)] {
        let key = match of {
            What::Part(part) => (At { stream: at.stream, part: Some(part) }, What::Total),
            _ => (at, of),
        };
        self.frame.forms.get(&key).map_or(&[], Vec::as_slice)
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
                let column = self.frame.index.get(&Unknown::Mass(at, c))?;
                found.push((*column, by));
            }
        }
        Some(found)
    }

    fn molar_mass(&self, component: ComponentId) -> Option<f64> {
        self.problem.extras[self.problem.components[component].molar_mass?].value
    }

    fn extra_form(&self, extra: ExtraId) -> Vec<(usize, f64)> {
        self.frame.index.get(&Unknown::Extra(extra)).map(|i| (*i, 1.0)).into_iter().collect()
    }

    fn extra_value(&self, extra: ExtraId, x: &[f64]) -> f64 {
        let unknown = || self.frame.index.get(&Unknown::Extra(extra)).map(|column| x[*column]);
        self.problem.extras[extra].value.or_else(unknown).unwrap_or(f64::NAN)
    }

    /// a - factor x b.
    fn difference(&self, a: (At, What), b: (At, What), factor: f64) -> Vec<(usize, f64)> {
        let (a, b) = (self.form(a.0, a.1), self.form(b.0, b.1));
        let taken_off = b.iter().map(|(column, v)| (*column, -factor * v));
        a.iter().copied().chain(taken_off).collect()
    }

    fn dot(form: &[(usize, f64)], x: &[f64]) -> f64 {
        form.iter().map(|(column, v)| v * x[*column]).sum()
    }

    fn amount(&self, at: At, of: What, x: &[f64]) -> f64 {
        Self::dot(self.form(at, of), x)
    }

    pub(super) fn is_linear(&self) -> bool {
        self.rows().all(|(row, _)| matches!(row, Row::Linear(..)))
    }

    /// The rows linearised at `x`, reduced.
    fn step(&self, x: &[f64], without: Option<Origin>) -> Answer {
        let sizes = self.sizes(x);
        let mut matrix = Vec::with_capacity((self.rows().count()) * (x.len() + 1));
        let mut misfit: f64 = 0.0;
        for (row, origin) in self.rows() {
            if without == Some(*origin) {
                continue;
            }
            let start = matrix.len();
            matrix.resize(start + x.len() + 1, 0.0);
            let gradient = &mut matrix[start..start + x.len()];
            let residual = self.linearised(row, x, gradient);
            gradient.iter_mut().zip(&sizes).for_each(|(g, size)| *g *= size);
            let size = largest_size(gradient);
            if size == 0.0 && residual == 0.0 {
                matrix.truncate(start);
                continue;
            }
            let relative = (residual / size.max(f64::MIN_POSITIVE)).abs();
            misfit = if relative.is_finite() { misfit.max(relative) } else { f64::INFINITY };
            matrix[start + x.len()] = -residual;
        }
        Answer { x: x.to_vec(), matrix, reduced: OnceCell::new(), sizes, misfit }
    }
}
