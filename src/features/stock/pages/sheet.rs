//! What a conversion is made of: its chassis, shell, motor, and where else they were.

use super::{ThingView, at, place, thing};
use crate::features::conversions::model::{Conversion, options};
use crate::features::conversions::{self, Head, head};
use crate::features::people::extract::write;
use crate::features::stock::model::Kind;
use crate::features::stock::{forms, store};
use crate::web::form::new_token;
use crate::web::{App, Fields, Page, Path, Result, Sheet, Shell, Who, see_other, when};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

/// The page.
#[derive(Debug, Template)]
#[template(path = "stock/sheet.html")]
pub struct SheetPage {
    shell: Shell,
    head: Head,
    things: Vec<ThingView>,
    motors: usize,
    begun: String,
    form: Fields,
    kinds: Vec<(&'static str, &'static str)>,
}

async fn page(
    app: &App,
    who: &Who,
    c: &Conversion,
    (form, status): (Fields, StatusCode),
) -> Result<Response> {
    let at = at(app);
    let mut conn = app.db.pool.acquire().await?;
    let things = store::list(&mut conn, Some(c.id)).await?;
    drop(conn);
    let page = SheetPage {
        shell: Shell::new(app, who, format!("Made of · № {} {}", c.no, c.draft.title), "/"),
        head: head(c, app, Some(Sheet::Overview)),
        motors: things.iter().filter(|s| s.draft.kind == Kind::Motor).count(),
        things: things.iter().map(|s| thing(s, at)).collect(),
        begun: when::day(c.draft.started_at, at.now, at.offset),
        form,
        kinds: options::<Kind>(),
    };
    Ok(Page(status, page).into_response())
}

/// `GET /c/{no}/stock`
pub async fn show(State(app): State<App>, who: Who, Path(no): Path<i64>) -> Result<Response> {
    let c = conversions::sheet::find(&app, no).await?;
    let form = Fields::with([("kind", "motor".to_owned()), ("token", new_token())]);
    page(&app, &who, &c, (form, StatusCode::OK)).await
}

/// `POST /c/{no}/stock`: a thing that has been in it; empty day: since the conversion was begun.
pub async fn create(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let c = conversions::sheet::find(&app, no).await?;
    let (token, draft) = (form.token(), forms::read(&mut form));
    let since = if form.value("at").trim().is_empty() {
        c.draft.started_at
    } else {
        forms::read_day(&mut form, "at", &app)
    };
    let why = form.optional_text("why", 2000);
    let Some(draft) = draft.filter(|_| !form.any_wrong()) else {
        return page(&app, &who, &c, (form, StatusCode::UNPROCESSABLE_ENTITY)).await;
    };
    let mut w = write(&app, &who).await?;
    if let Some(token) = token
        && let Some(answer) = w.seen(token).await?
    {
        return see_other(&answer);
    }
    let new = store::add(&mut w, draft, Some(place(&c)), (since, &why)).await?;
    let answer = format!("/c/{no}/stock#thing-{}", new.no);
    w.commit_form(token, &answer).await?;
    see_other(&answer)
}
