//! The datums of a conversion: list with before and after, write, measure again, edit, put aside.

use super::model::{Datum, Draft, repeated};
use super::{forms, store};
use crate::aspect::Finding;
use crate::calc::datum::{End, From, What, against_standard, coupler_note, still_true};
use crate::calc::gates::AlterationKind;
use crate::calc::gates::stale::{ReadingKind, made_stale_by};
use crate::draw::arm;
use crate::features::conversions::{Head, head, sheet};
use crate::features::gates::gather::Gathered;
use crate::features::gates::view::At;
use crate::features::instruments::{self, model::Instrument};
use crate::features::people::extract::write;
use crate::web::{
    App, Error, Fields, Page, Path, Query as Address, Result, Sheet, Shell, Who, see_other, when,
};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

type Options = Vec<(&'static str, &'static str)>;

/// The page of datums.
#[derive(Debug, Template)]
#[template(path = "datums/list.html")]
pub struct ListPage {
    shell: Shell,
    head: Head,
    says: String,
    asp: String,
    rows: Vec<RowView>,
    loose: Vec<DatumView>,
    aside: Vec<DatumView>,
    note: String,
    again: Option<DatumView>,
    again_is_place: bool,
    form: Fields,
    whats: Options,
    ends: Options,
    froms: Options,
    instruments: Vec<(String, String)>,
}

/// One datum as shown.
#[derive(Debug)]
pub struct DatumView {
    no: i64,
    what: String,
    reads: String,
    from: String,
    by: String,
    remark: String,
    stale: String,
    version: i64,
}

/// A datum from before cutting, and how it stands after.
#[derive(Debug)]
pub struct RowView {
    before: DatumView,
    after: Option<DatumView>,
    asp: String,
    bad: bool,
    verdict: Option<Finding>,
    standard: Option<(String, Finding)>,
}

/// Which datum is to be measured again.
#[derive(Debug, Default, Deserialize)]
pub struct Query {
    again: Option<i64>,
}

fn whats() -> Options {
    What::ALL.iter().map(|w| (w.key(), w.word())).collect()
}

fn ends() -> Options {
    End::ALL.iter().map(|e| (e.key(), e.word())).collect()
}

fn froms() -> Options {
    From::ALL.iter().map(|f| (f.key(), f.word())).collect()
}

/// Why a datum no longer counts; empty where it does.
fn stale(g: &Gathered, d: &Datum, at: At) -> String {
    let kind = ReadingKind::Datum(d.draft.what, d.draft.from, d.draft.after);
    made_stale_by(&g.snapshot.alterations, kind, d.draft.taken_at).map_or_else(String::new, |a| {
        format!("{} on {}", a.kind.happened(), when::day(a.at_ms, at.now, at.offset))
    })
}

fn view(g: &Gathered, d: &Datum, at: At) -> DatumView {
    let by =
        [when::day(d.draft.taken_at, at.now, at.offset), d.person.clone(), d.instrument.clone()];
    DatumView {
        no: d.no,
        what: d.words(),
        reads: d.lengths().words(),
        from: format!("from {}", d.draft.from.word()),
        by: by.into_iter().filter(|p| !p.is_empty()).collect::<Vec<_>>().join(", "),
        remark: d.draft.remark.clone(),
        stale: stale(g, d, at),
        version: d.version,
    }
}

fn row(g: &Gathered, d: &Datum, at: At) -> RowView {
    use crate::aspect::Aspect;
    let scale = &g.conversion.draft.scale;
    let after = repeated(&g.datums, d);
    let before = view(g, d, at);
    let after_view = after.map(|a| view(g, a, at));
    let holds = before.stale.is_empty() && after_view.as_ref().is_some_and(|a| a.stale.is_empty());
    let verdict = after.map(|a| still_true(&d.lengths(), &a.lengths(), d.tolerance_mm(scale)));
    let aspect = verdict.as_ref().filter(|_| holds).map_or(Aspect::Unlit, |f| f.aspect);
    let newest = after.unwrap_or(d);
    let standard = against_standard(d.draft.what, d.draft.from, scale, &newest.lengths());
    RowView {
        asp: arm::asp(aspect),
        bad: aspect == Aspect::Danger,
        standard: standard.map(|f| (arm::asp(f.aspect), f)),
        verdict,
        before,
        after: after_view,
    }
}

