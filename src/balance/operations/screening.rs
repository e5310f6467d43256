//! Screening: a sieve parts grains by size.

use super::{EXCEPT, Kind, one, one_or_list};

pub(super) const KIND: Kind = Kind {
    name: "screening",
    also: &["sieving"],
    says: "a sieve parts solids by size; what stays on it is the oversize",
    inlets: &[one_or_list("feed")],
    outlets: &[one("oversize"), one("undersize")],
    outlet_sets: &[],
    settings: &[EXCEPT],
    roles: &[],
    physics: &[],
    mixes_first: false,
    cautions: &["Keep dust down: do not blow on powders, and ventilate the room."],
};
