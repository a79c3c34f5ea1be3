//! One gate: its checks with their reasons, judging, passing.

use super::view::{self, At, CheckView};
use super::{gather::Gathered, store};
use crate::aspect::Aspect;
use crate::calc::gates::{Gate, GateName, attempt, may_pass};
use crate::draw::arm;
use crate::features::conversions::{Head, head, sheet};
use crate::features::people::extract::write;
use crate::web::form::new_token;
use crate::web::{App, Error, Fields, Page, Path, Result, Sheet, Shell, Who, see_other, when};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

/// The page of a gate.
#[derive(Debug, Template)]
#[template(path = "gates/show.html")]
pub struct ShowPage {
    shell: Shell,
    head: Head,
    name: &'static str,
    title: String,
    asp: String,
    summary: String,
    passed: String,
    checks: Vec<CheckView>,
    may_pass: bool,
    in_the_way: Vec<String>,
    signed_in: bool,
    form: Fields,
}

fn named(gate: &str) -> Result<GateName> {
    GateName::from_key(gate).ok_or_else(|| Error::NotFound(format!("gate called {gate}")))
}

fn page(
    app: &App,
    who: &Who,
    (g, gate): (&Gathered, &Gate),
    (form, status): (Fields, StatusCode),
) -> Response {
    let c = &g.conversion;
    let at = At { now: app.now(), offset: app.offset };
    let title = format!("Before {}", gate.title.to_lowercase());
    let shell = sheet::shell(app, who, g, (0, &title));
    let refused = may_pass(&g.gates(), gate.name).err().unwrap_or_default();
    let passed = gate.passed.as_ref();
    let page = ShowPage {
        shell,
        head: head(c, app, Some(Sheet::Overview)),
        name: gate.name.key(),
        title,
        asp: arm::asp(gate.aspect),
        // the arm says the word already
        summary: gate.summary.split_once(": ").map_or(String::new(), |(_, rest)| rest.to_owned()),
        passed: passed
            .map(|p| format!("{}, {}", when::day(p.at_ms, at.now, at.offset), p.who))
            .unwrap_or_default(),
        checks: gate.checks.iter().map(|k| view::check(c.no, k, at)).collect(),
        may_pass: refused.is_empty(),
        in_the_way: refused.into_iter().map(|r| r.reason).collect(),
        signed_in: who.id.is_some(),
        form,
    };
    Page(status, page).into_response()
}

/// The gate of that key, as it stands.
async fn find(app: &App, no: i64, gate: &str) -> Result<(Gathered, Gate)> {
    let name = named(gate)?;
    let g = sheet::gathered(app, no).await?;
    let gate = g.gates().into_iter().find(|x| x.name == name);
    let gate = gate.ok_or_else(|| Error::NotFound("gate of that name".to_owned()))?;
    Ok((g, gate))
}

/// `GET /c/{no}/gates/{gate}`
pub async fn show(
    State(app): State<App>,
    who: Who,
    Path((no, gate)): Path<(i64, String)>,
) -> Result<Response> {
    let (g, gate) = find(&app, no, &gate).await?;
    let form = Fields::with([("token", new_token())]);
    Ok(page(&app, &who, (&g, &gate), (form, StatusCode::OK)))
}

