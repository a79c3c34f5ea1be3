//! Reviews: what failed or went well, what may have caused it and how sure that is, what it cost, and the
//! lesson; the Lessons page and “before you start”. Owns `review`, `review_cause`, `review_evidence`,
//! `review_part` and `review_snag`.

pub mod alike;
pub mod catalogue;
mod child_store;
mod forms;
pub mod gather;
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
        .route("/lessons", get(pages::lessons::list))
        .route("/c/{no}/reviews", post(pages::new::create))
        .route("/c/{no}/reviews/new", get(pages::new::new))
        .route("/c/{no}/reviews/{review}", get(pages::show::show))
        .route("/c/{no}/reviews/{review}/edit", get(pages::edit::edit).post(pages::edit::update))
        .route("/c/{no}/reviews/{review}/causes", post(pages::cause::add))
        .route(
            "/c/{no}/reviews/{review}/causes/{cause}",
            get(pages::cause::show).post(pages::cause::update),
        )
        .route("/c/{no}/reviews/{review}/causes/{cause}/remove", post(pages::cause::remove))
        .route("/c/{no}/reviews/{review}/causes/{cause}/evidence", post(pages::evidence::add))
        .route(
            "/c/{no}/reviews/{review}/causes/{cause}/evidence/{evidence}/remove",
            post(pages::evidence::remove),
        )
        .route("/c/{no}/reviews/{review}/lost", post(pages::lost::add))
        .route("/c/{no}/reviews/{review}/lost/{part}/remove", post(pages::lost::remove))
        .route("/c/{no}/reviews/{review}/snags", post(pages::steps::snag))
        .route("/c/{no}/reviews/{review}/lesson", post(pages::steps::lesson))
        .route("/c/{no}/reviews/{review}/reopen", post(pages::steps::reopen))
        .route("/c/{no}/reviews/{review}/aside", post(pages::steps::aside))
        .route("/c/{no}/reviews/{review}/restore", post(pages::steps::restore))
}
