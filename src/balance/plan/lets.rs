//! What to let be unknown, and which relations then close the loop.
//!
//! Takes a search that is stuck; gives the let that leads to what is asked at the
//! least cost. One unknown on a straight line is sought first, then two, then one
//! on a curve. Whether a relation closes is found by trial values.

use super::super::problem::What;
use super::super::relations::{Node, Slot};
use super::probe::{LeftOver, Probe, Seen, TRIALS};
use super::running::{Root, is_possible};
use super::search::{Search, merge};
use super::{Find, Form, Let, cost};

/// Which lets a search may take.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Kinds {
    two: bool,
    bent: bool,
}

impl Kinds {
    /// Simple ones first.
    pub(super) const IN_TURN: [Kinds; 4] = [
        Kinds { two: false, bent: false },
        Kinds { two: true, bent: false },
        Kinds { two: false, bent: true },
        Kinds { two: true, bent: true },
    ];
}

/// Lets that are followed to the end before the cheapest is taken.
const LETS_FOLLOWED: usize = 12;
/// Closing relations of a curve whose roots are looked for, for one unknown.
const CURVES_FOLLOWED: usize = 4;
/// Closing relations from which a pair is chosen.
const CLOSERS_PAIRED: usize = 6;
/// Quantities of one kind among which two unknowns are chosen.
const PAIRED: usize = 36;
/// Pairs that are searched properly.
const PAIRS_FOLLOWED: usize = 8;
/// Trial values: fractions of a share's range, or of the largest known amount.
const AT: [f64; 3] = [0.31, 0.57, 0.43];
/// The second unknown is tried elsewhere, so that the two are told apart.
const AT_SECOND: [f64; 3] = [0.23, 0.47, 0.38];

/// A let, what it costs, and what it and the rest cost together.
struct Choice {
    cost: f64,
    letting: Let,
}

