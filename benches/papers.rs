//! How long the integer programme takes over random banks of 300 questions with times,
//! ties and pairs apart whose tables can be filled, and over tables that cannot.
//!
//! `cargo bench --bench papers`

#![allow(clippy::print_stdout)]

use std::time::{Duration, Instant};

use stillroom::paper::{Candidate, TIES, Wanted, pick};
use stillroom::reading::paper::Bounds;
use stillroom::version::{Key, Stream};

const BANKS: u64 = 200;
const QUESTIONS: usize = 300;
const CELLS: usize = 16;

fn main() {
    for (says, more) in [("tables that can be filled", 0), ("a cell raised beyond reach", 5000)] {
        let mut times: Vec<Duration> = (0..BANKS)
            .map(|seed| {
                let (candidates, wanted) = bank(seed, more);
                let begun = Instant::now();
                let picked = pick(&candidates, &wanted);
                let time = begun.elapsed();
                let picked = picked.expect("the solver works");
                assert_eq!(picked.is_ok(), more == 0);
                if let Ok(picked) = picked {
                    let mut sums = vec![0; CELLS];
                    for (number, _) in &picked.questions {
                        sums[candidates[*number].cell] += candidates[*number].marks;
                    }
                    let met = sums.iter().zip(&wanted.cells).all(|(sum, cell)| cell.holds(*sum));
                    assert!(met, "bank {seed}: {sums:?}");
                }
                time
            })
            .collect();
        times.sort_unstable();
        let at = |share: usize| times[(times.len() - 1) * share / 100];
        println!("{says}: half within {:?}, 95 % {:?}, all {:?}", at(50), at(95), at(100));
    }
}

fn bank(seed: u64, more: u32) -> (Vec<Candidate>, Wanted) {
    let key = Key { seed, unit: "bank", question: "bench" };
    let mut stream = Stream::of_question(key, "papers");
    let mut below = |count: u32| stream.index(count as usize);
    let candidates: Vec<Candidate> = (0..QUESTIONS)
        .map(|_| {
            let marks = 1 + below(9) as u32;
            Candidate {
                cell: below(CELLS as u32),
                marks,
                seconds: marks * (50 + below(40) as u32),
                earlier: below(4) as u32 / 2,
                tie: below(TIES) as u32,
            }
        })
        .collect();
    let taken: Vec<usize> = (0..12).map(|n| n * 25 + below(25)).collect();
    let mut sums = vec![0; CELLS];
    taken.iter().for_each(|n| sums[candidates[*n].cell] += candidates[*n].marks);
    sums[0] += more;
    let seconds = taken.iter().map(|n| candidates[*n].seconds).sum::<u32>() + 300;
    let mut apart = Vec::new();
    for _ in 0..QUESTIONS / 4 {
        let pair = (below(QUESTIONS as u32), below(QUESTIONS as u32));
        if pair.0 != pair.1 && !(taken.contains(&pair.0) && taken.contains(&pair.1)) {
            apart.push(pair);
        }
    }
    let wanted = Wanted {
        cells: sums.into_iter().map(Bounds::exactly).collect(),
        seconds: Some(seconds + more * 90),
        must: vec![taken[0]],
        apart,
        ..Wanted::default()
    };
    (candidates, wanted)
}
