//! Adsorption: a solute gathers on the surface of a solid.

use super::{
    EXCEPT, FLOW, Kind, Law, Role, Rule, STAGES, Setting, Staging, Symbol, Wants, one, one_or_list,
};

pub(super) const KIND: Kind = Kind {
    name: "adsorption",
    also: &[],
    says: "a solute gathers on the surface of a solid adsorbent, which is then taken out",
    inlets: &[one_or_list("feed"), one("adsorbent")],
    outlets: &[one("treated"), one("spent")],
    outlet_sets: &[],
    settings: &[
        STAGES,
        FLOW,
        Setting {
            key: "equilibrium",
            says: "solute per adsorbent over solute per liquid: 40 by mass ratio",
            takes: Wants::Ratio {
                above: ("spent", Role::Insoluble),
                below: ("treated", Role::Solvent),
                law: Law::Equilibrium,
            },
        },
        EXCEPT,
    ],
    staging: Some(Staging {
        count: "stages",
        through: ("feed", "treated"),
        against: Some(("adsorbent", "spent")),
        given_off: None,
    }),
    roles: &[Role::Solute, Role::Solvent, Role::Insoluble],
    physics: &[
        Rule::Without { name: "clear liquid", outlet: "treated", role: Role::Insoluble },
        Rule::Without { name: "clear liquid", outlet: "feed", role: Role::Insoluble },
        Rule::Without { name: "dry adsorbent", outlet: "adsorbent", role: Role::Solvent },
        Rule::Without { name: "dry adsorbent", outlet: "spent", role: Role::Solvent },
    ],
    mixes_first: false,
    cautions: &[
        "Fine carbon is dusty and slippery; hot charcoal glows on and gives off carbon monoxide.",
    ],
    measures: &[],
    symbol: Symbol::Adsorber,
};
