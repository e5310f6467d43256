//! Washing: fresh solvent mixes with the liquor a solid holds; what drains off
//! and what stays have one composition.

use super::{
    EXCEPT, FLOW, Kind, Role, Rule, STAGES, Setting, Staging, Symbol, Wants, one_also, one_or_list,
};

pub(super) const KIND: Kind = Kind {
    name: "washing",
    also: &[],
    says: "fresh solvent mixes with the liquor in a solid and drains off",
    inlets: &[one_or_list("feed"), one_also("solvent", &["wash"])],
    outlets: &[one_also("residue", &["washed"]), one_also("extract", &["washings"])],
    outlet_sets: &[],
    settings: &[
        STAGES,
        FLOW,
        Setting {
            key: "displacement",
            says: "the share of what is dissolved in the feed that the wash pushes out: 85 %",
            takes: Wants::Displaced { inlet: "feed", outlet: "extract" },
        },
        EXCEPT,
    ],
    staging: Some(Staging {
        count: "stages",
        through: ("feed", "residue"),
        against: Some(("solvent", "extract")),
        given_off: None,
    }),
    roles: &[],
    physics: &[
        Rule::Clear { name: "clear washings", outlet: "extract" },
        Rule::RetainedLiquor { name: "retained liquor", outlet: "residue", like: "extract" },
        Rule::Without { name: "clear solvent", outlet: "solvent", role: Role::Insoluble },
        Rule::SolidsStay { name: "solids stay", outlet: "residue" },
    ],
    mixes_first: true,
    cautions: &["Wash in small portions; corrosive washings splash and drip."],
    measures: &[],
    symbol: Symbol::Extractor,
};
