//! Changing what a review says of what was seen, when, and what it cost.

use super::new::{changes, symptom_label};
use super::{Groups, Options, address, at, find_in_use};
use crate::features::conversions::model::{Conversion, options};
use crate::features::conversions::{Head, head};
use crate::features::people::extract::write;
use crate::features::reviews::catalogue::Symptom;
use crate::features::reviews::model::Review;
use crate::features::reviews::{forms, gather, store};
use crate::web::{App, Fields, Page, Path, Result, Sheet, Shell, Who, see_other, when};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

/// The page.
#[derive(Debug, Template)]
#[template(path = "reviews/edit.html")]
pub struct EditPage {
    shell: Shell,
    head: Head,
    no: i64,
    form: Fields,
    symptoms: Options,
    changes: Groups,
    theirs: Vec<(&'static str, String)>,
}

async fn page(
    app: &App,
    who: &Who,
    (c, r): (&Conversion, &Review),
    (form, theirs, status): (Fields, Vec<(&'static str, String)>, StatusCode),
) -> Result<Response> {
    let at = at(app);
    let moment = when::parse(form.value("at"), at.offset).unwrap_or(r.draft.at);
    let mut conn = app.db.pool.acquire().await?;
    let mut happened = gather::happened(&mut conn, c.id).await?;
    drop(conn);
    if let Some(named) = &r.draft.changed
        && !happened.contains(named)
    {
        happened.retain(|h| h.code() != named.code());
        happened.push(named.clone());
    }
    let page = EditPage {
        shell: Shell::new(app, who, format!("Review {} · № {} {}", r.no, c.no, c.draft.title), "/"),
        head: head(c, app, Some(Sheet::Review)),
        no: r.no,
        form,
        symptoms: options::<Symptom>(),
        changes: changes(happened, moment, at),
        theirs,
    };
    Ok(Page(status, page).into_response())
}

/// `GET /c/{no}/reviews/{review}/edit`
pub async fn edit(
    State(app): State<App>,
    who: Who,
    Path((no, review)): Path<(i64, i64)>,
) -> Result<Response> {
    let (c, r) = find_in_use(&app, no, review).await?;
    page(&app, &who, (&c, &r), (forms::fill(&r, &app), Vec::new(), StatusCode::OK)).await
}

/// `POST /c/{no}/reviews/{review}/edit`
pub async fn update(
    State(app): State<App>,
    who: Who,
    Path((no, review)): Path<(i64, i64)>,
    mut form: Fields,
) -> Result<Response> {
    let (c, r) = find_in_use(&app, no, review).await?;
    let mut conn = app.db.pool.acquire().await?;
    let happened = gather::happened(&mut conn, c.id).await?;
    drop(conn);
    let version = form.version();
    let Some(draft) = forms::read(&mut form, &app, &happened, Some(&r)) else {
        let given = (form, Vec::new(), StatusCode::UNPROCESSABLE_ENTITY);
        return page(&app, &who, (&c, &r), given).await;
    };
    if version != r.version {
        form.set("version", r.version.to_string());
        let theirs = theirs(&form, &r, &app);
        return page(&app, &who, (&c, &r), (form, theirs, StatusCode::CONFLICT)).await;
    }
    let mut w = write(&app, &who).await?;
    store::change(&mut w, (&r, version), Review { draft, ..r.clone() }).await?;
    w.commit().await?;
    see_other(&address(no, review))
}

/// Fields in which what is kept differs from what was typed; where none does, that something else changed.
fn theirs(form: &Fields, r: &Review, app: &App) -> Vec<(&'static str, String)> {
    let kept = forms::fill(r, app);
    let shown = |name: &str| match name {
        "symptom" => symptom_label(kept.value(name)),
        "changed" => r.draft.changed.as_ref().map(|h| h.words.clone()).unwrap_or_default(),
        _ => kept.value(name).to_owned(),
    };
    let mut out: Vec<(&'static str, String)> = forms::LABELS
        .iter()
        .filter(|(name, _)| kept.value(name) != form.value(name))
        .map(|(name, label)| (*label, shown(name)))
        .collect();
    if out.is_empty() {
        out.push(("Besides", "its causes, parts or lesson were changed".to_owned()));
    }
    out
}
