//! Intervals of 95 %, in closed form: how far a figure of a small class may be trusted.
//!
//! A part of several marks is treated as a share of its marks. Its spread is at most that
//! of a part of one mark with the same mean, so the intervals for shares are then too
//! wide rather than too narrow.

/// The normal deviate of 95 % to both sides.
const Z: f64 = 1.959_963_984_540_054;

/// From and to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    pub low: f64,
    pub high: f64,
}

/// Of a share seen in `n` learners: Wilson's score interval (Wilson 1927, J. Am. Stat.
/// Assoc. 22:209-212, from memory).
pub fn proportion(share: f64, n: f64) -> Interval {
    if n <= 0.0 {
        return Interval { low: 0.0, high: 1.0 };
    }
    let z2 = Z * Z;
    let middle = (share + z2 / (2.0 * n)) / (1.0 + z2 / n);
    let half =
        Z / (1.0 + z2 / n) * (share * (1.0 - share) / n + z2 / (4.0 * n * n)).max(0.0).sqrt();
    Interval { low: (middle - half).max(0.0), high: (middle + half).min(1.0) }
}

/// Of the difference of two shares, each seen in `n` learners: Newcombe's, made of the
/// two score intervals (Newcombe 1998, Stat. Med. 17:873-890, method 10, from memory).
pub fn difference(one: f64, other: f64, n: f64) -> Interval {
    let (a, b) = (proportion(one, n), proportion(other, n));
    let gap = one - other;
    let low = ((one - a.low).powi(2) + (b.high - other).powi(2)).sqrt();
    let high = ((a.high - one).powi(2) + (other - b.low).powi(2)).sqrt();
    Interval { low: gap - low, high: gap + high }
}

/// Of a correlation: Fisher's z (Fisher 1921, from memory). None for fewer than four
/// learners.
pub fn correlation_interval(r: f64, n: u64) -> Option<Interval> {
    if n < 4 || r.abs() >= 1.0 {
        return None;
    }
    let half = Z / ((n - 3) as f64).sqrt();
    Some(Interval { low: (r.atanh() - half).tanh(), high: (r.atanh() + half).tanh() })
}

/// Of alpha over so many parts: on the scale of ln(1 - alpha), whose variance is about
/// 2k / ((k - 1)(n - 2)) (Bonett 2002, J. Educ. Behav. Stat. 27:335-340, from memory).
pub fn alpha_interval(alpha: f64, n: u64, parts: usize) -> Option<Interval> {
    if n < 3 || parts < 2 || alpha >= 1.0 {
        return None;
    }
    let k = parts as f64;
    let half = Z * (2.0 * k / ((k - 1.0) * (n - 2) as f64)).sqrt();
    let at = |shift: f64| 1.0 - ((1.0 - alpha).ln() + shift).exp();
    Some(Interval { low: at(half), high: at(-half) })
}
