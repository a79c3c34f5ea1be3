//! The smaller steps of a review: a snag it leaves, its lesson, closed, opened again, aside.

use super::show::{Given, page};
use super::{address, find, find_in_use, meanwhile, seen};
use crate::features::people::extract::write;
use crate::features::reviews::model::{Left, Review};
use crate::features::reviews::store;
use crate::features::snags;
use crate::features::snags::model::{Draft, GateName, Severity};
use crate::web::{App, Error, Fields, Path, Result, Who, see_other};
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

/// `POST /c/{no}/reviews/{review}/snags`: leaves a snag open.
pub async fn snag(
    State(app): State<App>,
    who: Who,
    Path((no, review)): Path<(i64, i64)>,
    mut form: Fields,
) -> Result<Response> {
    let (c, r) = find_in_use(&app, no, review).await?;
    let answer = address(no, review);
    let token = form.token();
    if seen(&app, &who, token).await? {
        return see_other(&answer);
    }
    let what = form.text("what", 2000);
    let severity = form.choice::<Severity>("severity");
    let blocks = form.optional_choice::<GateName>("blocks");
    let theirs = meanwhile(&mut form, &r);
    if !theirs.is_empty() {
        let given = Given { snag: form, theirs, ..Given::default() };
        return page(&app, &who, (&c, &r), (given, StatusCode::CONFLICT)).await;
    }
    let severity = match severity {
        Some(severity) if !form.any_wrong() => severity,
        _ => {
            let given = Given { snag: form, ..Given::default() };
            return page(&app, &who, (&c, &r), (given, StatusCode::UNPROCESSABLE_ENTITY)).await;
        }
    };
    let mut w = write(&app, &who).await?;
    let s = snags::store::add(&mut w, c.id, Draft { what, severity, blocks }).await?;
    let mut new = r.clone();
    new.snags.push(Left { id: s.id, no: s.no, what: s.draft.what, open: true });
    store::change(&mut w, (&r, r.version), new).await?;
    w.commit_form(token, &answer).await?;
    see_other(&answer)
}

/// `POST /c/{no}/reviews/{review}/lesson`: writes the lesson; with `close` it closes the review too.
pub async fn lesson(
    State(app): State<App>,
    who: Who,
    Path((no, review)): Path<(i64, i64)>,
    mut form: Fields,
) -> Result<Response> {
    let (c, r) = find_in_use(&app, no, review).await?;
    let answer = address(no, review);
    let token = form.token();
    if seen(&app, &who, token).await? {
        return see_other(&answer);
    }
    let lesson = form.text("lesson", 400);
    let close = form.tick("close");
    let theirs = meanwhile(&mut form, &r);
    if !theirs.is_empty() {
        let given = Given { lesson: form, theirs, ..Given::default() };
        return page(&app, &who, (&c, &r), (given, StatusCode::CONFLICT)).await;
    }
    let mut new = Review { lesson, ..r.clone() };
    if close && !form.any_wrong() {
        match new.closed(app.now()) {
            Ok(closed) => new = closed,
            Err(why) => form.refuse("lesson", why.words()),
        }
    }
    if form.any_wrong() {
        let given = Given { lesson: form, ..Given::default() };
        return page(&app, &who, (&c, &r), (given, StatusCode::UNPROCESSABLE_ENTITY)).await;
    }
    let mut w = write(&app, &who).await?;
    store::change(&mut w, (&r, r.version), new).await?;
    w.commit_form(token, &answer).await?;
    see_other(&answer)
}

/// `POST /c/{no}/reviews/{review}/reopen`
pub async fn reopen(
    State(app): State<App>,
    who: Who,
    Path((no, review)): Path<(i64, i64)>,
    mut form: Fields,
) -> Result<Response> {
    let (_, r) = find_in_use(&app, no, review).await?;
    let version = form.version();
    let Some(open) = r.reopened() else {
        return Err(Error::Refused(format!("Review {review} is open already.")));
    };
    let mut w = write(&app, &who).await?;
    store::change(&mut w, (&r, version), open).await?;
    w.commit().await?;
    see_other(&address(no, review))
}

async fn set_aside(
    app: &App,
    who: &Who,
    (no, review): (i64, i64),
    form: &mut Fields,
    aside: bool,
) -> Result<()> {
    let (_, r) = find(app, no, review).await?;
    let version = form.version();
    let mut w = write(app, who).await?;
    store::set_aside(&mut w, (&r, version), aside).await?;
    w.commit().await?;
    Ok(())
}

/// `POST /c/{no}/reviews/{review}/aside`
pub async fn aside(
    State(app): State<App>,
    who: Who,
    Path((no, review)): Path<(i64, i64)>,
    mut form: Fields,
) -> Result<Response> {
    set_aside(&app, &who, (no, review), &mut form, true).await?;
    see_other(&format!("/c/{no}/review"))
}

/// `POST /c/{no}/reviews/{review}/restore`
pub async fn restore(
    State(app): State<App>,
    who: Who,
    Path((no, review)): Path<(i64, i64)>,
    mut form: Fields,
) -> Result<Response> {
    set_aside(&app, &who, (no, review), &mut form, false).await?;
    see_other(&address(no, review))
}
