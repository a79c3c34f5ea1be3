//! Intervals: a value known only between two ends, and arithmetic that never loses the truth.
//!
//! Every operation rounds outward by one step of the floating-point grid. IEEE 754 rounds each
//! sum, difference, product and quotient to the nearest value on that grid, so one step at each
//! end always covers the exact result (containment, as in interval arithmetic, IEEE 1788-2015).

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A closed interval `[lo, hi]`, `lo <= hi`, both finite, in the unit of the value it bounds.
/// Reading one with its ends the wrong way round or not finite is an error.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "Ends")]
pub struct Interval {
    /// Low end.
    pub lo: f64,
    /// High end.
    pub hi: f64,
}

/// Two ends as read, before they are checked.
#[derive(Deserialize, JsonSchema)]
#[schemars(rename = "Interval")]
struct Ends {
    /// Low end.
    lo: f64,
    /// High end.
    hi: f64,
}

impl TryFrom<Ends> for Interval {
    type Error = String;
    fn try_from(Ends { lo, hi }: Ends) -> Result<Self, String> {
        if lo <= hi && lo.is_finite() && hi.is_finite() {
            Ok(Interval { lo, hi })
        } else {
            Err(format!("bounds from {lo} to {hi}: the low end comes first, and both are finite"))
        }
    }
}

impl Interval {
    /// The interval between two finite ends, in either order.
    pub fn new(a: f64, b: f64) -> Self {
        if a <= b { Interval { lo: a, hi: b } } else { Interval { lo: b, hi: a } }
    }

    /// A value without doubt.
    pub fn exact(value: f64) -> Self {
        Interval { lo: value, hi: value }
    }

    /// `value ± spread`, rounded outward; exact where the spread is zero. A negative spread counts
    /// as its size.
    pub fn around(value: f64, spread: f64) -> Self {
        let spread = spread.abs();
        if spread == 0.0 {
            return Interval::exact(value);
        }
        Interval { lo: (value - spread).next_down(), hi: (value + spread).next_up() }
    }

    /// Width, `hi - lo`, rounded to the nearest.
    pub fn width(self) -> f64 {
        self.hi - self.lo
    }

    /// Whether a value lies inside, ends included.
    pub fn contains(self, value: f64) -> bool {
        self.lo <= value && value <= self.hi
    }

    /// The least interval that holds both.
    #[must_use]
    pub fn hull(self, other: Interval) -> Interval {
        Interval { lo: self.lo.min(other.lo), hi: self.hi.max(other.hi) }
    }

    /// Quotient, rounded outward, or `None` where the divisor contains zero.
    pub fn checked_div(self, by: Interval) -> Option<Interval> {
        if by.contains(0.0) {
            return None;
        }
        Some(outward(ends(self, by, |a, b| a / b)))
    }

    /// Square, rounded outward and never below zero: tighter than `self * self` where the interval
    /// spans zero.
    #[must_use]
    pub fn squared(self) -> Interval {
        let (a, b) = (self.lo * self.lo, self.hi * self.hi);
        let low = if self.contains(0.0) { 0.0 } else { a.min(b).next_down().max(0.0) };
        Interval { lo: low, hi: a.max(b).next_up() }
    }
}

impl std::ops::Add for Interval {
    type Output = Interval;
    fn add(self, other: Interval) -> Interval {
        outward((self.lo + other.lo, self.hi + other.hi))
    }
}

impl std::ops::Sub for Interval {
    type Output = Interval;
    fn sub(self, other: Interval) -> Interval {
        outward((self.lo - other.hi, self.hi - other.lo))
    }
}

impl std::ops::Mul for Interval {
    type Output = Interval;
    fn mul(self, other: Interval) -> Interval {
        outward(ends(self, other, |a, b| a * b))
    }
}

/// Least and greatest of an operation over the four pairs of ends.
fn ends(a: Interval, b: Interval, op: impl Fn(f64, f64) -> f64) -> (f64, f64) {
    let four = [op(a.lo, b.lo), op(a.lo, b.hi), op(a.hi, b.lo), op(a.hi, b.hi)];
    four.into_iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), v| (lo.min(v), hi.max(v)))
}

