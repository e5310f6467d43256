//! A problem as the engine takes it: streams, components, operations, facts and
//! what is asked, with every name looked up and every unit checked.
//!
//! Amounts are masses or mass flows in SI (kg, kg/s); shares are fractions.
//! The reader builds it; nothing here knows where it stood in a file.

use super::operations::{Kind, Role};
use crate::quantity::formula::Formula;

pub type ComponentId = usize;
pub type GroupId = usize;
/// A stream or a part of one: base streams first, in the order of the file.
pub type StreamId = usize;

#[derive(Debug, Clone)]
pub struct Component {
    pub name: String,
    pub role: Role,
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
    /// Streams with the port they leave by.
    pub outlets: Vec<(&'static str, StreamId)>,
    /// Names of the physics that the author lifted.
    pub except: Vec<String>,
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
}

/// A whole problem.
#[derive(Debug, Clone, Default)]
pub struct Problem {
    pub components: Vec<Component>,
    pub groups: Vec<Group>,
    pub streams: Vec<String>,
    pub operations: Vec<Operation>,
    /// The author's values that hold numbers, in slot order.
    pub values: Vec<String>,
    pub facts: Vec<Fact>,
    pub relations: Vec<(Formula, Formula)>,
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
        self.streams.iter().position(|s| s == name)
    }

    pub fn component(&self, name: &str) -> Option<ComponentId> {
        self.components.iter().position(|c| c.name == name)
    }

    pub fn group(&self, name: &str) -> Option<GroupId> {
        self.groups.iter().position(|g| g.name == name)
    }

    /// Reads a dotted name: a value, or `stream[.part][.component][.fraction]`.
    pub fn meaning(&self, path: &[&str]) -> Result<Meaning, Unread> {
        let (first, rest) = path.split_first().ok_or(Unread { segment: 0 })?;
        if rest.is_empty()
            && let Some(value) = self.values.iter().position(|v| v == first)
        {
            return Ok(Meaning::Value(value));
        }
        let stream = self.stream(first).ok_or(Unread { segment: 0 })?;
        let mut at = At::whole(stream);
        let mut of = What::Total;
        let mut segment = 1;
        if let Some(part) = rest.first().and_then(|word| Part::named(word)) {
            at.part = Some(part);
            segment += 1;
        }
        let mut named = false;
        if let Some(word) = path.get(segment) {
            let what = match *word {
                "total" => Some(What::Total),
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
            [word] if *word == "fraction" || *word == "percent" => {
                let percent = if *word == "percent" { Percent::Yes } else { Percent::No };
                // `cake.solids.fraction` is the part's share of the whole stream.
                match (at.part, named, of) {
                    (Some(part), false, _) => {
                        Ok(Meaning::Share(At::whole(stream), What::Part(part), percent))
                    }
                    (_, true, What::Component(_) | What::Group(_)) => {
                        Ok(Meaning::Share(at, of, percent))
                    }
                    _ => Err(Unread { segment }),
                }
            }
            _ => Err(Unread { segment }),
        }
    }

    /// A stream's or part's name as printed: underscores become blanks.
    pub fn at_words(&self, at: At) -> String {
        let name = self.streams[at.stream].replace('_', " ");
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
