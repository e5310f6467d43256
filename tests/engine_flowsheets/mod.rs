//! Random flowsheets whose solution is known before anything is asked.
//!
//! Takes a seed; gives a process made of catalogue operations and the mass of
//! every component in every stream, worked out forwards from splits that were
//! chosen first. Never looks at how the engine works.

use stillroom::balance::operations::{self, Role};
use stillroom::balance::problem::{
    At, Component, Fact, Group, Operation, Part, Problem, Says, StreamId, What,
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

/// What an operation does with what enters.
enum Act {
    /// How much of each component leaves by each outlet.
    Split(Vec<Vec<f64>>),
    /// Solids leave by the first outlet with this share of the liquor.
    Part(f64),
    /// This share of each solute leaves as crystals, the rest as clear liquor.
    Crystals(Vec<f64>),
    /// All leaves together, this share of each solute as crystals.
    Magma(Vec<f64>),
}

const ROLES: [&[Role]; 9] = [
    &[Role::Solute, Role::Solvent],
    &[Role::Solute, Role::Solvent, Role::Insoluble],
    &[Role::Solute, Role::Solute, Role::Solvent],
    &[Role::Solute, Role::Solute, Role::Solvent, Role::Insoluble],
    &[Role::Plain, Role::Plain, Role::Plain],
    &[Role::Size, Role::Size],
    &[Role::Size, Role::Size, Role::Size, Role::Size],
    &[Role::Solute, Role::Solute, Role::Solute, Role::Solvent, Role::Insoluble],
    &[Role::Plain, Role::Plain, Role::Plain, Role::Plain, Role::Plain],
];

/// How large a process the dice may make.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Size {
    pub(crate) operations: usize,
    /// Sets of components to choose from, simplest first.
    pub(crate) roles: usize,
}

impl Size {
    pub(crate) const SMALL: Size = Size { operations: 4, roles: 6 };
    pub(crate) const USUAL: Size = Size { operations: 8, roles: ROLES.len() };
    pub(crate) const LARGE: Size = Size { operations: 12, roles: ROLES.len() };
}

