//! Streams against frozen vectors; orders, draws and codes by properties.

#![allow(clippy::unwrap_used, reason = "a test stops where it fails")]

use std::collections::HashSet;

use proptest::prelude::*;

use super::order::Order;
use super::*;
use crate::quantity::{Number, NumberRange};

const KEY: Key = Key { seed: 7, unit: "quarnholm-salt", question: "pan-balance" };

fn number(text: &str) -> Number {
    Number::parse(text).unwrap()
}

fn range(from: &str, to: &str, step: &str) -> Axis {
    Axis::Range(NumberRange::new(&number(from), &number(to), &number(step)).unwrap())
}

#[test]
fn streams_give_the_frozen_numbers() {
    let mut rows = 0;
    for line in include_str!("../../tests/data/streams.csv").lines() {
        if line.starts_with('#') {
            continue;
        }
        let cells: Vec<&str> = line.split(',').collect();
        let key = Key { seed: cells[0].parse().unwrap(), unit: cells[1], question: cells[2] };
        let mut stream = match cells[3] {
            "" => Stream::of_question(key, cells[4]),
            version => Stream::of_version(key, version.parse().unwrap(), cells[4]),
        };
        for word in cells[5].split(' ') {
            assert_eq!(format!("{:016x}", stream.word()), word, "{line}");
        }
        for below in cells[6].split(' ') {
            assert_eq!(stream.below(6).to_string(), below, "{line}");
        }
        let mut list: Vec<u32> = (0..8).collect();
        stream.shuffle(&mut list);
        let shuffled: Vec<String> = list.iter().map(u32::to_string).collect();
        assert_eq!(shuffled.join(" "), cells[7], "{line}");
        rows += 1;
    }
    assert_eq!(rows, 7);
}

#[test]
fn draws_give_the_frozen_combinations() {
    // A table order and a network order, worked out by a separate program as well:
    // a change here changes the numbers on every sheet ever printed.
    let small = Space::new(vec![range("200", "800", "50"), range("3", "8", "1")]);
    let large = Space::new(vec![range("0", "999", "1"), range("0", "999", "1")]);
    let first = |space: Space| -> Vec<Vec<u64>> {
        let draws = Draws::find(space, KEY, 5, |_| Ok(())).unwrap();
        (0..5).map(|version| draws.indices(version).unwrap()).collect()
    };
    assert_eq!(first(small), FROZEN_SMALL);
    assert_eq!(first(large), FROZEN_LARGE);
}

const FROZEN_SMALL: [[u64; 2]; 5] = [[10, 2], [7, 1], [3, 3], [2, 3], [5, 4]];
const FROZEN_LARGE: [[u64; 2]; 5] = [[662, 62], [431, 418], [715, 493], [289, 936], [270, 691]];

#[test]
fn parts_of_a_key_do_not_run_together() {
    let word = |unit, question| Stream::of_question(Key { seed: 1, unit, question }, "draw").word();
    assert_ne!(word("ab", "c"), word("a", "bc"));
    assert_ne!(word("", "abc"), word("abc", ""));
    let one = Stream::of_version(KEY, 1, "draw").word();
    assert_ne!(one, Stream::of_version(KEY, 2, "draw").word());
    assert_ne!(one, Stream::of_version(KEY, 1, "options").word());
}

#[test]
fn faces_of_a_die_come_up_alike() {
    // Chi-square with 5 degrees of freedom: 20.5 is passed once in a thousand.
    let mut stream = Stream::of_question(KEY, "die");
    let mut seen = [0u32; 6];
    for _ in 0..60_000 {
        seen[stream.index(6)] += 1;
    }
    let chi: f64 = seen.iter().map(|n| (f64::from(*n) - 10_000.0).powi(2) / 10_000.0).sum();
    assert!(chi < 20.5, "{chi} {seen:?}");
    assert!(chi > 0.2, "too even to be random: {chi}");
}

#[test]
fn orders_of_four_come_up_alike() {
    let mut stream = Stream::of_question(KEY, "cards");
    let mut seen = std::collections::HashMap::new();
    for _ in 0..24_000 {
        let mut cards = [0, 1, 2, 3];
        stream.shuffle(&mut cards);
        *seen.entry(cards).or_insert(0u32) += 1;
    }
    assert_eq!(seen.len(), 24);
    // 23 degrees of freedom: 49.7 is passed once in a thousand.
    let chi: f64 = seen.values().map(|n| (f64::from(*n) - 1000.0).powi(2) / 1000.0).sum();
    assert!(chi < 49.7, "{chi}");
}

