//! The shelf: all conversions, and what to do tonight.

use super::sheet::gathered;
use crate::calc::gates::{Place, next_steps};
use crate::choice::Choice;
use crate::draw::{arm, outline};
use crate::features::conversions::model::{Conversion, Outcome, Stage};
use crate::features::conversions::store;
use crate::features::gates::gather::Gathered;
use crate::features::gates::view::{first_sentence, href};
use crate::features::reviews::model::Review;
use crate::features::{people, readings, reviews};
use crate::web::{App, Page, Result, Shell, Who, when};
use askama::Template;
use axum::extract::State;
use axum::response::{IntoResponse, Response};

/// The shelf page.
#[derive(Debug, Template)]
#[template(path = "conversions/shelf.html")]
pub struct ShelfPage {
    shell: Shell,
    sub: String,
    today: String,
    tonight: Vec<StepView>,
    boards: Vec<Board>,
    empty: bool,
    nobody: bool,
}

/// One thing to do.
#[derive(Debug)]
pub struct StepView {
    what: String,
    href: String,
    open_href: String,
    no: i64,
    facts: String,
    minutes: u32,
}

/// One board of the shelf: in work, in service, given up.
#[derive(Debug)]
pub struct Board {
    id: &'static str,
    heading: &'static str,
    help: &'static str,
    off: bool,
    berths: Vec<Berth>,
}

/// One model standing on the shelf.
#[derive(Debug)]
pub struct Berth {
    no: i64,
    title: String,
    drawing: String,
    sub: String,
    says: String,
    hand: String,
    lesson: String,
    review: String,
    start_href: String,
    gates: String,
}

/// Room for a drawing at the left of a berth, px.
const ROOM_PX: f64 = 296.0;

/// `GET /`
pub async fn list(State(app): State<App>, who: Who) -> Result<Response> {
    let mut conn = app.db.pool.acquire().await?;
    let conversions = store::list(&mut conn).await?;
    let people = people::store::list(&mut conn).await?;
    let counts = readings::store::count_by_conversion(&mut conn).await?;
    let written = reviews::store::all(&mut conn).await?;
    drop(conn);
    let mut all = Vec::with_capacity(conversions.len());
    for c in conversions {
        all.push(gathered(&app, c.no).await?);
    }
    let names = people.iter().map(|p| p.name.as_str()).collect::<Vec<_>>().join(", ");
    let total: i64 = counts.iter().map(|(_, n)| n).sum();
    let mut shell = Shell::new(&app, &who, "Shelf", "/")
        .block("Sheet", "Shelf")
        .block("Conversions", all.len().to_string())
        .block("Readings", total.to_string());
    if !names.is_empty() {
        shell = shell.block("People", names);
    }
    let page = ShelfPage {
        shell,
        sub: sub(&all),
        today: when::weekday(app.now(), app.now(), app.offset),
        tonight: tonight(&all),
        boards: boards(&app, &all, &written),
        empty: all.is_empty(),
        nobody: people.is_empty(),
    };
    Ok(Page::ok(page).into_response())
}

/// `Larch Street table · 5 conversions: 3 in work, 1 in service, 1 given up`.
fn sub(all: &[Gathered]) -> String {
    let counts = Outcome::ALL
        .iter()
        .filter_map(|o| {
            let n = all.iter().filter(|g| g.conversion.outcome == *o).count();
            (n > 0).then(|| format!("{n} {}", o.label()))
        })
        .collect::<Vec<_>>()
        .join(", ");
    let household = all.first().map(|g| g.household.name.clone()).unwrap_or_default();
    let many = match all.len() {
        0 => "nothing on it yet".to_owned(),
        1 => format!("1 conversion: {counts}"),
        n => format!("{n} conversions: {counts}"),
    };
    if household.is_empty() { many } else { format!("{household} · {many}") }
}

/// The most useful step of each conversion in work, best first: danger before unlit before caution,
/// then the shorter one.
fn tonight(all: &[Gathered]) -> Vec<StepView> {
    let mut steps: Vec<_> = all
        .iter()
        .filter(|g| g.conversion.outcome == Outcome::InWork)
        .filter_map(|g| {
            let step = next_steps(&g.gates()).into_iter().find(|s| s.place != Place::Later)?;
            Some((g, step))
        })
        .collect();
    // what can burn something leads: a danger on isolation before any other danger
    steps.sort_by_key(|(_, s)| {
        (std::cmp::Reverse(s.aspect.rank()), s.place != Place::Isolation, s.minutes)
    });
    steps
        .into_iter()
        .take(4)
        .map(|(g, s)| {
            let c = &g.conversion;
            let (what, _) = first_sentence(&s.what);
            StepView {
                href: href(c.no, s.place),
                open_href: format!("/c/{}", c.no),
                no: c.no,
                facts: format!("№ {} {} · {}", c.no, c.draft.title, s.why),
                minutes: s.minutes,
                what,
            }
        })
        .collect()
}

