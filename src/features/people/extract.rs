//! The signed person of a request: everybody may use this extractor.

use super::store;
use crate::db::{Error as DbError, PersonId, Write, history};
use crate::web::{App, Error, Who};
use axum::extract::FromRequestParts;
use axum::http::header;
use axum::http::request::Parts;

/// Cookie that remembers who writes on this device.
pub const PERSON_COOKIE: &str = "person";
/// Cookie that remembers the theme of this device.
pub const THEME_COOKIE: &str = "theme";

impl FromRequestParts<App> for Who {
    type Rejection = Error;

    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, Error> {
        let mut conn = app.db.pool.acquire().await?;
        let id = cookie(parts, PERSON_COOKIE).and_then(|v| v.parse::<PersonId>().ok());
        let person = match id {
            Some(id) => store::find(&mut conn, id).await?,
            None => None,
        };
        let theme = cookie(parts, THEME_COOKIE).filter(|t| t == "light" || t == "dark");
        Ok(Who {
            id: person.as_ref().map(|p| p.id),
            name: person.map(|p| p.name).unwrap_or_default(),
            last: history::last(&mut conn).await?,
            theme: theme.unwrap_or_default(),
            now: app.now(),
            path: parts.uri.path().to_owned(),
        })
    }
}

/// The value of one cookie.
fn cookie(parts: &Parts, name: &str) -> Option<String> {
    parts
        .headers
        .get_all(header::COOKIE)
        .iter()
        .filter_map(|v| v.to_str().ok())
        .flat_map(|line| line.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find(|(k, _)| *k == name)
        .map(|(_, v)| v.to_owned())
}

/// Begins a write in the name of this device's person.
pub async fn write(app: &App, who: &Who) -> Result<Write, DbError> {
    Write::begin(&app.db, app.now(), who.id).await
}
