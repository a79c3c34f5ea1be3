//! The factor that turns a standard error from few readings into a 95 % interval.

/// Two-sided 95 % factor of Student's t for `freedom` degrees of freedom, 0.5 or more (fractions
/// allowed): the t with `P(|T| ≤ t) = 0.95`. Published table: 12.706 at 1, 2.776 at 4, 2.228 at 10,
/// 1.960 at infinity.
pub fn factor_95(freedom: f64) -> f64 {
    let (mut low, mut high) = (0.0, 1e4);
    for _ in 0..200 {
        let middle = f64::midpoint(low, high);
        if middle <= low || middle >= high {
            break;
        }
        if outside(middle, freedom) > 0.05 {
            low = middle;
        } else {
            high = middle;
        }
    }
    high
}

/// `P(|T| > t)` for t ≥ 0: the regularised incomplete beta function `I_x(ν/2, 1/2)` at
/// `x = ν/(ν + t²)`.
pub fn outside(t: f64, freedom: f64) -> f64 {
    beta(freedom / (freedom + t * t), freedom / 2.0, 0.5)
}

/// Regularised incomplete beta function by its continued fraction, evaluated on the side where it
/// converges fast (at most 300 terms).
fn beta(x: f64, a: f64, b: f64) -> f64 {
    if x <= 0.0 {
        return 0.0;
    }
    if x >= 1.0 {
        return 1.0;
    }
    let front =
        (ln_gamma(a + b) - ln_gamma(a) - ln_gamma(b) + a * x.ln() + b * (1.0 - x).ln()).exp();
    if x < (a + 1.0) / (a + b + 2.0) {
        front * fraction(x, a, b) / a
    } else {
        1.0 - front * fraction(1.0 - x, b, a) / b
    }
}

/// The continued fraction of the incomplete beta function, by Lentz's method.
fn fraction(x: f64, a: f64, b: f64) -> f64 {
    let safe = |v: f64| if v.abs() < 1e-300 { 1e-300 } else { v };
    let mut c = 1.0;
    let mut d = 1.0 / safe(1.0 - (a + b) * x / (a + 1.0));
    let mut value = d;
    for step in 1..300u32 {
        let m = f64::from(step);
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        let before = value;
        for term in [even, odd] {
            d = 1.0 / safe(1.0 + term * d);
            c = safe(1.0 + term / c);
            value *= c * d;
        }
        if (value - before).abs() <= 1e-15 * value.abs() {
            break;
        }
    }
    value
}

/// Natural logarithm of the gamma function for x above 0: Stirling's series after stepping up to 15.
fn ln_gamma(x: f64) -> f64 {
    let mut x = x;
    let mut steps = 0.0;
    while x < 15.0 {
        steps += x.ln();
        x += 1.0;
    }
    let square = x * x;
    let series = (1.0 / 12.0
        - (1.0 / 360.0 - (1.0 / 1260.0 - 1.0 / (1680.0 * square)) / square) / square)
        / x;
    (x - 0.5) * x.ln() - x + 0.5 * std::f64::consts::TAU.ln() + series - steps
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Printed tables of Student's t, two-sided 95 %.
    #[test]
    fn factors_of_the_printed_table() {
        for (freedom, printed) in
            [(1.0, 12.706), (2.0, 4.303), (4.0, 2.776), (10.0, 2.228), (30.0, 2.042), (1e6, 1.960)]
        {
            assert!((factor_95(freedom) - printed).abs() < 0.0006, "{freedom}");
        }
    }
}
