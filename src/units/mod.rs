//! Quantities: what people type, what is kept, how it is printed, how sure it is.
//!
//! Pure. A value is kept as typed and in the unit of its [`Dimension`] (SI at the size of a model:
//! A, V, Ω, mm, g, s, °C, W, F, Hz, mm/s). Bounds are carried as [`Interval`]s, and a verdict is
//! decided on the bad end.

mod accuracy;
mod dimension;
mod interval;
mod parse;
mod print;

pub use accuracy::Accuracy;
pub use dimension::Dimension;
pub use interval::Interval;
pub use parse::{Ohms, Refusal, Wanted, parse, parse_ohms};
pub use print::{
    Rounding, amps, exact, fixed, grams, millimetres, ohms, percent, percent_down, percent_up,
    quantity, seconds, volts, with_bounds,
};