impl Search<'_> {
    /// The let that leads to `asked` at the least cost; where none does, the
    /// cheapest that settles anything.
    pub(super) fn best_let(&mut self, asked: Slot, kinds: Kinds) -> Option<Let> {
        let (singles, pairs, several) = {
            let search = &*self;
            let mut probe = Probe::new(search);
            let candidates: Vec<Slot> = (0..search.known.len())
                // What plain steps reach need not be let be anything.
                .filter(|x| search.may_be_let(*x) && !probe.is_reached(*x))
                .collect();
            let mut several = None;
            let mut singles = Vec::new();
            let mut seen_of: Vec<(Slot, Seen)> = Vec::new();
            for x in &candidates {
                let seen = probe.from(&[(*x, search.trials_alone(*x))]);
                if !seen.moving.is_empty() {
                    singles.extend(search.lets_for(*x, asked, kinds, &seen, &mut several));
                }
                seen_of.push((*x, seen));
            }
            let (best, reaches) = match search.cheapest(singles, asked) {
                Some((best, reaches)) => (Some(best), reaches),
                None => (None, false),
            };
            let pairs = if kinds.two && !reaches {
                let pairs = search.pairs_for(&mut probe, &seen_of, asked);
                search.cheapest(pairs, asked)
            } else {
                None
            };
            (best.map(|best| (best, reaches)), pairs, several)
        };
        if several.is_some() {
            self.several = several;
        }
        match (singles, pairs) {
            (Some((single, true)), _) => Some(single),
            (_, Some((pair, true))) => Some(pair),
            (Some((single, false)), _) => Some(single),
            (None, Some((pair, false))) => Some(pair),
            (None, None) => None,
        }
    }

    /// The cheapest of these, with the rest of the way; true if it leads to `asked`.
    fn cheapest(&self, mut found: Vec<Choice>, asked: Slot) -> Option<(Let, bool)> {
        found.sort_by(|a, b| a.cost.total_cmp(&b.cost));
        found.truncate(LETS_FOLLOWED);
        let mut best: Option<(f64, Let, bool)> = None;
        for Choice { cost, letting } in found {
            let also: Vec<Slot> = letting.targets().collect();
            let rest = if also.contains(&asked) {
                Some(0.0)
            } else {
                self.closure(&also)[asked].as_ref().map(|d| d.cost)
            };
            let whole = cost + rest.unwrap_or(cost::ASTRAY);
            if best.as_ref().is_none_or(|(least, _, _)| whole < least - 1e-9) {
                best = Some((whole, letting, rest.is_some()));
            }
        }
        best.map(|(_, letting, reaches)| (letting, reaches))
    }

    fn may_be_let(&self, x: Slot) -> bool {
        matches!(
            self.system.nodes[x],
            Node::Amount(_, What::Total | What::Component(_)) | Node::Share(_, What::Component(_))
        )
    }

    fn trial_values(&self, x: Slot, at: [f64; 3]) -> [f64; 3] {
        if self.system.is_fraction(x) { at } else { at.map(|t| t * self.scale) }
    }

    fn trials_alone(&self, x: Slot) -> [f64; TRIALS] {
        let [a, b, c] = self.trial_values(x, AT);
        [a, b, c, b]
    }

    /// Trials of two unknowns: base, the first moved, the second moved, both.
    fn trials_of_two(&self, x: Slot, y: Slot) -> [[f64; TRIALS]; 2] {
        let [a, b, c] = self.trial_values(x, AT);
        let [d, e, f] = self.trial_values(y, AT_SECOND);
        [[a, b, a, c], [d, d, e, f]]
    }

    fn is_banned(&self, unknowns: &[Slot], closes: &[usize]) -> bool {
        self.bans.lets.iter().any(|(u, c)| u == unknowns && c == closes)
    }

    /// The relations that may close a let of these unknowns, cheapest first, each
    /// with the steps to all that it speaks of.
    fn closers(&self, unknowns: &[Slot]) -> Vec<(f64, usize, Vec<u32>)> {
        let derivations = self.closure(unknowns);
        let mut closers: Vec<(f64, usize, Vec<u32>)> = Vec::new();
        for (number, way) in self.ways.iter().enumerate() {
            let touches = way.iter().any(|(slot, _)| unknowns.contains(slot) || !self.known[*slot]);
            let reachable = way.iter().all(|(slot, _)| derivations[*slot].is_some());
            if !touches || !reachable || self.is_barred(number) {
                continue;
            }
            let mut steps = Vec::new();
            for derivation in way.iter().filter_map(|(slot, _)| derivations[*slot].as_ref()) {
                merge(&mut steps, &derivation.steps);
            }
            let uses_itself =
                steps.iter().any(|s| self.catalogue[*s as usize].0.relation == number);
            if !uses_itself {
                let plain =
                    cost::of_step(self.system, self.system.relations[number].why, unknowns[0]);
                let closing = super::route::charged(plain, self.surcharges[number]);
                closers.push((self.cost_of(&steps) + closing, number, steps));
            }
        }
        closers.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        closers
    }

    fn wanted_by(&self, close: usize) -> impl Iterator<Item = Slot> + '_ {
        self.ways[close].iter().map(|(slot, _)| *slot)
    }

    /// The cheapest way to close a let of `x`; a curve only where no straight line
    /// closes it.
    fn lets_for(
        &self,
        x: Slot,
        asked: Slot,
        kinds: Kinds,
        seen: &Seen,
        several: &mut Option<Vec<f64>>,
    ) -> Option<Choice> {
        let liking = cost::of_liking(self.system, x, asked);
        let [a, b, c] = self.trial_values(x, AT);
        let mut curves = Vec::new();
        for (cost, close, steps) in self.closers(&[x]) {
            if self.is_banned(&[x], &[close]) {
                continue;
            }
            let wanted: Vec<Slot> = self.wanted_by(close).collect();
            let inner = self.ordered_from(&steps, &wanted, &[x]);
            let form = Form::Straight { trials: vec![[a, b]] };
            let letting = Let { unknowns: vec![x], inner, closes: vec![close], form };
            let mut values = self.values.clone();
            let residuals =
                [a, b, c].map(|trial| letting.residuals(self.system, &mut values, &[trial])[0]);
            let size = self.system.relations[close].size(&values);
            let cost = cost + cost::LET + liking;
            match line_of([a, b, c], residuals, size) {
                Dependence::Straight => return Some(Choice { cost, letting }),
                Dependence::Bent if kinds.bent => curves.push(Choice { cost, letting }),
                _ => {}
            }
        }
        curves.truncate(CURVES_FOLLOWED);
        curves.into_iter().find_map(|Choice { cost, letting }| {
            let letting = self.settled_curve(letting, asked, seen, several)?;
            Some(Choice { cost: cost + cost::BENT, letting })
        })
    }

    /// The let as a bent one, if just one of its roots is possible. Where several
    /// are by what is found inside it, all else that follows from them is asked.
    fn settled_curve(
        &self,
        mut letting: Let,
        asked: Slot,
        seen: &Seen,
        several: &mut Option<Vec<f64>>,
    ) -> Option<Let> {
        letting.form = Form::Bent { sized_by: self.sized_by.clone(), checks: Vec::new() };
        let mut values = self.values.clone();
        let possible = |letting: &Let, values: &mut Vec<f64>| -> Vec<Root> {
            let mut roots = letting.roots(self.system, values);
            roots.retain(|root| root.refused.is_none());
            roots
        };
        let roots = possible(&letting, &mut values);
        if roots.len() > 1 {
            let inside: Vec<Slot> = letting.targets().collect();
            let beyond: Vec<Find> =
                seen.taken.iter().copied().filter(|find| !inside.contains(&find.target)).collect();
            letting.form = Form::Bent {
                sized_by: self.sized_by.clone(),
                checks: self.telling(&letting, &roots, &beyond),
            };
        }
        let left = possible(&letting, &mut values);
        match left.as_slice() {
            [] => None,
            [_] => Some(letting),
            [first, ..] => {
                let asked_at = |x: f64, values: &mut Vec<f64>| {
                    letting.fill(self.system, values, &[x]);
                    for find in &seen.taken {
                        if !letting.targets().any(|slot| slot == find.target) {
                            values[find.target] = find.value(self.system, values);
                        }
                    }
                    values[asked]
                };
                if asked_at(first.x, &mut values).is_finite() && several.is_none() {
                    let mut all: Vec<f64> =
                        left.iter().map(|root| asked_at(root.x, &mut values)).collect();
                    all.sort_by(f64::total_cmp);
                    *several = Some(all);
                }
                None
            }
        }
    }

    /// Of the steps that follow a let, those up to the last that makes a root
    /// impossible.
    fn telling(&self, letting: &Let, roots: &[Root], beyond: &[Find]) -> Vec<Find> {
        let mut last = 0;
        let mut values = self.values.clone();
        for root in roots {
            letting.fill(self.system, &mut values, &[root.x]);
            for (place, find) in beyond.iter().enumerate() {
                let value = find.value(self.system, &mut values);
                values[find.target] = value;
                if !is_possible(self.system, find.target, value, self.scale) {
                    last = last.max(place + 1);
                    break;
                }
            }
        }
        beyond[..last].to_vec()
    }

    /// Pairs of unknowns that two relations settle, and how. Totals are tried
    /// first, then component masses, shares last.
    fn pairs_for(
        &self,
        probe: &mut Probe<'_, '_>,
        seen_of: &[(Slot, Seen)],
        asked: Slot,
    ) -> Vec<Choice> {
        let kind = |x: Slot| match self.system.nodes[x] {
            Node::Amount(at, What::Total) if at.part.is_none() => 0,
            Node::Amount(..) => 1,
            _ => 2,
        };
        let mut pool: Vec<&(Slot, Seen)> = Vec::new();
        for round in 0..3 {
            let mut more: Vec<&(Slot, Seen)> =
                seen_of.iter().filter(|(x, _)| kind(*x) == round).collect();
            more.sort_by_key(|(x, _)| *x != asked);
            more.truncate(PAIRED);
            pool.extend(&more);
            let mut found: Vec<(f64, Slot, Slot)> = Vec::new();
            for (place, (x, seen)) in pool.iter().enumerate() {
                for (y, other) in &pool[..place] {
                    // What one alone leads to need not be let be anything.
                    let is_idle = seen.reaches(*y) || other.reaches(*x);
                    if is_idle || (kind(*x) != round && kind(*y) != round) {
                        continue;
                    }
                    // Numbers in their own order: the first is x.
                    let (x, y) = (*x.min(y), *x.max(y));
                    let [first, second] = self.trials_of_two(x, y);
                    let seen = probe.from(&[(x, first), (y, second)]);
                    if !settles_two(&seen.moving) {
                        continue;
                    }
                    let reaches = [x, y].contains(&asked) || seen.reaches(asked);
                    let liking = cost::of_liking(self.system, x, asked)
                        + cost::of_liking(self.system, y, asked)
                        + if reaches { 0.0 } else { cost::ASTRAY };
                    found.push((liking, x, y));
                }
            }
            found.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
            found.truncate(PAIRS_FOLLOWED);
            let lets: Vec<Choice> = found
                .into_iter()
                .filter_map(|(liking, x, y)| self.let_of_two(x, y, liking))
                .collect();
            if !lets.is_empty() {
                return lets;
            }
        }
        Vec::new()
    }

    /// The cheapest way to settle two unknowns at once.
    fn let_of_two(&self, x: Slot, y: Slot, liking: f64) -> Option<Choice> {
        let [first, second] = self.trials_of_two(x, y);
        let trials = vec![[first[0], first[1]], [second[0], second[2]]];
        let made = |steps: &[u32], closes: &[usize]| {
            let wanted: Vec<Slot> = closes.iter().flat_map(|c| self.wanted_by(*c)).collect();
            Let {
                unknowns: vec![x, y],
                inner: self.ordered_from(steps, &wanted, &[x, y]),
                closes: closes.to_vec(),
                form: Form::Straight { trials: trials.clone() },
            }
        };
        let left_over = |letting: &Let| -> [LeftOver; 2] {
            let mut values = self.values.clone();
            let residuals: [[f64; 2]; TRIALS] = std::array::from_fn(|trial| {
                letting.residuals(self.system, &mut values, &[first[trial], second[trial]])
            });
            let size = |row: usize| {
                letting.closes.get(row).map_or(0.0, |c| self.system.relations[*c].size(&values))
            };
            [0, 1].map(|row| LeftOver { residuals: residuals.map(|r| r[row]), size: size(row) })
        };
        let mut closers: Vec<(f64, usize, Vec<u32>)> = Vec::new();
        for closer in self.closers(&[x, y]) {
            let [own, _] = left_over(&made(&closer.2, &[closer.1]));
            if own.gradient().is_some_and(|g| g != [0.0, 0.0]) {
                closers.push(closer);
                if closers.len() == CLOSERS_PAIRED {
                    break;
                }
            }
        }
        let mut best: Option<Choice> = None;
        for (place, (_, close, steps)) in closers.iter().enumerate() {
            for (_, other, more) in &closers[..place] {
                let mut all = steps.clone();
                merge(&mut all, more);
                let closes = [*other.min(close), *other.max(close)];
                let is_used = all
                    .iter()
                    .any(|step| closes.contains(&self.catalogue[*step as usize].0.relation));
                if is_used || self.is_banned(&[x, y], &closes) {
                    continue;
                }
                let closing: f64 = closes
                    .iter()
                    .map(|c| {
                        let why = self.system.relations[*c].why;
                        super::route::charged(
                            cost::of_step(self.system, why, x),
                            self.surcharges[*c],
                        )
                    })
                    .sum();
                let cost = self.cost_of(&all) + closing + cost::LET + cost::SECOND_LET + liking;
                if best.as_ref().is_some_and(|b| b.cost <= cost + 1e-9) {
                    continue;
                }
                let letting = made(&all, &closes);
                if settles_two(&left_over(&letting)) {
                    best = Some(Choice { cost, letting });
                }
            }
        }
        best
    }
}

