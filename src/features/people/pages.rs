//! Who is writing on this device, and how the pages look on it.

use super::extract::{PERSON_COOKIE, THEME_COOKIE, write};
use super::store;
use crate::db::PersonId;
use crate::web::{App, Error, Fields, Page, Result, Shell, Who};
use askama::Template;
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};

/// The page of names.
#[derive(Debug, Template)]
#[template(path = "people/list.html")]
pub struct ListPage {
    shell: Shell,
    people: Vec<Choice>,
    form: Fields,
}

/// One name to tap.
#[derive(Debug)]
pub struct Choice {
    id: PersonId,
    name: String,
    chosen: bool,
}

/// `GET /people`
pub async fn list(State(app): State<App>, who: Who) -> Result<Response> {
    page(&app, &who, Fields::default(), StatusCode::OK).await
}

async fn page(app: &App, who: &Who, form: Fields, status: StatusCode) -> Result<Response> {
    let mut conn = app.db.pool.acquire().await?;
    let people = store::list(&mut conn)
        .await?
        .into_iter()
        .map(|p| Choice { chosen: who.id == Some(p.id), id: p.id, name: p.name })
        .collect();
    let shell = Shell::new(app, who, "Who is writing", "/people");
    Ok(Page(status, ListPage { shell, people, form }).into_response())
}

/// `POST /people`: add a name and choose it on this device.
pub async fn create(State(app): State<App>, who: Who, mut form: Fields) -> Result<Response> {
    let name = form.text("name", 60);
    if form.any_wrong() {
        return page(&app, &who, form, StatusCode::UNPROCESSABLE_ENTITY).await;
    }
    let mut w = write(&app, &who).await?;
    match store::add(&mut w, &name).await {
        Ok(person) => {
            w.commit().await?;
            Ok(chosen(&person.id.to_string()))
        }
        Err(crate::db::Error::Taken { field, message }) => {
            // the write lets go of its connection before the page asks for one
            drop(w);
            form.refuse(field, message);
            page(&app, &who, form, StatusCode::UNPROCESSABLE_ENTITY).await
        }
        Err(e) => Err(e.into()),
    }
}

/// `POST /people/choose`: this device writes for that person.
pub async fn choose(State(app): State<App>, who: Who, mut form: Fields) -> Result<Response> {
    let id = form.id::<PersonId>("person");
    let mut conn = app.db.pool.acquire().await?;
    let person = match id {
        Some(id) => store::find(&mut conn, id).await?,
        None => None,
    };
    drop(conn);
    let Some(person) = person else {
        form.refuse("person", "There is nobody of that id here. Choose a name from the list.");
        return page(&app, &who, form, StatusCode::UNPROCESSABLE_ENTITY).await;
    };
    Ok(chosen(&person.id.to_string()))
}

fn chosen(id: &str) -> Response {
    remember(PERSON_COOKIE, id, "/")
}

/// `POST /people/theme`: light, dark or as the device says.
pub async fn theme(mut form: Fields) -> Result<Response> {
    let theme = form.one("theme");
    if form.any_wrong() || !["light", "dark", "device"].contains(&theme.as_str()) {
        return Err(Error::Refused(format!(
            "“{theme}” is no look known here: light, dark or device."
        )));
    }
    Ok(remember(THEME_COOKIE, &theme, "/settings"))
}

/// Sets a cookie of this device for a year and goes on.
fn remember(name: &str, value: &str, path: &str) -> Response {
    let cookie = format!("{name}={value}; Path=/; Max-Age=31536000; HttpOnly; SameSite=Lax");
    (StatusCode::SEE_OTHER, [(header::SET_COOKIE, cookie), (header::LOCATION, path.to_owned())])
        .into_response()
}
