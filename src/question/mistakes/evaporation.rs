//! Wrong formulas: water driven off.

use super::catalogue::{Family, Mistake, Takes};
use super::catalogue::{PL, PRACTICE, TP};

const TOOK_AWAY_PERCENTAGE_POINTS: Mistake = Mistake::of(
    "took-away-percentage-points",
    "took away percentage points",
    "M × (y − x)",
    "two percentages of different wholes are compared",
    "The solute stays the same: find it first, then the new whole.",
    PL,
);
const GAVE_THE_CONCENTRATE: Mistake = Mistake::of(
    "gave-the-concentrate",
    "gave what is left",
    "M × x ÷ y",
    "the question was read too fast",
    "Take what is left away from the feed.",
    PRACTICE,
);
const REMOVED_ALL_THE_WATER: Mistake = Mistake::of(
    "removed-all-the-water",
    "boiled off all the water",
    "M × (1 − x)",
    "the water left in the product is forgotten",
    "Look at how strong the product is: it still holds water.",
    PRACTICE,
);
const GAVE_WATER_IN_CONCENTRATE: Mistake = Mistake::of(
    "gave-water-in-concentrate",
    "gave the water that stays",
    "M × x ÷ y × (1 − y)",
    "the wrong stream was taken",
    "Water in the product has not left.",
    PRACTICE,
);
const STRENGTHS_UPSIDE_DOWN: Mistake = Mistake::of(
    "strengths-upside-down",
    "divided the strengths the wrong way round",
    "M × (y ÷ x − 1)",
    "an impossible value was not noticed",
    "No more can leave than came in.",
    TP,
)
.absurd();
const GAVE_THE_VAPOUR: Mistake = Mistake::of(
    "gave-the-vapour",
    "gave what leaves",
    "M × (1 − x ÷ y)",
    "the question was read too fast",
    "Read again which stream is asked for.",
    PRACTICE,
);
const TOOK_POINTS_OFF_THE_FEED: Mistake = Mistake::of(
    "took-points-off-the-feed",
    "took percentage points off the feed",
    "M × (1 − (y − x))",
    "two percentages of different wholes are compared",
    "The solute stays the same: find it first, then the new whole.",
    PL,
);
const GAVE_THE_DRY_SOLUTE: Mistake = Mistake::of(
    "gave-the-dry-solute",
    "gave the solute alone",
    "M × x",
    "the last step was left out",
    "Divide the solute by its share in the product.",
    PRACTICE,
);
const CONCENTRATED_THE_WRONG_WAY: Mistake = Mistake::of(
    "concentrated-the-wrong-way",
    "multiplied by the strengths the wrong way round",
    "M × y ÷ x",
    "an impossible value was not noticed",
    "Where water leaves, less is left.",
    TP,
)
.absurd();

pub(super) const FAMILIES: &[Family] = &[
    Family {
        // M × (1 − x ÷ y)
        letters: &[('M', Takes::Amount), ('x', Takes::Share), ('y', Takes::Share)],
        spare: 0,
        right: |v| v[0] * (1.0 - v[1] / v[2]),
        wrong: &[
            (TOOK_AWAY_PERCENTAGE_POINTS, |v| v[0] * (v[2] - v[1])),
            (GAVE_THE_CONCENTRATE, |v| v[0] * v[1] / v[2]),
            (REMOVED_ALL_THE_WATER, |v| v[0] * (1.0 - v[1])),
            (GAVE_WATER_IN_CONCENTRATE, |v| v[0] * v[1] / v[2] * (1.0 - v[2])),
            (STRENGTHS_UPSIDE_DOWN, |v| v[0] * (v[2] / v[1] - 1.0)),
        ],
    },
    Family {
        // M × x ÷ y
        letters: &[('M', Takes::Amount), ('x', Takes::Share), ('y', Takes::Share)],
        spare: 0,
        right: |v| v[0] * v[1] / v[2],
        wrong: &[
            (GAVE_THE_VAPOUR, |v| v[0] * (1.0 - v[1] / v[2])),
            (TOOK_POINTS_OFF_THE_FEED, |v| v[0] * (1.0 - (v[2] - v[1]))),
            (GAVE_THE_DRY_SOLUTE, |v| v[0] * v[1]),
            (CONCENTRATED_THE_WRONG_WAY, |v| v[0] * v[2] / v[1]),
        ],
    },
];
