//! Facts as the engine takes them: names looked up, and from each number's unit
//! whether it is an amount or a share.

use std::collections::BTreeMap;

use crate::balance::operations::Role;
use crate::balance::problem::{At, Basis, Fact, Part, Problem, Says, What};
use crate::diag::{Code, Diagnostic, Diagnostics, Span};
use crate::quantity::formula::Formula;
use crate::quantity::{Dimension, Unit, UnitKind};
use crate::reading::parsed::{FactValue, StreamFacts, Text};

use super::lookup::{check_names, dimension_mistake};
use super::measures::{CONCENTRATION, by_mass_beside};
use super::names::UnitNames;
use super::questions::Blocks;
use super::values::Values;

/// A fact with its place and, for an amount, the dimension it was given in.
pub(super) struct Placed {
    pub(super) fact: Fact,
    pub(super) span: Span,
    pub(super) formula: Option<Formula>,
    pub(super) amount: Option<Dimension>,
    /// An operation's setting says it, not a line of `given`.
    pub(super) by_operation: bool,
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
    let Some(at) = reader.place(given, diagnostics) else { return Vec::new() };
    let found: Vec<Placed> = given
        .facts
        .iter()
        .flat_map(|fact| {
            reader.fact(at, &fact.key, &fact.value.value, fact.value.span, diagnostics)
        })
        .collect();
    if !reader.volume_leads_to_moles(given, &found, diagnostics) {
        return Vec::new();
    }
    let found = reader.of_every_stage(found);
    if let Some(mistake) = reader.sum_of_shares(&found) {
        diagnostics.push(mistake);
        return Vec::new();
    }
    found
}

