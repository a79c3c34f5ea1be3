//! Conversions put aside: out of the way, not gone.

use super::sheet;
use crate::features::conversions::store;
use crate::features::people::extract::write;
use crate::web::{App, Fields, Page, Path, Result, Shell, Who, see_other};
use askama::Template;
use axum::extract::State;
use axum::response::{IntoResponse, Response};

/// The page of things put aside.
#[derive(Debug, Template)]
#[template(path = "conversions/aside.html")]
pub struct AsidePage {
    shell: Shell,
    conversions: Vec<(i64, String, String)>,
}

/// `GET /aside`
pub async fn list(State(app): State<App>, who: Who) -> Result<Response> {
    let mut conn = app.db.pool.acquire().await?;
    let conversions = store::list_aside(&mut conn).await?;
    let shell = Shell::new(&app, &who, "Put aside", "/");
    let conversions =
        conversions.into_iter().map(|c| (c.no, c.draft.title.clone(), c.scale_words())).collect();
    Ok(Page::ok(AsidePage { shell, conversions }).into_response())
}

/// `POST /c/{no}/aside`
pub async fn put(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    let version = form.version();
    let mut w = write(&app, &who).await?;
    store::put_aside(&mut w, &c, version).await?;
    w.commit().await?;
    see_other("/aside")
}

/// `POST /aside/conversions/{no}/restore`
pub async fn restore(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    _form: Fields,
) -> Result<Response> {
    let mut w = write(&app, &who).await?;
    store::restore(&mut w, no).await?;
    w.commit().await?;
    see_other(&format!("/c/{no}"))
}
