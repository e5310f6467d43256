//! Dotted names of formulas looked up in values and process.
//!
//! Takes a formula; gives what it measures, or says which name is not known and
//! which sides do not fit together.

use crate::balance::problem::{Basis, Meaning, Problem, What};
use crate::diag::{Code, Diagnostic, Diagnostics, Span};
use crate::quantity::Dimension;
use crate::quantity::formula::{DimensionError, Formula};
use crate::reading::parsed::Text;

use super::measures::Measures;
use super::names::UnitNames;
use super::questions::Blocks;
use super::values::Values;
use super::{facts, process, settings};

/// Looks dotted names up in values and process.
pub(super) struct Lookup<'a> {
    pub(super) problem: &'a Problem,
    pub(super) values: &'a Values,
    pub(super) measures: &'a Measures,
    pub(super) blocks: Blocks<'a>,
    /// The process is not to be had: what speaks of streams is passed over.
    pub(super) absent: bool,
}

impl Lookup<'_> {
    pub(super) fn dimension_of(&self, path: &[&str]) -> Option<Dimension> {
        if let [name] = path
            && let Some(dimension) = self.values.dimension(name)
        {
            return Some(dimension);
        }
        self.measures.dimension(self.problem, self.problem.meaning(path).ok()?)
    }

    /// Moles are spoken of only where molar masses are told.
    fn has_molar_masses(
        &self,
        unit: &UnitNames<'_>,
        formula: &Formula,
        diagnostics: &mut Diagnostics,
    ) -> bool {
        for (path, span) in formula.names() {
            let of = match self.problem.meaning(&path) {
                Ok(Meaning::Other(_, of)) => of,
                Ok(Meaning::OtherShare(..)) => What::Total,
                // A mass by volume and density, beside moles.
                Ok(Meaning::Amount(_, What::Volume | What::Density))
                    if self.problem.basis == Basis::Moles =>
                {
                    What::Total
                }
                _ => continue,
            };
            if let Some(c) = facts::without_molar_mass(self.problem, of).unwrap_or_default().first()
            {
                let name = &self.problem.components[*c].name;
                diagnostics.push(settings::formula_missing(unit, name, span));
                return false;
            }
        }
        true
    }

    /// The formula's dimension, if all its names are known and its units agree.
    pub(super) fn check(
        &self,
        unit: &UnitNames<'_>,
        formula: &Formula,
        diagnostics: &mut Diagnostics,
    ) -> Option<Dimension> {
        let known = |path: &[&str]| self.dimension_of(path);
        let speaks_of_streams = || formula.names().any(|(path, _)| path.len() > 1);
        if self.absent && speaks_of_streams() {
            return None;
        }
        let problem = Some(self.problem);
        if !check_names(unit, formula, &known, self.values, problem, self.blocks, diagnostics)
            || !self.has_molar_masses(unit, formula, diagnostics)
        {
            return None;
        }
        match formula.dimension(&known) {
            Ok(dimension) => Some(dimension),
            Err(error) => {
                diagnostics.push(dimension_mistake(unit, error));
                None
            }
        }
    }

    /// Both sides of a relation or condition measure the same.
    pub(super) fn check_sides(
        &self,
        unit: &UnitNames<'_>,
        left: &Formula,
        right: &Formula,
        span: Span,
        diagnostics: &mut Diagnostics,
    ) {
        let (a, b) = (self.check(unit, left, diagnostics), self.check(unit, right, diagnostics));
        let is_zero = |f: &Formula| f.as_typed().is_some_and(|typed| typed.number.value == 0.0);
        if let (Some(a), Some(b)) = (a, b)
            && a != b
            && !is_zero(left)
            && !is_zero(right)
        {
            diagnostics.push(sides_differ(unit, span, a, b));
        }
    }
}

