//! Datums: heights and places measured before metal is cut, and again after it. Owns `datum`.
//!
//! A datum is no reading: it is told by what, which end and from where, it may be put right while it
//! stands, and one from after cutting names the one it repeats. A loose height of the bench stays in the
//! readings room; only what stands here counts for the gates. Lengths are kept in µm; whether a datum is
//! still true is worked out by `calc::datum` each time, never stored.

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
        .route("/c/{no}/datums", get(pages::list).post(pages::create))
        .route("/c/{no}/datums/{datum}", get(pages::edit).post(pages::update))
        .route("/c/{no}/datums/{datum}/aside", post(pages::aside))
        .route("/c/{no}/datums/{datum}/restore", post(pages::restore))
}
