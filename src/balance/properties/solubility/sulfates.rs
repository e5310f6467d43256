//! Solubility of sulfates.

use super::{CRC, PERRY, Table, at, tens};

pub(super) const TABLES: &[Table] = &[
    Table {
        name: "copper sulfate",
        also: &[
            "copper sulphate",
            "copper(II) sulfate",
            "copper(II) sulphate",
            "blue vitriol",
            "CuSO4.5H2O",
        ],
        formula: "CuSO4",
        solid: "CuSO4.5H2O",
        // At 96 degC the trihydrate takes over: the table ends before it.
        points: &tens(0.0, [14.2, 16.8, 20.0, 23.9, 28.5, 34.0, 40.4, 47.9, 57.0, 67.5]),
        source: CRC,
    },
    Table {
        name: "magnesium sulfate",
        also: &["magnesium sulphate", "Epsom salt", "Epsom salts", "MgSO4.7H2O"],
        formula: "MgSO4",
        solid: "MgSO4.7H2O below 48 degC, MgSO4.6H2O to 69 degC, MgSO4.H2O above",
        points: &tens(0.0, [22.0, 27.7, 33.5, 39.3, 44.7, 50.2, 55.3, 58.5, 56.0, 53.1, 49.9]),
        source: CRC,
    },
    Table {
        name: "sodium sulfate",
        also: &["sodium sulphate", "Glauber's salt", "Glauber salt", "Na2SO4.10H2O"],
        formula: "Na2SO4",
        solid: "Na2SO4.10H2O below 32.4 degC, Na2SO4 above",
        points: &at(
            [0.0, 10.0, 20.0, 25.0, 30.0, 32.4, 40.0, 60.0, 80.0, 90.0, 100.0],
            [4.9, 9.1, 19.5, 28.0, 40.8, 49.7, 48.8, 45.3, 43.7, 42.7, 42.5],
        ),
        // Between 20 and 30 degC it bends too much to be left without a point.
        source: "from memory of the usual school table, rounded; the points at 25 and 32.4 degC \
            from memory of Seidell and Linke",
    },
    Table {
        name: "potassium sulfate",
        also: &["potassium sulphate", "sulfate of potash", "sulphate of potash"],
        formula: "K2SO4",
        solid: "K2SO4",
        points: &tens(0.0, [7.4, 9.2, 11.1, 13.0, 14.8, 16.5, 18.2, 19.8, 21.4, 22.8, 24.1]),
        source: PERRY,
    },
    Table {
        name: "ammonium sulfate",
        also: &["ammonium sulphate", "sulfate of ammonia", "sulphate of ammonia"],
        formula: "(NH4)2SO4",
        solid: "(NH4)2SO4",
        points: &at(
            [0.0, 10.0, 20.0, 30.0, 40.0, 60.0, 80.0, 100.0],
            [70.6, 73.0, 75.4, 78.0, 81.0, 88.0, 95.3, 103.3],
        ),
        source: PERRY,
    },
    Table {
        name: "potassium aluminium sulfate",
        also: &[
            "potassium aluminium sulphate",
            "potassium aluminum sulfate",
            "alum",
            "potash alum",
            "KAl(SO4)2.12H2O",
        ],
        formula: "KAl(SO4)2",
        solid: "KAl(SO4)2.12H2O",
        points: &tens(0.0, [3.0, 4.0, 5.9, 8.4, 11.7, 17.0, 24.8, 40.0, 71.0, 109.0]),
        source: PERRY,
    },
    Table {
        name: "iron(II) sulfate",
        also: &[
            "iron(II) sulphate",
            "iron sulfate",
            "iron sulphate",
            "ferrous sulfate",
            "ferrous sulphate",
            "green vitriol",
            "FeSO4.7H2O",
        ],
        formula: "FeSO4",
        solid: "FeSO4.7H2O",
        // Near 57 degC the tetrahydrate takes over: the table ends before it.
        points: &tens(0.0, [15.7, 20.5, 26.5, 32.9, 40.2, 48.6]),
        source: PERRY,
    },
    Table {
        name: "calcium sulfate",
        also: &["calcium sulphate", "gypsum", "CaSO4.2H2O"],
        formula: "CaSO4",
        solid: "CaSO4.2H2O",
        points: &tens(
            0.0,
            [0.174, 0.191, 0.202, 0.208, 0.210, 0.207, 0.201, 0.193, 0.184, 0.173, 0.163],
        ),
        source: CRC,
    },
];
