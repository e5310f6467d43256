//! Wrong formulas: salt that comes out of solution.

use super::catalogue::{Family, Mistake, Takes};
use super::catalogue::{GE, PC, PRACTICE, TP};

const SOLUTION_TAKEN_AS_WATER: Mistake = Mistake::of(
    "solution-taken-as-water",
    "took the solution as water",
    "S × (s − t)",
    "solubility is for each 100 g of water, not of solution",
    "Part the solution into salt and water first.",
    GE,
);
const ALL_OF_IT_CRYSTALLISED: Mistake = Mistake::of(
    "all-of-it-crystallised",
    "let all of the salt crystallise",
    "S × s ÷ (1 + s)",
    "the cold solution is taken to hold nothing",
    "Cold water still dissolves some: take that away.",
    PC,
);
const GAVE_WHAT_STAYS_DISSOLVED: Mistake = Mistake::of(
    "gave-what-stays-dissolved",
    "gave what stays dissolved",
    "S × t ÷ (1 + s)",
    "the wrong part was taken",
    "Crystals are what the cold water cannot hold.",
    PRACTICE,
);
const SHARES_ON_ONE_MASS: Mistake = Mistake::of(
    "shares-on-one-mass",
    "kept the mass of the solution",
    "S × (s ÷ (1 + s) − t ÷ (1 + t))",
    "the liquor is lighter once crystals are out",
    "The water stays the same, the solution does not.",
    PRACTICE,
);
const FORGOT_TO_SCALE: Mistake = Mistake::of(
    "forgot-to-scale",
    "left the amounts out",
    "s − t",
    "a ratio is given in place of an amount",
    "Solubilities are for 100 g of water: scale to the water there is.",
    TP,
)
.as_number();
const WATER_LETS_ALL_GO: Mistake = Mistake::of(
    "water-lets-all-go",
    "let all of the salt crystallise",
    "w × s",
    "the cold solution is taken to hold nothing",
    "Cold water still dissolves some: take that away.",
    PC,
);
const WATER_HOLDS_THE_REST: Mistake = Mistake::of(
    "water-holds-the-rest",
    "gave what stays dissolved",
    "w × t",
    "the wrong part was taken",
    "Crystals are what the cold water cannot hold.",
    PRACTICE,
);
const SCALED_ONE_TERM: Mistake = Mistake::of(
    "scaled-one-term",
    "scaled only the hot solubility",
    "w × s − t, as numbers",
    "one term is for the water there is, one for 100 g",
    "Scale both solubilities to the same water.",
    TP,
)
.as_number();
const ALL_DISSOLVES: Mistake = Mistake::of(
    "all-dissolves",
    "let all that was added dissolve",
    "d",
    "the limit of saturation is passed over",
    "Water holds no more than its solubility.",
    PC,
);

pub(super) const FAMILIES: &[Family] = &[
    Family {
        // S × (s − t) ÷ (1 + s)
        letters: &[('S', Takes::Amount), ('s', Takes::PerSolvent), ('t', Takes::PerSolvent)],
        spare: 0,
        right: |v| v[0] * (v[1] - v[2]) / (1.0 + v[1]),
        wrong: &[
            (SOLUTION_TAKEN_AS_WATER, |v| v[0] * (v[1] - v[2])),
            (ALL_OF_IT_CRYSTALLISED, |v| v[0] * v[1] / (1.0 + v[1])),
            (GAVE_WHAT_STAYS_DISSOLVED, |v| v[0] * v[2] / (1.0 + v[1])),
            (SHARES_ON_ONE_MASS, |v| v[0] * (v[1] / (1.0 + v[1]) - v[2] / (1.0 + v[2]))),
            (FORGOT_TO_SCALE, |v| 100.0 * (v[1] - v[2])),
        ],
    },
    Family {
        // w × (s − t)
        letters: &[('w', Takes::Amount), ('s', Takes::PerSolvent), ('t', Takes::PerSolvent)],
        spare: 0,
        right: |v| v[0] * (v[1] - v[2]),
        wrong: &[
            (WATER_LETS_ALL_GO, |v| v[0] * v[1]),
            (WATER_HOLDS_THE_REST, |v| v[0] * v[2]),
            (SCALED_ONE_TERM, |v| v[0] * v[1] / v[3] - 100.0 * v[2]),
        ],
    },
    Family {
        // w × s
        letters: &[('w', Takes::Amount), ('s', Takes::PerSolvent), ('d', Takes::Amount)],
        spare: 1,
        right: |v| v[0] * v[1],
        wrong: &[(ALL_DISSOLVES, |v| if v[2] > v[0] * v[1] { v[2] } else { f64::NAN })],
    },
];
