//! The Drawer: things and parts that belong to no conversion, and what was put aside.

use super::{ThingView, at, thing};
use crate::choice::Choice;
use crate::features::conversions::model::options;
use crate::features::parts;
use crate::features::parts::model::Part;
use crate::features::parts::words;
use crate::features::people::extract::write;
use crate::features::stock::model::Kind;
use crate::features::stock::{forms, store};
use crate::web::form::new_token;
use crate::web::{App, Fields, Page, Result, Shell, Who, see_other};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

/// The page.
#[derive(Debug, Template)]
#[template(path = "stock/drawer.html")]
pub struct DrawerPage {
    shell: Shell,
    things: Vec<ThingView>,
    parts: Vec<PartView>,
    aside: Vec<AsideView>,
    form: Fields,
    kinds: Vec<(&'static str, &'static str)>,
}

/// A part in the drawer.
#[derive(Debug)]
pub struct PartView {
    no: i64,
    name: String,
    facts: String,
    state: String,
}

/// Something put aside.
#[derive(Debug)]
pub struct AsideView {
    href: String,
    action: String,
    words: String,
    place: String,
    version: i64,
}

fn part(p: &Part, at: crate::features::gates::view::At) -> PartView {
    let size = words::size(&p.draft.size);
    let kind = p.draft.kind.label().to_owned();
    let facts: Vec<String> =
        [kind, size, p.draft.remark.clone()].into_iter().filter(|f| !f.is_empty()).collect();
    PartView {
        no: p.no,
        name: words::name(p),
        facts: facts.join(" · "),
        state: words::state(p, at),
    }
}

async fn page(app: &App, who: &Who, (form, status): (Fields, StatusCode)) -> Result<Response> {
    let at = at(app);
    let mut conn = app.db.pool.acquire().await?;
    let things = store::list(&mut conn, None).await?;
    let kept = parts::store::list(&mut conn, None).await?;
    let things_aside = store::list_aside(&mut conn).await?;
    let parts_aside = parts::store::list_aside(&mut conn).await?;
    drop(conn);
    let aside = things_aside.iter().map(|s| AsideView {
        href: format!("/stock/{}", s.no),
        action: format!("/stock/{}/restore", s.no),
        words: format!("{}: {}", s.draft.kind.label(), s.title()),
        place: String::new(),
        version: s.version,
    });
    let aside = aside.chain(parts_aside.iter().map(|p| AsideView {
        href: format!("/parts/{}", p.no),
        action: format!("/parts/{}/restore", p.no),
        words: format!("part {}: {}", p.no, words::name(p)),
        place: p.place.as_ref().map(|c| format!("of № {} {}", c.no, c.title)).unwrap_or_default(),
        version: p.version,
    }));
    let page = DrawerPage {
        shell: Shell::new(app, who, "Drawer", "/drawer"),
        things: things.iter().map(|s| thing(s, at)).collect(),
        parts: kept.iter().map(|p| part(p, at)).collect(),
        aside: aside.collect(),
        form,
        kinds: options::<Kind>(),
    };
    Ok(Page(status, page).into_response())
}

/// `GET /drawer`
pub async fn show(State(app): State<App>, who: Who) -> Result<Response> {
    let form = Fields::with([("kind", "motor".to_owned()), ("token", new_token())]);
    page(&app, &who, (form, StatusCode::OK)).await
}

/// `POST /drawer`: a thing for the drawer.
pub async fn create(State(app): State<App>, who: Who, mut form: Fields) -> Result<Response> {
    let (token, draft) = (form.token(), forms::read(&mut form));
    let since = forms::read_day(&mut form, "at", &app);
    let why = form.optional_text("why", 2000);
    let Some(draft) = draft.filter(|_| !form.any_wrong()) else {
        return page(&app, &who, (form, StatusCode::UNPROCESSABLE_ENTITY)).await;
    };
    let mut w = write(&app, &who).await?;
    if let Some(token) = token
        && let Some(answer) = w.seen(token).await?
    {
        return see_other(&answer);
    }
    let new = store::add(&mut w, draft, None, (since, &why)).await?;
    let answer = format!("/drawer#thing-{}", new.no);
    w.commit_form(token, &answer).await?;
    see_other(&answer)
}
