//! Values as people read them: no-break space, tabular figures, rounding that never hides danger.
//!
//! A value that is not finite is no value: it prints as `not known`, without a unit. Every printed
//! quantity can be typed back in.

use super::{Dimension, Interval};

/// Which way to round.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rounding {
    /// To the nearest, halves away from zero.
    Nearest,
    /// Up, towards plus infinity (currents, weight lost, lead times).
    Up,
    /// Down, towards minus infinity (headroom).
    Down,
}

/// What stands for a value that is not finite.
const NOT_KNOWN: &str = "not known";

/// Significant figures of [`exact`].
const FIGURES: i32 = 6;

/// A number with a fixed count of decimals (0 to 22), minus as `−`, never `−0`. A value within 1e-9
/// of a step of the last decimal counts as that step, so that the noise of binary arithmetic does
/// not move a figure up or down.
pub fn fixed(value: f64, decimals: usize, rounding: Rounding) -> String {
    if !value.is_finite() {
        return NOT_KNOWN.to_owned();
    }
    let decimals = decimals.min(22);
    let scale = 10f64.powi(i32::try_from(decimals).unwrap_or(0));
    let scaled = value * scale;
    let step = scaled.round();
    let noise = 1e-9_f64.max(4.0 * f64::EPSILON * scaled.abs());
    let whole = match rounding {
        _ if scaled.is_infinite() => scaled,
        Rounding::Up if scaled - step > noise => step + 1.0,
        Rounding::Down if step - scaled > noise => step - 1.0,
        Rounding::Up | Rounding::Down | Rounding::Nearest => step,
    };
    let size = if whole.is_finite() { whole.abs() / scale } else { value.abs() };
    let sign = if whole < 0.0 { "\u{2212}" } else { "" };
    format!("{sign}{size:.decimals$}")
}

/// A current in A as `0.84 A`: two decimals, rounded away from zero, so that it never prints as
/// less than it is.
pub fn amps(value: f64) -> String {
    quantity(value, Dimension::Current)
}

/// A voltage in V as `12.0 V`: one decimal, nearest.
pub fn volts(value: f64) -> String {
    quantity(value, Dimension::Voltage)
}

/// A resistance in Ω as `16.2 Ω`, `4.7 kΩ`, `1.2 MΩ`: one decimal, nearest.
pub fn ohms(value: f64) -> String {
    quantity(value, Dimension::Resistance)
}

/// A length in mm as `0.4 mm`: one decimal, nearest.
pub fn millimetres(value: f64) -> String {
    quantity(value, Dimension::Length)
}

/// A mass in g as `28 g`: no decimals, nearest.
pub fn grams(value: f64) -> String {
    quantity(value, Dimension::Mass)
}

/// A time in s as `1.0 s`: one decimal, nearest.
pub fn seconds(value: f64) -> String {
    quantity(value, Dimension::Time)
}

/// A ratio (0.17) as whole percent (`17 %`), rounded down: headroom.
pub fn percent_down(ratio: f64) -> String {
    joined(fixed(ratio * 100.0, 0, Rounding::Down), "%")
}

/// A ratio (0.17) as whole percent (`17 %`), rounded up: loss.
pub fn percent_up(ratio: f64) -> String {
    joined(fixed(ratio * 100.0, 0, Rounding::Up), "%")
}

/// A ratio (0.17) as whole percent (`17 %`), nearest: a middle value whose bad end stands beside it.
pub fn percent(ratio: f64) -> String {
    joined(fixed(ratio * 100.0, 0, Rounding::Nearest), "%")
}

/// Up to six significant figures and 22 decimals, no trailing zeros: for inputs shown back as
/// given. Whole numbers keep all their figures.
pub fn exact(value: f64) -> String {
    figures(value, Rounding::Nearest)
}

/// A value in the kept unit of its kind, in its usual decimals and the size of unit people use:
/// `0.84 A`, `4.7 kΩ`, `470 µF`, `21.5 °C`. Kinds without usual decimals print as [`exact`].
pub fn quantity(value: f64, dimension: Dimension) -> String {
    let form = Form::of(value, dimension);
    joined(form.number(value, form.rounding), form.unit)
}

