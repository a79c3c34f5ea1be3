//! Decoders: ratings, planned loads, and the current budget they make; part of sheet 5.
//! Owns `decoder` and `planned_load`.

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
        .route("/c/{no}/decoder", get(pages::show).post(pages::decoder))
        .route("/c/{no}/governing", post(pages::govern))
        .route("/c/{no}/loads", post(pages::add_load))
        .route("/c/{no}/loads/{load}", get(pages::edit_load).post(pages::change_load))
        .route("/c/{no}/loads/{load}/aside", post(pages::load_aside))
}
