//! The symbols of operations as data: outlines on a grid of 24 by 24, y down, and
//! the places where streams meet them.
//!
//! A path is written as a role and the moves of the pen: `M x y` to, `L x y` line,
//! `H x` and `V y` level and upright lines, `C` a curve by two handles and its end,
//! `Z` closed, `o x y r` a circle. `¦` parts paths. Roles: `W` wall, `T` thin,
//! `D` dashed, `F` solid.

use crate::balance::operations::Symbol;
use crate::figure::{Move, Role, Shape};

/// The side of a symbol's grid in mm at the usual size: 24 steps of 1.75 points.
pub(super) const SIDE: f64 = 24.0 * 1.75 * 25.4 / 72.0;

/// One step of the grid in mm at the usual size.
pub(super) const STEP: f64 = SIDE / 24.0;

/// The side of a symbol by which a stream meets it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(super) enum Side {
    Left,
    Right,
    Up,
    Down,
}

use Side::{Down, Left, Right, Up};

/// Keys of ports, and the places on the grid for them, the best first.
type Port = (&'static [&'static str], &'static [(f64, f64, Side)]);

/// A symbol: its outline, the box it fills (left, top, right, foot), its inlets and
/// outlets. The last row of each holds what has no place of its own.
pub(super) struct Drawn {
    pub(super) paths: &'static str,
    pub(super) fills: (f64, f64, f64, f64),
    pub(super) inlets: &'static [Port],
    pub(super) outlets: &'static [Port],
}

const SETTLER: Drawn = Drawn {
    paths: "W M3 4 V13 L12 21 L21 13 V4 ¦ T M3 8 H21 ¦ F M7.5 17 L12 21 L16.5 17 Z",
    fills: (3.0, 4.0, 21.0, 21.0),
    inlets: &[(&[], &[(3.0, 7.0, Left), (8.0, 7.0, Up), (16.0, 7.0, Up)])],
    outlets: &[
        (&["overflow"], &[(21.0, 8.0, Right)]),
        (&["underflow"], &[(12.0, 21.0, Down)]),
        (&[], &[(21.0, 11.0, Right)]),
    ],
};

const FILTER: Drawn = Drawn {
    paths: "W M3 3 H21 V21 H3 Z ¦ D M3 13 H21 ¦ F o 7.5 10.5 1.3 ¦ F o 12 10.5 1.3 \
            ¦ F o 16.5 10.5 1.3",
    fills: (3.0, 3.0, 21.0, 21.0),
    inlets: &[(&[], &[(12.0, 3.0, Up), (6.5, 3.0, Up), (17.5, 3.0, Up)])],
    outlets: &[
        (&["cake"], &[(21.0, 8.0, Right)]),
        (&["filtrate"], &[(12.0, 21.0, Down)]),
        (&[], &[(21.0, 17.0, Right)]),
    ],
};

const EVAPORATOR: Drawn = Drawn {
    paths: "W M4 10 C4 5.5 7.5 3 12 3 C16.5 3 20 5.5 20 10 V21 H4 Z ¦ T M4 12 H20 \
            ¦ W M7 18 L9 15 L11 18 L13 15 L15 18 L17 15",
    fills: (4.0, 3.0, 20.0, 21.0),
    inlets: &[(&[], &[(4.0, 14.0, Left), (9.0, 21.0, Down), (4.0, 18.0, Left)])],
    outlets: &[
        (&["vapour"], &[(12.0, 3.0, Up)]),
        (&["concentrate"], &[(20.0, 18.0, Right)]),
        (&[], &[(15.0, 21.0, Down)]),
    ],
};

const CRYSTALLISER: Drawn = Drawn {
    paths: "W M2 5 V20 H22 V5 ¦ T M2 9 H22 ¦ F M7 14 L9 17 L7 20 L5 17 Z \
            ¦ F M12 14 L14 17 L12 20 L10 17 Z ¦ F M17 14 L19 17 L17 20 L15 17 Z",
    fills: (2.0, 5.0, 22.0, 20.0),
    inlets: &[(&[], &[(2.0, 9.0, Left), (6.0, 9.0, Up), (2.0, 14.0, Left)])],
    outlets: &[
        (&["crystals", "product"], &[(22.0, 17.0, Right)]),
        (&["liquor"], &[(12.0, 20.0, Down)]),
        (&["vapour"], &[(12.0, 6.0, Up)]),
        (&[], &[(22.0, 12.0, Right)]),
    ],
};

