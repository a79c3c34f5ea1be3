//! Sheet 2, the bench: a reading in two taps, the pickup map, the load test.

use super::load_test::{TestView, test_view};
use super::wrote::{Query, Wrote, wrote};
use crate::calc::gates::Observation;
use crate::calc::isolation;
use crate::calc::pickup;
use crate::draw::wheels::{Grid, grid};
use crate::features::conversions::model::options;
use crate::features::conversions::{Head, head, sheet};
use crate::features::gates::gather::Gathered;
use crate::features::gates::inputs;
use crate::features::gates::view::{At, first_sentence};
use crate::features::instruments;
use crate::features::people::extract::write;
use crate::features::readings::forms::{self, Meters};
use crate::features::readings::model::{DecoderState, Draft, Reading, Warmth};
use crate::features::readings::{picture, store};
use crate::web::form::new_token;
use crate::web::{
    App, Error, Fields, Page, Path, Query as Address, Result, Sheet, Shell, Who, see_other,
};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

/// The bench.
#[derive(Debug, Template)]
#[template(path = "readings/bench.html")]
pub struct BenchPage {
    pub(super) shell: Shell,
    pub(super) head: Head,
    pub(super) wrote: Option<Wrote>,
    pub(super) asks: Vec<AskView>,
    pub(super) looks: Vec<LookView>,
    pub(super) reading: Fields,
    pub(super) map: Option<Grid>,
    pub(super) left_lead: String,
    pub(super) right_lead: String,
    pub(super) map_note: String,
    pub(super) map_says: String,
    pub(super) map_faults: Vec<String>,
    pub(super) wheel: Fields,
    pub(super) test: Fields,
    pub(super) result: TestView,
    pub(super) instruments: Vec<(String, String)>,
    pub(super) decoder_states: Vec<(&'static str, &'static str)>,
    pub(super) warmths: Vec<(&'static str, &'static str)>,
}

/// One pair to measure.
#[derive(Debug)]
pub struct AskView {
    /// `brush_a:rail_right@in_frame`.
    pub value: String,
    /// `Brush A to right rail, in the frame`.
    pub what: String,
    /// `open, > 1 MΩ`.
    pub expect: String,
}

/// One thing to look at or try.
#[derive(Debug)]
pub struct LookView {
    pub(super) href: String,
    pub(super) title: &'static str,
    pub(super) minutes: u32,
}

/// The three forms of the bench.
#[derive(Default)]
pub struct Forms {
    /// A reading between two points.
    pub reading: Option<Fields>,
    /// A wheel.
    pub wheel: Option<Fields>,
    /// A load test.
    pub test: Option<Fields>,
}

/// A fresh form with a token and the instrument used last.
pub fn fresh(g: &Gathered) -> Fields {
    let last = g.readings.iter().find_map(|r| r.draft.conditions.instrument_id);
    let mut form = Fields::with([("token", new_token())]);
    form.set("instrument", last.map(|i| i.to_string()).unwrap_or_default());
    form
}

/// The bench as it stands.
pub async fn page(
    app: &App,
    who: &Who,
    (g, written): (&Gathered, Option<i64>),
    (given, status): (Forms, StatusCode),
) -> Result<Response> {
    let mut conn = app.db.pool.acquire().await?;
    let instruments = instruments::store::list(&mut conn).await?;
    drop(conn);
    let at = At { now: app.now(), offset: app.offset };
    let map = picture::map(g, at);
    let verdict = pickup::run(&inputs::pickup(g)).ok().filter(|_| map.is_some());
    let lead =
        |pick: fn(&crate::draw::wheels::Map) -> &String| map.as_ref().map(|m| pick(m).clone());
    let test = given.test.unwrap_or_else(|| fresh(g));
    let page = BenchPage {
        shell: sheet::shell(app, who, g, (2, "Bench")).script("bench.js"),
        head: head(&g.conversion, app, Some(Sheet::Bench)),
        wrote: wrote(g, written, at),
        asks: asks(g).into_iter().take(3).collect(),
        looks: looks(g),
        reading: given.reading.unwrap_or_else(|| fresh(g)),
        left_lead: lead(|m| &m.left_lead).unwrap_or_default(),
        right_lead: lead(|m| &m.right_lead).unwrap_or_default(),
        map_note: lead(|m| &m.note).unwrap_or_default(),
        map: map.as_ref().map(|m| grid(m, 4)),
        map_says: verdict
            .as_ref()
            .map(|v| first_sentence(&v.finding.sentence).0)
            .unwrap_or_default(),
        map_faults: verdict
            .map(|v| v.faults.into_iter().map(|f| f.sentence).collect())
            .unwrap_or_default(),
        wheel: given.wheel.unwrap_or_else(|| fresh(g)),
        result: test_view(g, at),
        test,
        instruments: instruments.into_iter().map(|i| (i.id.to_string(), i.draft.name)).collect(),
        decoder_states: options::<DecoderState>(),
        warmths: options::<Warmth>(),
    };
    Ok(Page(status, page).into_response())
}

