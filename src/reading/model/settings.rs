//! What the settings of operations say, as facts: a recovery, a distribution, a
//! volatility, equal vapours, the pressures in a steam distillation.
//!
//! Takes operations as written and as laid out; gives facts like those that an
//! author gives about streams. Knows which port and role a key speaks of from the
//! catalogue alone.

use crate::balance::operations::{Kind, Role, Wants};
use crate::balance::problem::{
    At, Basis, ComponentId, Extra, Fact, Law, Limit, Operation, Problem, Quantity, Says, StreamId,
    What,
};
use crate::diag::{Code, Diagnostic, Diagnostics, Span};
use crate::quantity::formula::{Formula, Node, NodeKind, Operator};
use crate::quantity::{Dimension, Number, Typed, Unit};
use crate::reading::parsed::{
    self, Placed as Told, PressureOf, Process, RatioBasis, SettingValue, Text,
};

use super::facts::{Placed, Reader};
use super::names::UnitNames;
use super::questions::Blocks;
use super::values::Values;

/// The facts that a process's operations make, in order; limits and pressures go
/// to the problem itself.
pub(super) fn facts(
    unit: &UnitNames<'_>,
    problem: &mut Problem,
    values: &Values,
    process: &Process,
    blocks: Blocks<'_>,
    diagnostics: &mut Diagnostics,
) -> Vec<Placed> {
    let mut found = Vec::new();
    for parsed in &process.operations {
        let stages: Vec<Operation> = problem
            .operations
            .iter()
            .filter(|o| is_of(o, &parsed.name.value) && std::ptr::eq(o.kind, parsed.kind.value))
            .cloned()
            .collect();
        if parsed.settings.iter().any(|(s, _)| s.value.takes == Wants::Pressures) {
            let pressures = Steam { unit, parsed, values, blocks };
            found.extend(pressures.facts(problem, diagnostics));
        }
        let mut limits = Vec::new();
        let reader = Reader { unit, problem, values, blocks };
        let setter = Setter { reader: &reader, kind: parsed.kind.value, span: parsed.name.span };
        for (setting, value) in &parsed.settings {
            if setting.value.takes == Wants::Equal {
                found.extend(setter.equal(&stages));
                continue;
            }
            if let (Wants::Limit { outlet }, SettingValue::Share { number, of }) =
                (setting.value.takes, &value.value)
            {
                limits.extend(setter.limit(
                    &stages,
                    outlet,
                    number,
                    of.as_ref(),
                    value.span,
                    diagnostics,
                ));
                continue;
            }
            for stage in &stages {
                found.extend(setter.of_stage(stage, setting.value.takes, value, diagnostics));
            }
        }
        problem.limits.extend(limits);
    }
    found
}

/// The operation itself or one of its stages.
fn is_of(operation: &Operation, name: &str) -> bool {
    operation.name == name
        || operation.name.strip_prefix(name).is_some_and(|rest| rest.starts_with(".stage"))
}

struct Setter<'a> {
    reader: &'a Reader<'a>,
    kind: &'static Kind,
    span: Span,
}

