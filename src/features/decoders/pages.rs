//! The decoder, what hangs on it, and whether it carries that.

use super::model::{Basis, Load, LoadKind};
use super::{forms, store};
use crate::calc::Bounded;
use crate::calc::budget::{self, Case, RatingKind};
use crate::db::LoadId;
use crate::draw::{arm, bar};
use crate::features::conversions::model::{Governing, options, thousandths};
use crate::features::conversions::{self, Head, head, sheet};
use crate::features::gates::gather::Gathered;
use crate::features::gates::inputs;
use crate::features::people::extract::write;
use crate::units::{Rounding, amps, fixed, percent_down};
use crate::web::form::new_token;
use crate::web::{App, Error, Fields, Page, Path, Result, Sheet, Shell, Who, see_other, when};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

type Options = Vec<(&'static str, &'static str)>;

/// The sheet.
#[derive(Debug, Template)]
#[template(path = "decoders/show.html")]
pub struct ShowPage {
    shell: Shell,
    head: Head,
    decoder: Fields,
    chosen: bool,
    conflict: bool,
    load: Fields,
    loads: Vec<LoadView>,
    rows: Vec<RowView>,
    governs: Fields,
    governing_why: String,
    version: i64,
    bases: Options,
    kinds: Options,
    cases: Options,
}

/// A planned load as shown.
#[derive(Debug)]
pub struct LoadView {
    href: String,
    name: String,
    kind: &'static str,
    current: String,
    output: String,
    basis: &'static str,
}

/// One rating in one case.
#[derive(Debug)]
pub struct RowView {
    title: String,
    demand: String,
    rating: String,
    headroom: String,
    bar: String,
    asp: String,
    bad: bool,
    f: crate::aspect::Finding,
}

/// What the page is opened with.
#[derive(Default)]
struct Given {
    decoder: Option<Fields>,
    load: Option<Fields>,
    governs: Option<Fields>,
    conflict: bool,
}

fn page(app: &App, who: &Who, g: &Gathered, (given, status): (Given, StatusCode)) -> Response {
    let c = &g.conversion;
    let decoder = given.decoder.unwrap_or_else(|| {
        g.decoder.as_ref().map_or_else(|| Fields::with([("basis", "data_sheet")]), forms::fill)
    });
    let fresh = || {
        Fields::with([
            ("kind", "led".to_owned()),
            ("count", "1".to_owned()),
            ("basis", "data_sheet".to_owned()),
            ("token", new_token()),
        ])
    };
    let signed = c.governing_at.map(|t| when::day(t, app.now(), app.offset)).unwrap_or_default();
    let page = ShowPage {
        shell: sheet::shell(app, who, g, (5, "Decoder and loads")),
        head: head(c, app, Some(Sheet::Parts)),
        decoder,
        chosen: g.decoder.is_some(),
        conflict: given.conflict,
        load: given.load.unwrap_or_else(fresh),
        loads: g.loads.iter().map(|l| load_view(c.no, l)).collect(),
        rows: rows(g),
        governs: given.governs.unwrap_or_else(|| {
            Fields::with([("governing", crate::choice::Choice::code(c.governing))])
        }),
        governing_why: if c.governing == Governing::Slipping {
            format!("“{}” {}, {signed}", c.governing_why, c.governing_by)
        } else {
            String::new()
        },
        version: c.version,
        bases: options::<Basis>(),
        kinds: options::<LoadKind>(),
        cases: options::<Governing>(),
    };
    Page(status, page).into_response()
}

fn load_view(no: i64, l: &Load) -> LoadView {
    use crate::choice::Choice;
    let d = &l.draft;
    let each = thousandths(d.each_ua) / 1000.0;
    let current = if d.count == 1 {
        current_words(each)
    } else {
        format!("{} × {}", d.count, current_words(each))
    };
    LoadView {
        href: format!("/c/{no}/loads/{}", l.id),
        name: d.name.clone(),
        kind: d.kind.label(),
        current,
        output: if d.output.is_empty() { "none".to_owned() } else { d.output.clone() },
        basis: d.basis.label(),
    }
}

