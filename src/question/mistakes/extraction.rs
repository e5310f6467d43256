//! Wrong formulas: a solute between two liquids.

use super::catalogue::{Family, Mistake, Takes};
use super::catalogue::{PRACTICE, RFT};

const GAVE_WHAT_IS_NOT_EXTRACTED: Mistake = Mistake::of(
    "gave-what-is-not-extracted",
    "gave what is not extracted",
    "m × a ÷ (k × o + a)",
    "the wrong phase was taken",
    "Read again which phase is asked for.",
    PRACTICE,
);
const DISTRIBUTION_UPSIDE_DOWN: Mistake = Mistake::of(
    "distribution-upside-down",
    "turned the distribution ratio round",
    "m × o ÷ (o + k × a)",
    "which phase stands on top was forgotten",
    "The ratio is extract over the other phase.",
    PRACTICE,
);
const VOLUMES_LEFT_OUT: Mistake = Mistake::of(
    "volumes-left-out",
    "left the volumes out",
    "m × k ÷ (k + 1)",
    "the ratio of strengths is taken for one of amounts",
    "Multiply each strength by its volume.",
    RFT,
);
const DIVIDED_BY_THE_RATIO: Mistake = Mistake::of(
    "divided-by-the-ratio",
    "divided by the ratio",
    "m ÷ k",
    "the ratio is used without its meaning",
    "Write down what is in each phase first.",
    PRACTICE,
);
const FIRST_PORTION_TIMES_N: Mistake = Mistake::of(
    "first-portion-times-n",
    "took every portion like the first",
    "n × m × k × v ÷ (k × v + a)",
    "what the first portion took out is still counted",
    "Each portion meets only what is left.",
    PRACTICE,
);
const PORTIONS_AS_ONE: Mistake = Mistake::of(
    "portions-as-one",
    "took the portions as one",
    "m × k × n × v ÷ (k × n × v + a)",
    "several small portions are taken as one large one",
    "Work out the portions one after the other.",
    PRACTICE,
);

pub(super) const FAMILIES: &[Family] = &[
    Family {
        // m × k × o ÷ (k × o + a)
        letters: &[
            ('m', Takes::Amount),
            ('k', Takes::Number),
            ('o', Takes::Amount),
            ('a', Takes::Amount),
        ],
        spare: 0,
        right: |v| v[0] * v[1] * v[2] / (v[1] * v[2] + v[3]),
        wrong: &[
            (GAVE_WHAT_IS_NOT_EXTRACTED, |v| v[0] * v[3] / (v[1] * v[2] + v[3])),
            (DISTRIBUTION_UPSIDE_DOWN, |v| v[0] * v[2] / (v[2] + v[1] * v[3])),
            (VOLUMES_LEFT_OUT, |v| v[0] * v[1] / (v[1] + 1.0)),
            (DIVIDED_BY_THE_RATIO, |v| v[0] / v[1]),
        ],
    },
    Family {
        // m × (1 − (a ÷ (k × v + a)) to the power 2)
        letters: &[
            ('m', Takes::Amount),
            ('k', Takes::Number),
            ('v', Takes::Amount),
            ('a', Takes::Amount),
        ],
        spare: 0,
        right: |v| v[0] * (1.0 - (v[3] / (v[1] * v[2] + v[3])).powi(2)),
        wrong: &[
            (FIRST_PORTION_TIMES_N, |v| 2.0 * v[0] * v[1] * v[2] / (v[1] * v[2] + v[3])),
            (PORTIONS_AS_ONE, |v| v[0] * v[1] * 2.0 * v[2] / (v[1] * 2.0 * v[2] + v[3])),
        ],
    },
    Family {
        // m × (1 − (a ÷ (k × v + a)) to the power 3)
        letters: &[
            ('m', Takes::Amount),
            ('k', Takes::Number),
            ('v', Takes::Amount),
            ('a', Takes::Amount),
        ],
        spare: 0,
        right: |v| v[0] * (1.0 - (v[3] / (v[1] * v[2] + v[3])).powi(3)),
        wrong: &[
            (FIRST_PORTION_TIMES_N, |v| 3.0 * v[0] * v[1] * v[2] / (v[1] * v[2] + v[3])),
            (PORTIONS_AS_ONE, |v| v[0] * v[1] * 3.0 * v[2] / (v[1] * 3.0 * v[2] + v[3])),
        ],
    },
];
