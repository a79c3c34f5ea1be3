//! The calculations as JSON: list, schemas, run.

use crate::calc::{self, Calculation};
use crate::web::problem::Problem;
use axum::Json;
use axum::body::Bytes;
use axum::extract::Path;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde_json::json;

/// `GET /api/v1/calc`
pub async fn list() -> Response {
    let all: Vec<_> = calc::ALL
        .iter()
        .map(|c| json!({ "name": c.name, "title": c.title, "question": c.question }))
        .collect();
    Json(all).into_response()
}

fn missing(name: &str) -> Problem {
    Problem::new(StatusCode::NOT_FOUND, "Not here", format!("“{name}” can’t be worked out here"))
}

/// `GET /api/v1/calc/{name}`: the schemas of both sides.
pub async fn schema(Path(name): Path<String>) -> Result<Response, Problem> {
    let c = calc::find(&name).ok_or_else(|| missing(&name))?;
    let both = json!({ "input": (c.input_schema)(), "output": Calculation::output_schema() });
    Ok(Json(both).into_response())
}

/// `POST /api/v1/calc/{name}`
pub async fn run(Path(name): Path<String>, body: Bytes) -> Result<Response, Problem> {
    let c = calc::find(&name).ok_or_else(|| missing(&name))?;
    let text = std::str::from_utf8(&body)
        .map_err(|_| Problem::new(StatusCode::BAD_REQUEST, "Not text", "the body is not UTF-8"))?;
    let answer = (c.run)(text).map_err(Problem::refused)?;
    Ok(Json(answer).into_response())
}
