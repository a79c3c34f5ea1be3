//! Transfer: the notebook, or one conversion, as an archive; archives back in, looked over first; tables
//! for a spreadsheet. Owns no table: which tables travel is the list in `db::travel`.
//!
//! `archive` packs and unpacks, `json` turns rows into text and back, `plan` decides what an import
//! would change, `store` reads and writes.

mod archive;
mod compare;
mod csv;
mod gather;
mod history;
mod json;
pub mod model;
mod pages;
pub mod plan;
pub mod store;
#[cfg(test)]
mod tests;
mod waiting;
pub mod words;

use crate::web::App;
use axum::routing::{get, post};
use axum::{Extension, Router};

/// Routes of this room.
pub fn router() -> Router<App> {
    Router::new()
        .route("/transfer", get(pages::show::show))
        .route("/transfer/everything.zip", get(pages::export::everything))
        .route("/transfer/conversion", get(pages::export::chosen))
        .route("/transfer/readings.csv", get(pages::export::all_readings))
        .route("/transfer/parts.csv", get(pages::export::all_parts))
        .route("/c/{no}/archive.zip", get(pages::export::conversion))
        .route("/c/{no}/readings.csv", get(pages::export::readings))
        .route("/c/{no}/parts.csv", get(pages::export::parts))
}

/// Routes of this room that take a whole archive or need longer: the server gives them more room.
pub fn large_router() -> Router<App> {
    Router::new()
        .route("/transfer/archive", post(pages::import::upload))
        .route("/transfer/archive/{id}", get(pages::import::show).post(pages::import::confirm))
        .route("/transfer/archive/{id}/drop", post(pages::import::forget))
        .layer(Extension(waiting::Waiting::default()))
}
