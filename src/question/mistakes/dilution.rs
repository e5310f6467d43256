//! Wrong formulas: dilution, once and repeated.

use super::catalogue::{DSW, MV, PRACTICE, RFT, TP};
use super::catalogue::{Family, Mistake, Takes};

const FINAL_TAKEN_AS_ADDED: Mistake = Mistake::of(
    "final-taken-as-added",
    "added the final volume on",
    "x × p ÷ (p + q)",
    "the final volume is taken for the water added",
    "The final volume already holds the first.",
    MV,
);
const ADDED_TAKEN_AS_FINAL: Mistake = Mistake::of(
    "added-taken-as-final",
    "divided by what was added",
    "x × p ÷ (q − p)",
    "the water added is taken for the final volume",
    "Divide by the whole volume at the end.",
    DSW,
);
const DILUTION_UPSIDE_DOWN: Mistake = Mistake::of(
    "dilution-upside-down",
    "turned the dilution upside down",
    "x × q ÷ p",
    "the diluted solution comes out stronger",
    "Dilution makes weaker: the factor is below one.",
    MV,
)
.absurd();
const TOOK_AWAY_A_PROPORTION: Mistake = Mistake::of(
    "took-away-a-proportion",
    "took away in proportion",
    "x × (q − p) ÷ q",
    "adding and multiplying are mixed up",
    "Find the solute first; it is the same before and after.",
    TP,
);
const STRENGTH_UNCHANGED: Mistake = Mistake::of(
    "strength-unchanged",
    "left the strength as it was",
    "x",
    "strength is taken as a property of the stuff",
    "The same solute in more liquid is weaker.",
    RFT,
);
const GAVE_THE_FINAL_VOLUME: Mistake = Mistake::of(
    "gave-the-final-volume",
    "gave the final volume",
    "p × x ÷ y",
    "the question was read too fast",
    "Take away what was there at first.",
    DSW,
);
const WATER_BY_DIFFERENCE_OF_STRENGTHS: Mistake = Mistake::of(
    "water-by-difference-of-strengths",
    "used the difference of the strengths",
    "p × (x − y) ÷ x",
    "adding and multiplying are mixed up",
    "Find the solute first; it is the same before and after.",
    TP,
);
const ADDED_THE_FACTORS: Mistake = Mistake::of(
    "added-the-factors",
    "added the dilution factors",
    "x ÷ (f + g)",
    "repeated dilution is taken as a sum",
    "Each dilution divides again: multiply the factors.",
    TP,
);
const FIRST_DILUTION_ALONE: Mistake = Mistake::of(
    "first-dilution-alone",
    "diluted only once",
    "x ÷ f",
    "a step was forgotten",
    "Go through the steps one by one.",
    PRACTICE,
);

pub(super) const FAMILIES: &[Family] = &[
    Family {
        // x × p ÷ q
        letters: &[('x', Takes::Strength), ('p', Takes::Amount), ('q', Takes::Amount)],
        spare: 0,
        right: |v| v[0] * v[1] / v[2],
        wrong: &[
            (FINAL_TAKEN_AS_ADDED, |v| v[0] * v[1] / (v[1] + v[2])),
            (ADDED_TAKEN_AS_FINAL, |v| v[0] * v[1] / (v[2] - v[1])),
            (DILUTION_UPSIDE_DOWN, |v| v[0] * v[2] / v[1]),
            (TOOK_AWAY_A_PROPORTION, |v| v[0] * (v[2] - v[1]) / v[2]),
            (STRENGTH_UNCHANGED, |v| v[0]),
        ],
    },
    Family {
        // p × x ÷ y − p
        letters: &[('p', Takes::Amount), ('x', Takes::Strength), ('y', Takes::Strength)],
        spare: 0,
        right: |v| v[0] * v[1] / v[2] - v[0],
        wrong: &[
            (GAVE_THE_FINAL_VOLUME, |v| v[0] * v[1] / v[2]),
            (WATER_BY_DIFFERENCE_OF_STRENGTHS, |v| v[0] * (v[1] - v[2]) / v[1]),
        ],
    },
    Family {
        // x ÷ (f × g)
        letters: &[('x', Takes::Strength), ('f', Takes::Number), ('g', Takes::Number)],
        spare: 0,
        right: |v| v[0] / (v[1] * v[2]),
        wrong: &[
            (ADDED_THE_FACTORS, |v| v[0] / (v[1] + v[2])),
            (FIRST_DILUTION_ALONE, |v| v[0] / v[1]),
        ],
    },
];
