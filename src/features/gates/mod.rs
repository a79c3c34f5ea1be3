//! Gates: readiness checks, judgements, passings. Owns `judgement` and `gate_passing`. It may read
//! every room (in `gather.rs`); the pure part (`calc::gates`) decides; the pages show.

mod api;
pub mod gather;
pub mod inputs;
mod pages;
mod reviews;
pub mod store;
mod trials;
pub mod view;
mod wires;

use crate::web::App;
use axum::Router;
use axum::routing::{get, post};

/// Routes of this room.
pub fn router() -> Router<App> {
    Router::new()
        .route("/c/{no}/gates/{gate}", get(pages::show))
        .route("/c/{no}/gates/{gate}/judgements", post(pages::judge))
        .route("/c/{no}/gates/{gate}/withdraw", post(pages::withdraw))
        .route("/c/{no}/gates/{gate}/pass", post(pages::pass))
        .route("/c/{no}/gates/{gate}/take-back", post(pages::take_back))
}

/// JSON routes of this room, below `/api/v1`.
pub fn api_router() -> Router<App> {
    Router::new().route("/conversions/{no}/gates", get(api::list))
}
