//! Wrong formulas: two liquids put together.

use super::catalogue::{Family, Mistake, Takes};
use super::catalogue::{MV, PRACTICE, RFT, TP};

const PLAIN_MEAN: Mistake = Mistake::of(
    "plain-mean",
    "took the plain mean",
    "(x + y) ÷ 2",
    "the amounts are left out of account",
    "Weigh each strength by how much there is of it.",
    TP,
);
const ADDED_STRENGTHS: Mistake = Mistake::of(
    "added-strengths",
    "added the strengths",
    "x + y",
    "a strength is treated like an amount",
    "Amounts add up, strengths do not: add the solute, then divide.",
    RFT,
);
const WEIGHTS_CROSSED: Mistake = Mistake::of(
    "weights-crossed",
    "took each strength with the other amount",
    "(p × y + q × x) ÷ (p + q)",
    "numbers were paired without their streams",
    "Keep every strength beside its own amount.",
    PRACTICE,
);
const DIVIDED_BY_WHAT_WAS_ADDED: Mistake = Mistake::of(
    "divided-by-what-was-added",
    "divided by what was added",
    "p × x ÷ q",
    "the liquid added is taken for the whole mixture",
    "The whole is both together.",
    MV,
);
const HALVED: Mistake = Mistake::of(
    "halved",
    "took half the strength",
    "x ÷ 2",
    "the amounts are left out of account",
    "Halving is right only for equal amounts.",
    TP,
);
const SHARE_OF_WHAT_WAS_ADDED: Mistake = Mistake::of(
    "share-of-what-was-added",
    "took the other share",
    "x × q ÷ (p + q)",
    "the wrong part of the mixture was taken",
    "The solute comes from the strong liquid: use its amount.",
    PRACTICE,
);

pub(super) const FAMILIES: &[Family] = &[
    Family {
        // (p × x + q × y) ÷ (p + q)
        letters: &[
            ('p', Takes::Amount),
            ('q', Takes::Amount),
            ('x', Takes::Strength),
            ('y', Takes::Strength),
        ],
        spare: 0,
        right: |v| (v[0] * v[2] + v[1] * v[3]) / (v[0] + v[1]),
        wrong: &[
            (PLAIN_MEAN, |v| (v[2] + v[3]) / 2.0),
            (ADDED_STRENGTHS, |v| v[2] + v[3]),
            (WEIGHTS_CROSSED, |v| (v[0] * v[3] + v[1] * v[2]) / (v[0] + v[1])),
        ],
    },
    Family {
        // p × x ÷ (p + q)
        letters: &[('p', Takes::Amount), ('q', Takes::Amount), ('x', Takes::Strength)],
        spare: 0,
        right: |v| v[0] * v[2] / (v[0] + v[1]),
        wrong: &[
            (DIVIDED_BY_WHAT_WAS_ADDED, |v| v[0] * v[2] / v[1]),
            (HALVED, |v| v[2] / 2.0),
            (SHARE_OF_WHAT_WAS_ADDED, |v| v[2] * v[1] / (v[0] + v[1])),
        ],
    },
];
