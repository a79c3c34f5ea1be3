//! The page of settings.

use super::model::{Household, NUMBERS, Number};
use super::store;
use crate::features::people::extract::write;
use crate::units::exact;
use crate::web::{App, Fields, Page, Result, Shell, Who, see_other};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use std::collections::BTreeMap;

/// The page.
#[derive(Debug, Template)]
#[template(path = "settings/show.html")]
pub struct ShowPage {
    shell: Shell,
    form: Fields,
    numbers: &'static [Number],
    conflict: bool,
}

fn fill(h: &Household) -> Fields {
    let mut form = Fields::with([("name", h.name.clone()), ("version", h.version.to_string())]);
    for n in NUMBERS {
        form.set(n.key, exact(h.number(n.key)).replace('\u{2212}', "-"));
    }
    form
}

fn page(app: &App, who: &Who, form: Fields, (status, conflict): (StatusCode, bool)) -> Response {
    let shell = Shell::new(app, who, "Settings", "/settings");
    Page(status, ShowPage { shell, form, numbers: NUMBERS, conflict }).into_response()
}

/// `GET /settings`
pub async fn show(State(app): State<App>, who: Who) -> Result<Response> {
    let mut conn = app.db.pool.acquire().await?;
    let household = store::household(&mut conn).await?;
    Ok(page(&app, &who, fill(&household), (StatusCode::OK, false)))
}

/// `POST /settings`
pub async fn update(State(app): State<App>, who: Who, mut form: Fields) -> Result<Response> {
    let version = form.whole("version", 0, i64::MAX).unwrap_or(0);
    let mut values = BTreeMap::from([("name".to_owned(), form.optional_text("name", 80))]);
    for n in NUMBERS {
        if let Some(t) = form.quantity(n.key, &n.wanted) {
            values.insert(n.key.to_owned(), format!("{}", t.value));
        }
    }
    let number = |key: &str| values.get(key).and_then(|t| t.parse::<f64>().ok());
    if number("friction_clear") >= number("friction_danger") {
        form.refuse("friction_danger", "Danger must begin above where clear ends.");
    }
    if number("pickup_good_ohm") >= number("pickup_bad_ohm") {
        form.refuse("pickup_bad_ohm", "Failed must begin above where good ends.");
    }
    if form.any_wrong() {
        return Ok(page(&app, &who, form, (StatusCode::UNPROCESSABLE_ENTITY, false)));
    }
    let mut w = write(&app, &who).await?;
    match store::put(&mut w, version, &values).await {
        Ok(()) => {
            w.commit().await?;
            see_other("/settings")
        }
        Err(crate::db::Error::Conflict(_)) => {
            let now = store::household(w.conn()).await?.version;
            form.set("version", now.to_string());
            Ok(page(&app, &who, form, (StatusCode::CONFLICT, true)))
        }
        Err(e) => Err(e.into()),
    }
}
