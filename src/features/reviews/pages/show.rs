//! One review: what was seen, causes with their evidence, what it cost, the lesson, what it leaves.

use super::{Groups, Options, at, find};
use crate::choice::Choice;
use crate::features::conversions::model::{Conversion, options};
use crate::features::conversions::{Head, head};
use crate::features::gates::view::At;
use crate::features::notes::about::{About, Kind, Thing};
use crate::features::notes::{self, words::Beside};
use crate::features::parts;
use crate::features::reviews::model::{Cause, Review, Side, Sure};
use crate::features::reviews::{catalogue, gather, words};
use crate::features::snags::model::{GateName, Severity};
use crate::web::form::new_token;
use crate::web::{App, Fields, Page, Path, Result, Sheet, Shell, Who, when};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

/// The page.
#[derive(Debug, Template)]
#[template(path = "reviews/show.html")]
pub struct ShowPage {
    shell: Shell,
    head: Head,
    no: i64,
    symptom: String,
    state: String,
    open: bool,
    aside: bool,
    said: String,
    facts: Vec<(&'static str, String)>,
    changed: Option<(String, String)>,
    causes: Vec<CauseView>,
    lost: Vec<LostView>,
    lost_sum: String,
    left: Vec<LeftView>,
    lesson: String,
    version: i64,
    cause_groups: Groups,
    sures: Options,
    parts: Vec<(String, String)>,
    severities: Options,
    gates: Options,
    given: Given,
    beside: Beside,
}

/// What the page is opened with: the forms as they were typed, and what somebody else did meanwhile.
#[derive(Debug, Default)]
pub struct Given {
    /// A cause that was not taken.
    pub cause: Fields,
    /// A lost part that was not taken.
    pub lost: Fields,
    /// A snag that was not taken.
    pub snag: Fields,
    /// A lesson that was not taken.
    pub lesson: Fields,
    /// What the review became meanwhile.
    pub theirs: String,
}

/// A candidate cause as shown.
#[derive(Debug)]
pub struct CauseView {
    /// Address of its page.
    pub href: String,
    /// In words.
    pub what: String,
    /// How sure.
    pub sure: &'static str,
    /// Ruled out.
    pub out: bool,
    /// What speaks for and against it.
    pub evidence: Vec<EvidenceView>,
}

/// A piece of evidence as shown.
#[derive(Debug)]
pub struct EvidenceView {
    /// Its id.
    pub id: String,
    /// `for` or `against`.
    pub side: &'static str,
    /// In the person's words.
    pub words: String,
    /// The record: address and words.
    pub record: Option<(String, String)>,
}

/// A lost part as shown.
#[derive(Debug)]
pub struct LostView {
    id: String,
    no: i64,
    name: String,
    price: String,
    alive: bool,
}

/// A snag as shown.
#[derive(Debug)]
pub struct LeftView {
    no: i64,
    what: String,
    state: &'static str,
}

/// `GET /c/{no}/reviews/{review}`
pub async fn show(
    State(app): State<App>,
    who: Who,
    Path((no, review)): Path<(i64, i64)>,
) -> Result<Response> {
    let (c, r) = find(&app, no, review).await?;
    page(&app, &who, (&c, &r), (Given::default(), StatusCode::OK)).await
}

/// The page of a review.
pub async fn page(
    app: &App,
    who: &Who,
    (c, r): (&Conversion, &Review),
    (given, status): (Given, StatusCode),
) -> Result<Response> {
    let at = at(app);
    let mut conn = app.db.pool.acquire().await?;
    let grounds = gather::grounds(&mut conn, c.id, at).await?;
    let parts = parts::store::list(&mut conn, Some(c.id)).await?;
    let about = About { kind: Kind::Review, id: r.id.0, no: r.no };
    let beside = notes::words::beside(&mut conn, about, Some(c.no), at).await?;
    drop(conn);
    let page = ShowPage {
        shell: shell(app, who, (c, r)),
        head: head(c, app, Some(Sheet::Review)),
        no: r.no,
        symptom: words::symptom(r),
        state: state(r, at),
        open: r.is_open(),
        aside: r.aside_at.is_some(),
        said: r.draft.words.clone(),
        facts: facts(r, at),
        changed: r.draft.changed.as_ref().map(|h| {
            (
                h.about.href(c.no),
                format!("{}, {}", when::day_time(h.at, at.now, at.offset), h.words),
            )
        }),
        causes: r.by_sureness().into_iter().map(|k| cause((c, r, k), &grounds)).collect(),
        lost: r.lost.iter().map(lost).collect(),
        lost_sum: sum(r),
        left: r.snags.iter().map(left).collect(),
        lesson: r.lesson.clone(),
        version: r.version,
        cause_groups: catalogue::groups(r.draft.symptom),
        sures: options::<Sure>(),
        parts: offered(&parts, r),
        severities: options::<Severity>(),
        gates: options::<GateName>(),
        given: filled(given, r),
        beside,
    };
    Ok(Page(status, page).into_response())
}

fn shell(app: &App, who: &Who, (c, r): (&Conversion, &Review)) -> Shell {
    let title = format!("Review {} · № {} {}", r.no, c.no, c.draft.title);
    Shell::new(app, who, title, "/")
        .block("Conversion", format!("№ {}", c.no))
        .block("Model", c.draft.title.clone())
        .block("Sheet", format!("7 of 7, Review {}", r.no))
}

/// Forms that were not typed into begin fresh.
fn filled(mut given: Given, r: &Review) -> Given {
    let version = r.version.to_string();
    for form in [&mut given.cause, &mut given.lost, &mut given.snag, &mut given.lesson] {
        if form.value("version").is_empty() {
            form.set("version", version.clone());
            form.set("token", new_token());
        }
    }
    if given.cause.value("sure").is_empty() {
        given.cause.set("sure", Sure::Possible.code());
    }
    if given.snag.value("severity").is_empty() {
        given.snag.set("severity", Severity::MustFix.code());
    }
    if !given.lesson.any_wrong() && given.lesson.value("lesson").is_empty() {
        given.lesson.set("lesson", r.lesson.clone());
    }
    given
}

/// `Open since 22 Nov`, `Closed 25 Nov, Ines`.
fn state(r: &Review, at: At) -> String {
    let day = |ms: i64| when::day(ms, at.now, at.offset);
    match r.closed_at {
        None => format!("Open since {}", day(r.written_at)),
        Some(ms) if r.closed_by.is_empty() => format!("Closed {}", day(ms)),
        Some(ms) => format!("Closed {}, {}", day(ms), r.closed_by),
    }
}

fn facts(r: &Review, at: At) -> Vec<(&'static str, String)> {
    let d = &r.draft;
    let day = when::day(r.written_at, at.now, at.offset);
    let rows = [
        ("Noticed", when::day_time(d.at, at.now, at.offset)),
        ("Work it cost", d.minutes.map(words::work).unwrap_or_default()),
        (
            "Money it cost",
            d.cost_cents.map(|c| parts::words::money(c, &d.currency)).unwrap_or_default(),
        ),
        ("Written by", if r.person.is_empty() { day } else { format!("{}, {day}", r.person) }),
    ];
    rows.into_iter().filter(|(_, value)| !value.is_empty()).collect()
}

/// A cause made ready, its records in words as far as they are still there.
pub fn cause((c, r, k): (&Conversion, &Review, &Cause), grounds: &[Thing]) -> CauseView {
    let evidence = k.evidence.iter().map(|e| {
        let record = e.about.map(|a| {
            let found = grounds.iter().find(|t| t.about == a);
            let words =
                found.map_or_else(|| format!("{}, taken back", a.name()), |t| t.words.clone());
            (a.href(c.no), words)
        });
        let side = if e.side == Side::For { "for" } else { "against" };
        EvidenceView { id: e.id.to_string(), side, words: e.words.clone(), record }
    });
    CauseView {
        href: format!("/c/{}/reviews/{}/causes/{}", c.no, r.no, k.id),
        what: words::cause(k),
        sure: k.sure.label(),
        out: k.sure == Sure::RuledOut,
        evidence: evidence.collect(),
    }
}

fn lost(p: &crate::features::reviews::model::Lost) -> LostView {
    let price = p.price_cents.map(|c| parts::words::money(c, &p.currency));
    LostView {
        id: p.id.to_string(),
        no: p.no,
        name: p.name.clone(),
        price: price.unwrap_or_default(),
        alive: !p.dead,
    }
}

fn sum(r: &Review) -> String {
    let sums = r.lost_cents();
    sums.iter().map(|(c, cents)| parts::words::money(*cents, c)).collect::<Vec<_>>().join(" and ")
}

fn left(s: &crate::features::reviews::model::Left) -> LeftView {
    let state = if s.open { "open" } else { "put right" };
    LeftView { no: s.no, what: s.what.clone(), state }
}

/// Parts that can be named as lost: dead ones, and those that can die.
pub fn offered(all: &[parts::model::Part], r: &Review) -> Vec<(String, String)> {
    all.iter()
        .filter(|p| can_be_lost(p) && !r.lost.iter().any(|l| l.id == p.id))
        .map(|p| (p.id.to_string(), format!("{} {}, {}", p.no, p.draft.name, p.state.label())))
        .collect()
}

/// A part that is dead, or that can die from where it stands.
pub fn can_be_lost(p: &parts::model::Part) -> bool {
    use parts::model::State;
    p.state == State::Dead || p.state.next().contains(&State::Dead)
}
