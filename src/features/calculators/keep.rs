//! Reading a form of a conversion's calculation, working it out, and keeping what was written.

use super::model::{Saved, difference};
use super::own::kept_by;
use super::pages::refuse;
use super::sheet::Sheet;
use super::store;
use super::view::{AnswerView, view};
use crate::features::gates::gather::Gathered;
use crate::features::gates::view::At;
use crate::features::people::extract::write;
use crate::web::{App, Fields, Result, Who, see_other};
use axum::response::Response;
use serde_json::{Map, Value};

/// What came of a form.
pub(super) enum Settled {
    /// Kept; where to go.
    Kept(Response),
    /// Worked out, not kept.
    Tried(Box<AnswerView>),
    /// Some of it can't be taken; the form says what.
    Bad,
    /// Somebody kept another input meanwhile: whose, and the answer to this one.
    Conflict(String, Box<AnswerView>),
}

/// Reads the form and works it out; `None`: the form says what can't be taken.
fn typed(s: &Sheet, form: &mut Fields) -> Option<(Map<String, Value>, Box<AnswerView>)> {
    s.form.restore(form, &s.written());
    let Value::Object(written) = s.form.json(form) else { return None };
    if form.any_wrong() {
        return None;
    }
    match (s.c.run)(&s.whole(&written).to_string()) {
        Ok(answer) => Some((difference(&written, &s.normal), Box::new(view(answer)))),
        Err(refused) => {
            refuse(&s.form, form, refused);
            None
        }
    }
}

/// Works a form out and keeps what was written, unless it only asks to try (`do=try`).
pub(super) async fn settle(
    (app, who): (&App, &Who),
    (g, s, at): (&Gathered, &Sheet, At),
    form: &mut Fields,
    address: &str,
) -> Result<Settled> {
    let (token, trying) = (form.token(), form.is("do", "try"));
    let version = form.whole("version", 0, i64::MAX).unwrap_or(0);
    let Some((kept, answer)) = typed(s, form) else { return Ok(Settled::Bad) };
    if trying {
        return Ok(Settled::Tried(answer));
    }
    let mut w = write(app, who).await?;
    if let Some(token) = token
        && w.seen(token).await?.is_some()
    {
        return Ok(Settled::Kept(see_other(address)?));
    }
    let old = store::find(w.conn(), g.conversion.id, s.c.name).await?;
    if standing(old.as_ref()) != version {
        return Ok(Settled::Conflict(old.map(|o| kept_by(&o, at)).unwrap_or_default(), answer));
    }
    let seen = old.as_ref().map_or(0, |o| o.version);
    store::keep(&mut w, g.conversion.id, (old.as_ref(), seen), (s.c.name, kept)).await?;
    w.commit_form(token, address).await?;
    Ok(Settled::Kept(see_other(address)?))
}

/// The version a form is shown with: 0 where nothing is kept or it was forgotten.
pub(super) fn standing(saved: Option<&Saved>) -> i64 {
    saved.filter(|s| !s.aside).map_or(0, |s| s.version)
}
