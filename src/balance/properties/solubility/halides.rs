//! Solubility of chlorides, bromides and iodides.

use super::{CRC, PERRY, Table, at, tens};

pub(super) const TABLES: &[Table] = &[
    Table {
        name: "sodium chloride",
        also: &["common salt", "table salt", "rock salt", "halite"],
        formula: "NaCl",
        solid: "NaCl",
        points: &tens(0.0, [35.7, 35.7, 35.9, 36.1, 36.4, 36.7, 37.0, 37.5, 37.9, 38.5, 39.0]),
        source: CRC,
    },
    Table {
        name: "potassium chloride",
        also: &["muriate of potash", "sylvite"],
        formula: "KCl",
        solid: "KCl",
        points: &tens(0.0, [27.6, 31.0, 34.0, 37.0, 40.0, 42.6, 45.5, 48.3, 51.1, 54.0, 56.7]),
        source: PERRY,
    },
    Table {
        name: "ammonium chloride",
        also: &["sal ammoniac"],
        formula: "NH4Cl",
        solid: "NH4Cl",
        points: &tens(0.0, [29.4, 33.3, 37.2, 41.4, 45.8, 50.4, 55.2, 60.2, 65.6, 71.3, 77.3]),
        source: PERRY,
    },
    Table {
        name: "lithium chloride",
        also: &[],
        formula: "LiCl",
        solid: "LiCl.2H2O below 19 degC, LiCl.H2O to 94 degC, LiCl above",
        points: &tens(0.0, [67.9, 73.8, 82.8, 86.0, 89.8, 94.1, 99.1, 105.0, 113.0, 122.0, 129.0]),
        source: CRC,
    },
    Table {
        name: "barium chloride",
        also: &["BaCl2.2H2O"],
        formula: "BaCl2",
        solid: "BaCl2.2H2O",
        points: &at(
            [0.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 100.0],
            [31.6, 33.3, 35.7, 38.2, 40.7, 43.6, 46.4, 49.4, 52.4, 58.8],
        ),
        source: PERRY,
    },
    Table {
        name: "potassium bromide",
        also: &[],
        formula: "KBr",
        solid: "KBr",
        points: &tens(0.0, [53.5, 59.5, 65.2, 70.6, 75.5, 80.2, 85.5, 90.0, 95.0, 99.2, 104.0]),
        source: PERRY,
    },
    Table {
        name: "potassium iodide",
        also: &[],
        formula: "KI",
        solid: "KI",
        points: &tens(
            0.0,
            [127.5, 136.0, 144.0, 152.0, 160.0, 168.0, 176.0, 184.0, 192.0, 200.0, 208.0],
        ),
        source: PERRY,
    },
];