/// One step outward at each end, so that rounding never cuts the exact result off.
fn outward((lo, hi): (f64, f64)) -> Interval {
    Interval { lo: lo.next_down(), hi: hi.next_up() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::cmp::Ordering;

    /// An exact fraction, denominator above zero.
    #[derive(Debug, Clone, Copy)]
    struct Exact(i128, i128);

    impl Exact {
        /// `n / 2^k`, and the same as a float, which holds it exactly.
        fn dyadic(n: i32, k: u32) -> (Exact, f64) {
            (Exact(i128::from(n), 1 << k), f64::from(n) / f64::from(1u32 << k))
        }
        fn plus(self, b: Exact) -> Exact {
            Exact(self.0 * b.1 + b.0 * self.1, self.1 * b.1)
        }
        fn minus(self, b: Exact) -> Exact {
            Exact(self.0 * b.1 - b.0 * self.1, self.1 * b.1)
        }
        fn times(self, b: Exact) -> Exact {
            Exact(self.0 * b.0, self.1 * b.1)
        }
        fn by(self, b: Exact) -> Exact {
            let sign = b.0.signum();
            Exact(self.0 * b.1 * sign, self.1 * b.0 * sign)
        }
        /// Compares with a float by its exact mantissa and power of two.
        fn against(self, end: f64) -> Ordering {
            if self.0 == 0 || end.abs() < 1e-200 {
                // The float is nought, or nearer to it than any fraction here.
                let side = i128::from(end > 0.0) - i128::from(end < 0.0);
                return self.0.signum().cmp(&if self.0 == 0 { side } else { 0 });
            }
            let bits = end.to_bits();
            let mantissa = i128::from((bits & ((1 << 52) - 1)) | (1 << 52));
            let mantissa = if end < 0.0 { -mantissa } else { mantissa };
            let power = i32::try_from((bits >> 52) & 0x7ff).unwrap() - 1075;
            let shift = power.unsigned_abs();
            let two = 1i128.checked_shl(shift).filter(|_| shift < 100).unwrap();
            if power < 0 {
                self.0.checked_mul(two).unwrap().cmp(&mantissa.checked_mul(self.1).unwrap())
            } else {
                self.0.cmp(&mantissa.checked_mul(self.1).unwrap().checked_mul(two).unwrap())
            }
        }
        fn lies_in(self, found: Interval) -> bool {
            self.against(found.lo) != Ordering::Less && self.against(found.hi) != Ordering::Greater
        }
    }

    /// An interval with fractions in it: both ends and the points a quarter apart.
    fn held() -> impl Strategy<Value = (Interval, Vec<Exact>)> {
        // Quarter points of `lo + 4 · step / 2^k` are exact; products stay within i128.
        (-1_000_000i32..1_000_000, 0i32..100_000, 0u32..7).prop_map(|(n, step, k)| {
            let points: Vec<_> = (0..=4).map(|j| Exact::dyadic(n + j * step, k)).collect();
            let interval = Interval::new(points[0].1, points[4].1);
            (interval, points.into_iter().map(|(exact, _)| exact).collect())
        })
    }

    proptest! {
        #[test]
        fn every_operation_contains_the_exact_result((a, xs) in held(), (b, ys) in held()) {
            for &x in &xs {
                prop_assert!(x.times(x).lies_in(a.squared()));
                for &y in &ys {
                    prop_assert!(x.plus(y).lies_in(a + b), "{x:?} + {y:?}");
                    prop_assert!(x.minus(y).lies_in(a - b), "{x:?} - {y:?}");
                    prop_assert!(x.times(y).lies_in(a * b), "{x:?} * {y:?}");
                    if let Some(quotient) = a.checked_div(b) {
                        prop_assert!(x.by(y).lies_in(quotient), "{x:?} / {y:?}");
                    }
                    prop_assert!(x.lies_in(a.hull(b)) && y.lies_in(a.hull(b)));
                }
            }
            prop_assert_eq!(a.checked_div(b).is_none(), b.lo <= 0.0 && b.hi >= 0.0);
        }

        /// Not only safe but tight: the ends lie within a few steps of plain arithmetic.
        #[test]
        fn no_operation_is_wider_than_rounding_needs((a, _) in held(), (b, _) in held()) {
            let close =
                |found: f64, plain: f64| (found - plain).abs() <= 4e-16 * plain.abs() + 1e-300;
            prop_assert!(close((a + b).lo, a.lo + b.lo) && close((a + b).hi, a.hi + b.hi));
            prop_assert!(close((a - b).lo, a.lo - b.hi) && close((a - b).hi, a.hi - b.lo));
            prop_assert!(a.squared().lo >= 0.0 && a.squared().lo >= (a * a).lo);
            prop_assert!(close(a.squared().hi, a.lo.abs().max(a.hi.abs()).powi(2)));
        }

        #[test]
        fn a_spread_contains_its_exact_ends(
            n in -100_000i32..100_000,
            s in 0i32..1000,
            k in 0u32..7,
        ) {
            let ((value, v), (spread, w)) = (Exact::dyadic(n, k), Exact::dyadic(s, 6));
            let found = Interval::around(v, w);
            prop_assert!(value.plus(spread).lies_in(found) && value.minus(spread).lies_in(found));
            prop_assert_eq!(found, Interval::around(v, -w));
        }
    }

    /// Hand-worked, as in Moore, Kearfott and Cloud, Introduction to Interval Analysis (2009),
    /// chapter 2 (rules from memory): [-1, 2] · [-3, 4] runs from -6 to 8, [-1, 2]² from 0 to 4.
    #[test]
    fn products_take_the_outermost_of_four() {
        let product = Interval::new(-1.0, 2.0) * Interval::new(4.0, -3.0);
        assert_eq!((product.lo, product.hi), ((-6f64).next_down(), 8f64.next_up()));
        let square = Interval::new(-1.0, 2.0).squared();
        assert_eq!((square.lo, square.hi), (0.0, 4f64.next_up()));
    }

    #[test]
    fn a_divisor_with_zero_in_it_gives_nothing() {
        let one = Interval::exact(1.0);
        assert_eq!(one.checked_div(Interval::new(-1.0, 1.0)), None);
        assert_eq!(one.checked_div(Interval::new(0.0, 1.0)), None);
        assert_eq!(one.checked_div(Interval::new(-1.0, -0.0)), None);
        let half = one.checked_div(Interval::exact(2.0)).unwrap();
        assert!(half.contains(0.5) && half.width() < 1e-15);
    }

    #[test]
    fn the_ends_belong_to_it_and_a_point_has_no_width() {
        let bounds = Interval::new(0.84, 0.76);
        assert!(bounds.contains(0.76) && bounds.contains(0.84) && !bounds.contains(0.85));
        assert!(!bounds.contains(0.75) && !bounds.contains(f64::NAN));
        assert_eq!(Interval::exact(0.8).width().to_bits(), 0);
        assert_eq!(Interval::around(0.8, 0.0), Interval::exact(0.8));
    }

    #[test]
    fn a_product_too_small_for_the_grid_is_not_lost() {
        let tiny = Interval::exact(1e-200);
        let product = tiny * tiny;
        assert!(product.lo <= 0.0 && product.hi > 0.0 && tiny.squared().hi > 0.0);
    }

    #[test]
    fn ends_the_wrong_way_round_are_not_read() {
        let read = |text: &str| serde_json::from_str::<Interval>(text);
        assert_eq!(read(r#"{"lo":1,"hi":2}"#).unwrap(), Interval::new(1.0, 2.0));
        assert!(
            read(r#"{"lo":2,"hi":1}"#).unwrap_err().to_string().contains("low end comes first")
        );
        assert!(read(r#"{"lo":2}"#).is_err());
        let schema = serde_json::to_value(schemars::schema_for!(Interval)).unwrap();
        assert_eq!(schema["title"], "Interval");
        assert_eq!(schema["required"], serde_json::json!(["lo", "hi"]));
    }
}
