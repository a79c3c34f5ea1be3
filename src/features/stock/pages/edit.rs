//! The form of a thing that is there already.

use super::find;
use crate::features::conversions::model::options;
use crate::features::people::extract::write;
use crate::features::readings;
use crate::features::stock::model::{Draft, Kind, Stock};
use crate::features::stock::{forms, store};
use crate::web::{App, Error, Fields, Page, Path, Result, Shell, Who, see_other};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

type Theirs = Vec<(String, String)>;

/// The form.
#[derive(Debug, Template)]
#[template(path = "stock/edit.html")]
pub struct EditPage {
    shell: Shell,
    no: i64,
    name: String,
    form: Fields,
    kinds: Vec<(&'static str, &'static str)>,
    theirs: Theirs,
}

fn page(
    app: &App,
    who: &Who,
    s: &Stock,
    (form, theirs, status): (Fields, Theirs, StatusCode),
) -> Response {
    let nav = if s.place.is_some() { "/" } else { "/drawer" };
    let page = EditPage {
        shell: Shell::new(app, who, format!("Edit {}", s.title()), nav),
        no: s.no,
        name: s.title(),
        form,
        kinds: options::<Kind>(),
        theirs,
    };
    Page(status, page).into_response()
}

/// The thing, unless it is put aside.
async fn in_use(app: &App, no: i64) -> Result<Stock> {
    let s = find(app, no).await?;
    if s.aside_at.is_some() {
        return Err(Error::Refused("It is put aside. Bring it back first.".to_owned()));
    }
    Ok(s)
}

/// `GET /stock/{thing}/edit`
pub async fn edit(State(app): State<App>, who: Who, Path(thing): Path<i64>) -> Result<Response> {
    let s = in_use(&app, thing).await?;
    Ok(page(&app, &who, &s, (forms::fill(&s), Vec::new(), StatusCode::OK)))
}

/// `POST /stock/{thing}/edit`
pub async fn update(
    State(app): State<App>,
    who: Who,
    Path(thing): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let s = in_use(&app, thing).await?;
    let (version, draft) = (form.version(), forms::read(&mut form));
    if draft.as_ref().is_some_and(|d| d.kind != s.draft.kind) {
        let mut conn = app.db.pool.acquire().await?;
        if !readings::store::of_stock(&mut conn, s.id, 1).await?.is_empty() {
            form.refuse(
                "kind",
                "Readings were taken on it as a motor. Write another thing down instead.",
            );
        }
    }
    let Some(draft) = draft.filter(|_| !form.any_wrong()) else {
        return Ok(page(&app, &who, &s, (form, Vec::new(), StatusCode::UNPROCESSABLE_ENTITY)));
    };
    if version != s.version {
        form.set("version", s.version.to_string());
        let differ = differences(&s, &draft);
        return Ok(page(&app, &who, &s, (form, differ, StatusCode::CONFLICT)));
    }
    let mut w = write(&app, &who).await?;
    store::change(&mut w, (&s, version), draft).await?;
    w.commit().await?;
    see_other(&format!("/stock/{thing}"))
}

/// Where somebody else's save differs from what was typed: label and their value.
fn differences(s: &Stock, mine: &Draft) -> Theirs {
    let theirs = forms::fill(s);
    let mine = forms::fill(&Stock { draft: mine.clone(), ..s.clone() });
    forms::LABELS
        .iter()
        .filter(|(name, _)| theirs.value(name) != mine.value(name))
        .map(|(name, label)| {
            let shown = theirs.value(name);
            let shown = if shown.is_empty() { "empty" } else { shown };
            ((*label).to_owned(), shown.to_owned())
        })
        .collect()
}
