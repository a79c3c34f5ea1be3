//! Heat at the bench: the temperature now, one field and one button, and what the run says so far.

use super::keep::standing;
use super::known::heat::{Run, label, runs};
use super::model::Saved;
use super::own::{kept_by, opened};
use super::store;
use super::view::{AnswerView, view};
use super::worked::heat_input;
use crate::calc::heat;
use crate::db::{InstrumentId, Millis};
use crate::features::conversions::model::options;
use crate::features::conversions::{Head, head, sheet};
use crate::features::gates::gather::Gathered;
use crate::features::gates::view::At;
use crate::features::instruments::{self, model::Instrument};
use crate::features::people::extract::write;
use crate::features::readings;
use crate::features::readings::model::{
    Conditions, DecoderState, Draft, Kind, Outcome, Shell as ShellState,
};
use crate::units::{Dimension, Rounding, Wanted, fixed};
use crate::web::form::{Typed, new_token};
use crate::web::{
    App, Fields, Page, Path, Query, Result, Sheet as Tab, Shell, Who, see_other, when,
};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use serde_json::json;

const CELSIUS: Wanted =
    Wanted { dimension: Dimension::Temperature, bare: "°C", least: -20.0, most: 300.0 };
const AMBIENT: Wanted =
    Wanted { dimension: Dimension::Temperature, bare: "°C", least: -20.0, most: 60.0 };
const MINUTES: Wanted = Wanted { dimension: Dimension::Number, bare: "", least: 0.0, most: 1440.0 };
/// A run not read for so long, ms, is over: a new one is offered first.
const OVER_MS: Millis = 3 * 3_600_000;

type Options = Vec<(&'static str, &'static str)>;

/// The page.
#[derive(Debug, Template)]
#[template(path = "calculators/heat.html")]
pub struct HeatPage {
    shell: Shell,
    head: Head,
    wrote: Option<Wrote>,
    run: Option<RunView>,
    others: Vec<(String, String)>,
    now: Fields,
    fresh: Fields,
    limit: Fields,
    limit_kept: String,
    version: i64,
    answer: Option<AnswerView>,
    instruments: Vec<(String, String)>,
    shells: Options,
    decoders: Options,
}

/// What was written just now.
#[derive(Debug)]
pub struct Wrote {
    no: i64,
    when: String,
    what: String,
    reads: String,
    asp: String,
    means: String,
}

/// The run shown.
#[derive(Debug)]
pub struct RunView {
    no: i64,
    what: String,
    began: String,
    over: bool,
    elapsed_s: String,
    elapsed: String,
    rows: Vec<(String, String, String)>,
}

/// Which run, and what was written.
#[derive(Debug, Default, Deserialize)]
pub struct Asked {
    run: Option<i64>,
    wrote: Option<i64>,
}

/// Forms given back.
#[derive(Default)]
struct Given {
    now: Option<Fields>,
    fresh: Option<Fields>,
    limit: Option<Fields>,
}

fn minutes(seconds: f64) -> String {
    format!("{}\u{a0}min", fixed(seconds / 60.0, 1, Rounding::Nearest))
}

fn run_view(g: &Gathered, run: &Run<'_>, at: At) -> RunView {
    let row = |r: &&readings::model::Reading| {
        let href = format!("/c/{}/readings/{}", g.conversion.no, r.no);
        (minutes(run.seconds(r.draft.taken_at)), r.reads(), href)
    };
    let elapsed = run.seconds(at.now).max(0.0);
    RunView {
        no: run.no,
        what: run.what.clone(),
        began: when::day_time(run.start(), at.now, at.offset),
        over: at.now - run.last() > OVER_MS,
        elapsed_s: fixed(elapsed, 0, Rounding::Nearest),
        elapsed: minutes(elapsed),
        rows: run.readings.iter().map(row).collect(),
    }
}

fn wrote(
    run: Option<&Run<'_>>,
    asked: &Asked,
    answer: Option<&AnswerView>,
    at: At,
) -> Option<Wrote> {
    let run = run?;
    let r = run.readings.iter().find(|r| Some(r.no) == asked.wrote)?;
    Some(Wrote {
        no: r.no,
        when: when::clock_time(r.entered_at, at.offset),
        what: format!("{} after {}", run.what, minutes(run.seconds(r.draft.taken_at))),
        reads: r.reads(),
        asp: answer.map(|a| a.asp.clone()).unwrap_or_default(),
        means: answer.map(|a| a.sentence.clone()).unwrap_or_default(),
    })
}

