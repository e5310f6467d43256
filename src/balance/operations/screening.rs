//! Screening: a sieve parts grains by size.

use super::{EXCEPT, Kind, Measure, Setting, Symbol, Wants, one, one_or_list};

pub(super) const KIND: Kind = Kind {
    name: "screening",
    also: &["sieving"],
    says: "a sieve parts solids by size; what stays on it is the oversize",
    inlets: &[one_or_list("feed")],
    outlets: &[one("oversize"), one("undersize")],
    outlet_sets: &[],
    settings: &[
        Setting {
            key: "efficiency",
            says: "the share of the fine grains fed that passes the sieve: 85 % fine",
            takes: Wants::Recovery { inlet: "feed", outlet: "undersize" },
        },
        EXCEPT,
    ],
    staging: None,
    roles: &[],
    physics: &[],
    mixes_first: false,
    cautions: &["Keep dust down: do not blow on powders, and ventilate the room."],
    measures: &[Measure {
        name: "effectiveness",
        says: "the share of the first component kept on the sieve times the share of the second that passes",
        formula: "(<oversize>.1 / <feed>.1) * (<undersize>.2 / <feed>.2)",
    }],
    symbol: Symbol::Screen,
};
