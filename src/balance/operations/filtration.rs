//! Filtration: a filter holds solids back, and with them some liquor.

use super::{EXCEPT, Kind, Rule, Symbol, one, one_also, one_or_list};

pub(super) const KIND: Kind = Kind {
    name: "filtration",
    also: &[],
    says: "a filter holds solids back with some liquor; the filtrate is clear",
    inlets: &[one_or_list("feed")],
    outlets: &[one_also("cake", &["residue"]), one("filtrate")],
    outlet_sets: &[],
    settings: &[EXCEPT],
    staging: None,
    roles: &[],
    physics: &[
        Rule::Clear { name: "clear filtrate", outlet: "filtrate" },
        Rule::RetainedLiquor { name: "retained liquor", outlet: "cake", like: "filtrate" },
        Rule::SolidsStay { name: "solids stay", outlet: "cake" },
    ],
    mixes_first: false,
    cautions: &["Wet filter paper tears: do not overfill it or poke it."],
    measures: &[],
    symbol: Symbol::Filter,
};
