//! What the notebook works out. Pure: plain data in, plain data out.
//!
//! Each calculation is one file or folder with an `Input`, an `Output`,
//! `run(&Input) -> Result<Output, Refusals>` and `Output::answer()`. It is listed once in [`ALL`];
//! the page, `POST /api/v1/calc/NAME`, `undershell calc NAME`, the schemas, the docs and the tests
//! are all derived from that list.
//!
//! To add one: write the file (formula comment: what it answers, inputs with unit and range,
//! formula, what comes back, errors, source, a worked example as a test), add an entry to [`ALL`],
//! add a comparer to `tests/reference/`.
//!
//! Rules of every calculation: nothing is guessed, bad input is refused with field, what was given
//! and what is allowed; field names carry their unit (`held_a`, `length_mm`); optional fields are
//! `Option` and mean *not known*; an unknown is unlit, never clear.

pub mod budget;
pub mod card;
pub mod datum;
pub mod gap;
pub mod gates;
pub mod heat;
pub mod holdup;
pub mod isolation;
pub mod lights;
pub mod load;
pub mod pickup;
pub mod plot;
pub mod runin;
pub mod sound;
pub mod trace;
pub mod way;
pub mod wire;

mod answer;
mod read;
mod registry;
mod student;

pub use answer::{Answer, Bounded, FieldRefusal, Refusals, Value, require, within};
pub use registry::{ALL, Calculation, find};
