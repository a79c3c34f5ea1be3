//! A logged current: paste it, see its plateaus and its swing, write plateaus down as readings.

use super::form::Row;
use super::keep::{Settled, settle, standing};
use super::own::{kept_by, opened};
use super::pages::named;
use super::sheet::Sheet;
use super::view::{AnswerView, view};
use crate::calc::trace::{self, Plateau};
use crate::choices;
use crate::db::InstrumentId;
use crate::features::conversions::{Head, head, sheet};
use crate::features::gates::gather::Gathered;
use crate::features::gates::view::At;
use crate::features::instruments::{self, model::Instrument};
use crate::features::people::extract::write;
use crate::features::readings;
use crate::features::readings::model::{Conditions, Draft, Kind, LoadTest, Outcome};
use crate::units::{Dimension, Rounding, Wanted, amps, fixed};
use crate::web::form::{Typed, new_token};
use crate::web::{App, Error, Fields, Page, Path, Result, Sheet as Tab, Shell, Who, see_other};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde_json::Value;

const VOLTS: Wanted = Wanted { dimension: Dimension::Voltage, bare: "V", least: 0.5, most: 30.0 };
/// Plateaus that can be written down from one form.
const MOST: usize = 12;
/// Fields shown beside the log; the others are folded away.
const FIRST: [&str; 4] = ["text", "turn_hz", "speed_mm_s", "wheel_mm"];

choices! {
    /// What a plateau is written down as.
    pub enum As = "kind of reading" {
        Free = "free", "free";
        Slipping = "slipping", "slipping";
        Held = "held", "held";
        Cruise = "cruise", "cruising";
    }
}

impl As {
    fn kind(self) -> Kind {
        match self {
            As::Free => Kind::Free,
            As::Slipping => Kind::Slipping,
            As::Held => Kind::Held,
            As::Cruise => Kind::Cruise,
        }
    }
}

/// The page.
#[derive(Debug, Template)]
#[template(path = "calculators/trace.html")]
pub struct TracePage {
    shell: Shell,
    head: Head,
    caution: &'static str,
    first: Vec<Row>,
    more: Vec<Row>,
    form: Fields,
    answer: Option<AnswerView>,
    tried: bool,
    kept: String,
    theirs: String,
    version: i64,
    plateaus: Vec<PlateauView>,
    found: usize,
    write: Fields,
    instruments: Vec<(String, String)>,
    kinds: Vec<(&'static str, &'static str)>,
}

impl TracePage {
    /// Where a field's value comes from: here always from the person.
    #[expect(clippy::unused_self, reason = "the rows' template asks every page that shows them")]
    fn said(&self, _name: &str) -> &'static str {
        ""
    }
}

/// One plateau.
#[derive(Debug)]
pub struct PlateauView {
    field: String,
    name: String,
    from_to: String,
    mean: String,
    peak: String,
    ripple: String,
}

fn plateau_view((i, p): (usize, &Plateau)) -> PlateauView {
    let s = |v: f64| fixed(v, 1, Rounding::Nearest);
    PlateauView {
        field: format!("as{}", i + 1),
        name: format!("Plateau {}", i + 1),
        from_to: format!("{} to {}\u{a0}s", s(p.from_s), s(p.to_s)),
        mean: amps(p.mean_a.value),
        peak: amps(p.peak_a),
        ripple: amps(p.ripple_a),
    }
}

/// What a page is shown with.
struct Given {
    form: Fields,
    write: Fields,
    answer: Option<AnswerView>,
    tried: bool,
    theirs: String,
    status: StatusCode,
}

/// The kept log worked out, for its plateaus.
fn kept_output(s: &Sheet) -> Option<trace::Output> {
    s.saved.as_ref()?;
    let input = serde_json::from_value(s.whole(&s.written())).ok()?;
    trace::run(&input).ok()
}

async fn page(
    (app, who): (&App, &Who),
    (g, s, at): (&Gathered, &Sheet, At),
    given: Given,
) -> Result<Response> {
    let mut form = given.form;
    form.set("token", new_token());
    let kept = s.saved.is_some() && !given.tried && !form.any_wrong();
    s.form.spare(&mut form, kept);
    let mut write = given.write;
    if write.value("token").is_empty() {
        write.set("token", new_token());
    }
    let place = |row: &Row| match row {
        Row::Line(f) | Row::Long(f) => FIRST.iter().position(|name| *name == f.name),
        _ => None,
    };
    let (mut first, more): (Vec<Row>, Vec<Row>) =
        s.form.rows(&form).into_iter().partition(|row| place(row).is_some());
    first.sort_by_key(place);
    let out = if given.tried { None } else { kept_output(s) };
    let plateaus = out.as_ref().map(|o| o.plateaus.as_slice()).unwrap_or_default();
    let page = TracePage {
        shell: sheet::shell(app, who, g, (2, "Logged current")),
        head: head(&g.conversion, app, Some(Tab::Bench)),
        caution: s.c.caution,
        first,
        more,
        form,
        answer: given.answer,
        tried: given.tried,
        kept: s.saved.as_ref().map(|k| kept_by(k, at)).unwrap_or_default(),
        theirs: given.theirs,
        version: standing(s.saved.as_ref()),
        plateaus: plateaus.iter().take(MOST).enumerate().map(plateau_view).collect(),
        found: out.as_ref().map_or(0, |o| o.found),
        write,
        instruments: meters(app)
            .await?
            .into_iter()
            .map(|i| (i.id.to_string(), i.draft.name))
            .collect(),
        kinds: crate::features::conversions::model::options::<As>(),
    };
    Ok(Page(given.status, page).into_response())
}

