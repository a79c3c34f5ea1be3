//! Notes: a person's own words, in Markdown, shown safely. Owns `note`.

pub mod about;
pub mod markdown;
pub mod model;
mod pages;
pub mod store;
pub mod words;

use crate::web::App;
use axum::Router;
use axum::routing::{get, post};

/// Routes of this room.
pub fn router() -> Router<App> {
    Router::new()
        .route("/c/{no}/notes", get(pages::list).post(pages::create))
        .route("/c/{no}/notes/{note}", get(pages::edit).post(pages::update))
        .route("/c/{no}/notes/{note}/aside", post(pages::aside))
        .route("/c/{no}/notes/{note}/restore", post(pages::restore))
}
