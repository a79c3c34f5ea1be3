//! Reading what stands in a seed entry, as the forms read what is typed.

use crate::choice::Choice;
use crate::units::{self, Dimension, Wanted};

/// An error in words.
pub fn words<E: std::fmt::Display>(e: E) -> String {
    e.to_string()
}

/// A code of a closed list.
pub fn code<T: Choice>(text: &str) -> Result<T, String> {
    T::from_code(text).ok_or_else(|| format!("“{text}” is no {}", T::WORD))
}

/// A code that may be empty.
pub fn maybe<T: Choice>(text: &str) -> Result<Option<T>, String> {
    if text.is_empty() { Ok(None) } else { code(text).map(Some) }
}

/// A quantity as typed, in the kept unit; a bare number has the unit of the forms.
pub fn quantity(text: &str, dimension: Dimension) -> Result<f64, String> {
    in_unit(text, dimension, "")
}

/// A quantity as typed; a bare number has the unit `bare`.
pub fn in_unit(text: &str, dimension: Dimension, bare: &'static str) -> Result<f64, String> {
    let wanted = Wanted { dimension, bare, least: -1e9, most: 1e9 };
    units::parse(text, &wanted).map_err(words)
}

/// A quantity as typed, or nothing.
pub fn maybe_quantity(text: &str, dimension: Dimension) -> Result<Option<f64>, String> {
    if text.is_empty() { Ok(None) } else { quantity(text, dimension).map(Some) }
}
