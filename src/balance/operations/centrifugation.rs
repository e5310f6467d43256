//! Centrifugation: spinning parts solids from liquor, or light from heavy liquid.

use super::{EXCEPT, Kind, Rule, Symbol, one_or_list, optional};

pub(super) const KIND: Kind = Kind {
    name: "centrifugation",
    also: &[],
    says: "spinning parts crystals or other solids from liquor, or light from heavy liquid",
    inlets: &[one_or_list("feed")],
    outlets: &[
        optional("crystals", &[]),
        optional("solids", &["sediment"]),
        optional("liquor", &["supernatant"]),
        optional("light", &[]),
        optional("heavy", &[]),
    ],
    outlet_sets: &[&["crystals", "liquor"], &["solids", "liquor"], &["light", "heavy"]],
    settings: &[EXCEPT],
    staging: None,
    roles: &[],
    physics: &[
        Rule::HoldsCrystals { name: "crystals", outlet: "crystals" },
        Rule::Clear { name: "clear liquor", outlet: "liquor" },
        Rule::RetainedLiquor { name: "retained liquor", outlet: "crystals", like: "liquor" },
        Rule::RetainedLiquor { name: "retained liquor", outlet: "solids", like: "liquor" },
        Rule::SolidsStay { name: "solids stay", outlet: "crystals" },
        Rule::SolidsStay { name: "solids stay", outlet: "solids" },
    ],
    mixes_first: false,
    cautions: &[
        "Balance opposite tubes by mass; keep the lid shut until the rotor stops.",
        "No cracked tubes, and no flammable liquid in an ordinary machine.",
    ],
    measures: &[],
    symbol: Symbol::Centrifuge,
};
