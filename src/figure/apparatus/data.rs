//! The nine sketches, typed: paths by role, matter, labels.
//!
//! Gives data only. Lengths are millimetres of the apparatus' own box, y down. A line
//! of `paths` is a role's letter and a written path: `W` wall, `T` thin, `D` dashed,
//! `F` filled, `K` white inside and wall around, `S` strong. `L` is liquid and `P` a
//! solid's dots in a box of two corners; dots lie in a `cone` or a `heap`.
//! Mouths and outlets stay open: a line across one would be a wrong drawing.

/// A sketch before it is drawn.
pub(super) struct Sketch {
    pub name: &'static str,
    /// Width and height of its box.
    pub size: (f64, f64),
    pub paths: &'static [&'static [&'static str]],
    pub tags: &'static [Tag],
    /// What is to be seen, without the name of a part that a label may ask for.
    pub seen: &'static str,
    /// What it does, said only where nothing is asked.
    pub does: &'static str,
}

/// A label: the part's name, where its leader's tip lies, and where the words stand.
pub(super) struct Tag {
    pub name: &'static str,
    pub tip: (f64, f64),
    pub place: Place,
    /// The tip and the place where a line to write on stands instead.
    pub blank: ((f64, f64), Place),
    /// The part told by its looks, for who cannot see what a letter points to.
    pub looks: &'static str,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Place {
    /// In the column right of the box.
    Column,
    /// Words begin there.
    At(f64, f64),
    /// Words end there.
    Before(f64, f64),
}

const fn tag(name: &'static str, tip: (f64, f64), looks: &'static str) -> Tag {
    Tag { name, tip, place: Place::Column, blank: (tip, Place::Column), looks }
}

const fn put(
    name: &'static str,
    tip: (f64, f64),
    place: Place,
    blank: ((f64, f64), Place),
    looks: &'static str,
) -> Tag {
    Tag { name, tip, place, blank, looks }
}

/// Bung, thermometer, side arm, jacket and receiver: the same in both stills.
const HEAD: &[&str] = &[
    "T M21.4 0 V12 H22.6 V0 Z",
    "F o 22 13.2 1.1",
    "F M19 4.5 H21.2 V7.5 H19 Z",
    "F M22.8 4.5 H25 V7.5 H22.8 Z",
    "W M25 4.5 V11.2 L72.0 30.2 L78 33 V38",
    "W M25 14.8 L70.8 33.2 L75 35.6 V38",
    "W M36.7 16.0 L37.7 13.6 L67.4 25.6 L66.4 28.0",
    "W M35.5 19.0 L34.6 21.4 L64.2 33.4 L65.2 31.0",
    "W M60.5 31.9 L59.1 35.4",
    "W M62.4 32.6 L60.9 36.1",
    "W M39.6 14.3 L41.0 10.8",
    "W M41.4 15.1 L42.8 11.6",
    "W M69 40 V58 C69 59.4 69.6 60 71 60 H82 C83.4 60 84 59.4 84 58 V40",
    "T M69 53 H84",
    "L 69 53 84 59",
    "F o 76.5 41.5 0.6",
    "F o 76.5 45 0.6",
    "F o 76.5 48.5 0.6",
];

/// The labels that both stills have.
const THERMOMETER: Tag = put(
    "thermometer",
    (22.6, 2.0),
    Place::At(34.0, 2.0),
    ((22.6, 2.0), Place::At(34.0, -6.0)),
    "the thin tube that hangs from the stopper, its bulb at the side arm",
);
const CONDENSER: Tag = put(
    "condenser",
    (54.0, 24.0),
    Place::At(62.0, 17.0),
    ((54.0, 24.0), Place::At(64.0, 16.0)),
    "the slanting tube within a wider tube",
);
const DISTILLATE: Tag = put(
    "distillate",
    (80.0, 56.5),
    Place::At(88.0, 56.5),
    ((80.0, 56.5), Place::At(88.0, 56.5)),
    "the liquid in the vessel at the end of the slanting tube",
);

/// Rings in a fractionating column: two and one by turns.
const RINGS: &[&str] = &[
    "W o 20.4 22 1.1",
    "W o 23.6 22 1.1",
    "W o 22 25 1.1",
    "W o 20.4 28 1.1",
    "W o 23.6 28 1.1",
    "W o 22 31 1.1",
    "W o 20.4 34 1.1",
    "W o 23.6 34 1.1",
    "W o 22 37 1.1",
    "W o 20.4 40 1.1",
    "W o 23.6 40 1.1",
    "W o 22 43 1.1",
];

/// All of them, by name.
pub(super) const SKETCHES: &[Sketch] = &[
    Sketch {
        name: "filtration",
        size: (50.0, 66.0),
        paths: &[&[
            "W M9 8 L23 25 V40 M27 37 V25 L41 8",
            "D M12 8 L25 24 L38 8",
            "T M16 12.5 H34",
            "L 12 12.5 38 17.6",
            "P 20 18.5 30 23 cone",
            "W M20 35 V42 L8 61 C7.2 62.6 8 64 10 64 H40 C42 64 42.8 62.6 42 61 L30 42 V35",
            "T M11.2 56 H38.8",
            "L 10 56 40 63",
        ]],
        tags: &[
            tag("filter paper", (36.8, 9.4), "the dashed cone that lines the upper vessel"),
            tag("mixture", (28.0, 15.6), "the cloudy liquid in the dashed cone"),
            tag("residue", (24.8, 21.8), "the grains at the bottom of the dashed cone"),
            tag("filtrate", (33.0, 59.0), "the clear liquid in the lower vessel"),
        ],
        seen: "A wide cone with a stem stands over a flask with sloping sides; a second, dashed cone lines the first.",
        does: "Liquid runs through; the solid stays behind.",
    },
    Sketch {
        name: "evaporation",
        size: (50.0, 60.0),
        paths: &[&[
            "W M7 12 H10 M40 12 H43",
            "W M10 12 C11 24 18 28 25 28 C32 28 39 24 40 12",
            "T M10.8 16.5 H39.2",
            "L 10 16.5 40 27",
            "F M12.2 14.6 L13.2 16 L12.2 17.4 L11.2 16 Z",
            "F M37.8 14.6 L38.8 16 L37.8 17.4 L36.8 16 Z",
            "S M5 29 H45",
            "W M9 30 L6 56",
            "W M41 30 L44 56",
            "W M25 54 V37",
            "F M25 33.5 L23.4 37.5 L26.6 37.5 Z",
        ]],
        tags: &[
            tag(
                "crystals at the edge",
                (37.8, 15.6),
                "the small dark diamonds where the surface meets the wall",
            ),
            tag("strong solution", (29.0, 22.2), "the liquid in the round vessel"),
            tag("gauze on tripod", (43.0, 29.0), "the flat support on legs"),
            tag("heat", (25.0, 45.0), "the arrow that points up from below"),
        ],
        seen: "A wide open round vessel, part filled, stands on a flat support with legs; an arrow points up to it from below.",
        does: "The solvent boils off into the air; the dissolved solid stays.",
    },
    Sketch {
        name: "crystallisation",
        size: (50.0, 34.0),
        paths: &[&[
            "D M6 8 H44",
            "W M8 10 V29 C8 30.4 8.8 31 10 31 H40 C41.2 31 42 30.4 42 29 V10",
            "T M8 16 H42",
            "L 8 16 42 25",
            "F M12 27.4 L13.8 29.2 L12 31 L10.2 29.2 Z",
            "F M17 26.2 L19.4 28.6 L17 31 L14.6 28.6 Z",
            "F M22 27.8 L23.6 29.4 L22 31 L20.4 29.4 Z",
            "F M27 26.2 L29.4 28.6 L27 31 L24.6 28.6 Z",
            "F M32 27.4 L33.8 29.2 L32 31 L30.2 29.2 Z",
            "F M37 26.6 L39.2 28.8 L37 31 L34.8 28.8 Z",
        ]],
        tags: &[
            tag("paper cover with holes", (40.0, 8.0), "the dashed line over the open top"),
            tag("mother liquor", (30.0, 20.0), "the liquid"),
            tag("crystals", (37.0, 29.0), "the dark diamonds on the floor"),
        ],
        seen: "A shallow flat vessel holds a liquid, with dark diamonds on its floor; a dashed line lies over its open top.",
        does: "The solution stands and cools; what no longer stays dissolved settles.",
    },
    Sketch {
        name: "simple distillation",
        size: (92.0, 64.0),
        paths: &[
            HEAD,
            &[
                "W M19 4.5 V24 C14.2 25.4 11 29.6 11 34.6 C11 40.7 15.9 45.6 22 45.6 C28.1 45.6 33 40.7 33 34.6 C33 29.6 29.8 25.4 25 24 V14.8",
                "T M12 38 H32",
                "L 11 38 33 44",
                "W M22 62 V53",
                "F M22 48.5 L20.4 52.5 L23.6 52.5 Z",
            ],
        ],
        tags: &[
            THERMOMETER,
            put(
                "water out",
                (41.6, 10.6),
                Place::At(48.0, 9.0),
                ((41.6, 10.6), Place::At(50.0, 5.0)),
                "the upper stub on the outer of the two slanting tubes",
            ),
            CONDENSER,
            put(
                "water in",
                (60.0, 36.8),
                Place::Before(55.0, 43.5),
                ((60.0, 36.8), Place::At(65.0, 67.0)),
                "the lower stub on the outer of the two slanting tubes",
            ),
            put(
                "flask",
                (33.0, 34.6),
                Place::At(39.0, 34.6),
                ((11.0, 34.6), Place::Before(5.0, 34.6)),
                "the round vessel over the arrow",
            ),
            DISTILLATE,
        ],
        seen: "A round vessel, part filled, stands over an arrow that points up; from its neck a slanting tube within a wider tube leads down to an open vessel; the neck is stopped, and a thin tube hangs from the stopper.",
        does: "Vapour leaves the boiling liquid, turns back to liquid in the cold tube and drips into the open vessel.",
    },
    Sketch {
        name: "fractional distillation",
        size: (92.0, 84.0),
        paths: &[
            HEAD,
            RINGS,
            &[
                "W M19 4.5 V16 L18.5 17 V46 H19 M25 46 H25.5 V17 L25 16 V14.8",
                "W M19 46 V48 C14.2 49.4 11 53.6 11 58.6 C11 64.7 15.9 69.6 22 69.6 C28.1 69.6 33 64.7 33 58.6 C33 53.6 29.8 49.4 25 48 V46",
                "T M12 62 H32",
                "L 11 62 33 68",
                "W M22 83 V76",
                "F M22 71.5 L20.4 75.5 L23.6 75.5 Z",
            ],
        ],
        tags: &[
            THERMOMETER,
            CONDENSER,
            put(
                "column",
                (25.5, 40.0),
                Place::At(38.0, 40.0),
                ((18.5, 36.0), Place::Before(2.0, 36.0)),
                "the upright tube filled with small rings",
            ),
            put(
                "flask",
                (33.0, 58.6),
                Place::At(39.0, 58.6),
                ((11.0, 58.6), Place::Before(2.0, 58.6)),
                "the round vessel over the arrow",
            ),
            DISTILLATE,
        ],
        seen: "A round vessel, part filled, stands over an arrow that points up; above it stands an upright tube filled with small rings; from its head a slanting tube within a wider tube leads down to an open vessel; the head is stopped, and a thin tube hangs from the stopper.",
        does: "Vapour turns to liquid and boils again on the rings many times; what boils lowest leaves at the head first.",
    },
    Sketch {
        name: "separating funnel",
        size: (44.0, 76.0),
        paths: &[&[
            "F M18.6 2 H25.4 L24.6 7 H19.4 Z",
            "W M18.5 5 V9 C11 11 7 17 7 24 C7 34 15 41 20 48 V53 M24 53 V48 C29 41 37 34 37 24 C37 17 33 11 25.5 9 V5",
            "T M7.6 20 H36.4",
            "W M9.6 31 H34.4",
            "L 7 31 37 46",
            "K M18.5 53 H25.5 V57 H18.5 Z",
            "S M25.5 55 H31",
            "W M20 57 V68 M24 65 V57",
            "W M10 64 V73 C10 74.4 10.6 75 12 75 H32 C33.4 75 34 74.4 34 73 V64",
        ]],
        tags: &[
            tag("stopper", (23.5, 4.0), "the dark plug in the top"),
            tag("less dense layer", (30.0, 25.0), "the upper of the two liquids"),
            tag("denser layer", (26.0, 38.0), "the lower of the two liquids, drawn with dashes"),
            tag("tap", (30.5, 55.0), "the small block with a handle in the stem"),
        ],
        seen: "A pear-shaped vessel with a plug in its top holds two liquids, one on the other; its stem has a small block with a handle and ends over an open vessel.",
        does: "Two liquids that do not mix are run off one after the other.",
    },
    Sketch {
        name: "paper chromatography",
        size: (46.0, 64.0),
        paths: &[&[
            "S M3 6 H43",
            "W M7 9 V59 C7 60.4 7.6 61 9 61 H37 C38.4 61 39 60.4 39 59 V9",
            "T M7 53 H14 M32 53 H39",
            "L 7 53 39 60",
            "K M14 6 H32 V56 H14 Z",
            "T M14 49 H32",
            "F o 18.5 49 0.8",
            "F o 27.5 49 0.8",
            "F o 18.5 36 1.5",
            "F o 18.5 25 1.5",
            "F o 27.5 25 1.5",
            "D M14 15 H32",
        ]],
        tags: &[
            tag(
                "solvent front",
                (31.0, 15.0),
                "the dashed line across the hanging sheet, near its top",
            ),
            tag("paper", (30.0, 30.0), "the hanging sheet"),
            tag(
                "pencil line",
                (32.0, 49.0),
                "the thin line across the sheet, just above the liquid, with two small dots",
            ),
            tag("solvent", (36.0, 57.0), "the liquid at the bottom of the vessel"),
        ],
        seen: "A sheet hangs from a rod into a tall vessel; its lower edge dips into a little liquid; dots stand on the sheet at several heights.",
        does: "Liquid climbs the sheet and carries each substance along at its own pace.",
    },
    Sketch {
        name: "centrifuge",
        size: (70.0, 50.0),
        paths: &[&[
            "W M35 16 V44",
            "S M27 46 H43",
            "W M18.6 18 H51.4",
            "F o 35 18 1.6",
            "K M15 15 L3.6 34.6 C2.6 36.6 5.4 38.6 6.8 36.6 L19 17.4 Z",
            "F M5.4 31.5 L3.6 34.6 C2.6 36.6 5.4 38.6 6.8 36.6 L8.8 33.5 Z",
            "K M55 15 L66.4 34.6 C67.4 36.6 64.6 38.6 63.2 36.6 L51 17.4 Z",
            "F M64.6 31.5 L66.4 34.6 C67.4 36.6 64.6 38.6 63.2 36.6 L61.2 33.5 Z",
            "T M12.72 18.92 L16.56 21.24",
            "T M57.28 18.92 L53.44 21.24",
            "W M27 9 C29 4.5 41 4.5 43 9",
            "F M44.4 12 L41 9.6 L44.6 7.8 Z",
        ]],
        tags: &[
            tag(
                "liquid above (supernatant)",
                (59.0, 25.0),
                "the clear upper part in a slanting tube",
            ),
            tag("sediment", (65.0, 35.0), "the dark tip of a slanting tube"),
        ],
        seen: "Two closed tubes hang slanting outwards from the ends of a bar on an upright shaft; a curved arrow shows that the bar turns.",
        does: "Turning fast presses the denser solid to the tips of the tubes.",
    },
    Sketch {
        name: "sublimation",
        size: (50.0, 66.0),
        paths: &[&[
            "W M23 4 V12 L10 31 M40 31 L27 12 V4",
            "T M24 4.2 C26.6 3.4 27 5.6 25 5.6 C23 5.6 23.4 7.6 25 7.4 C27 7.2 26.6 9.4 25 9.2 C23.6 9 23.6 10.6 24.6 10.4",
            "T M26.2 4 C24.4 4.6 23.4 6 25 6.6 C26.6 7 26.4 8.4 25 8.4 C23.6 8.6 24 10 26.2 9.8",
            "F M15 25 L16.4 26.6 L15.4 28 L13.6 27 Z",
            "F M18.4 20 L19.8 21.4 L18.8 23 L17.2 22 Z",
            "F M35 25 L36.4 27 L34.6 28 L33.6 26.6 Z",
            "F M31.6 20 L32.8 22 L31.2 23 L30.2 21.4 Z",
            "W M6 31 H9 M41 31 H44",
            "W M9 31 C11 39 18 42 25 42 C32 42 39 39 41 31",
            "P 17 37 33 41.6 heap",
            "S M5 43 H45",
            "W M9 44 L6 64 M41 44 L44 64",
            "W M25 63 V51",
            "F M25 47.5 L23.4 51.5 L26.6 51.5 Z",
        ]],
        tags: &[
            tag("loose plug", (25.0, 6.0), "the tangle of threads in the narrow stem"),
            tag(
                "solid formed again",
                (35.0, 26.4),
                "the dark pieces on the inside of the upper cone",
            ),
            tag("mixture", (28.0, 39.5), "the heap of grains in the round vessel"),
            tag("heat", (25.0, 56.0), "the arrow that points up from below"),
        ],
        seen: "A cone turned over, its narrow stem stopped with a tangle of threads, covers a wide round vessel with a heap of grains; the vessel stands on a flat support with legs, and an arrow points up to it from below.",
        does: "One solid turns to vapour and back to a solid on the cool wall; the other stays below.",
    },
];
