//! Wrong formulas: distances on paper.

use super::catalogue::PRACTICE;
use super::catalogue::{Family, Mistake, Takes};

const MEASURED_FROM_THE_EDGE: Mistake = Mistake::of(
    "measured-from-the-edge",
    "measured both from the edge",
    "(d + b) ÷ (f + b)",
    "the start line is passed over",
    "Both distances start at the pencil line.",
    PRACTICE,
);
const FRONT_FROM_THE_EDGE: Mistake = Mistake::of(
    "front-from-the-edge",
    "measured the front from the edge",
    "d ÷ (f + b)",
    "the start line is passed over",
    "Both distances start at the pencil line.",
    PRACTICE,
);
const RF_UPSIDE_DOWN: Mistake = Mistake::of(
    "rf-upside-down",
    "turned the ratio upside down",
    "f ÷ d",
    "a value over one was not noticed",
    "The spot never runs ahead of the front.",
    PRACTICE,
)
.absurd();
const SPOT_TO_FRONT: Mistake = Mistake::of(
    "spot-to-front",
    "divided by the gap to the front",
    "d ÷ (f − d)",
    "the wrong length was measured",
    "Divide by the whole way of the front.",
    PRACTICE,
);

pub(super) const FAMILIES: &[Family] = &[
    Family {
        // d ÷ f
        letters: &[('d', Takes::Length), ('f', Takes::Length), ('b', Takes::Length)],
        spare: 1,
        right: |v| v[0] / v[1],
        wrong: &[
            (MEASURED_FROM_THE_EDGE, |v| (v[0] + v[2]) / (v[1] + v[2])),
            (FRONT_FROM_THE_EDGE, |v| v[0] / (v[1] + v[2])),
        ],
    },
    Family {
        // d ÷ f
        letters: &[('d', Takes::Length), ('f', Takes::Length)],
        spare: 0,
        right: |v| v[0] / v[1],
        wrong: &[(RF_UPSIDE_DOWN, |v| v[1] / v[0]), (SPOT_TO_FRONT, |v| v[0] / (v[1] - v[0]))],
    },
];
