//! Calculators: every calculation of `calc::ALL` by hand, as JSON, and inside a conversion, filled in
//! from what the conversion knows. Owns `saved_calc`: what a person wrote over that.

mod api;
pub mod form;
mod heat;
mod keep;
pub mod known;
pub mod model;
mod own;
mod pages;
pub mod sheet;
pub mod store;
mod trace;
mod view;
pub mod worked;

use crate::web::App;
use axum::Router;
use axum::routing::{get, post};

/// Routes of this room.
pub fn router() -> Router<App> {
    Router::new()
        .route("/calc", get(pages::list))
        .route("/calc/{name}", get(pages::show).post(pages::run))
        .route("/c/{no}/calc", get(own::list))
        .route("/c/{no}/calc/{name}", get(own::show).post(own::update))
        .route("/c/{no}/calc/{name}/aside", post(own::aside))
        .route("/c/{no}/heat", get(heat::show).post(heat::create))
        .route("/c/{no}/heat/limit", post(heat::limit))
        .route("/c/{no}/trace", get(trace::show).post(trace::update))
        .route("/c/{no}/trace/readings", post(trace::write_down))
}

/// JSON routes of this room, below `/api/v1`.
pub fn api_router() -> Router<App> {
    Router::new()
        .route("/calc", get(api::list))
        .route("/calc/{name}", post(api::run).get(api::schema))
}
