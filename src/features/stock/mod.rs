//! Stock: chassis, shells, motors and other things with an identity, where each sits, each move dated;
//! the Drawer. Owns `stock`, `stock_move` and `stock_alteration`.

mod forms;
pub mod model;
pub mod move_store;
mod pages;
pub mod store;

use crate::web::App;
use axum::Router;
use axum::routing::{get, post};

/// Routes of this room.
pub fn router() -> Router<App> {
    Router::new()
        .route("/drawer", get(pages::drawer::show).post(pages::drawer::create))
        .route("/c/{no}/stock", get(pages::sheet::show).post(pages::sheet::create))
        .route("/c/{no}/swap/{thing}", get(pages::swap::show).post(pages::swap::swap))
        .route("/stock/{thing}", get(pages::item::show))
        .route("/stock/{thing}/edit", get(pages::edit::edit).post(pages::edit::update))
        .route("/stock/{thing}/move", post(pages::moves::carry))
        .route("/stock/{thing}/take-back", post(pages::moves::take_back))
        .route("/stock/{thing}/aside", post(pages::moves::aside))
        .route("/stock/{thing}/restore", post(pages::moves::restore))
}
