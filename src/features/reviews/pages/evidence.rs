//! Evidence for or against a cause: a record of the notebook, words, or both.

use super::cause::{Typed, find_cause, page};
use super::{address, at, find_in_use, meanwhile, seen};
use crate::db::EvidenceId;
use crate::features::people::extract::write;
use crate::features::reviews::{forms, gather, store};
use crate::web::{App, Error, Fields, Path, Result, Who, see_other};
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

/// `POST /c/{no}/reviews/{review}/causes/{cause}/evidence`
pub async fn add(
    State(app): State<App>,
    who: Who,
    Path((no, review, cause)): Path<(i64, i64, String)>,
    mut form: Fields,
) -> Result<Response> {
    let (c, r) = find_in_use(&app, no, review).await?;
    let k = find_cause(&r, &cause)?;
    let answer = format!("{}/causes/{}", address(no, review), k.id);
    let token = form.token();
    if seen(&app, &who, token).await? {
        return see_other(&answer);
    }
    let mut conn = app.db.pool.acquire().await?;
    let grounds = gather::grounds(&mut conn, c.id, at(&app)).await?;
    drop(conn);
    let read = forms::read_evidence(&mut form, &grounds);
    let theirs = meanwhile(&mut form, &r);
    if !theirs.is_empty() {
        let typed = Typed { evidence: form, theirs, ..Typed::default() };
        return page(&app, &who, (&c, &r, k), (typed, StatusCode::CONFLICT)).await;
    }
    let read = match read {
        Some(read) if !form.any_wrong() => read,
        _ => {
            let typed = Typed { evidence: form, ..Typed::default() };
            let status = StatusCode::UNPROCESSABLE_ENTITY;
            return page(&app, &who, (&c, &r, k), (typed, status)).await;
        }
    };
    let mut new = r.clone();
    for cause in new.causes.iter_mut().filter(|cause| cause.id == k.id) {
        cause.evidence.push(read.clone());
    }
    let mut w = write(&app, &who).await?;
    store::change(&mut w, (&r, r.version), new).await?;
    w.commit_form(token, &answer).await?;
    see_other(&answer)
}

/// `POST /c/{no}/reviews/{review}/causes/{cause}/evidence/{evidence}/remove`: it was written by mistake.
pub async fn remove(
    State(app): State<App>,
    who: Who,
    Path((no, review, cause, evidence)): Path<(i64, i64, String, String)>,
    mut form: Fields,
) -> Result<Response> {
    let (_, r) = find_in_use(&app, no, review).await?;
    let k = find_cause(&r, &cause)?;
    let version = form.version();
    let id: Option<EvidenceId> = evidence.parse().ok();
    if !k.evidence.iter().any(|e| Some(e.id) == id) {
        return Err(Error::NotFound("evidence of that id in this review".to_owned()));
    }
    let mut new = r.clone();
    for cause in &mut new.causes {
        cause.evidence.retain(|e| Some(e.id) != id);
    }
    let mut w = write(&app, &who).await?;
    store::change(&mut w, (&r, version), new).await?;
    w.commit().await?;
    see_other(&format!("{}/causes/{}", address(no, review), k.id))
}
