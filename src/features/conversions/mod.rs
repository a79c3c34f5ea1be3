//! Conversions: the shelf, the form, the Overview and the Review sheet. Owns `conversion` and
//! `stage_change`.

mod forms;
pub mod model;
mod pages;
pub mod store;

use crate::web::App;
use axum::Router;
use axum::routing::{get, post};

pub use pages::sheet::{self, Head, head};

/// Routes of this room.
pub fn router() -> Router<App> {
    Router::new()
        .route("/", get(pages::shelf::list))
        .route("/conversions", post(pages::form::create))
        .route("/conversions/new", get(pages::form::new))
        .route("/aside", get(pages::aside::list))
        .route("/aside/conversions/{no}/restore", post(pages::aside::restore))
        .route("/c/{no}", get(pages::overview::show))
        .route("/c/{no}/edit", get(pages::form::edit).post(pages::form::update))
        .route("/c/{no}/stage", post(pages::stage::update))
        .route("/c/{no}/aside", post(pages::aside::put))
        .route("/c/{no}/review", get(pages::review::show))
        .route("/c/{no}/history", get(pages::history::list))
}
