//! Swapping: another thing of the same kind takes the place of the one in a conversion.

use super::{at, find, place_words, thing};
use crate::choice::Choice;
use crate::choices;
use crate::features::conversions::model::{Conversion, options};
use crate::features::conversions::{self, Head, head};
use crate::features::people::extract::write;
use crate::features::stock::model::{Stock, swap as plan};
use crate::features::stock::{forms, store};
use crate::web::form::new_token;
use crate::web::{App, Error, Fields, Page, Path, Result, Sheet, Shell, Who, see_other};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

choices! {
    /// Where the thing goes that is taken out.
    pub enum Out = "place for what goes out" {
        Drawer = "drawer", "into the drawer";
        Exchange = "exchange", "in exchange, to where the other one was";
    }
}

/// The page.
#[derive(Debug, Template)]
#[template(path = "stock/swap.html")]
pub struct SwapPage {
    shell: Shell,
    head: Head,
    no: i64,
    kind: &'static str,
    title: String,
    version: i64,
    others: Vec<OtherView>,
    consequence: String,
    outs: Vec<(&'static str, &'static str)>,
    form: Fields,
    theirs: bool,
}

/// A thing that may come in.
#[derive(Debug)]
pub struct OtherView {
    no: i64,
    title: String,
    place: String,
}

async fn page(
    app: &App,
    who: &Who,
    (c, s): (&Conversion, &Stock),
    (form, status): (Fields, StatusCode),
) -> Result<Response> {
    let mut conn = app.db.pool.acquire().await?;
    let others = store::list_of_kind(&mut conn, s.draft.kind).await?;
    drop(conn);
    let others = others.iter().filter(|o| o.conversion() != s.conversion());
    let kind = s.draft.kind.label();
    let view = thing(s, at(app));
    let changes = s.draft.kind.changes().iter().map(|k| k.word());
    let page = SwapPage {
        shell: Shell::new(app, who, format!("Swap the {kind} · № {} {}", c.no, c.draft.title), "/"),
        head: head(c, app, Some(Sheet::Overview)),
        no: s.no,
        kind,
        title: view.title,
        version: s.version,
        others: others
            .map(|o| OtherView {
                no: o.no,
                title: o.title(),
                place: format!("in {}", place_words(o.place.as_ref())),
            })
            .collect(),
        consequence: changes.collect::<Vec<_>>().join("; "),
        outs: options::<Out>(),
        form,
        theirs: status == StatusCode::CONFLICT,
    };
    Ok(Page(status, page).into_response())
}

/// The thing, which must sit in this conversion.
async fn here(app: &App, c: &Conversion, no: i64) -> Result<Stock> {
    let s = find(app, no).await?;
    if s.conversion() == Some(c.id) && s.aside_at.is_none() {
        return Ok(s);
    }
    Err(Error::NotFound(format!("thing {no} in № {}", c.no)))
}

/// `GET /c/{no}/swap/{thing}`
pub async fn show(
    State(app): State<App>,
    who: Who,
    Path((no, thing)): Path<(i64, i64)>,
) -> Result<Response> {
    let c = conversions::sheet::find(&app, no).await?;
    let s = here(&app, &c, thing).await?;
    let form = Fields::with([("out", Out::Drawer.code().to_owned()), ("token", new_token())]);
    page(&app, &who, (&c, &s), (form, StatusCode::OK)).await
}

/// `POST /c/{no}/swap/{thing}`
pub async fn swap(
    State(app): State<App>,
    who: Who,
    Path((no, thing)): Path<(i64, i64)>,
    mut form: Fields,
) -> Result<Response> {
    let c = conversions::sheet::find(&app, no).await?;
    let answer = format!("/c/{no}/stock");
    let token = form.token();
    let mut w = write(&app, &who).await?;
    if let Some(token) = token
        && w.seen(token).await?.is_some()
    {
        return see_other(&answer);
    }
    let s = store::find(w.conn(), thing).await?.filter(|s| s.conversion() == Some(c.id));
    let s = s.ok_or_else(|| Error::NotFound(format!("thing {thing} in № {no}")))?;
    let version = form.version();
    let coming = match form.whole("coming", 1, i64::MAX) {
        Some(coming) => store::find(w.conn(), coming).await?,
        None => None,
    };
    let out = form.choice::<Out>("out");
    let why = form.text("why", 2000);
    let planned = coming.map(|coming| plan(&coming, &s, out == Some(Out::Exchange)));
    let goes = match planned {
        Some(Ok(goes)) => goes,
        Some(Err(why)) => refused(&mut form, why.words()),
        None => refused(&mut form, "Choose what comes in."),
    };
    let at = forms::read_moment(&mut form, &goes, &app);
    if form.any_wrong() {
        drop(w);
        return page(&app, &who, (&c, &s), (form, StatusCode::UNPROCESSABLE_ENTITY)).await;
    }
    if version != s.version {
        drop(w);
        return page(&app, &who, (&c, &s), (form, StatusCode::CONFLICT)).await;
    }
    store::move_together(&mut w, &goes, (at, &why)).await?;
    w.commit_form(token, &answer).await?;
    see_other(&answer)
}

/// Notes why nothing moves.
fn refused(form: &mut Fields, why: &str) -> Vec<crate::features::stock::model::Go> {
    form.refuse("coming", why);
    Vec::new()
}
