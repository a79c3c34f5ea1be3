//! Problem documents of the JSON API (RFC 9457).

use crate::calc::FieldRefusal;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Serialize;

/// An `application/problem+json` answer.
#[derive(Debug, Serialize)]
pub struct Problem {
    /// Kind of problem; `about:blank` means the status says it all.
    #[serde(rename = "type")]
    pub kind: &'static str,
    /// Short words for the kind.
    pub title: &'static str,
    /// HTTP status.
    pub status: u16,
    /// What is wrong this time.
    pub detail: String,
    /// Refused fields, where there are any.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub fields: Vec<FieldRefusal>,
}

impl Problem {
    /// A problem with a sentence.
    pub fn new(status: StatusCode, title: &'static str, detail: impl Into<String>) -> Self {
        Problem {
            kind: "about:blank",
            title,
            status: status.as_u16(),
            detail: detail.into(),
            fields: Vec::new(),
        }
    }

    /// Refused fields.
    pub fn refused(fields: Vec<FieldRefusal>) -> Self {
        let detail = fields.iter().map(|f| format!("{}: {}", f.field, f.given)).collect::<Vec<_>>();
        let mut p =
            Problem::new(StatusCode::UNPROCESSABLE_ENTITY, "Refused input", detail.join("; "));
        p.fields = fields;
        p
    }
}

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        let status = StatusCode::from_u16(self.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
        let body = serde_json::to_string(&self).unwrap_or_default();
        (status, [(header::CONTENT_TYPE, "application/problem+json")], body).into_response()
    }
}
