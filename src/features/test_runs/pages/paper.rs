//! The cards on paper: several a sheet, with room to write by hand.

use crate::calc::card::{AskKind, CARDS, Card, Shell as Body, Twin};
use crate::features::conversions::{Head, head, sheet};
use crate::features::gates::gather::Gathered;
use crate::features::test_runs::pages::view;
use crate::web::{App, Page, Path, Result, Sheet, Shell, Who};
use askama::Template;
use axum::extract::State;
use axum::response::{IntoResponse, Response};

/// All cards on paper.
#[derive(Debug, Template)]
#[template(path = "test_runs/paper.html")]
pub struct PaperPage {
    shell: Shell,
    head: Head,
    cards: Vec<PaperView>,
}

/// One card on paper.
#[derive(Debug)]
pub struct PaperView {
    card: &'static Card,
    no: usize,
    twin: bool,
    one: &'static str,
    lines: Vec<LineView>,
}

/// One line to write on.
#[derive(Debug)]
pub struct LineView {
    label: String,
    expect: String,
    unit: &'static str,
}

fn paper(g: &Gathered, c: &'static Card) -> PaperView {
    let body = if c.twin == Twin::OnOnly { Body::On } else { Body::Off };
    let lines = view::asked(g, c.name, body)
        .into_iter()
        .map(|a| LineView {
            label: a.label,
            expect: a.expect,
            unit: match a.kind {
                AskKind::Number(w) | AskKind::Ohms(w) => w.bare,
                AskKind::Choice(_) | AskKind::Text => "",
            },
        })
        .collect();
    PaperView { card: c, no: c.name.no(), twin: c.twin == Twin::Both, one: body.word(), lines }
}

/// `GET /c/{no}/cards/paper`
pub async fn show(State(app): State<App>, who: Who, Path(no): Path<i64>) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    let page = PaperPage {
        shell: sheet::shell(&app, &who, &g, (2, "Cards on paper")),
        head: head(&g.conversion, &app, Some(Sheet::Bench)),
        cards: CARDS.iter().map(|c| paper(&g, c)).collect(),
    };
    Ok(Page::ok(page).into_response())
}
