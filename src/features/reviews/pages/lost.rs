//! Parts lost: a part named here becomes dead in the parts room, by its own step.

use super::show::{Given, can_be_lost, page};
use super::{address, find_in_use, meanwhile, seen};
use crate::choice::Choice;
use crate::db::{Millis, PartId, Write};
use crate::features::parts;
use crate::features::parts::model::{Part, State, step};
use crate::features::people::extract::write;
use crate::features::reviews::model::{Lost, Review};
use crate::features::reviews::store;
use crate::web::{App, Error, Fields, Path, Result, Who, see_other, when};
use axum::extract::State as Extract;
use axum::http::StatusCode;
use axum::response::Response;

/// `POST /c/{no}/reviews/{review}/lost`
pub async fn add(
    Extract(app): Extract<App>,
    who: Who,
    Path((no, review)): Path<(i64, i64)>,
    mut form: Fields,
) -> Result<Response> {
    let (c, r) = find_in_use(&app, no, review).await?;
    let answer = address(no, review);
    let token = form.token();
    if seen(&app, &who, token).await? {
        return see_other(&answer);
    }
    let id = form.id::<PartId>("part");
    let theirs = meanwhile(&mut form, &r);
    if !theirs.is_empty() {
        let given = Given { lost: form, theirs, ..Given::default() };
        return page(&app, &who, (&c, &r), (given, StatusCode::CONFLICT)).await;
    }
    let mut conn = app.db.pool.acquire().await?;
    let parts = parts::store::list(&mut conn, Some(c.id)).await?;
    drop(conn);
    let found = id.and_then(|id| parts.into_iter().find(|p| p.id == id));
    match &found {
        None => form
            .refuse("part", "There is no such part in this conversion. Choose one from the list."),
        Some(p) if r.lost.iter().any(|l| l.id == p.id) => {
            form.refuse("part", format!("Part {} is named already.", p.no));
        }
        Some(p) if !can_be_lost(p) => {
            let why = format!(
                "Part {} is {}. Only what is here or on its way can be lost.",
                p.no,
                p.state.label()
            );
            form.refuse("part", why);
        }
        Some(_) => {}
    }
    let part = match found {
        Some(part) if !form.any_wrong() => part,
        _ => {
            let given = Given { lost: form, ..Given::default() };
            return page(&app, &who, (&c, &r), (given, StatusCode::UNPROCESSABLE_ENTITY)).await;
        }
    };
    let mut w = write(&app, &who).await?;
    if part.state != State::Dead {
        kill(&mut w, &app, &part, &r).await?;
    }
    let mut new = r.clone();
    new.lost.push(Lost {
        id: part.id,
        no: part.no,
        name: part.draft.name.clone(),
        price_cents: part.draft.price_cents,
        currency: part.draft.currency.clone(),
        dead: true,
    });
    store::change(&mut w, (&r, r.version), new).await?;
    w.commit_form(token, &answer).await?;
    see_other(&answer)
}

/// Takes a part to dead: on the day the review was noticed, or now where its last step was later.
async fn kill(w: &mut Write, app: &App, part: &Part, r: &Review) -> Result<()> {
    let since = part.last_step().map_or(Millis::MIN, |e| e.at);
    let day = |ms: Millis| when::local(ms, app.offset).date();
    let at = r.draft.at;
    let same_day = day(at) == day(since.max(0));
    let at = step((part.state, since), State::Dead, at, same_day).unwrap_or(w.at.max(since));
    let to = (State::Dead, part.place.clone());
    let remark = format!("lost, see review {}", r.no);
    parts::store::move_on(w, (part, part.version), to, (at, &remark)).await?;
    Ok(())
}

/// `POST /c/{no}/reviews/{review}/lost/{part}/remove`: it was not lost by this. The part stays as it is in
/// the parts room.
pub async fn remove(
    Extract(app): Extract<App>,
    who: Who,
    Path((no, review, part)): Path<(i64, i64, String)>,
    mut form: Fields,
) -> Result<Response> {
    let (_, r) = find_in_use(&app, no, review).await?;
    let version = form.version();
    let id: Option<PartId> = part.parse().ok();
    if !r.lost.iter().any(|p| Some(p.id) == id) {
        return Err(Error::NotFound("such part in this review".to_owned()));
    }
    let mut new = r.clone();
    new.lost.retain(|p| Some(p.id) != id);
    let mut w = write(&app, &who).await?;
    store::change(&mut w, (&r, version), new).await?;
    w.commit().await?;
    see_other(&address(no, review))
}
