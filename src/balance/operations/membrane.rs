//! Membrane separation: pressure drives solvent through; the solute is mostly held back.

use super::{EXCEPT, Kind, Setting, Symbol, Wants, one, one_also, one_or_list};

pub(super) const KIND: Kind = Kind {
    name: "membrane",
    also: &["reverse osmosis", "ultrafiltration"],
    says: "pressure drives solvent through a membrane that holds solute back",
    inlets: &[one_or_list("feed")],
    outlets: &[one("permeate"), one_also("concentrate", &["retentate"])],
    outlet_sets: &[],
    settings: &[
        Setting {
            key: "recovery",
            says: "the share of the feed that becomes permeate: 45 %; or of a component: 90 % water",
            takes: Wants::Recovery { inlet: "feed", outlet: "permeate" },
        },
        Setting {
            key: "rejection",
            says: "the share of the feed's concentration that the permeate lacks: 99.2 % salt",
            takes: Wants::Rejection { inlet: "feed", outlet: "permeate" },
        },
        EXCEPT,
    ],
    staging: None,
    roles: &[],
    physics: &[],
    mixes_first: false,
    cautions: &[
        "Only parts rated for the pressure; release it before opening. Do not drink laboratory water.",
    ],
    measures: &[],
    symbol: Symbol::Membrane,
};