impl Setter<'_> {
    fn placed(&self, at: At, says: Says, span: Span, formula: Option<Formula>) -> Placed {
        Placed { fact: Fact { at, says }, span, formula, amount: None, by_operation: true }
    }

    fn outlet(&self, stage: &Operation, key: &str) -> Option<At> {
        stage.outlets.iter().find(|(port, _)| *port == key).map(|(_, s)| At::whole(*s))
    }

    /// The one stream at an inlet.
    fn inlet(&self, stage: &Operation, key: &str) -> Option<At> {
        let mut at = stage.inlet_keys.iter().zip(&stage.inlets).filter(|(k, _)| **k == key);
        let first = at.next().map(|(_, stream)| At::whole(*stream));
        first.filter(|_| at.next().is_none())
    }

    fn of_stage(
        &self,
        stage: &Operation,
        wants: Wants,
        value: &Told<SettingValue>,
        diagnostics: &mut Diagnostics,
    ) -> Vec<Placed> {
        let span = value.span;
        match (wants, &value.value) {
            (Wants::Recovery { inlet, outlet }, SettingValue::Share { number, of }) => {
                let of = match of {
                    Some(name) => match self.reader.component(name, diagnostics) {
                        Some(c) => What::Component(c),
                        None => return Vec::new(),
                    },
                    None => What::Total,
                };
                let says = |other| Says::ShareOf { of, share: number.clone(), other };
                self.share_of(stage, (inlet, outlet), number, span, diagnostics, &says)
            }
            (Wants::Displaced { inlet, outlet }, SettingValue::Share { number, .. }) => {
                let solutes = self.with_role(Role::Solute);
                let each = |c: ComponentId| {
                    let of = What::Component(c);
                    let says = |other| Says::ShareOf { of, share: number.clone(), other };
                    self.share_of(
                        stage,
                        (inlet, outlet),
                        number,
                        span,
                        &mut Diagnostics::new(),
                        &says,
                    )
                };
                // Said once, not for every solute.
                if self.share(number, span, diagnostics).is_none() {
                    return Vec::new();
                }
                solutes.into_iter().flat_map(each).collect()
            }
            (Wants::Rejection { inlet, outlet }, SettingValue::Share { number, of }) => {
                let solutes = match of {
                    Some(name) => self.reader.component(name, diagnostics).into_iter().collect(),
                    None => self.with_role(Role::Solute),
                };
                let passes = one_minus(number);
                let mut found = Vec::new();
                for c in solutes {
                    let says = |other| Says::ShareTimes {
                        of: What::Component(c),
                        factor: passes.clone(),
                        other,
                        law: Law::Rejection,
                    };
                    found.extend(self.share_of(
                        stage,
                        (inlet, outlet),
                        number,
                        span,
                        diagnostics,
                        &says,
                    ));
                }
                for placed in &mut found {
                    placed.formula = Some(passes.clone());
                }
                found
            }
            (Wants::Ratio { above, below, law }, SettingValue::Ratio { number, basis, of }) => {
                self.ratio(stage, (above, below), (number, basis, of.as_ref()), law, diagnostics)
            }
            (
                Wants::Volatility { vapour, liquid },
                SettingValue::Volatility { number, more, less },
            ) => {
                let Some([more, less]) = self.pair(number, more, less, diagnostics) else {
                    return Vec::new();
                };
                let (Some(vapour), Some(liquid)) =
                    (self.outlet(stage, vapour), self.outlet(stage, liquid))
                else {
                    return Vec::new();
                };
                let pair = |at| [Quantity::Amount(at, more), Quantity::Amount(at, less)];
                let says = Says::Proportion {
                    left: pair(vapour),
                    right: pair(liquid),
                    factor: Some(number.clone()),
                    law: Law::Volatility,
                };
                vec![self.placed(vapour, says, span, Some(number.clone()))]
            }
            (
                Wants::BoilingDown { inlet, residue },
                SettingValue::Volatility { number, more, less },
            ) => {
                let Some([more, less]) = self.pair(number, more, less, diagnostics) else {
                    return Vec::new();
                };
                let (Some(feed), Some(residue)) =
                    (self.inlet(stage, inlet), self.outlet(stage, residue))
                else {
                    diagnostics.push(self.one_inlet(inlet, span));
                    return Vec::new();
                };
                let pair = |of| [Quantity::Amount(residue, of), Quantity::Amount(feed, of)];
                let says =
                    Says::Power { left: pair(more), right: pair(less), exponent: number.clone() };
                vec![self.placed(residue, says, span, Some(number.clone()))]
            }
            _ => Vec::new(),
        }
    }

    fn with_role(&self, role: Role) -> Vec<ComponentId> {
        let components = &self.reader.problem.components;
        (0..components.len()).filter(|c| components[*c].role == role).collect()
    }

    /// A number that is a share from 0 to 1.
    fn share(&self, number: &Formula, span: Span, diagnostics: &mut Diagnostics) -> Option<()> {
        let dimension = self.reader.dimension(number, diagnostics)?;
        if !dimension.is_none() {
            let expected = "a share, such as `45 %`";
            diagnostics.push(self.reader.unit_mistake(number.span(), dimension, expected));
            return None;
        }
        self.reader.fraction_in_range(number, span, diagnostics)
    }

    fn share_of(
        &self,
        stage: &Operation,
        (inlet, outlet): (&str, &str),
        number: &Formula,
        span: Span,
        diagnostics: &mut Diagnostics,
        says: &dyn Fn(At) -> Says,
    ) -> Vec<Placed> {
        if self.share(number, span, diagnostics).is_none() {
            return Vec::new();
        }
        let (Some(from), Some(to)) = (self.inlet(stage, inlet), self.outlet(stage, outlet)) else {
            diagnostics.push(self.one_inlet(inlet, span));
            return Vec::new();
        };
        vec![self.placed(to, says(from), span, Some(number.clone()))]
    }

    /// A share of what enters is a share of one stream.
    fn one_inlet(&self, inlet: &str, span: Span) -> Diagnostic {
        let unit = self.reader.unit;
        Diagnostic::new(
            Code::BadSetting,
            unit.place(span),
            format!("This is a share of one `{inlet}`, and several streams enter there."),
        )
        .found(format!("`{}`", unit.file.slice(span)))
        .expected(format!("one stream as `{inlet}`"))
        .next("mix the streams in an operation of their own")
    }

    /// A volatility's number and its two components.
    fn pair(
        &self,
        number: &Formula,
        more: &Text,
        less: &Text,
        diagnostics: &mut Diagnostics,
    ) -> Option<[What; 2]> {
        let more = self.reader.component(more, diagnostics);
        let less = self.reader.component(less, diagnostics);
        self.plain(number, diagnostics)?;
        Some([What::Component(more?), What::Component(less?)])
    }

    /// A plain number above zero.
    fn plain(&self, number: &Formula, diagnostics: &mut Diagnostics) -> Option<()> {
        let dimension = self.reader.dimension(number, diagnostics)?;
        let positive = self.reader.possible(number).iter().all(|value| *value > 0.0);
        if dimension.is_none() && positive {
            return Some(());
        }
        let span = number.span();
        diagnostics.push(if dimension.is_none() {
            self.reader.bad(
                span,
                "This ratio must be more than nothing.".to_owned(),
                "a number above zero, such as `2.5`",
                "correct the number",
            )
        } else {
            self.reader.unit_mistake(span, dimension, "a plain number, such as `2.5`")
        });
        None
    }

    /// A solute between two phases.
    fn ratio(
        &self,
        stage: &Operation,
        (above, below): ((&str, Role), (&str, Role)),
        (number, basis, of): (&Formula, &Told<RatioBasis>, Option<&Text>),
        law: Law,
        diagnostics: &mut Diagnostics,
    ) -> Vec<Placed> {
        if self.plain(number, diagnostics).is_none() {
            return Vec::new();
        }
        let problem = self.reader.problem;
        let fits = match basis.value {
            RatioBasis::MassRatio | RatioBasis::MassFraction => problem.basis == Basis::Mass,
            RatioBasis::MoleRatio | RatioBasis::MoleFraction => problem.basis == Basis::Moles,
            RatioBasis::Concentration => problem.basis == Basis::Volume,
        };
        if !fits {
            diagnostics.push(self.other_basis(basis));
            return Vec::new();
        }
        let solutes = match of {
            Some(name) => self.reader.component(name, diagnostics).into_iter().collect(),
            None => {
                // What passes between the phases is neither of them.
                let stays = [above.1, below.1];
                let moves = |c: &ComponentId| {
                    let role = problem.components[*c].role;
                    !stays.contains(&role) && matches!(role, Role::Solute | Role::Volatile)
                };
                (0..problem.components.len()).filter(moves).collect::<Vec<_>>()
            }
        };
        let (Some(upper), Some(lower)) = (self.outlet(stage, above.0), self.outlet(stage, below.0))
        else {
            return Vec::new();
        };
        let mut found = Vec::new();
        for c in solutes {
            let of = What::Component(c);
            let says = match basis.value {
                RatioBasis::MassRatio | RatioBasis::MoleRatio => {
                    let base = |role| self.with_role(role).first().map(|c| What::Component(*c));
                    let (Some(a), Some(b)) = (base(above.1), base(below.1)) else { continue };
                    Says::Proportion {
                        left: [Quantity::Amount(upper, of), Quantity::Amount(upper, a)],
                        right: [Quantity::Amount(lower, of), Quantity::Amount(lower, b)],
                        factor: Some(number.clone()),
                        law,
                    }
                }
                _ => Says::ShareTimes { of, factor: number.clone(), other: lower, law },
            };
            found.push(self.placed(upper, says, number.span(), Some(number.clone())));
        }
        found
    }

    fn other_basis(&self, basis: &Told<RatioBasis>) -> Diagnostic {
        let unit = self.reader.unit;
        let wanted = match basis.value {
            RatioBasis::MassRatio | RatioBasis::MassFraction => "mass",
            RatioBasis::MoleRatio | RatioBasis::MoleFraction => "moles",
            RatioBasis::Concentration => "volume",
        };
        Diagnostic::new(
            Code::BadSetting,
            unit.place(basis.span),
            format!("This ratio counts {wanted}, and the totals of this question do not."),
        )
        .found(format!("`{}`", unit.file.slice(basis.span)))
        .expected(format!("`basis: {wanted}` on the question or its process"))
        .next("let totals count the same, or restate the ratio")
        .written(format!("basis: {wanted}"))
    }

    /// Every stage gives off as much as the first.
    fn equal(&self, stages: &[Operation]) -> Vec<Placed> {
        let Some(outlet) = self.kind.staging.and_then(|s| s.given_off) else { return Vec::new() };
        let mut streams = stages.iter().filter_map(|stage| self.outlet(stage, outlet));
        let Some(first) = streams.next() else { return Vec::new() };
        streams
            .map(|at| {
                let says = Says::SameAs { of: What::Total, other: first };
                self.placed(at, says, self.span, None)
            })
            .collect()
    }

    fn limit(
        &self,
        stages: &[Operation],
        outlet: &str,
        number: &Formula,
        of: Option<&Text>,
        span: Span,
        diagnostics: &mut Diagnostics,
    ) -> Option<Limit> {
        self.share(number, span, diagnostics)?;
        let Some(of) = of else {
            diagnostics.push(self.reader.bad(
                span,
                "This share does not say of what.".to_owned(),
                "a share and a component, such as `95.6 % ethanol`",
                "write the component behind the number",
            ));
            return None;
        };
        let of = What::Component(self.reader.component(of, diagnostics)?);
        let at = stages.last().and_then(|stage| self.outlet(stage, outlet))?;
        Some(Limit { at, of, most: number.clone() })
    }
}

