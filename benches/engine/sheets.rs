//! Flowsheets of any length, with versions whose solution is known beforehand.
//!
//! Takes how many operations, how many components and whether a stream comes
//! back; gives the problem as the engine takes it and, for each version, the
//! author's values beside the same facts as one square linear system. The truth
//! is worked out forwards from splits that were chosen first.

use stillroom::balance::operations::{self, Role};
use stillroom::balance::problem::{At, Component, Fact, Operation, Problem, Says, StreamId, What};
use stillroom::quantity::Formula;

/// What is asked of a flowsheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Asked {
    /// How much leaves at the end, and how much the first operation gives off.
    Ends,
    /// How much there is of every stream.
    All,
}

/// One flowsheet and its versions.
pub(crate) struct Case {
    pub(crate) name: String,
    pub(crate) problem: Problem,
    pub(crate) versions: Vec<Version>,
    /// Unknowns of the linear system: a component's mass in each stream it is in.
    pub(crate) unknowns: usize,
    /// For each asked total, the unknowns that add up to it.
    pub(crate) asked: Vec<Vec<usize>>,
}

pub(crate) struct Version {
    /// In the order of the problem's values.
    pub(crate) values: Vec<f64>,
    /// Row by row.
    pub(crate) matrix: Vec<f64>,
    pub(crate) right: Vec<f64>,
}

enum Unit {
    Evaporation { feeds: Vec<StreamId>, vapour: StreamId, concentrate: StreamId },
    Separation { feed: StreamId, products: [StreamId; 2] },
    Mixing { feeds: [StreamId; 2], product: StreamId },
    Splitting { feed: StreamId, products: [StreamId; 2] },
}

impl Unit {
    fn kind(&self) -> &'static str {
        match self {
            Unit::Evaporation { .. } => "evaporation",
            Unit::Separation { .. } => "separation",
            Unit::Mixing { .. } => "mixing",
            Unit::Splitting { .. } => "splitting",
        }
    }

    fn inlets(&self) -> &[StreamId] {
        match self {
            Unit::Evaporation { feeds, .. } => feeds,
            Unit::Mixing { feeds, .. } => feeds,
            Unit::Separation { feed, .. } | Unit::Splitting { feed, .. } => {
                std::slice::from_ref(feed)
            }
        }
    }

    fn outlets(&self) -> Vec<(&'static str, StreamId)> {
        match self {
            Unit::Evaporation { vapour, concentrate, .. } => {
                vec![("vapour", *vapour), ("concentrate", *concentrate)]
            }
            Unit::Mixing { product, .. } => vec![("product", *product)],
            Unit::Separation { products, .. } | Unit::Splitting { products, .. } => {
                products.iter().map(|product| ("products", *product)).collect()
            }
        }
    }
}

/// A small generator of our own: the same versions every time.
struct Dice(u64);

impl Dice {
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (high - low) * (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
}

struct Layout {
    components: usize,
    streams: usize,
    units: Vec<Unit>,
    feeds: Vec<StreamId>,
    last: StreamId,
}

impl Layout {
    fn new(operations: usize, components: usize, recycle: bool) -> Layout {
        let mut layout =
            Layout { components, streams: 0, units: Vec::new(), feeds: Vec::new(), last: 0 };
        let feed = layout.feed();
        let back = recycle.then(|| layout.stream());
        let mut open = feed;
        for number in 0..operations {
            let go_on = layout.stream();
            if let Some(back) = back.filter(|_| number + 1 == operations) {
                layout.units.push(Unit::Splitting { feed: open, products: [go_on, back] });
                open = go_on;
                continue;
            }
            let unit = match number % 4 {
                0 => Unit::Evaporation {
                    feeds: [Some(open), back.filter(|_| number == 0)]
                        .into_iter()
                        .flatten()
                        .collect(),
                    vapour: layout.stream(),
                    concentrate: go_on,
                },
                1 => Unit::Separation { feed: open, products: [go_on, layout.stream()] },
                2 => Unit::Mixing { feeds: [open, layout.feed()], product: go_on },
                _ => Unit::Splitting { feed: open, products: [go_on, layout.stream()] },
            };
            layout.units.push(unit);
            open = go_on;
        }
        layout.last = open;
        layout
    }

    fn stream(&mut self) -> StreamId {
        self.streams += 1;
        self.streams - 1
    }

    fn feed(&mut self) -> StreamId {
        let feed = self.stream();
        self.feeds.push(feed);
        feed
    }

