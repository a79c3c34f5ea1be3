//! The calculations of one conversion: a list with their aspects, and a form filled in from what the
//! conversion knows.

use super::form::Row;
use super::keep::{Settled, settle, standing};
use super::known::Origin;
use super::model::Saved;
use super::pages::{MOST_SHOWN, named};
use super::sheet::Sheet;
use super::store;
use super::view::{AnswerView, view};
use crate::aspect::Aspect;
use crate::calc::{self, Calculation, Refusals};
use crate::draw::arm;
use crate::draw::svg::escape;
use crate::features::conversions::{Head, head, sheet};
use crate::features::gates::gather::Gathered;
use crate::features::gates::view::At;
use crate::features::people::extract::write;
use crate::web::form::new_token;
use crate::web::{App, Fields, Page, Path, Result, Sheet as Tab, Shell, Who, see_other, when};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde_json::Value;

/// The list.
#[derive(Debug, Template)]
#[template(path = "calculators/own_list.html")]
pub struct ListPage {
    shell: Shell,
    head: Head,
    all: Vec<Entry>,
}

/// One calculation in the list.
#[derive(Debug)]
pub struct Entry {
    name: &'static str,
    title: &'static str,
    asp: String,
    says: String,
    kept: String,
}

/// `25 Nov 21:38, Ines`.
pub(super) fn kept_by(s: &Saved, at: At) -> String {
    let day = when::day_time(s.at, at.now, at.offset);
    if s.person.is_empty() { day } else { format!("{day}, {}", s.person) }
}

/// The conversion and every input kept in it.
pub(super) async fn opened(app: &App, no: i64) -> Result<(Gathered, Vec<Saved>, At)> {
    let g = sheet::gathered(app, no).await?;
    let mut conn = app.db.pool.acquire().await?;
    let saved = store::list(&mut conn, g.conversion.id).await?;
    Ok((g, saved, At { now: app.now(), offset: app.offset }))
}

fn entry(s: &Sheet, at: At) -> Entry {
    let (aspect, says) = match s.answer() {
        Ok(answer) => (answer.aspect, answer.sentence),
        Err(refused) => (Aspect::Unlit, missing(s, &refused)),
    };
    Entry {
        name: s.c.name,
        title: s.c.title,
        asp: arm::asp(aspect),
        says,
        kept: s.saved.as_ref().map(|k| kept_by(k, at)).unwrap_or_default(),
    }
}

/// What is still to be written, in words.
fn missing(s: &Sheet, refused: &Refusals) -> String {
    let names: Vec<String> = refused
        .iter()
        .filter(|r| !r.field.is_empty())
        .map(|r| s.form.label(&r.field))
        .take(3)
        .collect();
    if names.is_empty() {
        "Not enough is written down yet.".to_owned()
    } else {
        format!("Not worked out yet. To be written: {}.", names.join("; "))
    }
}

/// `GET /c/{no}/calc`
pub async fn list(State(app): State<App>, who: Who, Path(no): Path<i64>) -> Result<Response> {
    let (g, saved, at) = opened(&app, no).await?;
    let sheets = calc::ALL.iter().map(|c| Sheet::of(&g, c, &saved, at));
    let page = ListPage {
        shell: sheet::shell(&app, &who, &g, (2, "Work out")),
        head: head(&g.conversion, &app, Some(Tab::Bench)),
        all: sheets.map(|s| entry(&s, at)).collect(),
    };
    Ok(Page::ok(page).into_response())
}

/// One calculation.
#[derive(Debug, Template)]
#[template(path = "calculators/own.html")]
pub struct OwnPage {
    shell: Shell,
    head: Head,
    c: &'static Calculation,
    rows: Vec<Row>,
    form: Fields,
    answer: Option<AnswerView>,
    tried: bool,
    json: String,
    kept: String,
    version: i64,
    theirs: String,
    fixed: Vec<Origin>,
    notes: Vec<Origin>,
    known: Vec<(String, Origin, String)>,
}

impl OwnPage {
    /// Where a field's value comes from, as a line below it.
    fn said(&self, name: &str) -> String {
        let Some((_, origin, known)) = self.known.iter().find(|(path, ..)| path == name) else {
            return String::new();
        };
        let link = format!(
            "<a href=\"{}\">{}<span class=\"vh\"> for {}</span></a>",
            escape(&origin.href),
            escape(&origin.words),
            escape(&name.replace(['.', '_'], " "))
        );
        if known.is_empty() || self.form.is(name, known) {
            format!("<p class=\"said\">from {link}</p>")
        } else {
            format!("<p class=\"said\">written here; {} from {link}</p>", escape(known))
        }
    }
}

/// What a page is shown with.
struct Given {
    form: Fields,
    answer: Option<AnswerView>,
    tried: bool,
    theirs: String,
    status: StatusCode,
}

