//! Wrong formulas: drying to a new moisture.

use super::catalogue::{Family, Mistake, Takes};
use super::catalogue::{PL, PRACTICE};

const MOISTURE_POINTS: Mistake = Mistake::of(
    "moisture-points",
    "took away percentage points",
    "G × (1 − (u − v))",
    "two percentages of different wholes are compared",
    "The dry solid stays the same: find it first.",
    PL,
);
const BONE_DRY: Mistake = Mistake::of(
    "bone-dry",
    "dried to nothing",
    "G × (1 − u)",
    "the water that stays is forgotten",
    "Divide the dry solid by its share in the product.",
    PRACTICE,
);
const MOISTURE_ON_DRY_MASS: Mistake = Mistake::of(
    "moisture-on-dry-mass",
    "put the moisture on the dry mass",
    "G × (1 − u) × (1 + v)",
    "the base of the percentage was changed",
    "A moisture is a share of the wet mass unless it is said otherwise.",
    PL,
);
const WATER_BY_POINTS: Mistake = Mistake::of(
    "water-by-points",
    "took away percentage points",
    "G × (u − v)",
    "two percentages of different wholes are compared",
    "The dry solid stays the same: find it first.",
    PL,
);
const WATER_ALL_GONE: Mistake = Mistake::of(
    "water-all-gone",
    "took all the water out",
    "G × u",
    "the water that stays is forgotten",
    "The product still holds some water.",
    PRACTICE,
);
const GAVE_THE_DRIED_PRODUCT: Mistake = Mistake::of(
    "gave-the-dried-product",
    "gave the product",
    "G × (1 − u) ÷ (1 − v)",
    "the question was read too fast",
    "Take the product away from the feed.",
    PRACTICE,
);

pub(super) const FAMILIES: &[Family] = &[
    Family {
        // G × (1 − u) ÷ (1 − v)
        letters: &[('G', Takes::Amount), ('u', Takes::Share), ('v', Takes::Share)],
        spare: 0,
        right: |v| v[0] * (1.0 - v[1]) / (1.0 - v[2]),
        wrong: &[
            (MOISTURE_POINTS, |v| v[0] * (1.0 - (v[1] - v[2]))),
            (BONE_DRY, |v| v[0] * (1.0 - v[1])),
            (MOISTURE_ON_DRY_MASS, |v| v[0] * (1.0 - v[1]) * (1.0 + v[2])),
        ],
    },
    Family {
        // G × (1 − (1 − u) ÷ (1 − v))
        letters: &[('G', Takes::Amount), ('u', Takes::Share), ('v', Takes::Share)],
        spare: 0,
        right: |v| v[0] * (1.0 - (1.0 - v[1]) / (1.0 - v[2])),
        wrong: &[
            (WATER_BY_POINTS, |v| v[0] * (v[1] - v[2])),
            (WATER_ALL_GONE, |v| v[0] * v[1]),
            (GAVE_THE_DRIED_PRODUCT, |v| v[0] * (1.0 - v[1]) / (1.0 - v[2])),
        ],
    },
];