/// How a closing residual depends on an unknown.
enum Dependence {
    None,
    Straight,
    Bent,
}

/// Straight if the third residual lies on the line through the first two and the
/// line is not level; `terms` is the size of what the residuals are differences of.
fn line_of(trials: [f64; 3], residuals: [f64; 3], terms: f64) -> Dependence {
    if residuals.iter().any(|r| !r.is_finite()) {
        return Dependence::Bent;
    }
    let [r0, r1, r2] = residuals;
    let size = residuals.iter().fold(terms, |most: f64, r| most.max(r.abs()));
    let slope = (r1 - r0) / (trials[1] - trials[0]);
    let expected = r0 + slope * (trials[2] - trials[0]);
    let varies = (r1 - r0).abs() > 1e-9 * size || (r2 - r0).abs() > 1e-9 * size;
    if size.is_nan() || size <= 0.0 || !varies {
        Dependence::None
    } else if (r2 - expected).abs() <= 1e-9 * size {
        Dependence::Straight
    } else {
        Dependence::Bent
    }
}

impl LeftOver {
    /// How the residual, over its terms, changes from trial to trial of either
    /// unknown; None where it does not lie on a plane.
    fn gradient(&self) -> Option<[f64; 2]> {
        let [base, first, second, both] = self.residuals;
        if !(self.size.is_finite() && self.size > 0.0) {
            return None;
        }
        // The last trial moves each unknown by a part of its first move.
        let part = |at: [f64; 3]| (at[2] - at[0]) / (at[1] - at[0]);
        let expected = base + part(AT) * (first - base) + part(AT_SECOND) * (second - base);
        let size = self.residuals.iter().fold(self.size, |most, r| most.max(r.abs()));
        let is_plane = (both - expected).abs() <= 1e-9 * size;
        let change = |r: f64| {
            let change = (r - base) / size;
            if change.abs() > 1e-9 { change } else { 0.0 }
        };
        is_plane.then(|| [change(first), change(second)])
    }
}

/// True if two of these residuals settle both unknowns.
fn settles_two(moving: &[LeftOver]) -> bool {
    let gradients: Vec<[f64; 2]> =
        moving.iter().filter_map(LeftOver::gradient).filter(|g| g != &[0.0, 0.0]).collect();
    let length = |g: &[f64; 2]| g[0].hypot(g[1]);
    let Some(first) = gradients.first() else { return false };
    gradients.iter().any(|other| {
        let across = first[0] * other[1] - first[1] * other[0];
        across.abs() > 1e-7 * length(first) * length(other)
    })
}
