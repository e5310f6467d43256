//! Evaporation: solvent is boiled off; what is dissolved stays.

use super::{EXCEPT, Kind, Role, Rule, one, one_or_list};

pub(super) const KIND: Kind = Kind {
    name: "evaporation",
    also: &[],
    says: "solvent is boiled off; what is dissolved or suspended stays",
    inlets: &[one_or_list("feed")],
    outlets: &[one("vapour"), one("concentrate")],
    outlet_sets: &[],
    settings: &[EXCEPT],
    roles: &[Role::Solvent],
    physics: &[Rule::Only { name: "pure vapour", outlet: "vapour", role: Role::Solvent }],
    mixes_first: false,
    cautions: &[
        "Hot liquid spits when nearly dry: lower the heat and stop at the crystallisation point.",
        "Never evaporate a flammable or toxic solvent over a flame.",
    ],
};
