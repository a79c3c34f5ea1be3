//! Wiring: every wire with its terminal, its colour by the standard and as found, its ends and its state;
//! the rules that see a clash; the drawing. Owns `wire`.

mod forms;
pub mod gauge;
pub mod model;
mod nets;
mod pages;
pub mod picture;
pub mod rules;
pub mod standard;
pub mod store;

use crate::web::App;
use axum::Router;
use axum::routing::{get, post};

/// Routes of this room.
pub fn router() -> Router<App> {
    Router::new()
        .route("/c/{no}/wiring", get(pages::list).post(pages::create))
        .route("/c/{no}/wiring/{wire}", get(pages::edit).post(pages::update))
        .route("/c/{no}/wiring/{wire}/aside", post(pages::aside))
        .route("/c/{no}/wiring/{wire}/restore", post(pages::restore))
}
