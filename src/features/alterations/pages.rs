//! Saying that something was changed.

use super::store;
use crate::calc::gates::AlterationKind;
use crate::db::AlterationId;
use crate::features::conversions::model::Conversion;
use crate::features::conversions::{Head, head, sheet};
use crate::features::gates::view::At;
use crate::features::notes::about::{self, About};
use crate::features::notes::{self, words};
use crate::features::people::extract::write;
use crate::web::form::new_token;
use crate::web::{App, Error, Fields, Page, Path, Result, Sheet, Shell, Who, see_other, when};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

/// The page.
#[derive(Debug, Template)]
#[template(path = "alterations/list.html")]
pub struct ListPage {
    shell: Shell,
    head: Head,
    form: Fields,
    kinds: Vec<(&'static str, &'static str)>,
    entries: Vec<Entry>,
}

/// One alteration as shown.
#[derive(Debug)]
pub struct Entry {
    id: AlterationId,
    kind: &'static str,
    what: String,
    by: String,
    notes: Vec<words::Row>,
    write: String,
}

async fn page(
    app: &App,
    who: &Who,
    c: &Conversion,
    (form, status): (Fields, StatusCode),
) -> Result<Response> {
    let mut conn = app.db.pool.acquire().await?;
    let notes = notes::store::list(&mut conn, c.id).await?;
    let kept = store::list(&mut conn, c.id).await?;
    drop(conn);
    let at = At { now: app.now(), offset: app.offset };
    let entries = kept.into_iter().map(|a| {
        let day = when::day_time(a.at, at.now, at.offset);
        let by = if a.person.is_empty() { day } else { format!("{}, {day}", a.person) };
        let about = About { kind: about::Kind::Alteration, id: a.id.0, no: 0 };
        let mine = notes.iter().filter(|n| n.about == Some(about));
        Entry {
            id: a.id,
            kind: a.kind.word(),
            what: a.what,
            by,
            notes: mine.map(|n| words::row(n, c.no, at)).collect(),
            write: format!("/c/{}/notes?about={}#new", c.no, about.code()),
        }
    });
    let page = ListPage {
        shell: Shell::new(app, who, format!("Changed · № {} {}", c.no, c.draft.title), "/"),
        head: head(c, app, Some(Sheet::Overview)),
        form,
        kinds: AlterationKind::ALL.iter().map(|k| (k.key(), k.word())).collect(),
        entries: entries.collect(),
    };
    Ok(Page(status, page).into_response())
}

/// `GET /c/{no}/changed`
pub async fn list(State(app): State<App>, who: Who, Path(no): Path<i64>) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    let form = Fields::with([("token", new_token())]);
    page(&app, &who, &c, (form, StatusCode::OK)).await
}

/// `POST /c/{no}/changed`
pub async fn create(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    let token = form.token();
    let kind = AlterationKind::from_key(&form.one("kind"));
    if kind.is_none() {
        let known: Vec<_> = AlterationKind::ALL.iter().map(|k| k.key()).collect();
        form.refuse("kind", format!("Choose what was changed, one of: {}.", known.join(", ")));
    }
    let what = form.optional_text("what", 2000);
    let at = form.moment("at", &app);
    let kind = match kind {
        Some(kind) if !form.any_wrong() => kind,
        _ => return page(&app, &who, &c, (form, StatusCode::UNPROCESSABLE_ENTITY)).await,
    };
    let answer = format!("/c/{no}/changed");
    let mut w = write(&app, &who).await?;
    if let Some(token) = token
        && w.seen(token).await?.is_some()
    {
        return see_other(&answer);
    }
    store::add(&mut w, c.id, kind, (&what, at)).await?;
    w.commit_form(token, &answer).await?;
    see_other(&answer)
}

/// `POST /c/{no}/changed/{id}/take-back`
pub async fn take_back(
    State(app): State<App>,
    who: Who,
    Path((no, id)): Path<(i64, String)>,
    _form: Fields,
) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    let id: AlterationId =
        id.parse().map_err(|_| Error::NotFound("entry of that id".to_owned()))?;
    let mut w = write(&app, &who).await?;
    store::take_back(&mut w, c.id, id).await?;
    w.commit().await?;
    see_other(&format!("/c/{no}/changed"))
}
