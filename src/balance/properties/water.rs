//! Water alone: its boiling curve and the density of the liquid.
//!
//! Takes kelvin or pascal, gives SI units; none outside the range of the
//! equation. Never reads a table: both are published equations written out.

/// Where each equation comes from.
pub const SATURATION_SOURCE: &str = "IAPWS-IF97, region 4 (saturation line)";
pub const DENSITY_SOURCE: &str = "G. S. Kell, J. Chem. Eng. Data 20 (1975) 97, at 1 atm";

/// The triple point's neighbourhood to the critical point, K: the range of the
/// saturation equation.
const COLDEST: f64 = 273.15;
const CRITICAL: f64 = 647.096;
/// The same two ends as pressures, Pa.
const LOWEST: f64 = 611.213;
const CRITICAL_PRESSURE: f64 = 22.064e6;

/// The ten coefficients of region 4, n1 to n10.
const N: [f64; 10] = [
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849,
    0.65017534844798e3,
];

/// The pressure of steam over boiling water at a temperature in K, in Pa.
pub fn saturation_pressure(kelvin: f64) -> Option<f64> {
    if !(COLDEST..=CRITICAL).contains(&kelvin) {
        return None;
    }
    let theta = kelvin + N[8] / (kelvin - N[9]);
    let a = theta * theta + N[0] * theta + N[1];
    let b = N[2] * theta * theta + N[3] * theta + N[4];
    let c = N[5] * theta * theta + N[6] * theta + N[7];
    let root = 2.0 * c / (-b + (b * b - 4.0 * a * c).sqrt());
    Some(root.powi(4) * 1e6)
}

/// The temperature in K at which water boils under a pressure in Pa.
pub fn saturation_temperature(pascal: f64) -> Option<f64> {
    if !(LOWEST..=CRITICAL_PRESSURE).contains(&pascal) {
        return None;
    }
    let beta = (pascal / 1e6).powf(0.25);
    let e = beta * beta + N[2] * beta + N[5];
    let f = N[0] * beta * beta + N[3] * beta + N[6];
    let g = N[1] * beta * beta + N[4] * beta + N[7];
    let d = 2.0 * g / (-f - (f * f - 4.0 * e * g).sqrt());
    let sum = N[9] + d;
    Some((sum - (sum * sum - 4.0 * (N[8] + N[9] * d)).sqrt()) / 2.0)
}

/// The density of liquid water at 1 atm in kg/m3, from 0 to 100 degC.
pub fn density(kelvin: f64) -> Option<f64> {
    let t = kelvin - 273.15;
    // A reading of 100 degC may come back from kelvin a bit above.
    if !(-1e-9..=100.0 + 1e-9).contains(&t) {
        return None;
    }
    // Kell's temperatures are on the scale of 1968. It differs from today's by
    // less than 0.03 K here, which moves the density by less than 0.002 %.
    let above = 999.83952
        + t * (16.945176
            + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 + t * -280.54253e-12))));
    Some(above / (1.0 + 16.879850e-3 * t))
}