#[test]
fn the_first_of_a_large_order_is_anywhere() {
    // Version A over many seeds: tenths of a space just too large for a table.
    let count = 100_003;
    let mut tenths = [0u32; 10];
    for seed in 0..5000 {
        let order = Order::new(count, Stream::of_question(Key { seed, ..KEY }, "draw"));
        let first = order.at(0).unwrap();
        tenths[usize::try_from(first * 10 / count).unwrap()] += 1;
    }
    // 9 degrees of freedom: 27.9 is passed once in a thousand.
    let chi: f64 = tenths.iter().map(|n| (f64::from(*n) - 500.0).powi(2) / 500.0).sum();
    assert!(chi < 27.9, "{chi} {tenths:?}");
}

#[test]
fn neighbours_in_a_large_order_are_unrelated() {
    let count = 1u128 << 40;
    let order = Order::new(count, Stream::of_question(KEY, "draw"));
    let at = |i: u128| order.at(i).unwrap() as f64 / count as f64 - 0.5;
    let n = 20_000u128;
    let together: f64 = (0..n).map(|i| at(i) * at(i + 1)).sum::<f64>() / n as f64;
    // For independent places the mean product has deviation (1/12)/sqrt(n) = 0.0006.
    assert!(together.abs() < 0.0024, "{together}");
}

#[test]
fn a_version_alone_is_the_version_among_many() {
    let space = || Space::new(vec![range("200", "800", "50"), range("3.5", "8", "0.5")]);
    // Refuses about a third.
    let accept = |c: &[u64]| if (c[0] * 7 + c[1]).is_multiple_of(3) { Err(0) } else { Ok(()) };
    let twelve = Draws::find(space(), KEY, 12, accept).unwrap();
    let many = Draws::find(space(), KEY, 80, accept).unwrap();
    for version in 0..12 {
        let alone = Draws::find(space(), KEY, version + 1, accept).unwrap();
        assert_eq!(alone.choices(version), twelve.choices(version));
        assert_eq!(many.choices(version), twelve.choices(version));
    }
    assert_eq!(twelve.choices(12), None);
}

#[test]
fn more_versions_than_exist_is_told_exactly() {
    let space = Space::new(vec![range("1", "6", "1"), range("1", "6", "1")]);
    let doubles = |c: &[u64]| match (c[0] == c[1], c[0] > 3) {
        (_, true) => Err(1),
        (false, _) => Err(0),
        _ => Ok(()),
    };
    let few = Draws::find(space.clone(), KEY, 5, doubles).unwrap_err();
    assert_eq!((few.exist, few.exhausted, few.tried), (4, true, 36));
    assert_eq!(few.combinations, 36);
    assert_eq!(few.refused, [20, 12]);
    assert_eq!(few.costliest(), Some(0));
    let exact = Draws::find(space, KEY, 4, doubles).unwrap();
    assert_eq!(exact.refused.iter().sum::<u64>() + 4, exact.tried);
}

#[test]
fn a_hopeless_search_of_a_huge_space_ends() {
    let space = Space::new(vec![range("0", "1000000", "0.001"), range("0", "1000000", "0.001")]);
    let few = Draws::find(space, KEY, 1, |_| Err(2)).unwrap_err();
    assert_eq!((few.exist, few.exhausted, few.tried), (0, false, draw::PATIENCE));
    assert_eq!(few.refused, [0, 0, draw::PATIENCE]);
    assert_eq!(few.costliest(), Some(2));
    let wide = vec![range("0", "1000000000", "0.001"); 5];
    assert_eq!(Space::new(wide.clone()).count(), u128::MAX);
    assert!(Draws::find(Space::new(wide), KEY, 3, |_| Ok(())).is_ok());
}

#[test]
fn a_question_with_nothing_drawn_is_the_same_in_every_version() {
    let draws = Draws::find(Space::default(), KEY, 3000, |_| Ok(())).unwrap();
    assert_eq!(draws.choices(2999), Some(Vec::new()));
    let few = Draws::find(Space::default(), KEY, 1, |_| Err(0)).unwrap_err();
    assert_eq!((few.exist, few.exhausted), (0, true));
}

