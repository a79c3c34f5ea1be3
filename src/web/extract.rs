//! Addresses and queries read as the pages want them: what can't be read is answered with a page.

use super::{App, Error};
use axum::extract::FromRequestParts;
use axum::http::request::Parts;
use serde::de::DeserializeOwned;

/// The variable parts of an address. What does not fit names nothing that is here: a 404 page.
#[derive(Debug)]
pub struct Path<T>(pub T);

impl<T: DeserializeOwned + Send> FromRequestParts<App> for Path<T> {
    type Rejection = Error;

    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, Error> {
        axum::extract::Path::from_request_parts(parts, app)
            .await
            .map(|axum::extract::Path(value)| Path(value))
            .map_err(|_| Error::NotFound(format!("page at {}", parts.uri.path())))
    }
}

/// The query of an address. What can't be read is refused with a page.
#[derive(Debug)]
pub struct Query<T>(pub T);

impl<T: DeserializeOwned + Send> FromRequestParts<App> for Query<T> {
    type Rejection = Error;

    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, Error> {
        axum::extract::Query::from_request_parts(parts, app)
            .await
            .map(|axum::extract::Query(value)| Query(value))
            .map_err(|_| Error::BadRequest("What stands behind the ? of this address can’t be read. Go back and follow the link again.".to_owned()))
    }
}
