//! The wiring list of a conversion: list, entry, change, put aside.

use super::model::{Joint, NotSo, Place, State as WireState, Wire};
use super::picture::{self, List};
use super::rules::next;
use super::standard::{Colour, Terminal};
use super::{forms, store};
use crate::db::Write;
use crate::features::conversions::model::options;
use crate::features::conversions::{Head, head, sheet};
use crate::features::gates::gather::Gathered;
use crate::features::gates::view::At;
use crate::features::people::extract::write;
use crate::web::form::new_token;
use crate::web::{App, Error, Fields, Page, Path, Query, Result, Sheet, Shell, Who, see_other};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

type Options = Vec<(&'static str, &'static str)>;
type Theirs = Vec<(String, String)>;

/// The closed lists of the form.
#[derive(Debug)]
pub struct Lists {
    terminals: Options,
    places: Options,
    colours: Options,
    joints: Options,
    states: Options,
}

impl Lists {
    /// A new wire can't be changed or taken out; one that is there can.
    fn new(fresh: bool) -> Lists {
        let states = options::<WireState>();
        let new = |code: &str| code != "changed" && code != "removed";
        Lists {
            terminals: options::<Terminal>(),
            places: options::<Place>(),
            colours: options::<Colour>(),
            joints: options::<Joint>(),
            states: states.into_iter().filter(|(code, _)| !fresh || new(code)).collect(),
        }
    }
}

/// The page of the list.
#[derive(Debug, Template)]
#[template(path = "wiring/list.html")]
pub struct ListPage {
    shell: Shell,
    head: Head,
    list: List,
    form: Fields,
    lists: Lists,
    standards: Vec<(&'static str, &'static str, &'static str)>,
    wrote: Option<Wrote>,
    aside: Vec<(i64, i64, String)>,
}

/// The wire written just now.
#[derive(Debug)]
pub struct Wrote {
    no: i64,
    words: String,
    version: i64,
}

/// Which wire was written just now.
#[derive(Debug, Deserialize)]
pub struct Just {
    wrote: Option<i64>,
}

fn at(app: &App) -> At {
    At { now: app.now(), offset: app.offset }
}

/// The colour of a lead by the standard with where that stands, or why there is none.
fn by_standard(t: Terminal) -> String {
    use crate::choice::Choice;
    match t.standard() {
        Some(s) => format!("By the standard it is {} ({}).", s.colour.label(), s.source),
        None => format!("Its colour by the standard: {}.", t.no_colour()),
    }
}

/// Each lead with its colour by the standard and where that stands.
fn standards() -> Vec<(&'static str, &'static str, &'static str)> {
    use crate::choice::Choice;
    Terminal::ALL
        .iter()
        .filter(|t| **t != Terminal::Free)
        .map(|t| match t.standard() {
            Some(s) => (t.word(), s.colour.label(), s.source),
            None => (t.word(), "no colour", t.no_colour()),
        })
        .collect()
}

async fn page(
    app: &App,
    who: &Who,
    (g, wrote): (&Gathered, Option<i64>),
    (form, status): (Fields, StatusCode),
) -> Result<Response> {
    let mut conn = app.db.pool.acquire().await?;
    let aside = store::list_aside(&mut conn, g.conversion.id).await?;
    drop(conn);
    let words = |w: &Wire| format!("{} to {}", w.title(), w.draft.to.words());
    let wrote = wrote.and_then(|no| g.wires.iter().find(|w| w.no == no));
    let page = ListPage {
        shell: sheet::shell(app, who, g, (4, "Wiring")),
        head: head(&g.conversion, app, Some(Sheet::Circuit)),
        list: picture::list(g, at(app)),
        form,
        lists: Lists::new(true),
        standards: standards(),
        wrote: wrote.map(|w| Wrote { no: w.no, words: words(w), version: w.version }),
        aside: aside.iter().map(|w| (w.no, w.version, words(w))).collect(),
    };
    Ok(Page(status, page).into_response())
}

/// `GET /c/{no}/wiring`
pub async fn list(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    Query(just): Query<Just>,
) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    let last = g.wires.iter().rev().find(|w| w.draft.state.counts());
    let form = forms::fresh(next(g.snapshot.goals, &g.wires), last, new_token());
    page(&app, &who, (&g, just.wrote), (form, StatusCode::OK)).await
}

/// `POST /c/{no}/wiring`
pub async fn create(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    let (token, draft) = (form.token(), forms::read(&mut form));
    let at = forms::read_at(&mut form, None, &app);
    if draft.as_ref().is_some_and(|d| matches!(d.state, WireState::Changed | WireState::Removed)) {
        form.refuse("state", "This wire is new. Say planned, done or proved.");
    }
    let Some(draft) = draft.filter(|_| !form.any_wrong()) else {
        return page(&app, &who, (&g, None), (form, StatusCode::UNPROCESSABLE_ENTITY)).await;
    };
    let mut w = write(&app, &who).await?;
    if let Some(token) = token
        && let Some(answer) = w.seen(token).await?
    {
        return see_other(&answer);
    }
    let new = store::add(&mut w, g.conversion.id, draft, at).await?;
    let answer = format!("/c/{no}/wiring?wrote={}", new.no);
    w.commit_form(token, &answer).await?;
    see_other(&answer)
}