/// Small currents in mA, others in A.
fn current_words(a: f64) -> String {
    if a < 0.1 { format!("{}\u{a0}mA", crate::units::exact(a * 1000.0)) } else { amps(a) }
}

fn rows(g: &Gathered) -> Vec<RowView> {
    let Ok(out) = budget::run_with_ways(&inputs::budget(g)) else { return Vec::new() };
    out.rows
        .into_iter()
        .filter(|r| r.rating_a.is_some())
        .map(|r| {
            let limit = r.rating_a.unwrap_or(0.0);
            let case = match r.case {
                Some(Case::Held) => ", motor held",
                Some(Case::Slipping) => ", wheels slipping",
                None => "",
            };
            let title = match (r.rating, &r.output) {
                (RatingKind::MotorPeak, _) => "Motor, peak".to_owned(),
                (RatingKind::MotorContinuous, _) => "Motor, continuous".to_owned(),
                (RatingKind::TotalContinuous, _) => "Everything together".to_owned(),
                (RatingKind::Function, Some(o)) => format!("Output {o}"),
                (RatingKind::Function, None) => "Function output".to_owned(),
            };
            let picture = bar::Bar::new(&title, "A", 2).limit(limit).want(limit * (1.0 - r.wanted));
            let whole = r.missing.is_empty() && r.unmeasured.is_empty();
            let picture = if whole {
                picture.measured("measured", r.known_a.value)
            } else {
                picture.planned("known so far", r.known_a.value)
            };
            RowView {
                title: format!("{title}{case}"),
                demand: r.demand.map_or("not known".to_owned(), |d| amps(d.value)),
                rating: format!("{}\u{a0}A", fixed(limit, 2, Rounding::Down)),
                headroom: r.headroom.map_or("not known".to_owned(), left),
                bar: picture.svg(),
                asp: arm::asp(r.aspect),
                bad: r.aspect == crate::aspect::Aspect::Danger,
                f: r.finding,
            }
        })
        .collect()
}

/// What is left of a rating: decided on the bad end, so that is what is said.
fn left(h: Bounded) -> String {
    format!("{}{}", percent_down(h.lo), h.at_worst())
}

/// `GET /c/{no}/decoder`
pub async fn show(State(app): State<App>, who: Who, Path(no): Path<i64>) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    Ok(page(&app, &who, &g, (Given::default(), StatusCode::OK)))
}

/// `POST /c/{no}/decoder`
pub async fn decoder(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    // a form opened before anybody chose a decoder carries no version
    let fresh = form.value("version").is_empty();
    let version = if fresh { 0 } else { form.version() };
    let Some(draft) = forms::read(&mut form) else {
        let given = Given { decoder: Some(form), ..Given::default() };
        return Ok(page(&app, &who, &g, (given, StatusCode::UNPROCESSABLE_ENTITY)));
    };
    if let Some(d) = g.decoder.as_ref().filter(|d| d.version != version) {
        form.set("version", d.version.to_string());
        let given = Given { decoder: Some(form), conflict: true, ..Given::default() };
        return Ok(page(&app, &who, &g, (given, StatusCode::CONFLICT)));
    }
    let mut w = write(&app, &who).await?;
    store::put(&mut w, g.conversion.id, (g.decoder.as_ref(), version), draft).await?;
    w.commit().await?;
    see_other(&format!("/c/{no}/decoder#decoder"))
}

/// `POST /c/{no}/governing`: which load case governs is a known disagreement; saying that slipping
/// does is signed, with its reason.
pub async fn govern(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    let version = form.version();
    let governing = form.choice::<Governing>("governing");
    let why = form.optional_text("why", 2000);
    if governing == Some(Governing::Slipping) && why.is_empty() {
        form.refuse("why", "Write why slipping governs: the reason is signed.");
    }
    if governing == Some(Governing::Slipping) && who.id.is_none() {
        form.refuse("why", "Say who is writing first: this is signed.");
    }
    let governing = match governing {
        Some(governing) if !form.any_wrong() => governing,
        _ => {
            let given = Given { governs: Some(form), ..Given::default() };
            return Ok(page(&app, &who, &g, (given, StatusCode::UNPROCESSABLE_ENTITY)));
        }
    };
    let mut w = write(&app, &who).await?;
    conversions::store::sign_governing(&mut w, &g.conversion, version, governing, &why).await?;
    w.commit().await?;
    see_other(&format!("/c/{no}/decoder#governing"))
}

