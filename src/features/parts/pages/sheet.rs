//! Sheet 5: parts awaited on an axis of days, parts here, fitted, dead; a form for the next one.

use super::{Lists, at, fresh, links, lists};
use crate::choice::Choice;
use crate::draw::awaited::{Axis, Days};
use crate::features::conversions::model::Conversion;
use crate::features::conversions::{self, Head, head};
use crate::features::gates::view::At;
use crate::features::parts::alike::already_have;
use crate::features::parts::model::{Part, Place, State, spent};
use crate::features::parts::words::{self, GoodsView, days, goods, julian, money};
use crate::features::parts::{forms, store};
use crate::features::people::extract::write;
use crate::web::{App, Fields, Page, Path, Result, Sheet, Shell, Who, see_other, when};
use askama::Template;
use axum::extract::State as Extract;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

/// The sheet.
#[derive(Debug, Template)]
#[template(path = "parts_room/sheet.html")]
pub struct SheetPage {
    shell: Shell,
    head: Head,
    count: String,
    axis: String,
    awaited: Vec<GoodsView>,
    here: Vec<GoodsView>,
    fitted: Vec<GoodsView>,
    ended: Vec<GoodsView>,
    spent: String,
    form: Fields,
    lists: Lists,
}

/// A group of states.
type Group = fn(State) -> bool;

/// `3 on the way, 2 here, 1 wanted`.
fn count(parts: &[Part]) -> String {
    let groups: [(Group, &str); 5] = [
        (State::is_on_the_way, "on the way"),
        (|s| matches!(s, State::Arrived | State::Proved), "here"),
        (|s| s == State::Fitted, "fitted"),
        (State::is_wanted, "wanted"),
        (|s| matches!(s, State::Dead | State::Returned), "dead or returned"),
    ];
    groups
        .iter()
        .map(|(is, word)| (parts.iter().filter(|p| is(p.state)).count(), word))
        .filter(|(n, _)| *n > 0)
        .map(|(n, word)| format!("{n} {word}"))
        .collect::<Vec<_>>()
        .join(", ")
}

/// Wanted ones last, else by the promised day.
fn order(p: &Part) -> (bool, i64, i64) {
    (p.state.is_wanted(), p.draft.promised_at.unwrap_or(i64::MAX), p.no)
}

/// The parts of some states, as rows.
fn group(parts: &[Part], is: Group, (axis, at): (&Axis, At)) -> Vec<GoodsView> {
    let mut some: Vec<&Part> = parts.iter().filter(|p| is(p.state)).collect();
    some.sort_by_key(|p| order(p));
    some.into_iter().map(|p| goods(p, axis, at)).collect()
}

/// Says at each wanted part what the drawer holds.
fn put_have(rows: &mut [GoodsView], parts: &[Part], drawer: &[Part]) {
    for row in rows {
        let wanted = parts.iter().find(|p| p.no == row.no && p.state.is_wanted());
        let Some(p) = wanted else { continue };
        row.have = have((p.draft.kind, &p.draft.name), drawer);
    }
}

/// Like parts in the drawer: address and words.
pub fn have(
    wanted: (crate::features::parts::model::Kind, &str),
    drawer: &[Part],
) -> Vec<(String, String)> {
    already_have(wanted, drawer)
        .into_iter()
        .take(3)
        .map(|p| (format!("/parts/{}", p.no), format!("{} (part {})", words::name(p), p.no)))
        .collect()
}