/// A fresh form of a run: a token, and the conditions of the reading before.
fn form_of(run: Option<&Run<'_>>) -> Fields {
    use crate::choice::Choice;
    let mut form = Fields::with([("token", new_token())]);
    let last = run.and_then(|r| r.readings.last()).map(|r| &r.draft.conditions);
    if let Some(c) = last {
        form.set("instrument", c.instrument_id.map(|i| i.to_string()).unwrap_or_default());
        form.set("shell", c.shell.map_or("", Choice::code));
        form.set("decoder", c.decoder.map_or("", Choice::code));
    }
    form.set("run", run.map(|r| r.no.to_string()).unwrap_or_default());
    form
}

/// The form of limit and ambient temperature, as kept.
fn limit_form(saved: Option<&Saved>) -> Fields {
    let kept = |field: &str| {
        saved.and_then(|s| s.input.get(field)).map(ToString::to_string).unwrap_or_default()
    };
    let token = ("token", new_token());
    Fields::with([token, ("limit_c", kept("limit_c")), ("ambient_c", kept("ambient_c"))])
}

async fn page(
    (app, who): (&App, &Who),
    (g, saved, at): (&Gathered, &[Saved], At),
    asked: &Asked,
    (given, status): (Given, StatusCode),
) -> Result<Response> {
    let meters = meters(app).await?;
    let all = runs(&g.readings);
    let run = all.iter().find(|r| asked.run.is_none_or(|no| r.no == no));
    let kept = saved.iter().find(|s| s.name == "heat");
    let answer =
        run.and_then(|r| heat::run(&heat_input(r, kept)).ok()).map(|out| view(out.answer()));
    let others = all.iter().filter(|r| run.is_none_or(|shown| shown.no != r.no)).map(|r| {
        let day = when::day(r.start(), at.now, at.offset);
        let words = format!("Run {}, {}, {day}, {} readings", r.no, r.what, r.readings.len());
        (format!("/c/{}/heat?run={}", g.conversion.no, r.no), words)
    });
    let page = HeatPage {
        shell: sheet::shell(app, who, g, (2, "Heat")).script("heat.js"),
        head: head(&g.conversion, app, Some(Tab::Bench)),
        wrote: wrote(run, asked, answer.as_ref(), at),
        run: run.map(|r| run_view(g, r, at)),
        others: others.collect(),
        now: given.now.unwrap_or_else(|| form_of(run)),
        fresh: given.fresh.unwrap_or_else(|| {
            let mut form = form_of(run);
            form.set("run", "");
            form
        }),
        limit: given.limit.unwrap_or_else(|| limit_form(kept)),
        limit_kept: kept.map(|k| kept_by(k, at)).unwrap_or_default(),
        version: standing(kept),
        answer,
        instruments: meters.into_iter().map(|i| (i.id.to_string(), i.draft.name)).collect(),
        shells: options::<ShellState>(),
        decoders: options::<DecoderState>(),
    };
    Ok(Page(status, page).into_response())
}

async fn meters(app: &App) -> Result<Vec<Instrument>> {
    let mut conn = app.db.pool.acquire().await?;
    Ok(instruments::store::list(&mut conn).await?)
}

/// `GET /c/{no}/heat`
pub async fn show(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    Query(asked): Query<Asked>,
) -> Result<Response> {
    let (g, saved, at) = opened(&app, no).await?;
    page((&app, &who), (&g, &saved, at), &asked, (Given::default(), StatusCode::OK)).await
}

/// Where in which run a reading belongs.
struct Place {
    what: String,
    no: i64,
    at: Millis,
    after_s: f64,
}

/// The place of a reading of a run under way: so many minutes after its beginning, else now.
fn in_run(form: &mut Fields, run: &Run<'_>, now: Millis) -> Place {
    let typed = form.optional_quantity("minutes", &MINUTES);
    let at = typed.map_or(now, |t| run.start() + millis(t.value));
    if run.readings.iter().any(|r| r.draft.taken_at == at) {
        form.refuse("minutes", "There is a reading of this run at that minute. Write another one.");
    }
    if at > now + 300_000 {
        form.refuse("minutes", "That minute is still to come. Leave it empty for now.");
    }
    Place { what: run.what.clone(), no: run.no, at, after_s: run.seconds(at) }
}

/// Minutes as milliseconds.
#[expect(clippy::cast_possible_truncation, reason = "at most a day of minutes")]
fn millis(minutes: f64) -> Millis {
    (minutes * 60_000.0).round() as Millis
}