/// 1 - number.
fn one_minus(number: &Formula) -> Formula {
    let span = number.span();
    let one = Typed { number: Number::exact(1), unit: Unit::none() };
    let node = |kind| Node { span, kind };
    Formula {
        root: node(NodeKind::Binary {
            op: Operator::Subtract,
            left: Box::new(node(NodeKind::Number(one))),
            right: Box::new(number.root.clone()),
        }),
    }
}

/// The pressures of a steam distillation.
struct Steam<'a> {
    unit: &'a UnitNames<'a>,
    parsed: &'a parsed::Operation,
    values: &'a Values,
    blocks: Blocks<'a>,
}

impl Steam<'_> {
    fn facts(&self, problem: &mut Problem, diagnostics: &mut Diagnostics) -> Vec<Placed> {
        let setting = |wants: Wants| {
            self.parsed.settings.iter().find(|(s, _)| s.value.takes == wants).map(|(_, v)| v)
        };
        let Some(pressures) = setting(Wants::Pressures) else { return Vec::new() };
        let SettingValue::Pressures(pressures) = &pressures.value else { return Vec::new() };
        let vapour = self.parsed.ports.iter().find(|(port, _)| port.value.key == "vapour");
        let Some(at) = vapour
            .and_then(|(_, streams)| streams.first())
            .and_then(|s| problem.stream(&s.value))
            .map(At::whole)
        else {
            return Vec::new();
        };
        let name = self.parsed.name.value.replace('_', " ");
        let mut found = Vec::new();
        let kpa = Unit::parse("kPa").unwrap_or_else(|_| Unit::none());
        let new = |problem: &mut Problem, words: String, unit: &Unit| {
            problem.extras.push(Extra {
                words,
                unit: unit.clone(),
                value: None,
                says: None,
                path: None,
            });
            problem.extras.len() - 1
        };
        let mut told = |problem: &Problem,
                        extra,
                        formula: &Formula,
                        dimension,
                        expected: &str,
                        diagnostics: &mut Diagnostics| {
            let reader =
                Reader { unit: self.unit, problem, values: self.values, blocks: self.blocks };
            let Some(is) = reader.dimension(formula, diagnostics) else { return };
            if is != dimension {
                diagnostics.push(reader.unit_mistake(formula.span(), is, expected));
                return;
            }
            found.push(Placed {
                fact: Fact { at, says: Says::ExtraIs { extra, formula: formula.clone() } },
                span: formula.span(),
                formula: Some(formula.clone()),
                amount: None,
                by_operation: true,
            });
        };
        let quantity = |wants| match setting(wants).map(|v| &v.value) {
            Some(SettingValue::Quantity(formula)) => Some(formula),
            _ => None,
        };
        let total = quantity(Wants::Pressure).map(|formula| {
            let extra = new(
                problem,
                format!("pressure in the {name}"),
                &unit_of(formula, self.values).unwrap_or(kpa.clone()),
            );
            told(
                problem,
                extra,
                formula,
                Dimension::PRESSURE,
                "a pressure, such as `101.3 kPa`",
                diagnostics,
            );
            extra
        });
        let temperature = quantity(Wants::Temperature).map(|formula| {
            let celsius = Unit::parse("degC").unwrap_or_else(|_| Unit::none());
            let extra = new(problem, format!("temperature of the {name}"), &celsius);
            let expected = "a temperature, such as `98.5 degC`";
            told(problem, extra, formula, Dimension::TEMPERATURE, expected, diagnostics);
            extra
        });
        let shown = total.map_or(kpa, |extra| problem.extras[extra].unit.clone());
        let mut parts: Vec<(ComponentId, usize)> = Vec::new();
        let mut from_table = Vec::new();
        for (component, of) in pressures {
            let Some(c) = problem.component(&component.value) else {
                let reader =
                    Reader { unit: self.unit, problem, values: self.values, blocks: self.blocks };
                reader.component(component, diagnostics);
                continue;
            };
            let words = format!("vapour pressure of {}", component.value.replace('_', " "));
            let extra = new(problem, words, &shown);
            parts.push((c, extra));
            match &of.value {
                PressureOf::Table => from_table.push((extra, of.span)),
                PressureOf::Given(formula) => {
                    told(
                        problem,
                        extra,
                        formula,
                        Dimension::PRESSURE,
                        "a pressure, such as `3.0 kPa`",
                        diagnostics,
                    );
                }
                PressureOf::Rest => {}
            }
        }
        let plain = |says, span| Placed {
            fact: Fact { at, says },
            span,
            formula: None,
            amount: None,
            by_operation: true,
        };
        for (pressure, span) in from_table {
            match temperature {
                Some(temperature) => {
                    found.push(plain(Says::WaterPressure { pressure, temperature }, span));
                }
                None => {
                    diagnostics.push(self.lacks("at", "the temperature: `at: 98.5 degC`", span));
                }
            }
        }
        let span = self.parsed.name.span;
        match total {
            Some(whole) => {
                let parts = parts.iter().map(|(_, extra)| *extra).collect();
                found.push(plain(Says::ExtraSum { whole, parts }, span));
            }
            None if pressures.iter().any(|(_, of)| matches!(of.value, PressureOf::Rest)) => {
                diagnostics.push(self.lacks("under", "the pressure: `under: 101.3 kPa`", span));
            }
            None => {}
        }
        if let [(first, pa), (second, pb)] = parts.as_slice() {
            let moles = |c: ComponentId| match problem.basis {
                Basis::Moles => Quantity::Amount(at, What::Component(c)),
                _ => Quantity::Other(at, What::Component(c)),
            };
            let missing = [*first, *second].into_iter().find(|c| {
                problem.basis != Basis::Moles && problem.components[*c].molar_mass.is_none()
            });
            if let Some(c) = missing {
                let name = &problem.components[c].name;
                diagnostics.push(formula_missing(self.unit, name, span));
                return Vec::new();
            }
            // The one that is not water stands above: it is what is distilled for.
            let [a, b] = if problem.components[*first].name == "water" {
                [(*second, *pb), (*first, *pa)]
            } else {
                [(*first, *pa), (*second, *pb)]
            };
            let says = Says::Proportion {
                left: [moles(a.0), moles(b.0)],
                right: [Quantity::Extra(a.1), Quantity::Extra(b.1)],
                factor: None,
                law: Law::VapourPressures,
            };
            found.push(plain(says, span));
        }
        found
    }

    fn lacks(&self, key: &str, expected: &str, span: Span) -> Diagnostic {
        Diagnostic::new(
            Code::MissingKey,
            self.unit.place(span),
            format!("The vapour pressures cannot be told without `{key}`."),
        )
        .found(format!("no `{key}`"))
        .expected(expected)
        .next("add it to this operation")
    }
}

