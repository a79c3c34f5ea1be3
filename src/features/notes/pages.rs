//! The notes of a conversion: list, write, edit, put aside.

use super::model::Note;
use super::{markdown, store};
use crate::db::NoteId;
use crate::features::conversions::model::Conversion;
use crate::features::conversions::{Head, head, sheet};
use crate::features::people::extract::write;
use crate::web::form::new_token;
use crate::web::{App, Error, Fields, Page, Path, Result, Sheet, Shell, Who, see_other, when};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

/// Longest note, characters.
const MOST: usize = 20_000;

/// The page of notes.
#[derive(Debug, Template)]
#[template(path = "notes/list.html")]
pub struct ListPage {
    shell: Shell,
    head: Head,
    notes: Vec<NoteView>,
    aside: Vec<NoteView>,
    form: Fields,
}

/// A note as shown.
#[derive(Debug)]
pub struct NoteView {
    id: NoteId,
    html: String,
    by: String,
    version: i64,
}

fn view(app: &App, n: &Note) -> NoteView {
    let day = when::day_time(n.at, app.now(), app.offset);
    let by = if n.person.is_empty() { day } else { format!("{}, {day}", n.person) };
    NoteView { id: n.id, html: markdown::render(&n.text), by, version: n.version }
}

async fn page(
    app: &App,
    who: &Who,
    c: &Conversion,
    (form, status): (Fields, StatusCode),
) -> Result<Response> {
    let mut conn = app.db.pool.acquire().await?;
    let notes = store::list(&mut conn, c.id).await?;
    let aside = store::list_aside(&mut conn, c.id).await?;
    let page = ListPage {
        shell: Shell::new(app, who, format!("Notes · № {} {}", c.no, c.draft.title), "/"),
        head: head(c, app, Some(Sheet::Overview)),
        notes: notes.iter().map(|n| view(app, n)).collect(),
        aside: aside.iter().map(|n| view(app, n)).collect(),
        form,
    };
    Ok(Page(status, page).into_response())
}

/// `GET /c/{no}/notes`
pub async fn list(State(app): State<App>, who: Who, Path(no): Path<i64>) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    let form = Fields::with([("token", new_token())]);
    page(&app, &who, &c, (form, StatusCode::OK)).await
}

/// `POST /c/{no}/notes`
pub async fn create(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    let (token, text) = (form.token(), form.text("text", MOST));
    if form.any_wrong() {
        return page(&app, &who, &c, (form, StatusCode::UNPROCESSABLE_ENTITY)).await;
    }
    let answer = format!("/c/{no}/notes");
    let mut w = write(&app, &who).await?;
    if let Some(token) = token
        && w.seen(token).await?.is_some()
    {
        return see_other(&answer);
    }
    store::add(&mut w, c.id, &text).await?;
    w.commit_form(token, &answer).await?;
    see_other(&answer)
}

/// The note of an id as typed in an address.
async fn find(app: &App, c: &Conversion, id: &str) -> Result<Note> {
    let missing = || Error::NotFound("note of that id".to_owned());
    let id: NoteId = id.parse().map_err(|_| missing())?;
    let mut conn = app.db.pool.acquire().await?;
    store::find(&mut conn, c.id, id).await?.ok_or_else(missing)
}

/// The form of one note.
#[derive(Debug, Template)]
#[template(path = "notes/edit.html")]
pub struct EditPage {
    shell: Shell,
    head: Head,
    id: NoteId,
    form: Fields,
    theirs: String,
}

fn edit_page(
    app: &App,
    who: &Who,
    (c, n): (&Conversion, &Note),
    (form, theirs, status): (Fields, String, StatusCode),
) -> Response {
    let page = EditPage {
        shell: Shell::new(app, who, format!("Note · № {} {}", c.no, c.draft.title), "/"),
        head: head(c, app, Some(Sheet::Overview)),
        id: n.id,
        form,
        theirs,
    };
    Page(status, page).into_response()
}

/// `GET /c/{no}/notes/{note}`
pub async fn edit(
    State(app): State<App>,
    who: Who,
    Path((no, note)): Path<(i64, String)>,
) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    let n = find(&app, &c, &note).await?;
    let form = Fields::with([("text", n.text.clone()), ("version", n.version.to_string())]);
    Ok(edit_page(&app, &who, (&c, &n), (form, String::new(), StatusCode::OK)))
}

/// `POST /c/{no}/notes/{note}`
pub async fn update(
    State(app): State<App>,
    who: Who,
    Path((no, note)): Path<(i64, String)>,
    mut form: Fields,
) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    let n = find(&app, &c, &note).await?;
    let (version, text) = (form.version(), form.text("text", MOST));
    if form.any_wrong() {
        let status = StatusCode::UNPROCESSABLE_ENTITY;
        return Ok(edit_page(&app, &who, (&c, &n), (form, String::new(), status)));
    }
    if version != n.version {
        form.set("version", n.version.to_string());
        let given = (form, n.text.clone(), StatusCode::CONFLICT);
        return Ok(edit_page(&app, &who, (&c, &n), given));
    }
    let mut w = write(&app, &who).await?;
    store::change(&mut w, c.id, (&n, version), &text).await?;
    w.commit().await?;
    see_other(&format!("/c/{no}/notes"))
}

/// `POST /c/{no}/notes/{note}/aside`
pub async fn aside(
    State(app): State<App>,
    who: Who,
    Path((no, note)): Path<(i64, String)>,
    mut form: Fields,
) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    let n = find(&app, &c, &note).await?;
    let version = form.version();
    let mut w = write(&app, &who).await?;
    store::put_aside(&mut w, c.id, (&n, version)).await?;
    w.commit().await?;
    see_other(&format!("/c/{no}/notes"))
}

/// `POST /c/{no}/notes/{note}/restore`
pub async fn restore(
    State(app): State<App>,
    who: Who,
    Path((no, note)): Path<(i64, String)>,
    _form: Fields,
) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    let n = find(&app, &c, &note).await?;
    let mut w = write(&app, &who).await?;
    store::restore(&mut w, c.id, &n).await?;
    w.commit().await?;
    see_other(&format!("/c/{no}/notes"))
}
