//! Filling tables of specifications: over random banks whose tables can be filled every
//! table is met exactly, and on small banks no choice costs less than the one
//! that was made.

use stillroom::paper::{Blocker, Candidate, SectionRule, TIES, Wanted, cost, pick};
use stillroom::reading::paper::Bounds;
use stillroom::version::{Key, Stream};

struct Dice(Stream);

impl Dice {
    fn new(seed: u64) -> Dice {
        Dice(Stream::of_question(Key { seed, unit: "bank", question: "dice" }, "paper-picking"))
    }

    fn below(&mut self, count: u32) -> u32 {
        u32::try_from(self.0.below(u64::from(count))).expect("it is below a small number")
    }
}

/// A bank of questions and a table that some of them fill, with a time that they keep
/// to and pairs that do not part them.
fn bank(dice: &mut Dice, count: usize, cells: usize, taken: usize) -> (Vec<Candidate>, Wanted) {
    let candidates: Vec<Candidate> = (0..count)
        .map(|_| {
            let marks = 1 + dice.below(9);
            Candidate {
                cell: dice.below(cells as u32) as usize,
                marks,
                seconds: marks * (50 + dice.below(40)),
                earlier: dice.below(4) / 2,
                tie: dice.below(TIES),
            }
        })
        .collect();
    let mut chosen = Vec::new();
    while chosen.len() < taken {
        let next = dice.below(count as u32) as usize;
        if !chosen.contains(&next) {
            chosen.push(next);
        }
    }
    let mut sums = vec![0; cells];
    chosen.iter().for_each(|n| sums[candidates[*n].cell] += candidates[*n].marks);
    let seconds: u32 = chosen.iter().map(|n| candidates[*n].seconds).sum();
    let mut apart = Vec::new();
    for _ in 0..count / 4 {
        let pair = (dice.below(count as u32) as usize, dice.below(count as u32) as usize);
        let both = chosen.contains(&pair.0) && chosen.contains(&pair.1);
        if pair.0 != pair.1 && !both {
            apart.push(pair);
        }
    }
    let wanted = Wanted {
        cells: sums.into_iter().map(Bounds::exactly).collect(),
        seconds: Some(seconds + dice.below(600)),
        must: vec![chosen[0]],
        apart,
        ..Wanted::default()
    };
    (candidates, wanted)
}

fn meets(candidates: &[Candidate], wanted: &Wanted, taken: &[usize]) -> bool {
    let sum = |weigh: &dyn Fn(&Candidate) -> u32| -> u32 {
        taken.iter().map(|n| weigh(&candidates[*n])).sum()
    };
    let cells = wanted
        .cells
        .iter()
        .enumerate()
        .all(|(cell, bounds)| bounds.holds(sum(&|c| if c.cell == cell { c.marks } else { 0 })));
    cells
        && wanted.total.is_none_or(|total| total.holds(sum(&|c| c.marks)))
        && wanted.seconds.is_none_or(|most| sum(&|c| c.seconds) <= most)
        && wanted.must.iter().all(|n| taken.contains(n))
        && wanted.one_of.iter().all(|group| group.iter().filter(|n| taken.contains(n)).count() == 1)
        && !wanted.apart.iter().any(|(a, b)| taken.contains(a) && taken.contains(b))
}

fn numbers(questions: &[(usize, Option<usize>)]) -> Vec<usize> {
    questions.iter().map(|(number, _)| *number).collect()
}

#[test]
fn every_table_of_banks_that_can_fill_it_is_met_exactly() {
    let mut dice = Dice::new(7);
    for round in 0..50 {
        let cells = 6 + dice.below(15) as usize;
        let taken = 8 + dice.below(6) as usize;
        let (candidates, wanted) = bank(&mut dice, 300, cells, taken);
        let picked = pick(&candidates, &wanted).expect("the solver works");
        let picked = picked.unwrap_or_else(|why| panic!("bank {round}: {why:?}"));
        assert!(meets(&candidates, &wanted, &numbers(&picked.questions)), "bank {round}");
    }
}

