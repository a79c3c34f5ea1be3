//! Sheet 7: how it ended and why, its reviews, what was put right and changed, the notes.

use super::sheet::{Head, gathered, head, shell};
use crate::choice::Choice;
use crate::features::conversions::model::Outcome;
use crate::features::gates::view::At;
use crate::features::{notes, reviews};
use crate::web::{App, Page, Path, Result, Sheet, Shell, Who, when};
use askama::Template;
use axum::extract::State;
use axum::response::{IntoResponse, Response};

/// The Review sheet.
#[derive(Debug, Template)]
#[template(path = "conversions/review.html")]
pub struct ReviewPage {
    shell: Shell,
    head: Head,
    ended: String,
    why: String,
    in_work: bool,
    version: i64,
    closed: Vec<ClosedSnag>,
    changed: Vec<(String, String, String)>,
    notes: Vec<notes::words::Row>,
    reviews: Vec<reviews::words::Row>,
    aside: Vec<reviews::words::Row>,
}

/// A snag that was put right.
#[derive(Debug)]
pub struct ClosedSnag {
    no: i64,
    what: String,
    how: String,
    facts: String,
}

/// `GET /c/{no}/review`
pub async fn show(State(app): State<App>, who: Who, Path(no): Path<i64>) -> Result<Response> {
    let g = gathered(&app, no).await?;
    let mut conn = app.db.pool.acquire().await?;
    let notes = notes::store::list(&mut conn, g.conversion.id).await?;
    let written = reviews::store::list(&mut conn, g.conversion.id).await?;
    let aside = reviews::store::list_aside(&mut conn, g.conversion.id).await?;
    drop(conn);
    let at = At { now: app.now(), offset: app.offset };
    let c = &g.conversion;
    let day = |ms: i64| when::day(ms, app.now(), app.offset);
    let closed = g.snags.iter().filter_map(|s| {
        let at = s.closed_at?;
        let facts = format!("closed {} {}", day(at), s.closed_by);
        Some(ClosedSnag { no: s.no, what: s.draft.what.clone(), how: s.how.clone(), facts })
    });
    let page = ReviewPage {
        shell: shell(&app, &who, &g, (7, "Review")),
        head: head(c, &app, Some(Sheet::Review)),
        ended: format!("{}, {}", c.outcome.label(), day(c.stage_at)),
        why: c.outcome_why.clone(),
        in_work: c.outcome == Outcome::InWork,
        version: c.version,
        closed: closed.collect(),
        changed: g
            .alterations
            .iter()
            .map(|a| (day(a.at), a.kind.word().to_owned(), a.what.clone()))
            .collect(),
        notes: notes.iter().map(|n| notes::words::row(n, no, at)).collect(),
        reviews: written.iter().map(|r| reviews::words::row(r, (no, ""), at)).collect(),
        aside: aside.iter().map(|r| reviews::words::row(r, (no, ""), at)).collect(),
    };
    Ok(Page::ok(page).into_response())
}
