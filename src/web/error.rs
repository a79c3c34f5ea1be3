//! One error type for pages: fixed words for the visitor, the cause in the log.

use super::page::{ErrorPage, Shell};
use crate::db;
use askama::Template;
use axum::http::{StatusCode, header};
use axum::response::{Html, IntoResponse, Response};

/// What a page handler may fail with.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// Storage failed or refused.
    #[error(transparent)]
    Db(#[from] db::Error),
    /// There is no such thing at this address; the words name it.
    #[error("not found: {0}")]
    NotFound(String),
    /// The request can't be read; the words say why.
    #[error("bad request: {0}")]
    BadRequest(String),
    /// The request is larger than is taken.
    #[error("too large")]
    TooLarge,
    /// The request is understood and not allowed; the words say why.
    #[error("refused: {0}")]
    Refused(String),
    /// A template failed, which is a fault of ours.
    #[error(transparent)]
    Template(#[from] askama::Error),
}

/// Result of a page handler.
pub type Result<T> = std::result::Result<T, Error>;

impl From<sqlx::Error> for Error {
    fn from(e: sqlx::Error) -> Self {
        Error::Db(e.into())
    }
}

impl Error {
    /// Status, title, and the words for the visitor.
    pub fn face(&self) -> (StatusCode, &'static str, String) {
        match self {
            Error::NotFound(what) => (StatusCode::NOT_FOUND, "Not here", format!("There is no {what}.")),
            Error::Db(db::Error::NotFound(what)) => {
                (StatusCode::NOT_FOUND, "Not here", format!("There is no such {what}."))
            }
            Error::BadRequest(why) => (StatusCode::BAD_REQUEST, "Can’t read that", why.clone()),
            Error::TooLarge => (
                StatusCode::PAYLOAD_TOO_LARGE,
                "Too large",
                "This is more than is taken at once: 1 MiB. Send less.".to_owned(),
            ),
            Error::Refused(why) => (StatusCode::UNPROCESSABLE_ENTITY, "Not taken", why.clone()),
            Error::Db(db::Error::Conflict(what)) => (
                StatusCode::CONFLICT,
                "Somebody was faster",
                format!("The {what} was changed since you opened this page. Nothing of yours was written. Go back, open it again and see what they wrote."),
            ),
            Error::Db(db::Error::Taken { message, .. }) => {
                (StatusCode::CONFLICT, "Taken", message.clone())
            }
            Error::Db(e) if e.is_disk_full() => (
                StatusCode::INSUFFICIENT_STORAGE,
                "The disk is full",
                "Nothing was written. Make room, then send it again.".to_owned(),
            ),
            Error::Db(_) | Error::Template(_) => (
                StatusCode::INTERNAL_SERVER_ERROR,
                "Something went wrong here",
                "Nothing was written. The program’s log says more; run “undershell check” if it happens again.".to_owned(),
            ),
        }
    }
}

impl IntoResponse for Error {
    fn into_response(self) -> Response {
        let (status, title, words) = self.face();
        if status.is_server_error() {
            tracing::error!(error = %self, cause = ?self, "a page failed");
        } else {
            tracing::info!(error = %self, "a page was refused");
        }
        let page = ErrorPage { shell: Shell::bare(title), words };
        match page.render() {
            Ok(html) => (status, [(header::CACHE_CONTROL, "no-store")], Html(html)).into_response(),
            Err(_) => (status, title).into_response(),
        }
    }
}