async fn meters(app: &App) -> Result<Vec<Instrument>> {
    let mut conn = app.db.pool.acquire().await?;
    Ok(instruments::store::list(&mut conn).await?)
}

fn as_kept(s: &Sheet) -> Given {
    Given {
        form: s.form.fill(&Value::Object(s.written())),
        write: Fields::default(),
        answer: s.answer().ok().filter(|_| s.saved.is_some()).map(view),
        tried: false,
        theirs: String::new(),
        status: StatusCode::OK,
    }
}

/// `GET /c/{no}/trace`
pub async fn show(State(app): State<App>, who: Who, Path(no): Path<i64>) -> Result<Response> {
    let (g, saved, at) = opened(&app, no).await?;
    let s = Sheet::of(&g, named("trace")?, &saved, at);
    page((&app, &who), (&g, &s, at), as_kept(&s)).await
}

/// `POST /c/{no}/trace`
pub async fn update(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let (g, saved, at) = opened(&app, no).await?;
    let s = Sheet::of(&g, named("trace")?, &saved, at);
    let address = format!("/c/{no}/trace");
    let settled = settle((&app, &who), (&g, &s, at), &mut form, &address).await?;
    let (answer, theirs, status) = match settled {
        Settled::Kept(response) => return Ok(response),
        Settled::Tried(answer) => (Some(*answer), String::new(), StatusCode::OK),
        Settled::Bad => (None, String::new(), StatusCode::UNPROCESSABLE_ENTITY),
        Settled::Conflict(theirs, answer) => (Some(*answer), theirs, StatusCode::CONFLICT),
    };
    let write = Fields::default();
    page((&app, &who), (&g, &s, at), Given { form, write, answer, tried: true, theirs, status })
        .await
}

/// The readings asked for, each with the plateau it comes from.
fn drafts(
    form: &mut Fields,
    plateaus: &[Plateau],
    meters: &[Instrument],
    now: i64,
) -> Option<Vec<Draft>> {
    let id = form.optional_id::<InstrumentId>("instrument");
    let meter = id.and_then(|id| meters.iter().find(|m| m.id == id));
    let volts = form.optional_quantity("volts", &VOLTS);
    let mut out = Vec::new();
    for (i, p) in plateaus.iter().take(MOST).enumerate() {
        let Some(kind) = form.optional_choice::<As>(&format!("as{}", i + 1)) else { continue };
        out.push(draft(kind.kind(), (i, p), (volts.as_ref(), meter), now));
    }
    if out.is_empty() {
        form.refuse("as1", "Choose at least one plateau and what it is.");
    }
    if volts.is_none() && out.iter().any(|d| d.kind != Kind::Cruise) {
        form.refuse("volts", "Write the voltage at the loco while it was logged.");
    }
    if form.any_wrong() { None } else { Some(out) }
}

fn draft(
    kind: Kind,
    (i, p): (usize, &Plateau),
    (volts, meter): (Option<&Typed>, Option<&Instrument>),
    now: i64,
) -> Draft {
    let value = p.mean_a.value;
    let mut d = Draft::new(kind, Outcome::Value(value), amps(value), now);
    d.accuracy = meter.and_then(|m| m.accuracy(Dimension::Current, value));
    d.conditions = Conditions {
        volts: volts.map(|v| v.value),
        volts_typed: volts.map(|v| v.typed.clone()).unwrap_or_default(),
        volts_accuracy: volts
            .and_then(|v| meter.and_then(|m| m.accuracy(Dimension::Voltage, v.value))),
        method: format!("mean of plateau {} of a logged trace", i + 1),
        instrument_id: meter.map(|m| m.id),
        ..Conditions::default()
    };
    d
}

/// `POST /c/{no}/trace/readings`: writes plateaus of the kept log down as readings.
pub async fn write_down(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let (g, saved, at) = opened(&app, no).await?;
    let s = Sheet::of(&g, named("trace")?, &saved, at);
    let token = form.token();
    let version = form.whole("version", 0, i64::MAX).unwrap_or(0);
    let Some(out) = kept_output(&s).filter(|_| version == standing(s.saved.as_ref())) else {
        return Err(Error::Refused(
            "The log was changed since you opened this page. Open it again.".to_owned(),
        ));
    };
    let meters = meters(&app).await?;
    let Some(drafts) = drafts(&mut form, &out.plateaus, &meters, at.now) else {
        let kept = as_kept(&s);
        let given = Given { write: form, status: StatusCode::UNPROCESSABLE_ENTITY, ..kept };
        return page((&app, &who), (&g, &s, at), given).await;
    };
    let mut w = write(&app, &who).await?;
    if let Some(token) = token
        && let Some(answer) = w.seen(token).await?
    {
        return see_other(&answer);
    }
    let tested = drafts.iter().any(|d| d.kind != Kind::Cruise);
    let test: Option<LoadTest> = if tested {
        Some(readings::store::add_load_test(&mut w, g.conversion.id, at.now).await?)
    } else {
        None
    };
    let mut last = 0;
    for mut draft in drafts {
        if draft.kind != Kind::Cruise {
            draft.load_test_id = test.as_ref().map(|t| t.id);
        }
        last = readings::store::add(&mut w, g.conversion.id, draft).await?.no;
    }
    let answer = format!("/c/{no}/bench?wrote={last}#test");
    w.commit_form(token, &answer).await?;
    see_other(&answer)
}
