//! What people type, read into the unit a value is kept in.
//!
//! What is ambiguous is refused with what to write instead; nothing is guessed. Two habits are
//! settled by rule: a lone comma is a decimal comma (`1,234` is 1.234, as `3,5` is 3.5), and
//! thousands are parted by one blank only (`1 000`). Capitals count where they change the meaning:
//! `mΩ` and `MΩ` differ, and `MA` is refused because it may be read as milli or mega.

mod code;
mod number;
mod ohms;
mod say;
mod unit;

#[cfg(test)]
mod tests;

pub use ohms::{Ohms, parse_ohms};

use super::Dimension;
use number::Number;
use std::fmt;
use unit::{Found, Unit};

/// What a field takes: the kind of quantity, the unit of a bare number, and the allowed range in
/// the unit values are kept in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wanted {
    /// Kind of quantity.
    pub dimension: Dimension,
    /// Unit of a number typed without one: `A`, `mA`, `mm`, `in`. Empty, or no unit of this kind:
    /// the kept unit.
    pub bare: &'static str,
    /// Least allowed value, in the kept unit. Minus infinity: no lower end.
    pub least: f64,
    /// Greatest allowed value, in the kept unit. Infinity: no upper end.
    pub most: f64,
}

impl Wanted {
    /// The unit of a bare number.
    fn bare_unit(&self) -> Unit {
        match unit::find(self.bare, self.dimension) {
            Found::Unit(unit) => unit,
            Found::Doubtful(_) | Found::None => unit::KEPT,
        }
    }

    /// The value drawn to the nearer end where it is past it by no more than the noise of a unit
    /// change (1e-9 of the end), so that the printed end itself is taken. `None`: out of range.
    fn within(&self, value: f64) -> Option<f64> {
        let slack = |end: f64| if end.is_finite() { end.abs() * 1e-9 } else { 0.0 };
        let near = value >= self.least - slack(self.least) && value <= self.most + slack(self.most);
        near.then(|| value.max(self.least).min(self.most))
    }
}

/// Why something typed was not taken. Shown as one or two short sentences: what was understood,
/// then what to write.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal {
    /// What was understood, in words, without a full stop: `the number 12, then ‘bananas’, which
    /// is no unit of current`.
    pub understood: String,
    /// What is allowed, in words, without a full stop: `amps between 0 and 20, such as 0.27,
    /// 270 mA or 0,27`.
    pub allowed: String,
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut letters = self.understood.chars();
        if let Some(first) = letters.next() {
            write!(f, "{}{}.", first.to_uppercase(), letters.as_str())?;
        }
        if !self.allowed.is_empty() {
            let gap = if self.understood.is_empty() { "" } else { " " };
            write!(f, "{gap}Write {}.", self.allowed)?;
        }
        Ok(())
    }
}

impl std::error::Error for Refusal {}

/// Reads a quantity as people write it, and gives it in the kept unit of `wanted.dimension`.
///
/// Taken: `0.27`, `3,5` (decimal comma), `1,234` (also a decimal comma: 1.234), `1 000` (one blank
/// between groups of three), `−5` and `-5`, `+5`, `.5`, `5.`, `1e-3`, `11/64`, `1 1/2`, `1-1/2`,
/// `1½`; then a unit, with or without a blank: `270 mA`, `18 in`, `11/64"`, `5 %` (plain numbers
/// only). For resistance and capacitance also the letter codes of IEC 60062: `4k7`, `1R5`, `R47`,
/// `2M2`, `4n7`. A number without a unit takes `wanted.bare`.
///
/// Errors: a [`Refusal`] where nothing is written, the start is no number, the unit is unknown, of
/// another kind or ambiguous, two numbers stand side by side, point and comma both appear, or the
/// value is not finite or outside `wanted.least` to `wanted.most`.
pub fn parse(text: &str, wanted: &Wanted) -> Result<f64, Refusal> {
    let value = read(text, wanted)?;
    wanted.within(value).ok_or_else(|| say::out_of_range(value, wanted))
}

/// [`parse`] without the range.
fn read(text: &str, wanted: &Wanted) -> Result<f64, Refusal> {
    let text = text.trim();
    if text.is_empty() {
        return Err(say::refuse("nothing is written".to_owned(), wanted));
    }
    if let Some(coded) = code::leading(text, wanted.dimension) {
        return Ok(coded);
    }
    let number = number::scan(text).map_err(|trouble| say::no_number(text, &trouble, wanted))?;
    let value = match code::value(&number, wanted.dimension) {
        Some(coded) => coded,
        None => unit_of(&number, wanted)?.to_kept(number.value),
    };
    if value.is_finite() {
        // Adding zero turns −0 into 0.
        Ok(value + 0.0)
    } else {
        Err(say::too_large(&number, wanted))
    }
}

/// The unit that stands behind a number, the bare one where nothing does.
fn unit_of(number: &Number<'_>, wanted: &Wanted) -> Result<Unit, Refusal> {
    let typed = number.rest.trim();
    if typed.is_empty() {
        return Ok(wanted.bare_unit());
    }
    match unit::find(typed, wanted.dimension) {
        Found::Unit(unit) => Ok(unit),
        Found::Doubtful(why) => Err(say::doubtful(number, why, wanted)),
        Found::None => Err(say::no_unit(number, wanted)),
    }
}