/// Looks up what facts and settings name.
pub(super) struct Reader<'a> {
    pub(super) unit: &'a UnitNames<'a>,
    pub(super) problem: &'a Problem,
    pub(super) values: &'a Values,
    pub(super) blocks: Blocks<'a>,
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
            if let Some(typed) = formula.as_typed().filter(|_| self.problem.counts(*component)) {
                shares.entry(*component).or_insert(typed.si());
                last = Some(placed);
            }
        }
        let last = last?;
        let sum: f64 = shares.values().sum();
        let components = &self.problem.components;
        let counted = (0..components.len()).filter(|c| self.problem.counts(*c)).count();
        let all = shares.len() == counted;
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

    /// A volume and a density make a mass: where moles are counted, all that the line
    /// leaves in its stream needs a molar mass.
    fn volume_leads_to_moles(
        &self,
        given: &StreamFacts,
        facts: &[Placed],
        diagnostics: &mut Diagnostics,
    ) -> bool {
        let volume = given.facts.iter().find(|f| f.key.value == "volume");
        let Some(volume) = volume.filter(|_| self.problem.basis == Basis::Moles) else {
            return true;
        };
        let speaks = |word: &str| given.facts.iter().any(|f| f.key.value == word);
        let absent = |c: usize| {
            facts.iter().any(|f| matches!(&f.fact.says, Says::Absent(all) if all.contains(&c)))
        };
        let is_rest = |name: &str| {
            given
                .facts
                .iter()
                .any(|f| matches!(&f.value.value, FactValue::Name(n) if n.value == name))
        };
        let names_all = speaks("rest") || speaks("others");
        for (c, component) in self.problem.components.iter().enumerate() {
            let named = speaks(&component.name) || is_rest(&component.name);
            let present = !absent(c) && (named || !names_all);
            if present && component.molar_mass.is_none() {
                let span = volume.value.span;
                diagnostics.push(super::settings::formula_missing(
                    self.unit,
                    &component.name,
                    span,
                ));
                return false;
            }
        }
        true
    }

    /// Where the facts of one line belong: a stream, its stage, a part of it.
    fn place(&self, given: &StreamFacts, diagnostics: &mut Diagnostics) -> Option<At> {
        let at = self.stream(&given.stream, diagnostics)?;
        let Some(part) = &given.part else { return Some(at) };
        let path: Vec<&str> =
            std::iter::once(given.stream.value.as_str()).chain(part.value.split('.')).collect();
        match self.problem.locate(&path) {
            Ok((at, read)) if read == path.len() => Some(at),
            _ => {
                self.no_part(part, diagnostics);
                None
            }
        }
    }

    fn no_part(&self, part: &Text, diagnostics: &mut Diagnostics) {
        if self.unit.excused(part, Span::default()) {
            return;
        }
        let known = ["solids", "liquor"].into_iter();
        diagnostics.push(self.unit.unknown(Code::UnknownName, part, "part", "a stream", known));
    }

    pub(super) fn stream(&self, name: &Text, diagnostics: &mut Diagnostics) -> Option<At> {
        let path: Vec<&str> = name.value.split('.').collect();
        match self.problem.locate(&path) {
            Ok((at, _)) => Some(at),
            Err(unread) if unread.segment > 0 => {
                let part = Text::new(path[1..].join("."), name.span);
                self.no_part(&part, diagnostics);
                None
            }
            Err(_) => {
                let known = super::process::streams(self.problem);
                self.unknown(Code::UnknownStream, name, "stream", known, diagnostics);
                None
            }
        }
    }

    /// What a key or a base speaks of.
    fn what(&self, key: &Text, diagnostics: &mut Diagnostics) -> Option<What> {
        let word = key.value.as_str();
        if word == "density" && self.problem.basis == Basis::Volume {
            let message = "A density changes nothing where volumes are counted.".to_owned();
            let diagnostic = self.bad(
                key.span,
                message,
                "a volume, or a concentration as mass per volume",
                "leave the density out, or remove `basis: volume` to count masses",
            );
            diagnostics.push(diagnostic);
            return None;
        }
        let what = match word {
            "total" => Some(What::Total),
            "volume" if self.problem.basis == Basis::Volume => Some(What::Total),
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

    pub(super) fn component(&self, name: &Text, diagnostics: &mut Diagnostics) -> Option<usize> {
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
            by_operation: false,
        };
        match value {
            FactValue::EachStage(value) => {
                let mut stages = self.stages_of(at);
                // What one stage hands on to the next ends as the operation's own stream.
                if self.problem.aliases.iter().any(|(_, stream)| *stream == at.stream) {
                    stages.push(at);
                }
                if stages.is_empty() {
                    diagnostics.push(self.bad(
                        span,
                        "This stream is not shared out among stages.".to_owned(),
                        "`each stage` on what enters every stage of an operation",
                        "leave `each stage` out, or give the operation its `stages`",
                    ));
                }
                let each = |at: At| self.fact(at, key, value, span, &mut Diagnostics::new());
                // Mistakes are said once.
                if stages.first().is_some_and(|first| {
                    self.fact(*first, key, value, span, diagnostics).is_empty()
                }) {
                    return Vec::new();
                }
                stages.into_iter().flat_map(each).collect()
            }
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
                // Of a solid without liquor, or a liquor without solids, none is a share.
                Some(of @ What::Part(_)) => Formula::parse("0 %", |_| span.start)
                    .map(|none| placed(Says::Share { of, formula: none.clone() }, Some(none), None))
                    .into_iter()
                    .collect(),
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

    /// What is told of the liquor that a solid keeps holds for every stage: a constant
    /// underflow.
    fn of_every_stage(&self, found: Vec<Placed>) -> Vec<Placed> {
        let is_part = |of: &What| matches!(of, What::Part(_));
        let mut all = Vec::new();
        for placed in found {
            let keeps = match &placed.fact.says {
                Says::SameAs { of, .. } | Says::Amount { of, .. } | Says::Share { of, .. } => {
                    is_part(of)
                }
                Says::Per { of, base, .. } => is_part(of) || is_part(base),
                _ => false,
            };
            let stages = if keeps { self.stages_of(placed.fact.at) } else { Vec::new() };
            for at in stages {
                all.push(Placed {
                    fact: Fact { at, says: placed.fact.says.clone() },
                    span: placed.span,
                    formula: placed.formula.clone(),
                    amount: placed.amount,
                    by_operation: true,
                });
            }
            all.push(placed);
        }
        all
    }

    /// The streams that a stream is shared out to.
    fn stages_of(&self, at: At) -> Vec<At> {
        let name = format!("{}.stage", self.problem.streams[at.stream]);
        let streams = self.problem.streams.iter().enumerate();
        streams
            .filter(|(_, stream)| stream.starts_with(&name))
            .map(|(stream, _)| At { stream, part: at.part })
            .collect()
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
                let (own, other) = (self.dimension_of(of), self.dimension_of(base_of));
                if dimension != own / other && dimension != own {
                    let expected = if own == Dimension::MASS && own == other {
                        "a mass ratio".to_owned()
                    } else {
                        format!("{} over {}", own.words(), other.words())
                    };
                    diagnostics.push(self.unit_mistake(ratio.span(), dimension, &expected));
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
            FactValue::None | FactValue::Name(_) | FactValue::Pure(_) | FactValue::EachStage(_) => {
                None
            }
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
        let still = Dimension { time: 0, ..dimension };
        let is_share = dimension.is_none();
        let own = self.dimension_of(of);
        let inside = matches!(of, What::Component(_) | What::Group(_));
        let flow = |own: Dimension| Dimension { time: dimension.time, ..own };
        let total = flow(self.dimension_of(What::Total));
        let plain =
            |amount| Some((Says::Amount { of, formula: formula.clone() }, kept.clone(), amount));
        match of {
            What::Density if dimension == own => return plain(None),
            What::Volume if still == own => return plain(Some(total)),
            What::Volume | What::Density => {}
            // A solute beside volumes: a concentration is its share.
            _ if inside && own != self.dimension_of(What::Total) && dimension == CONCENTRATION => {
                return Some((Says::Share { of, formula: formula.clone() }, kept, None));
            }
            _ if still == own => return plain(Some(total)),
            _ if inside && self.problem.basis == Basis::Mass && dimension == CONCENTRATION => {
                let says = Says::Per { of, ratio: formula.clone(), base: What::Volume };
                return Some((says, kept, None));
            }
            // Moles where masses are counted, or masses where moles are.
            What::Total | What::Component(_) | What::Group(_)
                if Some(still) == self.other_dimension() =>
            {
                self.has_molar_masses(of, span, diagnostics)?;
                let says = Says::OtherAmount { of, formula: formula.clone() };
                return Some((says, kept, Some(total)));
            }
            _ if is_share && of != What::Total && own == self.dimension_of(What::Total) => {
                if self.is_mole_share(formula) && self.problem.basis != Basis::Moles {
                    self.fraction_in_range(formula, span, diagnostics)?;
                    self.has_molar_masses(What::Total, span, diagnostics)?;
                    return Some((Says::OtherShare { of, formula: formula.clone() }, kept, None));
                }
                if self.is_ratio(formula) {
                    let base = self.base_of_ratio(formula, span, diagnostics)?;
                    return Some((Says::Per { of, ratio: formula.clone(), base }, kept, None));
                }
                self.fraction_in_range(formula, span, diagnostics)?;
                return Some((Says::Share { of, formula: formula.clone() }, kept, None));
            }
            _ => {}
        }
        let expected = self.expected(of);
        let mut mistake = self.unit_mistake(formula.span(), dimension, expected);
        if of == What::Total && is_share {
            mistake = mistake.next(format!(
                "a share needs what it is a share of: write `{}: {} of STREAM`",
                key.value,
                self.unit.file.slice(span)
            ));
        }
        diagnostics.push(mistake);
        None
    }

    /// What a fact about `of` may be, in words.
    fn expected(&self, of: What) -> &'static str {
        match (of, self.problem.basis) {
            (What::Volume, _) => "a volume or a volume per time",
            (What::Density, _) => "a mass per volume, such as `0.87 kg/L`",
            (What::Total, Basis::Mass) => "a mass or a mass per time",
            (What::Total, Basis::Moles) => "an amount such as `100 kmol`, or one per time",
            (What::Total, Basis::Volume) => "a volume or a volume per time",
            (_, Basis::Mass) => "a share or a mass, such as `5.0 %`",
            (_, Basis::Moles) => "a share or an amount, such as `5.0 %` or `2 mol`",
            (_, Basis::Volume) if by_mass_beside(self.problem, of) => {
                "a concentration or a mass, such as `35 g/L`"
            }
            (_, Basis::Volume) => "a share or a volume, such as `40 %`",
        }
    }

    /// What a quantity is, time left aside.
    fn dimension_of(&self, of: What) -> Dimension {
        let by_mass = by_mass_beside(self.problem, of);
        match (of, self.problem.basis) {
            (What::Volume, _) => Dimension::VOLUME,
            (What::Density, _) => CONCENTRATION,
            (_, Basis::Mass) => Dimension::MASS,
            (_, Basis::Moles) => Dimension::AMOUNT,
            (_, Basis::Volume) if by_mass => Dimension::MASS,
            (_, Basis::Volume) => Dimension::VOLUME,
        }
    }

    /// What molar masses lead to from the amounts that are counted.
    fn other_dimension(&self) -> Option<Dimension> {
        match self.problem.basis {
            Basis::Mass => Some(Dimension::AMOUNT),
            Basis::Moles => Some(Dimension::MASS),
            Basis::Volume => None,
        }
    }

    /// Every component that is spoken of has a molar mass.
    fn has_molar_masses(&self, of: What, span: Span, diagnostics: &mut Diagnostics) -> Option<()> {
        let missing = without_molar_mass(self.problem, of)?;
        let Some(c) = missing.first() else { return Some(()) };
        let name = &self.problem.components[*c].name;
        diagnostics.push(super::settings::formula_missing(self.unit, name, span));
        None
    }

    /// Is the number a share of the moles? Its unit says so.
    fn is_mole_share(&self, formula: &Formula) -> bool {
        let is_molar = |unit: &Unit| unit.kind() == UnitKind::MolePercent;
        formula.numbers().any(|(typed, _)| is_molar(&typed.unit))
            || formula.names().any(|(path, _)| {
                let name = path.join(".");
                self.values.numbers.iter().any(|v| v.name == name && is_molar(&v.unit))
            })
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
    pub(super) fn fraction_in_range(
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

    /// What a typed number or a drawn value may be, in base units.
    pub(super) fn possible(&self, formula: &Formula) -> Vec<f64> {
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

    pub(super) fn dimension(
        &self,
        formula: &Formula,
        diagnostics: &mut Diagnostics,
    ) -> Option<Dimension> {
        let known = |path: &[&str]| self.values.dimension(&path.join("."));
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

    pub(super) fn unit_mistake(&self, span: Span, found: Dimension, expected: &str) -> Diagnostic {
        Diagnostic::new(
            Code::UnitMismatch,
            self.unit.place(span),
            format!("This is {}, where {} is meant.", found.words(), plain(expected)),
        )
        .found(format!("`{}`", self.unit.file.slice(span)))
        .expected(expected)
        .next("check the unit of the number, or of the value it names")
    }

    pub(super) fn bad(
        &self,
        span: Span,
        message: String,
        expected: &str,
        next: &str,
    ) -> Diagnostic {
        Diagnostic::new(Code::BadFact, self.unit.place(span), message)
            .found(format!("`{}`", self.unit.file.slice(span)))
            .expected(expected)
            .next(next)
    }
}

pub(super) fn is_ratio_unit(unit: &Unit) -> bool {
    unit.dimension().is_none()
        && !unit.converts_to(&Unit::percent())
        && unit.kind() != UnitKind::MolePercent
}

/// Components of a stream that `of` counts and that have no molar mass.
pub(super) fn without_molar_mass(problem: &Problem, of: What) -> Option<Vec<usize>> {
    let lacks = |c: &usize| problem.components[*c].molar_mass.is_none();
    let all = 0..problem.components.len();
    Some(match of {
        What::Component(c) => Some(c).into_iter().filter(lacks).collect(),
        What::Group(g) => problem.groups[g].members.iter().copied().filter(lacks).collect(),
        What::Total => all.filter(lacks).collect(),
        What::Part(_) | What::Volume | What::Density => return None,
    })
}

/// Words without their example.
fn plain(expected: &str) -> &str {
    expected.split(", such as").next().unwrap_or(expected)
}

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