const CENTRIFUGE: Drawn = Drawn {
    paths: "W o 12 12 9 ¦ D o 12 12 5.5 ¦ F o 12 12 1.3 ¦ F M17.5 12 L15.4 8.6 L19.6 8.6 Z",
    fills: (3.0, 3.0, 21.0, 21.0),
    inlets: &[(&[], &[(12.0, 3.0, Up), (3.0, 12.0, Left)])],
    outlets: &[
        (&["crystals", "solids", "light"], &[(21.0, 12.0, Right)]),
        (&["liquor", "heavy"], &[(12.0, 21.0, Down)]),
        (&[], &[(19.8, 16.5, Right)]),
    ],
};

const DRIER: Drawn = Drawn {
    paths: "W M1 7 H23 V19 H1 Z ¦ T M6 17 C4 14.5 8 11.5 6 9 ¦ T M12 17 C10 14.5 14 11.5 12 9 \
            ¦ T M18 17 C16 14.5 20 11.5 18 9",
    fills: (1.0, 7.0, 23.0, 19.0),
    inlets: &[
        (&["gas in"], &[(18.0, 19.0, Down)]),
        (&[], &[(1.0, 13.0, Left), (5.0, 7.0, Up), (1.0, 16.0, Left)]),
    ],
    outlets: &[
        (&["vapour"], &[(12.0, 7.0, Up)]),
        (&["gas out"], &[(6.0, 7.0, Up)]),
        (&["product"], &[(23.0, 13.0, Right)]),
        (&[], &[(12.0, 19.0, Down)]),
    ],
};

const STILL: Drawn = Drawn {
    paths: "W M8 6 C8 3 9.5 2 12 2 C14.5 2 16 3 16 6 V18 C16 21 14.5 22 12 22 C9.5 22 8 21 8 18 Z \
            ¦ W M8 8.5 H13.5 ¦ W M16 12 H10.5 ¦ W M8 15.5 H13.5",
    fills: (8.0, 2.0, 16.0, 22.0),
    inlets: &[
        (&["steam"], &[(8.0, 18.0, Left)]),
        (&[], &[(8.0, 12.0, Left), (16.0, 14.0, Right), (8.0, 6.0, Left)]),
    ],
    outlets: &[
        (&["vapour", "distillate"], &[(12.0, 2.0, Up)]),
        (&["liquid", "residue"], &[(12.0, 22.0, Down)]),
        (&[], &[(16.0, 10.0, Right)]),
    ],
};

/// A tower with packing.
const COLUMN: Drawn = Drawn {
    paths: "W M7 6 C7 3 9 2 12 2 C15 2 17 3 17 6 V18 C17 21 15 22 12 22 C9 22 7 21 7 18 Z \
            ¦ T M7 7.5 H17 ¦ T M7 16.5 H17 ¦ T M7 7.5 L17 16.5 ¦ T M17 7.5 L7 16.5",
    fills: (7.0, 2.0, 17.0, 22.0),
    inlets: &[
        (&["gas in"], &[(7.0, 18.0, Left)]),
        (&["liquid in"], &[(17.0, 6.0, Right)]),
        (&[], &[(7.0, 12.0, Left), (17.0, 12.0, Right), (7.0, 6.0, Left)]),
    ],
    outlets: &[
        (&["gas out", "distillate"], &[(12.0, 2.0, Up)]),
        (&["liquid out", "residue"], &[(12.0, 22.0, Down)]),
        (&[], &[(17.0, 17.0, Right)]),
    ],
};

const EXTRACTOR: Drawn = Drawn {
    paths: "W M6 2 H18 V22 H6 Z ¦ T M6 12 H18 ¦ W M9.5 18 V7 ¦ F M9.5 5 L8 8 L11 8 Z \
            ¦ W M14.5 6 V17 ¦ F M14.5 19 L13 16 L16 16 Z",
    fills: (6.0, 2.0, 18.0, 22.0),
    inlets: &[
        (&["solvent"], &[(18.0, 6.0, Right)]),
        (&[], &[(6.0, 18.0, Left), (9.0, 22.0, Down), (6.0, 14.0, Left)]),
    ],
    outlets: &[
        (&["extract"], &[(6.0, 6.0, Left)]),
        (&["raffinate", "residue"], &[(18.0, 18.0, Right)]),
        (&[], &[(15.0, 22.0, Down)]),
    ],
};

