//! The rooms people work in, one per noun.
//!
//! Each room: `model.rs` (types and rules, no queries), `store.rs` (every query on its tables),
//! `forms.rs` (what was typed, checked), `pages.rs` (handlers and view structs), templates of the
//! same name. Another room may be read through its `store` and `model`, never through its tables,
//! forms or pages. To add a room: copy the smallest (`snags`), add it here, in the table of
//! DEVELOPERS.md and in `tests/it/architecture.rs`, and give it a seed file.

pub mod alterations;
pub mod calculators;
pub mod circuits;
pub mod conversions;
pub mod datums;
pub mod decoders;
pub mod gates;
pub mod instruments;
pub mod notes;
pub mod parts;
pub mod people;
pub mod prints;
pub mod readings;
pub mod reviews;
pub mod settings;
pub mod snags;
pub mod stock;
pub mod test_runs;
pub mod transfer;
pub mod wiring;

use crate::web::App;
use axum::Router;

/// Pages of every room.
pub fn router() -> Router<App> {
    Router::new()
        .merge(conversions::router())
        .merge(readings::router())
        .merge(circuits::router())
        .merge(decoders::router())
        .merge(parts::router())
        .merge(stock::router())
        .merge(wiring::router())
        .merge(test_runs::router())
        .merge(datums::router())
        .merge(gates::router())
        .merge(snags::router())
        .merge(notes::router())
        .merge(alterations::router())
        .merge(reviews::router())
        .merge(prints::router())
        .merge(instruments::router())
        .merge(calculators::router())
        .merge(settings::router())
        .merge(people::router())
        .merge(transfer::router())
}

/// Pages that take more than a form or need longer.
pub fn large_router() -> Router<App> {
    transfer::large_router()
}

/// Largest body those pages take, bytes.
pub const MOST_LARGE_BYTES: usize = transfer::model::MOST_BYTES + 64 * 1024;

/// JSON addresses of every room, below `/api/v1`.
pub fn api_router() -> Router<App> {
    Router::new().merge(calculators::api_router()).merge(gates::api_router())
}
