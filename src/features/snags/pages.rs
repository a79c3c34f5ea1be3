//! The snags of a conversion: list, open, edit, close.

use super::model::{GateName, Severity, Snag};
use super::{forms, store};
use crate::choice::Choice;
use crate::features::conversions::model::{Conversion, options};
use crate::features::conversions::{Head, head, sheet};
use crate::features::gates::view::At;
use crate::features::notes::about::{self, About};
use crate::features::notes::{self, words::Beside};
use crate::features::people::extract::write;
use crate::features::reviews::{self, model::Review};
use crate::web::form::new_token;
use crate::web::{App, Error, Fields, Page, Path, Result, Sheet, Shell, Who, see_other, when};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

type Options = Vec<(&'static str, &'static str)>;

/// The page of snags.
#[derive(Debug, Template)]
#[template(path = "snags/list.html")]
pub struct ListPage {
    shell: Shell,
    head: Head,
    open: Vec<SnagView>,
    closed: Vec<SnagView>,
    form: Fields,
    closing: Fields,
    severities: Options,
    gates: Options,
}

/// A snag as shown.
#[derive(Debug)]
pub struct SnagView {
    no: i64,
    what: String,
    facts: String,
    how: String,
    version: i64,
    reviews: Vec<(i64, String)>,
}

fn view(app: &App, s: &Snag, reviews: &[Review]) -> SnagView {
    let day = |ms: i64| when::day(ms, app.now(), app.offset);
    let blocks =
        s.draft.blocks.map_or("blocks nothing".to_owned(), |b| format!("blocks {}", b.label()));
    let mut facts =
        vec![s.draft.severity.label().to_owned(), blocks, signed(&s.opened_by, &day(s.opened_at))];
    if let Some(at) = s.closed_at {
        facts.push(format!("closed {}", signed(&s.closed_by, &day(at))));
    }
    SnagView {
        no: s.no,
        what: s.draft.what.clone(),
        facts: facts.join(" · "),
        how: s.how.clone(),
        version: s.version,
        reviews: reviews
            .iter()
            .filter(|r| r.snags.iter().any(|x| x.id == s.id))
            .map(|r| (r.no, r.draft.symptom.label().to_owned()))
            .collect(),
    }
}

fn signed(who: &str, day: &str) -> String {
    if who.is_empty() { day.to_owned() } else { format!("{who}, {day}") }
}

async fn page(
    app: &App,
    who: &Who,
    c: &Conversion,
    (form, closing): (Fields, Fields),
    status: StatusCode,
) -> Result<Response> {
    let mut conn = app.db.pool.acquire().await?;
    let snags = store::list(&mut conn, c.id).await?;
    let reviews = reviews::store::list(&mut conn, c.id).await?;
    drop(conn);
    let view = |s: &Snag| view(app, s, &reviews);
    let page = ListPage {
        shell: Shell::new(app, who, format!("Snags · № {} {}", c.no, c.draft.title), "/"),
        head: head(c, app, Some(Sheet::Overview)),
        open: snags.iter().filter(|s| s.closed_at.is_none()).map(view).collect(),
        closed: snags.iter().filter(|s| s.closed_at.is_some()).map(view).collect(),
        form,
        closing,
        severities: options::<Severity>(),
        gates: options::<GateName>(),
    };
    Ok(Page(status, page).into_response())
}

/// A fresh form.
fn fresh() -> Fields {
    Fields::with([("severity", "must_fix".to_owned()), ("token", new_token())])
}

/// `GET /c/{no}/snags`
pub async fn list(State(app): State<App>, who: Who, Path(no): Path<i64>) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    page(&app, &who, &c, (fresh(), Fields::default()), StatusCode::OK).await
}

/// `POST /c/{no}/snags`
pub async fn create(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    let (token, draft) = (form.token(), forms::read(&mut form));
    let Some(draft) = draft else {
        let forms = (form, Fields::default());
        return page(&app, &who, &c, forms, StatusCode::UNPROCESSABLE_ENTITY).await;
    };
    let answer = format!("/c/{no}/snags");
    let mut w = write(&app, &who).await?;
    if let Some(token) = token
        && w.seen(token).await?.is_some()
    {
        return see_other(&answer);
    }
    store::add(&mut w, c.id, draft).await?;
    w.commit_form(token, &answer).await?;
    see_other(&answer)
}

/// The snag of that number.
async fn find(app: &App, c: &Conversion, snag: i64) -> Result<Snag> {
    let mut conn = app.db.pool.acquire().await?;
    let found = store::find(&mut conn, c.id, snag).await?;
    found.ok_or_else(|| Error::NotFound(format!("snag {snag} of this conversion")))
}