    /// Masses by stream and component, steady.
    fn truth(&self, dice: &mut Dice) -> Vec<Vec<f64>> {
        let water = self.components - 1;
        let mut masses = vec![vec![0.0; self.components]; self.streams];
        for feed in &self.feeds {
            for (c, mass) in masses[*feed].iter_mut().enumerate() {
                *mass = if c == water { dice.between(60.0, 90.0) } else { dice.between(4.0, 12.0) };
            }
        }
        // How much of each component leaves by the first outlet.
        let splits: Vec<Vec<f64>> = self
            .units
            .iter()
            .map(|unit| match unit {
                Unit::Evaporation { .. } => {
                    let share = dice.between(0.2, 0.4);
                    (0..self.components).map(|c| if c == water { share } else { 0.0 }).collect()
                }
                Unit::Separation { .. } => {
                    (0..self.components).map(|_| dice.between(0.6, 0.95)).collect()
                }
                Unit::Mixing { .. } => vec![1.0; self.components],
                Unit::Splitting { .. } => vec![dice.between(0.6, 0.9); self.components],
            })
            .collect();
        for _ in 0..400 {
            for (unit, split) in self.units.iter().zip(&splits) {
                for (c, share) in split.iter().enumerate() {
                    let entering: f64 = unit.inlets().iter().map(|s| masses[*s][c]).sum();
                    for ((_, outlet), share) in unit.outlets().iter().zip([*share, 1.0 - share]) {
                        masses[*outlet][c] = share * entering;
                    }
                }
            }
        }
        masses
    }
}

/// Facts with their numbers, and the same as rows.
struct Teller<'a> {
    masses: &'a [Vec<f64>],
    columns: &'a [Vec<Option<usize>>],
    unknowns: usize,
    facts: Vec<Fact>,
    values: Vec<f64>,
    matrix: Vec<f64>,
    right: Vec<f64>,
}

impl Teller<'_> {
    fn total(&self, stream: StreamId) -> f64 {
        self.masses[stream].iter().sum()
    }

    fn value(&mut self, value: f64) -> Formula {
        self.values.push(value);
        formula(&format!("v{}", self.values.len() - 1))
    }

    /// Adds a row: streams with a component, each so many times.
    fn row(&mut self, terms: &[(StreamId, usize, f64)], right: f64) {
        let start = self.matrix.len();
        self.matrix.resize(start + self.unknowns, 0.0);
        for (stream, c, by) in terms {
            if let Some(column) = self.columns[*stream][*c] {
                self.matrix[start + column] += by;
            }
        }
        self.right.push(right);
    }

    fn tell_total(&mut self, stream: StreamId) {
        let total = self.total(stream);
        let formula = self.value(total);
        self.facts
            .push(Fact { at: At::whole(stream), says: Says::Amount { of: What::Total, formula } });
        let terms: Vec<_> = (0..self.masses[stream].len()).map(|c| (stream, c, 1.0)).collect();
        self.row(&terms, total);
    }

    fn tell_share(&mut self, stream: StreamId, c: usize) {
        let share = self.masses[stream][c] / self.total(stream);
        let formula = self.value(share);
        let says = Says::Share { of: What::Component(c), formula };
        self.facts.push(Fact { at: At::whole(stream), says });
        let mut terms: Vec<_> =
            (0..self.masses[stream].len()).map(|c| (stream, c, -share)).collect();
        terms.push((stream, c, 1.0));
        self.row(&terms, 0.0);
    }

    fn tell_recovery(&mut self, stream: StreamId, other: StreamId, c: usize) {
        let share = self.masses[stream][c] / self.masses[other][c];
        let value = self.value(share);
        let says = Says::ShareOf { of: What::Component(c), share: value, other: At::whole(other) };
        self.facts.push(Fact { at: At::whole(stream), says });
        self.row(&[(stream, c, 1.0), (other, c, -share)], 0.0);
    }

    /// The same share of all there is, so one row a component.
    fn tell_split(&mut self, stream: StreamId, other: StreamId) {
        let share = self.total(stream) / self.total(other);
        let value = self.value(share);
        let says = Says::ShareOf { of: What::Total, share: value, other: At::whole(other) };
        self.facts.push(Fact { at: At::whole(stream), says });
        for c in 0..self.masses[stream].len() {
            self.row(&[(stream, c, 1.0), (other, c, -share)], 0.0);
        }
    }
}

