//! A problem as the engine takes it: streams, components, operations, facts and
//! what is asked, with every name looked up and every unit checked.
//!
//! Amounts are what the basis counts, in SI: masses (kg), moles (mol) or volumes
//! (m3), or their flows; shares are fractions of them. The reader builds it;
//! nothing here knows where it stood in a file.

use super::operations::{Kind, Role};
use crate::quantity::Unit;
use crate::quantity::formula::Formula;

pub type ComponentId = usize;
pub type GroupId = usize;
/// A stream or a part of one: base streams first, in the order of the file.
pub type StreamId = usize;

/// What the amounts of a problem count, and so what a total and a plain share mean.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Basis {
    #[default]
    Mass,
    Moles,
    /// Volumes add; what is dissolved or suspended takes no room and is counted by mass.
    Volume,
}

impl Basis {
    pub const NAMED: &'static [(&'static str, Basis)] =
        &[("mass", Basis::Mass), ("moles", Basis::Moles), ("volume", Basis::Volume)];

    pub fn named(word: &str) -> Option<Basis> {
        Basis::NAMED.iter().find(|(name, _)| *name == word).map(|(_, basis)| *basis)
    }
}

#[derive(Debug, Clone)]
pub struct Component {
    pub name: String,
    pub role: Role,
    /// The slot of its molar mass among the extras, where a formula or the author
    /// tells it.
    pub molar_mass: Option<ExtraId>,
}

/// Number of an extra quantity.
pub type ExtraId = usize;

/// A quantity that belongs to no stream: a molar mass, a vapour pressure, the share
/// of salt in a hydrate, a number that an operation is judged by.
#[derive(Debug, Clone)]
pub struct Extra {
    /// "molar mass of salt".
    pub words: String,
    pub unit: Unit,
    /// In base units, where it is the same in every version.
    pub value: Option<f64>,
    /// How it comes about, for the working: "Na2CO3·10H2O is 106.0/286.2 Na2CO3".
    pub says: Option<String>,
    /// The dotted name by which formulas read it.
    pub path: Option<String>,
}

#[derive(Debug, Clone)]
pub struct Group {
    pub name: String,
    pub members: Vec<ComponentId>,
}

/// The two parts of a stream that holds undissolved solid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Part {
    Solids,
    Liquor,
}

impl Part {
    pub fn named(word: &str) -> Option<Part> {
        match word {
            "solids" => Some(Part::Solids),
            "liquor" => Some(Part::Liquor),
            _ => None,
        }
    }

    pub fn word(self) -> &'static str {
        match self {
            Part::Solids => "solids",
            Part::Liquor => "liquor",
        }
    }
}

/// A base stream, or a part of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct At {
    pub stream: StreamId,
    pub part: Option<Part>,
}

impl At {
    pub fn whole(stream: StreamId) -> At {
        At { stream, part: None }
    }
}

#[derive(Debug, Clone)]
pub struct Operation {
    pub name: String,
    pub kind: &'static Kind,
    pub inlets: Vec<StreamId>,
    /// The port that each of them enters by.
    pub inlet_keys: Vec<&'static str>,
    /// Streams with the port they leave by.
    pub outlets: Vec<(&'static str, StreamId)>,
    /// Names of the physics that the author lifted.
    pub except: Vec<String>,
    /// What comes out of solution, where the author says so.
    pub crystal: Option<Crystal>,
}

/// What crystals are made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Crystal {
    pub solute: ComponentId,
    /// The extras that hold the shares of salt and of water in a hydrate, and the
    /// component that is its water.
    pub hydrate: Option<Hydrate>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Hydrate {
    pub water: ComponentId,
    pub salt_share: ExtraId,
    pub water_share: ExtraId,
}

/// What a fact or a formula speaks of within a stream.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum What {
    Total,
    Component(ComponentId),
    Group(GroupId),
    Part(Part),
    Volume,
    Density,
}

#[derive(Debug, Clone)]
pub struct Fact {
    pub at: At,
    pub says: Says,
}

