//! The usual figures of a paper and its parts, from a tally.
//!
//! Every figure is none where it is not defined: a part that all solve has no
//! correlation, a paper of one part no reliability. Variances are those of the learners
//! themselves (divided by n), unless said otherwise.

use super::groups::{Ties, group_size};
use super::intervals::{Interval, alpha_interval, correlation_interval, difference, proportion};
use super::tally::Tally;

/// Figures of a whole paper.
#[derive(Debug, Clone, PartialEq)]
pub struct Summary {
    pub learners: u64,
    pub full: u32,
    pub mean: Option<f64>,
    pub median: Option<f64>,
    /// Variance and standard deviation of the totals, divided by n - 1.
    pub variance: Option<f64>,
    pub deviation: Option<f64>,
    /// Learners by their total, from 0 up.
    pub distribution: Vec<u64>,
    /// Cronbach's alpha (Cronbach 1951, Psychometrika 16:297-334). Where every part has
    /// one mark it is KR-20 (Kuder and Richardson 1937, Psychometrika 2:151-160).
    pub alpha: Option<f64>,
    pub alpha_between: Option<Interval>,
    pub all_one_mark: bool,
    /// KR-21, which takes all parts as equally hard; where every part has one mark.
    pub kr21: Option<f64>,
    /// Standard error of measurement, sd sqrt(1 - alpha), with the sd of n - 1; none
    /// where alpha is below 0, which no reliability can be.
    pub sem: Option<f64>,
    pub items: Vec<Item>,
}

/// Figures of one part.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    pub most: u32,
    /// Mean share of the part's marks, 0 to 1.
    pub facility: Option<f64>,
    pub facility_between: Option<Interval>,
    pub variance: Option<f64>,
    pub full_marks: u64,
    pub blanks: u64,
    pub omit_rate: Option<f64>,
    /// Upper less lower 27 %, ties shared, and with all ties counted.
    pub discrimination: Option<f64>,
    pub discrimination_all_ties: Option<f64>,
    pub discrimination_between: Option<Interval>,
    /// Correlation with the total, and with the total without this part.
    pub point_biserial: Option<f64>,
    pub corrected: Option<f64>,
    pub corrected_between: Option<Interval>,
    /// What alpha would be without this part.
    pub alpha_without: Option<f64>,
}

impl Summary {
    pub fn of(tally: &Tally) -> Summary {
        let parts = 0..tally.parts();
        let all_one_mark = tally.parts() > 0 && tally.most.iter().all(|most| *most == 1);
        let n = tally.learners as f64;
        let spread = Spread::of(tally);
        let alpha = spread.alpha(None);
        let variance = (tally.learners > 1).then(|| spread.total / (n * (n - 1.0)));
        let deviation = variance.map(f64::sqrt);
        let k = tally.parts() as f64;
        let mean = (tally.learners > 0).then(|| spread.sum / n);
        Summary {
            learners: tally.learners,
            full: tally.full(),
            mean,
            median: median(&tally.totals, tally.learners),
            variance,
            deviation,
            distribution: tally.totals.clone(),
            alpha,
            alpha_between: alpha
                .and_then(|alpha| alpha_interval(alpha, tally.learners, tally.parts())),
            all_one_mark,
            kr21: mean.filter(|_| all_one_mark && k > 1.0 && spread.total > 0.0).map(|mean| {
                let variance = spread.total / (n * n);
                k / (k - 1.0) * (1.0 - mean * (k - mean) / (k * variance))
            }),
            sem: deviation
                .zip(alpha)
                .filter(|(_, alpha)| *alpha >= 0.0)
                .map(|(sd, alpha)| sd * (1.0 - alpha).sqrt()),
            items: parts.map(|part| item(tally, &spread, part)).collect(),
        }
    }
}

fn item(tally: &Tally, spread: &Spread, part: usize) -> Item {
    let n = tally.learners as f64;
    let most = tally.most[part];
    let some = tally.learners > 0;
    let facility = (some && most > 0).then(|| tally.sum(part) as f64 / (n * f64::from(most)));
    let discrimination = tally.discrimination(part, Ties::Shared);
    let size = group_size(tally.learners);
    let shares = tally.group_shares(part, Ties::Shared);
    let corrected = spread.corrected(part);
    Item {
        most,
        facility,
        facility_between: facility.map(|facility| proportion(facility, n)),
        variance: some.then(|| spread.own[part] / (n * n)),
        full_marks: tally.counts[part][most as usize],
        blanks: tally.blanks[part],
        omit_rate: some.then(|| tally.blanks[part] as f64 / n),
        discrimination,
        discrimination_all_ties: tally.discrimination(part, Ties::All),
        discrimination_between: shares.map(|(upper, lower)| difference(upper, lower, size as f64)),
        point_biserial: spread.with_total(part),
        corrected,
        corrected_between: corrected.and_then(|r| correlation_interval(r, tally.learners)),
        alpha_without: spread.alpha(Some(part)),
    }
}

/// Sums of squares about the mean, each times n so that it is a whole number: of the
/// totals, of each part, and of each part with the totals.
struct Spread {
    sum: f64,
    total: f64,
    own: Vec<f64>,
    shared: Vec<f64>,
}

impl Spread {
    fn of(tally: &Tally) -> Spread {
        let n = i128::from(tally.learners);
        let whole = |count: u64| i128::from(count);
        let (mut sum, mut squares) = (0i128, 0i128);
        for (total, learners) in tally.totals.iter().enumerate() {
            let total = total as i128;
            sum += total * whole(*learners);
            squares += total * total * whole(*learners);
        }
        let parts = 0..tally.parts();
        // Exact in whole numbers; only the result is made a float.
        Spread {
            sum: sum as f64,
            total: (n * squares - sum * sum) as f64,
            own: parts
                .clone()
                .map(|part| {
                    let own = whole(tally.sum(part));
                    (n * whole(tally.squares[part]) - own * own) as f64
                })
                .collect(),
            shared: parts
                .map(|part| (n * whole(tally.products[part]) - whole(tally.sum(part)) * sum) as f64)
                .collect(),
        }
    }

    /// Cronbach's alpha of all parts, or of all but one.
    fn alpha(&self, without: Option<usize>) -> Option<f64> {
        let kept = self.own.iter().enumerate().filter(|(part, _)| Some(*part) != without);
        let (count, sum) = kept.fold((0.0, 0.0), |(count, sum), (_, own)| (count + 1.0, sum + own));
        let total = match without {
            Some(part) => self.total - 2.0 * self.shared[part] + self.own[part],
            None => self.total,
        };
        (count > 1.0 && total > 0.0).then(|| count / (count - 1.0) * (1.0 - sum / total))
    }

    fn with_total(&self, part: usize) -> Option<f64> {
        let both = self.own[part] * self.total;
        (both > 0.0).then(|| self.shared[part] / both.sqrt())
    }

    fn corrected(&self, part: usize) -> Option<f64> {
        let rest = self.total - 2.0 * self.shared[part] + self.own[part];
        let both = self.own[part] * rest;
        (both > 0.0).then(|| (self.shared[part] - self.own[part]) / both.sqrt())
    }
}

/// The middle total, or the mean of the two in the middle.
fn median(totals: &[u64], learners: u64) -> Option<f64> {
    let at = |place: u64| {
        let mut passed = 0;
        totals.iter().position(|count| {
            passed += count;
            passed > place
        })
    };
    let upper = at(learners / 2)?;
    let lower = at((learners - 1) / 2)?;
    Some((upper + lower) as f64 / 2.0)
}
