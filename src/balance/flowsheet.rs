//! The flowsheet behind a problem: which streams have parts, what is absent
//! where, which streams share a composition, and which envelopes may be drawn.
//!
//! All of it holds in every version: it rests on the operations' physics and on
//! facts without numbers, never on a drawn value.

use std::collections::{BTreeMap, BTreeSet};

use super::operations::{Role, Rule};
use super::problem::{
    At, ComponentId, Crystal, ExtraId, GroupId, Part, Problem, Quantity, Says, StreamId, What,
};

/// What holds of a flowsheet whatever the numbers.
#[derive(Debug, Clone)]
pub(super) struct Flowsheet {
    /// All streams and parts, in a fixed order.
    pub(super) places: Vec<At>,
    /// Streams that have parts.
    pub(super) parted: BTreeSet<StreamId>,
    absent: BTreeSet<(At, ComponentId)>,
    /// Solid that stays undissolved: into which parts it comes, out of which it goes.
    pub(super) kept_solids: Vec<KeptSolids>,
    /// Places of one composition share a representative.
    composition: BTreeMap<At, At>,
    pub(super) envelopes: Vec<Envelope>,
    /// Shares that physics fixes.
    fixed: BTreeMap<(At, ComponentId), ExtraId>,
    /// What only passes through the stages of a battery is the same amount in all the
    /// streams between them: the stream that speaks for each.
    passes: BTreeMap<(StreamId, ComponentId), StreamId>,
}

/// Crystals that pass through an operation undissolved.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct KeptSolids {
    pub(super) operation: usize,
    pub(super) from: Vec<At>,
    pub(super) to: Vec<At>,
}

/// Some operations taken together, with the streams that cross its border.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Envelope {
    /// Indices of operations, ascending.
    pub operations: Vec<usize>,
    pub inlets: Vec<StreamId>,
    pub outlets: Vec<StreamId>,
    pub whole: bool,
}

/// More envelopes than a person would ever draw; keeps odd flowsheets cheap.
const MOST_ENVELOPES: usize = 160;

impl Flowsheet {
    pub(super) fn of(problem: &Problem) -> Flowsheet {
        let crystals = crystal_streams(problem);
        let parted = parted_streams(problem, &crystals);
        let mut places = Vec::new();
        for stream in 0..problem.streams.len() {
            places.push(At::whole(stream));
            if parted.contains(&stream) {
                places.push(At { stream, part: Some(Part::Solids) });
                places.push(At { stream, part: Some(Part::Liquor) });
            }
        }
        let envelopes = envelopes(problem);
        let composition = compositions(problem, &parted, &envelopes);
        let kept_solids = kept_solids(problem, &crystals, &parted);
        let mut sheet = Flowsheet {
            places,
            parted,
            absent: BTreeSet::new(),
            kept_solids,
            composition,
            envelopes,
            fixed: BTreeMap::new(),
            passes: BTreeMap::new(),
        };
        sheet.find_absences(problem, &crystals);
        sheet.fix_hydrates(problem, &crystals);
        sheet.find_passes(problem);
        sheet
    }

    /// The carrier of an extraction goes from stage to stage and nowhere else.
    fn find_passes(&mut self, problem: &Problem) {
        let base = |stream: StreamId| {
            let name = &problem.streams[stream];
            name.split_once(".stage").map_or(name.as_str(), |(base, _)| base)
        };
        let is_inner = |stream: StreamId| base(stream).ends_with(" contents");
        for c in 0..problem.components.len() {
            let mut sets: Vec<BTreeSet<StreamId>> = Vec::new();
            for operation in problem.operations.iter().filter(|o| o.name.contains(".stage")) {
                let holds = |stream: &StreamId| !self.is_absent(At::whole(*stream), c);
                let mut enters = operation.inlets.iter().copied().filter(holds);
                let mut leaves =
                    operation.outlets.iter().map(|(_, stream)| *stream).filter(|s| holds(s));
                let (Some(from), None, Some(to), None) =
                    (enters.next(), enters.next(), leaves.next(), leaves.next())
                else {
                    continue;
                };
                if base(from) == base(to) || is_inner(from) || is_inner(to) {
                    let mut merged = BTreeSet::from([from, to]);
                    sets.retain(|set| {
                        let touches = set.contains(&from) || set.contains(&to);
                        if touches {
                            merged.extend(set);
                        }
                        !touches
                    });
                    sets.push(merged);
                }
            }
            for set in sets {
                // The battery's own stream has the plainest name.
                let plain =
                    |s: &&StreamId| !problem.streams[**s].contains(".stage") && !is_inner(**s);
                let Some(chief) = set.iter().find(plain).or(set.first()).copied() else { continue };
                self.passes.extend(set.iter().map(|stream| ((*stream, c), chief)));
            }
        }
    }

