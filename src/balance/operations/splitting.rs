//! Splitting: one stream is parted into several of the same composition.

use super::{EXCEPT, Kind, Rule, one_or_list};

pub(super) const KIND: Kind = Kind {
    name: "splitting",
    also: &[],
    says: "one stream is parted; every part has its composition",
    inlets: &[one_or_list("feed")],
    outlets: &[one_or_list("products")],
    outlet_sets: &[],
    settings: &[EXCEPT],
    roles: &[],
    physics: &[Rule::OneComposition { name: "one composition" }],
    mixes_first: false,
    cautions: &[],
};
