//! Random flowsheets whose solution is known before anything is asked.
//!
//! Takes a seed; gives a process made of catalogue operations and the mass of
//! every component in every stream, worked out forwards from splits that were
//! chosen first. Never looks at how the engine works.

use stillroom::balance::operations::{self, Role};
use stillroom::balance::problem::{
    At, Component, Fact, Operation, Part, Problem, Says, StreamId, What,
};
use stillroom::quantity::Formula;

/// A small generator of our own: the same seed gives the same flowsheet for ever.
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) fn new(seed: u64) -> Dice {
        Dice(seed ^ 0x9e37_79b9_7f4a_7c15)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    pub(crate) fn below(&mut self, count: usize) -> usize {
        (self.next() % count.max(1) as u64) as usize
    }

    pub(crate) fn chance(&mut self, percent: usize) -> bool {
        self.below(100) < percent
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    pub(crate) fn shuffle<T>(&mut self, items: &mut [T]) {
        for last in (1..items.len()).rev() {
            items.swap(last, self.below(last + 1));
        }
    }
}

/// A process and the truth about it.
#[derive(Clone)]
pub(crate) struct Sheet {
    pub(crate) problem: Problem,
    /// Mass of each component in each stream.
    pub(crate) masses: Vec<Vec<f64>>,
    /// Mass of each component in the solids of each stream.
    pub(crate) solids: Vec<Vec<f64>>,
    pub(crate) values: Vec<f64>,
    /// Which of the values are amounts and grow with the feeds.
    pub(crate) amounts: Vec<bool>,
}

/// How much of each component of what enters leaves by each outlet.
struct Splits(Vec<Vec<f64>>);

const ROLES: [&[Role]; 5] = [
    &[Role::Solute, Role::Solvent],
    &[Role::Solute, Role::Solvent, Role::Insoluble],
    &[Role::Solute, Role::Solute, Role::Solvent],
    &[Role::Solute, Role::Solute, Role::Solvent, Role::Insoluble],
    &[Role::Plain, Role::Plain, Role::Plain],
];

impl Sheet {
    /// A random process; None where the dice gave one that cannot run.
    pub(crate) fn random(dice: &mut Dice) -> Option<Sheet> {
        let roles = ROLES[dice.below(ROLES.len())];
        let mut maker = Maker { roles, problem: Problem::default(), splits: Vec::new() };
        for (number, role) in roles.iter().enumerate() {
            maker.problem.components.push(Component {
                name: format!("c{number}"),
                role: *role,
                molar_mass: None,
            });
        }
        let feed = maker.stream();
        let mut feeds = vec![feed];
        let mut open = vec![feed];
        let mut recycle = None;
        if dice.chance(45) {
            let back = maker.stream();
            recycle = Some(back);
            let product = maker.stream();
            let splits = maker.to_one(1);
            maker.operation("mixing", vec![feed, back], vec![("product", product)], splits);
            open = vec![product];
        }
        for _ in 0..1 + dice.below(7) {
            if maker.problem.operations.len() == 8 {
                break;
            }
            let at = dice.below(open.len());
            let taken = open.swap_remove(at);
            let fresh = dice.chance(15);
            let second = if fresh {
                let fresh = maker.stream();
                feeds.push(fresh);
                Some(fresh)
            } else if !open.is_empty() && dice.chance(30) {
                let at = dice.below(open.len());
                Some(open.swap_remove(at))
            } else {
                None
            };
            let mut outlets = maker.random(dice, taken, second);
            // A splitter or a filtrate closes the recycle.
            if let Some(back) = recycle
                && dice.chance(50)
                && outlets.len() > 1
            {
                let at = dice.below(outlets.len());
                maker.rename(outlets[at], back);
                outlets.remove(at);
                recycle = None;
            }
            open.extend(outlets);
            dice.shuffle(&mut open);
        }
        if let Some(back) = recycle {
            if open.len() < 2 {
                return None;
            }
            let at = dice.below(open.len());
            let last = open.swap_remove(at);
            maker.rename(last, back);
        }
        let mut flows = vec![vec![0.0; roles.len()]; maker.problem.streams.len()];
        let scale = [1e-3, 1.0, 1000.0][dice.below(3)];
        for (number, feed) in feeds.iter().enumerate() {
            for (c, role) in roles.iter().enumerate() {
                let present = match role {
                    Role::Solvent => true,
                    _ => number == 0 || dice.chance(40),
                };
                if present {
                    flows[*feed][c] = scale * dice.between(0.5, 9.0);
                }
            }
            if flows[*feed].iter().all(|m| *m == 0.0) {
                flows[*feed][0] = scale;
            }
        }
        maker.settle(flows, &feeds, scale)
    }

    pub(crate) fn total(&self, stream: StreamId) -> f64 {
        self.masses[stream].iter().sum()
    }

    /// The true amount of `of` at `at`.
    pub(crate) fn amount(&self, at: At, of: What) -> f64 {
        let solids = &self.solids[at.stream];
        let masses: Vec<f64> = match at.part {
            None => self.masses[at.stream].clone(),
            Some(Part::Solids) => solids.clone(),
            Some(Part::Liquor) => {
                self.masses[at.stream].iter().zip(solids).map(|(m, s)| m - s).collect()
            }
        };
        match of {
            What::Component(c) => masses[c],
            What::Part(part) => self.amount(At { part: Some(part), ..at }, What::Total),
            _ => masses.iter().sum(),
        }
    }

    /// Gives a number of the truth to the problem as a value; its name.
    fn value(&mut self, value: f64, is_amount: bool) -> Formula {
        self.amounts.push(is_amount);
        let name = format!("v{}", self.values.len());
        self.values.push(value);
        self.problem.values.push(name.clone());
        formula(&name)
    }

    /// The fact that this much of `of` is at `at`.
    pub(crate) fn tell_amount(&mut self, at: At, of: What) -> Fact {
        let formula = self.value(self.amount(at, of), true);
        Fact { at, says: Says::Amount { of, formula } }
    }

    pub(crate) fn tell_share(&mut self, at: At, of: What) -> Fact {
        let formula = self.value(self.amount(at, of) / self.amount(at, What::Total), false);
        Fact { at, says: Says::Share { of, formula } }
    }

    pub(crate) fn tell_recovery(&mut self, at: At, of: What, other: At) -> Fact {
        let share = self.value(self.amount(at, of) / self.amount(other, of), false);
        Fact { at, says: Says::ShareOf { of, share, other } }
    }

    fn tell_ratio(&mut self, at: At, of: What, base: What) -> Fact {
        let ratio = self.value(self.amount(at, of) / self.amount(at, base), false);
        Fact { at, says: Says::Per { of, ratio, base } }
    }

    /// Says what is not in the feeds, as an author would.
    pub(crate) fn tell_absences(&mut self) {
        for stream in 0..self.masses.len() {
            let is_feed = !self
                .problem
                .operations
                .iter()
                .any(|o| o.outlets.iter().any(|(_, s)| *s == stream));
            let absent: Vec<usize> =
                (0..self.masses[stream].len()).filter(|c| self.masses[stream][*c] == 0.0).collect();
            if is_feed && !absent.is_empty() {
                self.problem.facts.push(Fact { at: At::whole(stream), says: Says::Absent(absent) });
            }
        }
    }

    /// The same process told in another order; the numbers of its streams change.
    pub(crate) fn reordered(&self, dice: &mut Dice) -> Problem {
        let mut problem = self.problem.clone();
        let streams = order(dice, problem.streams.len());
        let components = order(dice, problem.components.len());
        let place = |order: &[usize], old: usize| {
            order.iter().position(|o| *o == old).expect("an order has every number")
        };
        problem.streams = streams.iter().map(|s| self.problem.streams[*s].clone()).collect();
        problem.components =
            components.iter().map(|c| self.problem.components[*c].clone()).collect();
        dice.shuffle(&mut problem.operations);
        for operation in &mut problem.operations {
            operation.inlets.iter_mut().for_each(|s| *s = place(&streams, *s));
            operation.outlets.iter_mut().for_each(|(_, s)| *s = place(&streams, *s));
        }
        dice.shuffle(&mut problem.facts);
        let what = |of: &mut What| {
            if let What::Component(c) = of {
                *c = place(&components, *c);
            }
        };
        for fact in &mut problem.facts {
            fact.at.stream = place(&streams, fact.at.stream);
            match &mut fact.says {
                Says::Amount { of, .. } | Says::Share { of, .. } => what(of),
                Says::ShareOf { of, other, .. } | Says::SameAs { of, other } => {
                    what(of);
                    other.stream = place(&streams, other.stream);
                }
                Says::Per { of, base, .. } => {
                    what(of);
                    what(base);
                }
                Says::Absent(absent) => {
                    absent.iter_mut().for_each(|c| *c = place(&components, *c));
                }
                other => unreachable!("no such fact is made: {other:?}"),
            }
        }
        problem
    }

    /// A random true fact.
    pub(crate) fn random_fact(&mut self, dice: &mut Dice) -> Option<Fact> {
        let at = At::whole(dice.below(self.masses.len()));
        let c = dice.below(self.problem.components.len());
        let of = What::Component(c);
        if self.masses[at.stream][c] == 0.0 {
            return None;
        }
        let only = self.masses[at.stream].iter().filter(|m| **m > 0.0).count() == 1;
        Some(match dice.below(12) {
            0..=2 => self.tell_amount(at, What::Total),
            3 => self.tell_amount(at, of),
            4..=8 if !only => self.tell_share(at, of),
            9 | 10 => {
                let other = At::whole(dice.below(self.masses.len()));
                if other == at || self.masses[other.stream][c] == 0.0 {
                    return None;
                }
                let of = if dice.chance(50) { What::Total } else { of };
                self.tell_recovery(at, of, other)
            }
            _ => {
                let base = dice.below(self.problem.components.len());
                if base == c || self.masses[at.stream][base] == 0.0 {
                    return None;
                }
                self.tell_ratio(at, of, What::Component(base))
            }
        })
    }

    /// A random question and its true answer.
    pub(crate) fn random_asked(&self, dice: &mut Dice) -> Option<(Formula, f64)> {
        let stream = dice.below(self.masses.len());
        let c = dice.below(self.problem.components.len());
        let mass = self.masses[stream][c];
        if mass == 0.0 {
            return None;
        }
        let name = &self.problem.streams[stream];
        let component = &self.problem.components[c].name;
        Some(match dice.below(4) {
            0 | 1 => (formula(&format!("{name}.total")), self.total(stream)),
            2 => (formula(&format!("{name}.{component}")), mass),
            _ => (formula(&format!("{name}.{component}.fraction")), mass / self.total(stream)),
        })
    }
}

fn order(dice: &mut Dice, count: usize) -> Vec<usize> {
    let mut order: Vec<usize> = (0..count).collect();
    dice.shuffle(&mut order);
    order
}

/// A formula without a place in a file.
pub(crate) fn formula(text: &str) -> Formula {
    Formula::parse(text, |at| at).expect("a formula")
}

struct Maker {
    roles: &'static [Role],
    problem: Problem,
    splits: Vec<Splits>,
}

impl Maker {
    fn stream(&mut self) -> StreamId {
        let number = self.problem.streams.len();
        self.problem.streams.push(format!("s{number}"));
        number
    }

    fn operation(
        &mut self,
        kind: &str,
        inlets: Vec<StreamId>,
        outlets: Vec<(&'static str, StreamId)>,
        splits: Splits,
    ) {
        let name = format!("o{}", self.problem.operations.len());
        let kind = operations::named(kind).expect("an operation of the catalogue");
        self.problem.operations.push(Operation {
            name,
            kind,
            inlet_keys: vec!["feed"; inlets.len()],
            inlets,
            outlets,
            except: vec![],
            crystal: None,
        });
        self.splits.push(splits);
    }

    /// One outlet takes all; the others (there are `count`) nothing.
    fn to_one(&self, count: usize) -> Splits {
        let mut all = vec![vec![0.0; self.roles.len()]; count];
        all[0] = vec![1.0; self.roles.len()];
        Splits(all)
    }

    /// Two outlets; `first` says how much of a role goes to the first.
    fn to_two(&self, first: &mut dyn FnMut(Role) -> f64) -> Splits {
        let shares: Vec<f64> = self.roles.iter().map(|role| first(*role)).collect();
        let rest = shares.iter().map(|s| 1.0 - s).collect();
        Splits(vec![shares, rest])
    }

    fn has(&self, role: Role) -> bool {
        self.roles.contains(&role)
    }

    /// Adds a random operation on one or two streams; the streams that leave it.
    fn random(&mut self, dice: &mut Dice, feed: StreamId, more: Option<StreamId>) -> Vec<StreamId> {
        let feed = match more {
            None => feed,
            Some(second) => {
                let product = self.stream();
                let splits = self.to_one(1);
                self.operation("mixing", vec![feed, second], vec![("product", product)], splits);
                if dice.chance(50) || self.problem.operations.len() == 8 {
                    return vec![product];
                }
                product
            }
        };
        let mut kinds = vec!["splitting", "separation"];
        if self.has(Role::Solvent) {
            kinds.extend(["evaporation", "drying"]);
        }
        if self.has(Role::Insoluble) {
            kinds.extend(["filtration", "sedimentation", "filtration"]);
        } else if self.has(Role::Solvent) {
            kinds.push("crystallisation");
        }
        let kind = kinds[dice.below(kinds.len())];
        let (a, b) = (self.stream(), self.stream());
        let share = dice.between(0.08, 0.92);
        let (ports, splits): ([&'static str; 2], Splits) = match kind {
            "splitting" => (["products", "products"], self.to_two(&mut |_| share)),
            "separation" => {
                (["products", "products"], self.to_two(&mut |_| dice.between(0.05, 0.95)))
            }
            "evaporation" | "drying" => {
                let second = if kind == "drying" { "product" } else { "concentrate" };
                let splits =
                    self.to_two(&mut |role| if role == Role::Solvent { share } else { 0.0 });
                (["vapour", second], splits)
            }
            "crystallisation" => {
                let splits = self.to_two(&mut |role| {
                    if role == Role::Solute { dice.between(0.1, 0.9) } else { 0.0 }
                });
                (["crystals", "liquor"], splits)
            }
            _ => {
                let splits =
                    self.to_two(&mut |role| if role == Role::Insoluble { 1.0 } else { share });
                let ports = if kind == "filtration" {
                    ["cake", "filtrate"]
                } else {
                    ["underflow", "overflow"]
                };
                (ports, splits)
            }
        };
        self.operation(kind, vec![feed], vec![(ports[0], a), (ports[1], b)], splits);
        vec![a, b]
    }

    /// An outlet becomes the stream that an earlier operation waits for.
    fn rename(&mut self, from: StreamId, to: StreamId) {
        for operation in &mut self.problem.operations {
            for (_, stream) in &mut operation.outlets {
                if *stream == from {
                    *stream = to;
                }
            }
        }
    }

    /// Runs the process until its recycles are steady.
    fn settle(mut self, mut flows: Vec<Vec<f64>>, feeds: &[StreamId], scale: f64) -> Option<Sheet> {
        let mut moved = f64::INFINITY;
        for _ in 0..3000 {
            moved = 0.0;
            for (operation, splits) in self.problem.operations.iter().zip(&self.splits) {
                for c in 0..self.roles.len() {
                    let enters: f64 = operation.inlets.iter().map(|s| flows[*s][c]).sum();
                    for ((_, stream), split) in operation.outlets.iter().zip(&splits.0) {
                        let leaves = enters * split[c];
                        moved = f64::max(moved, (flows[*stream][c] - leaves).abs());
                        flows[*stream][c] = leaves;
                    }
                }
            }
            if moved == 0.0 {
                break;
            }
        }
        if moved > 1e-14 * scale || flows.iter().flatten().any(|m| *m > 300.0 * scale) {
            return None;
        }
        // Streams that no operation knows (renamed ones) are left out.
        let used: Vec<StreamId> = (0..flows.len())
            .filter(|s| {
                feeds.contains(s)
                    || self.problem.operations.iter().any(|o| o.outlets.iter().any(|(_, t)| t == s))
            })
            .collect();
        let place = |s: &StreamId| used.iter().position(|u| u == s);
        for operation in &mut self.problem.operations {
            for stream in &mut operation.inlets {
                *stream = place(stream)?;
            }
            for (_, stream) in &mut operation.outlets {
                *stream = place(stream)?;
            }
        }
        self.problem.streams = used.iter().map(|s| self.problem.streams[*s].clone()).collect();
        let masses: Vec<Vec<f64>> = used.iter().map(|s| flows[*s].clone()).collect();
        if masses.iter().flatten().any(|m| *m > 0.0 && *m < 1e-4 * scale)
            || masses.iter().any(|m| m.iter().sum::<f64>() == 0.0)
        {
            return None;
        }
        let solids = masses
            .iter()
            .map(|m| {
                m.iter()
                    .zip(self.roles)
                    .map(|(mass, role)| if *role == Role::Insoluble { *mass } else { 0.0 })
                    .collect()
            })
            .collect();
        Some(Sheet {
            problem: self.problem,
            masses,
            solids,
            values: Vec::new(),
            amounts: Vec::new(),
        })
    }
}
