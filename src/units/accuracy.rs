//! How far a meter may be off.

use super::Interval;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A meter's accuracy on one range: `percent of reading + digits x resolution`, as data sheets
/// give it. The resolution is one step of the last digit, in the unit of the reading.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Accuracy {
    /// Percent of the reading, 0 to 50.
    pub percent: f64,
    /// Count of steps of the last digit, 0 to 100.
    pub digits: f64,
    /// One step of the last digit, in the unit of the reading, above 0.
    pub resolution: f64,
}

impl Accuracy {
    /// The bounds of one reading: `value ± (percent/100 · |value| + digits · resolution)`, rounded
    /// outward, in the unit of the reading. A perfect meter (0 % + 0 digits) gives the value alone.
    ///
    /// Source: the way data sheets of hand meters state accuracy; common practice, no source.
    pub fn bounds(&self, value: f64) -> Interval {
        if self.spread(value) == 0.0 {
            return Interval::exact(value);
        }
        // Percent times reading first: a hundredth is no exact binary fraction.
        let part = Interval::exact(self.percent) * Interval::exact(value.abs());
        let part = part.checked_div(Interval::exact(100.0)).unwrap_or(part);
        let steps = Interval::exact(self.digits) * Interval::exact(self.resolution);
        Interval::around(value, (part + steps).hi)
    }

    /// The spread alone, in the unit of the reading, rounded to the nearest.
    pub fn spread(&self, value: f64) -> f64 {
        self.percent / 100.0 * value.abs() + self.digits * self.resolution
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Hand-worked: 0.80 A on a meter of 1.0 % + 3 digits, 0.01 A steps: ± (0.008 + 0.03) A.
    #[test]
    fn a_reading_is_off_by_percent_and_digits() {
        let meter = Accuracy { percent: 1.0, digits: 3.0, resolution: 0.01 };
        let bounds = meter.bounds(0.80);
        assert!((bounds.lo - 0.762).abs() < 1e-12 && (bounds.hi - 0.838).abs() < 1e-12);
        assert!((meter.spread(-0.80) - 0.038).abs() < 1e-12);
        let below = meter.bounds(-0.80);
        assert!((below.lo + 0.838).abs() < 1e-12 && (below.hi + 0.762).abs() < 1e-12);
    }

    #[test]
    fn a_perfect_meter_leaves_no_doubt() {
        let meter = Accuracy { percent: 0.0, digits: 0.0, resolution: 0.01 };
        assert_eq!(meter.bounds(0.8), Interval::exact(0.8));
    }

    #[test]
    fn digits_alone_spread_zero() {
        let meter = Accuracy { percent: 0.5, digits: 2.0, resolution: 0.1 };
        let bounds = meter.bounds(0.0);
        assert!(bounds.contains(0.2) && bounds.contains(-0.2) && bounds.width() < 0.4 + 1e-12);
    }

    #[test]
    fn a_misspelt_field_is_an_error() {
        let text = r#"{"percent":1,"digits":3,"resolution":0.01,"counts":2}"#;
        assert!(serde_json::from_str::<Accuracy>(text).is_err());
    }

    proptest! {
        /// Against whole-number arithmetic: percent in tenths, reading and step in eighths.
        #[test]
        fn the_exact_ends_lie_inside(p in 0i32..500, d in 0i32..100, v in -20_000i32..20_000) {
            let part = |n: i32, by: f64| f64::from(n) / by;
            let (percent, digits) = (part(p, 10.0), part(d, 1.0));
            let meter = Accuracy { percent, digits, resolution: 0.125 };
            let bounds = meter.bounds(part(v, 8.0));
            // In units of 1/8000: value 1000·v, spread p·|v| + 1000·d.
            let (value, spread) = (1000 * v, p * v.abs() + 1000 * d);
            let (lo, hi) = (part(value - spread, 8000.0), part(value + spread, 8000.0));
            prop_assert!(bounds.lo <= lo && hi <= bounds.hi);
            prop_assert!(lo - bounds.lo <= 1e-15 * part(value.abs() + spread, 1.0));
        }
    }
}