#[test]
fn no_choice_on_a_small_bank_costs_less() {
    let mut dice = Dice::new(11);
    let mut filled = 0;
    for round in 0..120 {
        let (candidates, mut wanted) = bank(&mut dice, 13, 3, 4);
        if round % 3 == 0 {
            let cell = dice.below(3) as usize;
            wanted.cells[cell].most += 2;
        }
        if round % 4 == 0 {
            wanted.one_of = vec![vec![0, 1, 2]];
        }
        let best = (0..1u32 << candidates.len())
            .map(|set| (0..candidates.len()).filter(|n| set >> n & 1 == 1).collect::<Vec<_>>())
            .filter(|taken| meets(&candidates, &wanted, taken))
            .map(|taken| taken.iter().map(|n| cost(&candidates[*n])).sum::<u64>())
            .min();
        let picked = pick(&candidates, &wanted).expect("the solver works");
        match (picked, best) {
            (Ok(picked), Some(best)) => {
                let taken = numbers(&picked.questions);
                assert!(meets(&candidates, &wanted, &taken), "bank {round}");
                let own: u64 = taken.iter().map(|n| cost(&candidates[*n])).sum();
                assert_eq!(own, best, "bank {round}");
                filled += 1;
            }
            (Err(_), None) => {}
            (picked, best) => panic!("bank {round}: {picked:?}, at best {best:?}"),
        }
    }
    assert!(filled > 80, "only {filled} tables could be filled");
}

#[test]
fn sections_take_what_they_allow_and_as_much_as_they_ask() {
    let mut dice = Dice::new(3);
    let (candidates, mut wanted) = bank(&mut dice, 60, 4, 9);
    let short: Vec<bool> = candidates.iter().map(|c| c.marks <= 4).collect();
    let long: Vec<bool> = candidates.iter().map(|c| c.marks > 2).collect();
    wanted.sections = vec![
        SectionRule { allowed: short, marks: None, questions: Some(Bounds { least: 3, most: 6 }) },
        SectionRule { allowed: long, ..SectionRule::default() },
    ];
    let picked = pick(&candidates, &wanted).expect("the solver works").expect("it can be filled");
    assert!(meets(&candidates, &wanted, &numbers(&picked.questions)));
    let first = picked.questions.iter().filter(|(_, section)| *section == Some(0));
    assert!((3..=6).contains(&first.clone().count()));
    assert!(first.clone().all(|(number, _)| candidates[*number].marks <= 4));
    assert!(picked.questions.iter().all(|(_, section)| section.is_some()));
}

#[test]
fn what_stands_in_the_way_is_named_with_the_nearest_table() {
    let candidate = |cell, marks| Candidate { cell, marks, seconds: 60, ..Candidate::default() };
    let candidates = [candidate(0, 4), candidate(0, 3), candidate(1, 5)];
    let cells = |a, b| vec![Bounds::exactly(a), Bounds::exactly(b)];
    let refused = |wanted: &Wanted| {
        pick(&candidates, wanted).expect("the solver works").expect_err("it cannot be filled")
    };
    let too_much = refused(&Wanted { cells: cells(9, 5), ..Wanted::default() });
    assert_eq!(too_much.nearest, Some(vec![7, 5]));
    let between = refused(&Wanted { cells: cells(5, 0), ..Wanted::default() });
    assert_eq!(between.nearest, Some(vec![4, 0]));
    let rushed = refused(&Wanted { cells: cells(7, 5), seconds: Some(150), ..Wanted::default() });
    assert_eq!(rushed.blockers, [Blocker::Time]);
    let apart = refused(&Wanted { cells: cells(7, 0), apart: vec![(0, 1)], ..Wanted::default() });
    assert_eq!(apart.blockers, [Blocker::Apart]);
    let forced = refused(&Wanted { cells: cells(3, 0), must: vec![0], ..Wanted::default() });
    assert_eq!((forced.nearest, forced.blockers), (Some(vec![4, 0]), vec![Blocker::Must]));
}
