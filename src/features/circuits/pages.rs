//! Sheet 4, the Circuit, as far as readings go: isolation and pickup; and the layout of the map.

use super::{forms, model::Draft, store};
use crate::calc::{isolation, pickup};
use crate::draw::{arm, wheels};
use crate::features::conversions::{Head, head, sheet};
use crate::features::gates::gather::Gathered;
use crate::features::gates::inputs;
use crate::features::gates::view::At;
use crate::features::people::extract::write;
use crate::features::readings::picture;
use crate::features::wiring;
use crate::web::{App, Fields, Page, Path, Result, Sheet, Shell, Who, see_other};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

/// The Circuit sheet.
#[derive(Debug, Template)]
#[template(path = "circuits/sheet.html")]
pub struct SheetPage {
    shell: Shell,
    head: Head,
    isolation: picture::Walk,
    pairs: Vec<(String, String, String, String, bool)>,
    plan: String,
    plan_key: Vec<wheels::KeyEntry>,
    plan_words: String,
    pickup_asp: String,
    pickup_says: String,
    faults: Vec<String>,
    causes: Vec<String>,
    list: wiring::picture::List,
}

/// `GET /c/{no}/circuit`
pub async fn sheet_4(State(app): State<App>, who: Who, Path(no): Path<i64>) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    let at = At { now: app.now(), offset: app.offset };
    let map = picture::map(&g, at);
    let verdict = pickup::run(&inputs::pickup(&g)).ok().filter(|_| map.is_some());
    let page = SheetPage {
        shell: sheet::shell(&app, &who, &g, (4, "Circuit")),
        head: head(&g.conversion, &app, Some(Sheet::Circuit)),
        isolation: picture::walk(&g),
        pairs: pairs(&g),
        plan: map.as_ref().map(|m| wheels::plan_svg(m, 6)).unwrap_or_default(),
        plan_key: map.as_ref().map(wheels::key).unwrap_or_default(),
        plan_words: map.as_ref().map(wheels::Map::words).unwrap_or_default(),
        pickup_asp: verdict.as_ref().map(|v| arm::asp(v.finding.aspect)).unwrap_or_default(),
        pickup_says: verdict.as_ref().map(|v| v.finding.sentence.clone()).unwrap_or_default(),
        faults: verdict
            .as_ref()
            .map(|v| v.faults.iter().map(|f| f.sentence.clone()).collect())
            .unwrap_or_default(),
        causes: verdict
            .map(|v| v.explanations.into_iter().map(|e| e.sentence).collect())
            .unwrap_or_default(),
        list: wiring::picture::list(&g, at),
    };
    Ok(Page::ok(page).into_response())
}

/// Every pair over all positions: what, reads, sentence, arm, whether it is danger.
fn pairs(g: &Gathered) -> Vec<(String, String, String, String, bool)> {
    let Ok(out) = isolation::run(&inputs::isolation(g)) else { return Vec::new() };
    out.pairs
        .into_iter()
        .map(|p| {
            let bad = p.finding.aspect == crate::aspect::Aspect::Danger;
            (p.title, p.reads, p.finding.sentence, arm::asp(p.finding.aspect), bad)
        })
        .collect()
}

/// The layout of the pickup map.
#[derive(Debug, Template)]
#[template(path = "circuits/wheels.html")]
pub struct WheelsPage {
    shell: Shell,
    head: Head,
    form: Fields,
    rows: Vec<AxleRow>,
    fresh: bool,
}

/// One axle's row of fields.
#[derive(Debug)]
pub struct AxleRow {
    n: i64,
    vehicle: String,
    place: String,
    place_wrong: String,
    ticks: Vec<TickView>,
}

/// One tick of an axle.
#[derive(Debug)]
pub struct TickView {
    name: String,
    label: String,
    on: bool,
}

/// The four ticks of an axle: tyre and dead by design, on either side.
fn ticks(form: &Fields, n: i64) -> Vec<TickView> {
    [("tyre", "traction tyre"), ("dead", "never meant to pick up")]
        .into_iter()
        .flat_map(|(what, words)| ["L", "R"].map(|side| (what, words, side)))
        .map(|(what, words, side)| {
            let name = format!("{what}-{side}{n}");
            TickView { on: form.is(&name, "1"), label: format!("{side}{n} {words}"), name }
        })
        .collect()
}

/// What the form was opened on: the number of wheels and the sum of their versions.
fn seen(g: &Gathered) -> String {
    let versions: i64 = g.wheels.iter().map(|w| w.version).sum();
    format!("{}.{versions}", g.wheels.len())
}

fn page(app: &App, who: &Who, g: &Gathered, (mut form, status): (Fields, StatusCode)) -> Response {
    let axles = form.value("axles").trim().parse::<i64>().unwrap_or(2).clamp(1, forms::MOST_AXLES);
    let rows = (1..=axles)
        .map(|n| AxleRow {
            n,
            vehicle: form.value(&format!("vehicle-{n}")).to_owned(),
            place: form.value(&format!("place-{n}")).to_owned(),
            place_wrong: form.problem(&format!("place-{n}")).to_owned(),
            ticks: ticks(&form, n),
        })
        .collect();
    if form.value("seen").is_empty() {
        form.set("seen", seen(g));
    }
    let page = WheelsPage {
        shell: sheet::shell(app, who, g, (2, "Pickup map")),
        head: head(&g.conversion, app, Some(Sheet::Bench)),
        form,
        rows,
        fresh: g.wheels.is_empty(),
    };
    Page(status, page).into_response()
}

/// `GET /c/{no}/wheels`
pub async fn edit(State(app): State<App>, who: Who, Path(no): Path<i64>) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    let form = forms::fill(&g.wheels, &g.conversion.draft.wheels);
    Ok(page(&app, &who, &g, (form, StatusCode::OK)))
}

/// `POST /c/{no}/wheels`: the map as typed; wheels left out are put aside, their readings stay.
pub async fn update(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    if form.is("rows", "only") {
        form.set("rows", "");
        return Ok(page(&app, &who, &g, (form, StatusCode::OK)));
    }
    let wanted = forms::read(&mut form);
    let opened_on = form.value("seen").to_owned();
    if !opened_on.is_empty() && opened_on != seen(&g) {
        form.refuse("axles", "The map was changed since you opened this page. Look at it again, then write yours down.");
        form.set("seen", seen(&g));
    }
    let wanted = match wanted {
        Some(wanted) if !form.any_wrong() => wanted,
        _ => return Ok(page(&app, &who, &g, (form, StatusCode::UNPROCESSABLE_ENTITY))),
    };
    let mut w = write(&app, &who).await?;
    let id = g.conversion.id;
    for old in &g.wheels {
        let new: Option<&Draft> =
            wanted.iter().find(|d| d.side == old.draft.side && d.axle == old.draft.axle);
        match new {
            None => store::put_aside(&mut w, id, (old, old.version)).await?,
            Some(d) if *d != old.draft => {
                store::change(&mut w, id, (old, old.version), d.clone()).await?;
            }
            Some(_) => {}
        }
    }
    for d in wanted {
        if !g.wheels.iter().any(|o| o.draft.side == d.side && o.draft.axle == d.axle) {
            store::add(&mut w, id, d).await?;
        }
    }
    w.commit().await?;
    see_other(&format!("/c/{no}/bench#map"))
}
