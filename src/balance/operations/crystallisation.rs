//! Crystallisation: solute comes out of solution, as it is or with crystal water.

use super::{EXCEPT, Kind, Role, Rule, Setting, Symbol, Wants, one_or_list, optional};

pub(super) const KIND: Kind = Kind {
    name: "crystallisation",
    also: &[],
    says: "solute comes out of a saturated solution as crystals; the rest is mother liquor",
    inlets: &[one_or_list("feed")],
    outlets: &[
        optional("product", &["magma"]),
        optional("crystals", &[]),
        optional("liquor", &["mother_liquor"]),
        optional("vapour", &[]),
    ],
    outlet_sets: &[&["product"], &["crystals", "liquor"]],
    settings: &[
        Setting {
            key: "as",
            says: "the crystals' formula (a hydrate: Na2CO3.10H2O), or the component that comes out",
            takes: Wants::Crystal,
        },
        EXCEPT,
    ],
    staging: None,
    roles: &[Role::Solute, Role::Solvent],
    physics: &[
        Rule::Only { name: "pure vapour", outlet: "vapour", role: Role::Solvent },
        Rule::Only { name: "pure crystals", outlet: "crystals", role: Role::Solute },
        Rule::HoldsCrystals { name: "crystals", outlet: "product" },
        Rule::HoldsCrystals { name: "crystals", outlet: "crystals" },
        Rule::Clear { name: "clear liquor", outlet: "liquor" },
    ],
    mixes_first: false,
    cautions: &[
        "Hot solutions scald; a supersaturated solution may crystallise suddenly and give out heat.",
    ],
    measures: &[],
    symbol: Symbol::Crystalliser,
};