    /// The stream whose amount of a component is this stream's.
    pub(super) fn pass(&self, stream: StreamId, component: ComponentId) -> Option<StreamId> {
        self.passes.get(&(stream, component)).copied().filter(|chief| *chief != stream)
    }

    /// Crystals of one hydrate have its composition wherever they go undissolved.
    fn fix_hydrates(&mut self, problem: &Problem, crystals: &BTreeSet<StreamId>) {
        let mut kinds: Vec<Crystal> = problem.operations.iter().filter_map(|o| o.crystal).collect();
        kinds.dedup();
        let [Crystal { solute, hydrate: Some(hydrate) }] = kinds.as_slice() else { return };
        for stream in crystals {
            let solids = At { stream: *stream, part: Some(Part::Solids) };
            let at = if self.parted.contains(stream) { solids } else { At::whole(*stream) };
            // Magma without parts, or sand among the crystals, has no composition of its own.
            let mut present = self.present(problem, at);
            present.sort_unstable();
            let mut own = vec![*solute, hydrate.water];
            own.sort_unstable();
            let clear = self.parted.contains(stream) || self.is_pure_crystals(problem, *stream);
            if present == own && clear {
                self.fixed.insert((at, *solute), hydrate.salt_share);
                self.fixed.insert((at, hydrate.water), hydrate.water_share);
            }
        }
    }

    /// An outlet that only crystals leave by.
    fn is_pure_crystals(&self, problem: &Problem, stream: StreamId) -> bool {
        problem.operations.iter().any(|operation| {
            lifted(operation.kind.physics, &operation.except).any(|rule| {
                matches!(rule, Rule::Only { outlet, role: Role::Solute, .. }
                    if outlet_streams(operation, outlet).any(|s| s == stream))
            })
        })
    }

    pub(super) fn is_absent(&self, at: At, component: ComponentId) -> bool {
        self.absent.contains(&(at, component))
    }

    /// The components that may be present, in the file's order.
    pub(super) fn present(&self, problem: &Problem, at: At) -> Vec<ComponentId> {
        (0..problem.components.len()).filter(|c| !self.is_absent(at, *c)).collect()
    }

    /// Those of them that count in the total.
    pub(super) fn counted(&self, problem: &Problem, at: At) -> Vec<ComponentId> {
        let mut counted = self.present(problem, at);
        counted.retain(|c| problem.counts(*c));
        counted
    }

    /// The members of a group that may be present.
    pub(super) fn members(&self, problem: &Problem, at: At, group: GroupId) -> Vec<ComponentId> {
        let mut members = self.present(problem, at);
        members.retain(|c| problem.groups[group].members.contains(c));
        members
    }

    /// The extra that holds a component's share, where physics fixes it: salt and
    /// water in the crystals of a hydrate.
    pub(super) fn fixed_share(&self, at: At, component: ComponentId) -> Option<ExtraId> {
        self.fixed.get(&(at, component)).copied()
    }

    /// The place whose composition this one shares (itself, if none).
    pub(super) fn composition(&self, at: At) -> At {
        self.composition.get(&at).copied().unwrap_or(at)
    }

