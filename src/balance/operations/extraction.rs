//! Liquid-liquid extraction: a solute parts between two liquids that do not mix.

use super::{
    EXCEPT, FLOW, Kind, Law, Role, Rule, STAGES, Setting, Staging, Symbol, Wants, one, one_or_list,
};

pub(super) const KIND: Kind = Kind {
    name: "extraction",
    also: &[],
    says: "a solute passes into a second liquid that does not mix with the first",
    inlets: &[one_or_list("feed"), one("solvent")],
    outlets: &[one("extract"), one("raffinate")],
    outlet_sets: &[],
    settings: &[
        STAGES,
        FLOW,
        Setting {
            key: "distribution",
            says: "solute in the extract over that in the raffinate: 2.5 by mass ratio (or mass fraction, concentration, mole ratio, mole fraction)",
            takes: Wants::Ratio {
                above: ("extract", Role::Solvent),
                below: ("raffinate", Role::Carrier),
                law: Law::Distribution,
            },
        },
        EXCEPT,
    ],
    staging: Some(Staging {
        count: "stages",
        through: ("feed", "raffinate"),
        against: Some(("solvent", "extract")),
        given_off: None,
    }),
    roles: &[Role::Solute, Role::Carrier, Role::Solvent],
    physics: &[
        Rule::Without { name: "immiscible", outlet: "extract", role: Role::Carrier },
        Rule::Without { name: "immiscible", outlet: "raffinate", role: Role::Solvent },
        Rule::Without { name: "immiscible", outlet: "feed", role: Role::Solvent },
        Rule::Without { name: "immiscible", outlet: "solvent", role: Role::Carrier },
    ],
    mixes_first: false,
    cautions: &[
        "Vent the separating funnel often, pointing away from faces; no flames near solvents.",
        "Work in a fume cupboard where the supplier's sheet asks for it.",
    ],
    measures: &[],
    symbol: Symbol::Extractor,
};
