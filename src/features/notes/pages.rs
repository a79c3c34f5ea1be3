//! The notes of a conversion: list, write, edit, put aside.

use super::about::{self, Thing};
use super::model::Note;
use super::{store, words};
use crate::db::NoteId;
use crate::features::conversions::model::Conversion;
use crate::features::conversions::{Head, head, sheet};
use crate::features::gates::view::At;
use crate::features::people::extract::write;
use crate::web::form::new_token;
use crate::web::{App, Error, Fields, Page, Path, Query, Result, Sheet, Shell, Who, see_other};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

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
    groups: Groups,
}

/// What can be chosen: kinds with codes and words.
type Groups = Vec<(&'static str, Vec<(String, String)>)>;

/// A note as shown.
#[derive(Debug)]
pub struct NoteView {
    id: NoteId,
    row: words::Row,
    version: i64,
}

fn at(app: &App) -> At {
    At { now: app.now(), offset: app.offset }
}

fn view(app: &App, c: &Conversion, n: &Note) -> NoteView {
    NoteView { id: n.id, row: words::row(n, c.no, at(app)), version: n.version }
}

/// Everything of a conversion that a note can be about.
async fn things(app: &App, c: &Conversion) -> Result<Vec<Thing>> {
    let mut conn = app.db.pool.acquire().await?;
    Ok(about::things(&mut conn, c.id, at(app)).await?)
}

/// What a form says of a note: its text, and the record it is about. What it was about before stays
/// allowed, wherever that record went.
fn read(
    form: &mut Fields,
    things: &[Thing],
    old: Option<&Note>,
) -> Option<(String, Option<about::About>)> {
    let text = form.text("text", MOST);
    let typed = form.one("about");
    let before = old.and_then(|n| n.about).filter(|a| a.code() == typed.trim());
    let about = match about::chosen(things, &typed) {
        Ok(about) => about,
        Err(_) if before.is_some() => before,
        Err(why) => {
            form.refuse("about", why);
            None
        }
    };
    if form.any_wrong() { None } else { Some((text, about)) }
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
    let things = about::things(&mut conn, c.id, at(app)).await?;
    drop(conn);
    let page = ListPage {
        shell: Shell::new(app, who, format!("Notes · № {} {}", c.no, c.draft.title), "/"),
        head: head(c, app, Some(Sheet::Overview)),
        notes: notes.iter().map(|n| view(app, c, n)).collect(),
        aside: aside.iter().map(|n| view(app, c, n)).collect(),
        groups: about::groups(&things, form.value("about")),
        form,
    };
    Ok(Page(status, page).into_response())
}

/// The record a new note shall be about, as its page links here.
#[derive(Debug, Deserialize)]
pub struct Wanted {
    #[serde(default)]
    about: String,
}

/// `GET /c/{no}/notes`
pub async fn list(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    Query(wanted): Query<Wanted>,
) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    let form = Fields::with([("token", new_token()), ("about", wanted.about)]);
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
    let things = things(&app, &c).await?;
    let (token, said) = (form.token(), read(&mut form, &things, None));
    let Some((text, about)) = said else {
        return page(&app, &who, &c, (form, StatusCode::UNPROCESSABLE_ENTITY)).await;
    };
    let answer = format!("/c/{no}/notes");
    let mut w = write(&app, &who).await?;
    if let Some(token) = token
        && w.seen(token).await?.is_some()
    {
        return see_other(&answer);
    }
    store::add(&mut w, c.id, &text, about).await?;
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
    groups: Groups,
}

fn edit_page(
    app: &App,
    who: &Who,
    (c, n, things): (&Conversion, &Note, &[Thing]),
    (form, theirs, status): (Fields, String, StatusCode),
) -> Response {
    let mut groups = about::groups(things, form.value("about"));
    // a record that went elsewhere can still be kept
    if let Some(gone) = n.about.filter(|a| !things.iter().any(|t| t.about == *a)) {
        groups.push(("no longer here", vec![(gone.code(), gone.name())]));
    }
    let page = EditPage {
        shell: Shell::new(app, who, format!("Note · № {} {}", c.no, c.draft.title), "/"),
        head: head(c, app, Some(Sheet::Overview)),
        id: n.id,
        form,
        theirs,
        groups,
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
    let form = Fields::with([
        ("text", n.text.clone()),
        ("about", n.about.map(about::About::code).unwrap_or_default()),
        ("version", n.version.to_string()),
    ]);
    let things = things(&app, &c).await?;
    Ok(edit_page(&app, &who, (&c, &n, &things), (form, String::new(), StatusCode::OK)))
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
    let things = things(&app, &c).await?;
    let (version, said) = (form.version(), read(&mut form, &things, Some(&n)));
    let Some((text, about)) = said else {
        let status = StatusCode::UNPROCESSABLE_ENTITY;
        return Ok(edit_page(&app, &who, (&c, &n, &things), (form, String::new(), status)));
    };
    if version != n.version {
        form.set("version", n.version.to_string());
        let given = (form, n.text.clone(), StatusCode::CONFLICT);
        return Ok(edit_page(&app, &who, (&c, &n, &things), given));
    }
    let mut w = write(&app, &who).await?;
    store::change(&mut w, c.id, (&n, version), (&text, about)).await?;
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
