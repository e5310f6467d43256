//! Wrong formulas: permeate and concentrate.

use super::catalogue::{Family, Mistake, Takes};
use super::catalogue::{PRACTICE, TP};

const PERFECT_REJECTION: Mistake = Mistake::of(
    "perfect-rejection",
    "let nothing through",
    "x ÷ (1 − R)",
    "what passes is left out",
    "Take the salt in the permeate away.",
    PRACTICE,
);
const SCALED_BY_SUM: Mistake = Mistake::of(
    "scaled-by-sum",
    "multiplied by one and the recovery",
    "x × (1 + R)",
    "adding and multiplying are mixed up",
    "The same salt is in less water: divide.",
    TP,
);
const DIVIDED_BY_RECOVERY: Mistake = Mistake::of(
    "divided-by-recovery",
    "divided by the recovery",
    "x ÷ R",
    "the wrong stream was taken",
    "The concentrate is what is not recovered.",
    PRACTICE,
);
const GAVE_THE_PASSAGE: Mistake = Mistake::of(
    "gave-the-passage",
    "gave what passes",
    "p ÷ x",
    "the part that was not asked for was given",
    "Rejection is what is held back.",
    PRACTICE,
);
const REJECTION_OVER_PERMEATE: Mistake = Mistake::of(
    "rejection-over-permeate",
    "divided by the permeate",
    "(x − p) ÷ p",
    "the wrong whole was taken",
    "Divide by the strength of the feed.",
    PRACTICE,
)
.absurd();
const GAVE_WHAT_IS_HELD_BACK: Mistake = Mistake::of(
    "gave-what-is-held-back",
    "multiplied by the rejection",
    "x × j",
    "the part that was not asked for was given",
    "What is rejected does not pass.",
    PRACTICE,
);

pub(super) const FAMILIES: &[Family] = &[
    Family {
        // (x − R × p) ÷ (1 − R)
        letters: &[('x', Takes::Strength), ('p', Takes::Strength), ('R', Takes::Share)],
        spare: 0,
        right: |v| (v[0] - v[2] * v[1]) / (1.0 - v[2]),
        wrong: &[
            (PERFECT_REJECTION, |v| v[0] / (1.0 - v[2])),
            (SCALED_BY_SUM, |v| v[0] * (1.0 + v[2])),
            (DIVIDED_BY_RECOVERY, |v| v[0] / v[2]),
        ],
    },
    Family {
        // x × (1 − R × (1 − j)) ÷ (1 − R)
        letters: &[('x', Takes::Strength), ('R', Takes::Share), ('j', Takes::Share)],
        spare: 0,
        right: |v| v[0] * (1.0 - v[1] * (1.0 - v[2])) / (1.0 - v[1]),
        wrong: &[
            (PERFECT_REJECTION, |v| v[0] / (1.0 - v[1])),
            (SCALED_BY_SUM, |v| v[0] * (1.0 + v[1])),
            (DIVIDED_BY_RECOVERY, |v| v[0] / v[1]),
        ],
    },
    Family {
        // 1 − p ÷ x
        letters: &[('p', Takes::Concentration), ('x', Takes::Concentration)],
        spare: 0,
        right: |v| 1.0 - v[0] / v[1],
        wrong: &[
            (GAVE_THE_PASSAGE, |v| v[0] / v[1]),
            (REJECTION_OVER_PERMEATE, |v| (v[1] - v[0]) / v[0]),
        ],
    },
    Family {
        // x × (1 − j)
        letters: &[('x', Takes::Concentration), ('j', Takes::Share)],
        spare: 0,
        right: |v| v[0] * (1.0 - v[1]),
        wrong: &[(GAVE_WHAT_IS_HELD_BACK, |v| v[0] * v[1])],
    },
];