#[test]
fn lists_offer_each_thing_once() {
    assert_eq!(Axis::list(vec![]), Err(AxisError::Empty));
    let five = ["3", "5", "5.0"].map(number).to_vec();
    assert_eq!(Axis::list(five), Err(AxisError::Repeated { first: 1, again: 2 }));
    let words = Axis::words(vec!["alum".to_owned(), "potash".to_owned()]).unwrap();
    assert_eq!(words.choice(1), Some(Choice::Word("potash".to_owned())));
    assert_eq!(words.choice(2), None);
    let twice = Axis::words(vec!["alum".to_owned(), "alum".to_owned()]);
    assert_eq!(twice, Err(AxisError::Repeated { first: 0, again: 1 }));
}

#[test]
fn version_letters_run_on_past_one() {
    for (version, expected) in [
        (0, "A"),
        (2, "C"),
        (7, "H"),
        (8, "J"),
        (22, "Z"),
        (23, "AA"),
        (24, "AB"),
        (45, "AZ"),
        (46, "BA"),
        (23 + 529 - 1, "ZZ"),
        (23 + 529, "AAA"),
    ] {
        assert_eq!(letters(version), expected);
        assert_eq!(version_of(expected), Some(version));
    }
    for bad in ["", "I", "A1", "É", "A B", &"Z".repeat(40)] {
        assert_eq!(version_of(bad), None, "{bad}");
    }
    assert_eq!(version_of("ab"), Some(24));
}

#[test]
fn a_code_depends_on_all_it_stands_for() {
    let one = code(b"content", 7, 2);
    // Worked out by a separate program as well; never to change.
    assert_eq!(one, "C-FH4");
    assert_eq!(code(b"", u64::MAX, 24), "AB-5NQ");
    for other in [code(b"content", 8, 2), code(b"contend", 7, 2)] {
        assert_ne!(one, other);
    }
    assert_ne!(one[2..], code(b"content", 7, 3)[2..]);
    assert_eq!(version_of_code(&format!(" {} ", one.to_lowercase())), Some(2));
    for bad in ["C", "C-7K", "C-7K0", "-7KM", "C-7KMM"] {
        assert_eq!(version_of_code(bad), None, "{bad}");
    }
}

proptest! {
    #[test]
    fn an_order_holds_every_number_once(count in 1u128..2000, seed: u64) {
        let order = Order::new(count, Stream::of_question(Key { seed, ..KEY }, "draw"));
        let seen: HashSet<u128> = (0..count).map(|i| order.at(i).unwrap()).collect();
        prop_assert_eq!(seen.len() as u128, count);
        prop_assert!(seen.iter().all(|n| *n < count));
        prop_assert_eq!(order.at(count), None);
    }

    #[test]
    fn letters_and_versions_are_one_to_one(version: u64) {
        let version = version >> 1;
        prop_assert_eq!(version_of(&letters(version)), Some(version));
    }

    #[test]
    fn below_is_below(count in 1u64.., seed: u64) {
        let mut stream = Stream::of_question(Key { seed, ..KEY }, "x");
        prop_assert!(stream.below(count) < count);
    }

    #[test]
    fn versions_never_repeat(
        a in 1u32..40, b in 1u32..40, keep in 2u64..7, seed: u64, wanted in 1u64..60
    ) {
        let top = |n: u32| range("1", &n.to_string(), "1");
        let space = Space::new(vec![top(a), top(b)]);
        let accept = |c: &[u64]| if (c[0] + c[1]).is_multiple_of(keep) { Err(0) } else { Ok(()) };
        let all = (0..u64::from(a))
            .flat_map(|x| (0..u64::from(b)).map(move |y| [x, y]))
            .filter(|c| accept(c).is_ok())
            .count() as u64;
        match Draws::find(space, Key { seed, ..KEY }, wanted, accept) {
            Ok(draws) => {
                let seen: HashSet<_> = (0..wanted).map(|v| draws.indices(v).unwrap()).collect();
                prop_assert_eq!(seen.len() as u64, wanted);
                prop_assert!(seen.iter().all(|c| accept(c).is_ok()));
            }
            Err(few) => {
                prop_assert!(few.exhausted && few.exist == all && all < wanted);
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(8))]

    #[test]
    fn a_network_holds_every_number_once(over in 1u128..40_000, seed: u64) {
        let count = (1 << 16) + over;
        let order = Order::new(count, Stream::of_question(Key { seed, ..KEY }, "draw"));
        let mut seen = vec![false; usize::try_from(count).unwrap()];
        for place in 0..count {
            let number = usize::try_from(order.at(place).unwrap()).unwrap();
            prop_assert!(!std::mem::replace(&mut seen[number], true));
        }
        prop_assert_eq!(order.at(count), None);
    }
}
