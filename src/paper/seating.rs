//! Which version lies on which desk: no neighbour in front, behind, left or right has the
//! same one, nor any at the corners where versions allow.
//!
//! Takes the desks of a room and versions that some learners must have; gives a version for
//! each desk and says which neighbours share one all the same.
//!
//! With four versions or more the pattern `seat + 2 row` (mod versions) keeps all eight
//! neighbours apart; with two or three it keeps four apart and shares as few corners as a
//! full room can: of any four desks in a square one pair with three versions, both with
//! two. The seed and the room say which version each number of the pattern is, and whether
//! it runs along rows or columns, so that a seat does not tell a version. Where versions
//! are pinned and no such pattern has them, a search with a limit looks for any plan.
//! Last, versions are changed one by one while that keeps more desks apart, which helps where
//! desks are missing or no plan was found.

use crate::version::Stream;

/// Row and seat.
pub type Place = (u32, u32);

/// A version for each desk, and what could not be kept apart.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Seating {
    /// Versions from 0, in the order of the desks.
    pub versions: Vec<u32>,
    /// Desks in front of, behind or beside each other that share a version.
    pub neighbours: Vec<(usize, usize)>,
    /// The same at the corners.
    pub corners: Vec<(usize, usize)>,
}

/// Steps that the search may take.
const PATIENCE: u32 = 20_000;
/// From so many versions on all eight neighbours can differ in any room.
const ALL_EIGHT: u32 = 4;
/// What it costs to share a version, straight and over a corner, in the last resort.
const STRAIGHT: u32 = 100;
const CORNER: u32 = 1;

/// Seats versions. `desks` holds each place at most once, with the version that must lie
/// there, if any.
pub fn seat(desks: &[(Place, Option<u32>)], versions: u32, stream: &mut Stream) -> Seating {
    let versions = versions.max(1);
    let room = Room::new(desks, versions);
    let order = room.shuffled(stream);
    let found = room.pattern(&order, stream).or_else(|| room.search(&order));
    let mut plan = found.unwrap_or_else(|| room.at_hand(&order));
    room.improve(&mut plan, &order);
    room.judged(plan)
}

struct Room<'a> {
    desks: &'a [(Place, Option<u32>)],
    versions: u32,
    /// Of each desk, the desks beside it and those at its corners.
    straight: Vec<Vec<usize>>,
    corners: Vec<Vec<usize>>,
}