    fn find_absences(&mut self, problem: &Problem, crystals: &BTreeSet<StreamId>) {
        for fact in &problem.facts {
            if let Says::Absent(components) = &fact.says {
                self.absent.extend(components.iter().map(|c| (fact.at, *c)));
            }
        }
        for operation in &problem.operations {
            for rule in lifted(operation.kind.physics, &operation.except) {
                self.absent.extend(rule_absences(problem, operation, rule));
            }
        }
        for stream in self.parted.clone() {
            for (c, component) in problem.components.iter().enumerate() {
                let solids = At { stream, part: Some(Part::Solids) };
                let liquor = At { stream, part: Some(Part::Liquor) };
                let comes_out = crystals.contains(&stream) && comes_out(problem, c);
                match component.role {
                    Role::Insoluble | Role::Size => {
                        self.absent.insert((liquor, c));
                    }
                    _ if comes_out => {}
                    Role::Plain => {}
                    _ => {
                        self.absent.insert((solids, c));
                    }
                }
            }
        }
        while self.spread_absences(problem) {}
    }

    /// One round of consequences; true if there was a new one.
    fn spread_absences(&mut self, problem: &Problem) -> bool {
        let before = self.absent.len();
        for c in 0..problem.components.len() {
            for operation in &problem.operations {
                let inlets: Vec<At> = operation.inlets.iter().map(|s| At::whole(*s)).collect();
                let outlets: Vec<At> =
                    operation.outlets.iter().map(|(_, s)| At::whole(*s)).collect();
                // Nothing comes from nothing, and nothing vanishes.
                for (from, to) in [(&inlets, &outlets), (&outlets, &inlets)] {
                    if !from.is_empty() && from.iter().all(|at| self.is_absent(*at, c)) {
                        self.absent.extend(to.iter().map(|at| (*at, c)));
                    }
                }
            }
            for stream in self.parted.clone() {
                let whole = At::whole(stream);
                let parts =
                    [Part::Solids, Part::Liquor].map(|part| At { stream, part: Some(part) });
                if self.is_absent(whole, c) {
                    self.absent.extend(parts.map(|at| (at, c)));
                } else if parts.iter().all(|at| self.is_absent(*at, c)) {
                    self.absent.insert((whole, c));
                }
            }
            let pairs: Vec<(At, At)> = self.composition.iter().map(|(a, b)| (*a, *b)).collect();
            for (a, b) in pairs {
                if self.is_absent(a, c) || self.is_absent(b, c) {
                    self.absent.insert((a, c));
                    self.absent.insert((b, c));
                }
            }
        }
        self.absent.len() > before
    }
}

/// May a component be found among crystals of this process?
fn comes_out(problem: &Problem, component: ComponentId) -> bool {
    let named: Vec<Crystal> = problem.operations.iter().filter_map(|o| o.crystal).collect();
    let unnamed = named.is_empty() && problem.components[component].role == Role::Solute;
    unnamed
        || named.iter().any(|crystal| {
            crystal.solute == component || crystal.hydrate.is_some_and(|h| h.water == component)
        })
}

/// What crystals of one kind do not hold.
fn all_but_crystals(problem: &Problem, crystal: Option<Crystal>, at: At) -> Vec<(At, ComponentId)> {
    let Some(crystal) = crystal else { return Vec::new() };
    let kept = |c: ComponentId| {
        c == crystal.solute
            || crystal.hydrate.is_some_and(|h| h.water == c)
            || problem.components[c].role == Role::Plain
    };
    (0..problem.components.len()).filter(|c| !kept(*c)).map(|c| (at, c)).collect()
}

/// The rules that the author has not lifted.
pub(super) fn lifted<'a>(
    rules: &'static [Rule],
    except: &'a [String],
) -> impl Iterator<Item = &'static Rule> + 'a {
    rules.iter().filter(|rule| !except.iter().any(|name| name == rule.name()))
}

fn outlet_streams<'a>(
    operation: &'a super::problem::Operation,
    key: &'a str,
) -> impl Iterator<Item = StreamId> + 'a {
    operation.outlets.iter().filter(move |(port, _)| *port == key).map(|(_, s)| *s)
}

/// What enters by a port; where the inlets mix first, they enter the mixing that
/// goes by the operation's name.
fn inlet_streams<'a>(
    problem: &'a Problem,
    operation: &'a super::problem::Operation,
    key: &'a str,
) -> impl Iterator<Item = StreamId> + 'a {
    let entered = problem.operations.iter().filter(|o| o.name == operation.name);
    entered
        .flat_map(|o| o.inlet_keys.iter().zip(&o.inlets))
        .filter(move |(port, _)| **port == key)
        .map(|(_, stream)| *stream)
}

