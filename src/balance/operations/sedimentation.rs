//! Sedimentation: solids settle; clear liquid is drawn off above them.

use super::{EXCEPT, Kind, Role, Rule, Symbol, one, one_or_list};

pub(super) const KIND: Kind = Kind {
    name: "sedimentation",
    also: &["settling", "decantation"],
    says: "solids settle; the clear liquid above them is drawn off",
    inlets: &[one_or_list("feed")],
    outlets: &[one("overflow"), one("underflow")],
    outlet_sets: &[],
    settings: &[EXCEPT],
    staging: None,
    roles: &[Role::Insoluble],
    physics: &[
        Rule::Clear { name: "clear overflow", outlet: "overflow" },
        Rule::RetainedLiquor { name: "retained liquor", outlet: "underflow", like: "overflow" },
        Rule::SolidsStay { name: "solids stay", outlet: "underflow" },
    ],
    mixes_first: false,
    cautions: &["Wipe up drips and spills at once; wet floors are slippery."],
    measures: &[],
    symbol: Symbol::Settler,
};
