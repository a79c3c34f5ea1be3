//! Decoders: ratings, planned loads, and the current budget they make; sheet 5 as far as it goes.
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
        .route("/c/{no}/parts", get(pages::show))
        .route("/c/{no}/decoder", post(pages::decoder))
        .route("/c/{no}/governing", post(pages::govern))
        .route("/c/{no}/loads", post(pages::add_load))
        .route("/c/{no}/loads/{load}", get(pages::edit_load).post(pages::change_load))
        .route("/c/{no}/loads/{load}/aside", post(pages::load_aside))
}
