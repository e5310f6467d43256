//! Flash distillation: part of a liquid boils off at once; vapour and liquid are in balance.

use super::{EXCEPT, Kind, Setting, Symbol, Wants, one, one_or_list};

pub(super) const KIND: Kind = Kind {
    name: "flash",
    also: &["flash distillation"],
    says: "part of a liquid turns to vapour in one step; vapour and liquid are in balance",
    inlets: &[one_or_list("feed")],
    outlets: &[one("vapour"), one("liquid")],
    outlet_sets: &[],
    settings: &[
        Setting {
            key: "volatility",
            says: "how much more readily one boils: 2.5 benzene to toluene",
            takes: Wants::Volatility { vapour: "vapour", liquid: "liquid" },
        },
        EXCEPT,
    ],
    staging: None,
    roles: &[],
    physics: &[],
    mixes_first: false,
    cautions: &[
        "Superheated liquid boils violently when the pressure falls; vacuum glassware needs a shield.",
    ],
    measures: &[],
    symbol: Symbol::Still,
};