/// A text with its white space evened out: a form field changes line ends on its way.
fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// `POST /c/{no}/gates/{gate}/judgements`: sign a reason to pass a check.
pub async fn judge(
    State(app): State<App>,
    who: Who,
    Path((no, gate)): Path<(i64, String)>,
    mut form: Fields,
) -> Result<Response> {
    let (g, gate) = find(&app, no, &gate).await?;
    let key = form.optional_text("check", 200);
    let token = form.token();
    let reason = form.text("reason", 2000);
    let seen = one_line(&form.optional_text("fingerprint", 100_000));
    let Some(person) = who.id else {
        form.refuse("reason", "A judgement is signed. Say who is writing first.");
        return Ok(page(&app, &who, (&g, &gate), (form, StatusCode::UNPROCESSABLE_ENTITY)));
    };
    let Some(check) = gate.check(&key) else {
        return Err(Error::Refused(format!("There is no check “{key}” before this gate.")));
    };
    if one_line(&check.fingerprint) != seen {
        form.refuse(
            "reason",
            "The values changed since you opened this page. Look at them again, then judge.",
        );
    }
    let attempted = attempt(check, gate.name, &who.name, &reason, app.now());
    if let Err(refusal) = &attempted {
        form.refuse("reason", refusal.reason.clone());
    }
    let judgement = match attempted {
        Ok(judgement) if !form.any_wrong() => judgement,
        _ => return Ok(page(&app, &who, (&g, &gate), (form, StatusCode::UNPROCESSABLE_ENTITY))),
    };
    let mut w = write(&app, &who).await?;
    let answer = format!("/c/{no}/gates/{}", gate.name.key());
    if let Some(token) = token
        && w.seen(token).await?.is_some()
    {
        return see_other(&answer);
    }
    store::judge(&mut w, g.conversion.id, person, (&judgement, &check.finding.sentence)).await?;
    w.commit_form(token, &answer).await?;
    see_other(&answer)
}

/// `POST /c/{no}/gates/{gate}/withdraw`: withdraw the judgement of a check.
pub async fn withdraw(
    State(app): State<App>,
    who: Who,
    Path((no, gate)): Path<(i64, String)>,
    mut form: Fields,
) -> Result<Response> {
    let (g, gate) = find(&app, no, &gate).await?;
    let key = form.text("check", 200);
    let mut w = write(&app, &who).await?;
    let mine: Vec<_> = store::judgements(w.conn(), g.conversion.id)
        .await?
        .into_iter()
        .filter(|(_, j)| j.gate == gate.name && j.check == key)
        .collect();
    if mine.is_empty() {
        return Err(Error::Refused("This check has no judgement to withdraw.".to_owned()));
    }
    for (id, _) in mine {
        store::withdraw(&mut w, g.conversion.id, id).await?;
    }
    w.commit().await?;
    see_other(&format!("/c/{no}/gates/{}", gate.name.key()))
}

/// `POST /c/{no}/gates/{gate}/pass`: write down that the gate was passed.
pub async fn pass(
    State(app): State<App>,
    who: Who,
    Path((no, gate)): Path<(i64, String)>,
    mut form: Fields,
) -> Result<Response> {
    let (g, gate) = find(&app, no, &gate).await?;
    let token = form.token();
    let remark = form.optional_text("remark", 500);
    let Some(person) = who.id else {
        form.refuse("remark", "Passing a gate is signed. Say who is writing first.");
        return Ok(page(&app, &who, (&g, &gate), (form, StatusCode::UNPROCESSABLE_ENTITY)));
    };
    if let Err(refused) = may_pass(&g.gates(), gate.name) {
        for r in refused {
            form.refuse("remark", r.reason);
        }
        return Ok(page(&app, &who, (&g, &gate), (form, StatusCode::UNPROCESSABLE_ENTITY)));
    }
    let shown: Aspect = gate.aspect;
    let mut w = write(&app, &who).await?;
    let answer = format!("/c/{no}");
    if let Some(token) = token
        && w.seen(token).await?.is_some()
    {
        return see_other(&answer);
    }
    if store::passings(w.conn(), g.conversion.id).await?.iter().any(|(_, p)| p.gate == gate.name) {
        return Err(Error::Refused(
            "This gate was passed already. Take that back first.".to_owned(),
        ));
    }
    store::pass(&mut w, g.conversion.id, person, (gate.name, shown, &remark)).await?;
    w.commit_form(token, &answer).await?;
    see_other(&answer)
}

/// `POST /c/{no}/gates/{gate}/take-back`: the gate was not passed after all.
pub async fn take_back(
    State(app): State<App>,
    who: Who,
    Path((no, gate)): Path<(i64, String)>,
    _form: Fields,
) -> Result<Response> {
    let (g, gate) = find(&app, no, &gate).await?;
    let mut w = write(&app, &who).await?;
    store::take_passing_back(&mut w, g.conversion.id, gate.name).await?;
    w.commit().await?;
    see_other(&format!("/c/{no}/gates/{}", gate.name.key()))
}
