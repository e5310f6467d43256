//! Versions on desks: rooms of any shape, with gaps and with versions that are pinned.

use std::collections::BTreeSet;

use proptest::prelude::*;
use stillroom::paper::{DeskPlace, Seating, seat};
use stillroom::version::{Key, Stream};

fn stream(seed: u64) -> Stream {
    Stream::of_question(Key { seed, unit: "paper", question: "room" }, "seating")
}

fn full(rows: u32, seats: u32) -> Vec<(DeskPlace, Option<u32>)> {
    (1..=rows).flat_map(|row| (1..=seats).map(move |seat| ((row, seat), None))).collect()
}

/// Pairs of desks that share a version: straight neighbours and those at corners.
fn shared(desks: &[(DeskPlace, Option<u32>)], versions: &[u32]) -> (usize, usize) {
    let (mut straight, mut corner) = (0, 0);
    for (a, ((row, seat), _)) in desks.iter().enumerate() {
        for (b, ((other, beside), _)) in desks.iter().enumerate().skip(a + 1) {
            let apart = (row.abs_diff(*other), seat.abs_diff(*beside));
            let same = usize::from(versions[a] == versions[b]);
            match apart {
                (0, 1) | (1, 0) => straight += same,
                (1, 1) => corner += same,
                _ => {}
            }
        }
    }
    (straight, corner)
}

fn told(plan: &Seating) -> (usize, usize) {
    (plan.neighbours.len(), plan.corners.len())
}

#[test]
fn six_by_five_with_four_versions_shares_nothing_around_any_desk() {
    for seed in 0..50 {
        let desks = full(6, 5);
        let plan = seat(&desks, 4, &mut stream(seed));
        assert_eq!(shared(&desks, &plan.versions), (0, 0), "seed {seed}: {:?}", plan.versions);
        assert_eq!(told(&plan), (0, 0));
        for version in 0..4 {
            let papers = plan.versions.iter().filter(|v| **v == version).count();
            assert!((6..=9).contains(&papers), "seed {seed}: {papers} papers of {version}");
        }
    }
}

#[test]
fn with_two_or_three_versions_no_full_room_shares_fewer_corners() {
    for (versions, of_a_square) in [(2, 2), (3, 1)] {
        let desks = full(6, 5);
        let plan = seat(&desks, versions, &mut stream(9));
        let (straight, corners) = shared(&desks, &plan.versions);
        // There are 5 x 4 squares of four desks; none can do with fewer.
        assert_eq!((straight, corners), (0, 20 * of_a_square));
        assert_eq!(told(&plan), (0, corners));
    }
}

#[test]
fn one_version_says_that_it_cannot() {
    let desks = full(2, 2);
    let plan = seat(&desks, 1, &mut stream(3));
    assert_eq!(plan.versions, [0; 4]);
    assert_eq!(told(&plan), (4, 2));
}

#[test]
fn a_seat_does_not_tell_the_version() {
    let desks = full(6, 5);
    let first: BTreeSet<u32> =
        (0..60).map(|seed| seat(&desks, 4, &mut stream(seed)).versions[0]).collect();
    assert_eq!(first.len(), 4);
    let plans: BTreeSet<Vec<u32>> =
        (0..60).map(|seed| seat(&desks, 4, &mut stream(seed)).versions).collect();
    assert!(plans.len() > 30, "{} plans", plans.len());
}

#[test]
fn pinned_neighbours_that_share_are_told_and_nobody_else_shares() {
    let mut desks = full(4, 4);
    desks[5].1 = Some(2);
    desks[6].1 = Some(2);
    let plan = seat(&desks, 4, &mut stream(1));
    assert_eq!((plan.versions[5], plan.versions[6]), (2, 2));
    assert_eq!(plan.neighbours, [(5, 6)]);
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(200) })]

    /// Rooms with gaps: straight neighbours never share with two versions or more, corners
    /// neither with four or more; what is told is what is so.
    #[test]
    fn any_room_keeps_neighbours_apart(
        rows in 1u32..9,
        seats in 1u32..9,
        gaps in prop::collection::vec(any::<bool>(), 64),
        versions in 2u32..8,
        seed in any::<u64>(),
    ) {
        let desks: Vec<_> = full(rows, seats)
            .into_iter()
            .zip(gaps)
            .filter_map(|(desk, stays)| stays.then_some(desk))
            .collect();
        let plan = seat(&desks, versions, &mut stream(seed));
        let (straight, corners) = shared(&desks, &plan.versions);
        prop_assert_eq!(told(&plan), (straight, corners));
        prop_assert!(plan.versions.iter().all(|version| *version < versions));
        prop_assert_eq!(straight, 0);
        if versions >= 4 {
            prop_assert_eq!(corners, 0);
        }
        prop_assert_eq!(&plan, &seat(&desks, versions, &mut stream(seed)));
    }

    /// Versions pinned as some good plan has them are kept, and so is the distance.
    #[test]
    fn pinned_versions_that_can_be_are_kept(
        rows in 2u32..7,
        seats in 2u32..7,
        pins in prop::collection::vec(prop::bool::weighted(0.2), 36),
        versions in 4u32..6,
        swap in any::<bool>(),
        seed in any::<u64>(),
    ) {
        let mut desks = full(rows, seats);
        // Of another pattern than the one that is tried: squares of four.
        for (((row, seat), pinned), pin) in desks.iter_mut().zip(pins) {
            let (row, seat) = if swap { (*seat, *row) } else { (*row, *seat) };
            *pinned = pin.then_some(2 * (row % 2) + seat % 2);
        }
        let plan = seat(&desks, versions, &mut stream(seed));
        for ((_, pinned), version) in desks.iter().zip(&plan.versions) {
            prop_assert!(pinned.is_none_or(|pinned| pinned == *version));
        }
        prop_assert_eq!(shared(&desks, &plan.versions), (0, 0));
    }
}
