//! Item statistics against outside values, by each rule for ties, and whole however a
//! class is parted.

#![allow(clippy::unwrap_used)] // also in the helpers, which are no test functions

use proptest::prelude::*;
use serde_json::Value;
use stillroom::marking::statistics::{
    Given, InOrder, Summary, Tally, Ties, Versions, alpha_interval, correlation_interval,
    difference, f_tail, group_size, proportion,
};

const CLOSE: f64 = 1e-9;

struct Set {
    rows: Vec<Vec<Given>>,
    expected: Value,
}

fn read(name: &str) -> String {
    let path = format!("{}/tests/data/items/{name}", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(path).unwrap()
}

/// Rows of 0 and 1; a last column `count` repeats its row.
fn set(scored: &str, expected: &str) -> Set {
    let text = read(scored);
    let counted = text.lines().next().unwrap().ends_with("count");
    let mut rows = Vec::new();
    for line in text.lines().skip(1) {
        let cells: Vec<u32> = line.split(',').map(|cell| cell.parse().unwrap()).collect();
        let (marks, times) = if counted { cells.split_at(5) } else { (&cells[..], &[1][..]) };
        let row: Vec<Given> = marks.iter().map(|mark| Given::Marks(*mark)).collect();
        rows.extend(std::iter::repeat_n(row, times[0] as usize));
    }
    Set { rows, expected: serde_json::from_str(&read(expected)).unwrap() }
}

fn tally_of(rows: &[Vec<Given>], most: &[u32]) -> Tally {
    let mut tally = Tally::new(most);
    rows.iter().for_each(|row| tally.add(row));
    tally
}

#[test]
fn figures_are_those_of_other_programs() {
    for (scored, expected) in
        [("lsat6_patterns.csv", "lsat6_expected.json"), ("small_scored.csv", "small_expected.json")]
    {
        let Set { rows, expected } = set(scored, expected);
        let tally = tally_of(&rows, &[1; 5]);
        let summary = Summary::of(&tally);
        let same = |what: &str, ours: Option<f64>, outside: &Value| {
            let agrees = match (ours, outside.as_f64()) {
                (None, None) => outside.is_null(),
                // Outside values carry ten significant digits.
                (Some(a), Some(b)) => (a - b).abs() <= CLOSE * b.abs().max(0.1),
                _ => false,
            };
            assert!(agrees, "{scored}: {what}: ours {ours:?}, outside {outside}");
        };
        same("learners", Some(summary.learners as f64), &expected["n"]);
        same("mean", summary.mean, &expected["score_mean"]);
        same("variance", summary.variance, &expected["score_var_sample"]);
        same("alpha", summary.alpha, &expected["alpha"]);
        // On parts of one mark alpha and KR-20 are one.
        assert!(summary.all_one_mark);
        same("KR-20", summary.alpha, &expected["kr20_population_variance"]);
        same("KR-21", summary.kr21, &expected["kr21_population_variance"]);
        same("SEM", summary.sem, &expected["sem_sample_sd"]);
        let counts: Vec<u64> = expected["score_counts"]
            .as_array()
            .unwrap()
            .iter()
            .map(|c| c.as_u64().unwrap())
            .collect();
        assert_eq!(summary.distribution, counts);
        assert_eq!(group_size(summary.learners), expected["d27"]["n_group"].as_u64().unwrap());

        let mut in_order = InOrder::new(&tally);
        // Other programs' sort keeps the order of the file among equals, best first.
        rows.iter().for_each(|row| in_order.add(row));
        for (part, item) in summary.items.iter().enumerate() {
            let outside = &expected["items"][part];
            let says = |what: &str| format!("item {}, {what}", part + 1);
            same(&says("right"), Some(item.full_marks as f64), &outside["n_correct"]);
            same(&says("facility"), item.facility, &outside["facility"]);
            same(&says("variance"), item.variance, &outside["item_var_pop"]);
            same(&says("point-biserial"), item.point_biserial, &outside["point_biserial"]);
            same(&says("corrected"), item.corrected, &outside["point_biserial_corrected"]);
            same(&says("D, shared"), item.discrimination, &outside["D27_fractional_ties"]);
            let all = tally.discrimination(part, Ties::All);
            assert_eq!(all, item.discrimination_all_ties);
            same(&says("D, all"), all, &outside["D27_inclusive_ties"]);
            same(&says("D, in order"), in_order.discrimination(part), &outside["D27_stable_sort"]);
            same(&says("alpha without"), item.alpha_without, &outside["alpha_if_deleted"]);
        }
    }
}

#[test]
fn the_published_figures_of_lsat6_come_out() {
    // Rizopoulos 2006, J. Stat. Software 17(5), from memory; his point-biserials divide by
    // the standard deviation of n - 1, a factor sqrt(999 / 1000).
    let Set { rows, expected } = set("lsat6_patterns.csv", "lsat6_expected.json");
    let summary = Summary::of(&tally_of(&rows, &[1; 5]));
    let published = &expected["published"];
    let printed = |value: f64| format!("{value:.4}");
    for (part, item) in summary.items.iter().enumerate() {
        let says = |what: &str| published[what][part].as_str().unwrap().to_owned();
        let factor = (999.0f64 / 1000.0).sqrt();
        assert_eq!(printed(item.alpha_without.unwrap()), says("alpha_if_deleted"));
        assert_eq!(printed(item.point_biserial.unwrap() * factor), says("point_biserial"));
        let corrected = item.corrected.unwrap() * factor;
        assert_eq!(printed(corrected), says("point_biserial_corrected"));
    }
    assert_eq!(format!("{:.3}", summary.alpha.unwrap()), published["alpha"].as_str().unwrap());
}

#[test]
fn marks_of_several_are_weighed_by_the_formulas_themselves() {
    // Worked here by hand: three learners, parts of 2 and 3 marks.
    let rows = vec![
        vec![Given::Marks(2), Given::Marks(3)],
        vec![Given::Marks(1), Given::Blank],
        vec![Given::Marks(0), Given::Marks(3)],
    ];
    let summary = Summary::of(&tally_of(&rows, &[2, 3]));
    assert_eq!(summary.mean, Some(3.0));
    assert_eq!(summary.median, Some(3.0));
    // Totals 5, 1, 3: variance 8/3; parts 2/3 and 2; alpha 2 (1 - (8/3)/(8/3)) = 0.
    assert!(summary.alpha.unwrap().abs() < 1e-12);
    assert_eq!((summary.kr21, summary.all_one_mark), (None, false));
    assert_eq!(summary.items[0].facility, Some(0.5));
    assert_eq!(summary.items[1].facility, Some(6.0 / 9.0));
    assert_eq!((summary.items[0].blanks, summary.items[1].blanks), (0, 1));
    assert_eq!(summary.items[1].full_marks, 2);
    // Best learner 2 of 2, weakest 1 of 2.
    assert_eq!(summary.items[0].discrimination, Some(0.5));
}

#[test]
fn what_is_not_defined_is_none() {
    let empty = Summary::of(&Tally::new(&[1, 2]));
    assert_eq!((empty.mean, empty.alpha, empty.median, empty.sem), (None, None, None, None));
    assert!(empty.items.iter().all(|i| i.facility.is_none() && i.discrimination.is_none()));
    let alike = vec![vec![Given::Marks(1)]; 4];
    let summary = Summary::of(&tally_of(&alike, &[1]));
    assert_eq!((summary.alpha, summary.kr21), (None, None));
    assert_eq!((summary.items[0].point_biserial, summary.items[0].corrected), (None, None));
    let interval = summary.items[0].facility_between.unwrap();
    assert!(interval.low > 0.4 && interval.high == 1.0, "{interval:?}");
}

#[test]
fn intervals_hold_to_known_values() {
    let near = |a: f64, b: f64, within: f64| assert!((a - b).abs() < within, "{a} {b}");
    // Wilson of 81 in 263: 0.2553 to 0.3662 (Newcombe 1998, from memory).
    let wilson = proportion(81.0 / 263.0, 263.0);
    near(wilson.low, 0.2553, 5e-5);
    near(wilson.high, 0.3662, 5e-5);
    // At nought of n the upper end is z2 / (n + z2).
    near(proportion(0.0, 10.0).high, 3.841_458_821 / 13.841_458_821, 1e-9);
    // Newcombe 1998, from memory: 56/70 less 48/80 is 0.0524 to 0.3339 for unlike sizes;
    // with like sizes the interval is symmetrical in the two shares.
    let (one, other) = (difference(0.8, 0.6, 70.0), difference(0.6, 0.8, 70.0));
    near(one.low, -other.high, 1e-12);
    assert!(one.low > 0.04 && one.low < 0.06 && one.high < 0.35, "{one:?}");
    // r 0.5 of 28: z 0.5493 with 1/5 as its error, tanh(0.5493 -+ 0.3920).
    let fisher = correlation_interval(0.5, 28).unwrap();
    near(fisher.low, (0.549_306_144_f64 - 0.391_992_797).tanh(), 1e-8);
    near(fisher.high, (0.549_306_144_f64 + 0.391_992_797).tanh(), 1e-8);
    let alpha = alpha_interval(0.8, 100, 10).unwrap();
    assert!(alpha.low < 0.8 && 0.8 < alpha.high && alpha.low > 0.7, "{alpha:?}");
}

#[test]
fn the_tail_of_f_is_that_of_tables_and_closed_forms() {
    let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-10, "{a} {b}");
    // With 2 above: (1 + 2 f / d)^(-d/2), exactly.
    for (f, d) in [(0.3, 5.0), (1.0, 12.0), (4.26, 9.0), (25.0, 40.0f64)] {
        near(f_tail(f, 2.0, d), (1.0 + 2.0 * f / d).powf(-d / 2.0));
    }
    // With 2 below: 1 - (a f / (a f + 2))^(a/2), exactly.
    for (f, a) in [(0.3, 3.0), (19.0, 2.0), (5.0, 7.0f64)] {
        near(f_tail(f, a, 2.0), 1.0 - (a * f / (a * f + 2.0)).powf(a / 2.0));
    }
    // 5 % points of the usual tables: F(3, 20) 3.098, F(5, 10) 3.326, F(1, 24) 4.260.
    for (f, a, b) in [(3.0984, 3.0, 20.0), (3.3258, 5.0, 10.0), (4.2597, 1.0, 24.0)] {
        assert!((f_tail(f, a, b) - 0.05).abs() < 1e-5, "{}", f_tail(f, a, b));
    }
    assert_eq!(f_tail(0.0, 2.0, 2.0), 1.0);
}

