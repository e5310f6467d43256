//! Condensation: cooling turns part of a vapour to liquid; what does not condense goes on as gas.

use super::{EXCEPT, Kind, Role, Rule, Symbol, one_also, one_or_list, optional};

pub(super) const KIND: Kind = Kind {
    name: "condensation",
    also: &[],
    says: "cooling turns a vapour, or part of it, to liquid; gas goes on",
    inlets: &[one_or_list("feed")],
    outlets: &[one_also("condensate", &["liquid"]), optional("gas", &["gas out"])],
    outlet_sets: &[],
    settings: &[EXCEPT],
    staging: None,
    roles: &[],
    physics: &[Rule::Without { name: "no gas condenses", outlet: "condensate", role: Role::Gas }],
    mixes_first: false,
    cautions: &["Turn the cooling water on before the heat; check that tubes sit tight."],
    measures: &[],
    symbol: Symbol::Condenser,
};
