//! Marks gathered row by row: counts and sums in whole numbers only, so that shares of a
//! class can be gathered apart and put together in any order with the same result.
//!
//! The size of a tally is the paper's: (most marks + 1) rows of one sum for each part.

/// What a learner got for a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Given {
    Marks(u32),
    /// Left blank: no marks, but not a wrong answer either.
    Blank,
}

impl Given {
    pub fn marks(self) -> u32 {
        match self {
            Given::Marks(marks) => marks,
            Given::Blank => 0,
        }
    }
}

/// The marks of any number of learners on the parts of one paper.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tally {
    /// The most that each part can earn.
    pub(super) most: Vec<u32>,
    pub(super) learners: u64,
    /// Learners by their total, from 0 to the sum of `most`.
    pub(super) totals: Vec<u64>,
    /// Marks on each part of the learners with each total: `[total][part]`.
    pub(super) by_total: Vec<Vec<u64>>,
    /// For each part, sums over learners: of its marks squared, and of its marks times
    /// the total.
    pub(super) squares: Vec<u64>,
    pub(super) products: Vec<u64>,
    pub(super) blanks: Vec<u64>,
    /// Learners by their marks on each part: `[part][marks]`.
    pub(super) counts: Vec<Vec<u64>>,
}

impl Tally {
    /// For parts that can earn these marks at most.
    pub fn new(most: &[u32]) -> Tally {
        let full: usize = most.iter().map(|m| *m as usize).sum();
        Tally {
            most: most.to_vec(),
            learners: 0,
            totals: vec![0; full + 1],
            by_total: vec![vec![0; most.len()]; full + 1],
            squares: vec![0; most.len()],
            products: vec![0; most.len()],
            blanks: vec![0; most.len()],
            counts: most.iter().map(|m| vec![0; *m as usize + 1]).collect(),
        }
    }

    /// Adds a learner, whose marks stand in the order of the parts. A part without
    /// marks, or with more than it can earn, is held to what can be.
    pub fn add(&mut self, given: &[Given]) {
        let marks = |part: usize| given.get(part).map_or(0, |g| g.marks()).min(self.most[part]);
        let total: u32 = (0..self.most.len()).map(marks).sum();
        let own: Vec<u32> = (0..self.most.len()).map(marks).collect();
        self.learners += 1;
        self.totals[total as usize] += 1;
        for (part, marks) in own.into_iter().enumerate() {
            self.by_total[total as usize][part] += u64::from(marks);
            self.squares[part] += u64::from(marks) * u64::from(marks);
            self.products[part] += u64::from(marks) * u64::from(total);
            self.counts[part][marks as usize] += 1;
            if given.get(part).is_none_or(|g| *g == Given::Blank) {
                self.blanks[part] += 1;
            }
        }
    }

    /// Adds what another tally of the same paper gathered; one of another paper is
    /// refused and leaves this as it was.
    #[must_use]
    pub fn merge(&mut self, other: &Tally) -> bool {
        if self.most != other.most {
            return false;
        }
        self.learners += other.learners;
        add(&mut self.totals, &other.totals);
        self.by_total.iter_mut().zip(&other.by_total).for_each(|(a, b)| add(a, b));
        add(&mut self.squares, &other.squares);
        add(&mut self.products, &other.products);
        add(&mut self.blanks, &other.blanks);
        self.counts.iter_mut().zip(&other.counts).for_each(|(a, b)| add(a, b));
        true
    }

    pub fn learners(&self) -> u64 {
        self.learners
    }

    pub fn parts(&self) -> usize {
        self.most.len()
    }

    /// The most marks of the whole paper.
    pub fn full(&self) -> u32 {
        self.most.iter().sum()
    }

    /// The sum of a part's marks over all learners.
    pub(super) fn sum(&self, part: usize) -> u64 {
        self.by_total.iter().map(|row| row[part]).sum()
    }
}

fn add(to: &mut [u64], from: &[u64]) {
    to.iter_mut().zip(from).for_each(|(a, b)| *a += b);
}