fn boards(app: &App, all: &[Gathered], written: &[Review]) -> Vec<Board> {
    let lengths: Vec<f64> =
        all.iter().map(|g| outline::drawn_length_mm(&model(&g.conversion))).collect();
    let scale = outline::one_scale(&lengths, ROOM_PX);
    let board = |id, heading, help, off, outcomes: &[Outcome]| Board {
        id,
        heading,
        help,
        off,
        berths: all
            .iter()
            .filter(|g| outcomes.contains(&g.conversion.outcome))
            .map(|g| berth((app, scale), g, written))
            .collect(),
    };
    let boards = vec![
        board(
            "work",
            "In work",
            "All models are drawn to one scale, standing on the shelf.",
            false,
            &[Outcome::InWork],
        ),
        board("serv", "In service", "", false, &[Outcome::InService]),
        board(
            "gone",
            "Given up",
            "Their motors, shells and lessons stay findable.",
            true,
            &[Outcome::GivenUp, Outcome::Donor, Outcome::SwappedChassis],
        ),
    ];
    boards.into_iter().filter(|b| !b.berths.is_empty()).collect()
}

/// What the drawing needs to know of a conversion.
pub fn model(c: &Conversion) -> outline::Model<'_> {
    outline::Model {
        kind: outline::Kind::from_key(c.draft.body.code()).unwrap_or(outline::Kind::Generic),
        length_mm: c.length_mm(),
        scale: c.draft.ratio.unwrap_or(87.0),
        wheels: &c.draft.wheels,
    }
}

fn berth((app, scale): (&App, f64), g: &Gathered, written: &[Review]) -> Berth {
    let c = &g.conversion;
    let own: Vec<&Review> = written.iter().filter(|r| r.conversion_id == c.id).collect();
    let (now, offset) = (app.now(), app.offset);
    let ended = !matches!(c.outcome, Outcome::InWork);
    let when_words = if ended {
        format!("{} {}", c.outcome.label(), when::day(c.stage_at, now, offset))
    } else {
        format!("since {}", when::day(c.draft.started_at, now, offset))
    };
    let sub = [c.draft.scale.clone(), c.draft.wheels.clone(), c.person.clone(), when_words];
    let gates = g.gates();
    let five: Vec<_> = gates.iter().map(|x| (x.name.title(), x.aspect)).collect();
    let started = !g.readings.is_empty();
    Berth {
        no: c.no,
        title: c.draft.title.clone(),
        drawing: outline::side(&model(c), scale).svg,
        sub: sub.into_iter().filter(|p| !p.is_empty()).collect::<Vec<_>>().join(" · "),
        says: if ended { String::new() } else { says(g) },
        hand: c.outcome_why.clone(),
        lesson: if ended { lesson(&own) } else { String::new() },
        review: if ended { review_words(own.len()) } else { String::new() },
        start_href: if started || ended { String::new() } else { format!("/c/{}/bench", c.no) },
        gates: arm::five(&five),
    }
}

/// The newest lesson of what ended.
fn lesson(own: &[&Review]) -> String {
    own.iter().map(|r| r.lesson.clone()).find(|l| !l.is_empty()).unwrap_or_default()
}

/// What leads to the Review sheet of what ended.
fn review_words(reviews: usize) -> String {
    match reviews {
        0 => "Review sheet".to_owned(),
        1 => "Its review".to_owned(),
        n => format!("Its {n} reviews"),
    }
}

/// `Strip and isolate, since 15 Nov. 2 snags open.`
fn says(g: &Gathered) -> String {
    let stage = capital(g.conversion.stage);
    match g.open_snags().count() {
        0 => format!("{stage}."),
        1 => format!("{stage}. 1 snag open."),
        n => format!("{stage}. {n} snags open."),
    }
}

/// A stage's label with a capital.
pub fn capital(stage: Stage) -> String {
    let label = stage.label();
    let mut chars = label.chars();
    chars.next().map_or(String::new(), |c| c.to_uppercase().collect::<String>() + chars.as_str())
}
