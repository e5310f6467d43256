//! Mixing: several streams become one.

use super::{EXCEPT, Kind, Symbol, one, one_or_list};

pub(super) const KIND: Kind = Kind {
    name: "mixing",
    also: &["blending"],
    says: "several streams become one",
    inlets: &[one_or_list("feed")],
    outlets: &[one("product")],
    outlet_sets: &[],
    settings: &[EXCEPT],
    staging: None,
    roles: &[],
    physics: &[],
    mixes_first: false,
    cautions: &[],
    measures: &[],
    symbol: Symbol::Mixer,
};
