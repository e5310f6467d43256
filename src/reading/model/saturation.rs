//! `saturated at`: which table it reads, and whether the table reaches that far.
//!
//! The data block that the component names comes first, then one with a row of its
//! name, then the built-in table.

use crate::balance::operations::Role;
use crate::balance::problem::{Curve, Says, What};
use crate::balance::properties;
use crate::diag::{Code, Diagnostic, Diagnostics, Span};
use crate::quantity::Dimension;
use crate::quantity::formula::Formula;
use crate::reading::parsed::{Data, Text};

use super::facts::{Reader, is_ratio_unit};

impl Reader<'_> {
    pub(super) fn saturated(
        &self,
        of: What,
        temperature: &Formula,
        span: Span,
        diagnostics: &mut Diagnostics,
    ) -> Option<(Says, Option<Formula>, Option<Dimension>)> {
        let dimension = self.dimension(temperature, diagnostics)?;
        if dimension != (Dimension { temperature: 1, ..Dimension::NONE }) {
            diagnostics.push(self.unit_mistake(
                temperature.span(),
                dimension,
                "a temperature, such as `20 degC`",
            ));
            return None;
        }
        let What::Component(solute) = of else {
            diagnostics.push(self.bad(
                span,
                "Only one component can be said to be saturated.".to_owned(),
                "a component before `saturated at`",
                "move the words to the component that is dissolved",
            ));
            return None;
        };
        let solvent = self.problem.components.iter().position(|c| c.role == Role::Solvent);
        let Some(solvent) = solvent else {
            self.no_table(solute, span, diagnostics);
            return None;
        };
        let table = self.table(solute, span, diagnostics)?;
        self.on_the_table(&table, temperature, diagnostics)?;
        let says = Says::Saturated { solute, solvent, table, at: temperature.clone() };
        Some((says, Some(temperature.clone()), None))
    }

    /// The table of a solute, or what is wrong with it.
    pub(super) fn table(
        &self,
        solute: usize,
        span: Span,
        diagnostics: &mut Diagnostics,
    ) -> Option<Curve> {
        let Some(table) = self.curve(solute) else {
            self.no_table(solute, span, diagnostics);
            return None;
        };
        self.one_table(solute, span, diagnostics)?;
        self.table_is_of_solubilities(solute, diagnostics)?;
        Some(table)
    }

    fn no_table(&self, solute: usize, span: Span, diagnostics: &mut Diagnostics) {
        let name = &self.problem.components[solute].name;
        if self.table_is_spoken_of(solute, diagnostics) {
            return;
        }
        diagnostics.push(
            Diagnostic::new(
                Code::UnknownTable,
                self.unit.place(span),
                format!("No table gives the solubility of `{}`.", name.replace('_', " ")),
            )
            .found(format!("`{}`", self.unit.file.slice(span)))
            .expected(format!("a `data` block with a row called `{}`", name.replace('_', " ")))
            .next("add the table to this unit as a `data` block, with its source"),
        );
    }

    /// A temperature that is typed or drawn lies between the ends of the table.
    fn on_the_table(
        &self,
        table: &Curve,
        temperature: &Formula,
        diagnostics: &mut Diagnostics,
    ) -> Option<()> {
        let beyond =
            self.possible(temperature).into_iter().find(|value| !table.read(*value).is_finite());
        let Some(beyond) = beyond else { return Some(()) };
        let celsius = |kelvin: f64| format!("{} °C", ((kelvin - 273.15) * 1e6).round() / 1e6);
        let ends = match (table.points.first(), table.points.last()) {
            (Some((first, _)), Some((last, _))) => {
                format!("a temperature from {} to {}", celsius(*first), celsius(*last))
            }
            _ => "a table with numbers in it".to_owned(),
        };
        diagnostics.push(self.bad(
            temperature.span(),
            format!("The table `{}` does not reach to {}.", table.name, celsius(beyond)),
            &ends,
            "stay within the table, or add to it",
        ));
        None
    }

    /// The unit's own table for a solute: the data block that the component names,
    /// else any that has a row of its name.
    fn curve(&self, solute: usize) -> Option<Curve> {
        let name = self.problem.components[solute].name.replace('_', " ");
        match self.table_of(solute) {
            Some(table) => curve_in(table, &name),
            None if self.named_table(solute).is_some() => None,
            None => self.built_in(solute),
        }
    }

    /// The built-in table that goes by a component's formula or name.
    fn built_in(&self, solute: usize) -> Option<Curve> {
        let name = &self.problem.components[solute].name;
        let component = self.blocks.components.iter().find(|c| c.name.value == *name)?;
        let formula = component.formula.as_ref().map(|formula| formula.value.as_str());
        let table = formula.and_then(properties::named).or_else(|| properties::named(name))?;
        Some(table.curve())
    }

    fn table_of(&self, solute: usize) -> Option<&Data> {
        match self.named_table(solute) {
            Some(table) => self.unit.tables.get(table.value.as_str()).copied(),
            None => self.tables_with(solute).first().copied(),
        }
    }

    /// The tables of solubilities with a row of a solute's name; where there is none,
    /// whatever tables have such a row.
    fn tables_with(&self, solute: usize) -> Vec<&Data> {
        let name = self.problem.components[solute].name.replace('_', " ");
        let tables = self.unit.tables.values().copied();
        let with: Vec<&Data> = tables.filter(|data| curve_in(data, &name).is_some()).collect();
        let right: Vec<&Data> =
            with.iter().copied().filter(|data| gives_solubility(data)).collect();
        if right.is_empty() { with } else { right }
    }

    /// Where several tables have a row of the name, the component says which is meant:
    /// a table read by chance would give a wrong key without a word.
    fn one_table(&self, solute: usize, span: Span, diagnostics: &mut Diagnostics) -> Option<()> {
        if self.named_table(solute).is_some() {
            return Some(());
        }
        let [first, second, ..] = self.tables_with(solute)[..] else { return Some(()) };
        let (name, id) = (&self.problem.components[solute].name, &first.id.value);
        diagnostics.push(
            Diagnostic::new(
                Code::UnknownTable,
                self.unit.place(span),
                format!("More than one table has a row `{}`.", name.replace('_', " ")),
            )
            .found(format!("`{id}` and `{}`", second.id.value))
            .expected(format!("a component that names its table: `solubility: {id}`"))
            .next("name the table where the components are listed")
            .written(format!("{name}: {{is: solute, solubility: {id}}}")),
        );
        None
    }

    /// Solubilities stand per 100 g of water, against temperature.
    fn table_is_of_solubilities(&self, solute: usize, diagnostics: &mut Diagnostics) -> Option<()> {
        // The built-in tables are.
        let Some(data) = self.table_of(solute) else { return Some(()) };
        if gives_solubility(data) {
            return Some(());
        }
        let unit = data.unit.as_ref()?;
        diagnostics.push(
            Diagnostic::new(
                Code::UnitMismatch,
                self.unit.place(unit.span),
                "A solubility is read from this table, which does not give it per 100 g of water against temperature.",
            )
            .found(format!("`{}`", unit.value.text()))
            .expected("`unit: g/100 g water` and `columns: temperature in degC`")
            .next("restate the table, or give the share without `saturated at`"),
        );
        None
    }

    fn named_table(&self, solute: usize) -> Option<&Text> {
        let name = &self.problem.components[solute].name;
        let component = self.blocks.components.iter().find(|c| c.name.value == *name)?;
        component.solubility.as_ref()
    }

    /// Why there is no table has been said: the one that is named does not exist, or
    /// a data block could not be read.
    fn table_is_spoken_of(&self, solute: usize, diagnostics: &Diagnostics) -> bool {
        let tables = &self.unit.tables;
        let written = self.unit.file.text().lines().filter(|line| line.ends_with("```data"));
        self.named_table(solute).is_some_and(|table| !tables.contains_key(table.value.as_str()))
            || tables.values().any(|data| self.unit.marred(data.span))
            || diagnostics.has_errors() && written.count() > tables.len()
    }
}

/// Does a table stand per 100 g of something against temperature?
fn gives_solubility(data: &Data) -> bool {
    let against = data.columns.as_ref().map(|(_, across)| across.dimension());
    let ratio = data.unit.as_ref().is_some_and(|unit| is_ratio_unit(&unit.value));
    ratio && against == Some(Dimension::TEMPERATURE)
}

/// The row of a name as a curve.
pub(super) fn curve_in(data: &Data, name: &str) -> Option<Curve> {
    let (_, across) = data.columns.as_ref()?;
    let unit = &data.unit.as_ref()?.value;
    let (_, row) = data.rows.iter().find(|(row, _)| row.value.replace('_', " ") == name)?;
    let points = row.iter().map(|(t, s)| (across.to_si(t.value), unit.to_si(s.value))).collect();
    let title = data.title.as_ref().unwrap_or(&data.id);
    Some(Curve { name: title.value.clone(), points })
}
