//! Leaching: a solvent takes solute out of a solid; the solid keeps some of the liquor.

use super::{EXCEPT, FLOW, Kind, Role, Rule, STAGES, Staging, Symbol, one, one_also, one_or_list};

pub(super) const KIND: Kind = Kind {
    name: "leaching",
    also: &[],
    says: "a solvent draws solute out of a solid, which keeps some of the liquor",
    inlets: &[one_or_list("feed"), one("solvent")],
    outlets: &[one_also("residue", &["underflow"]), one_also("extract", &["overflow"])],
    outlet_sets: &[],
    settings: &[STAGES, FLOW, EXCEPT],
    staging: Some(Staging {
        count: "stages",
        through: ("feed", "residue"),
        against: Some(("solvent", "extract")),
        given_off: None,
    }),
    roles: &[Role::Insoluble],
    physics: &[
        Rule::Clear { name: "clear extract", outlet: "extract" },
        Rule::RetainedLiquor { name: "retained liquor", outlet: "residue", like: "extract" },
        Rule::Without { name: "clear solvent", outlet: "solvent", role: Role::Insoluble },
        Rule::SolidsStay { name: "solids stay", outlet: "residue" },
    ],
    mixes_first: true,
    cautions: &[
        "Hot extraction with a flammable solvent: electric heating, no flame, good ventilation.",
    ],
    measures: &[],
    symbol: Symbol::Extractor,
};
