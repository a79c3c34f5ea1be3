//! One card: what to do, what to expect, the form, what each run came to.

use super::view::{self, RunView, newest};
use crate::calc::card::{AskKind, Bench, Card, CardName, Shell as Body, Twin, card};
use crate::choice::Choice;
use crate::features::conversions::model::options;
use crate::features::conversions::{Head, head, sheet};
use crate::features::gates::gather::Gathered;
use crate::features::gates::view::At;
use crate::features::instruments::{self, model::Instrument};
use crate::features::people::extract::write;
use crate::features::snags::model::{GateName, Severity};
use crate::features::test_runs::model::Run;
use crate::features::test_runs::{forms, store};
use crate::web::form::new_token;
use crate::web::{
    App, Error, Fields, Page, Path, Query as Address, Result, Sheet, Shell, Who, see_other, when,
};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

type Options = Vec<(&'static str, &'static str)>;

/// The page of one card.
#[derive(Debug, Template)]
#[template(path = "test_runs/show.html")]
pub struct ShowPage {
    shell: Shell,
    head: Head,
    card: &'static Card,
    body: Body,
    tabs: Vec<TabView>,
    empty: String,
    asks: Vec<AskView>,
    meters: Vec<(&'static str, &'static str)>,
    instruments: Vec<(String, String)>,
    form: Fields,
    wrote: Option<RunView>,
    twin_href: String,
    snag: Fields,
    severities: Options,
    gates: Options,
    runs: Vec<RunView>,
}

/// Shell off or on.
#[derive(Debug)]
pub struct TabView {
    word: &'static str,
    href: String,
    current: bool,
}

/// One thing to write down.
#[derive(Debug)]
pub struct AskView {
    name: String,
    tap: String,
    label: String,
    expect: String,
    unit: &'static str,
    choices: &'static [(&'static str, &'static str)],
    is_ohms: bool,
    is_text: bool,
    value: String,
    tapped: String,
    problem: String,
}

/// With which shell, and the run written just now.
#[derive(Debug, Default, Deserialize)]
pub struct Query {
    shell: Option<String>,
    run: Option<i64>,
}

fn named(key: &str) -> Result<&'static Card> {
    CardName::from_key(key)
        .map(card)
        .ok_or_else(|| Error::NotFound(format!("test card called {key}")))
}

/// The shell asked for in the address; else the twin where the shell-off run is done, else what the
/// card begins with.
fn body(g: &Gathered, c: &Card, asked: Option<&str>) -> Body {
    let asked = asked.and_then(Body::from_key).filter(|b| c.twin.takes(*b));
    let done = |b| newest(&g.runs, c.name, b).is_some();
    asked.unwrap_or(match c.twin {
        Twin::OnOnly => Body::On,
        Twin::Both if done(Body::Off) && !done(Body::On) => Body::On,
        Twin::OffOnly | Twin::Both => Body::Off,
    })
}

fn ask_views(g: &Gathered, c: &Card, body: Body, form: &Fields) -> Vec<AskView> {
    view::asked(g, c.name, body)
        .into_iter()
        .enumerate()
        .map(|(i, ask)| {
            let name = forms::field(i);
            let tap = format!("{name}-tap");
            AskView {
                value: form.value(&name).to_owned(),
                tapped: form.value(&tap).to_owned(),
                problem: form.problem(&name).to_owned(),
                unit: match ask.kind {
                    AskKind::Number(w) | AskKind::Ohms(w) => w.bare,
                    AskKind::Choice(_) | AskKind::Text => "",
                },
                choices: match ask.kind {
                    AskKind::Choice(list) => list,
                    _ => &[],
                },
                is_ohms: matches!(ask.kind, AskKind::Ohms(_)),
                is_text: matches!(ask.kind, AskKind::Text),
                label: ask.label,
                expect: ask.expect,
                name,
                tap,
            }
        })
        .collect()
}

fn tabs(no: i64, c: &Card, body: Body) -> Vec<TabView> {
    let both = [Body::Off, Body::On].into_iter().filter(|b| c.twin.takes(*b));
    both.map(|b| TabView {
        word: b.word(),
        href: format!("/c/{no}/cards/{}?shell={}", c.name.key(), b.key()),
        current: b == body,
    })
    .collect()
}

/// A fresh form: the instruments of last time, nothing entered.
fn fresh() -> Fields {
    Fields::with([("token", new_token())])
}

/// The snag that a run offers.
fn snag(run: Option<&RunView>) -> Fields {
    let of = |pick: fn(&RunView) -> String| run.map(pick).unwrap_or_default();
    Fields::with([
        ("what", of(|r| r.snag.clone())),
        ("severity", of(|r| r.severity.to_owned())),
        ("blocks", of(|r| r.blocks.to_owned())),
        ("token", new_token()),
    ])
}

