//! The factor that turns a standard error from few readings into an interval.

use statrs::distribution::{ContinuousCDF, Normal, StudentsT};

/// Above this many degrees of freedom Student's t is the normal distribution to five digits.
const MANY: f64 = 1e6;

/// Two-sided factor of Student's t: the t within which a share `level` (0 to 1) of the distribution
/// with `freedom` degrees of freedom (fractions allowed) lies.
///
/// `level` and `freedom` outside their range are drawn to the nearest end (freedom at least 0.5).
/// The distribution is the statrs crate's; its own inverse does not end for many degrees of freedom,
/// so the factor is found by bisection, at most 264 steps.
/// Published table: 12.706 at 1, 2.776 at 4, 2.228 at 10, 1.960 at infinity, for a level of 0.95.
pub fn two_sided(level: f64, freedom: f64) -> f64 {
    let share = f64::midpoint(1.0, level.clamp(1e-9, 1.0 - 1e-9));
    if freedom.is_nan() || freedom > MANY {
        return Normal::new(0.0, 1.0).map_or(f64::INFINITY, |n| n.inverse_cdf(share));
    }
    let Ok(t) = StudentsT::new(0.0, 1.0, freedom.max(0.5)) else { return f64::INFINITY };
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..64 {
        if t.cdf(high) >= share {
            break;
        }
        high *= 2.0;
    }
    for _ in 0..200 {
        let middle = f64::midpoint(low, high);
        if t.cdf(middle) < share { low = middle } else { high = middle }
    }
    high
}

#[cfg(test)]
mod tests {
    use super::two_sided;

    /// The published table of Student's t, two-sided 95 % and 99 %.
    #[test]
    fn the_published_table_is_met() {
        for (level, freedom, t) in [
            (0.95, 1.0, 12.706),
            (0.95, 2.0, 4.303),
            (0.95, 4.0, 2.776),
            (0.95, 10.0, 2.228),
            (0.95, 30.0, 2.042),
            (0.95, 1e9, 1.960),
            (0.99, 5.0, 4.032),
        ] {
            let found = two_sided(level, freedom);
            assert!((found - t).abs() < 6e-4, "{level} {freedom}: {found}");
        }
    }
}
