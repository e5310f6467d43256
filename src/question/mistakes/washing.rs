//! Wrong formulas: solids filtered off, washed and weighed.

use super::catalogue::PRACTICE;
use super::catalogue::{Family, Mistake, Takes};

const PAPER_NOT_TAKEN_AWAY: Mistake = Mistake::of(
    "paper-not-taken-away",
    "did not take the empty mass away",
    "g ÷ a",
    "the paper or dish was weighed with the solid",
    "Take away the mass of what it lies in.",
    PRACTICE,
);
const WET_CAKE_AS_DRY: Mistake = Mistake::of(
    "wet-cake-as-dry",
    "weighed the cake wet",
    "(d + w) ÷ a",
    "drying was forgotten",
    "Dry to constant mass before weighing.",
    PRACTICE,
);
const ONE_LARGE_WASH: Mistake = Mistake::of(
    "one-large-wash",
    "washed once with all of it",
    "h ÷ (h + n × W)",
    "several washes are taken as one large one",
    "Each wash thins what the last one left.",
    PRACTICE,
);
const FIRST_WASH_ALONE: Mistake = Mistake::of(
    "first-wash-alone",
    "counted only the first wash",
    "h ÷ (h + W)",
    "a step was forgotten",
    "Multiply by the same share once for each wash.",
    PRACTICE,
);

pub(super) const FAMILIES: &[Family] = &[
    Family {
        // (g − e) ÷ a
        letters: &[('g', Takes::Mass), ('e', Takes::Mass), ('a', Takes::Mass)],
        spare: 0,
        right: |v| (v[0] - v[1]) / v[2],
        wrong: &[(PAPER_NOT_TAKEN_AWAY, |v| v[0] / v[2])],
    },
    Family {
        // d ÷ a
        letters: &[('d', Takes::Mass), ('a', Takes::Mass), ('w', Takes::Mass)],
        spare: 1,
        right: |v| v[0] / v[1],
        wrong: &[(WET_CAKE_AS_DRY, |v| (v[0] + v[2]) / v[1])],
    },
    Family {
        // (h ÷ (h + W)) to the power 2
        letters: &[('h', Takes::Amount), ('W', Takes::Amount)],
        spare: 0,
        right: |v| (v[0] / (v[0] + v[1])).powi(2),
        wrong: &[
            (ONE_LARGE_WASH, |v| v[0] / (v[0] + 2.0 * v[1])),
            (FIRST_WASH_ALONE, |v| v[0] / (v[0] + v[1])),
        ],
    },
    Family {
        // m × (h ÷ (h + W)) to the power 2
        letters: &[('m', Takes::Amount), ('h', Takes::Amount), ('W', Takes::Amount)],
        spare: 0,
        right: |v| v[0] * (v[1] / (v[1] + v[2])).powi(2),
        wrong: &[
            (ONE_LARGE_WASH, |v| v[0] * v[1] / (v[1] + 2.0 * v[2])),
            (FIRST_WASH_ALONE, |v| v[0] * v[1] / (v[1] + v[2])),
        ],
    },
    Family {
        // (h ÷ (h + W)) to the power 3
        letters: &[('h', Takes::Amount), ('W', Takes::Amount)],
        spare: 0,
        right: |v| (v[0] / (v[0] + v[1])).powi(3),
        wrong: &[
            (ONE_LARGE_WASH, |v| v[0] / (v[0] + 3.0 * v[1])),
            (FIRST_WASH_ALONE, |v| v[0] / (v[0] + v[1])),
        ],
    },
    Family {
        // m × (h ÷ (h + W)) to the power 3
        letters: &[('m', Takes::Amount), ('h', Takes::Amount), ('W', Takes::Amount)],
        spare: 0,
        right: |v| v[0] * (v[1] / (v[1] + v[2])).powi(3),
        wrong: &[
            (ONE_LARGE_WASH, |v| v[0] * v[1] / (v[1] + 3.0 * v[2])),
            (FIRST_WASH_ALONE, |v| v[0] * v[1] / (v[1] + v[2])),
        ],
    },
    Family {
        // (h ÷ (h + W)) to the power 4
        letters: &[('h', Takes::Amount), ('W', Takes::Amount)],
        spare: 0,
        right: |v| (v[0] / (v[0] + v[1])).powi(4),
        wrong: &[
            (ONE_LARGE_WASH, |v| v[0] / (v[0] + 4.0 * v[1])),
            (FIRST_WASH_ALONE, |v| v[0] / (v[0] + v[1])),
        ],
    },
    Family {
        // m × (h ÷ (h + W)) to the power 4
        letters: &[('m', Takes::Amount), ('h', Takes::Amount), ('W', Takes::Amount)],
        spare: 0,
        right: |v| v[0] * (v[1] / (v[1] + v[2])).powi(4),
        wrong: &[
            (ONE_LARGE_WASH, |v| v[0] * v[1] / (v[1] + 4.0 * v[2])),
            (FIRST_WASH_ALONE, |v| v[0] * v[1] / (v[1] + v[2])),
        ],
    },
];
