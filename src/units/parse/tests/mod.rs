//! What people type: tables of spellings taken and refused, and properties.

mod properties;
mod refused;
mod shown;
mod taken;

use super::Wanted;
use crate::units::Dimension;

/// A field without a range.
fn any(dimension: Dimension, bare: &'static str) -> Wanted {
    Wanted { dimension, bare, least: f64::NEG_INFINITY, most: f64::INFINITY }
}

/// A field with a range.
fn from_to(dimension: Dimension, bare: &'static str, least: f64, most: f64) -> Wanted {
    Wanted { dimension, bare, least, most }
}
