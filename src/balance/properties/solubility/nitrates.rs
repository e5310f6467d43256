//! Solubility of nitrates and of chlorates.

use super::{CRC, PERRY, SCHOOL, Table, at, tens};

pub(super) const TABLES: &[Table] = &[
    Table {
        name: "potassium nitrate",
        also: &["nitre", "niter", "saltpetre", "saltpeter"],
        formula: "KNO3",
        solid: "KNO3",
        points: &tens(0.0, [13.3, 20.9, 31.6, 45.8, 63.9, 85.5, 110.0, 138.0, 169.0, 202.0, 246.0]),
        source: PERRY,
    },
    Table {
        name: "sodium nitrate",
        also: &["Chile saltpetre", "Chile saltpeter", "soda nitre"],
        formula: "NaNO3",
        solid: "NaNO3",
        points: &at(
            [0.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 80.0, 100.0],
            [73.0, 80.0, 88.0, 96.0, 104.0, 114.0, 124.0, 148.0, 180.0],
        ),
        source: PERRY,
    },
    Table {
        name: "ammonium nitrate",
        also: &[],
        formula: "NH4NO3",
        solid: "NH4NO3, in another crystal form above 32 degC",
        points: &at(
            [0.0, 10.0, 20.0, 30.0, 40.0, 60.0, 80.0],
            [118.0, 150.0, 192.0, 242.0, 297.0, 421.0, 580.0],
        ),
        source: SCHOOL,
    },
    Table {
        name: "silver nitrate",
        also: &["lunar caustic"],
        formula: "AgNO3",
        solid: "AgNO3",
        points: &tens(
            0.0,
            [127.0, 165.0, 211.0, 261.0, 318.0, 381.0, 446.0, 517.0, 585.0, 652.0, 720.0],
        ),
        source: CRC,
    },
    Table {
        name: "lead nitrate",
        also: &["lead(II) nitrate"],
        formula: "Pb(NO3)2",
        solid: "Pb(NO3)2",
        points: &tens(0.0, [39.8, 47.3, 55.4, 64.1, 73.1, 82.4, 91.9, 102.0, 112.0, 121.0, 131.0]),
        source: CRC,
    },
    Table {
        name: "barium nitrate",
        also: &[],
        formula: "Ba(NO3)2",
        solid: "Ba(NO3)2",
        points: &at(
            [0.0, 10.0, 20.0, 30.0, 40.0, 60.0, 80.0, 100.0],
            [4.95, 6.67, 9.02, 11.5, 14.1, 20.4, 27.2, 34.4],
        ),
        source: SCHOOL,
    },
    Table {
        name: "potassium chlorate",
        also: &[],
        formula: "KClO3",
        solid: "KClO3",
        points: &tens(0.0, [3.1, 4.9, 7.2, 10.1, 13.7, 18.0, 23.1, 29.3, 36.8, 46.0, 57.8]),
        source: CRC,
    },
];
