//! Circuits: the wheels of the pickup map, and the Circuit sheet. Owns `wheel`.

mod forms;
pub mod model;
mod pages;
pub mod store;

use crate::web::App;
use axum::Router;
use axum::routing::get;

/// Routes of this room.
pub fn router() -> Router<App> {
    Router::new()
        .route("/c/{no}/circuit", get(pages::sheet_4))
        .route("/c/{no}/wheels", get(pages::edit).post(pages::update))
}