#[test]
fn a_hard_version_of_one_part_is_seen_and_abler_learners_are_not_blamed() {
    let most = [1; 6];
    let tally = Tally::new(&most);
    let (mut hard, mut able) = (Versions::new(&tally), Versions::new(&tally));
    for learner in 0..240u32 {
        let version = learner % 4;
        let good = (learner / 4) % 2 == 0;
        let marks = |part: u32| u32::from((learner / 8 + part) % 3 > u32::from(!good));
        let row: Vec<Given> = (0..6).map(|part| Given::Marks(marks(part))).collect();
        let mut harder = row.clone();
        if version == 2 {
            harder[3] = Given::Marks(0);
        }
        hard.add(version, &harder);
        // Version 1 went to learners who can do all.
        let abler = if version == 1 { vec![Given::Marks(1); 6] } else { row };
        able.add(version, &abler);
    }
    let parts = hard.parts();
    let suspect: Vec<usize> = (0..6).filter(|part| parts[*part].adjusted.unwrap() < 0.05).collect();
    assert_eq!(suspect, [3]);
    assert!(parts[3].gap() > 0.3);
    assert!(parts.iter().all(|part| part.p.unwrap() <= part.adjusted.unwrap()));
    assert!(able.parts().iter().all(|part| part.adjusted.is_none_or(|p| p > 0.05)));
    assert!(able.whole().p.unwrap() < 0.01);
}