/// The place of the first reading of a new run.
fn first(form: &mut Fields, app: &App, all: &[Run<'_>]) -> Place {
    let what = form.text("what", 80);
    let no = all.iter().map(|r| r.no).max().unwrap_or(0) + 1;
    Place { what, no, at: form.moment("taken", app), after_s: 0.0 }
}

/// The reading, when everything could be taken.
fn draft(form: &mut Fields, place: Place, meters: &[Instrument]) -> Option<Draft> {
    let typed: Option<Typed> = form.quantity("temp", &CELSIUS);
    let id = form.optional_id::<InstrumentId>("instrument");
    let meter = id.and_then(|id| meters.iter().find(|m| m.id == id));
    if id.is_some() && meter.is_none() {
        form.refuse("instrument", "There is no such instrument here. Choose one from the list.");
    }
    let conditions = Conditions {
        shell: form.optional_choice::<ShellState>("shell"),
        decoder: form.optional_choice::<DecoderState>("decoder"),
        remark: form.optional_text("remark", 500),
        instrument_id: meter.map(|m| m.id),
        method: format!("{}, {} after switching on", label(place.no), minutes(place.after_s)),
        ..Conditions::default()
    };
    if form.any_wrong() {
        return None;
    }
    let t = typed?;
    let mut d = Draft::new(Kind::Temperature, Outcome::Value(t.value), t.typed, place.at);
    d.point_a = place.what;
    d.point_b = label(place.no);
    d.accuracy = meter.and_then(|m| m.accuracy(Dimension::Temperature, t.value));
    d.conditions = conditions;
    Some(d)
}

/// `POST /c/{no}/heat`: a reading of a run (`run` is its number), or the first of a new one.
pub async fn create(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let (g, saved, at) = opened(&app, no).await?;
    let meters = meters(&app).await?;
    let all = runs(&g.readings);
    let named = form.value("run").parse::<i64>().ok();
    let run = named.and_then(|no| all.iter().find(|r| r.no == no));
    let token = form.token();
    if named.is_some() && run.is_none() {
        form.refuse("run", "This run has no readings any more. Begin a new one.");
    }
    let place = match run {
        Some(run) => in_run(&mut form, run, at.now),
        None => first(&mut form, &app, &all),
    };
    let number = place.no;
    // a form sent twice finds its own reading in place: what it wrote then is the answer
    let mut w = write(&app, &who).await?;
    if let Some(token) = token
        && let Some(answer) = w.seen(token).await?
    {
        return see_other(&answer);
    }
    let Some(draft) = draft(&mut form, place, &meters) else {
        drop(w);
        let asked = Asked { run: named, wrote: None };
        let given = match run {
            Some(_) => Given { now: Some(form), ..Given::default() },
            None => Given { fresh: Some(form), ..Given::default() },
        };
        let status = StatusCode::UNPROCESSABLE_ENTITY;
        return page((&app, &who), (&g, &saved, at), &asked, (given, status)).await;
    };
    let kept = readings::store::add(&mut w, g.conversion.id, draft).await?;
    let answer = format!("/c/{no}/heat?run={number}&wrote={}", kept.no);
    w.commit_form(token, &answer).await?;
    see_other(&answer)
}

/// `POST /c/{no}/heat/limit`: what it may reach, and the air about it.
pub async fn limit(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let (g, saved, at) = opened(&app, no).await?;
    let token = form.token();
    let version = form.whole("version", 0, i64::MAX).unwrap_or(0);
    let limit = form.optional_quantity("limit_c", &CELSIUS);
    let ambient = form.optional_quantity("ambient_c", &AMBIENT);
    let mut w = write(&app, &who).await?;
    let address = format!("/c/{no}/heat");
    if let Some(token) = token
        && w.seen(token).await?.is_some()
    {
        return see_other(&address);
    }
    let old = store::find(w.conn(), g.conversion.id, "heat").await?;
    let other = standing(old.as_ref()) != version;
    if other {
        form.refuse(
            "limit_c",
            "Somebody wrote another limit meanwhile. Write yours again to put it over theirs.",
        );
    }
    if form.any_wrong() {
        drop(w);
        let status = if other { StatusCode::CONFLICT } else { StatusCode::UNPROCESSABLE_ENTITY };
        let given = (Given { limit: Some(form), ..Given::default() }, status);
        return page((&app, &who), (&g, &saved, at), &Asked::default(), given).await;
    }
    let mut input = old.as_ref().filter(|o| !o.aside).map(|o| o.input.clone()).unwrap_or_default();
    for (field, typed) in [("limit_c", limit), ("ambient_c", ambient)] {
        match typed {
            Some(t) => input.insert(field.to_owned(), json!(t.value)),
            None => input.remove(field),
        };
    }
    let seen = old.as_ref().map_or(0, |o| o.version);
    store::keep(&mut w, g.conversion.id, (old.as_ref(), seen), ("heat", input)).await?;
    w.commit_form(token, &address).await?;
    see_other(&address)
}
