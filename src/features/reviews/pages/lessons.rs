//! Lessons: the reviews of all conversions, filtered by what was seen and by the kind of model.

use super::{Options, at};
use crate::choice::Choice;
use crate::features::conversions::model::{Drive, Frame, Motor, Pickup, options};
use crate::features::reviews::catalogue::Symptom;
use crate::features::reviews::gather::{self, Told};
use crate::features::reviews::words;
use crate::web::{App, Fields, Page, Query, Result, Shell, Who};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

/// The page.
#[derive(Debug, Template)]
#[template(path = "reviews/lessons.html")]
pub struct LessonsPage {
    shell: Shell,
    form: Fields,
    symptoms: Options,
    drives: Options,
    motors: Options,
    pickups: Options,
    frames: Options,
    rows: Vec<words::Row>,
    all: usize,
    filtered: bool,
}

/// What is asked for; an empty field asks for anything.
#[derive(Debug, Default, Deserialize)]
pub struct Asked {
    #[serde(default)]
    symptom: String,
    #[serde(default)]
    drive: String,
    #[serde(default)]
    motor: String,
    #[serde(default)]
    pickup: String,
    #[serde(default)]
    frame: String,
}

/// What is asked for, read.
#[derive(Debug, Default)]
struct Filter {
    symptom: Option<Symptom>,
    drive: Option<Drive>,
    motor: Option<Motor>,
    pickup: Option<Pickup>,
    frame: Option<Frame>,
}

impl Filter {
    fn read(form: &mut Fields) -> Filter {
        Filter {
            symptom: form.optional_choice("symptom"),
            drive: form.optional_choice("drive"),
            motor: form.optional_choice("motor"),
            pickup: form.optional_choice("pickup"),
            frame: form.optional_choice("frame"),
        }
    }

    fn takes(&self, t: &Told) -> bool {
        let d = &t.conversion.draft;
        self.symptom.is_none_or(|s| s == t.review.draft.symptom)
            && self.drive.is_none_or(|x| x == d.drive)
            && self.motor.is_none_or(|x| x == d.motor)
            && self.pickup.is_none_or(|x| x == d.pickup)
            && self.frame.is_none_or(|x| x == d.frame)
    }
}

/// Only symptoms that were seen are offered, in the order of the list.
fn seen(told: &[Told]) -> Options {
    let here = |s: &&Symptom| told.iter().any(|t| t.review.draft.symptom == **s);
    Symptom::ALL.iter().filter(here).map(|s| (s.code(), s.label())).collect()
}

/// `GET /lessons`
pub async fn list(
    State(app): State<App>,
    who: Who,
    Query(asked): Query<Asked>,
) -> Result<Response> {
    let mut conn = app.db.pool.acquire().await?;
    let told = gather::told(&mut conn).await?;
    drop(conn);
    let mut form = Fields::with([
        ("symptom", asked.symptom),
        ("drive", asked.drive),
        ("motor", asked.motor),
        ("pickup", asked.pickup),
        ("frame", asked.frame),
    ]);
    let filtered = form.names().any(|n| !form.value(n).is_empty());
    let filter = Filter::read(&mut form);
    let status = if form.any_wrong() { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
    let at = at(&app);
    let rows = told.iter().filter(|t| filter.takes(t)).map(|t| words::told(t, at));
    let page = LessonsPage {
        shell: Shell::new(&app, &who, "Lessons", "/lessons")
            .block("Sheet", "Lessons")
            .block("Reviews", told.len().to_string()),
        symptoms: seen(&told),
        drives: options::<Drive>(),
        motors: options::<Motor>(),
        pickups: options::<Pickup>(),
        frames: options::<Frame>(),
        rows: rows.collect(),
        all: told.len(),
        filtered,
        form,
    };
    Ok(Page(status, page).into_response())
}
