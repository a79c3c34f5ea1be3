//! The five gates of a conversion as JSON.

use super::gather::gather;
use crate::features::conversions;
use crate::web::App;
use crate::web::problem::Problem;
use axum::Json;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

/// `GET /api/v1/conversions/{no}/gates`
pub async fn list(State(app): State<App>, Path(no): Path<String>) -> Response {
    match read(&app, &no).await {
        Ok(response) => response,
        Err(problem) => problem.into_response(),
    }
}

async fn read(app: &App, no: &str) -> Result<Response, Problem> {
    let missing =
        || Problem::new(StatusCode::NOT_FOUND, "Not here", format!("there is no conversion {no}"));
    let number: i64 = no.parse().map_err(|_| missing())?;
    let failed = |e: crate::db::Error| {
        tracing::error!(error = %e, "gates could not be read");
        Problem::new(StatusCode::INTERNAL_SERVER_ERROR, "Failed", "the log says more")
    };
    let mut conn = app.db.pool.acquire().await.map_err(|e| failed(e.into()))?;
    let found = conversions::store::find(&mut conn, number).await.map_err(failed)?;
    let conversion = found.ok_or_else(missing)?;
    let minutes = i32::from(app.offset.whole_minutes());
    let gathered = gather(&mut conn, conversion, (app.now(), minutes)).await.map_err(failed)?;
    Ok(Json(gathered.gates()).into_response())
}