/// Whether the frame was cut since this conversion began.
fn was_cut(g: &Gathered) -> bool {
    g.snapshot.alterations.iter().any(|a| a.kind == AlterationKind::FrameCut)
}

async fn meters(app: &App) -> Result<Vec<Instrument>> {
    let mut conn = app.db.pool.acquire().await?;
    Ok(instruments::store::list(&mut conn).await?)
}

async fn page(
    app: &App,
    who: &Who,
    g: &Gathered,
    (form, again, status): (Fields, Option<&Datum>, StatusCode),
) -> Result<Response> {
    let instruments = meters(app).await?;
    let mut conn = app.db.pool.acquire().await?;
    let aside = store::list_aside(&mut conn, g.conversion.id).await?;
    drop(conn);
    let at = At { now: app.now(), offset: app.offset };
    let gates = g.gates();
    let check = gates.iter().find_map(|x| x.check("datums"));
    let before = g.datums.iter().filter(|d| !d.draft.after);
    let loose = g.datums.iter().filter(|d| d.draft.after && d.draft.before_id.is_none());
    let has_coupler = g.datums.iter().any(|d| d.draft.what == What::CouplerHeight);
    let page = ListPage {
        shell: sheet::shell(app, who, g, (2, "Datums")),
        head: head(&g.conversion, app, Some(Sheet::Bench)),
        says: check.map(|k| k.finding.sentence.clone()).unwrap_or_default(),
        asp: check.map(|k| arm::asp(k.finding.aspect)).unwrap_or_default(),
        rows: before.map(|d| row(g, d, at)).collect(),
        loose: loose.map(|d| view(g, d, at)).collect(),
        aside: aside.iter().map(|d| view(g, d, at)).collect(),
        note: if has_coupler { coupler_note(g.conversion.draft.ratio) } else { String::new() },
        again: again.map(|d| view(g, d, at)),
        again_is_place: again.is_some_and(|d| d.draft.what.is_place()),
        form,
        whats: whats(),
        ends: ends(),
        froms: froms(),
        instruments: instruments.into_iter().map(|i| (i.id.to_string(), i.draft.name)).collect(),
    };
    Ok(Page(status, page).into_response())
}

/// The datum of that number.
fn find(g: &Gathered, no: i64) -> Result<&Datum> {
    let found = g.datums.iter().find(|d| d.no == no);
    found.ok_or_else(|| Error::NotFound(format!("datum {no} of this conversion")))
}

/// `GET /c/{no}/datums`
pub async fn list(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    Address(q): Address<Query>,
) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    let again = q.again.and_then(|n| g.datums.iter().find(|d| d.no == n && !d.draft.after));
    let form = match again {
        Some(d) => forms::again(&app, d),
        None => forms::fresh(&app, was_cut(&g)),
    };
    page(&app, &who, &g, (form, again, StatusCode::OK)).await
}

/// `POST /c/{no}/datums`: a new one, or one measured again after cutting.
pub async fn create(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    let named = form.one("again").trim().to_owned();
    let again = g.datums.iter().find(|d| d.no.to_string() == named && !d.draft.after);
    if !named.is_empty() && again.is_none() {
        form.refuse(
            "value",
            "The datum to measure again is no longer there. Choose one from the list.",
        );
    }
    let token = form.token();
    let instruments = meters(&app).await?;
    let Some(draft) = forms::read(&mut form, &app, &instruments, again) else {
        return page(&app, &who, &g, (form, again, StatusCode::UNPROCESSABLE_ENTITY)).await;
    };
    let answer = format!("/c/{no}/datums");
    let mut w = write(&app, &who).await?;
    if let Some(token) = token
        && w.seen(token).await?.is_some()
    {
        return see_other(&answer);
    }
    store::add(&mut w, g.conversion.id, draft).await?;
    w.commit_form(token, &answer).await?;
    see_other(&answer)
}

/// The form of one datum.
#[derive(Debug, Template)]
#[template(path = "datums/edit.html")]
pub struct EditPage {
    shell: Shell,
    head: Head,
    no: i64,
    title: String,
    form: Fields,
    fixed: bool,
    is_place: bool,
    whats: Options,
    ends: Options,
    froms: Options,
    instruments: Vec<(String, String)>,
    theirs: String,
}

