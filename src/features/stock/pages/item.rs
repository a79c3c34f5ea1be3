//! One thing: what it is, where it sits, its moves, and the readings taken on it.

use super::{at, find, place_words};
use crate::choice::Choice;
use crate::features::conversions::{self, Head, head};
use crate::features::gates::view::At;
use crate::features::notes::about::{self, About};
use crate::features::notes::{self, words::Beside};
use crate::features::parts::words::mass;
use crate::features::readings::{self, words};
use crate::features::stock::model::{Kind, Stock};
use crate::web::{App, Fields, Page, Path, Result, Sheet, Shell, Who, when};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

/// Most readings shown.
const MOST: i64 = 100;

/// The page.
#[derive(Debug, Template)]
#[template(path = "stock/item.html")]
pub struct ItemPage {
    shell: Shell,
    head: Option<Head>,
    no: i64,
    name: String,
    kind: &'static str,
    motor: bool,
    sits: String,
    swap_href: String,
    facts: Vec<(&'static str, String)>,
    version: i64,
    aside: bool,
    moves: Vec<MoveView>,
    readings: Vec<words::Row>,
    places: Vec<(String, String)>,
    place: String,
    changes: bool,
    form: Fields,
    theirs: String,
    beside: Beside,
}

/// A move as shown.
#[derive(Debug)]
pub struct MoveView {
    what: String,
    by: String,
    why: String,
    struck: bool,
    back: bool,
}

/// `GET /stock/{thing}`
pub async fn show(State(app): State<App>, who: Who, Path(thing): Path<i64>) -> Result<Response> {
    let s = find(&app, thing).await?;
    page(&app, &who, &s, (Fields::default(), String::new(), StatusCode::OK)).await
}

/// The page of a thing, with a refused move where there is one.
pub async fn page(
    app: &App,
    who: &Who,
    s: &Stock,
    (form, theirs, status): (Fields, String, StatusCode),
) -> Result<Response> {
    let at = at(app);
    let mut conn = app.db.pool.acquire().await?;
    let all = conversions::store::list(&mut conn).await?;
    let taken = readings::store::of_stock(&mut conn, s.id, MOST).await?;
    let c = all.iter().find(|c| Some(c.id) == s.conversion());
    let about = About { kind: about::Kind::Stock, id: s.id.0, no: s.no };
    let beside = notes::words::beside(&mut conn, about, c.map(|c| c.no), at).await?;
    drop(conn);
    let places = all.iter().map(|c| (c.no.to_string(), format!("№ {} {}", c.no, c.draft.title)));
    let nav = if s.place.is_some() { "/" } else { "/drawer" };
    let page = ItemPage {
        shell: Shell::new(app, who, format!("{} · Stock", s.title()), nav),
        head: c.map(|c| head(c, app, Some(Sheet::Overview))),
        no: s.no,
        name: s.title(),
        kind: s.draft.kind.label(),
        motor: s.draft.kind == Kind::Motor,
        sits: place_words(s.place.as_ref()),
        swap_href: c.map(|c| format!("/c/{}/swap/{}", c.no, s.no)).unwrap_or_default(),
        facts: facts(s),
        version: s.version,
        aside: s.aside_at.is_some(),
        moves: moves(s, at),
        readings: taken.iter().flat_map(|(no, r)| words::rows(*no, [r], &[], at)).collect(),
        places: [(String::new(), "the drawer".to_owned())].into_iter().chain(places).collect(),
        place: s.place.as_ref().map(|p| p.no.to_string()).unwrap_or_default(),
        changes: !s.draft.kind.changes().is_empty(),
        form,
        theirs,
        beside,
    };
    Ok(Page(status, page).into_response())
}

fn facts(s: &Stock) -> Vec<(&'static str, String)> {
    let d = &s.draft;
    let rows = [
        ("Kind", d.kind.label().to_owned()),
        ("Mark", d.mark.clone()),
        ("Mass", d.mass_mg.map(mass).unwrap_or_default()),
        ("Remark", d.remark.clone()),
    ];
    rows.into_iter().filter(|(_, value)| !value.is_empty()).collect()
}

fn moves(s: &Stock, at: At) -> Vec<MoveView> {
    let last = s.last_move().map(|m| m.id);
    let many = s.move_before().is_some();
    let mut out: Vec<MoveView> = s
        .moves
        .iter()
        .map(|m| {
            let to = m.place_no.map_or("the drawer".to_owned(), |no| format!("№ {no}"));
            let day = when::day(m.at, at.now, at.offset);
            MoveView {
                what: if m.no == 1 { format!("in {to}") } else { format!("to {to}") },
                by: if m.person.is_empty() { day } else { format!("{}, {day}", m.person) },
                why: m.why.clone(),
                struck: m.taken_back_at.is_some(),
                back: many && last == Some(m.id),
            }
        })
        .collect();
    out.reverse();
    out
}
