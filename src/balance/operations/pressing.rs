//! Pressing: force drives liquor out of a mash; the cake keeps the rest.

use super::{EXCEPT, Kind, Role, Rule, Symbol, one, one_also, one_or_list};

pub(super) const KIND: Kind = Kind {
    name: "pressing",
    also: &["expression"],
    says: "force drives liquor out of a wet solid; the cake keeps the rest",
    inlets: &[one_or_list("feed")],
    outlets: &[one_also("liquor", &["juice"]), one("cake")],
    outlet_sets: &[],
    settings: &[EXCEPT],
    staging: None,
    roles: &[Role::Insoluble],
    physics: &[
        Rule::Clear { name: "clear liquor", outlet: "liquor" },
        Rule::RetainedLiquor { name: "retained liquor", outlet: "cake", like: "liquor" },
        Rule::SolidsStay { name: "solids stay", outlet: "cake" },
    ],
    mixes_first: false,
    cautions: &["Keep fingers out of the press; food used in a laboratory is not eaten."],
    measures: &[],
    symbol: Symbol::Press,
};