fn rule_absences(
    problem: &Problem,
    operation: &super::problem::Operation,
    rule: &Rule,
) -> Vec<(At, ComponentId)> {
    let mut absences = Vec::new();
    let mut exclude = |port: &str, gone: &dyn Fn(Role) -> bool| {
        for stream in outlet_streams(operation, port).chain(inlet_streams(problem, operation, port))
        {
            for (c, component) in problem.components.iter().enumerate() {
                if component.role != Role::Plain && gone(component.role) {
                    absences.push((At::whole(stream), c));
                }
            }
        }
    };
    match rule {
        Rule::Only { outlet, role: Role::Solute, .. } if operation.crystal.is_some() => {
            for stream in outlet_streams(operation, outlet) {
                absences.extend(all_but_crystals(problem, operation.crystal, At::whole(stream)));
            }
        }
        Rule::Only { outlet, role, .. } => exclude(outlet, &|r| r != *role),
        Rule::Without { outlet, role, .. } => exclude(outlet, &|r| r == *role),
        Rule::Clear { outlet, .. } => {
            exclude(outlet, &|r| matches!(r, Role::Insoluble | Role::Size));
        }
        Rule::RetainedLiquor { .. }
        | Rule::SolidsStay { .. }
        | Rule::OneComposition { .. }
        | Rule::HoldsCrystals { .. } => {}
    }
    absences
}

/// Streams that may hold crystals: where an operation says so, upstream of an
/// operation that catches them, and downstream wherever solids go.
fn crystal_streams(problem: &Problem) -> BTreeSet<StreamId> {
    let mut crystals = BTreeSet::new();
    for operation in &problem.operations {
        for rule in lifted(operation.kind.physics, &operation.except) {
            if let Rule::HoldsCrystals { outlet, .. } = rule {
                let caught: Vec<StreamId> = outlet_streams(operation, outlet).collect();
                if !caught.is_empty() && operation.kind.name == "centrifugation" {
                    crystals.extend(&operation.inlets);
                }
                crystals.extend(caught);
            }
        }
    }
    loop {
        let before = crystals.len();
        for operation in &problem.operations {
            if !operation.inlets.iter().any(|s| crystals.contains(s)) {
                continue;
            }
            for (key, stream) in &operation.outlets {
                let clear = lifted(operation.kind.physics, &operation.except).any(|rule| {
                    matches!(rule, Rule::Clear { outlet, .. } | Rule::Only { outlet, .. } if outlet == key)
                });
                if !clear {
                    crystals.insert(*stream);
                }
            }
        }
        if crystals.len() == before {
            return crystals;
        }
    }
}

/// The stream of a quantity that lies in a part of it.
fn of_part(quantity: &Quantity) -> Option<StreamId> {
    match quantity {
        Quantity::Amount(at, _) | Quantity::Share(at, _) | Quantity::Other(at, _) => {
            at.part.map(|_| at.stream)
        }
        Quantity::Extra(_) => None,
    }
}

