//! Settings of the household: its name and the limits it sets for itself. Owns `setting`.

pub mod model;
mod pages;
pub mod store;

use crate::web::App;
use axum::Router;
use axum::routing::get;

/// Routes of this room.
pub fn router() -> Router<App> {
    Router::new().route("/settings", get(pages::show).post(pages::update))
}
