//! Distillation over all: a column or still parts a mixture by boiling point.

use super::{AZEOTROPE, BOILING, EXCEPT, Kind, Setting, Symbol, Wants, one_also, one_or_list};

pub(super) const KIND: Kind = Kind {
    name: "distillation",
    also: &["rectification"],
    says: "a mixture is parted by boiling point into distillate and residue; balances and what is told of the cut",
    inlets: &[one_or_list("feed")],
    outlets: &[one_also("distillate", &["top"]), one_also("residue", &["bottoms"])],
    outlet_sets: &[],
    settings: &[
        Setting {
            key: "recovery",
            says: "the share of a component that leaves in the distillate: 95 % ethanol",
            takes: Wants::Recovery { inlet: "feed", outlet: "distillate" },
        },
        AZEOTROPE,
        EXCEPT,
    ],
    staging: None,
    roles: &[],
    physics: &[],
    mixes_first: false,
    cautions: BOILING,
    measures: &[],
    symbol: Symbol::Column,
};