/// A value with its bounds: `0.80 A (0.76 to 0.84)`. The value prints as [`quantity`] does, the
/// ends in the same unit and decimals, the low end rounded down and the high end up. No brackets
/// where the ends are equal, or differ by no more than the noise of arithmetic (1e-12 of their
/// size).
pub fn with_bounds(value: f64, interval: Interval, dimension: Dimension) -> String {
    let shown = quantity(value, dimension);
    let size = interval.lo.abs().max(interval.hi.abs());
    if interval.width() <= 1e-12 * size {
        return shown;
    }
    let form = Form::of(value, dimension);
    let low = form.number(interval.lo, Rounding::Down);
    let high = form.number(interval.hi, Rounding::Up);
    format!("{shown} ({low} to {high})")
}

/// How a quantity is printed.
struct Form {
    /// Unit as printed.
    unit: &'static str,
    /// The printed unit in kept ones, as numerator and denominator.
    size: (f64, f64),
    /// Fixed decimals; `None`: six significant figures.
    decimals: Option<usize>,
    /// Rounding of the value itself.
    rounding: Rounding,
}

impl Form {
    /// The form for a value of a kind.
    fn of(value: f64, dimension: Dimension) -> Form {
        let (unit, size) = match dimension {
            Dimension::Resistance => resistance_unit(value),
            Dimension::Capacitance => capacitance_unit(value),
            other => (other.unit(), (1.0, 1.0)),
        };
        let decimals = match dimension {
            Dimension::Current => Some(2),
            Dimension::Mass => Some(0),
            Dimension::Voltage
            | Dimension::Resistance
            | Dimension::Length
            | Dimension::Time
            | Dimension::Temperature => Some(1),
            Dimension::Power
            | Dimension::Capacitance
            | Dimension::Frequency
            | Dimension::Speed
            | Dimension::Number => None,
        };
        let rounding = match dimension {
            Dimension::Current if value < 0.0 => Rounding::Down,
            Dimension::Current => Rounding::Up,
            _ => Rounding::Nearest,
        };
        Form { unit, size, decimals, rounding }
    }

    /// A value of the same kind in this form, without its unit.
    fn number(&self, value: f64, rounding: Rounding) -> String {
        let value = value * self.size.1 / self.size.0;
        match self.decimals {
            Some(decimals) => fixed(value, decimals, rounding),
            None => figures(value, rounding),
        }
    }
}

/// Ω below 1000 once rounded, then kΩ, then MΩ.
fn resistance_unit(value: f64) -> (&'static str, (f64, f64)) {
    if value.abs() >= 999_950.0 {
        ("MΩ", (1e6, 1.0))
    } else if value.abs() >= 999.95 {
        ("kΩ", (1e3, 1.0))
    } else {
        ("Ω", (1.0, 1.0))
    }
}

/// F from 0.1 F up, as stay-alive stores are marked; µF, nF and pF below, as capacitors are.
fn capacitance_unit(value: f64) -> (&'static str, (f64, f64)) {
    let size = value.abs();
    if size >= 0.1 || size == 0.0 {
        ("F", (1.0, 1.0))
    } else if size >= 1e-6 {
        ("µF", (1.0, 1e6))
    } else if size >= 1e-9 {
        ("nF", (1.0, 1e9))
    } else {
        ("pF", (1.0, 1e12))
    }
}

/// Six significant figures, rounded as asked, without trailing zeros.
fn figures(value: f64, rounding: Rounding) -> String {
    // The power of ten, taken from the text: `4.7e-6`. A value that is not finite has none.
    let power = format!("{value:e}").rsplit('e').next().and_then(|p| p.parse().ok()).unwrap_or(0);
    let decimals = usize::try_from(FIGURES - 1 - power).unwrap_or(0);
    let text = fixed(value, decimals, rounding);
    match text.split_once('.') {
        Some(_) => text.trim_end_matches('0').trim_end_matches('.').to_owned(),
        None => text,
    }
}

