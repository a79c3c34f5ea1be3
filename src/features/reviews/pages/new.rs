//! Writing a review down: what was seen, when, and what was changed last before it.

use super::{Groups, Options, address, at};
use crate::choice::Choice;
use crate::features::conversions::model::{Conversion, options};
use crate::features::conversions::{Head, head, sheet};
use crate::features::gates::view::At;
use crate::features::people::extract::write;
use crate::features::reviews::catalogue::Symptom;
use crate::features::reviews::model::{Happened, Left, last_before};
use crate::features::reviews::{forms, gather, store};
use crate::features::snags::{self, model::Snag};
use crate::web::form::new_token;
use crate::web::{App, Fields, Page, Path, Query, Result, Sheet, Shell, Who, see_other, when};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

/// The page.
#[derive(Debug, Template)]
#[template(path = "reviews/new.html")]
pub struct NewPage {
    shell: Shell,
    head: Head,
    form: Fields,
    symptoms: Options,
    changes: Groups,
    moment: String,
    snag: Option<(i64, String)>,
}

/// The moment asked for, and the snag it comes from.
#[derive(Debug, Deserialize)]
pub struct Asked {
    #[serde(default)]
    at: String,
    snag: Option<i64>,
}

/// What was changed before a moment, ready for a select: newest first, each with its day.
pub fn changes(happened: Vec<Happened>, moment: i64, at: At) -> Groups {
    let rows: Vec<(String, String)> = last_before(happened, moment)
        .iter()
        .map(|h| (h.code(), format!("{}, {}", when::day_time(h.at, at.now, at.offset), h.words)))
        .collect();
    if rows.is_empty() { Vec::new() } else { vec![("newest first", rows)] }
}

async fn page(
    app: &App,
    who: &Who,
    (c, snag): (&Conversion, Option<&Snag>),
    (form, status): (Fields, StatusCode),
) -> Result<Response> {
    let at = at(app);
    let moment = when::parse(form.value("at"), at.offset).unwrap_or(at.now);
    let mut conn = app.db.pool.acquire().await?;
    let happened = gather::happened(&mut conn, c.id).await?;
    drop(conn);
    let page = NewPage {
        shell: Shell::new(app, who, format!("A new review · № {} {}", c.no, c.draft.title), "/"),
        head: head(c, app, Some(Sheet::Review)),
        form,
        symptoms: options::<Symptom>(),
        changes: changes(happened, moment, at),
        moment: when::day_time(moment, at.now, at.offset),
        snag: snag.map(|s| (s.no, s.draft.what.clone())),
    };
    Ok(Page(status, page).into_response())
}

/// The snag a review comes from, if there is one of that number.
async fn snag_of(app: &App, c: &Conversion, no: Option<i64>) -> Result<Option<Snag>> {
    let Some(no) = no else { return Ok(None) };
    let mut conn = app.db.pool.acquire().await?;
    Ok(snags::store::find(&mut conn, c.id, no).await?)
}

/// `GET /c/{no}/reviews/new`
pub async fn new(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    Query(asked): Query<Asked>,
) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    let snag = snag_of(&app, &c, asked.snag).await?;
    let moment = match (&snag, asked.at.is_empty()) {
        (Some(s), true) => when::field_value(s.opened_at, app.offset),
        (None, true) => when::field_value(app.now(), app.offset),
        (_, false) => asked.at,
    };
    let mut form = Fields::with([("at", moment), ("token", new_token())]);
    if let Some(s) = &snag {
        form.set("words", s.draft.what.clone());
        form.set("snag", s.no.to_string());
    }
    let mut probe = form.clone();
    probe.moment("at", &app);
    if probe.wrong("at") {
        form.refuse("at", probe.problem("at"));
    }
    page(&app, &who, (&c, snag.as_ref()), (form, StatusCode::OK)).await
}

/// `POST /c/{no}/reviews`
pub async fn create(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    let named = form.one("snag").trim().to_owned();
    let snag = snag_of(&app, &c, named.parse().ok()).await?;
    if !named.is_empty() && snag.is_none() {
        form.refuse("snag", "There is no such snag in this conversion.");
    }
    let mut conn = app.db.pool.acquire().await?;
    let happened = gather::happened(&mut conn, c.id).await?;
    drop(conn);
    let token = form.token();
    let Some(draft) = forms::read(&mut form, &app, &happened, None) else {
        let status = StatusCode::UNPROCESSABLE_ENTITY;
        return page(&app, &who, (&c, snag.as_ref()), (form, status)).await;
    };
    let mut w = write(&app, &who).await?;
    if let Some(token) = token
        && let Some(answer) = w.seen(token).await?
    {
        return see_other(&answer);
    }
    let from = snag.map(|s| Left { id: s.id, no: s.no, what: s.draft.what, open: true });
    let review = store::add(&mut w, c.id, draft, from.into_iter().collect()).await?;
    let answer = address(no, review.no);
    w.commit_form(token, &answer).await?;
    see_other(&answer)
}

/// Label of a symptom code, for showing what somebody else wrote.
pub fn symptom_label(code: &str) -> String {
    Symptom::from_code(code).map_or_else(|| code.to_owned(), |s| s.label().to_owned())
}
