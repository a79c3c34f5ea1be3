//! All cards of a conversion, by the gate they serve.

use super::view::{counts_as, newest, stale};
use crate::calc::card::{Bench, CARDS, Card, Shell as Body, Twin};
use crate::calc::gates::GateName;
use crate::draw::arm;
use crate::features::conversions::{Head, head, sheet};
use crate::features::gates::gather::Gathered;
use crate::features::gates::view::At;
use crate::features::test_runs::model::verdict;
use crate::web::{App, Page, Path, Result, Sheet, Shell, Who, when};
use askama::Template;
use axum::extract::State;
use axum::response::{IntoResponse, Response};

/// The page of all cards.
#[derive(Debug, Template)]
#[template(path = "test_runs/list.html")]
pub struct ListPage {
    shell: Shell,
    head: Head,
    gates: Vec<GateView>,
    done: usize,
    twins_open: Vec<LinkView>,
}

/// A twin still to be done.
#[derive(Debug)]
pub struct LinkView {
    href: String,
    title: String,
}

/// The cards of one gate.
#[derive(Debug)]
pub struct GateView {
    key: &'static str,
    title: &'static str,
    cards: Vec<CardView>,
}

/// One card with how it stands.
#[derive(Debug)]
pub struct CardView {
    no: usize,
    title: &'static str,
    tells: &'static str,
    decoder: &'static str,
    minutes: u32,
    sides: Vec<SideView>,
}

/// How a card stands with one shell.
#[derive(Debug)]
pub struct SideView {
    word: &'static str,
    href: String,
    asp: String,
    when: String,
}

fn side(g: &Gathered, c: &Card, body: Body, at: At) -> SideView {
    let run = newest(&g.runs, c.name, body);
    let (aspect, when) = match run {
        Some(r) => {
            let v = verdict(r, &g.readings, &Bench::of(&g.snapshot));
            let stale = stale(g, r, at);
            let word = when::day(r.done_at, at.now, at.offset);
            let word = if stale.is_empty() { word } else { format!("{word}, to be repeated") };
            (counts_as(&v, &stale), word)
        }
        None => (crate::aspect::Aspect::Unlit, "not done".to_owned()),
    };
    SideView {
        word: body.word(),
        href: format!("/c/{}/cards/{}?shell={}", g.conversion.no, c.name.key(), body.key()),
        asp: arm::asp(aspect),
        when,
    }
}

fn sides(c: &Card) -> impl Iterator<Item = Body> {
    let twin = c.twin;
    [Body::Off, Body::On].into_iter().filter(move |s| twin.takes(*s))
}

fn card(g: &Gathered, c: &Card, at: At) -> CardView {
    CardView {
        no: c.name.no(),
        title: c.title,
        tells: c.tells,
        decoder: c.decoder.word(),
        minutes: c.minutes,
        sides: sides(c).map(|s| side(g, c, s, at)).collect(),
    }
}

/// Twins not done since their shell-off run, by link.
fn twins_open(g: &Gathered) -> Vec<LinkView> {
    CARDS
        .iter()
        .filter(|c| c.twin == Twin::Both)
        .filter(|c| {
            newest(&g.runs, c.name, Body::Off).is_some()
                && newest(&g.runs, c.name, Body::On).is_none()
        })
        .map(|c| LinkView {
            href: format!("/c/{}/cards/{}?shell=on", g.conversion.no, c.name.key()),
            title: format!("Card {}, {}, shell on", c.name.no(), c.title),
        })
        .collect()
}

/// `GET /c/{no}/cards`
pub async fn list(State(app): State<App>, who: Who, Path(no): Path<i64>) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    let at = At { now: app.now(), offset: app.offset };
    let gates = GateName::ALL
        .into_iter()
        .map(|gate| GateView {
            key: gate.key(),
            title: gate.title(),
            cards: CARDS.iter().filter(|c| c.gate == gate).map(|c| card(&g, c, at)).collect(),
        })
        .filter(|v| !v.cards.is_empty())
        .collect();
    let page = ListPage {
        shell: sheet::shell(&app, &who, &g, (2, "Test cards")),
        head: head(&g.conversion, &app, Some(Sheet::Bench)),
        gates,
        done: g.runs.iter().filter(|r| r.taken_back_at.is_none()).count(),
        twins_open: twins_open(&g),
    };
    Ok(Page::ok(page).into_response())
}
