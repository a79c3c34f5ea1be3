//! The form of a conversion: new and edit.

use super::sheet;
use crate::features::conversions::model::{
    Body, Conversion, Draft, Drive, Frame, Motor, Pickup, SCALES, options,
};
use crate::features::conversions::{forms, store};
use crate::features::people::{self, extract::write};
use crate::web::form::new_token;
use crate::web::{App, Fields, Page, Path, Result, Shell, Who, see_other, when};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

type Options = Vec<(String, String)>;

/// The form page.
#[derive(Debug, Template)]
#[template(path = "conversions/form.html")]
pub struct FormPage {
    shell: Shell,
    heading: String,
    help: String,
    action: String,
    back: String,
    form: Fields,
    scales: Options,
    people: Options,
    lists: Lists,
    theirs: Vec<(String, String)>,
}

/// The closed lists of the form.
#[derive(Debug)]
pub struct Lists {
    body: Vec<(&'static str, &'static str)>,
    drive: Vec<(&'static str, &'static str)>,
    motor: Vec<(&'static str, &'static str)>,
    pickup: Vec<(&'static str, &'static str)>,
    frame: Vec<(&'static str, &'static str)>,
}

/// Which conversion the form is for: none yet, or this one.
async fn page(
    app: &App,
    who: &Who,
    of: Option<&Conversion>,
    (form, theirs): (Fields, Vec<(String, String)>),
    status: StatusCode,
) -> Result<Response> {
    let mut conn = app.db.pool.acquire().await?;
    let people = people::store::list(&mut conn).await?;
    let scales = SCALES
        .iter()
        .map(|s| (s.name.to_owned(), format!("{} · 1:{} on {} mm", s.name, s.ratio, s.gauge_mm)))
        .chain([("other".to_owned(), "another scale".to_owned())])
        .collect();
    let heading =
        of.map_or("New conversion".to_owned(), |c| format!("№ {} {}", c.no, c.draft.title));
    let shell = Shell::new(app, who, heading.clone(), "/");
    let page = FormPage {
        shell,
        heading,
        help: if of.is_some() {
            "What it is and what it is for."
        } else {
            "What you know is enough. The rest can wait."
        }
        .to_owned(),
        action: of.map_or("/conversions".to_owned(), |c| format!("/c/{}/edit", c.no)),
        back: of.map_or("/".to_owned(), |c| format!("/c/{}", c.no)),
        form,
        scales,
        people: people.into_iter().map(|p| (p.id.to_string(), p.name)).collect(),
        lists: Lists {
            body: options::<Body>(),
            drive: options::<Drive>(),
            motor: options::<Motor>(),
            pickup: options::<Pickup>(),
            frame: options::<Frame>(),
        },
        theirs,
    };
    Ok(Page(status, page).into_response())
}

/// `GET /conversions/new`
pub async fn new(State(app): State<App>, who: Who) -> Result<Response> {
    let mut form = Fields::with([
        ("scale", "H0"),
        ("body", "bonnet_and_cab"),
        ("drive", "rigid_worm"),
        ("motor", "other"),
        ("pickup", "other"),
        ("frame", "other"),
    ]);
    form.set("started", when::field_value(app.now(), app.offset));
    form.set("person", who.id.map(|p| p.to_string()).unwrap_or_default());
    form.set("token", new_token());
    page(&app, &who, None, (form, Vec::new()), StatusCode::OK).await
}

/// `POST /conversions`
pub async fn create(State(app): State<App>, who: Who, mut form: Fields) -> Result<Response> {
    let (token, draft) = (form.token(), forms::read(&mut form, &app));
    let Some(draft) = draft else {
        return page(&app, &who, None, (form, Vec::new()), StatusCode::UNPROCESSABLE_ENTITY).await;
    };
    let mut w = write(&app, &who).await?;
    if let Some(token) = token
        && let Some(answer) = w.seen(token).await?
    {
        return see_other(&answer);
    }
    if let Some(id) = draft.person_id
        && people::store::find(w.conn(), id).await?.is_none()
    {
        drop(w);
        form.refuse("person", "There is nobody of that id here. Choose a name from the list.");
        return page(&app, &who, None, (form, Vec::new()), StatusCode::UNPROCESSABLE_ENTITY).await;
    }
    let conversion = store::add(&mut w, draft).await?;
    let answer = format!("/c/{}", conversion.no);
    w.commit_form(token, &answer).await?;
    see_other(&answer)
}

/// `GET /c/{no}/edit`
pub async fn edit(State(app): State<App>, who: Who, Path(no): Path<i64>) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    let form = forms::fill(&c, &app);
    page(&app, &who, Some(&c), (form, Vec::new()), StatusCode::OK).await
}

/// `POST /c/{no}/edit`
pub async fn update(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    let (version, draft) = (form.version(), forms::read(&mut form, &app));
    let Some(draft) = draft else {
        return page(&app, &who, Some(&c), (form, Vec::new()), StatusCode::UNPROCESSABLE_ENTITY)
            .await;
    };
    if version != c.version {
        return conflict(&app, &who, &c, &draft, form).await;
    }
    let mut w = write(&app, &who).await?;
    store::change(&mut w, &c, version, draft).await?;
    w.commit().await?;
    see_other(&format!("/c/{no}"))
}

/// Somebody saved meanwhile: show theirs beside what was typed, field by field; nothing is written
/// until the person sends it again on top of the newer version.
async fn conflict(
    app: &App,
    who: &Who,
    c: &Conversion,
    mine: &Draft,
    mut form: Fields,
) -> Result<Response> {
    let theirs = forms::fill(c, app);
    let mut differ = Vec::new();
    for (name, label) in forms::LABELS {
        if theirs.value(name) != forms::fill_draft(mine, app).value(name) {
            let shown = theirs.value(name);
            let shown = if shown.is_empty() { "empty" } else { shown };
            differ.push(((*label).to_owned(), shown.to_owned()));
        }
    }
    form.set("version", c.version.to_string());
    page(app, who, Some(c), (form, differ), StatusCode::CONFLICT).await
}
