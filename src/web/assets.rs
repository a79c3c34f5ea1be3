//! Static files, compiled in.

use axum::extract::Request;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use rust_embed::Embed;

#[derive(Embed)]
#[folder = "static/"]
struct Static;

/// Serves `/static/…` from inside the program, with a strong ETag from the content.
pub async fn serve(request: Request) -> Response {
    let path = request.uri().path().trim_start_matches("/static/");
    let Some(file) = Static::get(path) else {
        return (StatusCode::NOT_FOUND, "no such file").into_response();
    };
    let hash = file.metadata.sha256_hash();
    let tag =
        format!("\"{}\"", hash.iter().take(12).fold(String::new(), |s, b| format!("{s}{b:02x}")));
    let known = request.headers().get(header::IF_NONE_MATCH).and_then(|v| v.to_str().ok());
    if known.is_some_and(|k| k.contains(&tag)) {
        return (StatusCode::NOT_MODIFIED, [(header::ETAG, tag)]).into_response();
    }
    let kind = file.metadata.mimetype().to_owned();
    let headers = [
        (
            header::CONTENT_TYPE,
            if kind.starts_with("text/") { format!("{kind}; charset=utf-8") } else { kind },
        ),
        (header::ETAG, tag),
        (header::CACHE_CONTROL, "no-cache".to_owned()),
    ];
    (headers, file.data.into_owned()).into_response()
}