/// The form of one snag.
#[derive(Debug, Template)]
#[template(path = "snags/edit.html")]
pub struct EditPage {
    shell: Shell,
    head: Head,
    no: i64,
    form: Fields,
    severities: Options,
    gates: Options,
    theirs: String,
    beside: Beside,
}

async fn edit_page(
    app: &App,
    who: &Who,
    (c, s): (&Conversion, &Snag),
    (form, theirs, status): (Fields, String, StatusCode),
) -> Result<Response> {
    let at = At { now: app.now(), offset: app.offset };
    let about = About { kind: about::Kind::Snag, id: s.id.0, no: s.no };
    let mut conn = app.db.pool.acquire().await?;
    let beside = notes::words::beside(&mut conn, about, Some(c.no), at).await?;
    drop(conn);
    let page = EditPage {
        shell: Shell::new(app, who, format!("Snag {} · № {} {}", s.no, c.no, c.draft.title), "/"),
        head: head(c, app, Some(Sheet::Overview)),
        no: s.no,
        form,
        severities: options::<Severity>(),
        gates: options::<GateName>(),
        theirs,
        beside,
    };
    Ok(Page(status, page).into_response())
}

/// `GET /c/{no}/snags/{snag}`
pub async fn edit(
    State(app): State<App>,
    who: Who,
    Path((no, snag)): Path<(i64, i64)>,
) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    let s = find(&app, &c, snag).await?;
    edit_page(&app, &who, (&c, &s), (forms::fill(&s), String::new(), StatusCode::OK)).await
}

/// `POST /c/{no}/snags/{snag}`
pub async fn update(
    State(app): State<App>,
    who: Who,
    Path((no, snag)): Path<(i64, i64)>,
    mut form: Fields,
) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    let s = find(&app, &c, snag).await?;
    let (version, draft) = (form.version(), forms::read(&mut form));
    let Some(draft) = draft else {
        let status = StatusCode::UNPROCESSABLE_ENTITY;
        return edit_page(&app, &who, (&c, &s), (form, String::new(), status)).await;
    };
    if version != s.version {
        form.set("version", s.version.to_string());
        let blocks = s.draft.blocks.map_or("nothing", Choice::label);
        let theirs = format!("“{}” ({}, blocks {blocks})", s.draft.what, s.draft.severity.label());
        return edit_page(&app, &who, (&c, &s), (form, theirs, StatusCode::CONFLICT)).await;
    }
    let new = Snag { draft, version: version + 1, ..s.clone() };
    let mut w = write(&app, &who).await?;
    store::change(&mut w, c.id, (&s, version), new).await?;
    w.commit().await?;
    see_other(&format!("/c/{no}/snags"))
}

/// `POST /c/{no}/snags/{snag}/close`
pub async fn close(
    State(app): State<App>,
    who: Who,
    Path((no, snag)): Path<(i64, i64)>,
    mut form: Fields,
) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    let s = find(&app, &c, snag).await?;
    let version = form.version();
    let how = form.text("how", 2000);
    let closed = s.closed(&how, app.now());
    if closed.is_none() {
        form.refuse("how", format!("Snag {snag} is closed already."));
    }
    if version != s.version && s.closed_at.is_none() {
        form.refuse("how", format!("Somebody changed this snag meanwhile; it now reads “{}”. Look at it, then close it.", s.draft.what));
        form.set("snag", snag.to_string());
        return page(&app, &who, &c, (fresh(), form), StatusCode::CONFLICT).await;
    }
    let closed = match closed {
        Some(closed) if !form.any_wrong() => closed,
        _ => {
            form.set("snag", snag.to_string());
            return page(&app, &who, &c, (fresh(), form), StatusCode::UNPROCESSABLE_ENTITY).await;
        }
    };
    let mut w = write(&app, &who).await?;
    store::change(&mut w, c.id, (&s, version), closed).await?;
    w.commit().await?;
    see_other(&format!("/c/{no}/snags"))
}

/// `POST /c/{no}/snags/{snag}/reopen`
pub async fn reopen(
    State(app): State<App>,
    who: Who,
    Path((no, snag)): Path<(i64, i64)>,
    mut form: Fields,
) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    let s = find(&app, &c, snag).await?;
    let version = form.version();
    let Some(open) = s.reopened() else {
        return Err(Error::Refused(format!("Snag {snag} is open already.")));
    };
    let mut w = write(&app, &who).await?;
    store::change(&mut w, c.id, (&s, version), open).await?;
    w.commit().await?;
    see_other(&format!("/c/{no}/snags"))
}
