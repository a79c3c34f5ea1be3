//! A page for every calculation, by hand.

use super::form::{Form, Row};
use super::view::{AnswerView, view};
use crate::calc::{self, Calculation, Refusals};
use crate::web::{App, Error, Fields, Page, Path, Query, Result, Shell, Who};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

/// Longest input shown as JSON, bytes.
pub(super) const MOST_SHOWN: usize = 50_000;

/// The list.
#[derive(Debug, Template)]
#[template(path = "calculators/list.html")]
pub struct ListPage {
    shell: Shell,
    all: &'static [Calculation],
}

/// `GET /calc`
pub async fn list(State(app): State<App>, who: Who) -> Result<Response> {
    let shell = Shell::new(&app, &who, "Work out", "/calc");
    Ok(Page::ok(ListPage { shell, all: calc::ALL }).into_response())
}

/// One calculation.
#[derive(Debug, Template)]
#[template(path = "calculators/show.html")]
pub struct ShowPage {
    shell: Shell,
    c: &'static Calculation,
    rows: Vec<Row>,
    files: bool,
    form: Fields,
    answer: Option<AnswerView>,
    json: String,
}

impl ShowPage {
    /// Where a field's value comes from: by hand, always from the person.
    #[expect(clippy::unused_self, reason = "the rows' template asks every page that shows them")]
    fn said(&self, _name: &str) -> &'static str {
        ""
    }
}

/// The calculation of that name, or “there is no …”.
pub(super) fn named(name: &str) -> Result<&'static Calculation> {
    calc::find(name).ok_or_else(|| Error::NotFound(format!("calculation called {name}")))
}

/// Notes what a calculation refused beside the fields.
pub(super) fn refuse(of: &Form, form: &mut Fields, refused: Refusals) {
    for r in refused {
        let what = if r.field.is_empty() { "Input".to_owned() } else { of.label(&r.field) };
        form.refuse(&r.field, format!("{what}: {}. Allowed: {}.", r.given, r.allowed));
    }
}

/// Whether the example is wanted.
#[derive(Debug, Deserialize)]
pub struct Start {
    example: Option<String>,
}

fn page(
    app: &App,
    who: &Who,
    c: &'static Calculation,
    (form, answer, json): (Fields, Option<AnswerView>, String),
) -> Response {
    let status = if form.any_wrong() { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
    let shell = Shell::new(app, who, c.title, "/calc");
    let of = Form::of(c);
    let mut form = form;
    of.spare(&mut form, false);
    let (rows, files) = (of.rows(&form), of.takes_files());
    Page(status, ShowPage { shell, c, rows, files, form, answer, json }).into_response()
}

/// `GET /calc/{name}`
pub async fn show(
    State(app): State<App>,
    who: Who,
    Path(name): Path<String>,
    Query(start): Query<Start>,
) -> Result<Response> {
    let c = named(&name)?;
    let example = if start.example.is_some() { c.example } else { "{}" };
    let form = Form::of(c).fill(&serde_json::from_str(example).unwrap_or_default());
    Ok(page(&app, &who, c, (form, None, String::new())))
}

/// `POST /calc/{name}`
pub async fn run(
    State(app): State<App>,
    who: Who,
    Path(name): Path<String>,
    mut form: Fields,
) -> Result<Response> {
    let c = named(&name)?;
    let json = Form::of(c).json(&mut form);
    if form.any_wrong() {
        return Ok(page(&app, &who, c, (form, None, String::new())));
    }
    match (c.run)(&json.to_string()) {
        Ok(answer) => {
            let shown = serde_json::to_string_pretty(&json).unwrap_or_default();
            let shown = if shown.len() > MOST_SHOWN { String::new() } else { shown };
            Ok(page(&app, &who, c, (form, Some(view(answer)), shown)))
        }
        Err(refused) => {
            refuse(&Form::of(c), &mut form, refused);
            Ok(page(&app, &who, c, (form, None, String::new())))
        }
    }
}
