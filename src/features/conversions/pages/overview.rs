//! Sheet 1: what to do next, the line of gates, the numbers, snags and latest readings.

use super::numbers::{NumberView, numbers};
use super::sheet::{Head, gathered, head, shell};
use super::shelf::model;
use crate::calc::gates::{Place, next_steps};
use crate::choice::Choice;
use crate::draw::outline;
use crate::features::conversions::model::{Governing, Outcome, Stage, options};
use crate::features::gates::gather::Gathered;
use crate::features::gates::view::{self, At, CheckView, GateView, first_sentence, href};
use crate::features::readings::words;
use crate::features::{notes, parts, reviews};
use crate::web::{App, Fields, Page, Path, Result, Sheet, Shell, Who, when};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

/// The Overview.
#[derive(Debug, Template)]
#[template(path = "conversions/overview.html")]
pub struct OverviewPage {
    shell: Shell,
    head: Head,
    today: String,
    stage_words: String,
    steps: Vec<StepView>,
    gates: Vec<GateView>,
    here_at_end: bool,
    here: String,
    stage_since: String,
    judgements: Vec<(String, String)>,
    next_title: String,
    next_href: String,
    checks: Vec<CheckView>,
    numbers: Vec<NumberView>,
    snags: Vec<SnagView>,
    blocking: usize,
    awaited: Vec<parts::words::AwaitedRow>,
    parts: usize,
    readings: Vec<words::Row>,
    count: usize,
    notes: Vec<notes::words::Row>,
    early: bool,
    lessons: Vec<reviews::words::Row>,
    why: String,
    governing: String,
    governing_why: String,
    version: i64,
    stages: Vec<(&'static str, &'static str)>,
    outcomes: Vec<(&'static str, &'static str)>,
    stage: Fields,
    ended: String,
}

/// One thing to do.
#[derive(Debug)]
pub struct StepView {
    what: String,
    why: String,
    href: String,
    minutes: u32,
}

/// An open snag.
#[derive(Debug)]
pub struct SnagView {
    no: i64,
    what: String,
    facts: String,
}

/// `GET /c/{no}`
pub async fn show(State(app): State<App>, who: Who, Path(no): Path<i64>) -> Result<Response> {
    page(&app, &who, no, (None, StatusCode::OK)).await
}

/// The Overview, with a refused move where there is one.
pub async fn page(
    app: &App,
    who: &Who,
    no: i64,
    (stage, status): (Option<Fields>, StatusCode),
) -> Result<Response> {
    let g = gathered(app, no).await?;
    let mut conn = app.db.pool.acquire().await?;
    let notes = notes::store::list(&mut conn, g.conversion.id).await?;
    let parts = parts::store::list(&mut conn, Some(g.conversion.id)).await?;
    let early = is_early(&g);
    let alike = if early {
        reviews::gather::before_you_start(&mut conn, &g.conversion).await?
    } else {
        Vec::new()
    };
    drop(conn);
    let at = At { now: app.now(), offset: app.offset };
    let notes = notes.into_iter().take(3).map(|n| notes::words::row(&n, no, at)).collect();
    let mut page = view(app, who, &g, notes);
    page.parts = parts.len();
    page.awaited = parts::words::awaited(&parts, at);
    page.early = early;
    page.lessons = alike.iter().take(6).map(|(t, s)| reviews::words::alike(t, s, at)).collect();
    if let Some(stage) = stage {
        page.stage = stage;
    }
    Ok(Page(status, page).into_response())
}

/// Nothing irreversible was done yet: lessons of others can still be heeded.
fn is_early(g: &Gathered) -> bool {
    let early = matches!(g.conversion.stage, Stage::Survey | Stage::BenchTest | Stage::Plan);
    early && g.conversion.outcome == Outcome::InWork
}

/// `Ines, 25 Nov`.
fn signed(person: &str, ms: i64, at: At) -> String {
    let day = when::day(ms, at.now, at.offset);
    if person.is_empty() { day } else { format!("{person}, {day}") }
}

