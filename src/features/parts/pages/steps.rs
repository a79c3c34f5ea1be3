//! Taking a part on: its next state, another place, a step back, aside.

use super::find;
use super::show::{Given, page};
use crate::choice::Choice;
use crate::db::Millis;
use crate::features::conversions;
use crate::features::parts::model::{NotTaken, Part, Place, State, not_before, step};
use crate::features::parts::{forms, store, words};
use crate::features::people::extract::write;
use crate::web::{App, Error, Fields, Path, Result, Who, see_other, when};
use axum::extract::State as Extract;
use axum::http::StatusCode;
use axum::response::Response;

/// The newest step's moment.
fn since(p: &Part) -> Millis {
    p.last_step().map_or(Millis::MIN, |e| e.at)
}

/// Notes at the form why a step was not taken.
fn refuse(form: &mut Fields, why: NotTaken, (p, app): (&Part, &App)) {
    match why {
        NotTaken::NotFrom(from, to) => {
            let next: Vec<&str> = from.next().iter().map(|s| s.label()).collect();
            form.refuse(
                "state",
                format!(
                    "A part that is {} can’t be {} next. It can be: {}.",
                    from.label(),
                    to.label(),
                    next.join(", ")
                ),
            );
        }
        NotTaken::StillFitted => {
            form.refuse("to", "It is fitted. Write down that it was taken out, then move it.");
        }
        NotTaken::BeforeTheLast => {
            let day = when::day(since(p), app.now(), app.offset);
            form.refuse(
                "at",
                format!(
                    "It has been {} since {day}. Write that day or a later one.",
                    p.state.label()
                ),
            );
        }
    }
}

/// What somebody else did meanwhile; empty when nobody did. The form goes on from there.
fn meanwhile(form: &mut Fields, p: &Part, app: &App) -> String {
    if form.version() == p.version || form.any_wrong() {
        return String::new();
    }
    form.set("version", p.version.to_string());
    format!("{}, {}", words::name(p), words::state(p, super::at(app)))
}

/// `POST /parts/{part}/state`
pub async fn state(
    Extract(app): Extract<App>,
    who: Who,
    Path(part): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let p = find(&app, part).await?;
    let next = form.choice::<State>("state");
    let (at, remark) = (forms::step_day(&mut form, &app), form.optional_text("remark", 2000));
    let theirs = meanwhile(&mut form, &p, &app);
    if !theirs.is_empty() {
        let given = Given { step: form, theirs, ..Given::default() };
        return page(&app, &who, &p, (given, StatusCode::CONFLICT)).await;
    }
    let taken = next.map(|next| (next, try_step(&p, next, at, &app)));
    if let Some((_, Err(why))) = taken {
        refuse(&mut form, why, (&p, &app));
    }
    let (next, at) = match taken {
        Some((next, Ok(at))) if !form.any_wrong() => (next, at),
        _ => {
            let given = Given { step: form, ..Given::default() };
            return page(&app, &who, &p, (given, StatusCode::UNPROCESSABLE_ENTITY)).await;
        }
    };
    let mut w = write(&app, &who).await?;
    store::move_on(&mut w, (&p, p.version), (next, p.place.clone()), (at, &remark)).await?;
    w.commit().await?;
    see_other(&format!("/parts/{part}"))
}

fn try_step(p: &Part, next: State, at: Millis, app: &App) -> std::result::Result<Millis, NotTaken> {
    let since = since(p);
    step((p.state, since), next, at, forms::same_day(at, since.max(0), app))
}

/// `POST /parts/{part}/move`: to another conversion, or into the drawer.
pub async fn place(
    Extract(app): Extract<App>,
    who: Who,
    Path(part): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let p = find(&app, part).await?;
    let (at, remark) = (forms::step_day(&mut form, &app), form.optional_text("remark", 2000));
    let to = read_place(&app, &mut form).await?;
    let theirs = meanwhile(&mut form, &p, &app);
    if !theirs.is_empty() {
        let given = Given { mv: form, theirs, ..Given::default() };
        return page(&app, &who, &p, (given, StatusCode::CONFLICT)).await;
    }
    if to == p.place && !form.any_wrong() {
        form.refuse("to", "It is there already. Choose another place.");
    }
    if p.state == State::Fitted && !form.any_wrong() {
        refuse(&mut form, NotTaken::StillFitted, (&p, &app));
    }
    let since = since(&p);
    let at = not_before(since, at, forms::same_day(at, since.max(0), &app));
    if let Err(why) = at {
        refuse(&mut form, why, (&p, &app));
    }
    let at = match at {
        Ok(at) if !form.any_wrong() => at,
        _ => {
            let given = Given { mv: form, ..Given::default() };
            return page(&app, &who, &p, (given, StatusCode::UNPROCESSABLE_ENTITY)).await;
        }
    };
    let mut w = write(&app, &who).await?;
    store::move_on(&mut w, (&p, p.version), (p.state, to), (at, &remark)).await?;
    w.commit().await?;
    see_other(&format!("/parts/{part}"))
}

/// The place chosen: a conversion by its number, or the drawer.
async fn read_place(app: &App, form: &mut Fields) -> Result<Option<Place>> {
    let typed = form.one("to").trim().to_owned();
    if typed.is_empty() {
        return Ok(None);
    }
    let mut conn = app.db.pool.acquire().await?;
    let found = match typed.parse::<i64>() {
        Ok(no) => conversions::store::find(&mut conn, no).await?,
        Err(_) => None,
    };
    if found.is_none() {
        form.refuse("to", "There is no such conversion. Choose one from the list.");
    }
    Ok(found.map(|c| Place { id: c.id, no: c.no, title: c.draft.title }))
}

/// `POST /parts/{part}/take-back`
pub async fn take_back(
    Extract(app): Extract<App>,
    who: Who,
    Path(part): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let p = find(&app, part).await?;
    let version = form.version();
    if p.step_before().is_none() {
        return Err(Error::Refused("The first step can’t be taken back. Put the part aside if it was written down by mistake.".to_owned()));
    }
    let mut w = write(&app, &who).await?;
    store::take_back(&mut w, (&p, version)).await?;
    w.commit().await?;
    see_other(&format!("/parts/{part}"))
}

async fn set_aside(
    app: &App,
    who: &Who,
    part: i64,
    form: &mut Fields,
    aside: bool,
) -> Result<Part> {
    let p = find(app, part).await?;
    let version = form.version();
    let mut w = write(app, who).await?;
    store::set_aside(&mut w, (&p, version), aside).await?;
    w.commit().await?;
    Ok(p)
}

/// `POST /parts/{part}/aside`
pub async fn aside(
    Extract(app): Extract<App>,
    who: Who,
    Path(part): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let p = set_aside(&app, &who, part, &mut form, true).await?;
    see_other(&p.place.map_or("/drawer".to_owned(), |c| format!("/c/{}/parts", c.no)))
}

/// `POST /parts/{part}/restore`
pub async fn restore(
    Extract(app): Extract<App>,
    who: Who,
    Path(part): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    set_aside(&app, &who, part, &mut form, false).await?;
    see_other(&format!("/parts/{part}"))
}