const SCREEN: Drawn = Drawn {
    paths: "W M3 4 H21 V20 H3 Z ¦ D M3 10 L21 16 ¦ F o 9 8.6 1.8 ¦ F o 15.5 10.6 1.8 \
            ¦ F o 8 16 0.8 ¦ F o 12 17.5 0.8 ¦ F o 16 18 0.8",
    fills: (3.0, 4.0, 21.0, 20.0),
    inlets: &[(&[], &[(12.0, 4.0, Up), (6.5, 4.0, Up), (17.5, 4.0, Up)])],
    outlets: &[
        (&["oversize"], &[(21.0, 15.0, Right)]),
        (&["undersize"], &[(12.0, 20.0, Down)]),
        (&[], &[(21.0, 18.5, Right)]),
    ],
};

const MEMBRANE: Drawn = Drawn {
    paths: "W M2 5 H22 V19 H2 Z ¦ D M11 5 V19 ¦ D M13 5 V19 ¦ W M5 12 H16 \
            ¦ F M19 12 L16 10.5 L16 13.5 Z",
    fills: (2.0, 5.0, 22.0, 19.0),
    inlets: &[(&[], &[(2.0, 12.0, Left), (6.0, 5.0, Up), (2.0, 16.0, Left)])],
    outlets: &[
        (&["concentrate"], &[(7.0, 19.0, Down)]),
        (&["permeate"], &[(22.0, 12.0, Right)]),
        (&[], &[(17.0, 19.0, Down)]),
    ],
};

const MIXER: Drawn = Drawn {
    paths: "W o 12 12 6 ¦ W M12 9 V15 ¦ W M9 12 H15",
    fills: (6.0, 6.0, 18.0, 18.0),
    inlets: &[(
        &[],
        &[
            (6.0, 12.0, Left),
            (12.0, 6.0, Up),
            (12.0, 18.0, Down),
            (7.8, 7.8, Up),
            (7.8, 16.2, Down),
        ],
    )],
    outlets: &[(&[], &[(18.0, 12.0, Right)])],
};

const SPLITTER: Drawn = Drawn {
    paths: "W M4 12 L12 4 L20 12 L12 20 Z ¦ W M8 12 H11.5 L15.5 9 ¦ W M11.5 12 L15.5 15",
    fills: (4.0, 4.0, 20.0, 20.0),
    inlets: &[(&[], &[(4.0, 12.0, Left), (8.0, 8.0, Up), (8.0, 16.0, Down)])],
    outlets: &[(
        &[],
        &[
            (20.0, 12.0, Right),
            (12.0, 20.0, Down),
            (12.0, 4.0, Up),
            (16.0, 16.0, Down),
            (16.0, 8.0, Up),
        ],
    )],
};

/// What has balances only, or no symbol of its own.
const BOX: Drawn = Drawn {
    paths: "W M3 4 H21 V20 H3 Z ¦ T M3 4 L21 20",
    fills: (3.0, 4.0, 21.0, 20.0),
    inlets: &[(
        &[],
        &[
            (3.0, 12.0, Left),
            (8.0, 4.0, Up),
            (8.0, 20.0, Down),
            (3.0, 7.0, Left),
            (3.0, 17.0, Left),
        ],
    )],
    outlets: &[(
        &[],
        &[
            (21.0, 12.0, Right),
            (16.0, 20.0, Down),
            (16.0, 4.0, Up),
            (21.0, 7.0, Right),
            (21.0, 17.0, Right),
        ],
    )],
};

/// A round body with a coil of cold water through it.
const CONDENSER: Drawn = Drawn {
    paths: "W o 12 12 8 ¦ W M4 12 H8 L10 8.5 L14 15.5 L16 12 H20",
    fills: (4.0, 4.0, 20.0, 20.0),
    inlets: &[(&[], &[(4.0, 12.0, Left), (12.0, 4.0, Up), (5.4, 16.5, Left)])],
    outlets: &[
        (&["gas"], &[(12.0, 4.0, Up), (17.7, 6.4, Up)]),
        (&["condensate"], &[(20.0, 12.0, Right), (12.0, 20.0, Down)]),
        (&[], &[(16.0, 18.9, Down)]),
    ],
};

