//! Preferred numbers: the values resistors are made in.
//!
//! Lists of IEC 60063 (read second-hand, identical in several independent files). E24 does not
//! follow the formula `10^(i/24)` at 27, 30, 33, 36, 39, 43, 47 and 82, so the lists are kept, not
//! computed.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

const E6: &[u16] = &[10, 15, 22, 33, 47, 68];
const E12: &[u16] = &[10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82];
const E24: &[u16] = &[
    10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91,
];
const E48: &[u16] = &[
    100, 105, 110, 115, 121, 127, 133, 140, 147, 154, 162, 169, 178, 187, 196, 205, 215, 226, 237,
    249, 261, 274, 287, 301, 316, 332, 348, 365, 383, 402, 422, 442, 464, 487, 511, 536, 562, 590,
    619, 649, 681, 715, 750, 787, 825, 866, 909, 953,
];
const E96: &[u16] = &[
    100, 102, 105, 107, 110, 113, 115, 118, 121, 124, 127, 130, 133, 137, 140, 143, 147, 150, 154,
    158, 162, 165, 169, 174, 178, 182, 187, 191, 196, 200, 205, 210, 215, 221, 226, 232, 237, 243,
    249, 255, 261, 267, 274, 280, 287, 294, 301, 309, 316, 324, 332, 340, 348, 357, 365, 374, 383,
    392, 402, 412, 422, 432, 442, 453, 464, 475, 487, 499, 511, 523, 536, 549, 562, 576, 590, 604,
    619, 634, 649, 665, 681, 698, 715, 732, 750, 768, 787, 806, 825, 845, 866, 887, 909, 931, 953,
    976,
];

/// Least resistor looked for, Ω.
pub const LEAST_OHM: f64 = 0.1;
/// Greatest resistor looked for, Ω.
pub const MOST_OHM: f64 = 10e6;
/// Two values nearer than this, relative, count as the same: it covers binary rounding only.
const SAME: f64 = 1e-9;

/// A series of preferred numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Series {
    /// 6 values a decade, usually ± 20 %.
    E6,
    /// 12 values a decade, usually ± 10 %.
    E12,
    /// 24 values a decade, usually ± 5 %.
    E24,
    /// 48 values a decade, usually ± 2 %.
    E48,
    /// 96 values a decade, usually ± 1 %.
    E96,
}

/// One preferred value: `digits × 10^exponent` Ω, with two digits up to E24 and three above.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Preferred {
    /// Two or three leading digits: 47, 887.
    pub digits: u16,
    /// Power of ten, −3 to 6.
    pub exponent: i8,
}

impl Preferred {
    /// The value in Ω.
    pub fn ohm(self) -> f64 {
        let size = 10f64.powi(i32::from(self.exponent).abs());
        let digits = f64::from(self.digits);
        if self.exponent < 0 { digits / size } else { digits * size }
    }

    /// A value with two or three leading digits, or `None` where it needs more or lies outside
    /// 0.1 Ω to 10 MΩ.
    pub fn of(ohm: f64) -> Option<Preferred> {
        if !(LEAST_OHM * (1.0 - SAME)..=MOST_OHM * (1.0 + SAME)).contains(&ohm) {
            return None;
        }
        for (digits, exponents) in [(10..100u16, -2..=6i8), (100..1000, -3..=5)] {
            for exponent in exponents {
                for d in digits.clone() {
                    let candidate = Preferred { digits: d, exponent };
                    if (candidate.ohm() - ohm).abs() <= SAME * ohm {
                        return Some(candidate);
                    }
                }
            }
        }
        None
    }
}

