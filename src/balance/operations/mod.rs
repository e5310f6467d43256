//! The catalogue of operations: for each its ports in the trade's words, the
//! keys it takes, the physics it brings and its usual cautions. One file an operation.
//!
//! The reader parses operations with these definitions and `stillroom words`
//! lists them, so the two cannot differ.

mod absorption;
mod adsorption;
mod batch_distillation;
mod centrifugation;
mod condensation;
mod crystallisation;
mod distillation;
mod drying;
mod evaporation;
mod extraction;
mod filtration;
mod flash;
mod leaching;
mod membrane;
mod mixing;
mod pressing;
mod screening;
mod sedimentation;
mod separation;
mod sorting;
mod splitting;
mod steam_distillation;
mod stripping;
mod washing;

use super::problem::Law;

/// An operation as the trade knows it.
#[derive(Debug)]
pub struct Kind {
    pub name: &'static str,
    /// Other names the trade uses for the same thing.
    pub also: &'static [&'static str],
    pub says: &'static str,
    pub inlets: &'static [Port],
    pub outlets: &'static [Port],
    /// Sets of outlets of which one must be complete.
    pub outlet_sets: &'static [&'static [&'static str]],
    /// Keys beside `is` and the ports.
    pub settings: &'static [Setting],
    /// How it repeats over stages, if it can.
    pub staging: Option<Staging>,
    /// Roles that some component must have.
    pub roles: &'static [Role],
    pub physics: &'static [Rule],
    /// The inlets mix before anything leaves, so that what leaves shares the
    /// composition of the mixture's liquor.
    pub mixes_first: bool,
    /// What usually hurts; printed where the work is described.
    pub cautions: &'static [&'static str],
    /// Numbers that it is judged by, each a formula over its ports and components.
    pub measures: &'static [Measure],
    /// How a flow diagram draws it.
    pub symbol: Symbol,
}

/// A number that an operation is judged by: `sieve.effectiveness`.
#[derive(Debug)]
pub struct Measure {
    pub name: &'static str,
    pub says: &'static str,
    /// Ports in angle brackets; `1` and `2` are the first two components of the process.
    pub formula: &'static str,
}

/// The symbols of a flow diagram; what has none of its own is a plain box.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Symbol {
    Adsorber,
    Box,
    Centrifuge,
    Column,
    Condenser,
    Crystalliser,
    Drier,
    Evaporator,
    Extractor,
    Filter,
    Membrane,
    Mixer,
    Press,
    Screen,
    Settler,
    Splitter,
    Still,
}

/// A key of an operation that is no port.
#[derive(Debug)]
pub struct Setting {
    pub key: &'static str,
    pub says: &'static str,
    pub takes: Wants,
}

/// What a setting is told, and what becomes of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wants {
    /// The name of a piece of physics.
    Rule,
    /// `counter-current` or `cross-current`.
    Flow,
    /// How many stages or effects.
    Count,
    /// `equal`: every stage gives off as much as the first.
    Equal,
    /// `2.5 by mass ratio`: the solute in what leaves by one port over that by another,
    /// each per component of a role.
    Ratio { above: (&'static str, Role), below: (&'static str, Role), law: Law },
    /// `95 %`, `95 % ethanol`: so much of what the inlet brings leaves by the outlet.
    Recovery { inlet: &'static str, outlet: &'static str },
    /// `85 %`: so much of every solute that the inlet brings leaves by the outlet.
    Displaced { inlet: &'static str, outlet: &'static str },
    /// `99.2 % salt`: so much of the inlet's concentration the outlet lacks.
    Rejection { inlet: &'static str, outlet: &'static str },
    /// `2.5 benzene to toluene`, between vapour and liquid in balance.
    Volatility { vapour: &'static str, liquid: &'static str },
    /// The same while the liquid boils away: what is left against what was there.
    BoilingDown { inlet: &'static str, residue: &'static str },
    /// `95.6 % ethanol`: the outlet holds no more.
    Limit { outlet: &'static str },
    /// A hydrate's formula, or the component that comes out.
    Crystal,
    /// A temperature.
    Temperature,
    /// A pressure.
    Pressure,
    /// `{water: from table, oil: the rest}`.
    Pressures,
}

