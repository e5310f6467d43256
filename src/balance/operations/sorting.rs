//! Sorting: magnet or hand picks one kind of piece out of a mixture of solids.

use super::{EXCEPT, Kind, Setting, Symbol, Wants, one, one_or_list};

pub(super) const KIND: Kind = Kind {
    name: "sorting",
    also: &["magnetic separation"],
    says: "a magnet, or hands, pick one kind of piece out of a mixture of solids",
    inlets: &[one_or_list("feed")],
    outlets: &[one("picked"), one("left")],
    outlet_sets: &[],
    settings: &[
        Setting {
            key: "recovery",
            says: "the share of a component that is picked out: 95 % iron",
            takes: Wants::Recovery { inlet: "feed", outlet: "picked" },
        },
        EXCEPT,
    ],
    staging: None,
    roles: &[],
    physics: &[],
    mixes_first: false,
    cautions: &[
        "Keep strong magnets from phones and medical implants; wrap the magnet so that filings come off.",
    ],
    measures: &[],
    symbol: Symbol::Box,
};
