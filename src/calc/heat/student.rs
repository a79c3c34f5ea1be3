//! The quantile of Student's t, for confidence intervals of a fit.

/// Two-sided quantile: the factor `t` for which a share `level` of the distribution with `dof`
/// degrees of freedom lies within `±t`.
///
/// `level` above 0 and below 1, `dof` at least 1; outside that the nearest end is taken.
/// Formula: P(|T| <= t) = 1 − I_x(ν/2, 1/2) with x = ν / (ν + t²), I the regularised incomplete
/// beta function (Abramowitz and Stegun 26.7.1 and 26.5.8), inverted by bisection.
pub fn two_sided(level: f64, dof: f64) -> f64 {
    let level = level.clamp(1e-9, 1.0 - 1e-9);
    let dof = dof.max(1.0);
    let (mut lo, mut hi) = (0.0_f64, 1.0_f64);
    for _ in 0..64 {
        if inside(hi, dof) >= level {
            break;
        }
        hi *= 2.0;
    }
    for _ in 0..200 {
        let mid = f64::midpoint(lo, hi);
        if inside(mid, dof) < level { lo = mid } else { hi = mid }
    }
    f64::midpoint(lo, hi)
}

/// Share of the distribution within `±t`.
fn inside(t: f64, dof: f64) -> f64 {
    1.0 - beta(dof / 2.0, 0.5, dof / (dof + t * t))
}

/// Regularised incomplete beta function I_x(a, b), 0 <= x <= 1, by its continued fraction
/// (Abramowitz and Stegun 26.5.8, evaluated after Lentz).
fn beta(a: f64, b: f64, x: f64) -> f64 {
    if x <= 0.0 {
        return 0.0;
    }
    if x >= 1.0 {
        return 1.0;
    }
    let front = (a * x.ln() + b * (-x).ln_1p() + ln_gamma(a + b) - ln_gamma(a) - ln_gamma(b)).exp();
    if x < (a + 1.0) / (a + b + 2.0) {
        front * fraction(a, b, x) / a
    } else {
        1.0 - front * fraction(b, a, 1.0 - x) / b
    }
}

/// The continued fraction of [`beta`], at most 300 terms.
fn fraction(a: f64, b: f64, x: f64) -> f64 {
    const TINY: f64 = 1e-300;
    let keep = |v: f64| if v.abs() < TINY { TINY } else { v };
    let mut c = 1.0;
    let mut d = 1.0 / keep(1.0 - (a + b) * x / (a + 1.0));
    let mut out = d;
    for step in 1..=300_u32 {
        let m = f64::from(step);
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        d = 1.0 / keep(1.0 + even * d);
        c = keep(1.0 + even / c);
        out *= c * d;
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        d = 1.0 / keep(1.0 + odd * d);
        c = keep(1.0 + odd / c);
        out *= c * d;
        if (c * d - 1.0).abs() < 1e-15 {
            break;
        }
    }
    out
}

/// Logarithm of the gamma function for positive arguments: Stirling's series (Abramowitz and
/// Stegun 6.1.41) after raising the argument to at least 12.
fn ln_gamma(x: f64) -> f64 {
    let (mut x, mut shift) = (x, 0.0);
    for _ in 0..12 {
        if x >= 12.0 {
            break;
        }
        shift -= x.ln();
        x += 1.0;
    }
    let inv = 1.0 / x;
    let series = inv / 12.0 - inv.powi(3) / 360.0 + inv.powi(5) / 1260.0 - inv.powi(7) / 1680.0;
    shift + (x - 0.5) * x.ln() - x + 0.5 * std::f64::consts::TAU.ln() + series
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Percentage points of the t distribution as printed in every statistics table (ISO 2854
    /// table II a): two-sided 95 %, and two of 99 % and 90 %.
    #[test]
    fn the_quantile_is_that_of_the_printed_tables() {
        let table = [
            (0.95, 1.0, 12.706),
            (0.95, 2.0, 4.303),
            (0.95, 3.0, 3.182),
            (0.95, 5.0, 2.571),
            (0.95, 10.0, 2.228),
            (0.95, 30.0, 2.042),
            (0.95, 120.0, 1.980),
            (0.99, 4.0, 4.604),
            (0.90, 7.0, 1.895),
        ];
        for (level, dof, want) in table {
            let got = two_sided(level, dof);
            assert!((got - want).abs() < 6e-4, "t({level}, {dof}) = {got}, table says {want}");
        }
    }

    #[test]
    fn a_higher_level_never_gives_a_smaller_factor() {
        for dof in [1.0, 2.0, 6.0, 40.0] {
            let mut last = 0.0;
            for level in [0.5, 0.8, 0.9, 0.95, 0.99, 0.999] {
                let t = two_sided(level, dof);
                assert!(t > last);
                last = t;
            }
        }
    }
}