/// An operation in stages: what goes through all of them, what meets it, and what
/// every stage gives off; each by its inlet and outlet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Staging {
    /// The key that counts them.
    pub count: &'static str,
    pub through: (&'static str, &'static str),
    pub against: Option<(&'static str, &'static str)>,
    pub given_off: Option<&'static str>,
}

/// Where streams enter or leave.
#[derive(Debug)]
pub struct Port {
    pub key: &'static str,
    pub also: &'static [&'static str],
    pub takes: Takes,
    pub required: bool,
}

/// How many streams a port takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Takes {
    One,
    /// One, or a list (at an inlet an unnamed mixing).
    Many,
}

/// What a component is to the separation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Role {
    Solute,
    Solvent,
    Carrier,
    Insoluble,
    Volatile,
    Gas,
    Size,
    /// The file only lists names: the component plays no part in any physics.
    Plain,
}

impl Role {
    pub const NAMED: &'static [(&'static str, Role)] = &[
        ("solute", Role::Solute),
        ("solvent", Role::Solvent),
        ("carrier", Role::Carrier),
        ("insoluble", Role::Insoluble),
        ("volatile", Role::Volatile),
        ("gas", Role::Gas),
        ("size", Role::Size),
    ];

    pub fn named(word: &str) -> Option<Role> {
        Role::NAMED.iter().find(|(name, _)| *name == word).map(|(_, role)| *role)
    }

    pub fn word(self) -> &'static str {
        Role::NAMED.iter().find(|(_, role)| *role == self).map_or("component", |(name, _)| name)
    }
}

/// A piece of physics; outlets are named by their port keys, and a rule whose
/// outlet an operation does not have says nothing. `except:` lifts one by name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rule {
    /// Only components of this role leave by the outlet.
    Only { name: &'static str, outlet: &'static str, role: Role },
    /// No component of this role passes the port, which may be an inlet too.
    Without { name: &'static str, outlet: &'static str, role: Role },
    /// No undissolved solid leaves by the outlet: neither insolubles nor crystals.
    Clear { name: &'static str, outlet: &'static str },
    /// The outlet holds back liquor of the composition of another outlet.
    RetainedLiquor { name: &'static str, outlet: &'static str, like: &'static str },
    /// Undissolved solid that enters leaves by the outlet: nothing dissolves here.
    SolidsStay { name: &'static str, outlet: &'static str },
    /// Every outlet has the feed's composition.
    OneComposition { name: &'static str },
    /// Solute has come out of solution in the outlet.
    HoldsCrystals { name: &'static str, outlet: &'static str },
}

impl Rule {
    pub fn name(&self) -> &'static str {
        match self {
            Rule::Only { name, .. }
            | Rule::Without { name, .. }
            | Rule::Clear { name, .. }
            | Rule::SolidsStay { name, .. }
            | Rule::RetainedLiquor { name, .. }
            | Rule::OneComposition { name }
            | Rule::HoldsCrystals { name, .. } => name,
        }
    }
}

impl PartialEq for Kind {
    fn eq(&self, other: &Self) -> bool {
        self.name == other.name
    }
}

impl PartialEq for Port {
    fn eq(&self, other: &Self) -> bool {
        self.key == other.key
    }
}

const fn one(key: &'static str) -> Port {
    Port { key, also: &[], takes: Takes::One, required: true }
}

const fn one_or_list(key: &'static str) -> Port {
    Port { key, also: &[], takes: Takes::Many, required: true }
}

