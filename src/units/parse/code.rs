//! Letter codes: the letter stands where the decimal point would.

use super::number::{Number, digits};
use super::unit::{Found, KEPT, find};
use crate::units::Dimension;

/// The letters of IEC 60062 with the power of ten each stands for, as numerator and denominator.
/// Capacitors take `u` for µ, and no `m`: old parts use it for micro.
const CODES: [(Dimension, &str, f64, f64); 7] = [
    (Dimension::Resistance, "Rr", 1.0, 1.0),
    (Dimension::Resistance, "Kk", 1e3, 1.0),
    (Dimension::Resistance, "M", 1e6, 1.0),
    (Dimension::Resistance, "G", 1e9, 1.0),
    (Dimension::Capacitance, "uµμ", 1.0, 1e6),
    (Dimension::Capacitance, "nN", 1.0, 1e9),
    (Dimension::Capacitance, "pP", 1.0, 1e12),
];

/// The value of a number that goes on as a letter code, in the kept unit: `4k7` is 4700 Ω, `1R5`
/// 1.5 Ω, `4n7` 4.7e-9 F. `None` where it does not.
///
/// Source: IEC 60062, marking codes for resistors and capacitors (4K7 = 4.7 kΩ).
pub(super) fn value(number: &Number<'_>, dimension: Dimension) -> Option<f64> {
    let letter = number.rest.chars().next().filter(|_| number.plain)?;
    let &(_, _, up, down) =
        CODES.iter().find(|(kind, letters, ..)| *kind == dimension && letters.contains(letter))?;
    let (decimals, after) = digits(number.rest.get(letter.len_utf8()..)?);
    if decimals.is_empty() || !may_end(after, dimension) {
        return None;
    }
    let size: f64 = format!("{}.{decimals}", digits_of(number.typed)).parse().ok()?;
    Some(if number.value.is_sign_negative() { -size } else { size } * up / down)
}

/// The value of a letter code that starts with its letter: `R47` is 0.47 Ω. `None` where the text
/// is no such code.
pub(super) fn leading(text: &str, dimension: Dimension) -> Option<f64> {
    let (decimals, after) = digits(text.strip_prefix(['R', 'r'])?);
    let fits = dimension == Dimension::Resistance && !decimals.is_empty();
    if fits && may_end(after, dimension) { format!("0.{decimals}").parse().ok() } else { None }
}

/// Whether nothing, or the kept unit, stands behind a letter code.
fn may_end(after: &str, dimension: Dimension) -> bool {
    find(after.trim(), dimension) == Found::Unit(KEPT)
}

/// A number as typed, without its sign.
fn digits_of(typed: &str) -> &str {
    typed.trim_start_matches(|c: char| !c.is_ascii_digit())
}
