//! Downloads: archives and tables.

use crate::features::conversions::model::Conversion;
use crate::features::conversions::sheet;
use crate::features::transfer::model::{Holds, file_name};
use crate::features::transfer::{gather, store};
use crate::web::{App, Error, Path, Query, Result, see_other, when};
use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

/// A file to keep, named with the day.
fn download(name: &str, kind: &'static str, bytes: Vec<u8>) -> Response {
    let headers = [
        (header::CONTENT_TYPE, kind.to_owned()),
        (header::CONTENT_DISPOSITION, format!("attachment; filename=\"{name}\"")),
        (header::CACHE_CONTROL, "no-store".to_owned()),
    ];
    (headers, bytes).into_response()
}

fn today(app: &App) -> String {
    when::field_value(app.now(), app.offset).chars().take(10).collect()
}

async fn archive(app: &App, holds: Holds) -> Result<Response> {
    let name = file_name(&holds, &today(app));
    let bytes = store::export(&app.db.pool, holds).await?;
    Ok(download(&name, "application/zip", bytes))
}

/// `GET /transfer/everything.zip`
pub async fn everything(State(app): State<App>) -> Result<Response> {
    archive(&app, Holds::Everything).await
}

/// `GET /c/{no}/archive.zip`
pub async fn conversion(State(app): State<App>, Path(no): Path<i64>) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    archive(&app, Holds::Conversion { id: c.id.0, no: c.no, title: c.draft.title }).await
}

/// The conversion chosen in the list.
#[derive(Debug, Deserialize)]
pub struct Chosen {
    no: Option<i64>,
}

/// `GET /transfer/conversion?no=7`
pub async fn chosen(State(app): State<App>, Query(q): Query<Chosen>) -> Result<Response> {
    let no = q.no.ok_or_else(|| Error::NotFound("conversion without a number".to_owned()))?;
    let c = sheet::find(&app, no).await?;
    see_other(&format!("/c/{}/archive.zip", c.no))
}

async fn readings_of(app: &App, one: Option<Conversion>) -> Result<Response> {
    let name = match &one {
        Some(c) => format!("readings-{}-{}.csv", c.no, today(app)),
        None => format!("readings-{}.csv", today(app)),
    };
    let mut tx = app.db.pool.begin().await?;
    let text = gather::readings_csv(&mut tx, app, one).await?;
    Ok(download(&name, "text/csv; charset=utf-8; header=present", text.into_bytes()))
}

async fn parts_of(app: &App, one: Option<Conversion>) -> Result<Response> {
    let name = match &one {
        Some(c) => format!("parts-{}-{}.csv", c.no, today(app)),
        None => format!("parts-{}.csv", today(app)),
    };
    let mut tx = app.db.pool.begin().await?;
    let text = gather::parts_csv(&mut tx, app, one).await?;
    Ok(download(&name, "text/csv; charset=utf-8; header=present", text.into_bytes()))
}

/// `GET /transfer/readings.csv`
pub async fn all_readings(State(app): State<App>) -> Result<Response> {
    readings_of(&app, None).await
}

/// `GET /transfer/parts.csv`
pub async fn all_parts(State(app): State<App>) -> Result<Response> {
    parts_of(&app, None).await
}

/// `GET /c/{no}/readings.csv`
pub async fn readings(State(app): State<App>, Path(no): Path<i64>) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    readings_of(&app, Some(c)).await
}

/// `GET /c/{no}/parts.csv`
pub async fn parts(State(app): State<App>, Path(no): Path<i64>) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    parts_of(&app, Some(c)).await
}