async fn page(
    app: &App,
    who: &Who,
    c: &Conversion,
    (form, status): (Fields, StatusCode),
) -> Result<Response> {
    let mut conn = app.db.pool.acquire().await?;
    let parts = store::list(&mut conn, Some(c.id)).await?;
    let drawer = store::list(&mut conn, None).await?;
    let lists = lists(&mut conn, &parts, None).await?;
    drop(conn);
    let at = at(app);
    let shown = |p: &&Part| !matches!(p.state, State::Fitted | State::Dead | State::Returned);
    let not_over = parts.iter().filter(shown);
    let all: Vec<Days> = not_over.map(|p| days(p, at)).collect();
    let axis = Axis::over(&all, julian(at.now, at));
    let today = format!("today, {}", when::day(at.now, at.now, at.offset));
    let sums: Vec<String> = spent(&parts).iter().map(|(c, cents)| money(*cents, c)).collect();
    let of = |is: Group| group(&parts, is, (&axis, at));
    let mut awaited = of(|s| s.is_on_the_way() || s.is_wanted());
    put_have(&mut awaited, &parts, &drawer);
    let title = format!("Parts · № {} {}", c.no, c.draft.title);
    let page = SheetPage {
        shell: Shell::new(app, who, title, "/")
            .block("Conversion", format!("№ {}", c.no))
            .block("Model", c.draft.title.clone())
            .block("Scale", c.scale_words())
            .block("Sheet", "5 of 7, Parts")
            .block("Drawn from", format!("{} parts", parts.len())),
        head: head(c, app, Some(Sheet::Parts)),
        count: count(&parts),
        axis: axis.svg(&today),
        awaited,
        here: of(|s| matches!(s, State::Arrived | State::Proved)),
        fitted: of(|s| s == State::Fitted),
        ended: of(|s| matches!(s, State::Dead | State::Returned)),
        spent: sums.join(", "),
        form,
        lists,
    };
    Ok(Page(status, page).into_response())
}

/// `GET /c/{no}/parts`. What is asked for in the query fills the form: `?instead_of=…`.
pub async fn show(
    Extract(app): Extract<App>,
    who: Who,
    Path(no): Path<i64>,
    crate::web::Query(asked): crate::web::Query<Asked>,
) -> Result<Response> {
    let c = conversions::sheet::find(&app, no).await?;
    let mut form = fresh();
    if let Some(other) = asked.instead_of {
        let mut conn = app.db.pool.acquire().await?;
        if let Some(p) = store::find(&mut conn, other).await? {
            form.set("instead_of", p.id.to_string());
            form.set("kind", p.draft.kind.code());
            form.set("blocks", p.draft.blocks.map_or("", Choice::code));
        }
    }
    page(&app, &who, &c, (form, StatusCode::OK)).await
}

/// What the form may be opened with.
#[derive(Debug, serde::Deserialize)]
pub struct Asked {
    /// Number of the part the new one may stand in for.
    instead_of: Option<i64>,
}

/// `POST /c/{no}/parts`
pub async fn create(
    Extract(app): Extract<App>,
    who: Who,
    Path(no): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let c = conversions::sheet::find(&app, no).await?;
    let place = Place { id: c.id, no: c.no, title: c.draft.title.clone() };
    match add(&app, &who, Some(place), &mut form).await? {
        Some(answer) => see_other(&answer),
        None => page(&app, &who, &c, (form, StatusCode::UNPROCESSABLE_ENTITY)).await,
    }
}

/// Writes a new part down. `None`: something was refused, and nothing was written.
pub async fn add(
    app: &App,
    who: &Who,
    place: Option<Place>,
    form: &mut Fields,
) -> Result<Option<String>> {
    let token = form.token();
    let (draft, steps) = (forms::read(form, app), forms::read_steps(form, app));
    let (Some(mut draft), Some(steps)) = (draft, steps) else { return Ok(None) };
    let ordered = steps.iter().find(|(s, _)| *s == State::Ordered).map(|(_, at)| *at);
    forms::check_promised(form, draft.promised_at, ordered, app);
    let mut w = write(app, who).await?;
    if let Some(token) = token
        && let Some(answer) = w.seen(token).await?
    {
        return Ok(Some(answer));
    }
    if !links(w.conn(), form, (&mut draft, None), place.as_ref().map(|p| p.id)).await? {
        return Ok(None);
    }
    let sheet = place.as_ref().map_or("/drawer".to_owned(), |p| format!("/c/{}/parts", p.no));
    let part = store::add(&mut w, place, draft, &steps).await?;
    let answer = format!("{sheet}#part-{}", part.no);
    w.commit_form(token, &answer).await?;
    Ok(Some(answer))
}
