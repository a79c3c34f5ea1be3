//! All readings of a conversion, and one by itself.

use crate::db::ConversionId;
use crate::features::circuits;
use crate::features::conversions::{Head, head, sheet};
use crate::features::gates::view::At;
use crate::features::notes::about::{self, About};
use crate::features::notes::{self, words::Beside};
use crate::features::people::extract::write;
use crate::features::readings::model::Reading;
use crate::features::readings::{store, words};
use crate::units::with_bounds;
use crate::web::{
    App, Error, Fields, Page, Path, Query, Result, Sheet, Shell, Who, see_other, when,
};
use askama::Template;
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

/// Rows of one page.
const PAGE: usize = 50;

/// The list.
#[derive(Debug, Template)]
#[template(path = "readings/list.html")]
pub struct ListPage {
    shell: Shell,
    head: Head,
    readings: Vec<words::Row>,
    older: String,
}

/// Where to go on.
#[derive(Debug, Deserialize)]
pub struct Below {
    below: Option<i64>,
}

/// `GET /c/{no}/readings`
pub async fn list(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    Query(q): Query<Below>,
) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    let mut conn = app.db.pool.acquire().await?;
    let limit = i64::try_from(PAGE + 1).unwrap_or(i64::MAX);
    let found = store::page(&mut conn, g.conversion.id, q.below, limit).await?;
    drop(conn);
    let shown = &found[..found.len().min(PAGE)];
    let older = shown
        .last()
        .filter(|_| found.len() > PAGE)
        .map(|r| format!("/c/{no}/readings?below={}", r.no));
    let at = At { now: app.now(), offset: app.offset };
    let page = ListPage {
        shell: sheet::shell(&app, &who, &g, (2, "Readings")),
        head: head(&g.conversion, &app, Some(Sheet::Bench)),
        readings: words::rows(no, shown, &g.wheels, at),
        older: older.unwrap_or_default(),
    };
    Ok(Page::ok(page).into_response())
}

/// One reading with everything that is known of it.
#[derive(Debug, Template)]
#[template(path = "readings/show.html")]
pub struct ShowPage {
    shell: Shell,
    head: Head,
    reading: i64,
    what: String,
    reads: String,
    facts: Vec<(&'static str, String)>,
    taken_back: String,
    newer: Vec<words::Row>,
    beside: Beside,
}

/// The reading of that number.
async fn find(app: &App, id: ConversionId, no: i64) -> Result<Reading> {
    let mut conn = app.db.pool.acquire().await?;
    let found = store::find(&mut conn, id, no).await?;
    found.ok_or_else(|| Error::NotFound(format!("reading {no} of this conversion")))
}

/// `GET /c/{no}/readings/{reading}`
pub async fn show(
    State(app): State<App>,
    who: Who,
    Path((no, reading)): Path<(i64, i64)>,
) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    let r = find(&app, g.conversion.id, reading).await?;
    let at = At { now: app.now(), offset: app.offset };
    let about = About { kind: about::Kind::Reading, id: r.id.0, no: r.no };
    let mut conn = app.db.pool.acquire().await?;
    let beside = notes::words::beside(&mut conn, about, Some(no), at).await?;
    drop(conn);
    let newer = g.readings.iter().filter(|o| {
        o.draft.taken_at > r.draft.taken_at
            && o.draft.kind == r.draft.kind
            && o.draft.point_a == r.draft.point_a
            && o.draft.point_b == r.draft.point_b
            && o.draft.wheel_id == r.draft.wheel_id
    });
    let what = words::what(&r, &g.wheels);
    let page = ShowPage {
        shell: sheet::shell(&app, &who, &g, (2, &format!("Reading {reading}"))),
        head: head(&g.conversion, &app, Some(Sheet::Bench)),
        reading,
        reads: words::reads(&r),
        facts: facts(&r, &g.wheels, at),
        taken_back: r
            .taken_back_at
            .map(|t| when::day_time(t, at.now, at.offset))
            .unwrap_or_default(),
        newer: words::rows(no, newer, &g.wheels, at),
        what,
        beside,
    };
    Ok(Page::ok(page).into_response())
}

/// Everything known of a reading, as label and value; what was not said is left out.
fn facts(r: &Reading, _wheels: &[circuits::model::Wheel], at: At) -> Vec<(&'static str, String)> {
    let d = &r.draft;
    let bounds = d
        .outcome
        .value()
        .zip(d.accuracy)
        .zip(d.dimension)
        .map(|((v, a), dimension)| with_bounds(v, a.bounds(v), dimension));
    let accuracy = d.accuracy.map(|a| {
        let unit = d.dimension.map_or("", crate::units::Dimension::unit);
        format!("{} % of reading + {} × {} {unit}", a.percent, a.digits, a.resolution)
    });
    let rows = [
        ("Typed as", Some(d.typed.clone())),
        ("With its bounds", bounds),
        ("Meter accuracy", accuracy),
        ("Conditions", Some(words::conditions(r))),
        ("Instrument", Some(r.instrument.clone())),
        ("Read", Some(when::day_time(d.taken_at, at.now, at.offset))),
        ("Written down", Some(when::day_time(r.entered_at, at.now, at.offset))),
        ("By", Some(r.person.clone())),
    ];
    rows.into_iter()
        .filter_map(|(label, value)| Some((label, value.filter(|v| !v.is_empty())?)))
        .collect()
}

/// `POST /c/{no}/readings/{reading}/take-back`
pub async fn take_back(
    State(app): State<App>,
    who: Who,
    Path((no, reading)): Path<(i64, i64)>,
    _form: Fields,
) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    let r = find(&app, c.id, reading).await?;
    let mut w = write(&app, &who).await?;
    store::take_back(&mut w, c.id, &r).await?;
    w.commit().await?;
    see_other(&format!("/c/{no}/readings/{reading}"))
}

/// `POST /c/{no}/readings/{reading}/restore`
pub async fn restore(
    State(app): State<App>,
    who: Who,
    Path((no, reading)): Path<(i64, i64)>,
    _form: Fields,
) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    let r = find(&app, c.id, reading).await?;
    let mut w = write(&app, &who).await?;
    store::restore(&mut w, c.id, &r).await?;
    w.commit().await?;
    see_other(&format!("/c/{no}/readings/{reading}"))
}
