//! Upper and lower groups: how the best and the weakest quarter or so of a class did on
//! each part.
//!
//! Takes a tally; gives the index of discrimination, the difference of the two groups'
//! shares of a part's marks. Learners with one total often stand astride the border of a
//! group; there are three rules for them.

use super::tally::{Given, Tally};

/// The share of learners in each group (Kelley 1939, J. Educ. Psychol. 30:17-24, from
/// memory).
const SHARE: f64 = 0.27;

/// What becomes of learners whose total is that at the border of a group.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ties {
    /// Each counts in part, so that the group has its size.
    Shared,
    /// All of them count.
    All,
}

/// How many learners a group has: floor(0.27 n + 0.5), and at least one.
pub fn group_size(learners: u64) -> u64 {
    ((SHARE * learners as f64 + 0.5).floor() as u64).max(1)
}

/// The total at the border of a group, and how many learners lie wholly inside.
struct Border {
    total: usize,
    inside: u64,
}

impl Tally {
    /// The index of discrimination of a part, -1 to 1; none without learners or marks.
    pub fn discrimination(&self, part: usize, ties: Ties) -> Option<f64> {
        let (above, below) = self.group_shares(part, ties)?;
        Some(above - below)
    }

    /// The share of a part's marks that the upper and the lower group has.
    pub(super) fn group_shares(&self, part: usize, ties: Ties) -> Option<(f64, f64)> {
        let full = f64::from(self.most[part]);
        if self.learners == 0 || full == 0.0 {
            return None;
        }
        let size = group_size(self.learners);
        let share = |border: &Border, within: &mut dyn Iterator<Item = usize>| {
            let inside: u64 = within.map(|total| self.by_total[total][part]).sum();
            let tied = self.by_total[border.total][part] as f64;
            let at_border = self.totals[border.total];
            let (marks, count) = match ties {
                Ties::Shared => {
                    let weight = (size - border.inside) as f64 / at_border as f64;
                    (inside as f64 + weight * tied, size as f64)
                }
                Ties::All => (inside as f64 + tied, (border.inside + at_border) as f64),
            };
            marks / (count * full)
        };
        let (upper, lower) = (self.upper(size), self.lower(size));
        let above = share(&upper, &mut (upper.total + 1..self.totals.len()));
        let below = share(&lower, &mut (0..lower.total));
        Some((above, below))
    }

    fn upper(&self, size: u64) -> Border {
        self.border(size, &mut (0..self.totals.len()).rev())
    }

    fn lower(&self, size: u64) -> Border {
        self.border(size, &mut (0..self.totals.len()))
    }

    fn border(&self, size: u64, totals: &mut dyn Iterator<Item = usize>) -> Border {
        let mut inside = 0;
        let mut last = 0;
        for total in totals {
            last = total;
            if inside + self.totals[total] >= size {
                break;
            }
            inside += self.totals[total];
        }
        Border { total: last, inside }
    }
}

/// The groups by the third rule: of learners with one total, those count as better who
/// stand earlier in the file. A second look at the rows, in their order, once the tally
/// has told where the borders lie.
#[derive(Debug, Clone)]
pub struct InOrder {
    most: Vec<u32>,
    size: u64,
    upper: usize,
    lower: usize,
    /// How many of those at the upper border are still to be taken, and of those at the
    /// lower border still to be passed over.
    take: u64,
    pass: u64,
    marks: Vec<i64>,
}

impl InOrder {
    pub fn new(tally: &Tally) -> InOrder {
        let size = group_size(tally.learners);
        let (upper, lower) = (tally.upper(size), tally.lower(size));
        InOrder {
            most: tally.most.clone(),
            size,
            take: size - upper.inside.min(size),
            // The last of the border's learners are the weakest.
            pass: tally.totals[lower.total].saturating_sub(size - lower.inside.min(size)),
            upper: upper.total,
            lower: lower.total,
            marks: vec![0; tally.parts()],
        }
    }

    /// The next row of those that the tally was made of.
    pub fn add(&mut self, given: &[Given]) {
        let own: Vec<u32> =
            given.iter().zip(&self.most).map(|(g, most)| g.marks().min(*most)).collect();
        let total = own.iter().sum::<u32>() as usize;
        let mut is_upper = total > self.upper;
        if total == self.upper && self.take > 0 {
            self.take -= 1;
            is_upper = true;
        }
        let mut is_lower = total < self.lower;
        if total == self.lower {
            if self.pass > 0 {
                self.pass -= 1;
            } else {
                is_lower = true;
            }
        }
        for (sum, marks) in self.marks.iter_mut().zip(own) {
            *sum += i64::from(marks) * (i64::from(is_upper) - i64::from(is_lower));
        }
    }

    /// The index of discrimination of a part; none for a part without marks.
    pub fn discrimination(&self, part: usize) -> Option<f64> {
        let full = f64::from(self.most[part]) * self.size as f64;
        (full > 0.0).then(|| self.marks[part] as f64 / full)
    }
}
