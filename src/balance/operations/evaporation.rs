//! Evaporation: solvent is boiled off; what is dissolved stays.

use super::{EXCEPT, Kind, Role, Rule, Setting, Staging, Symbol, Wants, one, one_or_list};

pub(super) const KIND: Kind = Kind {
    name: "evaporation",
    also: &[],
    says: "solvent is boiled off; what is dissolved or suspended stays",
    inlets: &[one_or_list("feed")],
    outlets: &[one("vapour"), one("concentrate")],
    outlet_sets: &[],
    settings: &[
        Setting {
            key: "effects",
            says: "how many, the strong liquid going on: 3",
            takes: Wants::Count,
        },
        Setting {
            key: "vapours",
            says: "equal: every effect gives off as much",
            takes: Wants::Equal,
        },
        EXCEPT,
    ],
    staging: Some(Staging {
        count: "effects",
        through: ("feed", "concentrate"),
        against: None,
        given_off: Some("vapour"),
    }),
    roles: &[Role::Solvent],
    physics: &[Rule::Only { name: "pure vapour", outlet: "vapour", role: Role::Solvent }],
    mixes_first: false,
    cautions: &[
        "Hot liquid spits when nearly dry: lower the heat and stop at the crystallisation point.",
        "Never evaporate a flammable or toxic solvent over a flame.",
    ],
    measures: &[],
    symbol: Symbol::Evaporator,
};
