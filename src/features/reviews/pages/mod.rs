//! Pages of this room, one file per page, and what they share.

pub mod cause;
pub mod edit;
pub mod evidence;
pub mod lessons;
pub mod lost;
pub mod new;
pub mod show;
pub mod steps;

use super::model::Review;
use super::{store, words};
use crate::choice::Choice;
use crate::features::conversions::model::Conversion;
use crate::features::conversions::sheet;
use crate::features::gates::view::At;
use crate::features::people::extract::write;
use crate::web::{App, Error, Fields, Result, Who};
use uuid::Uuid;

type Options = Vec<(&'static str, &'static str)>;

/// Kinds with codes and words, for a grouped select.
type Groups = Vec<(&'static str, Vec<(String, String)>)>;

/// What the views need to know of time.
fn at(app: &App) -> At {
    At { now: app.now(), offset: app.offset }
}

/// The review of that number with its conversion.
async fn find(app: &App, no: i64, review: i64) -> Result<(Conversion, Review)> {
    let c = sheet::find(app, no).await?;
    let mut conn = app.db.pool.acquire().await?;
    let found = store::find(&mut conn, c.id, review).await?;
    let r = found.ok_or_else(|| Error::NotFound(format!("review {review} of this conversion")))?;
    Ok((c, r))
}

/// The same, unless it is put aside: nothing is written on what lies aside.
async fn find_in_use(app: &App, no: i64, review: i64) -> Result<(Conversion, Review)> {
    let (c, r) = find(app, no, review).await?;
    if r.aside_at.is_some() {
        let why = format!("Review {review} is put aside. Bring it back first.");
        return Err(Error::Refused(why));
    }
    Ok((c, r))
}

/// Address of a review's page.
fn address(no: i64, review: i64) -> String {
    format!("/c/{no}/reviews/{review}")
}

/// Whether a form with this token was sent before.
async fn seen(app: &App, who: &Who, token: Option<Uuid>) -> Result<bool> {
    let Some(token) = token else { return Ok(false) };
    Ok(write(app, who).await?.seen(token).await?.is_some())
}

/// What somebody else did meanwhile; empty when nobody did. The form goes on from there.
fn meanwhile(form: &mut Fields, r: &Review) -> String {
    if form.version() == r.version || form.any_wrong() {
        return String::new();
    }
    form.set("version", r.version.to_string());
    let mut said = vec![words::symptom(r)];
    said.extend(r.causes.iter().map(|c| format!("{} ({})", words::cause(c), c.sure.label())));
    said.extend(r.lost.iter().map(|p| format!("lost: {}", p.name)));
    said.extend((!r.lesson.is_empty()).then(|| format!("lesson: {}", r.lesson)));
    said.push(if r.is_open() { "open".to_owned() } else { "closed".to_owned() });
    said.join(" · ")
}
