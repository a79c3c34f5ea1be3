//! A page for every calculation.

use super::form::{Form, Row};
use crate::aspect::Finding;
use crate::calc::{self, Answer, Calculation};
use crate::draw::arm;
use crate::units::exact;
use crate::web::{App, Error, Fields, Page, Path, Query, Result, Shell, Who};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

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
    form: Fields,
    answer: Option<AnswerView>,
    json: String,
}

/// An answer as shown.
#[derive(Debug)]
pub struct AnswerView {
    asp: String,
    sentence: String,
    values: Vec<ValueView>,
    findings: Vec<(String, Finding)>,
}

/// One value of an answer.
#[derive(Debug)]
pub struct ValueView {
    label: String,
    value: String,
    bounds: String,
    formula: String,
    source: String,
}

fn view(a: Answer) -> AnswerView {
    AnswerView {
        asp: arm::asp(a.aspect),
        sentence: a.sentence,
        values: a
            .values
            .into_iter()
            .map(|v| ValueView {
                value: format!("{}\u{a0}{}", exact(v.value), v.unit).trim_end().to_owned(),
                bounds: if v.lo < v.hi {
                    format!("{} to {}", exact(v.lo), exact(v.hi))
                } else {
                    String::new()
                },
                label: v.label,
                formula: v.formula,
                source: v.source,
            })
            .collect(),
        findings: a.findings.into_iter().map(|f| (arm::asp(f.aspect), f)).collect(),
    }
}

fn named(name: &str) -> Result<&'static Calculation> {
    calc::find(name).ok_or_else(|| Error::NotFound(format!("calculation called {name}")))
}

fn form_of(c: &Calculation) -> Form {
    Form::new(&serde_json::to_value((c.input_schema)()).unwrap_or_default())
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
    let rows = form_of(c).rows(&form);
    Page(status, ShowPage { shell, c, rows, form, answer, json }).into_response()
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
    let form = form_of(c).fill(&serde_json::from_str(example).unwrap_or_default());
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
    let json = form_of(c).json(&mut form);
    if form.any_wrong() {
        return Ok(page(&app, &who, c, (form, None, String::new())));
    }
    match (c.run)(&json.to_string()) {
        Ok(answer) => {
            let shown = serde_json::to_string_pretty(&json).unwrap_or_default();
            Ok(page(&app, &who, c, (form, Some(view(answer)), shown)))
        }
        Err(refused) => {
            for r in refused {
                form.refuse(&r.field, format!("{}: {}. Allowed: {}.", r.field, r.given, r.allowed));
            }
            Ok(page(&app, &who, c, (form, None, String::new())))
        }
    }
}
