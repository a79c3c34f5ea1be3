//! A candidate cause: how sure it is, and what speaks for and against it.

use super::show::{CauseView, Given, cause as view, page as review_page};
use super::{Groups, Options, address, at, find_in_use, meanwhile, seen};
use crate::choice::Choice;
use crate::db::CauseId;
use crate::features::conversions::model::{Conversion, options};
use crate::features::conversions::{Head, head};
use crate::features::notes::about;
use crate::features::people::extract::write;
use crate::features::reviews::model::{Cause, Review, Side, Sure};
use crate::features::reviews::{catalogue, forms, gather, store, words};
use crate::web::form::new_token;
use crate::web::{App, Error, Fields, Page, Path, Result, Sheet, Shell, Who, see_other};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

/// The page of a cause.
#[derive(Debug, Template)]
#[template(path = "reviews/cause.html")]
pub struct CausePage {
    shell: Shell,
    head: Head,
    no: i64,
    symptom: String,
    cause: CauseView,
    form: Fields,
    groups: Groups,
    sures: Options,
    evidence: Fields,
    sides: Options,
    records: Groups,
    version: i64,
    theirs: String,
}

/// The forms of the page as they were typed; an empty one is fresh.
#[derive(Debug, Default)]
pub struct Typed {
    /// The cause's own form.
    pub form: Fields,
    /// A piece of evidence.
    pub evidence: Fields,
    /// What the review became meanwhile.
    pub theirs: String,
}

/// The cause of an id as an address has it.
pub fn find_cause<'a>(r: &'a Review, id: &str) -> Result<&'a Cause> {
    let id: Option<CauseId> = id.parse().ok();
    let found = r.causes.iter().find(|c| Some(c.id) == id);
    found.ok_or_else(|| Error::NotFound("cause of that id in this review".to_owned()))
}

/// The page of a cause.
pub async fn page(
    app: &App,
    who: &Who,
    (c, r, k): (&Conversion, &Review, &Cause),
    (typed, status): (Typed, StatusCode),
) -> Result<Response> {
    let mut conn = app.db.pool.acquire().await?;
    let grounds = gather::grounds(&mut conn, c.id, at(app)).await?;
    drop(conn);
    let Typed { mut form, mut evidence, theirs } = typed;
    if form.value("version").is_empty() {
        form = forms::fill_cause(k, r.version);
    }
    if evidence.value("version").is_empty() {
        let side = Side::For.code().to_owned();
        let version = r.version.to_string();
        evidence = Fields::with([("side", side), ("version", version), ("token", new_token())]);
    }
    let title = format!("Cause · Review {} · № {} {}", r.no, c.no, c.draft.title);
    let page = CausePage {
        shell: Shell::new(app, who, title, "/"),
        head: head(c, app, Some(Sheet::Review)),
        no: r.no,
        symptom: words::symptom(r),
        cause: view((c, r, k), &grounds),
        form,
        groups: catalogue::groups(r.draft.symptom),
        sures: options::<Sure>(),
        records: about::groups(&grounds, evidence.value("about")),
        evidence,
        sides: options::<Side>(),
        version: r.version,
        theirs,
    };
    Ok(Page(status, page).into_response())
}

/// `GET /c/{no}/reviews/{review}/causes/{cause}`
pub async fn show(
    State(app): State<App>,
    who: Who,
    Path((no, review, cause)): Path<(i64, i64, String)>,
) -> Result<Response> {
    let (c, r) = find_in_use(&app, no, review).await?;
    let k = find_cause(&r, &cause)?;
    page(&app, &who, (&c, &r, k), (Typed::default(), StatusCode::OK)).await
}

/// `POST /c/{no}/reviews/{review}/causes`
pub async fn add(
    State(app): State<App>,
    who: Who,
    Path((no, review)): Path<(i64, i64)>,
    mut form: Fields,
) -> Result<Response> {
    let (c, r) = find_in_use(&app, no, review).await?;
    let answer = format!("{}#causes", address(no, review));
    let token = form.token();
    if seen(&app, &who, token).await? {
        return see_other(&answer);
    }
    let cause = forms::read_cause(&mut form, None);
    let theirs = meanwhile(&mut form, &r);
    if !theirs.is_empty() {
        let given = Given { cause: form, theirs, ..Given::default() };
        return review_page(&app, &who, (&c, &r), (given, StatusCode::CONFLICT)).await;
    }
    let cause = match cause {
        Some(cause) if !form.any_wrong() => cause,
        _ => {
            let given = Given { cause: form, ..Given::default() };
            let status = StatusCode::UNPROCESSABLE_ENTITY;
            return review_page(&app, &who, (&c, &r), (given, status)).await;
        }
    };
    let mut new = r.clone();
    new.causes.push(cause);
    let mut w = write(&app, &who).await?;
    store::change(&mut w, (&r, r.version), new).await?;
    w.commit_form(token, &answer).await?;
    see_other(&answer)
}

/// `POST /c/{no}/reviews/{review}/causes/{cause}`
pub async fn update(
    State(app): State<App>,
    who: Who,
    Path((no, review, cause)): Path<(i64, i64, String)>,
    mut form: Fields,
) -> Result<Response> {
    let (c, r) = find_in_use(&app, no, review).await?;
    let k = find_cause(&r, &cause)?;
    let read = forms::read_cause(&mut form, Some(k));
    let theirs = meanwhile(&mut form, &r);
    if !theirs.is_empty() {
        let typed = Typed { form, theirs, ..Typed::default() };
        return page(&app, &who, (&c, &r, k), (typed, StatusCode::CONFLICT)).await;
    }
    let read = match read {
        Some(read) if !form.any_wrong() => read,
        _ => {
            let typed = Typed { form, ..Typed::default() };
            let status = StatusCode::UNPROCESSABLE_ENTITY;
            return page(&app, &who, (&c, &r, k), (typed, status)).await;
        }
    };
    let mut new = r.clone();
    for old in new.causes.iter_mut().filter(|old| old.id == read.id) {
        *old = read.clone();
    }
    let mut w = write(&app, &who).await?;
    store::change(&mut w, (&r, r.version), new).await?;
    w.commit().await?;
    see_other(&address(no, review))
}

/// `POST /c/{no}/reviews/{review}/causes/{cause}/remove`: it was named by mistake. It stays in the history.
pub async fn remove(
    State(app): State<App>,
    who: Who,
    Path((no, review, cause)): Path<(i64, i64, String)>,
    mut form: Fields,
) -> Result<Response> {
    let (_, r) = find_in_use(&app, no, review).await?;
    let id = find_cause(&r, &cause)?.id;
    let version = form.version();
    let mut new = r.clone();
    new.causes.retain(|c| c.id != id);
    if !new.is_open() && new.causes.iter().all(|c| c.sure == Sure::RuledOut) {
        return Err(Error::Refused(
            "A closed review keeps at least one cause. Open it again first.".to_owned(),
        ));
    }
    let mut w = write(&app, &who).await?;
    store::change(&mut w, (&r, version), new).await?;
    w.commit().await?;
    see_other(&address(no, review))
}
