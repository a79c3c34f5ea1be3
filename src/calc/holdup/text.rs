//! Numbers of a store as people read them. Hold-up is rounded down, charging and surges up.

use crate::units::{Rounding, fixed};

/// A value with the unit that suits its size: `factor` of the small unit, below `from`.
fn sized(value: f64, steps: &[(f64, f64, usize, &str)], rounding: Rounding) -> String {
    let step = steps.iter().find(|s| value.abs() >= s.0).or(steps.last());
    step.map_or_else(String::new, |&(_, factor, decimals, unit)| {
        format!("{}\u{a0}{unit}", fixed(value * factor, decimals, rounding))
    })
}

/// Seconds: ms below 1 s, minutes from 3 min.
pub(super) fn time(time_s: f64, rounding: Rounding) -> String {
    let steps = [
        (180.0, 1.0 / 60.0, 1, "min"),
        (1.0, 1.0, 1, "s"),
        (0.01, 1e3, 0, "ms"),
        (0.0, 1e3, 1, "ms"),
    ];
    sized(time_s, &steps, rounding)
}

/// Farads: F, mF or µF, rounded up.
pub(super) fn farads(farad: f64) -> String {
    let steps = [(0.1, 1.0, 2, "F"), (0.01, 1e3, 1, "mF"), (0.0, 1e6, 0, "µF")];
    sized(farad, &steps, Rounding::Up)
}

/// Joules, rounded up.
pub(super) fn joules(joule: f64) -> String {
    sized(joule, &[(0.1, 1.0, 1, "J"), (0.0, 1e3, 1, "mJ")], Rounding::Up)
}

/// Watts, rounded up.
pub(super) fn watts(watt: f64) -> String {
    sized(watt, &[(0.1, 1.0, 2, "W"), (0.0, 1e3, 2, "mW")], Rounding::Up)
}

/// Volts that may be too many, rounded up, two decimals.
pub(super) fn volts_up(volt: f64) -> String {
    format!("{}\u{a0}V", fixed(volt, 2, Rounding::Up))
}

/// Volts that must be enough, rounded down, two decimals.
pub(super) fn volts_down(volt: f64) -> String {
    format!("{}\u{a0}V", fixed(volt, 2, Rounding::Down))
}

/// Millimetres, rounded up.
pub(super) fn mm_up(mm: f64) -> String {
    format!("{}\u{a0}mm", fixed(mm, 0, Rounding::Up))
}

/// `1 store draws`, `10 stores draw`.
pub(super) fn stores_draw(count: u32) -> String {
    if count == 1 { "1 store draws".to_owned() } else { format!("{count} stores draw") }
}
