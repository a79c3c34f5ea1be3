//! Prints: the sheet for the box and the labels with a QR code. Owns no tables.

mod cautions;
mod link;
mod pages;

use crate::web::App;
use axum::Router;
use axum::routing::get;

/// Routes of this room.
pub fn router() -> Router<App> {
    Router::new()
        .route("/c/{no}/box", get(pages::box_sheet))
        .route("/c/{no}/labels", get(pages::labels))
}
