//! All routes under one set of layers.

use super::hosts::{self, Hosts};
use crate::features;
use crate::web::problem::Problem;
use crate::web::{App, Error, assets};
use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::http::{HeaderName, HeaderValue, StatusCode, Uri, header};
use axum::middleware;
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use std::time::Duration;
use tower::ServiceBuilder;
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::compression::CompressionLayer;
use tower_http::csrf::CsrfLayer;
use tower_http::limit::RequestBodyLimitLayer;
use tower_http::request_id::{MakeRequestUuid, PropagateRequestIdLayer, SetRequestIdLayer};
use tower_http::set_header::SetResponseHeaderLayer;
use tower_http::timeout::TimeoutLayer;
use tower_http::trace::TraceLayer;

/// Largest request body, bytes: a form is far smaller; the log of a current at 100 000 readings is not.
const MOST_BYTES: usize = 4 * 1024 * 1024;

/// Longest a request may take.
const MOST_TIME: Duration = Duration::from_secs(20);

/// Longest a whole archive may take to be looked over or brought in.
const MOST_TIME_LARGE: Duration = Duration::from_mins(5);

/// No inline script or style, nothing from elsewhere, no framing.
const CSP: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; \
                   connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

/// Headers of every answer.
const HEADERS: [(&str, &str); 7] = [
    ("content-security-policy", CSP),
    ("x-content-type-options", "nosniff"),
    ("referrer-policy", "same-origin"),
    ("x-frame-options", "DENY"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
    ("permissions-policy", "camera=(), microphone=(), geolocation=()"),
];

/// The whole program as one service.
pub fn build(app: App, hosts: Hosts) -> Router {
    let id = HeaderName::from_static("x-request-id");
    let mut router = limited(routes(), MOST_BYTES, MOST_TIME)
        .merge(limited(features::large_router(), features::MOST_LARGE_BYTES, MOST_TIME_LARGE))
        .method_not_allowed_fallback(wrong_method)
        .with_state(app)
        .layer(CsrfLayer::new())
        .layer(DefaultBodyLimit::disable())
        .layer(middleware::from_fn_with_state(hosts, hosts::check))
        .layer(
            ServiceBuilder::new()
                .layer(SetRequestIdLayer::new(id.clone(), MakeRequestUuid))
                .layer(TraceLayer::new_for_http().make_span_with(span))
                .layer(PropagateRequestIdLayer::new(id))
                .layer(CompressionLayer::new())
                .layer(CatchPanicLayer::custom(|_| panicked())),
        )
        // a request id is ours: one sent by a client is dropped before the layer above sees it
        .layer(middleware::map_request(|mut r: axum::extract::Request| async {
            r.headers_mut().remove("x-request-id");
            r
        }));
    for (name, value) in HEADERS {
        router = router.layer(SetResponseHeaderLayer::if_not_present(
            HeaderName::from_static(name),
            HeaderValue::from_static(value),
        ));
    }
    router
}

/// Routes with the most bytes a body may have and the most time an answer may take.
fn limited(routes: Router<App>, most_bytes: usize, most_time: Duration) -> Router<App> {
    routes
        .layer(RequestBodyLimitLayer::new(most_bytes))
        .layer(TimeoutLayer::with_status_code(StatusCode::SERVICE_UNAVAILABLE, most_time))
}

/// The routes of every room.
fn routes() -> Router<App> {
    Router::new()
        .merge(features::router())
        .nest("/api/v1", features::api_router().fallback(no_api))
        .route("/static/{*file}", get(assets::serve))
        .route("/healthz", get(healthz))
        .route("/robots.txt", get(|| async { "User-agent: *\nDisallow: /\n" }))
        .fallback(no_page)
}

/// The span of a request: method, address, and the id that the answer carries too.
fn span(request: &axum::extract::Request) -> tracing::Span {
    let id = request.headers().get("x-request-id").and_then(|v| v.to_str().ok()).unwrap_or("");
    tracing::info_span!("request", method = %request.method(), uri = %request.uri(), request_id = id)
}

fn panicked() -> Response {
    tracing::error!("a handler panicked");
    Error::Db(crate::db::Error::File("a handler panicked".to_owned())).into_response()
}

async fn no_page(uri: Uri) -> Error {
    Error::NotFound(format!("page at {}", uri.path()))
}

async fn no_api(uri: Uri) -> Problem {
    Problem::new(StatusCode::NOT_FOUND, "Not here", format!("there is nothing at {}", uri.path()))
}

async fn wrong_method() -> Response {
    (
        StatusCode::METHOD_NOT_ALLOWED,
        [(header::CONTENT_TYPE, "text/plain; charset=utf-8")],
        "This address does not take that method.",
    )
        .into_response()
}

/// Whether the notebook answers: `ok`, or 503 with the reason's kind.
async fn healthz(axum::extract::State(app): axum::extract::State<App>) -> Response {
    match sqlx::query_scalar::<_, i64>("SELECT count(*) FROM setting").fetch_one(&app.db.pool).await
    {
        Ok(_) => (StatusCode::OK, "ok").into_response(),
        Err(e) => {
            tracing::error!(error = %e, "the notebook does not answer");
            (StatusCode::SERVICE_UNAVAILABLE, "the notebook file does not answer").into_response()
        }
    }
}
