//! Heights that a standard gives.

use super::Lengths;
use super::name::{From, What};
use crate::aspect::{Aspect, Finding};
use crate::units::{Rounding, fixed};

/// Height of the buffers' centre over the rail in one size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Buffer {
    /// Designation of the scale.
    pub scale: &'static str,
    /// Height of the centre, mm.
    pub height_mm: f64,
    /// How much more is allowed, mm.
    pub above_mm: f64,
    /// How much less is allowed, mm.
    pub below_mm: f64,
}

const fn buffer(scale: &'static str, height_mm: f64, above_mm: f64, below_mm: f64) -> Buffer {
    Buffer { scale, height_mm, above_mm, below_mm }
}

/// NEM 303 (2015), column h, height of the centre over the rail, mm.
pub const BUFFERS: [Buffer; 8] = [
    buffer("Z", 5.0, 0.3, 0.3),
    buffer("N", 6.7, 0.3, 0.3),
    buffer("TT", 8.9, 0.4, 0.4),
    buffer("H0", 12.2, 0.5, 0.5),
    buffer("S", 16.5, 0.5, 0.6),
    buffer("0", 23.6, 0.7, 1.0),
    buffer("1", 33.0, 0.5, 1.5),
    buffer("2", 47.1, 0.5, 2.5),
];

/// Tolerance used where no standard gives one, mm (common practice, no source).
const USUAL_MM: f64 = 0.3;

fn of_scale(scale: &str) -> Option<&'static Buffer> {
    BUFFERS.iter().find(|b| b.scale == scale)
}

/// How far a datum may be off after cutting, mm: for buffers and couplers the narrower side of NEM 303 in
/// that size; else 0.3 mm.
pub fn tolerance_mm(what: What, scale: &str) -> f64 {
    match what {
        What::BufferHeight | What::CouplerHeight => {
            of_scale(scale).map_or(USUAL_MM, |b| b.above_mm.min(b.below_mm))
        }
        _ => USUAL_MM,
    }
}

fn tenths(mm: f64) -> String {
    format!("{}\u{a0}mm", fixed(mm, 1, Rounding::Nearest))
}

/// A buffer height over the rail against NEM 303; `None` for anything else, and where the standard has no
/// figure for the scale. Never danger: a model may follow another practice on purpose.
pub fn against_standard(what: What, from: From, scale: &str, read: &Lengths) -> Option<Finding> {
    if what != What::BufferHeight || from != From::RailTop {
        return None;
    }
    let (b, bounds) = (of_scale(scale)?, read.bounds(0)?);
    let (least, most) = (b.height_mm - b.below_mm, b.height_mm + b.above_mm);
    let band = format!("{} to {}", tenths(least), tenths(most));
    let finding = if least <= bounds.lo && bounds.hi <= most {
        Finding::new(Aspect::Clear, format!("Within the {band} of the standard."))
            .would_change("A height outside that.")
    } else if bounds.hi < least || bounds.lo > most {
        Finding::new(Aspect::Caution, format!("Outside the {band} of the standard."))
            .would_change(format!("A height of {band}, or a reason to leave it."))
    } else {
        Finding::new(
            Aspect::Caution,
            format!("At the edge of the {band} of the standard; the instrument can’t tell."),
        )
        .would_change(format!("A finer instrument that shows {band}."))
    };
    Some(
        finding
            .input("read", read.words())
            .formula(format!("{band}, over the rail at the centre of the buffer"))
            .source("NEM 303 (2015)"),
    )
}

/// Prototype drawbar heights, rail top to centre, standard gauge: least and most, inches (49 CFR 231.31).
const DRAWBAR_IN: (f64, f64) = (31.5, 34.5);
/// One inch, mm.
const INCH_MM: f64 = 25.4;

/// What the prototype's coupler height comes to at a scale of 1:`ratio`; for information only, since
/// couplers differ. Empty where the scale isn't known.
pub fn coupler_note(ratio: Option<f64>) -> String {
    let Some(ratio) = ratio.filter(|r| r.is_finite() && *r > 0.0) else { return String::new() };
    let scaled = |inches: f64| tenths(inches * INCH_MM / ratio);
    format!(
        "Knuckle couplers of standard gauge stand {} to {} over the rail at this scale (49 CFR 231.31, scaled).",
        scaled(DRAWBAR_IN.0),
        scaled(DRAWBAR_IN.1)
    )
}
