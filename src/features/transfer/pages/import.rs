//! An archive that was uploaded: looked over, shown, brought in or let go.

use super::show::refused;
use crate::features::people::extract::write;
use crate::features::transfer::model::{MOST_BYTES, Taking, plain_name};
use crate::features::transfer::plan::{Standing, Step};
use crate::features::transfer::store::{self, Failed, Preview, Told};
use crate::features::transfer::waiting::{Item, Waiting};
use crate::features::transfer::words;
use crate::web::form::new_token;
use crate::web::{App, Error, Fields, Page, Path, Result, Shell, Who, see_other};
use askama::Template;
use axum::Extension;
use axum::body::Bytes;
use axum::extract::multipart::MultipartError;
use axum::extract::{Multipart, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use uuid::Uuid;

/// Records listed one by one at most; beyond this they are taken or left together.
const MOST_LISTED: usize = 300;

/// What would change.
#[derive(Debug, Template)]
#[template(path = "transfer/preview.html")]
pub struct PreviewPage {
    shell: Shell,
    id: String,
    name: String,
    holds: String,
    program: String,
    sha256: String,
    counts: Vec<(String, String)>,
    nothing: bool,
    notes: Vec<String>,
    more_notes: usize,
    groups: Vec<Group>,
    together: bool,
    changed: usize,
    form: Fields,
    problem: String,
}

/// Records that stand alike.
#[derive(Debug)]
pub struct Group {
    title: &'static str,
    says: &'static str,
    records: Vec<RecordView>,
}

/// A record as shown.
#[derive(Debug)]
pub struct RecordView {
    mark: String,
    label: String,
    aside: bool,
    taken: bool,
    notes: Vec<String>,
    differences: Vec<(String, String, String)>,
}

const GROUPS: [(Standing, &str, &str); 3] = [
    (
        Standing::Newer,
        "Changed there, not here",
        "Ticked ones are written over with what is in the archive.",
    ),
    (
        Standing::Clash,
        "Changed on both sides",
        "What is here stays unless you tick it. Either way the history keeps both.",
    ),
    (
        Standing::Older,
        "Changed here, not there",
        "The archive is older. What is here stays unless you tick it.",
    ),
];

fn record(app: &App, s: &Step, form: &Fields, fresh: bool) -> RecordView {
    let ticked = form.values("theirs").any(|m| m == s.mark);
    RecordView {
        mark: s.mark.clone(),
        label: s.label.clone(),
        aside: s.aside,
        taken: if fresh { s.standing == Standing::Newer } else { ticked },
        notes: s.notes.clone(),
        differences: s
            .differences
            .iter()
            .map(|d| {
                let value = |cell| words::value(&d.field, cell, (app.now(), app.offset));
                (d.field.replace('_', " "), value(&d.here), value(&d.there))
            })
            .collect(),
    }
}

/// The preview with what was ticked; `problem` says why nothing was written yet.
fn page(
    app: &App,
    who: &Who,
    (item, p): (&Item, &Preview),
    (mut form, problem, status): (Fields, String, StatusCode),
) -> Response {
    let fresh = form.value("token").is_empty();
    if fresh {
        form.set("token", new_token());
    }
    form.set("fingerprint", p.fingerprint.clone());
    let (plan, m) = (&p.plan, &p.archive.manifest);
    let changed = plan.steps.iter().filter(|s| s.here.is_some()).count();
    let together = changed > MOST_LISTED;
    let groups = GROUPS.iter().map(|(standing, title, says)| {
        let all = plan.standing(*standing);
        let records = all.take(MOST_LISTED).map(|s| record(app, s, &form, fresh)).collect();
        Group { title, says, records }
    });
    let groups: Vec<Group> = groups.filter(|g: &Group| !g.records.is_empty()).collect();
    let notes: Vec<String> = plan
        .standing(Standing::New)
        .filter(|s| !s.notes.is_empty())
        .map(|s| format!("{}: {}", s.label, s.notes.join("; ")))
        .collect();
    let counts = p.layouts.iter().zip(&plan.counts).filter_map(|(l, c)| words::counts(l, c));
    let page = PreviewPage {
        shell: Shell::new(app, who, "What would change", "/settings"),
        id: item.id.to_string(),
        name: item.name.clone(),
        holds: words::holds(&m.holds),
        program: m.program.clone(),
        sha256: p.archive.sha256.clone(),
        counts: counts.collect(),
        nothing: plan.is_empty(),
        more_notes: notes.len().saturating_sub(MOST_LISTED),
        notes: notes.into_iter().take(MOST_LISTED).collect(),
        groups,
        together,
        changed,
        form,
        problem,
    };
    Page(status, page).into_response()
}

/// Why the body of an upload could not be read.
fn broken(e: &MultipartError) -> Error {
    if e.status() == StatusCode::PAYLOAD_TOO_LARGE {
        return Error::Refused(format!(
            "This is more than is taken at once: {} MiB. Export one conversion at a time.",
            MOST_BYTES >> 20
        ));
    }
    Error::BadRequest(format!("The upload did not arrive whole: {}. Send it again.", e.body_text()))
}

async fn uploaded(mut body: Multipart) -> Result<Option<(String, Bytes)>> {
    while let Some(field) = body.next_field().await.map_err(|e| broken(&e))? {
        if field.name() == Some("archive") {
            let name = plain_name(field.file_name().unwrap_or_default());
            let bytes = field.bytes().await.map_err(|e| broken(&e))?;
            return Ok(Some((name, bytes)).filter(|(_, b)| !b.is_empty()));
        }
    }
    Ok(None)
}

async fn preview(app: &App, bytes: &[u8]) -> std::result::Result<Preview, Failed> {
    let mut tx = app.db.pool.begin().await?;
    store::preview(&mut tx, bytes).await
}

/// `POST /transfer/archive`
pub async fn upload(
    State(app): State<App>,
    who: Who,
    Extension(waiting): Extension<Waiting>,
    body: std::result::Result<Multipart, axum::extract::multipart::MultipartRejection>,
) -> Result<Response> {
    let body = body.map_err(|_| {
        Error::BadRequest(
            "This address takes a file from the form on the page Transfer.".to_owned(),
        )
    })?;
    let Some((name, bytes)) = uploaded(body).await? else {
        let why = "No file is chosen yet. Choose an archive that was made by Undershell.";
        return refused(&app, &who, why.to_owned()).await;
    };
    match preview(&app, &bytes).await {
        Ok(_) => {
            let id = waiting.keep(name, bytes, app.now());
            see_other(&format!("/transfer/archive/{id}"))
        }
        Err(Failed::Refused(why)) => {
            refused(&app, &who, format!("“{name}” is not taken. {why}")).await
        }
        Err(e) => Err(failed(e)),
    }
}

fn failed(e: Failed) -> Error {
    match e {
        Failed::Db(e) => e.into(),
        other => Error::Refused(other.to_string()),
    }
}

fn find(waiting: &Waiting, id: &str, app: &App) -> Result<Item> {
    let found = id.parse::<Uuid>().ok().and_then(|id| waiting.find(id, app.now()));
    found.ok_or_else(|| {
        Error::NotFound("archive waiting at this address any more. Upload it again".to_owned())
    })
}

/// `GET /transfer/archive/{id}`
pub async fn show(
    State(app): State<App>,
    who: Who,
    Extension(waiting): Extension<Waiting>,
    Path(id): Path<String>,
) -> Result<Response> {
    let item = find(&waiting, &id, &app)?;
    let p = preview(&app, &item.bytes).await.map_err(failed)?;
    Ok(page(&app, &who, (&item, &p), (Fields::default(), String::new(), StatusCode::OK)))
}

/// What the form says about records that are here already.
fn taking(form: &mut Fields) -> Taking {
    match form.one("taking").as_str() {
        "" | "marked" => Taking::Marked(form.values("theirs").map(str::to_owned).collect()),
        "mine" => Taking::Mine,
        "newer" => Taking::Newer,
        "theirs" => Taking::Theirs,
        _ => {
            form.refuse("taking", "Choose what happens to records that are here already.");
            Taking::Mine
        }
    }
}

/// `POST /transfer/archive/{id}`
pub async fn confirm(
    State(app): State<App>,
    who: Who,
    Extension(waiting): Extension<Waiting>,
    Path(id): Path<String>,
    mut form: Fields,
) -> Result<Response> {
    let token = form.token();
    if let Some(token) = token {
        let mut w = write(&app, &who).await?;
        if let Some(answer) = w.seen(token).await? {
            return see_other(&answer);
        }
    }
    let item = find(&waiting, &id, &app)?;
    let (taking, fingerprint) = (taking(&mut form), form.one("fingerprint"));
    let told = Told { name: item.name.clone(), person: who.id, at: app.now(), token };
    let done = if form.any_wrong() {
        let why = form.all_wrong().map(|(_, why)| why.to_owned()).collect::<Vec<_>>();
        Err(Failed::Refused(crate::features::transfer::model::Refused::new(why.join(" "))))
    } else {
        store::import(&app.db, &item.bytes, (&taking, Some(&fingerprint)), told).await
    };
    let (problem, status) = match done {
        Ok(came) => {
            waiting.forget(item.id);
            return see_other(&format!("/transfer?came={}", came.id));
        }
        Err(Failed::Db(e)) => return Err(e.into()),
        Err(e @ Failed::Moved) => (e.to_string(), StatusCode::CONFLICT),
        Err(e @ Failed::Refused(_)) => (e.to_string(), StatusCode::UNPROCESSABLE_ENTITY),
    };
    let p = preview(&app, &item.bytes).await.map_err(failed)?;
    Ok(page(&app, &who, (&item, &p), (form, problem, status)))
}

/// `POST /transfer/archive/{id}/drop`
pub async fn forget(
    State(app): State<App>,
    Extension(waiting): Extension<Waiting>,
    Path(id): Path<String>,
) -> Result<Response> {
    waiting.forget(find(&waiting, &id, &app)?.id);
    see_other("/transfer")
}
