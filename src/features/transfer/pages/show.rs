//! The page of transfer: what can be taken along, what can be brought in, what came in before.

use crate::features::conversions;
use crate::features::transfer::store::{self, Past};
use crate::web::{App, Fields, Page, Query, Result, Shell, Who, when};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use uuid::Uuid;

/// Imports shown.
const PAST: i64 = 20;

/// The page.
#[derive(Debug, Template)]
#[template(path = "transfer/show.html")]
pub struct ShowPage {
    shell: Shell,
    conversions: Vec<(i64, String)>,
    chosen: i64,
    past: Vec<PastView>,
    came: String,
    form: Fields,
}

/// An import as shown.
#[derive(Debug)]
pub struct PastView {
    name: String,
    facts: String,
    copy: String,
}

/// What the page was opened for.
#[derive(Debug, Deserialize)]
pub struct Asked {
    /// A conversion to choose in the list.
    no: Option<i64>,
    /// An import that was just made.
    came: Option<String>,
}

fn view(app: &App, p: &Past) -> PastView {
    let mut facts = vec![when::day_time(p.at, app.now(), app.offset)];
    facts.extend(Some(p.person.clone()).filter(|p| !p.is_empty()));
    facts.push(if p.new.is_empty() { "nothing new".to_owned() } else { format!("new: {}", p.new) });
    if p.written_over > 0 {
        facts.push(format!("{} written over", p.written_over));
    }
    PastView { name: p.name.clone(), facts: facts.join(" · "), copy: p.copy.clone() }
}

/// The page, with an upload that was refused where there was one.
pub async fn page(
    app: &App,
    who: &Who,
    asked: Asked,
    (form, status): (Fields, StatusCode),
) -> Result<Response> {
    let mut conn = app.db.pool.acquire().await?;
    let all = conversions::store::list(&mut conn).await?;
    let past = store::past(&mut conn, PAST).await?;
    drop(conn);
    let mut conversions: Vec<(i64, String)> =
        all.into_iter().map(|c| (c.no, c.draft.title)).collect();
    conversions.sort_unstable();
    let known = asked.no.filter(|no| conversions.iter().any(|(n, _)| n == no));
    let chosen = known.or_else(|| conversions.last().map(|(n, _)| *n)).unwrap_or(0);
    let came = asked.came.and_then(|c| c.parse::<Uuid>().ok());
    let came = came.and_then(|id| past.iter().find(|p| p.id == id));
    let page = ShowPage {
        shell: Shell::new(app, who, "Transfer", "/settings"),
        conversions,
        chosen,
        came: came.map(|p| view(app, p).facts).unwrap_or_default(),
        past: past.iter().map(|p| view(app, p)).collect(),
        form,
    };
    Ok(Page(status, page).into_response())
}

/// `GET /transfer`
pub async fn show(State(app): State<App>, who: Who, Query(q): Query<Asked>) -> Result<Response> {
    page(&app, &who, q, (Fields::default(), StatusCode::OK)).await
}

/// The page with the sentence about an archive that was not taken.
pub async fn refused(app: &App, who: &Who, why: String) -> Result<Response> {
    let mut form = Fields::default();
    form.refuse("archive", why);
    let asked = Asked { no: None, came: None };
    page(app, who, asked, (form, StatusCode::UNPROCESSABLE_ENTITY)).await
}