/// Two plates that are driven together.
const PRESS: Drawn = Drawn {
    paths: "W M3 4 H21 V20 H3 Z ¦ S M9 7 V17 ¦ S M15 7 V17 ¦ W M4 12 H6 \
            ¦ F M8.5 12 L5.5 10.3 L5.5 13.7 Z ¦ W M20 12 H18 ¦ F M15.5 12 L18.5 10.3 L18.5 13.7 Z \
            ¦ F o 12 9 0.9 ¦ F o 12 12 0.9 ¦ F o 12 15 0.9",
    fills: (3.0, 4.0, 21.0, 20.0),
    inlets: &[(&[], &[(12.0, 4.0, Up), (6.5, 4.0, Up), (17.5, 4.0, Up)])],
    outlets: &[
        (&["cake"], &[(21.0, 8.0, Right)]),
        (&["liquor"], &[(12.0, 20.0, Down)]),
        (&[], &[(21.0, 17.0, Right)]),
    ],
};

/// A vessel with a bed of grains.
const ADSORBER: Drawn = Drawn {
    paths: "W M6 2 H18 V22 H6 Z ¦ T M6 6 H18 ¦ T M6 18 H18 ¦ F o 8.5 8.5 0.8 ¦ F o 12 8.5 0.8 \
            ¦ F o 15.5 8.5 0.8 ¦ F o 10.2 12 0.8 ¦ F o 13.8 12 0.8 ¦ F o 8.5 15.5 0.8 \
            ¦ F o 12 15.5 0.8 ¦ F o 15.5 15.5 0.8",
    fills: (6.0, 2.0, 18.0, 22.0),
    inlets: &[
        (&["adsorbent"], &[(12.0, 2.0, Up)]),
        (&[], &[(6.0, 12.0, Left), (6.0, 4.0, Left), (6.0, 16.0, Left)]),
    ],
    outlets: &[
        (&["treated"], &[(18.0, 12.0, Right)]),
        (&["spent"], &[(12.0, 22.0, Down)]),
        (&[], &[(18.0, 18.0, Right)]),
    ],
};

pub(super) fn drawn(symbol: Symbol) -> &'static Drawn {
    match symbol {
        Symbol::Adsorber => &ADSORBER,
        Symbol::Box => &BOX,
        Symbol::Centrifuge => &CENTRIFUGE,
        Symbol::Column => &COLUMN,
        Symbol::Condenser => &CONDENSER,
        Symbol::Crystalliser => &CRYSTALLISER,
        Symbol::Drier => &DRIER,
        Symbol::Evaporator => &EVAPORATOR,
        Symbol::Extractor => &EXTRACTOR,
        Symbol::Filter => &FILTER,
        Symbol::Membrane => &MEMBRANE,
        Symbol::Mixer => &MIXER,
        Symbol::Press => &PRESS,
        Symbol::Screen => &SCREEN,
        Symbol::Settler => &SETTLER,
        Symbol::Splitter => &SPLITTER,
        Symbol::Still => &STILL,
    }
}

/// The places for a port: its own, then those that serve anything.
pub(super) fn places(symbol: Symbol, key: &str, inlet: bool) -> Vec<(f64, f64, Side)> {
    let symbol = drawn(symbol);
    let rows = if inlet { symbol.inlets } else { symbol.outlets };
    let own = rows.iter().filter(|(keys, _)| keys.contains(&key));
    let any = rows.iter().filter(|(keys, _)| keys.is_empty());
    own.chain(any).flat_map(|(_, places)| places.iter().copied()).collect()
}

/// Whether the port has a place of its own.
pub(super) fn has_own(symbol: Symbol, key: &str, inlet: bool) -> bool {
    let symbol = drawn(symbol);
    let rows = if inlet { symbol.inlets } else { symbol.outlets };
    rows.iter().any(|(keys, _)| keys.contains(&key))
}

