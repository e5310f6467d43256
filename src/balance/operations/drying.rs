//! Drying: the last solvent leaves as vapour; all else stays in the product.

use super::{EXCEPT, Kind, Role, Rule, Symbol, one, one_or_list, optional};

pub(super) const KIND: Kind = Kind {
    name: "drying",
    also: &[],
    says: "the last solvent leaves as vapour, or into a gas; all else stays in the product",
    inlets: &[one_or_list("feed"), optional("gas in", &[])],
    outlets: &[optional("vapour", &["moisture"]), optional("gas out", &[]), one("product")],
    outlet_sets: &[&["vapour", "product"], &["gas out", "product"]],
    settings: &[EXCEPT],
    staging: None,
    roles: &[Role::Solvent],
    physics: &[
        Rule::Only { name: "pure vapour", outlet: "vapour", role: Role::Solvent },
        Rule::Without { name: "dry product", outlet: "product", role: Role::Gas },
        Rule::Without { name: "dry product", outlet: "feed", role: Role::Gas },
        Rule::Without { name: "clean gas", outlet: "gas in", role: Role::Solute },
        Rule::Without { name: "clean gas", outlet: "gas in", role: Role::Insoluble },
        Rule::Without { name: "clean gas", outlet: "gas out", role: Role::Solute },
        Rule::Without { name: "clean gas", outlet: "gas out", role: Role::Insoluble },
    ],
    mixes_first: false,
    cautions: &["Ovens and trays stay hot after the heat is off: use heat-proof gloves."],
    measures: &[],
    symbol: Symbol::Drier,
};
