//! Parts: what is bought or made, from wanted to fitted, dead or returned; sheet 5, suppliers. Owns
//! `part`, `part_event`, `part_rating` and `supplier`.

mod alike;
#[cfg(test)]
mod checks;
mod event_store;
mod forms;
pub mod holding;
pub mod model;
mod pages;
pub mod store;
pub mod supplier_store;
pub mod words;

use crate::web::App;
use axum::Router;
use axum::routing::{get, post};

/// Routes of this room.
pub fn router() -> Router<App> {
    Router::new()
        .route("/c/{no}/parts", get(pages::sheet::show).post(pages::sheet::create))
        .route("/parts", post(pages::new::create))
        .route("/parts/new", get(pages::new::new))
        .route("/parts/{part}", get(pages::show::show))
        .route("/parts/{part}/edit", get(pages::edit::edit).post(pages::edit::update))
        .route("/parts/{part}/state", post(pages::steps::state))
        .route("/parts/{part}/move", post(pages::steps::place))
        .route("/parts/{part}/take-back", post(pages::steps::take_back))
        .route("/parts/{part}/aside", post(pages::steps::aside))
        .route("/parts/{part}/restore", post(pages::steps::restore))
        .route("/suppliers", get(pages::suppliers::list).post(pages::suppliers::create))
        .route("/suppliers/{id}", get(pages::suppliers::edit).post(pages::suppliers::update))
        .route("/suppliers/{id}/aside", post(pages::suppliers::aside))
        .route("/suppliers/{id}/restore", post(pages::suppliers::restore))
}
