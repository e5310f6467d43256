//! Formulas, comparisons, numbers and units as they stand in a block, with
//! findings in place of errors. Takes texts with places; gives placed values.

use super::desk::Desk;
use super::excerpt::Excerpt;
use super::parsed::{Equation, Placed};
use super::yaml::{Entry, Node};
use crate::diag::{Code, Diagnostic, Span, Surety};
use crate::quantity::formula::Relation;
use crate::quantity::{
    Comparison, Formula, FormulaError, NumberError, Typed, TypedError, Unit, UnitError,
};

impl Desk<'_> {
    /// The formula that a value is.
    pub(super) fn formula_at(&mut self, node: &Node, head: Span) -> Option<Placed<Formula>> {
        let scalar = self.scalar(node, head)?;
        self.formula(&scalar.text)
    }

    /// The formula that a text is.
    pub(super) fn formula(&mut self, text: &Excerpt) -> Option<Placed<Formula>> {
        match Formula::parse(text.text(), |offset| text.at(offset)) {
            Ok(formula) => Some(Placed::new(formula, text.whole())),
            Err(error) => {
                self.bad_formula(error);
                None
            }
        }
    }

    pub(super) fn bad_formula(&mut self, error: FormulaError) {
        let finding = self
            .finding(Code::BadFormula, error.span, sentence(&error.message))
            .found(error.found)
            .expected(error.expected)
            .next(error.next);
        self.say(finding);
    }

    /// A line of `require`.
    pub(super) fn comparison_at(&mut self, node: &Node, head: Span) -> Option<Placed<Comparison>> {
        let scalar = self.scalar(node, head)?;
        match Comparison::parse(scalar.text.text(), |offset| scalar.text.at(offset)) {
            Ok(comparison) => Some(Placed::new(comparison, node.span)),
            Err(error) => {
                self.bad_formula(error);
                None
            }
        }
    }

    /// A line of `relations`: `left = right`.
    pub(super) fn equation_at(&mut self, node: &Node, head: Span) -> Option<Placed<Equation>> {
        let Placed { value, span } = self.comparison_at(node, head)?;
        if value.op != Relation::Equal {
            let finding = self
                .finding(Code::BadFormula, span, "A relation says that two things are equal.")
                .found(format!("`{}` between them", value.op.print()))
                .expected("`left = right`")
                .next("write `=`, or move the line to `require` if it is a condition");
            self.say(finding);
            return None;
        }
        Some(Placed::new(Equation { left: value.left, right: value.right }, span))
    }

    /// A number with its unit.
    pub(super) fn typed_at(&mut self, entry: &Entry) -> Option<Placed<Typed>> {
        let scalar = self.scalar(&entry.value, entry.key.span)?;
        match Typed::parse(scalar.text.text()) {
            Ok(typed) => Some(Placed::new(typed, entry.value.span)),
            Err(error) => {
                self.bad_typed(&scalar.text, 0, error);
                None
            }
        }
    }

    /// A unit alone.
    pub(super) fn unit_at(&mut self, entry: &Entry) -> Option<Placed<Unit>> {
        let scalar = self.scalar(&entry.value, entry.key.span)?;
        match Unit::parse(scalar.text.text()) {
            Ok(unit) => Some(Placed::new(unit, entry.value.span)),
            Err(error) => {
                self.bad_unit(&scalar.text, 0, error);
                None
            }
        }
    }

    /// `from` is where the parsed part begins in `text`.
    pub(super) fn bad_typed(&mut self, text: &Excerpt, from: usize, error: TypedError) {
        match error {
            TypedError::Number(error) => self.bad_number(text, from, error),
            TypedError::Unit(error) => self.bad_unit(text, from, error),
        }
    }

    pub(super) fn bad_number(&mut self, text: &Excerpt, from: usize, error: NumberError) {
        let span = text.span(from + error.at.start..from + error.at.end);
        let finding = self
            .finding(Code::BadNumber, span, sentence(&error.message))
            .expected("a number such as 34.20, and its unit after a space")
            .next("write the number with digits and a point");
        let finding = self.suggest(finding, span, error.suggestion);
        self.say(finding);
    }

    pub(super) fn bad_unit(&mut self, text: &Excerpt, from: usize, error: UnitError) {
        let span = text.span(from + error.at.start..from + error.at.end);
        let finding = self
            .finding(Code::UnknownUnit, span, sentence(&error.message))
            .expected("a unit that `stillroom words` lists")
            .next("write another unit");
        let finding = self.suggest(finding, span, error.suggestion);
        self.say(finding);
    }

    fn suggest(&self, finding: Diagnostic, span: Span, suggestion: Option<String>) -> Diagnostic {
        let found = self.file.slice(span);
        let finding = finding.found(if found.is_empty() {
            "nothing".to_owned()
        } else {
            format!("`{found}`")
        });
        match suggestion {
            Some(made) => {
                finding.next(format!("did you mean `{made}`?")).mended(span, &made, Surety::Likely)
            }
            None => finding,
        }
    }
}

/// The message with a capital letter and a full stop.
fn sentence(message: &str) -> String {
    let mut letters = message.chars();
    let first = letters.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
    let rest = letters.as_str();
    let stop = if message.ends_with(['.', '?', '!']) { "" } else { "." };
    format!("{first}{rest}{stop}")
}
