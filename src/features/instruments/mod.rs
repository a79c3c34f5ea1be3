//! Instruments and how far they may be off. Owns `instrument` and `instrument_range`.

mod forms;
pub mod model;
mod pages;
pub mod store;

use crate::web::App;
use axum::Router;
use axum::routing::{get, post};

/// Routes of this room.
pub fn router() -> Router<App> {
    Router::new()
        .route("/instruments", get(pages::list).post(pages::create))
        .route("/instruments/new", get(pages::new))
        .route("/instruments/{id}", get(pages::edit).post(pages::update))
        .route("/instruments/{id}/aside", post(pages::aside))
}
