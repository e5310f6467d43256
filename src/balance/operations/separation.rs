//! Separation by balances only: what goes where is told by the facts alone.

use super::{EXCEPT, Kind, Symbol, one_or_list};

pub(super) const KIND: Kind = Kind {
    name: "separation",
    also: &[],
    says: "one stream becomes several; only the balances hold, the facts tell the rest",
    inlets: &[one_or_list("feed")],
    outlets: &[one_or_list("products")],
    outlet_sets: &[],
    settings: &[EXCEPT],
    staging: None,
    roles: &[],
    physics: &[],
    mixes_first: false,
    cautions: &[],
    measures: &[],
    symbol: Symbol::Box,
};
