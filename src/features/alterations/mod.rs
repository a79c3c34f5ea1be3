//! Alterations: what was changed on the model, and which readings that unsettles. Owns `alteration`.

pub mod model;
mod pages;
pub mod store;

use crate::web::App;
use axum::Router;
use axum::routing::{get, post};

/// Routes of this room.
pub fn router() -> Router<App> {
    Router::new()
        .route("/c/{no}/changed", get(pages::list).post(pages::create))
        .route("/c/{no}/changed/{id}/take-back", post(pages::take_back))
}
