//! The catalogue of operations: for each its ports in the trade's words, the
//! keys it takes and the physics it brings. One file an operation.
//!
//! The reader parses operations with these definitions and `stillroom words`
//! lists them, so the two cannot differ.

/// An operation as the trade knows it.
#[derive(Debug)]
pub struct Kind {
    pub name: &'static str,
    /// Other names the trade uses for the same thing.
    pub also: &'static [&'static str],
    pub says: &'static str,
    pub inlets: &'static [Port],
    pub outlets: &'static [Port],
    /// Keys beside `is` and the ports, each with a few words.
    pub settings: &'static [(&'static str, &'static str)],
    /// Roles that some component must have.
    pub roles: &'static [&'static str],
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

pub const fn one(key: &'static str) -> Port {
    Port { key, also: &[], takes: Takes::One, required: true }
}

pub const fn one_or_list(key: &'static str) -> Port {
    Port { key, also: &[], takes: Takes::Many, required: true }
}

pub const fn optional(key: &'static str) -> Port {
    Port { key, also: &[], takes: Takes::One, required: false }
}

/// Every operation, in the order `stillroom words` lists them.
pub const CATALOGUE: &[&Kind] = &[&MIXING, &EVAPORATION];

pub const MIXING: Kind = Kind {
    name: "mixing",
    also: &[],
    says: "several streams become one",
    inlets: &[one_or_list("feed")],
    outlets: &[one("product")],
    settings: &[],
    roles: &[],
};

pub const EVAPORATION: Kind = Kind {
    name: "evaporation",
    also: &[],
    says: "solvent is boiled off; what is dissolved stays",
    inlets: &[one_or_list("feed")],
    outlets: &[one("vapour"), one("concentrate")],
    settings: &[("except", "default physics to lift")],
    roles: &["solvent"],
};
