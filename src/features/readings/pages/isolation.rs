//! The isolation walk: one pair at a time, with what to expect and what the answer means.

use super::bench::{AskView, asks, fresh, keep, meters};
use super::wrote::{Query, Wrote, wrote};
use crate::calc::isolation::{self, Position};
use crate::draw::arm;
use crate::features::conversions::{Head, head, sheet};
use crate::features::gates::gather::Gathered;
use crate::features::gates::inputs;
use crate::features::gates::view::At;
use crate::features::instruments;
use crate::features::readings::forms::{self, Meters};
use crate::features::readings::picture::{Walk, walk};
use crate::features::readings::words::capital;
use crate::web::{App, Fields, Page, Path, Query as Address, Result, Sheet, Shell, Who};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

/// The walk.
#[derive(Debug, Template)]
#[template(path = "readings/isolation.html")]
pub struct WalkPage {
    shell: Shell,
    head: Head,
    wrote: Option<Wrote>,
    ask: Option<AskView>,
    how: String,
    left: usize,
    form: Fields,
    walk: Walk,
    positions: Vec<PositionView>,
    instruments: Vec<(String, String)>,
}

/// All pairs in one position.
#[derive(Debug)]
pub struct PositionView {
    name: String,
    cells: Vec<CellView>,
}

/// One pair in one position.
#[derive(Debug)]
pub struct CellView {
    what: String,
    href: String,
    reads: String,
    asp: String,
    bad: bool,
    sentence: String,
}

async fn page(
    app: &App,
    who: &Who,
    (g, q): (&Gathered, Query),
    (form, status): (Fields, StatusCode),
) -> Result<Response> {
    let mut conn = app.db.pool.acquire().await?;
    let instruments = instruments::store::list(&mut conn).await?;
    drop(conn);
    let at = At { now: app.now(), offset: app.offset };
    let all = asks(g);
    let left = all.len();
    let wanted =
        q.what.clone().or_else(|| Some(form.value("what").to_owned()).filter(|w| !w.is_empty()));
    let out = isolation::run(&inputs::isolation(g)).ok();
    let chosen = wanted.as_ref().and_then(|w| cell_ask(out.as_ref(), w));
    let how = out.as_ref().and_then(|o| o.asks.first()).map(|a| a.how.clone()).unwrap_or_default();
    let page = WalkPage {
        shell: sheet::shell(app, who, g, (2, "Isolation walk")),
        head: head(&g.conversion, app, Some(Sheet::Bench)),
        wrote: wrote(g, q.wrote, at),
        ask: chosen.or_else(|| all.into_iter().next()),
        how,
        left,
        form,
        walk: walk(g),
        positions: out.map(|o| positions(g.conversion.no, &o)).unwrap_or_default(),
        instruments: instruments.into_iter().map(|i| (i.id.to_string(), i.draft.name)).collect(),
    };
    Ok(Page(status, page).into_response())
}

/// The pair asked for in the address, if it is one of the walk.
fn cell_ask(out: Option<&isolation::Output>, value: &str) -> Option<AskView> {
    let (pair, position) = value.rsplit_once('@')?;
    let cell = out?.cells.iter().find(|c| c.pair.key() == pair && c.position.key() == position)?;
    Some(AskView {
        value: value.to_owned(),
        what: capital(&format!("{}, {}", cell.pair.word(), cell.position.word())),
        expect: "open, > 1 MΩ".to_owned(),
    })
}

/// All cells that matter, by position.
pub fn positions(no: i64, out: &isolation::Output) -> Vec<PositionView> {
    Position::ALL
        .into_iter()
        .map(|p| PositionView {
            name: capital(p.word()),
            cells: out
                .cells
                .iter()
                .filter(|c| c.position == p && (c.needed || c.reading.is_some()))
                .map(|c| CellView {
                    what: capital(&c.pair.word()),
                    href: format!("/c/{no}/isolation?what={}@{}", encode(&c.pair.key()), p.key()),
                    reads: c.reads.clone(),
                    asp: arm::asp(c.aspect),
                    bad: c.aspect == crate::aspect::Aspect::Danger,
                    sentence: c.sentence.clone(),
                })
                .collect(),
        })
        .filter(|v| !v.cells.is_empty())
        .collect()
}

/// A key for use in an address.
fn encode(key: &str) -> String {
    form_urlencoded::byte_serialize(key.as_bytes()).collect()
}

/// `GET /c/{no}/isolation`
pub async fn show(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    Address(q): Address<Query>,
) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    let form = fresh(&g);
    page(&app, &who, (&g, q), (form, StatusCode::OK)).await
}

/// `POST /c/{no}/isolation`
pub async fn create(
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
        return keep(&app, &who, &g, (&mut form, vec![draft]), &format!("/c/{no}/isolation")).await;
    }
    let status = StatusCode::UNPROCESSABLE_ENTITY;
    page(&app, &who, (&g, Query::default()), (form, status)).await
}
