//! The sheet for the box and the labels.

use super::cautions::{Facts, cautions};
use super::link::link;
use crate::choice::Choice;
use crate::draw::{arm, qr};
use crate::features::conversions::model::{Conversion, Outcome, thousandths};
use crate::features::conversions::{Head, head, sheet};
use crate::features::decoders::model::DecoderDraft;
use crate::features::gates::gather::Gathered;
use crate::features::gates::inputs;
use crate::features::gates::view::At;
use crate::features::snags::model::Severity;
use crate::units::{amps, millimetres, seconds, volts};
use crate::web::{App, Page, Path, Query, Result, Shell, Who, when};
use askama::Template;
use axum::extract::State;
use axum::http::HeaderMap;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

/// The sheet for the box.
#[derive(Debug, Template)]
#[template(path = "prints/box.html")]
pub struct BoxPage {
    shell: Shell,
    head: Head,
    identity: Vec<(&'static str, String)>,
    draws: Vec<(&'static str, String)>,
    decoder: Vec<(&'static str, String)>,
    cautions: Vec<String>,
    gates: Vec<(String, String, String)>,
    snags: Vec<(i64, String, &'static str)>,
    more_snags: usize,
    printed: String,
    code: String,
    address: String,
    this_machine_only: bool,
}

/// Most snags on the sheet; with more it would not be one page.
const SNAGS: usize = 6;

/// `GET /c/{no}/box`
pub async fn box_sheet(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    headers: HeaderMap,
) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    let at = At { now: app.now(), offset: app.offset };
    let gates = g.gates();
    let open: Vec<_> = g.open_snags().collect();
    let link = link(&headers, no);
    let facts = Facts {
        gates: &gates,
        outcome: g.conversion.outcome,
        store: g.conversion.draft.goal_store,
        dangerous: open.iter().filter(|s| s.draft.severity == Severity::Dangerous).count(),
        open_reviews: g.snapshot.reviews.iter().filter(|r| r.closed_at_ms.is_none()).count(),
    };
    let page = BoxPage {
        shell: sheet::shell(&app, &who, &g, (0, "Sheet for the box")),
        head: head(&g.conversion, &app, None),
        identity: identity(&g.conversion, at),
        draws: draws(&g),
        decoder: decoder(g.decoder.as_ref().map(|d| &d.draft)),
        cautions: cautions(facts),
        gates: gates
            .iter()
            .map(|x| {
                let passed = x.passed.as_ref().map(|p| {
                    format!("passed {}, {}", when::day(p.at_ms, at.now, at.offset), p.who)
                });
                (x.title.clone(), arm::asp(x.aspect), passed.unwrap_or_default())
            })
            .collect(),
        snags: open
            .iter()
            .take(SNAGS)
            .map(|s| {
                let blocks = s.draft.blocks.map_or("nothing", Choice::label);
                (s.no, short(&s.draft.what), blocks)
            })
            .collect(),
        more_snags: open.len().saturating_sub(SNAGS),
        printed: when::day_time(at.now, at.now, at.offset),
        code: link
            .as_ref()
            .and_then(|l| qr::code(&l.address, "QR code of this conversion’s page"))
            .unwrap_or_default(),
        this_machine_only: link.as_ref().is_some_and(|l| l.this_machine_only),
        address: link.map(|l| l.address).unwrap_or_default(),
    };
    Ok(Page::ok(page).into_response())
}

/// At most a hundred and twenty characters, so that the sheet stays one page.
fn short(text: &str) -> String {
    let mut out: String = text.chars().take(120).collect();
    if out.len() < text.len() {
        out.push('…');
    }
    out
}

/// Rows that say something.
fn said<const N: usize>(rows: [(&'static str, String); N]) -> Vec<(&'static str, String)> {
    rows.into_iter().filter(|(_, value)| !value.is_empty()).collect()
}

fn identity(c: &Conversion, at: At) -> Vec<(&'static str, String)> {
    let d = &c.draft;
    let stage = format!("{}, since {}", c.stage.label(), when::day(c.stage_at, at.now, at.offset));
    let stands = if c.outcome == Outcome::InWork {
        stage
    } else {
        format!("{}, {}", c.outcome.label(), when::day(c.stage_at, at.now, at.offset))
    };
    said([
        ("Scale", c.scale_words()),
        ("Wheels", d.wheels.clone()),
        ("Length", c.length_mm().map(millimetres).unwrap_or_default()),
        ("Drive", d.drive.label().to_owned()),
        ("Motor", d.motor.label().to_owned()),
        ("Pickup", d.pickup.label().to_owned()),
        ("Whose", c.person.clone()),
        ("Stands at", stands),
    ])
}

/// What it draws, by the latest load test; readings that no longer count are left out.
fn draws(g: &Gathered) -> Vec<(&'static str, String)> {
    let input = inputs::load(g);
    let tested = g.snapshot.load_test.as_ref().is_some_and(|t| t.test_v.is_some());
    let not = || "not measured".to_owned();
    let current = |a: Option<f64>| a.map_or_else(not, amps);
    let held = match (input.held_a, input.held_refused) {
        (None, true) => "could not be held".to_owned(),
        // held is often read at a lower, safer voltage: a figure without it would mislead
        (Some(a), _) => match input.held_test_v.filter(|_| tested) {
            Some(v) => format!("{} at {}", amps(a), volts(v)),
            None => amps(a),
        },
        (None, _) => not(),
    };
    let track = g.conversion.track_v(g.household.number("track_v"));
    vec![
        ("Tested at", if tested { volts(input.test_v) } else { not() }),
        ("Running free", current(input.free_a)),
        ("Wheels slipping", current(input.slipping_a)),
        ("Held", held),
        ("Track it is for", volts(track)),
    ]
}

/// The decoder; the address is written by hand until the notebook keeps it.
fn decoder(d: Option<&DecoderDraft>) -> Vec<(&'static str, String)> {
    let Some(d) = d else { return Vec::new() };
    let ma = |v: Option<i64>| v.map(|v| amps(thousandths(v))).unwrap_or_default();
    let peak = match (d.motor_peak_ma, d.motor_peak_ms) {
        (Some(ma), Some(ms)) => {
            format!("{} for {}", amps(thousandths(ma)), seconds(thousandths(ms)))
        }
        (peak, _) => ma(peak),
    };
    said([
        ("Decoder", d.name.clone()),
        ("Motor, continuous", ma(d.motor_continuous_ma)),
        ("Motor, peak", peak),
        ("Everything together", ma(d.total_continuous_ma)),
    ])
}

/// The labels.
#[derive(Debug, Template)]
#[template(path = "prints/labels.html")]
pub struct LabelsPage {
    shell: Shell,
    head: Head,
    title: String,
    sub: String,
    many: Vec<usize>,
    count: usize,
    code: String,
    address: String,
    this_machine_only: bool,
}

/// How many labels are wanted.
#[derive(Debug, Deserialize)]
pub struct Wanted {
    n: Option<usize>,
}

/// `GET /c/{no}/labels`
pub async fn labels(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    Query(wanted): Query<Wanted>,
    headers: HeaderMap,
) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    let link = link(&headers, no);
    let count = wanted.n.unwrap_or(6).clamp(1, 24);
    let sub = [c.draft.scale.clone(), c.draft.wheels.clone(), c.person.clone()];
    let page = LabelsPage {
        shell: Shell::new(&app, &who, format!("Labels · № {no} {}", c.draft.title), "/"),
        head: head(&c, &app, None),
        title: c.draft.title.clone(),
        sub: sub.into_iter().filter(|p| !p.is_empty()).collect::<Vec<_>>().join(" · "),
        many: (1..=count).collect(),
        count,
        code: link
            .as_ref()
            .and_then(|l| qr::code(&l.address, "QR code of this conversion’s page"))
            .unwrap_or_default(),
        this_machine_only: link.as_ref().is_some_and(|l| l.this_machine_only),
        address: link.map(|l| l.address).unwrap_or_default(),
    };
    Ok(Page::ok(page).into_response())
}
