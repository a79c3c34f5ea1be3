//! One thing to look at or try: the question, how to do it, yes or no.

use super::bench::{fresh, keep, meters};
use crate::calc::gates::Observation;
use crate::features::conversions::{Head, head, sheet};
use crate::features::gates::gather::Gathered;
use crate::features::gates::view::At;
use crate::features::readings::forms::{self, Meters};
use crate::features::readings::model::Kind;
use crate::features::readings::words;
use crate::web::{App, Error, Fields, Page, Path, Result, Sheet, Shell, Who};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

/// The page of one question.
#[derive(Debug, Template)]
#[template(path = "readings/look.html")]
pub struct LookPage {
    shell: Shell,
    head: Head,
    key: &'static str,
    title: &'static str,
    question: &'static str,
    how: &'static str,
    no_says: &'static str,
    caution: &'static str,
    unit: &'static str,
    form: Fields,
    readings: Vec<words::Row>,
}

/// The usual caution of a step that can hurt someone; empty where none is needed.
fn caution(o: Observation) -> &'static str {
    match o {
        Observation::CutListMade | Observation::CautionsRead | Observation::NothingHeldIsLost => {
            "Cutting cast metal: eyes covered, work clamped, no fingers near the blade. Take the motor out first; keep dust and swarf off magnets. Old paint and lead weights: wash hands, don’t sand dry."
        }
        Observation::SupplyLimited => {
            "Use a closed, approved low-voltage supply and never open it: mains is for licensed people and local codes. Stay with a first run; at smoke or smell, power off and don’t touch."
        }
        Observation::StoreProved => {
            "A store holds energy after power-off: discharge it through a resistor, never with a screwdriver. Check polarity twice; reversed, it can burst."
        }
        Observation::HeatSettled | Observation::ProbeSheetDone => {
            "Hot parts: stop, don’t touch, let it cool. Never leave a first run alone."
        }
        Observation::SoundProved => {
            "Small strong magnets: keep speakers and motors away from children and pets."
        }
        Observation::TightestCurve => {
            "Guard the edge of the table, and know where track power is cut."
        }
        _ => "",
    }
}

fn named(key: &str) -> Result<Observation> {
    Observation::from_key(key)
        .ok_or_else(|| Error::NotFound(format!("thing to look at called {key}")))
}

fn page(
    app: &App,
    who: &Who,
    (g, o): (&Gathered, Observation),
    (form, status): (Fields, StatusCode),
) -> Response {
    let at = At { now: app.now(), offset: app.offset };
    let earlier = g
        .readings
        .iter()
        .filter(|r| r.draft.kind == Kind::Observation && r.draft.point_a == o.key());
    let page = LookPage {
        shell: sheet::shell(app, who, g, (2, o.title())),
        head: head(&g.conversion, app, Some(Sheet::Bench)),
        key: o.key(),
        title: o.title(),
        question: o.question(),
        how: o.how(),
        no_says: o.no_says(),
        caution: caution(o),
        unit: o.amount_unit().unwrap_or_default(),
        form,
        readings: words::rows(g.conversion.no, earlier, &g.wheels, at),
    };
    Page(status, page).into_response()
}

/// `GET /c/{no}/look/{key}`
pub async fn show(
    State(app): State<App>,
    who: Who,
    Path((no, key)): Path<(i64, String)>,
) -> Result<Response> {
    let o = named(&key)?;
    let g = sheet::gathered(&app, no).await?;
    let form = fresh(&g);
    Ok(page(&app, &who, (&g, o), (form, StatusCode::OK)))
}

/// `POST /c/{no}/look/{key}`
pub async fn create(
    State(app): State<App>,
    who: Who,
    Path((no, key)): Path<(i64, String)>,
    mut form: Fields,
) -> Result<Response> {
    let o = named(&key)?;
    let g = sheet::gathered(&app, no).await?;
    let instruments = meters(&app).await?;
    match forms::look(&mut form, &app, &Meters(&instruments), o) {
        Some(draft) => {
            keep(&app, &who, &g, (&mut form, vec![draft]), &format!("/c/{no}/bench")).await
        }
        None => Ok(page(&app, &who, (&g, o), (form, StatusCode::UNPROCESSABLE_ENTITY))),
    }
}