/// Streams whose parts matter: a fact, a formula or retained liquor names them.
fn parted_streams(problem: &Problem, crystals: &BTreeSet<StreamId>) -> BTreeSet<StreamId> {
    let mut parted = BTreeSet::new();
    for fact in &problem.facts {
        let names_part = |of: &What| matches!(of, What::Part(_));
        let parts = fact.at.part.is_some()
            || match &fact.says {
                Says::Amount { of, .. } | Says::Share { of, .. } => names_part(of),
                Says::Per { of, base, .. } => names_part(of) || names_part(base),
                Says::ShareOf { of, other, .. } | Says::SameAs { of, other } => {
                    if names_part(of) || other.part.is_some() {
                        parted.insert(other.stream);
                    }
                    names_part(of)
                }
                Says::ShareTimes { other, .. } => {
                    parted.extend(other.part.map(|_| other.stream));
                    false
                }
                Says::Proportion { left, right, .. } | Says::Power { left, right, .. } => {
                    parted.extend(left.iter().chain(right).filter_map(of_part));
                    false
                }
                _ => false,
            };
        if parts {
            parted.insert(fact.at.stream);
        }
    }
    let formulas = problem
        .asked
        .iter()
        .chain(&problem.also)
        .chain(problem.relations.iter().flat_map(|e| [&e.left, &e.right]));
    for formula in formulas {
        for (path, _) in formula.names() {
            if let Ok((At { stream, part: Some(_) }, _)) = problem.locate(&path) {
                parted.insert(stream);
            }
        }
    }
    let solid = |stream: &StreamId| {
        crystals.contains(stream)
            || problem.components.iter().any(|c| matches!(c.role, Role::Insoluble | Role::Size))
    };
    for operation in &problem.operations {
        for rule in lifted(operation.kind.physics, &operation.except) {
            if let Rule::RetainedLiquor { outlet, .. } = rule {
                let holding: Vec<StreamId> =
                    outlet_streams(operation, outlet).filter(solid).collect();
                if !holding.is_empty()
                    && let [feed] = operation.inlets.as_slice()
                {
                    parted.insert(*feed);
                }
                parted.extend(holding);
            }
        }
    }
    parted
}

/// Where an operation dissolves nothing and all the solids around it are told apart
/// from their liquor.
fn kept_solids(
    problem: &Problem,
    crystals: &BTreeSet<StreamId>,
    parted: &BTreeSet<StreamId>,
) -> Vec<KeptSolids> {
    let mut found = Vec::new();
    for (number, operation) in problem.operations.iter().enumerate() {
        let outlets: Vec<StreamId> = lifted(operation.kind.physics, &operation.except)
            .filter_map(|rule| match rule {
                Rule::SolidsStay { outlet, .. } => Some(outlet_streams(operation, outlet)),
                _ => None,
            })
            .flatten()
            .collect();
        let inlets: Vec<StreamId> =
            operation.inlets.iter().copied().filter(|s| crystals.contains(s)).collect();
        let told_apart = inlets.iter().chain(&outlets).all(|s| parted.contains(s));
        if !inlets.is_empty() && !outlets.is_empty() && told_apart {
            let solids = |streams: Vec<StreamId>| {
                streams.into_iter().map(|stream| At { stream, part: Some(Part::Solids) }).collect()
            };
            found.push(KeptSolids { operation: number, from: solids(inlets), to: solids(outlets) });
        }
    }
    found
}

/// Places that share a composition, each with its representative.
fn compositions(
    problem: &Problem,
    parted: &BTreeSet<StreamId>,
    envelopes: &[Envelope],
) -> BTreeMap<At, At> {
    let mut sets: Vec<BTreeSet<At>> = Vec::new();
    let mut join = |a: At, b: At| {
        let mut merged = BTreeSet::from([a, b]);
        sets.retain(|set| {
            let touches = set.contains(&a) || set.contains(&b);
            if touches {
                merged.extend(set);
            }
            !touches
        });
        sets.push(merged);
    };
    for operation in &problem.operations {
        for rule in lifted(operation.kind.physics, &operation.except) {
            match rule {
                Rule::RetainedLiquor { outlet, like, .. } => {
                    for stream in outlet_streams(operation, outlet) {
                        for other in outlet_streams(operation, like) {
                            if parted.contains(&stream) {
                                let liquor = At { stream, part: Some(Part::Liquor) };
                                join(liquor, At::whole(other));
                                // Nothing but parting happens: the liquor that
                                // enters is the liquor that leaves.
                                if let [feed] = operation.inlets.as_slice()
                                    && parted.contains(feed)
                                {
                                    let entering = At { stream: *feed, part: Some(Part::Liquor) };
                                    join(entering, At::whole(other));
                                }
                            }
                        }
                    }
                }
                Rule::OneComposition { .. } => {
                    let mut streams = operation.outlets.iter().map(|(_, s)| *s);
                    if let [feed] = operation.inlets.as_slice() {
                        streams.by_ref().for_each(|s| join(At::whole(*feed), At::whole(s)));
                    } else if let Some(first) = streams.next() {
                        streams.for_each(|s| join(At::whole(first), At::whole(s)));
                    }
                }
                _ => {}
            }
        }
    }
    // Where one stream enters a border and one leaves it, they are alike.
    for envelope in envelopes {
        if let ([enters], [leaves]) = (envelope.inlets.as_slice(), envelope.outlets.as_slice()) {
            join(At::whole(*enters), At::whole(*leaves));
        }
    }
    let mut found = BTreeMap::new();
    for set in sets {
        // A whole stream speaks for a part: its name is the plainer one.
        let chief = set.iter().copied().find(|at| at.part.is_none()).or(set.first().copied());
        if let Some(chief) = chief {
            found.extend(set.into_iter().map(|at| (at, chief)));
        }
    }
    found
}