/// The pairs still to measure, next one first.
pub fn asks(g: &Gathered) -> Vec<AskView> {
    let Ok(out) = isolation::run(&inputs::isolation(g)) else { return Vec::new() };
    out.asks
        .into_iter()
        .map(|a| AskView {
            value: format!("{}@{}", a.pair.key(), a.position.key()),
            what: crate::features::readings::words::capital(&format!(
                "{}, {}",
                a.pair.word(),
                a.position.word()
            )),
            expect: a.expect,
        })
        .collect()
}

/// What is still to be looked at or tried before the next gates.
fn looks(g: &Gathered) -> Vec<LookView> {
    let no = g.conversion.no;
    let open: Vec<Observation> = g
        .gates()
        .iter()
        .filter(|x| x.passed.is_none())
        .take(2)
        .flat_map(|x| x.checks.clone())
        .filter(|k| k.finding.aspect != crate::aspect::Aspect::Clear)
        .filter_map(|k| match k.action.place {
            crate::calc::gates::Place::Observation(o) => Some(o),
            _ => None,
        })
        .collect();
    open.into_iter()
        .map(|o| LookView {
            href: format!("/c/{no}/look/{}", o.key()),
            title: o.title(),
            minutes: o.minutes(),
        })
        .collect()
}

/// `GET /c/{no}/bench`
pub async fn show(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    Address(q): Address<Query>,
) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    page(&app, &who, (&g, q.wrote), (Forms::default(), StatusCode::OK)).await
}

/// The instruments a form may name.
pub async fn meters(app: &App) -> Result<Vec<instruments::model::Instrument>> {
    let mut conn = app.db.pool.acquire().await?;
    Ok(instruments::store::list(&mut conn).await?)
}

/// Writes readings down once, however often the form is sent; gives the number of the last.
pub async fn keep(
    app: &App,
    who: &Who,
    g: &Gathered,
    (form, drafts): (&mut Fields, Vec<Draft>),
    address: &str,
) -> Result<Response> {
    let token = form.token();
    let mut w = write(app, who).await?;
    if let Some(token) = token
        && let Some(answer) = w.seen(token).await?
    {
        return see_other(&answer);
    }
    let mut last: Option<Reading> = None;
    for draft in drafts {
        last = Some(store::add(&mut w, g.conversion.id, draft).await?);
    }
    let Some(last) = last else {
        return Err(Error::Refused("There was nothing to write down.".to_owned()));
    };
    let answer = match address.split_once('#') {
        Some((path, place)) => format!("{path}?wrote={}#{place}", last.no),
        None => format!("{address}?wrote={}", last.no),
    };
    w.commit_form(token, &answer).await?;
    see_other(&answer)
}

/// `POST /c/{no}/bench/reading`
pub async fn reading(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    let instruments = meters(&app).await?;
    let leads = &g.snapshot.function_leads;
    let draft = forms::isolation(&mut form, &app, &Meters(&instruments), leads);
    if let Some(draft) = draft {
        return keep(&app, &who, &g, (&mut form, vec![draft]), &format!("/c/{no}/bench")).await;
    }
    let given = Forms { reading: Some(form), ..Forms::default() };
    page(&app, &who, (&g, None), (given, StatusCode::UNPROCESSABLE_ENTITY)).await
}

/// `POST /c/{no}/bench/wheel`
pub async fn wheel(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    let instruments = meters(&app).await?;
    let draft = forms::wheel(&mut form, &app, &Meters(&instruments));
    let known = draft.as_ref().is_some_and(|d| g.wheels.iter().any(|w| Some(w.id) == d.wheel_id));
    if draft.is_some() && !known {
        form.refuse("wheel", "This wheel is not on the map of this conversion. Tap one that is.");
    }
    match draft {
        Some(draft) if known => {
            keep(&app, &who, &g, (&mut form, vec![draft]), &format!("/c/{no}/bench#map")).await
        }
        _ => {
            let given = Forms { wheel: Some(form), ..Forms::default() };
            page(&app, &who, (&g, None), (given, StatusCode::UNPROCESSABLE_ENTITY)).await
        }
    }
}
