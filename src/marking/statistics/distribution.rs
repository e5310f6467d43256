//! The tail of the F distribution, which the test of fairness needs: the regularised
//! incomplete beta function, in its continued fraction by the method of Lentz, to about
//! 1e-12.

/// Fractions end when a further term changes less than this, relative.
const ENOUGH: f64 = 1e-15;
const MOST_TERMS: usize = 500;
const TINY: f64 = 1e-300;

/// The probability that an F with these degrees of freedom exceeds `f`.
pub fn f_tail(f: f64, above: f64, below: f64) -> f64 {
    if f <= 0.0 || f.is_nan() {
        return 1.0;
    }
    incomplete_beta(below / (below + above * f), below / 2.0, above / 2.0)
}

fn away(value: f64) -> f64 {
    if value.abs() < TINY { TINY } else { value }
}

fn incomplete_beta(x: f64, a: f64, b: f64) -> f64 {
    if x <= 0.0 || x >= 1.0 {
        return x.clamp(0.0, 1.0);
    }
    // The fraction converges fast on one side of the mean only.
    if x > (a + 1.0) / (a + b + 2.0) {
        return 1.0 - incomplete_beta(1.0 - x, b, a);
    }
    let front = (ln_gamma(a + b) - ln_gamma(a) - ln_gamma(b) + a * x.ln() + b * (-x).ln_1p()).exp();
    let (mut c, mut d) = (1.0, 1.0 / away(1.0 - (a + b) * x / (a + 1.0)));
    let mut h = d;
    for m in 1..MOST_TERMS {
        let m = m as f64;
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        d = 1.0 / away(1.0 + even * d);
        c = away(1.0 + even / c);
        h *= d * c;
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        d = 1.0 / away(1.0 + odd * d);
        c = away(1.0 + odd / c);
        h *= d * c;
        if (d * c - 1.0).abs() < ENOUGH {
            break;
        }
    }
    front * h / a
}

/// The logarithm of the gamma function: Stirling's series above 10, reached by
/// recurrence from below.
fn ln_gamma(x: f64) -> f64 {
    let mut shift = 0.0;
    let mut x = x;
    while x < 10.0 {
        shift -= x.ln();
        x += 1.0;
    }
    let inverse = 1.0 / x;
    let square = inverse * inverse;
    let series = inverse
        * (1.0 / 12.0
            - square
                * (1.0 / 360.0
                    - square
                        * (1.0 / 1260.0
                            - square
                                * (1.0 / 1680.0
                                    - square * (1.0 / 1188.0 - square * 691.0 / 360_360.0)))));
    shift + (x - 0.5) * x.ln() - x + 0.5 * (2.0 * std::f64::consts::PI).ln() + series
}
