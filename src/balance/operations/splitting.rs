//! Splitting: one stream is parted into several of the same composition.

use super::{EXCEPT, Kind, Rule, Symbol, one_or_list};

pub(super) const KIND: Kind = Kind {
    name: "splitting",
    also: &["bypass", "purge"],
    says: "one stream is parted; every part has its composition",
    inlets: &[one_or_list("feed")],
    outlets: &[one_or_list("products")],
    outlet_sets: &[],
    settings: &[EXCEPT],
    staging: None,
    roles: &[],
    physics: &[Rule::OneComposition { name: "one composition" }],
    mixes_first: false,
    cautions: &[],
    measures: &[],
    symbol: Symbol::Splitter,
};
