//! Readings: the bench (reading in two taps, pickup map, load test), the isolation walk, looking and
//! trying, the list. Owns `reading` and `load_test`.

mod forms;
mod load_test_store;
pub mod model;
mod pages;
pub mod picture;
pub mod store;
pub mod words;

use crate::web::App;
use axum::Router;
use axum::routing::{get, post};

/// Routes of this room.
pub fn router() -> Router<App> {
    Router::new()
        .route("/c/{no}/bench", get(pages::bench::show))
        .route("/c/{no}/bench/reading", post(pages::bench::reading))
        .route("/c/{no}/bench/wheel", post(pages::bench::wheel))
        .route("/c/{no}/bench/load-test", post(pages::load_test::create))
        .route("/c/{no}/isolation", get(pages::isolation::show).post(pages::isolation::create))
        .route("/c/{no}/look/{key}", get(pages::look::show).post(pages::look::create))
        .route("/c/{no}/readings", get(pages::list::list).post(pages::loose::create))
        .route("/c/{no}/readings/new", get(pages::loose::new))
        .route("/c/{no}/readings/{reading}", get(pages::list::show))
        .route("/c/{no}/readings/{reading}/take-back", post(pages::list::take_back))
        .route("/c/{no}/readings/{reading}/restore", post(pages::list::restore))
}
