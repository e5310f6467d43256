//! Wrong formulas: shares and strengths of one solution.

use super::catalogue::{Family, Mistake, Takes};
use super::catalogue::{GE, PL, PRACTICE, TP};

const DIVIDED_BY_SOLVENT: Mistake = Mistake::of(
    "divided-by-solvent",
    "divided by the solvent",
    "m ÷ w",
    "the solvent alone was taken as the whole",
    "Divide by the whole solution: solute and solvent together.",
    GE,
);
const GAVE_THE_SOLVENT: Mistake = Mistake::of(
    "gave-the-solvent",
    "gave the solvent’s share",
    "w ÷ (m + w)",
    "the part that was not asked for was given",
    "Put the mass of what is asked for on top.",
    PRACTICE,
);
const FORGOT_THE_HUNDRED: Mistake = Mistake::of(
    "forgot-the-hundred",
    "left the fraction as it was",
    "m ÷ (m + w), not times 100",
    "a fraction and a percentage are taken for the same",
    "A percentage is the fraction times 100.",
    PL,
)
.as_number();
const RATIO_UPSIDE_DOWN: Mistake = Mistake::of(
    "ratio-upside-down",
    "turned the ratio upside down",
    "(m + w) ÷ m",
    "part and whole have changed places",
    "A part of a whole cannot be over 100 %: put the part on top.",
    TP,
)
.absurd();
const DENSITY_TAKEN_AS_ONE: Mistake = Mistake::of(
    "density-taken-as-one",
    "took every cm³ as a gram",
    "m ÷ V",
    "volume and mass are taken for the same",
    "Find the mass of the solution first: volume times density.",
    GE,
);
const VOLUME_LEFT_IN_CM3: Mistake = Mistake::of(
    "volume-left-in-cm3",
    "left the volume in cm³",
    "m ÷ V in cm³",
    "the unit of the answer was not looked at",
    "Turn cm³ into dm³ first: divide by 1000.",
    GE,
);

pub(super) const FAMILIES: &[Family] = &[
    Family {
        // m ÷ (m + w)
        letters: &[('m', Takes::Mass), ('w', Takes::Mass)],
        spare: 0,
        right: |v| v[0] / (v[0] + v[1]),
        wrong: &[
            (DIVIDED_BY_SOLVENT, |v| v[0] / v[1]),
            (GAVE_THE_SOLVENT, |v| v[1] / (v[0] + v[1])),
            (FORGOT_THE_HUNDRED, |v| v[0] / (v[0] + v[1])),
            (RATIO_UPSIDE_DOWN, |v| (v[0] + v[1]) / v[0]),
        ],
    },
    Family {
        // m ÷ (V × d)
        letters: &[('m', Takes::Mass), ('v', Takes::Volume), ('d', Takes::Density)],
        spare: 0,
        right: |v| v[0] / (v[1] * v[2]),
        wrong: &[(DENSITY_TAKEN_AS_ONE, |v| v[0] / (v[1] * 1000.0))],
    },
    Family {
        // m ÷ V
        letters: &[('m', Takes::Mass), ('v', Takes::SmallVolume)],
        spare: 0,
        right: |v| v[0] / v[1],
        wrong: &[(VOLUME_LEFT_IN_CM3, |v| v[0] / v[1] / 1000.0)],
    },
];
