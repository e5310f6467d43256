//! Wrong formulas: recovery, purity and the yields of several steps.

use super::catalogue::{Family, Mistake, Takes};
use super::catalogue::{PL, PRACTICE};

const RECOVERY_UPSIDE_DOWN: Mistake = Mistake::of(
    "recovery-upside-down",
    "turned the ratio upside down",
    "a ÷ p",
    "a share over 100 % was not noticed",
    "What was won stands on top.",
    PRACTICE,
)
.absurd();
const GAVE_THE_LOSS: Mistake = Mistake::of(
    "gave-the-loss",
    "gave the other share",
    "(a − p) ÷ a",
    "the question was read too fast",
    "Take what was won, not what was lost.",
    PRACTICE,
);
const WHOLE_IS_THE_SUM: Mistake = Mistake::of(
    "whole-is-the-sum",
    "divided by the sum",
    "p ÷ (a + p)",
    "the part is counted twice",
    "What was there at first is the whole.",
    PL,
);
const IGNORED_PURITY: Mistake = Mistake::of(
    "ignored-purity",
    "left the purity out",
    "p ÷ c",
    "the impure feed is taken as pure",
    "Find the pure part of the feed first.",
    PRACTICE,
);
const MULTIPLIED_BY_PURITY: Mistake = Mistake::of(
    "multiplied-by-purity",
    "multiplied by the purity",
    "p × z ÷ c",
    "the purity was put to the wrong amount",
    "The purity belongs to the feed, below the line.",
    PRACTICE,
);
const AVERAGED_THE_YIELDS: Mistake = Mistake::of(
    "averaged-the-yields",
    "took the mean of the yields",
    "(y + z) ÷ 2",
    "a chain of percentages is taken as a mean",
    "Each step keeps a share of what the last one left: multiply.",
    PL,
);
const ADDED_THE_LOSSES: Mistake = Mistake::of(
    "added-the-losses",
    "added the losses",
    "1 − ((1 − y) + (1 − z))",
    "percentages of different wholes are added",
    "The second loss is of a smaller amount.",
    PL,
);
const SUMMED_THE_LOSSES: Mistake = Mistake::of(
    "summed-the-losses",
    "added the losses",
    "1 − (k + l)",
    "percentages of different wholes are added",
    "The second loss is of a smaller amount.",
    PL,
);
const GAVE_THE_OTHER_PART: Mistake = Mistake::of(
    "gave-the-other-part",
    "gave the other part",
    "i ÷ t",
    "the part that was not asked for was given",
    "Read again which part is asked for.",
    PL,
);
const DIVIDED_BY_WHAT_IS_LEFT: Mistake = Mistake::of(
    "divided-by-what-is-left",
    "divided by the other part",
    "(t − i) ÷ i",
    "the other part is taken for the whole",
    "Divide by the whole, before anything was taken away.",
    PL,
);

pub(super) const FAMILIES: &[Family] = &[
    Family {
        // p ÷ a
        letters: &[('p', Takes::Amount), ('a', Takes::Amount)],
        spare: 0,
        right: |v| v[0] / v[1],
        wrong: &[
            (RECOVERY_UPSIDE_DOWN, |v| v[1] / v[0]),
            (GAVE_THE_LOSS, |v| (v[1] - v[0]) / v[1]),
            (WHOLE_IS_THE_SUM, |v| v[0] / (v[1] + v[0])),
        ],
    },
    Family {
        // p ÷ (c × z)
        letters: &[('p', Takes::Amount), ('c', Takes::Amount), ('z', Takes::Share)],
        spare: 0,
        right: |v| v[0] / (v[1] * v[2]),
        wrong: &[(IGNORED_PURITY, |v| v[0] / v[1]), (MULTIPLIED_BY_PURITY, |v| v[0] * v[2] / v[1])],
    },
    Family {
        // y × z
        letters: &[('y', Takes::Share), ('z', Takes::Share)],
        spare: 0,
        right: |v| v[0] * v[1],
        wrong: &[
            (AVERAGED_THE_YIELDS, |v| (v[0] + v[1]) / 2.0),
            (ADDED_THE_LOSSES, |v| v[0] + v[1] - 1.0),
        ],
    },
    Family {
        // (1 − k) × (1 − l)
        letters: &[('k', Takes::Share), ('l', Takes::Share)],
        spare: 0,
        right: |v| (1.0 - v[0]) * (1.0 - v[1]),
        wrong: &[(SUMMED_THE_LOSSES, |v| 1.0 - (v[0] + v[1]))],
    },
    Family {
        // (t − i) ÷ t
        letters: &[('t', Takes::Amount), ('i', Takes::Amount)],
        spare: 0,
        right: |v| (v[0] - v[1]) / v[0],
        wrong: &[
            (GAVE_THE_OTHER_PART, |v| v[1] / v[0]),
            (DIVIDED_BY_WHAT_IS_LEFT, |v| (v[0] - v[1]) / v[1]),
        ],
    },
];
