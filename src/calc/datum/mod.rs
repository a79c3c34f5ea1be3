//! Datums: heights and places measured before metal is cut, and whether they still hold after it.
//!
//! Answers: *is it still where it was?* and *is it where the standard wants it?* Inputs: lengths in mm
//! (0 to 3 000) with the instrument's accuracy, and a tolerance in mm. Formula: `d = after − before`, per
//! axis for a place; read with one instrument, its percent error is common to both, so the bounds of `d`
//! are `± (percent/100 · |d| + 2 · digits · resolution)`, otherwise the bounds of both add up. The worst
//! axis decides. What comes back: clear where the far end of `|d|` is within the tolerance, danger where
//! its near end is beyond, caution where the instrument can't tell. No errors: what is missing is unlit.
//!
//! Source of buffer heights and their tolerances: NEM 303 (2015). Other tolerances: common practice, no
//! source. Coupler heights of the prototype: 49 CFR 231.31, scaled.

mod name;
mod standard;
#[cfg(test)]
mod tests;

pub use name::{End, From, What};
pub use standard::{BUFFERS, Buffer, against_standard, coupler_note, tolerance_mm};

use crate::aspect::{Aspect, Finding};
use crate::units::{Accuracy, Dimension, Interval, Rounding, fixed, with_bounds};

/// One measured datum: one length, or the three of a place.
#[derive(Debug, Clone, PartialEq)]
pub struct Lengths {
    /// mm: one value, or x, y and z.
    pub mm: Vec<f64>,
    /// The instrument's accuracy, where it is known.
    pub accuracy: Option<Accuracy>,
}

impl Lengths {
    /// The bounds of one of them.
    pub fn bounds(&self, axis: usize) -> Option<Interval> {
        let value = *self.mm.get(axis)?;
        Some(self.accuracy.map_or(Interval::exact(value), |a| a.bounds(value)))
    }

    /// `12.0 mm (11.9 to 12.1)`, or `x 12.0, y −3.5, z 4.0 mm`.
    pub fn words(&self) -> String {
        match self.mm.as_slice() {
            [one] => {
                let bounds = self.bounds(0).unwrap_or(Interval::exact(*one));
                with_bounds(*one, bounds, Dimension::Length)
            }
            many => {
                let parts: Vec<String> = ["x", "y", "z"]
                    .iter()
                    .zip(many)
                    .map(|(axis, v)| format!("{axis} {}", fixed(*v, 1, Rounding::Nearest)))
                    .collect();
                format!("{}\u{a0}mm", parts.join(", "))
            }
        }
    }
}

/// `after − before` of one axis with its bounds, mm.
pub fn difference(before: &Lengths, after: &Lengths, axis: usize) -> Option<Interval> {
    let d = after.mm.get(axis)? - before.mm.get(axis)?;
    Some(match (before.accuracy, after.accuracy) {
        (Some(a), Some(b)) if a == b => {
            Interval::around(d, a.percent / 100.0 * d.abs() + 2.0 * a.digits * a.resolution)
        }
        _ => after.bounds(axis)? - before.bounds(axis)?,
    })
}

/// How far a difference may be from nought, whatever its sign.
fn size(d: Interval) -> Interval {
    let far = d.lo.abs().max(d.hi.abs());
    let near = if d.contains(0.0) { 0.0 } else { d.lo.abs().min(d.hi.abs()) };
    Interval::new(near, far)
}

/// Whether a datum still holds: the same thing before and after, against a tolerance in mm, above 0.
pub fn still_true(before: &Lengths, after: &Lengths, tolerance_mm: f64) -> Finding {
    let axes = before.mm.len();
    let all: Vec<Interval> = (0..axes).filter_map(|i| difference(before, after, i)).collect();
    let shown = |f: Finding| {
        f.input("before", before.words())
            .input("after", after.words())
            .input("tolerance", hundredths(tolerance_mm))
            .formula("|after − before| ≤ tolerance, at the far end of its bounds")
            .source("common practice, no source; tolerances of buffers by NEM 303 (2015)")
    };
    let worst = all.iter().max_by(|a, b| size(**a).hi.total_cmp(&size(**b).hi));
    let (Some(worst), true) = (worst, all.len() == axes && after.mm.len() == axes) else {
        return shown(Finding::unlit(
            "Before and after are not of one kind, so they can’t be compared.",
            "Measure it again the way it was measured before.",
        ));
    };
    let (near, far) = (size(*worst).lo, size(*worst).hi);
    let moved = hundredths_up(far);
    let wanted = format!("{} or less", hundredths(tolerance_mm));
    shown(if far <= tolerance_mm {
        Finding::new(Aspect::Clear, format!("It is where it was: {moved} off at most."))
            .would_change("A measure that is further off, or another cut.")
    } else if near > tolerance_mm {
        Finding::new(
            Aspect::Danger,
            format!("It has moved by {moved} at most, {} at least.", hundredths(near)),
        )
        .would_change(format!("Put it back, or shim it, till it is off by {wanted}."))
    } else {
        Finding::new(
            Aspect::Caution,
            format!("It may be off by {moved}: the instrument can’t tell."),
        )
        .would_change(format!("A finer instrument that shows it off by {wanted}."))
    })
}

/// `0.30 mm`: a tolerance or a small difference wants one more decimal than a length.
fn hundredths(mm: f64) -> String {
    format!("{}\u{a0}mm", fixed(mm, 2, Rounding::Nearest))
}

fn hundredths_up(mm: f64) -> String {
    format!("{}\u{a0}mm", fixed(mm, 2, Rounding::Up))
}
