//! Test runs: the cards of `calc::card` opened at the bench, done, judged, repeated, printed on paper.
//! Owns `test_run` and `test_run_value`.
//!
//! One truth: what is an ordinary reading (a current, ohms, volts, a temperature) is written into the
//! readings room through its store, with the card as its method, and the run only names it. So it goes
//! stale, is tied to the motor it was read on, counts for the gates and can be taken back like any other;
//! without it the run is unlit. What no reading can hold (a yes, a number read back, how far it ran on)
//! stands in the run alone. `ties.rs` says which answer is which reading.
//!
//! Currents belong to load tests: a held current goes to the newest one, a slipping or free one where it
//! was read at the same voltage; a held or slipping current that fits none opens a new one.
//!
//! A verdict is never stored. `model::verdict` works it out from the entries each time.

mod forms;
pub mod model;
mod pages;
pub mod store;
mod ties;

use crate::web::App;
use axum::Router;
use axum::routing::{get, post};

/// Routes of this room.
pub fn router() -> Router<App> {
    Router::new()
        .route("/c/{no}/cards", get(pages::list::list))
        .route("/c/{no}/cards/paper", get(pages::paper::show))
        .route("/c/{no}/cards/{card}", get(pages::show::show).post(pages::show::create))
        .route("/c/{no}/runs/{run}/take-back", post(pages::show::take_back))
        .route("/c/{no}/runs/{run}/restore", post(pages::show::restore))
}