#[derive(Debug, Clone)]
pub enum Says {
    /// An amount (of the total, a component, a group, a part), a volume or a density.
    Amount { of: What, formula: Formula },
    /// A share of this stream.
    Share { of: What, formula: Formula },
    /// A share of the like quantity in another stream.
    ShareOf { of: What, share: Formula, other: At },
    /// An amount over an amount of `base` in the same stream.
    Per { of: What, ratio: Formula, base: What },
    /// Components that are not there.
    Absent(Vec<ComponentId>),
    /// The like quantity is the same in another stream.
    SameAs { of: What, other: At },
    /// Dissolved `solute` per `solvent`, read from a table at a temperature.
    Saturated { solute: ComponentId, solvent: ComponentId, table: Curve, at: Formula },
    /// The same, at the temperature that an extra holds: what the table gives back.
    SaturatedWhen { solute: ComponentId, solvent: ComponentId, table: Curve, at: ExtraId },
    /// An amount in the other measure: moles where masses are counted, masses where
    /// moles are.
    OtherAmount { of: What, formula: Formula },
    /// A share in the other measure.
    OtherShare { of: What, formula: Formula },
    /// A component's share is so many times its share in another stream.
    ShareTimes { of: What, factor: Formula, other: At, law: Law },
    /// left.0 / left.1 = factor x right.0 / right.1.
    Proportion { left: [Quantity; 2], right: [Quantity; 2], factor: Option<Formula>, law: Law },
    /// left.0 / left.1 = (right.0 / right.1) to the power of a number.
    Power { left: [Quantity; 2], right: [Quantity; 2], exponent: Formula },
    /// A number for an extra.
    ExtraIs { extra: ExtraId, formula: Formula },
    /// The parts make the whole.
    ExtraSum { whole: ExtraId, parts: Vec<ExtraId> },
    /// A property of water, at the temperature that another extra holds.
    WaterPressure { pressure: ExtraId, temperature: ExtraId },
}

/// A quantity that physics relates to others.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Quantity {
    Amount(At, What),
    Share(At, What),
    /// In the other measure.
    Other(At, What),
    Extra(ExtraId),
}

/// The physics behind a relation, for its words.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Law {
    /// A solute parts between two liquids.
    Distribution,
    /// A component parts between gas and liquid, or liquid and solid.
    Equilibrium,
    /// Relative volatility of two components.
    Volatility,
    /// A membrane lets so much of the feed's concentration pass.
    Rejection,
    /// Moles in a vapour are as the vapour pressures.
    VapourPressures,
}

/// Points of a solubility table: temperature in K, solute per solvent as a plain ratio.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    pub name: String,
    pub points: Vec<(f64, f64)>,
}

impl Curve {
    /// Linear between the points; NaN outside them.
    pub fn read(&self, temperature: f64) -> f64 {
        for pair in self.points.windows(2) {
            let ((t0, s0), (t1, s1)) = (pair[0], pair[1]);
            if temperature >= t0 - 1e-9 && temperature <= t1 + 1e-9 {
                return s0 + (s1 - s0) * (temperature - t0) / (t1 - t0);
            }
        }
        f64::NAN
    }

    /// The temperature at which the table gives `ratio`; NaN where it gives none, or
    /// gives it at several.
    pub fn read_back(&self, ratio: f64) -> f64 {
        let mut found = f64::NAN;
        for pair in self.points.windows(2) {
            let ((t0, s0), (t1, s1)) = (pair[0], pair[1]);
            let (low, high) = (s0.min(s1), s0.max(s1));
            let slack = 1e-9 * high;
            if s0 != s1 && ratio >= low - slack && ratio <= high + slack {
                let here = t0 + (t1 - t0) * (ratio - s0) / (s1 - s0);
                if found.is_finite() && (here - found).abs() > 1e-6 {
                    return f64::NAN;
                }
                found = here;
            }
        }
        found
    }
}

/// A further equation among the author's names.
#[derive(Debug, Clone)]
pub struct Equation {
    pub left: Formula,
    pub right: Formula,
    /// What an operation's own equation says; the author's says nothing.
    pub says: Option<String>,
}

/// A share that cannot be passed: a distillate's at its azeotrope.
#[derive(Debug, Clone)]
pub struct Limit {
    pub at: At,
    pub of: What,
    pub most: Formula,
}