/// Every single operation, every connected set that is convex along the forward
/// edges, and the whole process, fewest operations first.
fn envelopes(problem: &Problem) -> Vec<Envelope> {
    let count = problem.operations.len();
    if count == 0 {
        return Vec::new();
    }
    let leaves = |a: usize, b: usize| {
        problem.operations[a].outlets.iter().any(|(_, s)| problem.operations[b].inlets.contains(s))
    };
    // reach[a][b]: a forward path leads from a to b.
    let mut reach = vec![vec![false; count]; count];
    for a in (0..count).rev() {
        for b in a + 1..count {
            if leaves(a, b) {
                reach[a][b] = true;
                let onward = reach[b].clone();
                reach[a].iter_mut().zip(onward).for_each(|(far, on)| *far |= on);
            }
        }
    }
    let touching = |a: usize, b: usize| leaves(a, b) || leaves(b, a);
    let convex = |set: &BTreeSet<usize>| {
        (0..count).all(|x| {
            set.contains(&x)
                || !(set.iter().any(|a| reach[*a][x]) && set.iter().any(|b| reach[x][*b]))
        })
    };
    let mut found: Vec<BTreeSet<usize>> = Vec::new();
    // An operation of which only what leaves is told has nothing to balance.
    let whole = |a: &usize| {
        !problem.operations[*a].inlets.is_empty() && !problem.operations[*a].outlets.is_empty()
    };
    let all: BTreeSet<usize> = (0..count).filter(whole).collect();
    if all.is_empty() {
        return Vec::new();
    }
    let mut layer: BTreeSet<BTreeSet<usize>> = all.iter().map(|a| BTreeSet::from([*a])).collect();
    while !layer.is_empty() && found.len() < MOST_ENVELOPES {
        let mut next = BTreeSet::new();
        for set in &layer {
            for b in &all {
                if !set.contains(b) && set.iter().any(|a| touching(*a, *b)) {
                    let mut larger = set.clone();
                    larger.insert(*b);
                    next.insert(larger);
                }
            }
        }
        found.extend(layer.into_iter().filter(|set| convex(set)));
        if next.len() > 4 * MOST_ENVELOPES {
            break;
        }
        layer = next;
    }
    if !found.contains(&all) {
        found.push(all.clone());
    }
    let mut drawn: Vec<Envelope> =
        found.into_iter().map(|set| envelope(problem, &set, set == all)).collect();
    // Two sets with the same border say the same; the smaller is the plainer.
    let mut seen = BTreeSet::new();
    drawn.retain(|e| seen.insert((e.inlets.clone(), e.outlets.clone())));
    drawn
}

fn envelope(problem: &Problem, set: &BTreeSet<usize>, whole: bool) -> Envelope {
    let mut inlets: Vec<StreamId> =
        set.iter().flat_map(|o| problem.operations[*o].inlets.iter().copied()).collect();
    let mut outlets: Vec<StreamId> =
        set.iter().flat_map(|o| problem.operations[*o].outlets.iter().map(|(_, s)| *s)).collect();
    let inner: BTreeSet<StreamId> =
        inlets.iter().copied().filter(|s| outlets.contains(s)).collect();
    inlets.retain(|s| !inner.contains(s));
    outlets.retain(|s| !inner.contains(s));
    Envelope { operations: set.iter().copied().collect(), inlets, outlets, whole }
}
