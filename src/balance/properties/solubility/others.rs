//! Solubility of carbonates, hydroxides, chromates, manganates and acids.

use super::{CRC, PERRY, SCHOOL, SEIDELL, Table, at, tens};

pub(super) const TABLES: &[Table] = &[
    Table {
        name: "sodium carbonate",
        also: &["washing soda", "soda ash", "Na2CO3.10H2O"],
        formula: "Na2CO3",
        solid: "Na2CO3.10H2O below 32.0 degC, Na2CO3.7H2O to 35.4 degC, Na2CO3.H2O above",
        points: &at(
            [0.0, 10.0, 20.0, 30.0, 32.0, 35.4, 40.0, 50.0, 60.0, 70.0, 80.0, 90.0, 100.0],
            [6.9, 12.1, 21.8, 40.3, 45.5, 49.6, 48.8, 47.5, 46.4, 45.6, 45.1, 44.7, 44.7],
        ),
        source: CRC,
    },
    Table {
        name: "sodium hydrogencarbonate",
        also: &["sodium hydrogen carbonate", "sodium bicarbonate", "baking soda"],
        formula: "NaHCO3",
        solid: "NaHCO3",
        // Above 60 degC the solution gives off carbon dioxide.
        points: &at([0.0, 10.0, 20.0, 30.0, 40.0, 60.0], [7.0, 8.1, 9.6, 11.1, 12.7, 16.0]),
        source: SCHOOL,
    },
    Table {
        name: "potassium carbonate",
        also: &["pearl ash"],
        formula: "K2CO3",
        solid: "2K2CO3.3H2O",
        points: &tens(
            0.0,
            [105.0, 108.0, 110.5, 113.7, 116.9, 121.2, 126.8, 133.1, 139.8, 147.5, 155.7],
        ),
        source: PERRY,
    },
    Table {
        name: "lithium carbonate",
        also: &[],
        formula: "Li2CO3",
        solid: "Li2CO3",
        points: &at(
            [0.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 80.0, 100.0],
            [1.54, 1.43, 1.33, 1.25, 1.17, 1.08, 1.01, 0.85, 0.72],
        ),
        source: PERRY,
    },
    Table {
        name: "sodium acetate",
        also: &["sodium ethanoate", "NaCH3COO", "CH3COONa", "NaC2H3O2.3H2O"],
        formula: "NaC2H3O2",
        solid: "NaC2H3O2.3H2O",
        // At 58 degC the anhydrous salt takes over: the table ends before it.
        points: &tens(0.0, [36.3, 40.8, 46.5, 54.6, 65.6, 83.0]),
        source: PERRY,
    },
    Table {
        name: "calcium hydroxide",
        also: &["slaked lime", "hydrated lime"],
        formula: "Ca(OH)2",
        solid: "Ca(OH)2",
        points: &tens(
            0.0,
            [0.185, 0.176, 0.165, 0.153, 0.141, 0.128, 0.116, 0.106, 0.094, 0.085, 0.077],
        ),
        source: PERRY,
    },
    Table {
        name: "barium hydroxide",
        also: &["Ba(OH)2.8H2O"],
        formula: "Ba(OH)2",
        solid: "Ba(OH)2.8H2O",
        // It rises fivefold to 80 degC with no point between: the table ends before.
        points: &tens(0.0, [1.67, 2.48, 3.89, 5.59, 8.22, 13.1, 20.9]),
        source: PERRY,
    },
    Table {
        name: "sodium hydroxide",
        also: &["caustic soda"],
        formula: "NaOH",
        solid: "NaOH.H2O",
        // Below 20 degC other hydrates follow each other within a few degrees.
        points: &tens(20.0, [109.0, 119.0, 129.0, 145.0, 174.0]),
        source: PERRY,
    },
    Table {
        name: "potassium dichromate",
        also: &[],
        formula: "K2Cr2O7",
        solid: "K2Cr2O7",
        points: &tens(0.0, [4.5, 7.7, 12.2, 18.3, 26.3, 35.7, 46.4, 58.5, 70.9, 83.5, 95.7]),
        source: CRC,
    },
    Table {
        name: "potassium chromate",
        also: &[],
        formula: "K2CrO4",
        solid: "K2CrO4",
        points: &tens(0.0, [59.0, 61.6, 63.7, 66.1, 68.1, 70.4, 72.1, 74.2, 76.1, 77.9, 79.5]),
        source: CRC,
    },
    Table {
        name: "potassium permanganate",
        also: &["potassium manganate(VII)"],
        formula: "KMnO4",
        solid: "KMnO4",
        points: &tens(0.0, [2.83, 4.4, 6.4, 9.0, 12.6, 16.9, 22.2]),
        source: SEIDELL,
    },
    Table {
        name: "boric acid",
        also: &["B(OH)3"],
        formula: "H3BO3",
        solid: "H3BO3",
        points: &tens(0.0, [2.68, 3.70, 5.01, 6.69, 8.81, 11.5, 14.8, 18.6, 23.6, 30.4, 40.3]),
        source: CRC,
    },
    Table {
        name: "oxalic acid",
        also: &["ethanedioic acid", "H2C2O4.2H2O", "(COOH)2"],
        formula: "H2C2O4",
        solid: "H2C2O4.2H2O",
        points: &at(
            [0.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 80.0],
            [3.54, 6.08, 9.52, 14.2, 21.5, 31.5, 44.3, 84.5],
        ),
        source: SEIDELL,
    },
    Table {
        name: "benzoic acid",
        also: &["C7H6O2", "benzenecarboxylic acid"],
        formula: "C6H5COOH",
        solid: "C6H5COOH",
        points: &tens(0.0, [0.17, 0.21, 0.29, 0.41, 0.56, 0.78, 1.16, 1.77, 2.72]),
        source: SEIDELL,
    },
];