/// A whole problem.
#[derive(Debug, Clone, Default)]
pub struct Problem {
    pub basis: Basis,
    pub components: Vec<Component>,
    pub groups: Vec<Group>,
    pub streams: Vec<String>,
    /// Further names of streams: the last stage's stream is the operation's own.
    pub aliases: Vec<(String, StreamId)>,
    pub extras: Vec<Extra>,
    pub operations: Vec<Operation>,
    /// The author's values that hold numbers, in slot order.
    pub values: Vec<String>,
    pub facts: Vec<Fact>,
    pub limits: Vec<Limit>,
    pub relations: Vec<Equation>,
    pub asked: Vec<Formula>,
    /// Formulas that conditions, slips and texts read: worked out after all that is
    /// asked, and never shown as steps.
    pub also: Vec<Formula>,
}

/// What a dotted name stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Meaning {
    Value(usize),
    Amount(At, What),
    /// A share of the stream; printed in per cent where the author wrote `.percent`.
    Share(At, What, Percent),
    /// An amount in the other measure: moles of a mass, mass of moles.
    Other(At, What),
    /// A share in the other measure.
    OtherShare(At, What),
    /// A component's mass over the volume of its stream.
    Concentration(At, What),
    Extra(ExtraId),
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Percent {
    Yes,
    No,
}

/// Which segment of a dotted name could not be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Unread {
    pub segment: usize,
}

impl Problem {
    pub fn stream(&self, name: &str) -> Option<StreamId> {
        let alias = || self.aliases.iter().find(|(alias, _)| alias == name).map(|(_, id)| *id);
        self.streams.iter().position(|s| s == name).or_else(alias)
    }

    pub fn component(&self, name: &str) -> Option<ComponentId> {
        self.components.iter().position(|c| c.name == name)
    }

    pub fn group(&self, name: &str) -> Option<GroupId> {
        self.groups.iter().position(|g| g.name == name)
    }

    /// Does a component count in the total of its stream?
    pub fn counts(&self, component: ComponentId) -> bool {
        self.basis != Basis::Volume
            || !matches!(self.components[component].role, Role::Solute | Role::Insoluble)
    }

    /// Is a share of it a part of its total, and no concentration?
    pub fn counts_as_share(&self, of: What) -> bool {
        match of {
            What::Component(c) => self.counts(c),
            What::Group(g) => {
                let members = &self.groups[g].members;
                members.is_empty() || members.iter().any(|c| self.counts(*c))
            }
            _ => true,
        }
    }

    /// The first segments of a dotted name as a stream, its stage and part read.
    pub fn locate(&self, path: &[&str]) -> Result<(At, usize), Unread> {
        let first = path.first().ok_or(Unread { segment: 0 })?;
        let staged = path.get(1).filter(|word| is_stage(word));
        let (stream, mut segment) = match staged {
            Some(stage) => {
                // A name that exists without this stage is known that far.
                let whole = self.stream(&format!("{first}.{stage}"));
                let known = self.stream(first).is_some() || whole.is_some();
                (whole.ok_or(Unread { segment: usize::from(known) })?, 2)
            }
            None => (self.stream(first).ok_or(Unread { segment: 0 })?, 1),
        };
        let mut at = At::whole(stream);
        if let Some(part) = path.get(segment).and_then(|word| Part::named(word)) {
            at.part = Some(part);
            segment += 1;
        }
        Ok((at, segment))
    }

    /// Reads a dotted name: a value, an extra, or
    /// `stream[.stage][.part][.component][.measure]`.
    pub fn meaning(&self, path: &[&str]) -> Result<Meaning, Unread> {
        let (first, rest) = path.split_first().ok_or(Unread { segment: 0 })?;
        if rest.is_empty()
            && let Some(value) = self.values.iter().position(|v| v == first)
        {
            return Ok(Meaning::Value(value));
        }
        if !self.extras.is_empty() {
            let whole = path.join(".");
            let extra = self.extras.iter().position(|e| e.path.as_deref() == Some(whole.as_str()));
            if let Some(extra) = extra {
                return Ok(Meaning::Extra(extra));
            }
        }
        let (at, mut segment) = self.locate(path)?;
        let mut of = What::Total;
        let mut named = false;
        if let Some(word) = path.get(segment) {
            let what = match *word {
                "total" => Some(What::Total),
                "volume" if self.basis == Basis::Volume => Some(What::Total),
                "volume" => Some(What::Volume),
                "density" => Some(What::Density),
                _ => self
                    .component(word)
                    .map(What::Component)
                    .or_else(|| self.group(word).map(What::Group)),
            };
            if let Some(what) = what {
                of = what;
                named = true;
                segment += 1;
            }
        }
        match path.get(segment..).unwrap_or(&[]) {
            [] => Ok(Meaning::Amount(at, of)),
            [word] => self.measure(at, (named, of), word).ok_or(Unread { segment }),
            _ => Err(Unread { segment }),
        }
    }

