//! Wrong formulas: sieves and what goes back to the mill.

use super::catalogue::PRACTICE;
use super::catalogue::{Family, Mistake, Takes};

const GAVE_THE_RETAINED: Mistake = Mistake::of(
    "gave-the-retained",
    "gave what is held back",
    "r + q",
    "passing and retained are mixed up",
    "What passes is 100 % less all that was held back above.",
    PRACTICE,
);
const ONE_SIEVE_ALONE: Mistake = Mistake::of(
    "one-sieve-alone",
    "took one sieve alone",
    "1 − q",
    "the sieves above were forgotten",
    "Add up all sieves from the top.",
    PRACTICE,
);
const NO_RECYCLE: Mistake = Mistake::of(
    "no-recycle",
    "left the return out",
    "F",
    "what comes back is not counted",
    "What returns goes through the mill again.",
    PRACTICE,
);
const ONE_RETURN: Mistake = Mistake::of(
    "one-return",
    "counted one return",
    "F × (1 + r)",
    "the loop is cut after one round",
    "A share of what returned returns again.",
    PRACTICE,
);

pub(super) const FAMILIES: &[Family] = &[
    Family {
        // 1 − r − q
        letters: &[('r', Takes::Share), ('q', Takes::Share)],
        spare: 0,
        right: |v| 1.0 - v[0] - v[1],
        wrong: &[(GAVE_THE_RETAINED, |v| v[0] + v[1]), (ONE_SIEVE_ALONE, |v| 1.0 - v[1])],
    },
    Family {
        // F ÷ (1 − r)
        letters: &[('F', Takes::Amount), ('r', Takes::Share)],
        spare: 0,
        right: |v| v[0] / (1.0 - v[1]),
        wrong: &[(NO_RECYCLE, |v| v[0]), (ONE_RETURN, |v| v[0] * (1.0 + v[1]))],
    },
];