/// The shapes of a symbol whose grid begins at `at`, with `step` mm to a step.
pub(super) fn shapes(symbol: Symbol, at: (f64, f64), step: f64) -> Vec<Shape> {
    let place = |x: f64, y: f64| (at.0 + x * step, at.1 + y * step);
    drawn(symbol).paths.split('¦').filter_map(|path| shape(path, step, &place)).collect()
}

fn shape(path: &str, step: f64, place: &dyn Fn(f64, f64) -> (f64, f64)) -> Option<Shape> {
    let mut words = path.split_whitespace();
    let role = match words.next()? {
        "T" => Role::Thin,
        "D" => Role::Dashed,
        "F" => Role::Solid,
        "S" => Role::Strong,
        _ => Role::Wall,
    };
    let mut moves = Vec::new();
    let mut numbers: Vec<f64> = Vec::new();
    let mut letter = ' ';
    let mut pen = (0.0, 0.0);
    for word in words {
        let figure = match word.chars().next().filter(char::is_ascii_alphabetic) {
            Some(first) => {
                letter = first;
                numbers.clear();
                &word[1..]
            }
            None => word,
        };
        if !figure.is_empty() {
            numbers.push(figure.parse().ok()?);
        }
        let line = |pen: (f64, f64)| {
            let (x, y) = place(pen.0, pen.1);
            Move::Line(x, y)
        };
        match (letter, numbers.as_slice()) {
            ('M', [x, y]) => {
                pen = (*x, *y);
                let (x, y) = place(pen.0, pen.1);
                moves.push(Move::To(x, y));
            }
            ('L', [x, y]) => {
                pen = (*x, *y);
                moves.push(line(pen));
            }
            ('H', [x]) => {
                pen.0 = *x;
                moves.push(line(pen));
            }
            ('V', [y]) => {
                pen.1 = *y;
                moves.push(line(pen));
            }
            ('C', [a, b, c, d, x, y]) => {
                pen = (*x, *y);
                moves.push(Move::Curve(place(*a, *b), place(*c, *d), place(*x, *y)));
            }
            ('o', [x, y, r]) => moves.extend(circle(place(*x, *y), r * step)),
            ('Z', []) => moves.push(Move::Close),
            _ => continue,
        }
        numbers.clear();
    }
    Some(Shape { role, path: moves })
}

/// A circle in four curves.
pub(super) fn circle((x, y): (f64, f64), r: f64) -> Vec<Move> {
    // The handle that lets a cubic curve lie within 0.03 % of a quarter circle.
    let k = 0.552_285 * r;
    vec![
        Move::To(x + r, y),
        Move::Curve((x + r, y + k), (x + k, y + r), (x, y + r)),
        Move::Curve((x - k, y + r), (x - r, y + k), (x - r, y)),
        Move::Curve((x - r, y - k), (x - k, y - r), (x, y - r)),
        Move::Curve((x + k, y - r), (x + r, y - k), (x + r, y)),
        Move::Close,
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::balance::operations::CATALOGUE;

    #[test]
    fn every_path_is_read_whole_and_stays_in_its_box() {
        for kind in CATALOGUE {
            let symbol = drawn(kind.symbol);
            let made = shapes(kind.symbol, (0.0, 0.0), 1.0);
            assert_eq!(made.len(), symbol.paths.split('¦').count(), "{}", kind.name);
            let (left, top, right, foot) = symbol.fills;
            for shape in &made {
                assert!(matches!(shape.path[0], Move::To(..)), "{}", kind.name);
                for step in &shape.path {
                    let (Move::To(x, y) | Move::Line(x, y) | Move::Curve(_, _, (x, y))) = *step
                    else {
                        continue;
                    };
                    let inside = x >= left && x <= right && y >= top && y <= foot;
                    assert!(inside, "{} at {x}, {y}", kind.name);
                }
            }
        }
    }

    #[test]
    fn every_outlet_of_an_operation_has_a_place_of_its_own_or_any() {
        for kind in CATALOGUE {
            for port in kind.outlets {
                assert!(!places(kind.symbol, port.key, false).is_empty(), "{}", kind.name);
            }
            for set in kind.outlet_sets {
                let first = |key: &&str| places(kind.symbol, key, false)[0];
                for (i, key) in set.iter().enumerate() {
                    assert!(set[..i].iter().all(|o| first(o) != first(key)), "{}", kind.name);
                }
            }
        }
    }
}