    /// What the last word of a dotted name makes of what stands before it.
    fn measure(&self, at: At, (named, of): (bool, What), word: &str) -> Option<Meaning> {
        let inside = named && matches!(of, What::Component(_) | What::Group(_));
        let by_mass = self.basis != Basis::Moles;
        match word {
            "fraction" | "percent" => {
                let percent = if word == "percent" { Percent::Yes } else { Percent::No };
                // `cake.solids.fraction` is the part's share of the whole stream.
                match at.part {
                    Some(part) if !named => {
                        Some(Meaning::Share(At::whole(at.stream), What::Part(part), percent))
                    }
                    _ => inside.then_some(Meaning::Share(at, of, percent)),
                }
            }
            "mass_fraction" if inside && self.basis != Basis::Volume => Some(if by_mass {
                Meaning::Share(at, of, Percent::No)
            } else {
                Meaning::OtherShare(at, of)
            }),
            "mole_fraction" if inside && self.basis != Basis::Volume => Some(if by_mass {
                Meaning::OtherShare(at, of)
            } else {
                Meaning::Share(at, of, Percent::No)
            }),
            "moles" if self.basis != Basis::Volume && (inside || of == What::Total) => {
                Some(if by_mass { Meaning::Other(at, of) } else { Meaning::Amount(at, of) })
            }
            "mass" if self.basis != Basis::Volume && (inside || of == What::Total) => {
                Some(if by_mass { Meaning::Amount(at, of) } else { Meaning::Other(at, of) })
            }
            "concentration" if inside => match (self.basis, of) {
                (Basis::Volume, What::Component(c)) if !self.counts(c) => {
                    Some(Meaning::Share(at, of, Percent::No))
                }
                (Basis::Mass, _) => Some(Meaning::Concentration(at, of)),
                _ => None,
            },
            _ => None,
        }
    }

    /// A stream's name as printed: underscores become blanks, a stage is told.
    pub fn stream_words(&self, stream: StreamId) -> String {
        let name = &self.streams[stream];
        match name.split_once(".stage") {
            Some((stream, stage)) => format!("{} of stage {stage}", stream.replace('_', " ")),
            None => name.replace('_', " "),
        }
    }

    /// An operation's name as printed.
    pub fn operation_words(&self, operation: usize) -> String {
        let name = &self.operations[operation].name;
        match name.split_once(".stage") {
            Some((name, stage)) => format!("stage {stage} of the {}", name.replace('_', " ")),
            None => name.replace('_', " "),
        }
    }

    /// A stream's or part's name as printed: underscores become blanks.
    pub fn at_words(&self, at: At) -> String {
        let name = self.stream_words(at.stream);
        match at.part {
            None => name,
            Some(Part::Solids) => format!("solids in the {name}"),
            Some(Part::Liquor) => format!("liquor in the {name}"),
        }
    }

    /// A component's or group's name as printed.
    pub fn what_words(&self, of: What) -> String {
        match of {
            What::Total => "total".to_owned(),
            What::Component(c) => self.components[c].name.replace('_', " "),
            What::Group(g) => self.groups[g].name.replace('_', " "),
            What::Part(part) => part.word().to_owned(),
            What::Volume => "volume".to_owned(),
            What::Density => "density".to_owned(),
        }
    }
}

/// True for `stage1`, `stage2`, ...
pub fn is_stage(word: &str) -> bool {
    word.strip_prefix("stage")
        .is_some_and(|n| !n.is_empty() && n.bytes().all(|b| b.is_ascii_digit()))
}
