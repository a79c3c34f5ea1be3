//! Calculators: every calculation of `calc::ALL` by hand, as a page and as JSON.

mod api;
mod form;
mod pages;

use crate::web::App;
use axum::Router;
use axum::routing::{get, post};

/// Routes of this room.
pub fn router() -> Router<App> {
    Router::new()
        .route("/calc", get(pages::list))
        .route("/calc/{name}", get(pages::show).post(pages::run))
}

/// JSON routes of this room, below `/api/v1`.
pub fn api_router() -> Router<App> {
    Router::new()
        .route("/calc", get(api::list))
        .route("/calc/{name}", post(api::run).get(api::schema))
}
