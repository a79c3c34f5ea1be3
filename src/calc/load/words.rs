//! Currents in words, shared by the load test and the headroom. Two decimals, three below 0.1 A,
//! rounded to the side on which no danger hides.

use crate::calc::Bounded;
use crate::units::{Rounding, fixed};

/// Two values no further apart than this share of the greater count as equal, so that a demand of
/// exactly the rating is not called above it because of rounding.
pub(in crate::calc) const SAME_WITHIN: f64 = 1e-9;

/// A current with its decimals: `0.84 A`, `0.045 A`.
fn amps(value: f64, rounding: Rounding) -> String {
    let decimals = if value.abs() < 0.0995 { 3 } else { 2 };
    format!("{}\u{a0}A", fixed(value, decimals, rounding))
}

/// A current, rounded up: demands, and limits to reach at least.
pub(in crate::calc) fn amps_at_least(value: f64) -> String {
    amps(value, Rounding::Up)
}

/// A current, rounded down: limits to stay below.
pub(in crate::calc) fn amps_below(value: f64) -> String {
    amps(value, Rounding::Down)
}

/// A current as given, to the nearest.
pub(in crate::calc) fn amps_given(value: f64) -> String {
    amps(value, Rounding::Nearest)
}

/// A current with its bounds where it has any: `0.80 A (0.78 to 0.82)`.
pub(in crate::calc) fn amps_with_bounds(value: Bounded) -> String {
    if value.hi - value.lo <= SAME_WITHIN * value.hi.abs() {
        return amps_at_least(value.value);
    }
    let ends = (amps_below(value.lo), amps_at_least(value.hi));
    let low = ends.0.trim_end_matches("\u{a0}A");
    let high = ends.1.trim_end_matches("\u{a0}A");
    format!("{} ({low} to {high})", amps_at_least(value.value))
}