fn view(app: &App, who: &Who, g: &Gathered, notes: Vec<notes::words::Row>) -> OverviewPage {
    let c = &g.conversion;
    let at = At { now: app.now(), offset: app.offset };
    let gates = g.gates();
    let next = view::next(&gates);
    let here_after = gates.iter().take_while(|x| x.passed.is_some()).count();
    let next_gate = gates.iter().find(|x| x.name == next);
    let since = when::day(c.stage_at, at.now, at.offset);
    let days = when::days_between(c.stage_at, at.now, at.offset) + 1;
    let steps = if c.outcome == Outcome::InWork { steps(g) } else { Vec::new() };
    OverviewPage {
        shell: shell(app, who, g, (1, "Overview")),
        head: head(c, app, Some(Sheet::Overview)),
        today: when::weekday(at.now, at.now, at.offset),
        stage_words: format!("{}, day {days}", c.stage.label()),
        steps,
        here_at_end: here_after == gates.len(),
        here: outline::here(&model(c)),
        stage_since: format!("{}, since {since}", c.stage.label()),
        judgements: judged(g, at),
        next_title: next_gate
            .map(|x| format!("Before {}", x.title.to_lowercase()))
            .unwrap_or_default(),
        next_href: format!("/c/{}/gates/{}", c.no, next.key()),
        checks: next_gate
            .map(|x| x.checks.iter().map(|k| view::check(c.no, k, at)).collect())
            .unwrap_or_default(),
        gates: gates
            .iter()
            .enumerate()
            .map(|(i, x)| view::gate(c.no, x, (i >= here_after, i == here_after), at))
            .collect(),
        numbers: numbers(g, at),
        snags: snags(g, at),
        blocking: g.open_snags().filter(|s| s.draft.blocks.is_some()).count(),
        awaited: Vec::new(),
        parts: 0,
        readings: words::rows(c.no, g.readings.iter().take(7), &g.wheels, at),
        count: g.readings.len(),
        notes,
        early: false,
        lessons: Vec::new(),
        why: c.draft.why.clone(),
        governing: c.governing.label().to_owned(),
        governing_why: governing_why(g, at),
        version: c.version,
        stages: options::<Stage>(),
        outcomes: options::<Outcome>(),
        stage: Fields::with([("stage", c.stage.code()), ("outcome", c.outcome.code())]),
        ended: if c.outcome == Outcome::InWork {
            String::new()
        } else {
            format!("{}, {since}", c.outcome.label())
        },
    }
}

fn steps(g: &Gathered) -> Vec<StepView> {
    next_steps(&g.gates())
        .into_iter()
        .filter(|s| s.place != Place::Later)
        .take(4)
        .map(|s| {
            let (what, how) = first_sentence(&s.what);
            StepView {
                href: href(g.conversion.no, s.place),
                what,
                why: format!("{} {how}", s.why).trim().to_owned(),
                minutes: s.minutes,
            }
        })
        .collect()
}

/// Judgements that hold: the reason and who signed it for what.
fn judged(g: &Gathered, at: At) -> Vec<(String, String)> {
    g.gates()
        .iter()
        .flat_map(|gate| gate.checks.iter().map(move |k| (gate, k)))
        .filter_map(|(gate, k)| {
            let j = k.judgement.as_ref()?;
            let day = when::day(j.at_ms, at.now, at.offset);
            let by = format!(
                "Judged by {}, {day}, to pass {}: {}",
                j.person,
                gate.title.to_lowercase(),
                k.finding.sentence
            );
            Some((j.reason.clone(), by))
        })
        .collect()
}

fn governing_why(g: &Gathered, at: At) -> String {
    let c = &g.conversion;
    if c.governing == Governing::Held {
        return String::new();
    }
    let day = c.governing_at.map(|t| when::day(t, at.now, at.offset)).unwrap_or_default();
    format!("“{}” {}, {day}", c.governing_why, c.governing_by)
}

fn snags(g: &Gathered, at: At) -> Vec<SnagView> {
    g.open_snags()
        .map(|s| {
            let blocks = s
                .draft
                .blocks
                .map_or("blocks nothing".to_owned(), |b| format!("blocks {}", b.label()));
            let by = signed(&s.opened_by, s.opened_at, at);
            SnagView { no: s.no, what: s.draft.what.clone(), facts: format!("{blocks} · {by}") }
        })
        .collect()
}