/// `POST /c/{no}/loads`
pub async fn add_load(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    let (token, draft) = (form.token(), forms::read_load(&mut form));
    let Some(draft) = draft else {
        let given = Given { load: Some(form), ..Given::default() };
        return Ok(page(&app, &who, &g, (given, StatusCode::UNPROCESSABLE_ENTITY)));
    };
    let answer = format!("/c/{no}/decoder#loads");
    let mut w = write(&app, &who).await?;
    if let Some(token) = token
        && w.seen(token).await?.is_some()
    {
        return see_other(&answer);
    }
    store::add_load(&mut w, g.conversion.id, draft).await?;
    w.commit_form(token, &answer).await?;
    see_other(&answer)
}

/// The form of one load.
#[derive(Debug, Template)]
#[template(path = "decoders/load.html")]
pub struct LoadPage {
    shell: Shell,
    head: Head,
    id: LoadId,
    name: String,
    form: Fields,
    bases: Options,
    kinds: Options,
    conflict: bool,
}

fn load_page(
    app: &App,
    who: &Who,
    (g, l): (&Gathered, &Load),
    (form, status): (Fields, StatusCode),
) -> Response {
    let page = LoadPage {
        shell: sheet::shell(app, who, g, (5, &l.draft.name)),
        head: head(&g.conversion, app, Some(Sheet::Parts)),
        id: l.id,
        name: l.draft.name.clone(),
        form,
        bases: options::<Basis>(),
        kinds: options::<LoadKind>(),
        conflict: status == StatusCode::CONFLICT,
    };
    Page(status, page).into_response()
}

fn find<'a>(g: &'a Gathered, id: &str) -> Result<&'a Load> {
    let found = id.parse::<LoadId>().ok().and_then(|id| g.loads.iter().find(|l| l.id == id));
    found.ok_or_else(|| Error::NotFound("load of that id".to_owned()))
}

/// `GET /c/{no}/loads/{load}`
pub async fn edit_load(
    State(app): State<App>,
    who: Who,
    Path((no, load)): Path<(i64, String)>,
) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    let l = find(&g, &load)?;
    Ok(load_page(&app, &who, (&g, l), (forms::fill_load(l), StatusCode::OK)))
}

/// `POST /c/{no}/loads/{load}`
pub async fn change_load(
    State(app): State<App>,
    who: Who,
    Path((no, load)): Path<(i64, String)>,
    mut form: Fields,
) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    let l = find(&g, &load)?;
    let (version, draft) = (form.version(), forms::read_load(&mut form));
    let Some(draft) = draft else {
        return Ok(load_page(&app, &who, (&g, l), (form, StatusCode::UNPROCESSABLE_ENTITY)));
    };
    if version != l.version {
        form.set("version", l.version.to_string());
        return Ok(load_page(&app, &who, (&g, l), (form, StatusCode::CONFLICT)));
    }
    let mut w = write(&app, &who).await?;
    store::change_load(&mut w, g.conversion.id, (l, version), draft).await?;
    w.commit().await?;
    see_other(&format!("/c/{no}/decoder#loads"))
}

/// `POST /c/{no}/loads/{load}/aside`
pub async fn load_aside(
    State(app): State<App>,
    who: Who,
    Path((no, load)): Path<(i64, String)>,
    mut form: Fields,
) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    let l = find(&g, &load)?;
    let version = form.version();
    let mut w = write(&app, &who).await?;
    store::put_load_aside(&mut w, g.conversion.id, (l, version)).await?;
    w.commit().await?;
    see_other(&format!("/c/{no}/decoder#loads"))
}