/// A flowsheet with so many versions.
pub(crate) fn case(
    operations: usize,
    components: usize,
    recycle: bool,
    asked: Asked,
    versions: usize,
) -> Case {
    let layout = Layout::new(operations, components, recycle);
    let vapours: Vec<StreamId> = layout
        .units
        .iter()
        .filter_map(|unit| match unit {
            Unit::Evaporation { vapour, .. } => Some(*vapour),
            _ => None,
        })
        .collect();
    let mut unknowns = 0;
    let columns: Vec<Vec<Option<usize>>> = (0..layout.streams)
        .map(|stream| {
            let mut column = |c| {
                let is_there = c + 1 == components || !vapours.contains(&stream);
                unknowns += usize::from(is_there);
                is_there.then(|| unknowns - 1)
            };
            (0..components).map(&mut column).collect()
        })
        .collect();
    let mut dice = Dice(operations as u64 * 31 + components as u64);
    let mut facts = Vec::new();
    let versions: Vec<Version> = (0..versions)
        .map(|_| {
            let masses = layout.truth(&mut dice);
            let told = tell(&layout, &masses, &columns, unknowns);
            facts = told.facts;
            Version { values: told.values, matrix: told.matrix, right: told.right }
        })
        .collect();
    let wanted: Vec<StreamId> = match asked {
        Asked::Ends => vec![layout.last, vapours[0]],
        Asked::All => (0..layout.streams).collect(),
    };
    let problem = problem(&layout, facts, versions[0].values.len(), &wanted);
    let name = format!(
        "{operations} operations, {components} components{}",
        if recycle { ", recycle" } else { "" }
    );
    let asked = wanted.iter().map(|s| columns[*s].iter().flatten().copied().collect()).collect();
    Case { name, problem, versions, unknowns, asked }
}

fn tell<'a>(
    layout: &Layout,
    masses: &'a [Vec<f64>],
    columns: &'a [Vec<Option<usize>>],
    unknowns: usize,
) -> Teller<'a> {
    let mut teller = Teller {
        masses,
        columns,
        unknowns,
        facts: Vec::new(),
        values: Vec::new(),
        matrix: Vec::new(),
        right: Vec::new(),
    };
    for feed in &layout.feeds {
        teller.tell_total(*feed);
        (0..layout.components - 1).for_each(|c| teller.tell_share(*feed, c));
    }
    for unit in &layout.units {
        for c in 0..layout.components {
            let entering = unit.inlets().iter().map(|s| (*s, c, 1.0));
            let leaving = unit.outlets().into_iter().map(|(_, s)| (s, c, -1.0));
            let terms: Vec<_> = entering.chain(leaving).collect();
            teller.row(&terms, 0.0);
        }
        match unit {
            Unit::Evaporation { concentrate, .. } => teller.tell_share(*concentrate, 0),
            Unit::Separation { feed, products } => {
                (0..layout.components).for_each(|c| teller.tell_recovery(products[0], *feed, c));
            }
            Unit::Mixing { .. } => {}
            Unit::Splitting { feed, products } => teller.tell_split(products[0], *feed),
        }
    }
    assert_eq!(teller.right.len(), unknowns, "as many rows as unknowns");
    teller
}

fn problem(layout: &Layout, facts: Vec<Fact>, values: usize, wanted: &[StreamId]) -> Problem {
    let component = |c| Component {
        name: format!("c{c}"),
        role: if c + 1 == layout.components { Role::Solvent } else { Role::Solute },
        molar_mass: None,
    };
    let operation = |(number, unit): (usize, &Unit)| Operation {
        name: format!("o{number}"),
        kind: operations::named(unit.kind()).expect("an operation of the catalogue"),
        inlet_keys: vec!["feed"; unit.inlets().len()],
        inlets: unit.inlets().to_vec(),
        outlets: unit.outlets(),
        except: Vec::new(),
        crystal: None,
    };
    Problem {
        components: (0..layout.components).map(component).collect(),
        streams: (0..layout.streams).map(|s| format!("s{s}")).collect(),
        operations: layout.units.iter().enumerate().map(operation).collect(),
        values: (0..values).map(|v| format!("v{v}")).collect(),
        facts,
        asked: wanted.iter().map(|s| formula(&format!("s{s}.total"))).collect(),
        ..Problem::default()
    }
}

fn formula(text: &str) -> Formula {
    Formula::parse(text, |at| at).expect("a formula")
}
