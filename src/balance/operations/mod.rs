//! The catalogue of operations: for each its ports in the trade's words, the
//! keys it takes, the physics it brings and its usual cautions. One file an operation.
//!
//! The reader parses operations with these definitions and `stillroom words`
//! lists them, so the two cannot differ.

mod centrifugation;
mod crystallisation;
mod drying;
mod evaporation;
mod filtration;
mod mixing;
mod screening;
mod sedimentation;
mod separation;
mod splitting;
mod washing;

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
    /// Keys beside `is` and the ports, each with a few words.
    pub settings: &'static [(&'static str, &'static str)],
    /// Roles that some component must have.
    pub roles: &'static [Role],
    pub physics: &'static [Rule],
    /// The inlets mix before anything leaves, so that what leaves shares the
    /// composition of the mixture's liquor.
    pub mixes_first: bool,
    /// What usually hurts; printed where the work is described.
    pub cautions: &'static [&'static str],
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
    /// No component of this role leaves by the outlet.
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

const EXCEPT: (&str, &str) = ("except", "a piece of its physics to lift, by name");

/// Every operation, in the order `stillroom words` lists them.
pub const CATALOGUE: &[&Kind] = &[
    &mixing::KIND,
    &splitting::KIND,
    &separation::KIND,
    &screening::KIND,
    &sedimentation::KIND,
    &filtration::KIND,
    &washing::KIND,
    &centrifugation::KIND,
    &evaporation::KIND,
    &crystallisation::KIND,
    &drying::KIND,
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
            for rule in kind.physics {
                match rule {
                    Rule::Only { outlet, .. }
                    | Rule::Without { outlet, .. }
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