/// The page of one wire.
#[derive(Debug, Template)]
#[template(path = "wiring/edit.html")]
pub struct EditPage {
    shell: Shell,
    head: Head,
    no: i64,
    title: String,
    standard: String,
    version: i64,
    form: Fields,
    lists: Lists,
    theirs: Theirs,
}

/// The wire of that number, unless it is put aside.
fn find(g: &Gathered, wire: i64) -> Result<&Wire> {
    let found = g.wires.iter().find(|w| w.no == wire);
    found.ok_or_else(|| Error::NotFound(format!("wire {wire} in this list")))
}

fn edit_page(
    app: &App,
    who: &Who,
    (g, w): (&Gathered, &Wire),
    (form, theirs, status): (Fields, Theirs, StatusCode),
) -> Response {
    let page = EditPage {
        shell: sheet::shell(app, who, g, (4, "Wire")),
        head: head(&g.conversion, app, Some(Sheet::Circuit)),
        no: w.no,
        title: w.title(),
        standard: by_standard(w.draft.terminal),
        version: w.version,
        form,
        lists: Lists::new(false),
        theirs,
    };
    Page(status, page).into_response()
}

/// `GET /c/{no}/wiring/{wire}`
pub async fn edit(
    State(app): State<App>,
    who: Who,
    Path((no, wire)): Path<(i64, i64)>,
) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    let w = find(&g, wire)?;
    Ok(edit_page(&app, &who, (&g, w), (forms::fill(w), Vec::new(), StatusCode::OK)))
}

/// `POST /c/{no}/wiring/{wire}`
pub async fn update(
    State(app): State<App>,
    who: Who,
    Path((no, wire)): Path<(i64, i64)>,
    mut form: Fields,
) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    let old = find(&g, wire)?;
    let (version, draft) = (form.version(), forms::read(&mut form));
    let at = forms::read_at(&mut form, Some(old), &app);
    let new = draft.map(|d| old.rewritten(d, at));
    if let Some(Err(NotSo { field, why })) = &new {
        form.refuse(field, *why);
    }
    let new = match new {
        Some(Ok(new)) if !form.any_wrong() => new,
        _ => {
            let said = (form, Vec::new(), StatusCode::UNPROCESSABLE_ENTITY);
            return Ok(edit_page(&app, &who, (&g, old), said));
        }
    };
    if version != old.version {
        form.set("version", old.version.to_string());
        let theirs = differences(old, &form);
        return Ok(edit_page(&app, &who, (&g, old), (form, theirs, StatusCode::CONFLICT)));
    }
    let mut w = write(&app, &who).await?;
    store::change(&mut w, g.conversion.id, (old, version), new).await?;
    w.commit().await?;
    see_other(&format!("/c/{no}/wiring#wire-{wire}"))
}

/// Where somebody else's save differs from what was typed: label and their value.
fn differences(theirs: &Wire, mine: &Fields) -> Theirs {
    let theirs = forms::fill(theirs);
    forms::LABELS
        .iter()
        .filter(|(name, _)| theirs.value(name) != mine.value(name))
        .map(|(name, label)| {
            let shown = theirs.value(name);
            let shown = if shown.is_empty() { "empty" } else { shown };
            ((*label).to_owned(), shown.to_owned())
        })
        .collect()
}

/// Puts a wire aside, or brings it back.
async fn set_aside(
    app: &App,
    who: &Who,
    (no, wire): (i64, i64),
    (version, aside): (i64, bool),
) -> Result<Response> {
    let c = sheet::find(app, no).await?;
    let mut w: Write = write(app, who).await?;
    let old = store::find(w.conn(), c.id, wire).await?;
    let old = old.ok_or_else(|| Error::NotFound(format!("wire {wire} in this list")))?;
    if old.aside_at.is_some() == aside {
        let already = if aside { "put aside already" } else { "in the list already" };
        return Err(Error::Refused(format!("Wire {wire} is {already}.")));
    }
    store::set_aside(&mut w, c.id, (&old, version), aside).await?;
    w.commit().await?;
    see_other(&format!("/c/{no}/wiring"))
}

/// `POST /c/{no}/wiring/{wire}/aside`
pub async fn aside(
    State(app): State<App>,
    who: Who,
    Path(at): Path<(i64, i64)>,
    mut form: Fields,
) -> Result<Response> {
    let version = form.version();
    set_aside(&app, &who, at, (version, true)).await
}

/// `POST /c/{no}/wiring/{wire}/restore`
pub async fn restore(
    State(app): State<App>,
    who: Who,
    Path(at): Path<(i64, i64)>,
    mut form: Fields,
) -> Result<Response> {
    let version = form.version();
    set_aside(&app, &who, at, (version, false)).await
}