/// Number, no-break space, unit; the words for a value not known stand alone.
fn joined(number: String, unit: &str) -> String {
    if unit.is_empty() || number == NOT_KNOWN { number } else { format!("{number}\u{a0}{unit}") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The formats of the design rules: decimals as measured, no-break space, − for minus.
    #[test]
    fn values_print_in_their_usual_decimals() {
        let table = [
            (0.84, Dimension::Current, "0.84 A"),
            (0.8301, Dimension::Current, "0.84 A"),
            (0.0001, Dimension::Current, "0.01 A"),
            (0.0, Dimension::Current, "0.00 A"),
            (-0.831, Dimension::Current, "−0.84 A"),
            (12.0, Dimension::Voltage, "12.0 V"),
            (-0.04, Dimension::Voltage, "0.0 V"),
            (16.2, Dimension::Resistance, "16.2 Ω"),
            (999.94, Dimension::Resistance, "999.9 Ω"),
            (999.96, Dimension::Resistance, "1.0 kΩ"),
            (4700.0, Dimension::Resistance, "4.7 kΩ"),
            (999_960.0, Dimension::Resistance, "1.0 MΩ"),
            (1.2e6, Dimension::Resistance, "1.2 MΩ"),
            (0.4, Dimension::Length, "0.4 mm"),
            (28.4, Dimension::Mass, "28 g"),
            (1.0, Dimension::Time, "1.0 s"),
            (21.5, Dimension::Temperature, "21.5 °C"),
            (-5.0, Dimension::Temperature, "−5.0 °C"),
            (58.0, Dimension::Temperature, "58.0 °C"),
            (0.25, Dimension::Power, "0.25 W"),
            (1.5, Dimension::Capacitance, "1.5 F"),
            (0.000_47, Dimension::Capacitance, "470 µF"),
            (0.01, Dimension::Capacitance, "10000 µF"),
            (1e-7, Dimension::Capacitance, "100 nF"),
            (4.7e-11, Dimension::Capacitance, "47 pF"),
            (0.0, Dimension::Capacitance, "0 F"),
            (16_000.0, Dimension::Frequency, "16000 Hz"),
            (62.5, Dimension::Speed, "62.5 mm/s"),
            (87.1, Dimension::Number, "87.1"),
        ];
        for (value, dimension, printed) in table {
            let printed = printed.replace(' ', "\u{a0}");
            assert_eq!(quantity(value, dimension), printed, "{value}");
        }
        assert_eq!(amps(0.831), "0.84\u{a0}A");
        assert_eq!(volts(11.96), "12.0\u{a0}V");
        assert_eq!(ohms(16.24), "16.2\u{a0}Ω");
        assert_eq!(millimetres(0.36), "0.4\u{a0}mm");
        assert_eq!(grams(27.6), "28\u{a0}g");
        assert_eq!(seconds(1.04), "1.0\u{a0}s");
    }

    #[test]
    fn rounding_never_hides_a_danger() {
        assert_eq!(percent_down(0.179), "17\u{a0}%");
        assert_eq!(percent_down(0.29), "29\u{a0}%"); // 0.29 · 100 is 28.999… in binary
        assert_eq!(percent_down(-0.001), "\u{2212}1\u{a0}%");
        assert_eq!(percent_up(0.171), "18\u{a0}%");
        assert_eq!(percent(0.843_75), "84\u{a0}%");
        assert_eq!(percent(0.845), "85\u{a0}%");
        assert_eq!(percent_up(0.07), "7\u{a0}%"); // 0.07 · 100 is 7.000…1 in binary
        assert_eq!(amps(0.1 + 0.2), "0.30\u{a0}A");
        assert_eq!(amps(0.300_001), "0.31\u{a0}A");
        // Within 1e-9 of a step is that step, past it is not.
        assert_eq!(amps(0.84 + 5e-12), "0.84\u{a0}A");
        assert_eq!(amps(0.84 + 5e-11), "0.85\u{a0}A");
        // A large value is not let off more than its own noise.
        assert_eq!(fixed(1e12 + 0.25, 0, Rounding::Up), "1000000000001");
        assert_eq!(fixed(1e12 - 0.25, 0, Rounding::Down), "999999999999");
    }

    #[test]
    fn what_is_not_finite_is_a_word() {
        for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            for dimension in Dimension::ALL {
                assert_eq!(quantity(value, dimension), "not known");
            }
            assert_eq!(percent_up(value), "not known");
            assert_eq!(exact(value), "not known");
        }
        assert!(fixed(f64::MAX, 2, Rounding::Up).starts_with("179769313486231"));
        assert!(fixed(f64::MIN, 22, Rounding::Down).starts_with("\u{2212}179769313486231"));
    }

    #[test]
    fn exact_keeps_six_figures_and_no_idle_zeros() {
        let table = [
            (0.0, "0"),
            (-0.0, "0"),
            (0.27, "0.27"),
            (-0.27, "−0.27"),
            (1234.567, "1234.57"),
            (1_234_567.0, "1234567"),
            (100.0, "100"),
            (999_999.5, "1000000"),
            (0.000_001_234_567, "0.00000123457"),
            (4.7e-12, "0.0000000000047"),
            (1.0 / 3.0, "0.333333"),
        ];
        for (value, printed) in table {
            assert_eq!(exact(value), printed);
        }
    }

    #[test]
    fn bounds_stand_in_brackets_rounded_outward() {
        let current = Interval::new(0.762, 0.838);
        assert_eq!(with_bounds(0.8, current, Dimension::Current), "0.80\u{a0}A (0.76 to 0.84)");
        let swing = Interval::new(-0.001, 0.001);
        assert_eq!(with_bounds(0.0, swing, Dimension::Voltage), "0.0\u{a0}V (\u{2212}0.1 to 0.1)");
        let coil = Interval::new(4610.0, 4790.0);
        assert_eq!(with_bounds(4700.0, coil, Dimension::Resistance), "4.7\u{a0}kΩ (4.6 to 4.8)");
        let edge = Interval::new(900.0, 1100.0);
        assert_eq!(
            with_bounds(990.0, edge, Dimension::Resistance),
            "990.0\u{a0}Ω (900.0 to 1100.0)"
        );
        let warm = Interval::new(20.123_456_7, 23.0);
        assert_eq!(with_bounds(21.5, warm, Dimension::Temperature), "21.5\u{a0}°C (20.1 to 23.0)");
        let weight = Interval::new(27.9, 28.1);
        assert_eq!(with_bounds(28.0, weight, Dimension::Mass), "28\u{a0}g (27 to 29)");
        let store = Interval::new(0.000_376, 0.000_564);
        assert_eq!(
            with_bounds(0.000_47, store, Dimension::Capacitance),
            "470\u{a0}µF (376 to 564)"
        );
    }

    #[test]
    fn a_value_without_doubt_has_no_brackets() {
        let sure = Interval::exact(0.8);
        assert_eq!(with_bounds(0.8, sure, Dimension::Current), "0.80\u{a0}A");
        let noise = Interval::exact(0.4) + Interval::exact(0.4);
        assert!(noise.lo < noise.hi);
        assert_eq!(with_bounds(0.8, noise, Dimension::Current), "0.80\u{a0}A");
        assert_eq!(with_bounds(0.0, Interval::exact(0.0), Dimension::Number), "0");
    }

    /// The number a text shows.
    fn shown(text: &str) -> f64 {
        text.replace('\u{2212}', "-").parse().unwrap_or(f64::NAN)
    }

    proptest! {
        #[test]
        fn a_rounded_value_stays_on_its_side(value in -1e6f64..1e6, decimals in 0usize..5) {
            let step = 10f64.powi(-i32::try_from(decimals).unwrap());
            let slack = step * 1e-8 + value.abs() * 1e-15;
            let [up, down, near] = [Rounding::Up, Rounding::Down, Rounding::Nearest]
                .map(|rounding| shown(&fixed(value, decimals, rounding)));
            prop_assert!(up >= value - slack && up < value + step + slack, "{value} up to {up}");
            prop_assert!(down <= value + slack && down > value - step - slack, "{value}, {down}");
            prop_assert!((near - value).abs() <= step / 2.0 + slack, "{value} near {near}");
        }

        /// Values that are a step of the last decimal print as that step, whichever way is rounded.
        #[test]
        fn a_step_stays_a_step(n in -10_000_000i32..10_000_000, decimals in 0usize..5) {
            let scale = 10f64.powi(i32::try_from(decimals).unwrap());
            let value = f64::from(n) / scale;
            for rounding in [Rounding::Up, Rounding::Down, Rounding::Nearest] {
                let printed = fixed(value, decimals, rounding);
                prop_assert!((shown(&printed) * scale - f64::from(n)).abs() < 0.01, "{printed}");
                prop_assert_ne!(printed, "\u{2212}0");
            }
        }

        #[test]
        fn printed_bounds_hold_the_interval(
            value in -100f64..100.0,
            left in 0.001f64..9.0,
            right in 0.001f64..9.0,
        ) {
            let interval = Interval::new(value - left, value + right);
            for dimension in [Dimension::Current, Dimension::Length, Dimension::Number] {
                let text = with_bounds(value, interval, dimension);
                let (_, ends) = text.trim_end_matches(')').split_once(" (").unwrap();
                let (low, high) = ends.split_once(" to ").unwrap();
                prop_assert!(shown(low) <= interval.lo + 1e-8, "{text}");
                prop_assert!(interval.hi - 1e-8 <= shown(high), "{text}");
            }
        }
    }
}