async fn page(
    app: &App,
    who: &Who,
    (g, c, body): (&Gathered, &'static Card, Body),
    (mut form, written, status): (Fields, Option<i64>, StatusCode),
) -> Result<Response> {
    let instruments = meters(app).await?;
    let at = At { now: app.now(), offset: app.offset };
    let bench = Bench::of(&g.snapshot);
    let no = g.conversion.no;
    let asks = view::asked(g, c.name, body);
    form.set("asked", forms::asked(&asks));
    let of_card: Vec<&Run> = g.runs.iter().filter(|r| r.card == c.name).collect();
    let wrote = of_card.iter().find(|r| Some(r.no) == written && r.taken_back_at.is_none());
    let twin = wrote.is_some_and(|r| c.twin == Twin::Both && r.shell == Body::Off);
    let wrote = wrote.map(|r| view::run(g, r, &bench, at));
    let page = ShowPage {
        shell: sheet::shell(app, who, g, (2, c.title)),
        head: head(&g.conversion, app, Some(Sheet::Bench)),
        card: c,
        body,
        tabs: tabs(no, c, body),
        empty: empty(c.name, asks.len()),
        asks: ask_views(g, c, body, &form),
        meters: forms::meters(&asks),
        instruments: instruments.into_iter().map(|i| (i.id.to_string(), i.draft.name)).collect(),
        form,
        twin_href: if twin {
            format!("/c/{no}/cards/{}?shell=on", c.name.key())
        } else {
            String::new()
        },
        snag: snag(wrote.as_ref()),
        wrote,
        severities: options::<Severity>(),
        gates: GateName::ALL.iter().map(|x| (x.code(), x.label())).collect(),
        runs: of_card.into_iter().map(|r| view::run(g, r, &bench, at)).collect(),
    };
    Ok(Page(status, page).into_response())
}

/// What has to be there before the card can ask; empty where it can.
fn empty(name: CardName, asks: usize) -> String {
    match name {
        CardName::Functions if asks == 0 => "loads".to_owned(),
        CardName::Pickup if asks == 0 => "wheels".to_owned(),
        _ => String::new(),
    }
}

async fn meters(app: &App) -> Result<Vec<Instrument>> {
    let mut conn = app.db.pool.acquire().await?;
    Ok(instruments::store::list(&mut conn).await?)
}

/// `GET /c/{no}/cards/{card}`
pub async fn show(
    State(app): State<App>,
    who: Who,
    Path((no, key)): Path<(i64, String)>,
    Address(q): Address<Query>,
) -> Result<Response> {
    let c = named(&key)?;
    let g = sheet::gathered(&app, no).await?;
    let body = body(&g, c, q.shell.as_deref());
    let mut form = fresh();
    form.set("done", when::field_value(app.now(), app.offset));
    page(&app, &who, (&g, c, body), (form, q.run, StatusCode::OK)).await
}

/// `POST /c/{no}/cards/{card}`
pub async fn create(
    State(app): State<App>,
    who: Who,
    Path((no, key)): Path<(i64, String)>,
    mut form: Fields,
) -> Result<Response> {
    let c = named(&key)?;
    let g = sheet::gathered(&app, no).await?;
    let said = form.one("shell");
    let shell = Body::from_key(said.trim()).filter(|b| c.twin.takes(*b));
    if shell.is_none() {
        let why = format!("This card is done {}. Say with which shell.", c.twin.word());
        form.refuse("shell", why);
    }
    let body = shell.unwrap_or_else(|| body(&g, c, None));
    let (token, asks) = (form.token(), view::asked(&g, c.name, body));
    let instruments = meters(&app).await?;
    let draft = forms::read(&mut form, &app, (c, body, &asks), &instruments);
    let Some(draft) = draft else {
        let given = (form, None, StatusCode::UNPROCESSABLE_ENTITY);
        return page(&app, &who, (&g, c, body), given).await;
    };
    let mut w = write(&app, &who).await?;
    if let Some(token) = token
        && let Some(answer) = w.seen(token).await?
    {
        return see_other(&answer);
    }
    let run = store::add(&mut w, g.conversion.id, draft).await?;
    let answer = format!("/c/{no}/cards/{key}?shell={}&run={}", body.key(), run.no);
    w.commit_form(token, &answer).await?;
    see_other(&answer)
}

/// The run of that number.
fn find(g: &Gathered, run: i64) -> Result<&Run> {
    let found = g.runs.iter().find(|r| r.no == run);
    found.ok_or_else(|| Error::NotFound(format!("test run {run} of this conversion")))
}

/// Takes a run back or counts it again.
async fn turn(
    (app, who): (&App, &Who),
    (no, run): (i64, i64),
    mut form: Fields,
    to: impl Fn(&Run) -> Option<Run>,
) -> Result<Response> {
    let g = sheet::gathered(app, no).await?;
    let old = find(&g, run)?;
    let version = form.version();
    let Some(new) = to(old) else {
        return Err(Error::Refused(format!("Run {run} was turned that way already.")));
    };
    let mut w = write(app, who).await?;
    store::change(&mut w, g.conversion.id, (old, version), new).await?;
    w.commit().await?;
    see_other(&format!("/c/{no}/cards/{}?shell={}#runs", old.card.key(), old.shell.key()))
}

/// `POST /c/{no}/runs/{run}/take-back`
pub async fn take_back(
    State(app): State<App>,
    who: Who,
    Path(place): Path<(i64, i64)>,
    form: Fields,
) -> Result<Response> {
    let now = app.now();
    turn((&app, &who), place, form, |r| r.taken_back(now)).await
}

/// `POST /c/{no}/runs/{run}/restore`
pub async fn restore(
    State(app): State<App>,
    who: Who,
    Path(place): Path<(i64, i64)>,
    form: Fields,
) -> Result<Response> {
    turn((&app, &who), place, form, Run::restored).await
}