const fn one_also(key: &'static str, also: &'static [&'static str]) -> Port {
    Port { key, also, takes: Takes::One, required: true }
}

const fn optional(key: &'static str, also: &'static [&'static str]) -> Port {
    Port { key, also, takes: Takes::One, required: false }
}

const EXCEPT: Setting =
    Setting { key: "except", says: "a piece of its physics to lift, by name", takes: Wants::Rule };

const STAGES: Setting =
    Setting { key: "stages", says: "how many stages follow each other: 3", takes: Wants::Count };

const FLOW: Setting = Setting {
    key: "flow",
    says: "cross-current (fresh liquid to each stage; the usual) or counter-current",
    takes: Wants::Flow,
};

const AZEOTROPE: Setting = Setting {
    key: "azeotrope",
    says: "the most of a component that a distillate can hold: 95.6 % ethanol",
    takes: Wants::Limit { outlet: "distillate" },
};

/// What usually hurts where a liquid is boiled and its vapour led off.
const BOILING: &[&str] = &[
    "Anti-bumping granules go in before heating; never heat a closed apparatus, never boil to dryness.",
    "Flammable vapours: electric heating, a condenser that runs, no flame near the receiver.",
];

/// Every operation, in the order `stillroom words` lists them.
pub const CATALOGUE: &[&Kind] = &[
    &mixing::KIND,
    &splitting::KIND,
    &separation::KIND,
    &sorting::KIND,
    &screening::KIND,
    &sedimentation::KIND,
    &filtration::KIND,
    &pressing::KIND,
    &centrifugation::KIND,
    &washing::KIND,
    &leaching::KIND,
    &extraction::KIND,
    &evaporation::KIND,
    &condensation::KIND,
    &crystallisation::KIND,
    &drying::KIND,
    &distillation::KIND,
    &batch_distillation::KIND,
    &flash::KIND,
    &steam_distillation::KIND,
    &absorption::KIND,
    &stripping::KIND,
    &adsorption::KIND,
    &membrane::KIND,
];

/// The mixing that stands before an operation whose inlets mix first.
pub const MIXING: Kind = mixing::KIND;

/// The operation that a unit file calls `word`.
pub fn named(word: &str) -> Option<&'static Kind> {
    CATALOGUE.iter().find(|kind| kind.name == word || kind.also.contains(&word)).copied()
}

impl Kind {
    /// The inlet or outlet that a unit file calls `key`.
    pub fn port(&self, key: &str) -> Option<(&'static Port, bool)>
    where
        Self: 'static,
    {
        let matches = |port: &&Port| port.key == key || port.also.contains(&key);
        // The catalogue is static, so its slices are too.
        let inlets: &'static [Port] = self.inlets;
        let outlets: &'static [Port] = self.outlets;
        inlets
            .iter()
            .find(matches)
            .map(|port| (port, true))
            .or_else(|| outlets.iter().find(matches).map(|port| (port, false)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_rule_names_an_outlet_that_its_operation_has() {
        for kind in CATALOGUE {
            let has = |key: &str| kind.outlets.iter().any(|p| p.key == key);
            let enters = |key: &str| kind.inlets.iter().any(|p| p.key == key);
            for rule in kind.physics {
                match rule {
                    Rule::Without { outlet, .. } => {
                        assert!(has(outlet) || enters(outlet), "{rule:?}");
                    }
                    Rule::Only { outlet, .. }
                    | Rule::Clear { outlet, .. }
                    | Rule::SolidsStay { outlet, .. }
                    | Rule::HoldsCrystals { outlet, .. } => assert!(has(outlet), "{rule:?}"),
                    Rule::RetainedLiquor { outlet, like, .. } => {
                        assert!(has(outlet) && has(like), "{rule:?}");
                    }
                    Rule::OneComposition { .. } => {}
                }
            }
            for set in kind.outlet_sets {
                assert!(set.iter().all(|key| has(key)), "{}", kind.name);
            }
        }
    }
}