async fn edit_page(
    app: &App,
    who: &Who,
    (g, d): (&Gathered, &Datum),
    (form, theirs, status): (Fields, String, StatusCode),
) -> Result<Response> {
    let instruments = meters(app).await?;
    let page = EditPage {
        shell: sheet::shell(app, who, g, (2, &format!("Datum {}", d.no))),
        head: head(&g.conversion, app, Some(Sheet::Bench)),
        no: d.no,
        title: d.words(),
        form,
        fixed: d.draft.before_id.is_some(),
        is_place: d.draft.what.is_place(),
        whats: whats(),
        ends: ends(),
        froms: froms(),
        instruments: instruments.into_iter().map(|i| (i.id.to_string(), i.draft.name)).collect(),
        theirs,
    };
    Ok(Page(status, page).into_response())
}

/// `GET /c/{no}/datums/{datum}`
pub async fn edit(
    State(app): State<App>,
    who: Who,
    Path((no, datum)): Path<(i64, i64)>,
) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    let d = find(&g, datum)?;
    let given = (forms::fill(&app, d), String::new(), StatusCode::OK);
    edit_page(&app, &who, (&g, d), given).await
}

/// What can't be changed by an edit: before or after, and what a repeat repeats; and what a datum with
/// repeats is of.
fn fits(form: &mut Fields, g: &Gathered, d: &Datum, draft: &mut Draft) {
    draft.after = d.draft.after;
    draft.before_id = d.draft.before_id;
    if draft.what != d.draft.what && repeated(&g.datums, d).is_some() {
        form.refuse("what", "It was measured again after cutting, so what it is stays. Put it aside and write a new one.");
    }
}

/// `POST /c/{no}/datums/{datum}`
pub async fn update(
    State(app): State<App>,
    who: Who,
    Path((no, datum)): Path<(i64, i64)>,
    mut form: Fields,
) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    let d = find(&g, datum)?;
    let version = form.version();
    let instruments = meters(&app).await?;
    let before = d.draft.before_id.and_then(|id| g.datums.iter().find(|o| o.id == id));
    let mut draft = forms::read(&mut form, &app, &instruments, before);
    if let Some(draft) = draft.as_mut() {
        fits(&mut form, &g, d, draft);
    }
    let draft = match draft {
        Some(draft) if !form.any_wrong() => draft,
        _ => {
            let given = (form, String::new(), StatusCode::UNPROCESSABLE_ENTITY);
            return edit_page(&app, &who, (&g, d), given).await;
        }
    };
    if version != d.version {
        form.set("version", d.version.to_string());
        let theirs = format!("{}: {}. {}", d.words(), d.lengths().words(), d.draft.remark);
        return edit_page(&app, &who, (&g, d), (form, theirs, StatusCode::CONFLICT)).await;
    }
    let mut w = write(&app, &who).await?;
    store::change(&mut w, g.conversion.id, (d, version), draft).await?;
    w.commit().await?;
    see_other(&format!("/c/{no}/datums"))
}

/// `POST /c/{no}/datums/{datum}/aside`
pub async fn aside(
    State(app): State<App>,
    who: Who,
    Path((no, datum)): Path<(i64, i64)>,
    mut form: Fields,
) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    let d = find(&g, datum)?;
    let version = form.version();
    let mut w = write(&app, &who).await?;
    store::put_aside(&mut w, g.conversion.id, (d, version)).await?;
    w.commit().await?;
    see_other(&format!("/c/{no}/datums"))
}

/// `POST /c/{no}/datums/{datum}/restore`
pub async fn restore(
    State(app): State<App>,
    who: Who,
    Path((no, datum)): Path<(i64, i64)>,
    mut form: Fields,
) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    let version = form.version();
    let mut w = write(&app, &who).await?;
    let aside = store::list_aside(w.conn(), c.id).await?;
    let d = aside.iter().find(|d| d.no == datum);
    let d = d.ok_or_else(|| Error::NotFound(format!("datum {datum} put aside")))?;
    store::restore(&mut w, c.id, (d, version)).await?;
    w.commit().await?;
    see_other(&format!("/c/{no}/datums"))
}