impl Sheet {
    /// A random process; None where the dice gave one that cannot run.
    pub(crate) fn random(dice: &mut Dice, size: Size) -> Option<Sheet> {
        let roles = ROLES[dice.below(size.roles)];
        let mut maker = Maker::new(roles, size.operations);
        let feed = maker.stream();
        let mut feeds = vec![feed];
        let mut open = vec![feed];
        let mut recycles = Vec::new();
        let most = if size.operations > 8 { 2 } else { 1 };
        while recycles.len() < most && dice.chance(45) {
            let back = maker.stream();
            let product = maker.stream();
            let act = maker.to_one();
            let main = open.pop()?;
            maker.operation("mixing", vec![main, back], vec![("product", product)], act);
            open.push(product);
            recycles.push(back);
        }
        for _ in 0..1 + dice.below(size.operations - 1) {
            if maker.is_full() {
                break;
            }
            let at = dice.below(open.len());
            let taken = open.swap_remove(at);
            let second = if dice.chance(15) {
                let fresh = maker.stream();
                feeds.push(fresh);
                Some(fresh)
            } else if !open.is_empty() && dice.chance(30) {
                let at = dice.below(open.len());
                Some(open.swap_remove(at))
            } else {
                None
            };
            let mut outlets = maker.random(dice, taken, second, &mut feeds);
            // A splitter or a filtrate closes the recycle.
            if outlets.len() > 1
                && dice.chance(50)
                && let Some(back) = recycles.pop()
            {
                let at = dice.below(outlets.len());
                maker.rename(outlets[at], back);
                outlets.remove(at);
            }
            open.extend(outlets);
            dice.shuffle(&mut open);
        }
        for back in recycles {
            if open.len() < 2 {
                return None;
            }
            let at = dice.below(open.len());
            let last = open.swap_remove(at);
            maker.rename(last, back);
        }
        if roles.len() > 2 && dice.chance(40) {
            maker.group(dice);
        }
        let mut flows = vec![vec![0.0; roles.len()]; maker.problem.streams.len()];
        let scale = [1e-3, 1.0, 1000.0][dice.below(3)];
        for (number, feed) in feeds.iter().enumerate() {
            let is_wash = maker.washes.contains(feed);
            for (c, role) in roles.iter().enumerate() {
                let present = match role {
                    Role::Solvent => true,
                    _ => !is_wash && (number == 0 || dice.chance(40)),
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
            What::Group(g) => self.problem.groups[g].members.iter().map(|c| masses[*c]).sum(),
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
        for group in &mut problem.groups {
            group.members.iter_mut().for_each(|c| *c = place(&components, *c));
        }
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

    /// A whole stream, or a part of one that holds both.
    fn random_place(&self, dice: &mut Dice) -> At {
        let at = At::whole(dice.below(self.masses.len()));
        let [solids, liquor] =
            [Part::Solids, Part::Liquor].map(|part| At { part: Some(part), ..at });
        let has = |at: At| self.amount(at, What::Total) > 0.0;
        if !self.has_parts() || !has(solids) || !has(liquor) || !dice.chance(25) {
            return at;
        }
        if dice.chance(50) { solids } else { liquor }
    }

    /// A component that is there, or the group.
    fn random_what(&self, dice: &mut Dice, at: At) -> Option<What> {
        let of = if !self.problem.groups.is_empty() && dice.chance(20) {
            What::Group(0)
        } else {
            What::Component(dice.below(self.problem.components.len()))
        };
        (self.amount(at, of) > 0.0).then_some(of)
    }

    /// Roles that tell solids from liquor.
    fn has_parts(&self) -> bool {
        self.problem.components.iter().any(|c| c.role == Role::Solvent)
    }

    /// A random true fact.
    pub(crate) fn random_fact(&mut self, dice: &mut Dice) -> Option<Fact> {
        let at = self.random_place(dice);
        let of = self.random_what(dice, at)?;
        let only = self.amount(at, of) == self.amount(at, What::Total);
        Some(match dice.below(13) {
            0..=2 => self.tell_amount(at, What::Total),
            3 => self.tell_amount(at, of),
            4..=8 if !only => self.tell_share(at, of),
            9 | 10 => {
                let other = At::whole(dice.below(self.masses.len()));
                let of = if dice.chance(50) { What::Total } else { of };
                if at.part.is_some() || other == at || self.amount(other, of) == 0.0 {
                    return None;
                }
                self.tell_recovery(at, of, other)
            }
            12 if at.part.is_some() => {
                let part = if dice.chance(50) { Part::Solids } else { Part::Liquor };
                self.tell_share(At::whole(at.stream), What::Part(part))
            }
            _ => {
                let base = What::Component(dice.below(self.problem.components.len()));
                if base == of || self.amount(at, base) == 0.0 {
                    return None;
                }
                self.tell_ratio(at, of, base)
            }
        })
    }

    /// A random question and its true answer.
    pub(crate) fn random_asked(&self, dice: &mut Dice) -> Option<(Formula, f64)> {
        let at = self.random_place(dice);
        let of = self.random_what(dice, at)?;
        let name = match at.part {
            None => self.problem.streams[at.stream].clone(),
            Some(part) => format!("{}.{}", self.problem.streams[at.stream], part.word()),
        };
        let what = match of {
            What::Group(g) => &self.problem.groups[g].name,
            What::Component(c) => &self.problem.components[c].name,
            _ => return None,
        };
        let (mass, total) = (self.amount(at, of), self.amount(at, What::Total));
        Some(match dice.below(4) {
            0 | 1 => (formula(&format!("{name}.total")), total),
            2 => (formula(&format!("{name}.{what}")), mass),
            _ => (formula(&format!("{name}.{what}.fraction")), mass / total),
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
    most: usize,
    problem: Problem,
    acts: Vec<Act>,
    /// Streams that hold crystals beside liquor.
    cakes: Vec<StreamId>,
    /// Feeds of pure solvent.
    washes: Vec<StreamId>,
}

impl Maker {
    fn new(roles: &'static [Role], most: usize) -> Maker {
        let mut problem = Problem::default();
        for (number, role) in roles.iter().enumerate() {
            problem.components.push(Component {
                name: format!("c{number}"),
                role: *role,
                molar_mass: None,
            });
        }
        Maker { roles, most, problem, acts: vec![], cakes: vec![], washes: vec![] }
    }

    fn is_full(&self) -> bool {
        self.problem.operations.len() >= self.most
    }

    /// Some of the components under one name.
    fn group(&mut self, dice: &mut Dice) {
        let mut members = order(dice, self.roles.len());
        members.truncate(2 + dice.below(self.roles.len() - 2));
        members.sort_unstable();
        self.problem.groups.push(Group { name: "g0".to_owned(), members });
    }

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
        act: Act,
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
        self.acts.push(act);
    }

    /// The one outlet takes all.
    fn to_one(&self) -> Act {
        Act::Split(vec![vec![1.0; self.roles.len()]])
    }

    /// Two outlets; `first` says how much of a role goes to the first.
    fn to_two(&self, first: &mut dyn FnMut(Role) -> f64) -> Act {
        let shares: Vec<f64> = self.roles.iter().map(|role| first(*role)).collect();
        let rest = shares.iter().map(|s| 1.0 - s).collect();
        Act::Split(vec![shares, rest])
    }

    fn of_solutes(&self, dice: &mut Dice) -> Vec<f64> {
        let share = |role: &Role| if *role == Role::Solute { dice.between(0.1, 0.9) } else { 0.0 };
        self.roles.iter().map(share).collect()
    }

    fn has(&self, role: Role) -> bool {
        self.roles.contains(&role)
    }

    fn mixed(&mut self, first: StreamId, second: StreamId) -> StreamId {
        let product = self.stream();
        let act = self.to_one();
        self.operation("mixing", vec![first, second], vec![("product", product)], act);
        if self.cakes.contains(&first) || self.cakes.contains(&second) {
            self.cakes.push(product);
        }
        product
    }

    /// Adds a random operation on one or two streams; the streams that leave it.
    fn random(
        &mut self,
        dice: &mut Dice,
        feed: StreamId,
        more: Option<StreamId>,
        feeds: &mut Vec<StreamId>,
    ) -> Vec<StreamId> {
        let feed = match more {
            None => feed,
            Some(second) => {
                let product = self.mixed(feed, second);
                if dice.chance(50) || self.is_full() {
                    return vec![product];
                }
                product
            }
        };
        let is_cake = self.cakes.contains(&feed);
        let mut kinds = vec!["splitting", "separation", "light and heavy"];
        if self.has(Role::Size) {
            kinds.extend(["screening", "screening", "screening"]);
        }
        if self.has(Role::Solvent) {
            kinds.extend(["evaporation", "drying"]);
        }
        let has_room = self.problem.operations.len() + 2 <= self.most;
        if self.has(Role::Insoluble) || is_cake {
            kinds.extend(["filtration", "sedimentation", "filtration", "solids and liquor"]);
            if has_room && !self.has(Role::Size) {
                kinds.extend(["washing", "washing"]);
            }
        }
        if self.has(Role::Solvent) && !self.has(Role::Insoluble) && !is_cake {
            kinds.push("crystallisation");
            if has_room {
                kinds.extend(["magma", "magma"]);
            }
        }
        let kind = kinds[dice.below(kinds.len())];
        let share = dice.between(0.08, 0.92);
        let feed = match kind {
            "washing" => {
                let wash = self.stream();
                feeds.push(wash);
                self.washes.push(wash);
                self.mixed(feed, wash)
            }
            "magma" => {
                let magma = self.stream();
                let act = Act::Magma(self.of_solutes(dice));
                self.operation("crystallisation", vec![feed], vec![("product", magma)], act);
                magma
            }
            _ => feed,
        };
        let (a, b) = (self.stream(), self.stream());
        if is_cake && kind != "evaporation" && kind != "drying" || kind == "magma" {
            self.cakes.push(a);
        }
        if is_cake {
            self.cakes.push(b);
        }
        let arbitrary =
            |dice: &mut Dice, maker: &Maker| maker.to_two(&mut |_| dice.between(0.05, 0.95));
        let (kind, ports, act): (&str, [&'static str; 2], Act) = match kind {
            "splitting" => (kind, ["products", "products"], self.to_two(&mut |_| share)),
            "separation" => (kind, ["products", "products"], arbitrary(dice, self)),
            "light and heavy" => ("centrifugation", ["light", "heavy"], arbitrary(dice, self)),
            "screening" => (kind, ["oversize", "undersize"], arbitrary(dice, self)),
            "evaporation" | "drying" => {
                let second = if kind == "drying" { "product" } else { "concentrate" };
                let act = self.to_two(&mut |role| if role == Role::Solvent { share } else { 0.0 });
                (kind, ["vapour", second], act)
            }
            "crystallisation" => {
                (kind, ["crystals", "liquor"], Act::Crystals(self.of_solutes(dice)))
            }
            "magma" => ("centrifugation", ["crystals", "liquor"], Act::Part(share)),
            "solids and liquor" => ("centrifugation", ["solids", "liquor"], Act::Part(share)),
            "washing" => (kind, ["residue", "extract"], Act::Part(share)),
            "filtration" => (kind, ["cake", "filtrate"], Act::Part(share)),
            _ => (kind, ["underflow", "overflow"], Act::Part(share)),
        };
        self.operation(kind, vec![feed], vec![(ports[0], a), (ports[1], b)], act);
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

    /// What leaves by each outlet, whole and solids, from what enters.
    fn leaves(&self, act: &Act, whole: &[f64], solids: &[f64]) -> Vec<[Vec<f64>; 2]> {
        let count = self.roles.len();
        let each = |value: &dyn Fn(usize) -> f64| (0..count).map(value).collect::<Vec<f64>>();
        match act {
            Act::Split(splits) => splits
                .iter()
                .map(|split| [each(&|c| whole[c] * split[c]), each(&|c| solids[c] * split[c])])
                .collect(),
            Act::Part(share) => vec![
                [each(&|c| solids[c] + (whole[c] - solids[c]) * share), solids.to_vec()],
                [each(&|c| (whole[c] - solids[c]) * (1.0 - share)), vec![0.0; count]],
            ],
            Act::Crystals(shares) => vec![
                [each(&|c| whole[c] * shares[c]), each(&|c| whole[c] * shares[c])],
                [each(&|c| whole[c] * (1.0 - shares[c])), vec![0.0; count]],
            ],
            Act::Magma(shares) => {
                vec![[whole.to_vec(), each(&|c| solids[c].max(whole[c] * shares[c]))]]
            }
        }
    }

    /// Runs the process until its recycles are steady.
    fn settle(mut self, mut flows: Vec<Vec<f64>>, feeds: &[StreamId], scale: f64) -> Option<Sheet> {
        let is_solid = |role: &Role| matches!(role, Role::Insoluble | Role::Size);
        let solid = |flow: &Vec<f64>| -> Vec<f64> {
            let own = flow.iter().zip(self.roles);
            own.map(|(mass, role)| if is_solid(role) { *mass } else { 0.0 }).collect()
        };
        let mut solids: Vec<Vec<f64>> = flows.iter().map(solid).collect();
        let mut moved = f64::INFINITY;
        for _ in 0..3000 {
            moved = 0.0;
            for (operation, act) in self.problem.operations.iter().zip(&self.acts) {
                let sum = |of: &[Vec<f64>]| -> Vec<f64> {
                    let each = |c| operation.inlets.iter().map(|s| of[*s][c]).sum();
                    (0..self.roles.len()).map(each).collect()
                };
                let leaves = self.leaves(act, &sum(&flows), &sum(&solids));
                for ((_, stream), [whole, solid]) in operation.outlets.iter().zip(leaves) {
                    for (old, new) in flows[*stream].iter().zip(&whole) {
                        moved = f64::max(moved, (old - new).abs());
                    }
                    flows[*stream] = whole;
                    solids[*stream] = solid;
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
        let solids: Vec<Vec<f64>> = used.iter().map(|s| solids[*s].clone()).collect();
        let liquors = masses.iter().zip(&solids).flat_map(|(m, s)| m.iter().zip(s));
        let is_trace = |m: f64| m > 0.0 && m < 1e-4 * scale;
        if masses.iter().chain(&solids).flatten().any(|m| is_trace(*m))
            || liquors.into_iter().any(|(m, s)| is_trace(m - s))
            || masses.iter().any(|m| m.iter().sum::<f64>() == 0.0)
        {
            return None;
        }
        Some(Sheet {
            problem: self.problem,
            masses,
            solids,
            values: Vec::new(),
            amounts: Vec::new(),
        })
    }
}
