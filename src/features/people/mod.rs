//! People: names only, chosen per device. Owns the table `person`.

pub mod extract;
pub mod model;
mod pages;
pub mod store;

use crate::web::App;
use axum::Router;
use axum::routing::{get, post};

/// Routes of this room.
pub fn router() -> Router<App> {
    Router::new()
        .route("/people", get(pages::list).post(pages::create))
        .route("/people/choose", post(pages::choose))
        .route("/people/theme", post(pages::theme))
}