impl Series {
    /// The values of one decade.
    pub fn decade(self) -> &'static [u16] {
        match self {
            Series::E6 => E6,
            Series::E12 => E12,
            Series::E24 => E24,
            Series::E48 => E48,
            Series::E96 => E96,
        }
    }

    /// The name as printed: `E24`.
    pub fn word(self) -> &'static str {
        match self {
            Series::E6 => "E6",
            Series::E12 => "E12",
            Series::E24 => "E24",
            Series::E48 => "E48",
            Series::E96 => "E96",
        }
    }

    /// The tolerance that goes with the series, percent (IEC 60063, from memory).
    pub fn tolerance_percent(self) -> f64 {
        match self {
            Series::E6 => 20.0,
            Series::E12 => 10.0,
            Series::E24 => 5.0,
            Series::E48 => 2.0,
            Series::E96 => 1.0,
        }
    }

    /// Every value from 0.1 Ω to 10 MΩ, rising.
    pub fn values(self) -> impl Iterator<Item = Preferred> {
        let least: i8 = if matches!(self, Series::E48 | Series::E96) { -3 } else { -2 };
        (least..=least + 8)
            .flat_map(move |exponent| {
                self.decade().iter().map(move |&digits| Preferred { digits, exponent })
            })
            .filter(|p| p.ohm() <= MOST_OHM)
    }

    /// The least value that is not below `ohm`. A value that differs only by binary rounding counts
    /// as reached. `None` above the series' last value or where `ohm` is not a number.
    pub fn next_up(self, ohm: f64) -> Option<Preferred> {
        self.values().find(|p| p.ohm() >= ohm * (1.0 - SAME))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// E96 equals round(100 · 10^(i/96)) without exception: the published rule, checked against the
    /// published list.
    #[test]
    fn e96_follows_its_formula() {
        for (i, &listed) in (0u32..).zip(E96) {
            let formula = (100.0 * 10f64.powf(f64::from(i) / 96.0)).round();
            assert!((formula - f64::from(listed)).abs() < 0.5, "{i}");
        }
        assert_eq!(E96.len(), 96);
    }

    /// The published exceptions of E24, and no others.
    #[test]
    fn e24_leaves_its_formula_at_eight_places() {
        let off: Vec<u16> = (0u32..)
            .zip(E24)
            .filter(|&(i, &listed)| {
                ((10.0 * 10f64.powf(f64::from(i) / 24.0)).round() - f64::from(listed)).abs() > 0.5
            })
            .map(|(_, &listed)| listed)
            .collect();
        assert_eq!(off, [27, 30, 33, 36, 39, 43, 47, 82]);
    }

    #[test]
    fn each_coarser_list_is_part_of_the_next() {
        assert!(E6.iter().all(|d| E12.contains(d)) && E12.iter().all(|d| E24.contains(d)));
        assert!(E48.iter().all(|d| E96.contains(d)));
        assert!(!E96.contains(&120) && !E96.contains(&160), "published: not every E24 value");
        for series in [Series::E6, Series::E12, Series::E24, Series::E48, Series::E96] {
            assert!(series.decade().is_sorted());
        }
    }

    #[test]
    fn the_next_value_up_crosses_decades_and_takes_an_exact_hit() {
        let up = |s: Series, ohm: f64| s.next_up(ohm).map(Preferred::ohm);
        assert_eq!(up(Series::E12, 83.0), Some(100.0));
        assert_eq!(up(Series::E24, 4.7), Some(4.7));
        assert_eq!(up(Series::E12, (5.0 - 2.0) / 0.02), Some(150.0));
        assert_eq!(up(Series::E96, 977.0), Some(1000.0));
        assert_eq!(up(Series::E96, 9.9e6), Some(10e6));
        assert_eq!(up(Series::E96, 10.1e6), None);
        assert_eq!(up(Series::E12, 0.0), Some(0.1));
        assert_eq!(up(Series::E12, f64::NAN), None);
    }

    #[test]
    fn a_value_is_known_by_its_digits() {
        assert_eq!(Preferred::of(4700.0), Some(Preferred { digits: 47, exponent: 2 }));
        assert_eq!(Preferred::of(0.1), Some(Preferred { digits: 10, exponent: -2 }));
        assert_eq!(Preferred::of(887.0), Some(Preferred { digits: 887, exponent: 0 }));
        assert_eq!(Preferred::of(1234.0), None);
        for series in [Series::E24, Series::E96] {
            for p in series.values() {
                assert!(Preferred::of(p.ohm()).is_some_and(|q| (q.ohm() - p.ohm()).abs() < 1e-9));
            }
        }
    }
}
