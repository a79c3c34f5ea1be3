//! Moving a thing, taking a move back, putting it aside.

use super::{find, item, place, place_words};
use crate::features::conversions;
use crate::features::parts::model::Place;
use crate::features::people::extract::write;
use crate::features::stock::model::{NotMoved, Stock, carry as plan};
use crate::features::stock::{forms, store};
use crate::web::{App, Error, Fields, Path, Result, Who, see_other};
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

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
    Ok(found.as_ref().map(place))
}

/// `POST /stock/{thing}/move`
pub async fn carry(
    State(app): State<App>,
    who: Who,
    Path(thing): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let s = find(&app, thing).await?;
    let version = form.version();
    let to = read_place(&app, &mut form).await?;
    let why = form.text("why", 2000);
    if version != s.version && version > 0 {
        let theirs = format!("{}, in {}", s.title(), place_words(s.place.as_ref()));
        return item::page(&app, &who, &s, (form, theirs, StatusCode::CONFLICT)).await;
    }
    let goes = plan(&s, to).unwrap_or_else(|why: NotMoved| {
        form.refuse("to", why.words());
        Vec::new()
    });
    let at = forms::read_moment(&mut form, &goes, &app);
    if form.any_wrong() {
        let status = StatusCode::UNPROCESSABLE_ENTITY;
        return item::page(&app, &who, &s, (form, String::new(), status)).await;
    }
    let mut w = write(&app, &who).await?;
    store::move_together(&mut w, &goes, (at, &why)).await?;
    w.commit().await?;
    see_other(&format!("/stock/{thing}"))
}

/// `POST /stock/{thing}/take-back`: the newest move, with everything that was moved together with it.
pub async fn take_back(
    State(app): State<App>,
    who: Who,
    Path(thing): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let s = find(&app, thing).await?;
    let version = form.version();
    let (Some(last), Some(_)) = (s.last_move(), s.move_before()) else {
        return Err(Error::Refused("Where it was first can’t be taken back. Put it aside if it was written down by mistake.".to_owned()));
    };
    if version != s.version {
        return Err(crate::db::Error::Conflict("thing").into());
    }
    let swap = last.swap_id;
    let mut w = write(&app, &who).await?;
    let things = store::moved_together(w.conn(), swap).await?;
    let later = things.iter().find(|t| t.last_move().is_none_or(|m| m.swap_id != swap));
    if let Some(t) = later {
        return Err(Error::Refused(format!(
            "{} was moved again since. Take that back first.",
            t.title()
        )));
    }
    store::take_back(&mut w, &things, swap).await?;
    w.commit().await?;
    see_other(&format!("/stock/{thing}"))
}

async fn set_aside(app: &App, who: &Who, no: i64, form: &mut Fields, aside: bool) -> Result<()> {
    let s: Stock = find(app, no).await?;
    let version = form.version();
    if let Some(c) = s.place.as_ref().filter(|_| aside) {
        return Err(Error::Refused(format!(
            "It sits in № {}. Move it into the drawer first, then put it aside.",
            c.no
        )));
    }
    let mut w = write(app, who).await?;
    store::set_aside(&mut w, (&s, version), aside).await?;
    Ok(w.commit().await?)
}

/// `POST /stock/{thing}/aside`
pub async fn aside(
    State(app): State<App>,
    who: Who,
    Path(thing): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    set_aside(&app, &who, thing, &mut form, true).await?;
    see_other("/drawer")
}

/// `POST /stock/{thing}/restore`
pub async fn restore(
    State(app): State<App>,
    who: Who,
    Path(thing): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    set_aside(&app, &who, thing, &mut form, false).await?;
    see_other(&format!("/stock/{thing}"))
}
