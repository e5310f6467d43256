//! Steam distillation: two liquids that do not mix boil together below either boiling point.

use super::{EXCEPT, Kind, Role, Setting, Symbol, Wants, one, optional};

pub(super) const KIND: Kind = Kind {
    name: "steam distillation",
    also: &[],
    says: "an oil and water that do not mix boil together, since their vapour pressures add",
    inlets: &[optional("feed", &[]), optional("steam", &[])],
    outlets: &[one("vapour"), optional("residue", &[])],
    outlet_sets: &[],
    settings: &[
        Setting { key: "at", says: "the temperature: 98.5 degC", takes: Wants::Temperature },
        Setting {
            key: "under",
            says: "the pressure above the liquids: 101.3 kPa",
            takes: Wants::Pressure,
        },
        Setting {
            key: "vapour pressure",
            says: "of each: {water: from table, oil: the rest}, or a pressure",
            takes: Wants::Pressures,
        },
        EXCEPT,
    ],
    staging: None,
    roles: &[Role::Volatile],
    physics: &[],
    mixes_first: false,
    cautions: &[
        "Steam scalds; keep a free path for it, and never let the flask suck back or boil dry.",
    ],
    measures: &[],
    symbol: Symbol::Still,
};
