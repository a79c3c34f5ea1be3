//! Snags: open problems, which gate they block, how they were put right. Owns `snag`.

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
        .route("/c/{no}/snags", get(pages::list).post(pages::create))
        .route("/c/{no}/snags/{snag}", get(pages::edit).post(pages::update))
        .route("/c/{no}/snags/{snag}/close", post(pages::close))
        .route("/c/{no}/snags/{snag}/reopen", post(pages::reopen))
}
