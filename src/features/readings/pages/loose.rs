//! Any other reading.

use super::bench::{fresh, keep, meters};
use crate::choice::Choice;
use crate::features::conversions::model::options;
use crate::features::conversions::{Head, head, sheet};
use crate::features::gates::gather::Gathered;
use crate::features::readings::forms::{self, Meters};
use crate::features::readings::model::{DecoderState, Kind, Shell as ShellState, Warmth};
use crate::web::{App, Fields, Page, Path, Result, Sheet, Shell, Who, when};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

type Options = Vec<(&'static str, &'static str)>;

/// The form of any other reading.
#[derive(Debug, Template)]
#[template(path = "readings/new.html")]
pub struct NewPage {
    shell: Shell,
    head: Head,
    form: Fields,
    kinds: Options,
    shells: Options,
    decoders: Options,
    warmths: Options,
    instruments: Vec<(String, String)>,
    loads: Vec<String>,
}

async fn page(
    app: &App,
    who: &Who,
    g: &Gathered,
    (form, status): (Fields, StatusCode),
) -> Result<Response> {
    let instruments = meters(app).await?;
    let page = NewPage {
        shell: sheet::shell(app, who, g, (2, "Another reading")),
        head: head(&g.conversion, app, Some(Sheet::Bench)),
        form,
        kinds: Kind::LOOSE.iter().map(|k| (k.code(), k.label())).collect(),
        shells: options::<ShellState>(),
        decoders: options::<DecoderState>(),
        warmths: options::<Warmth>(),
        instruments: instruments.into_iter().map(|i| (i.id.to_string(), i.draft.name)).collect(),
        loads: g.loads.iter().map(|l| l.draft.name.clone()).collect(),
    };
    Ok(Page(status, page).into_response())
}

/// `GET /c/{no}/readings/new`
pub async fn new(State(app): State<App>, who: Who, Path(no): Path<i64>) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    let mut form = fresh(&g);
    form.set("taken", when::field_value(app.now(), app.offset));
    page(&app, &who, &g, (form, StatusCode::OK)).await
}

/// `POST /c/{no}/readings`
pub async fn create(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    let instruments = meters(&app).await?;
    match forms::loose(&mut form, &app, &Meters(&instruments)) {
        Some(draft) => {
            keep(&app, &who, &g, (&mut form, vec![draft]), &format!("/c/{no}/bench")).await
        }
        None => page(&app, &who, &g, (form, StatusCode::UNPROCESSABLE_ENTITY)).await,
    }
}
