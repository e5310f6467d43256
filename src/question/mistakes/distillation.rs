//! Wrong formulas: distillate and residue.

use super::catalogue::PRACTICE;
use super::catalogue::{Family, Mistake, Takes};

const TOTAL_YIELD: Mistake = Mistake::of(
    "total-yield",
    "took all of the distillate over all of the feed",
    "D ÷ F",
    "the component is not told from the whole",
    "Count the component on both sides.",
    PRACTICE,
);
const DISTILLATE_TAKEN_AS_PURE: Mistake = Mistake::of(
    "distillate-taken-as-pure",
    "took the distillate as pure",
    "D ÷ (F × z)",
    "the purity was left out",
    "Multiply the distillate by its share first.",
    PRACTICE,
);
const PURITY_AS_RECOVERY: Mistake = Mistake::of(
    "purity-as-recovery",
    "gave the purity",
    "x",
    "purity and recovery are taken for the same",
    "Recovery asks how much of what came in was won.",
    PRACTICE,
);
const RESIDUE_IF_PURE: Mistake = Mistake::of(
    "residue-if-pure",
    "took the distillate as pure",
    "(F × z − D) ÷ (F − D)",
    "the purity was left out",
    "Only a share of the distillate is the component.",
    PRACTICE,
);
const REST_OF_THE_DISTILLATE: Mistake = Mistake::of(
    "rest-of-the-distillate",
    "gave the rest of the distillate",
    "1 − x",
    "two streams are mixed up",
    "The residue has a balance of its own.",
    PRACTICE,
);
const OVER_THE_WHOLE_FEED: Mistake = Mistake::of(
    "over-the-whole-feed",
    "divided by the feed",
    "(F × z − D × x) ÷ F",
    "the wrong whole was taken",
    "Divide by the mass of the residue.",
    PRACTICE,
);

pub(super) const FAMILIES: &[Family] = &[
    Family {
        // D × x ÷ (F × z)
        letters: &[
            ('D', Takes::Amount),
            ('x', Takes::Share),
            ('F', Takes::Amount),
            ('z', Takes::Share),
        ],
        spare: 0,
        right: |v| v[0] * v[1] / (v[2] * v[3]),
        wrong: &[
            (TOTAL_YIELD, |v| v[0] / v[2]),
            (DISTILLATE_TAKEN_AS_PURE, |v| v[0] / (v[2] * v[3])),
            (PURITY_AS_RECOVERY, |v| v[1]),
        ],
    },
    Family {
        // (F × z − D × x) ÷ (F − D)
        letters: &[
            ('F', Takes::Amount),
            ('z', Takes::Share),
            ('D', Takes::Amount),
            ('x', Takes::Share),
        ],
        spare: 0,
        right: |v| (v[0] * v[1] - v[2] * v[3]) / (v[0] - v[2]),
        wrong: &[
            (RESIDUE_IF_PURE, |v| (v[0] * v[1] - v[2]) / (v[0] - v[2])),
            (REST_OF_THE_DISTILLATE, |v| 1.0 - v[3]),
            (OVER_THE_WHOLE_FEED, |v| (v[0] * v[1] - v[2] * v[3]) / v[0]),
        ],
    },
];