proptest! {
    #[test]
    fn shares_of_a_class_add_up_to_the_class(
        rows in proptest::collection::vec(
            (0u32..4, proptest::collection::vec(0u32..5, 4)), 1..60),
        cut in 0usize..60,
    ) {
        let most = [1, 4, 2, 3];
        let given = |marks: &[u32]| -> Vec<Given> {
            marks.iter().map(|m| if *m == 4 { Given::Blank } else { Given::Marks(*m) }).collect()
        };
        let gather = |rows: &[(u32, Vec<u32>)]| {
            let mut tally = Tally::new(&most);
            let mut versions = Versions::new(&tally);
            for (version, marks) in rows {
                tally.add(&given(marks));
                versions.add(*version, &given(marks));
            }
            (tally, versions)
        };
        let (first, last) = rows.split_at(cut.min(rows.len()));
        let (whole, whole_versions) = gather(&rows);
        // Put together the other way round, too.
        let (mut tally, mut versions) = gather(last);
        let (other, other_versions) = gather(first);
        prop_assert!(tally.merge(&other));
        versions.merge(&other_versions);
        prop_assert_eq!(&tally, &whole);
        prop_assert_eq!(versions.parts(), whole_versions.parts());
        let unlike = Tally::new(&[1]);
        prop_assert!(!tally.merge(&unlike));
        prop_assert_eq!(Summary::of(&tally), Summary::of(&whole));
        let summary = Summary::of(&whole);
        prop_assert_eq!(summary.distribution.iter().sum::<u64>(), rows.len() as u64);
        for item in &summary.items {
            let (f, i) = (item.facility.unwrap(), item.facility_between.unwrap());
            prop_assert!(i.low <= f + 1e-12 && f <= i.high + 1e-12);
            let d = item.discrimination.unwrap();
            prop_assert!((-1.0..=1.0).contains(&d));
            if let Some(r) = item.corrected {
                prop_assert!(r.abs() <= 1.0 + 1e-12);
            }
        }
    }
}