impl<'a> Room<'a> {
    fn new(desks: &'a [(Place, Option<u32>)], versions: u32) -> Room<'a> {
        let places: std::collections::BTreeMap<Place, usize> =
            desks.iter().enumerate().map(|(index, (place, _))| (*place, index)).collect();
        let at = |place: Place, (down, along): (i64, i64)| -> Option<usize> {
            let row = u32::try_from(i64::from(place.0) + down).ok()?;
            let seat = u32::try_from(i64::from(place.1) + along).ok()?;
            places.get(&(row, seat)).copied()
        };
        let around = |steps: [(i64, i64); 4]| -> Vec<Vec<usize>> {
            let near = |place| steps.iter().filter_map(|step| at(place, *step)).collect();
            desks.iter().map(|(place, _)| near(*place)).collect()
        };
        Room {
            desks,
            versions,
            straight: around([(-1, 0), (1, 0), (0, -1), (0, 1)]),
            corners: around([(-1, -1), (-1, 1), (1, -1), (1, 1)]),
        }
    }

    /// The pattern, if it can hold the pinned versions.
    fn pattern(&self, order: &[u32], stream: &mut Stream) -> Option<Vec<u32>> {
        let mut ways: [(u32, u32); 2] = [(1, 2), (2, 1)];
        if self.versions < ALL_EIGHT {
            // With fewer versions twice as far is one back, or nowhere.
            ways = [(1, 1), (1, self.versions - 1)];
        }
        stream.shuffle(&mut ways);
        ways.into_iter().find_map(|way| {
            let class = |(row, seat): Place| {
                let sum = u64::from(way.0) * u64::from(seat) + u64::from(way.1) * u64::from(row);
                (sum % u64::from(self.versions)) as usize
            };
            // Each pinned version takes the place in the order that its desk asks for.
            let mut fixed: Vec<Option<u32>> = vec![None; self.versions as usize];
            for (place, pinned) in self.desks {
                let Some(pinned) = pinned else { continue };
                let own = &mut fixed[class(*place)];
                if own.is_some_and(|other| other != *pinned) {
                    return None;
                }
                *own = Some(*pinned);
            }
            let mut all: Vec<u32> = fixed.iter().flatten().copied().collect();
            all.sort_unstable();
            if all.windows(2).any(|pair| pair[0] == pair[1]) {
                return None;
            }
            let mut free = order.iter().copied().filter(|version| !all.contains(version));
            let named: Vec<u32> =
                fixed.into_iter().map(|own| own.or_else(|| free.next()).unwrap_or(0)).collect();
            Some(self.desks.iter().map(|(place, _)| named[class(*place)]).collect())
        })
    }

    fn shuffled(&self, stream: &mut Stream) -> Vec<u32> {
        let mut order: Vec<u32> = (0..self.versions).collect();
        stream.shuffle(&mut order);
        order
    }

    /// A plan found desk by desk, the one with fewest choices left first: all eight
    /// neighbours apart if the versions may do, else four.
    fn search(&self, order: &[u32]) -> Option<Vec<u32>> {
        let eight = self.versions >= ALL_EIGHT;
        [eight, false].into_iter().find_map(|corners| {
            let mut plan: Vec<Option<u32>> = vec![None; self.desks.len()];
            for (index, (_, pinned)) in self.desks.iter().enumerate() {
                let Some(pinned) = pinned else { continue };
                if !self.may(&plan, index, *pinned, corners) {
                    return None;
                }
                plan[index] = Some(*pinned);
            }
            let mut steps = 0;
            let found = self.go_on(&mut plan, order, corners, &mut steps);
            found.then(|| plan.into_iter().flatten().collect())
        })
    }

    fn go_on(
        &self,
        plan: &mut [Option<u32>],
        order: &[u32],
        corners: bool,
        steps: &mut u32,
    ) -> bool {
        let open = (0..plan.len()).filter(|index| plan[*index].is_none());
        let choices = |index: usize| -> Vec<u32> {
            order.iter().copied().filter(|v| self.may(plan, index, *v, corners)).collect()
        };
        let Some((index, choices)) =
            open.map(|index| (index, choices(index))).min_by_key(|(_, choices)| choices.len())
        else {
            return true;
        };
        for version in choices {
            *steps += 1;
            if *steps > PATIENCE {
                return false;
            }
            plan[index] = Some(version);
            if self.go_on(plan, order, corners, steps) {
                return true;
            }
            plan[index] = None;
        }
        false
    }

    fn may(&self, plan: &[Option<u32>], index: usize, version: u32, corners: bool) -> bool {
        let differs = |others: &[usize]| others.iter().all(|other| plan[*other] != Some(version));
        differs(&self.straight[index]) && (!corners || differs(&self.corners[index]))
    }

    /// Pinned versions as they are, the others in turn.
    fn at_hand(&self, order: &[u32]) -> Vec<u32> {
        let free = |index: usize| order[index % order.len()];
        let desks = self.desks.iter().enumerate();
        desks.map(|(index, (_, pinned))| pinned.unwrap_or_else(|| free(index))).collect()
    }

    /// Changes versions one by one while that helps.
    fn improve(&self, plan: &mut [u32], order: &[u32]) {
        // Each change makes the sum of costs smaller, so this ends.
        loop {
            let mut better = false;
            for index in (0..plan.len()).filter(|index| self.desks[*index].1.is_none()) {
                let cost = |version: u32| {
                    let same = |others: &[usize]| {
                        others.iter().filter(|other| plan[**other] == version).count() as u32
                    };
                    STRAIGHT * same(&self.straight[index]) + CORNER * same(&self.corners[index])
                };
                let best = order.iter().copied().min_by_key(|version| cost(*version));
                let best = best.filter(|best| cost(*best) < cost(plan[index]));
                if let Some(best) = best {
                    plan[index] = best;
                    better = true;
                }
            }
            if !better {
                return;
            }
        }
    }

    fn judged(&self, versions: Vec<u32>) -> Seating {
        let shared = |near: &[Vec<usize>]| -> Vec<(usize, usize)> {
            let pairs =
                near.iter().enumerate().flat_map(|(a, all)| all.iter().map(move |b| (a, *b)));
            pairs.filter(|(a, b)| a < b && versions[*a] == versions[*b]).collect()
        };
        Seating { neighbours: shared(&self.straight), corners: shared(&self.corners), versions }
    }
}
