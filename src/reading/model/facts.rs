//! Facts as the engine takes them: names looked up, and from each number's unit
//! whether it is an amount or a share.

use std::collections::BTreeMap;

use crate::balance::operations::Role;
use crate::balance::problem::{At, Curve, Fact, Part, Problem, Says, What};
use crate::diag::{Code, Diagnostic, Diagnostics, Span};
use crate::quantity::formula::Formula;
use crate::quantity::{Dimension, Unit, UnitKind};
use crate::reading::parsed::{Data, FactValue, StreamFacts, Text};

use super::names::UnitNames;
use super::questions::{Blocks, check_names, dimension_mistake};
use super::values::Values;

/// A fact with its place and, for an amount, the dimension it was given in.
pub(super) struct Placed {
    pub(super) fact: Fact,
    pub(super) span: Span,
    pub(super) formula: Option<Formula>,
    pub(super) amount: Option<Dimension>,
}

/// Reads the facts about one stream.
pub(super) fn read(
    unit: &UnitNames<'_>,
    problem: &Problem,
    values: &Values,
    given: &StreamFacts,
    blocks: Blocks<'_>,
    diagnostics: &mut Diagnostics,
) -> Vec<Placed> {
    let reader = Reader { unit, problem, values, blocks };
    let Some(mut at) = reader.stream(&given.stream, diagnostics) else { return Vec::new() };
    if let Some(part) = &given.part {
        match Part::named(&part.value) {
            Some(named) => at.part = Some(named),
            None => {
                reader.no_part(part, diagnostics);
                return Vec::new();
            }
        }
    }
    let found: Vec<Placed> = given
        .facts
        .iter()
        .flat_map(|fact| {
            reader.fact(at, &fact.key, &fact.value.value, fact.value.span, diagnostics)
        })
        .collect();
    if let Some(mistake) = reader.sum_of_shares(&found) {
        diagnostics.push(mistake);
        return Vec::new();
    }
    found
}

struct Reader<'a> {
    unit: &'a UnitNames<'a>,
    problem: &'a Problem,
    values: &'a Values,
    blocks: Blocks<'a>,
}