/// The unit in which a formula's number or value was typed.
fn unit_of(formula: &Formula, values: &Values) -> Option<Unit> {
    formula.as_typed().map(|typed| typed.unit.clone()).or_else(|| {
        let name = formula.as_name()?.join(".");
        values.numbers.iter().find(|v| v.name == name).map(|v| v.unit.clone())
    })
}

/// Moles are spoken of, and nothing tells a molar mass.
pub(super) fn formula_missing(unit: &UnitNames<'_>, component: &str, span: Span) -> Diagnostic {
    let printed = component.replace('_', " ");
    Diagnostic::new(
        Code::FormulaMissing,
        unit.place(span),
        format!("Moles are counted here, and nothing tells the molar mass of {printed}."),
    )
    .found(format!("`{component}` without `formula` and `molar mass`"))
    .expected(format!("`{component}: {{is: ROLE, formula: NaCl}}`"))
    .next("give the component its chemical formula, or its molar mass")
}

/// A stream that other stages share out gets an equal part for each, unless the
/// author has told the parts.
pub(super) fn equal_shares(problem: &Problem, told: &[Fact], span: Span) -> Vec<Placed> {
    let mut found = Vec::new();
    for operation in problem.operations.iter().filter(|o| o.name.starts_with("division of ")) {
        let parts: Vec<StreamId> = operation.outlets.iter().map(|(_, stream)| *stream).collect();
        let is_told = |stream: &StreamId| told.iter().any(|fact| fact.at.stream == *stream);
        if parts.iter().any(is_told) {
            continue;
        }
        let Some(whole) = operation.inlets.first() else { continue };
        let Ok(share) = Formula::parse(&format!("1/{}", parts.len()), |_| span.start) else {
            continue;
        };
        for part in parts {
            let says =
                Says::ShareOf { of: What::Total, share: share.clone(), other: At::whole(*whole) };
            found.push(Placed {
                fact: Fact { at: At::whole(part), says },
                span,
                formula: Some(share.clone()),
                amount: None,
                by_operation: true,
            });
        }
    }
    found
}
