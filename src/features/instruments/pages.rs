//! Instruments: list, form.

use super::model::{Instrument, Kind, Measures};
use super::{forms, store};
use crate::choice::Choice;
use crate::db::InstrumentId;
use crate::features::conversions::model::options;
use crate::features::people::extract::write;
use crate::units::quantity;
use crate::web::form::new_token;
use crate::web::{App, Error, Fields, Page, Path, Result, Shell, Who, see_other};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

type Options = Vec<(&'static str, &'static str)>;

/// The list.
#[derive(Debug, Template)]
#[template(path = "instruments/list.html")]
pub struct ListPage {
    shell: Shell,
    instruments: Vec<View>,
}

/// An instrument as shown.
#[derive(Debug)]
pub struct View {
    id: InstrumentId,
    name: String,
    facts: String,
    ranges: Vec<String>,
}

fn view(i: &Instrument) -> View {
    let fuse =
        if i.draft.fuse.is_empty() { String::new() } else { format!("fuse {}", i.draft.fuse) };
    let facts = [i.draft.kind.label().to_owned(), fuse, i.draft.remark.clone()];
    View {
        id: i.id,
        name: i.draft.name.clone(),
        facts: facts.into_iter().filter(|f| !f.is_empty()).collect::<Vec<_>>().join(" · "),
        ranges: i
            .ranges
            .iter()
            .map(|r| {
                let d = r.measures.dimension();
                let jack =
                    if r.jack.is_empty() { String::new() } else { format!(", jack {}", r.jack) };
                let a = r.accuracy;
                format!(
                    "{} to {}: {} % + {} × {} {}{jack}",
                    d.word(),
                    quantity(r.up_to, d),
                    a.percent,
                    a.digits,
                    a.resolution,
                    d.unit()
                )
            })
            .collect(),
    }
}

/// `GET /instruments`
pub async fn list(State(app): State<App>, who: Who) -> Result<Response> {
    let mut conn = app.db.pool.acquire().await?;
    let instruments = store::list(&mut conn).await?.iter().map(view).collect();
    let shell = Shell::new(&app, &who, "Instruments", "/instruments");
    Ok(Page::ok(ListPage { shell, instruments }).into_response())
}

/// The form.
#[derive(Debug, Template)]
#[template(path = "instruments/form.html")]
pub struct FormPage {
    shell: Shell,
    heading: String,
    action: String,
    aside: String,
    form: Fields,
    rows: Vec<usize>,
    kinds: Options,
    measures: Options,
    conflict: bool,
}

fn form_page(
    app: &App,
    who: &Who,
    of: Option<&Instrument>,
    (form, status): (Fields, StatusCode),
) -> Response {
    let heading = of.map_or("New instrument".to_owned(), |i| i.draft.name.clone());
    let page = FormPage {
        shell: Shell::new(app, who, heading.clone(), "/instruments"),
        heading,
        action: of.map_or("/instruments".to_owned(), |i| format!("/instruments/{}", i.id)),
        aside: of.map(|i| format!("/instruments/{}/aside", i.id)).unwrap_or_default(),
        form,
        rows: (1..=forms::ROWS).collect(),
        kinds: options::<Kind>(),
        measures: options::<Measures>(),
        conflict: status == StatusCode::CONFLICT,
    };
    Page(status, page).into_response()
}

/// `GET /instruments/new`
pub async fn new(State(app): State<App>, who: Who) -> Result<Response> {
    let form = Fields::with([("kind", "multimeter".to_owned()), ("token", new_token())]);
    Ok(form_page(&app, &who, None, (form, StatusCode::OK)))
}

/// `POST /instruments`
pub async fn create(State(app): State<App>, who: Who, mut form: Fields) -> Result<Response> {
    let (token, read) = (form.token(), forms::read(&mut form));
    let Some((draft, ranges)) = read else {
        return Ok(form_page(&app, &who, None, (form, StatusCode::UNPROCESSABLE_ENTITY)));
    };
    let mut w = write(&app, &who).await?;
    if let Some(token) = token
        && w.seen(token).await?.is_some()
    {
        return see_other("/instruments");
    }
    match store::add(&mut w, draft, ranges).await {
        Ok(_) => {
            w.commit_form(token, "/instruments").await?;
            see_other("/instruments")
        }
        Err(crate::db::Error::Taken { field, message }) => {
            form.refuse(field, message);
            Ok(form_page(&app, &who, None, (form, StatusCode::UNPROCESSABLE_ENTITY)))
        }
        Err(e) => Err(e.into()),
    }
}

/// The instrument of an id as typed in an address.
async fn find(app: &App, id: &str) -> Result<Instrument> {
    let missing = || Error::NotFound("instrument of that id".to_owned());
    let id: InstrumentId = id.parse().map_err(|_| missing())?;
    let mut conn = app.db.pool.acquire().await?;
    store::find(&mut conn, id).await?.ok_or_else(missing)
}

/// `GET /instruments/{id}`
pub async fn edit(State(app): State<App>, who: Who, Path(id): Path<String>) -> Result<Response> {
    let i = find(&app, &id).await?;
    let form = forms::fill(&i);
    Ok(form_page(&app, &who, Some(&i), (form, StatusCode::OK)))
}

/// `POST /instruments/{id}`
pub async fn update(
    State(app): State<App>,
    who: Who,
    Path(id): Path<String>,
    mut form: Fields,
) -> Result<Response> {
    let i = find(&app, &id).await?;
    let (version, read) = (form.version(), forms::read(&mut form));
    let Some(read) = read else {
        return Ok(form_page(&app, &who, Some(&i), (form, StatusCode::UNPROCESSABLE_ENTITY)));
    };
    if version != i.version {
        form.set("version", i.version.to_string());
        return Ok(form_page(&app, &who, Some(&i), (form, StatusCode::CONFLICT)));
    }
    let mut w = write(&app, &who).await?;
    match store::change(&mut w, &i, version, read).await {
        Ok(()) => {
            w.commit().await?;
            see_other("/instruments")
        }
        Err(crate::db::Error::Taken { field, message }) => {
            form.refuse(field, message);
            Ok(form_page(&app, &who, Some(&i), (form, StatusCode::UNPROCESSABLE_ENTITY)))
        }
        Err(e) => Err(e.into()),
    }
}

/// `POST /instruments/{id}/aside`
pub async fn aside(
    State(app): State<App>,
    who: Who,
    Path(id): Path<String>,
    mut form: Fields,
) -> Result<Response> {
    let i = find(&app, &id).await?;
    let version = form.version();
    let mut w = write(&app, &who).await?;
    store::put_aside(&mut w, &i, version).await?;
    w.commit().await?;
    see_other("/instruments")
}