/// Reports every name of a formula that `known` does not know.
pub(super) fn check_names(
    unit: &UnitNames<'_>,
    formula: &Formula,
    known: &dyn Fn(&[&str]) -> Option<Dimension>,
    values: &Values,
    problem: Option<&Problem>,
    blocks: Blocks<'_>,
    diagnostics: &mut Diagnostics,
) -> bool {
    let mut sound = true;
    for (path, span) in formula.names() {
        if known(&path).is_some() {
            continue;
        }
        sound = false;
        let first = path.first().copied().unwrap_or("");
        if values.broken.iter().any(|name| name == first) {
            continue;
        }
        if values.words.iter().any(|(name, _)| name == first) {
            diagnostics.push(no_number(unit, first, span));
            continue;
        }
        let unread = problem.map_or(0, |p| p.meaning(&path).err().map_or(0, |u| u.segment));
        let unread = unread.min(path.len().saturating_sub(1));
        let has_streams = problem.is_some_and(|p| !p.streams.is_empty());
        let (code, kind, home) = if unread > 0 {
            (Code::UnknownComponent, "component", "this process")
        } else if has_streams && path.len() > 1 {
            (Code::UnknownStream, "stream", "this process")
        } else if has_streams {
            (Code::UnknownName, "stream or value", "this question")
        } else {
            (Code::UnknownName, "value", "`values`")
        };
        // The place of the one word that is not known.
        let before: usize = path.iter().take(unread).map(|word| word.len() + 1).sum();
        let name = path.get(unread).copied().unwrap_or("");
        let start = (span.start + before).min(span.end);
        let text = Text::new(name.to_owned(), Span::new(start, (start + name.len()).min(span.end)));
        if unit.excused(&text, blocks.process) || unit.may_be_key(name, blocks.question) {
            continue;
        }
        if let (Some(problem), [operation, asked]) = (problem, path.as_slice())
            && let Some(diagnostic) = not_of_operation(unit, problem, operation, asked, span)
        {
            diagnostics.push(diagnostic);
            continue;
        }
        let numbers = values.names();
        let names: Vec<&str> = match (problem, kind) {
            (Some(p), "component") => p
                .components
                .iter()
                .map(|c| c.name.as_str())
                .chain(p.groups.iter().map(|g| g.name.as_str()))
                .chain(["total", "fraction", "percent", "moles", "mass", "concentration"])
                .collect(),
            (Some(p), "stream") => process::streams(p).collect(),
            (Some(p), _) => numbers.chain(process::streams(p)).collect(),
            _ => numbers.collect(),
        };
        diagnostics.push(unit.unknown(code, &text, kind, home, names.into_iter()));
    }
    sound
}

/// A value that stands for words is used in a formula.
pub(super) fn no_number(unit: &UnitNames<'_>, name: &str, span: Span) -> Diagnostic {
    Diagnostic::new(
        Code::BadFormula,
        unit.place(span),
        format!("`{name}` stands for words, so nothing can be calculated with it."),
    )
    .found(format!("`{name}`"))
    .expected("a value that is a number")
    .next("use a value that is a number, or print the word in the text only")
}

pub(super) fn dimension_mistake(unit: &UnitNames<'_>, error: DimensionError) -> Diagnostic {
    let message = format!("{}.", process::capital(error.message.trim_end_matches('.')));
    Diagnostic::new(Code::UnitMismatch, unit.place(error.span), message)
        .found(error.found)
        .expected(error.expected)
        .next(error.next)
}

fn sides_differ(unit: &UnitNames<'_>, span: Span, a: Dimension, b: Dimension) -> Diagnostic {
    Diagnostic::new(
        Code::UnitMismatch,
        unit.place(span),
        format!("One side is {}, the other {}.", a.words(), b.words()),
    )
    .found(format!("`{}`", unit.file.slice(span)))
    .expected("the same kind of quantity on both sides")
    .next("check the units on both sides")
}

/// An operation stands where a stream is meant, or is asked for what it has not.
fn not_of_operation(
    unit: &UnitNames<'_>,
    problem: &Problem,
    operation: &str,
    asked: &str,
    span: Span,
) -> Option<Diagnostic> {
    let owner = problem.operations.iter().find(|o| o.name == operation)?;
    let measures = owner.kind.measures.iter().map(|m| format!("`{operation}.{}`", m.name));
    let of_it: Vec<String> =
        measures.chain(["a stream that enters or leaves it".to_owned()]).collect();
    let diagnostic = Diagnostic::new(
        Code::UnknownStream,
        unit.place(span),
        format!("`{operation}` is an operation, which has no `{asked}` of its own."),
    );
    Some(
        diagnostic
            .found(format!("`{operation}.{asked}`"))
            .expected(of_it.join(", or "))
            .next("name the stream that is meant"),
    )
}