fn page(app: &App, who: &Who, (g, s, at): (&Gathered, &Sheet, At), given: Given) -> Response {
    let mut form = given.form;
    let version = standing(s.saved.as_ref());
    if form.value("token").is_empty() {
        form.set("token", new_token());
    }
    let kept = s.saved.is_some() && !given.tried && !form.any_wrong();
    s.form.spare(&mut form, kept);
    let standing = s.form.fill(&Value::Object(s.known.json.clone()));
    let known = s.known.from.iter().map(|(path, origin)| {
        let value = standing.value(path);
        (path.clone(), origin.clone(), if value == "1" { String::new() } else { value.to_owned() })
    });
    let whole = s.whole(&s.written());
    let page = OwnPage {
        shell: sheet::shell(app, who, g, (2, s.c.title)),
        head: head(&g.conversion, app, Some(Tab::Bench)),
        c: s.c,
        rows: rows(s, &form),
        answer: given.answer,
        tried: given.tried,
        json: serde_json::to_string_pretty(&whole)
            .ok()
            .filter(|text| text.len() < MOST_SHOWN)
            .unwrap_or_else(|| "Too long to show here: it holds a whole log.".to_owned()),
        kept: s.saved.as_ref().map(|k| kept_by(k, at)).unwrap_or_default(),
        version,
        theirs: given.theirs,
        fixed: s.known.fixed.iter().map(|(_, o)| o.clone()).collect(),
        notes: s.known.notes.clone(),
        known: known.collect(),
        form,
    };
    Page(given.status, page).into_response()
}

/// The rows of the form; list rows that come whole from the notebook are folded away. Lamps are not:
/// their volts are still to be written.
fn rows(s: &Sheet, form: &Fields) -> Vec<Row> {
    let mut rows = s.form.rows(form);
    let wrong = |name: &str| form.all_wrong().any(|(field, _)| field.starts_with(name));
    for row in &mut rows {
        if let Row::Open { name, folded, .. } = row
            && s.c.name != "lights"
            && s.known.origin(name).is_some()
            && !wrong(name)
        {
            *folded = true;
        }
    }
    rows
}

/// `GET /c/{no}/calc/{name}`
pub async fn show(
    State(app): State<App>,
    who: Who,
    Path((no, name)): Path<(i64, String)>,
) -> Result<Response> {
    let c = named(&name)?;
    if c.name == "trace" {
        return see_other(&format!("/c/{no}/trace"));
    }
    let (g, saved, at) = opened(&app, no).await?;
    let s = Sheet::of(&g, c, &saved, at);
    let form = s.form.fill(&Value::Object(s.written()));
    let answer = s.answer().ok().filter(|_| s.begun()).map(view);
    let given = Given { form, answer, tried: false, theirs: String::new(), status: StatusCode::OK };
    Ok(page(&app, &who, (&g, &s, at), given))
}

/// `POST /c/{no}/calc/{name}`: `do=try` works out only, anything else keeps too.
pub async fn update(
    State(app): State<App>,
    who: Who,
    Path((no, name)): Path<(i64, String)>,
    mut form: Fields,
) -> Result<Response> {
    let c = named(&name)?;
    let (g, saved, at) = opened(&app, no).await?;
    let s = Sheet::of(&g, c, &saved, at);
    let address = format!("/c/{no}/calc/{name}");
    let settled = settle((&app, &who), (&g, &s, at), &mut form, &address).await?;
    let (answer, theirs, status) = match settled {
        Settled::Kept(response) => return Ok(response),
        Settled::Tried(answer) => (Some(*answer), String::new(), StatusCode::OK),
        Settled::Bad => (None, String::new(), StatusCode::UNPROCESSABLE_ENTITY),
        Settled::Conflict(theirs, answer) => (Some(*answer), theirs, StatusCode::CONFLICT),
    };
    let given = Given { form, tried: answer.is_some(), answer, theirs, status };
    Ok(page(&app, &who, (&g, &s, at), given))
}

/// `POST /c/{no}/calc/{name}/aside`: forgets what was kept.
pub async fn aside(
    State(app): State<App>,
    who: Who,
    Path((no, name)): Path<(i64, String)>,
    mut form: Fields,
) -> Result<Response> {
    let c = named(&name)?;
    let conversion = sheet::find(&app, no).await?;
    let version = form.version();
    let mut w = write(&app, &who).await?;
    let old = store::find(w.conn(), conversion.id, c.name).await?;
    if let Some(old) = old.filter(|o| !o.aside) {
        store::put_aside(&mut w, conversion.id, (&old, version)).await?;
        w.commit().await?;
    }
    see_other(&format!("/c/{no}/calc/{name}"))
}