impl Reader<'_> {
    /// Reports a name that the process does not have.
    fn unknown<'n>(
        &self,
        code: Code,
        name: &Text,
        kind: &str,
        known: impl Iterator<Item = &'n str> + Clone,
        diagnostics: &mut Diagnostics,
    ) {
        if !self.unit.excused(name, self.blocks.process) {
            diagnostics.push(self.unit.unknown(code, name, kind, "this process", known));
        }
    }

    /// The shares of a stream, typed as numbers, do not add up to more than the whole,
    /// nor to less where every component has its share.
    fn sum_of_shares(&self, facts: &[Placed]) -> Option<Diagnostic> {
        let mut shares: BTreeMap<usize, f64> = BTreeMap::new();
        let mut last = None;
        for placed in facts {
            let Says::Share { of: What::Component(component), formula } = &placed.fact.says else {
                continue;
            };
            if let Some(typed) = formula.as_typed() {
                shares.entry(*component).or_insert(typed.si());
                last = Some(placed);
            }
        }
        let last = last?;
        let sum: f64 = shares.values().sum();
        let all = shares.len() == self.problem.components.len();
        if sum <= 1.0 + 1e-9 && !(all && sum < 1.0 - 1e-9) {
            return None;
        }
        let stream = self.problem.at_words(last.fact.at);
        let percent = (sum * 1e8).round() / 1e6;
        let place = self.unit.place(last.span);
        let message = format!("The shares in the {stream} add up to {percent} %.");
        Some(
            Diagnostic::new(Code::FractionOutside, place, message)
                .found(format!("{percent} % in all"))
                .expected(if all { "100 % in all" } else { "100 % or less in all" })
                .next("correct one of them, or let `rest: NAME` make up the remainder"),
        )
    }

    /// Stages are read, but no operation here has any.
    fn no_part(&self, part: &Text, diagnostics: &mut Diagnostics) {
        if self.unit.excused(part, Span::default()) {
            return;
        }
        let known = ["solids", "liquor"].into_iter();
        diagnostics.push(self.unit.unknown(Code::UnknownName, part, "part", "a stream", known));
    }

    fn stream(&self, name: &Text, diagnostics: &mut Diagnostics) -> Option<At> {
        let mut words = name.value.split('.');
        let base = words.next().unwrap_or("");
        let found = self.problem.stream(base).map(At::whole);
        if found.is_none() {
            let known = super::process::streams(self.problem);
            self.unknown(Code::UnknownStream, name, "stream", known, diagnostics);
        }
        let part = words.next().and_then(Part::named);
        found.map(|at| At { part, ..at })
    }

    /// What a key or a base speaks of.
    fn what(&self, key: &Text, diagnostics: &mut Diagnostics) -> Option<What> {
        let word = key.value.as_str();
        let what = match word {
            "total" => Some(What::Total),
            "volume" => Some(What::Volume),
            "density" => Some(What::Density),
            _ => Part::named(word)
                .map(What::Part)
                .or_else(|| self.problem.component(word).map(What::Component))
                .or_else(|| self.problem.group(word).map(What::Group)),
        };
        if what.is_none() {
            let names = self
                .problem
                .components
                .iter()
                .map(|c| c.name.as_str())
                .chain(self.problem.groups.iter().map(|g| g.name.as_str()))
                .chain(["total", "volume", "density", "is", "rest", "others", "solids", "liquor"]);
            self.unknown(Code::UnknownComponent, key, "component", names, diagnostics);
        }
        what
    }

    fn all_but(&self, kept: usize) -> Vec<usize> {
        (0..self.problem.components.len()).filter(|c| *c != kept).collect()
    }

    fn component(&self, name: &Text, diagnostics: &mut Diagnostics) -> Option<usize> {
        let found = self.problem.component(&name.value);
        if found.is_none() {
            let known = self.problem.components.iter().map(|c| c.name.as_str());
            self.unknown(Code::UnknownComponent, name, "component", known, diagnostics);
        }
        found
    }

    fn fact(
        &self,
        at: At,
        key: &Text,
        value: &FactValue,
        span: Span,
        diagnostics: &mut Diagnostics,
    ) -> Vec<Placed> {
        let placed = |says: Says, formula: Option<Formula>, amount: Option<Dimension>| Placed {
            fact: Fact { at, says },
            span,
            formula,
            amount,
        };
        match value {
            FactValue::Pure(name) => self
                .component(name, diagnostics)
                .map(|c| placed(Says::Absent(self.all_but(c)), None, None))
                .into_iter()
                .collect(),
            // `rest: water` and `others: none` are settled once all keys are known.
            FactValue::Name(_) => Vec::new(),
            FactValue::None => match self.what(key, diagnostics) {
                Some(What::Component(c)) => vec![placed(Says::Absent(vec![c]), None, None)],
                Some(What::Group(g)) => {
                    let members = self.problem.groups[g].members.clone();
                    vec![placed(Says::Absent(members), None, None)]
                }
                Some(_) => {
                    diagnostics.push(self.bad(
                        span,
                        format!(
                            "`none` says that a component is absent, and `{}` is no component.",
                            key.value
                        ),
                        "a number",
                        "leave it out, or give a number",
                    ));
                    Vec::new()
                }
                None => Vec::new(),
            },
            _ => {
                let Some(of) = self.what(key, diagnostics) else { return Vec::new() };
                self.with_number(of, key, value, span, diagnostics)
                    .map(|(says, formula, amount)| placed(says, formula, amount))
                    .into_iter()
                    .collect()
            }
        }
    }

    fn with_number(
        &self,
        of: What,
        key: &Text,
        value: &FactValue,
        span: Span,
        diagnostics: &mut Diagnostics,
    ) -> Option<(Says, Option<Formula>, Option<Dimension>)> {
        match value {
            FactValue::Amount(formula) => self.amount(of, key, formula, span, diagnostics),
            FactValue::ShareOf { share, stream } => {
                let other = self.stream(stream, diagnostics)?;
                let dimension = self.dimension(share, diagnostics)?;
                if !dimension.is_none() || self.is_ratio(share) {
                    diagnostics.push(self.unit_mistake(
                        share.span(),
                        dimension,
                        "a share, such as `55 %`",
                    ));
                    return None;
                }
                self.fraction_in_range(share, span, diagnostics)?;
                Some((Says::ShareOf { of, share: share.clone(), other }, Some(share.clone()), None))
            }
            FactValue::Per { ratio, base } => {
                let base_of = self.what(base, diagnostics)?;
                let dimension = self.dimension(ratio, diagnostics)?;
                // A drawn `damp: 0.08 kg` stands for 0.08 kg per 1 kg.
                if !dimension.is_none() && dimension != MASS {
                    diagnostics.push(self.unit_mistake(ratio.span(), dimension, "a mass ratio"));
                    return None;
                }
                Some((
                    Says::Per { of, ratio: ratio.clone(), base: base_of },
                    Some(ratio.clone()),
                    None,
                ))
            }
            FactValue::SameAs(stream) => {
                let other = self.stream(stream, diagnostics)?;
                Some((Says::SameAs { of, other }, None, None))
            }
            FactValue::SaturatedAt(temperature) => {
                self.saturated(of, temperature, span, diagnostics)
            }
            FactValue::None | FactValue::Name(_) | FactValue::Pure(_) => None,
        }
    }

    fn amount(
        &self,
        of: What,
        key: &Text,
        formula: &Formula,
        span: Span,
        diagnostics: &mut Diagnostics,
    ) -> Option<(Says, Option<Formula>, Option<Dimension>)> {
        let dimension = self.dimension(formula, diagnostics)?;
        let kept = Some(formula.clone());
        let rate = dimension.time == -1;
        let without_time = Dimension { time: 0, ..dimension };
        let is_share = dimension.is_none();
        let fits = match of {
            What::Total => without_time == MASS && (rate || dimension.time == 0),
            What::Volume => without_time == VOLUME,
            What::Density => dimension == DENSITY,
            What::Component(_) | What::Group(_) | What::Part(_) => is_share || without_time == MASS,
        };
        if !fits {
            let expected = match of {
                What::Total => "a mass or a mass per time",
                What::Volume => "a volume or a volume per time",
                What::Density => "a mass per volume, such as `0.87 kg/L`",
                _ => "a share or a mass, such as `5.0 %`",
            };
            let mut mistake = self.unit_mistake(formula.span(), dimension, expected);
            if of == What::Total && is_share {
                mistake = mistake.next(format!(
                    "a share needs what it is a share of: write `{}: {} of STREAM`",
                    key.value,
                    self.unit.file.slice(span)
                ));
            }
            diagnostics.push(mistake);
            return None;
        }
        if is_share {
            if self.is_ratio(formula) {
                let base = self.base_of_ratio(formula, span, diagnostics)?;
                return Some((Says::Per { of, ratio: formula.clone(), base }, kept, None));
            }
            self.fraction_in_range(formula, span, diagnostics)?;
            return Some((Says::Share { of, formula: formula.clone() }, kept, None));
        }
        let flow = match of {
            What::Volume => Some(Dimension { time: dimension.time, ..MASS }),
            What::Density => None,
            _ => Some(dimension),
        };
        Some((Says::Amount { of, formula: formula.clone() }, kept, flow))
    }

    /// Is a formula's number a mass for each so much of another mass? Its units say
    /// so, whatever stands around it.
    fn is_ratio(&self, formula: &Formula) -> bool {
        let typed = formula.numbers().any(|(typed, _)| is_ratio_unit(&typed.unit));
        typed
            || formula.names().any(|(path, _)| {
                let name = path.join(".");
                self.values.numbers.iter().any(|v| v.name == name && is_ratio_unit(&v.unit))
            })
    }

    /// The solvent that a ratio such as `36 g/100 g water` counts.
    fn base_of_ratio(
        &self,
        formula: &Formula,
        span: Span,
        diagnostics: &mut Diagnostics,
    ) -> Option<What> {
        let unit = formula.as_typed().map(|typed| &typed.unit).or_else(|| {
            let name = formula.as_name()?.join(".");
            self.values.numbers.iter().find(|v| v.name == name).map(|v| &v.unit)
        });
        let components = &self.problem.components;
        let mut solvents = (0..components.len()).filter(|c| components[*c].role == Role::Solvent);
        let sole = solvents.next().filter(|_| solvents.next().is_none());
        let word = unit.and_then(|unit| unit.text().rsplit(' ').next());
        let base = match word {
            Some("water") => self.problem.component("water").or(sole),
            Some("solvent") => sole,
            _ => None,
        };
        if base.is_none() {
            let amount = self.unit.file.slice(span);
            diagnostics.push(
                self.bad(
                    span,
                    "This ratio does not say of what.".to_owned(),
                    "`36 g per 100 g NAME`, with the name of a component",
                    "write `per` and the component that the 100 g are of",
                )
                .found(format!("`{amount}`")),
            );
        }
        base.map(What::Component)
    }

    /// A share typed as a number, or drawn, must lie within 0 to 1 whatever is drawn.
    fn fraction_in_range(
        &self,
        formula: &Formula,
        span: Span,
        diagnostics: &mut Diagnostics,
    ) -> Option<()> {
        let shares = self.possible(formula);
        let Some(outside) = shares.iter().find(|share| !(0.0..=1.0).contains(*share)) else {
            return Some(());
        };
        // A value typed without its sign: the slip is where the value stands.
        let bare = formula.as_name().and_then(|path| {
            let value = self.values.numbers.iter().find(|v| v.name == path.join("."))?;
            (value.unit.is_none() && *outside > 1.0 && *outside <= 100.0).then_some(value)
        });
        if let Some(value) = bare {
            let typed = self.unit.file.slice(value.span);
            let line = match typed.split_once(", step") {
                Some((range, step)) => format!("{}: {range} %, step{step}", value.name),
                None => format!("{}: {typed} %", value.name),
            };
            diagnostics.push(
                Diagnostic::new(
                    Code::FractionOutside,
                    self.unit.place(value.span),
                    format!("`{}` is used as a share but has no unit.", value.name),
                )
                .found(format!("`{typed}`"))
                .expected("a percentage, or a number from 0 to 1")
                .next("if it is a percentage, write the sign")
                .written(line),
            );
            return None;
        }
        // As it would be typed: no figures beyond those that are there.
        let percent = ((outside * 1e8).round() / 1e6).to_string().replace('-', "−");
        diagnostics.push(
            Diagnostic::new(
                Code::FractionOutside,
                self.unit.place(span),
                format!("A share of {percent} % cannot be: a part is never less than nothing nor more than the whole."),
            )
            .found(format!("`{}`", self.unit.file.slice(span)))
            .expected("a share from 0 % to 100 %")
            .next("check the number; for an amount over another, write `... per NAME`"),
        );
        None
    }

    fn saturated(
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
        let (Some(solvent), Some(table)) = (solvent, self.curve(solute)) else {
            let name = &self.problem.components[solute].name;
            if self.table_is_spoken_of(solute, diagnostics) {
                return None;
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
            return None;
        };
        self.table_is_of_solubilities(solute, diagnostics)?;
        self.on_the_table(&table, temperature, diagnostics)?;
        let says = Says::Saturated { solute, solvent, table, at: temperature.clone() };
        Some((says, Some(temperature.clone()), None))
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

    /// What a typed number or a drawn value may be, in base units.
    fn possible(&self, formula: &Formula) -> Vec<f64> {
        if let Some(typed) = formula.as_typed() {
            return vec![typed.si()];
        }
        let Some(name) = formula.as_name().map(|name| name.join(".")) else { return Vec::new() };
        let values = self.values.numbers.iter().filter(|value| value.name == name);
        values
            .flat_map(|value| match &value.source {
                super::Source::Drawn(numbers) => {
                    numbers.iter().map(|n| value.unit.to_si(n.value)).collect()
                }
                super::Source::Derived { .. } => Vec::new(),
            })
            .collect()
    }

    /// The unit's own table for a solute: the data block that the component names,
    /// else any that has a row of its name.
    fn curve(&self, solute: usize) -> Option<Curve> {
        let name = self.problem.components[solute].name.replace('_', " ");
        curve_in(self.table_of(solute)?, &name)
    }

    fn table_of(&self, solute: usize) -> Option<&Data> {
        let name = self.problem.components[solute].name.replace('_', " ");
        let mut tables = self.unit.tables.values().copied();
        match self.named_table(solute) {
            Some(table) => self.unit.tables.get(table.value.as_str()).copied(),
            None => tables.find(|data| curve_in(data, &name).is_some()),
        }
    }

    /// Solubilities stand per 100 g of water, against temperature.
    fn table_is_of_solubilities(&self, solute: usize, diagnostics: &mut Diagnostics) -> Option<()> {
        let data = self.table_of(solute)?;
        let (_, across) = data.columns.as_ref()?;
        let unit = data.unit.as_ref()?;
        let against_temperature = across.dimension() == Dimension::TEMPERATURE;
        if is_ratio_unit(&unit.value) && against_temperature {
            return Some(());
        }
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

    fn dimension(&self, formula: &Formula, diagnostics: &mut Diagnostics) -> Option<Dimension> {
        let known = |path: &[&str]| self.values.dimension(&path.join("."));
        if let Some((_, span)) =
            formula.numbers().find(|(typed, _)| typed.unit.kind() == UnitKind::MolePercent)
        {
            diagnostics.push(moles_not_yet(self.unit, span));
            return None;
        }
        if !check_names(self.unit, formula, &known, self.values, None, self.blocks, diagnostics) {
            return None;
        }
        match formula.dimension(&known) {
            Ok(dimension) => Some(dimension),
            Err(error) => {
                diagnostics.push(dimension_mistake(self.unit, error));
                None
            }
        }
    }

    fn unit_mistake(&self, span: Span, found: Dimension, expected: &str) -> Diagnostic {
        Diagnostic::new(
            Code::UnitMismatch,
            self.unit.place(span),
            format!("This is {}, where {} is meant.", found.words(), plain(expected)),
        )
        .found(format!("`{}`", self.unit.file.slice(span)))
        .expected(expected)
        .next("check the unit of the number, or of the value it names")
    }

    fn bad(&self, span: Span, message: String, expected: &str, next: &str) -> Diagnostic {
        Diagnostic::new(Code::BadFact, self.unit.place(span), message)
            .found(format!("`{}`", self.unit.file.slice(span)))
            .expected(expected)
            .next(next)
    }
}

fn is_ratio_unit(unit: &Unit) -> bool {
    unit.dimension().is_none()
        && !unit.converts_to(&Unit::percent())
        && unit.kind() != UnitKind::MolePercent
}

/// Shares of the amount of substance need a basis that is not read yet; taken for
/// shares of the mass they would give wrong answers.
pub(super) fn moles_not_yet(unit: &UnitNames<'_>, span: Span) -> Diagnostic {
    Diagnostic::new(
        Code::NotYet,
        unit.place(span),
        "Mole percentages in a process are not worked out yet; this version counts masses.",
    )
    .found(format!("`{}`", unit.file.slice(span)))
    .expected("a share of the mass, such as `5.0 %`")
    .next("give the share by mass")
}

/// The row of a name as a curve.
fn curve_in(data: &Data, name: &str) -> Option<Curve> {
    let (_, across) = data.columns.as_ref()?;
    let unit = &data.unit.as_ref()?.value;
    let (_, row) = data.rows.iter().find(|(row, _)| row.value.replace('_', " ") == name)?;
    let points = row.iter().map(|(t, s)| (across.to_si(t.value), unit.to_si(s.value))).collect();
    let title = data.title.as_ref().unwrap_or(&data.id);
    Some(Curve { name: title.value.clone(), points })
}

/// Words without their example.
fn plain(expected: &str) -> &str {
    expected.split(", such as").next().unwrap_or(expected)
}

pub(super) const MASS: Dimension = Dimension { mass: 1, ..Dimension::NONE };
const VOLUME: Dimension = Dimension { length: 3, ..Dimension::NONE };
const DENSITY: Dimension = Dimension { mass: 1, length: -3, ..Dimension::NONE };

/// What `rest:` and `others: none` exclude: every component that no fact of the
/// stream names.
pub(super) fn excluded(
    unit: &UnitNames<'_>,
    problem: &Problem,
    given: &StreamFacts,
    process: Span,
    diagnostics: &mut Diagnostics,
) -> Vec<usize> {
    let closing =
        given.facts.iter().find(|fact| fact.key.value == "rest" || fact.key.value == "others");
    let Some(closing) = closing else { return whole_shares(problem, given) };
    let mut kept: Vec<usize> = Vec::new();
    for fact in &given.facts {
        kept.extend(problem.component(&fact.key.value));
        if let Some(group) = problem.group(&fact.key.value) {
            kept.extend(&problem.groups[group].members);
        }
    }
    match &closing.value.value {
        _ if closing.key.value == "others" => {}
        FactValue::Name(name) => match problem.component(&name.value) {
            Some(component) => kept.push(component),
            None if unit.excused(name, process) => {}
            None => diagnostics.push(unit.unknown(
                Code::UnknownComponent,
                name,
                "component",
                "this process",
                problem.components.iter().map(|c| c.name.as_str()),
            )),
        },
        // Anything else was reported when it was read.
        _ => {}
    }
    (0..problem.components.len()).filter(|c| !kept.contains(c)).collect()
}

/// Shares typed as numbers that add up to 100 % leave no room for others.
fn whole_shares(problem: &Problem, given: &StreamFacts) -> Vec<usize> {
    let mut kept = Vec::new();
    let mut sum = 0.0;
    for fact in &given.facts {
        let FactValue::Amount(formula) = &fact.value.value else { continue };
        let (Some(typed), Some(component)) =
            (formula.as_typed(), problem.component(&fact.key.value))
        else {
            continue;
        };
        if typed.unit.dimension().is_none() && !kept.contains(&component) {
            sum += typed.si();
            kept.push(component);
        }
    }
    if kept.is_empty() || (sum - 1.0).abs() > 1e-9 {
        return Vec::new();
    }
    (0..problem.components.len()).filter(|c| !kept.contains(c)).collect()
}
