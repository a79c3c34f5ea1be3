//! Drawings: plain data in, a string of SVG or safe HTML out.
//!
//! Pure. Every text is escaped by [`svg`], the only place where markup is put together. Looks come
//! from classes in `static/css/drawings.css` and from SVG presentation attributes; there is never a
//! `style` attribute or script, because the pages forbid both. Each drawing works in one ink: what
//! colour says is said by line, dash or shape as well, and a sentence of words stands for it where
//! it cannot be seen. The same data always gives the same string.
//!
//! - [`arm`]: the four aspects as signal arms, always with their word.
//! - [`bar`]: a value against its limit, measured and planned.
//! - [`awaited`]: parts on one axis of days.
//! - [`outline`]: side elevations of models on one scale; [`arrangement`] reads wheel arrangements.
//! - [`wheels`]: the pickup map, as a plan and as data for the bench form.
//! - [`matrix`]: which points are joined that should be open.
//! - [`qr`]: a QR code for labels.
//! - [`scale`]: free, slipping and held current on one scale with the ratings.
//! - [`trend`]: readings of one kind over time.
//! - [`plot`]: the plots of an answer, with words, key and tables; [`strip`]: the locomotive over
//!   dead track; [`bands`]: a resistor with its colour bands.
//! - [`wiring`]: the decoder with its leads, each wire with its colour and its end.

pub mod arm;
pub mod arrangement;
pub mod awaited;
pub mod bands;
pub mod bar;
pub mod matrix;
pub mod outline;
pub mod plot;
pub mod qr;
pub mod scale;
pub mod strip;
pub mod svg;
pub mod trend;
pub mod wheels;
pub mod wiring;

#[cfg(test)]
mod checks;

/// A capital at the front.
fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().collect::<String>() + chars.as_str())
}
