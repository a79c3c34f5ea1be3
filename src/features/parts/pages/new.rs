//! A part for the drawer.

use super::{Lists, fresh, lists, sheet};
use crate::features::parts::store;
use crate::web::{App, Fields, Page, Result, Shell, Who, see_other};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

/// The form.
#[derive(Debug, Template)]
#[template(path = "parts_room/new.html")]
pub struct NewPage {
    shell: Shell,
    form: Fields,
    lists: Lists,
}

async fn page(app: &App, who: &Who, (form, status): (Fields, StatusCode)) -> Result<Response> {
    let mut conn = app.db.pool.acquire().await?;
    let drawer = store::list(&mut conn, None).await?;
    let lists = lists(&mut conn, &drawer, None).await?;
    drop(conn);
    let shell = Shell::new(app, who, "A part for the drawer", "/drawer");
    Ok(Page(status, NewPage { shell, form, lists }).into_response())
}

/// `GET /parts/new`
pub async fn new(State(app): State<App>, who: Who) -> Result<Response> {
    let mut form = fresh();
    form.set("state", "arrived");
    page(&app, &who, (form, StatusCode::OK)).await
}

/// `POST /parts`
pub async fn create(State(app): State<App>, who: Who, mut form: Fields) -> Result<Response> {
    match sheet::add(&app, &who, None, &mut form).await? {
        Some(answer) => see_other(&answer),
        None => page(&app, &who, (form, StatusCode::UNPROCESSABLE_ENTITY)).await,
    }
}
