//! One part: what it is, what comes next, what happened so far, where it belongs.

use super::sheet::have;
use super::{Options, at, conversion_of, find, part_head};
use crate::choice::Choice;
use crate::features::conversions::{self, Head};
use crate::features::gates::view::At;
use crate::features::notes::about::{self, About};
use crate::features::notes::{self, words::Beside};
use crate::features::parts::model::{Event, Part};
use crate::features::parts::{store, words};
use crate::web::{App, Fields, Page, Path, Result, Shell, Who, when};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

/// The page.
#[derive(Debug, Template)]
#[template(path = "parts_room/show.html")]
pub struct ShowPage {
    shell: Shell,
    head: Option<Head>,
    no: i64,
    name: String,
    aside: bool,
    back: String,
    state: String,
    facts: Vec<(&'static str, String)>,
    others: Vec<(String, String)>,
    have: Vec<(String, String)>,
    replace: String,
    version: i64,
    next: Options,
    events: Vec<EventView>,
    step: Fields,
    theirs: String,
    places: Vec<(String, String)>,
    place: String,
    mv: Fields,
    beside: Beside,
}

/// One step as shown.
#[derive(Debug)]
pub struct EventView {
    what: String,
    by: String,
    remark: String,
    struck: bool,
    back: bool,
}

/// What the page is opened with: a refused step, a refused move, what somebody else did meanwhile.
#[derive(Debug, Default)]
pub struct Given {
    /// A step that was not taken.
    pub step: Fields,
    /// A move that was not taken.
    pub mv: Fields,
    /// What the part became meanwhile.
    pub theirs: String,
}

/// `GET /parts/{part}`
pub async fn show(State(app): State<App>, who: Who, Path(part): Path<i64>) -> Result<Response> {
    let p = find(&app, part).await?;
    page(&app, &who, &p, (Given::default(), StatusCode::OK)).await
}

/// The page of a part.
pub async fn page(
    app: &App,
    who: &Who,
    p: &Part,
    (given, status): (Given, StatusCode),
) -> Result<Response> {
    let mut conn = app.db.pool.acquire().await?;
    let c = conversion_of(&mut conn, p).await?;
    let near = store::list(&mut conn, p.place.as_ref().map(|c| c.id)).await?;
    let drawer = if p.state.is_wanted() { store::list(&mut conn, None).await? } else { Vec::new() };
    let all = conversions::store::list(&mut conn).await?;
    let at = at(app);
    let about = About { kind: about::Kind::Part, id: p.id.0, no: p.no };
    let beside = notes::words::beside(&mut conn, about, c.as_ref().map(|c| c.no), at).await?;
    drop(conn);
    let others = near.iter().filter(|o| o.id != p.id && o.either() == p.either());
    let places = all.iter().map(|c| (c.no.to_string(), format!("№ {} {}", c.no, c.draft.title)));
    let title = match &p.place {
        Some(c) => format!("{} · № {} {}", p.draft.name, c.no, c.title),
        None => format!("{} · Drawer", p.draft.name),
    };
    let drawer: Vec<Part> = drawer.into_iter().filter(|o| o.id != p.id).collect();
    let page = ShowPage {
        shell: Shell::new(app, who, title, if p.place.is_some() { "/" } else { "/drawer" }),
        head: part_head(app, c.as_ref()),
        no: p.no,
        name: words::name(p),
        aside: p.aside_at.is_some(),
        back: p.place.as_ref().map_or("/drawer".to_owned(), |c| format!("/c/{}/parts", c.no)),
        state: words::state(p, at),
        facts: facts(p, at),
        others: others.map(|o| (format!("/parts/{}", o.no), other(o, at))).collect(),
        have: if p.state.is_wanted() {
            have((p.draft.kind, &p.draft.name), &drawer)
        } else {
            Vec::new()
        },
        replace: replace(p),
        version: p.version,
        next: p.state.next().iter().map(|n| (n.code(), p.state.verb(*n))).collect(),
        events: events(p, at),
        step: given.step,
        theirs: given.theirs,
        places: [(String::new(), "the drawer".to_owned())].into_iter().chain(places).collect(),
        place: p.place.as_ref().map(|c| c.no.to_string()).unwrap_or_default(),
        mv: given.mv,
        beside,
    };
    Ok(Page(status, page).into_response())
}

fn other(o: &Part, at: At) -> String {
    format!("{} (part {}, {})", words::name(o), o.no, words::state(o, at))
}

/// Where another one is written down that may stand in for a part that is of no use.
fn replace(p: &Part) -> String {
    use crate::features::parts::model::State::{Dead, Returned};
    match (&p.place, p.state) {
        (Some(c), Dead | Returned) => format!("/c/{}/parts?instead_of={}#add", c.no, p.no),
        _ => String::new(),
    }
}

/// What is known, label and words.
fn facts(p: &Part, at: At) -> Vec<(&'static str, String)> {
    let d = &p.draft;
    let money = |cents: Option<i64>| cents.map(|c| words::money(c, &d.currency));
    let from = |words: String, basis: Option<crate::features::decoders::model::Basis>| {
        let basis = basis.map(|b| format!(", {}", b.label())).unwrap_or_default();
        if words.is_empty() { None } else { Some(format!("{words}{basis}")) }
    };
    let promised = d.promised_at.map(|ms| {
        let day = when::day(ms, at.now, at.offset);
        if !p.state.is_on_the_way() {
            return day;
        }
        format!("{day}, {}", words::due(words::julian(ms, at), words::julian(at.now, at)).words())
    });
    let mut out: Vec<(&'static str, Option<String>)> = vec![
        ("Kind", Some(d.kind.label().to_owned())),
        ("Pieces", Some(d.quantity.to_string())),
        ("From", Some(p.supplier.clone()).filter(|s| !s.is_empty())),
        ("Promised for", promised),
        ("Holds up", d.blocks.map(|g| g.label().to_owned())),
        ("Price", money(d.price_cents)),
        ("Postage", money(d.postage_cents)),
        ("Sizes", from(words::size(&d.size), d.size.size_basis)),
        ("Mass of one", from(d.mass_mg.map(words::mass).unwrap_or_default(), d.mass_basis)),
    ];
    out.push(("Remark", Some(d.remark.clone()).filter(|r| !r.is_empty())));
    let ratings = d
        .ratings
        .iter()
        .map(|r| format!("{}: {}\u{a0}{}, {}", r.name, r.typed, r.unit, r.basis.label()));
    let ratings: Vec<String> = ratings.collect();
    out.push(("Ratings", Some(ratings.join("; ")).filter(|r| !r.is_empty())));
    out.into_iter().filter_map(|(label, value)| Some((label, value?))).collect()
}

fn events(p: &Part, at: At) -> Vec<EventView> {
    let last = p.last_step().map(|e| e.id);
    let many = p.step_before().is_some();
    let mut before: Option<&Event> = None;
    let mut out: Vec<EventView> = Vec::new();
    for e in &p.events {
        let moved = before.filter(|b| b.conversion_id != e.conversion_id);
        let what = match (moved, e.place_no) {
            (Some(_), Some(no)) => format!("taken for № {no}"),
            (Some(_), None) => "put into the drawer".to_owned(),
            (None, _) => e.state.label().to_owned(),
        };
        let day = when::day(e.at, at.now, at.offset);
        out.push(EventView {
            what,
            by: if e.person.is_empty() { day } else { format!("{}, {day}", e.person) },
            remark: e.remark.clone(),
            struck: e.taken_back_at.is_some(),
            back: many && last == Some(e.id),
        });
        if e.taken_back_at.is_none() {
            before = Some(e);
        }
    }
    out.reverse();
    out
}
