//! Every change of a conversion and what hangs on it: who, when, from, to.

use super::sheet::{self, Head, head};
use crate::db::history;
use crate::web::{App, Page, Path, Query, Result, Shell, Who, when};
use askama::Template;
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use serde_json::{Map, Value};

/// Lines of one page.
const PAGE: i64 = 50;

/// The history page.
#[derive(Debug, Template)]
#[template(path = "conversions/history.html")]
pub struct HistoryPage {
    shell: Shell,
    head: Head,
    lines: Vec<LineView>,
    older: String,
}

/// One line.
#[derive(Debug)]
pub struct LineView {
    when: String,
    who: String,
    what: String,
    fields: Vec<(String, String, String)>,
}

/// Where to go on.
#[derive(Debug, Deserialize)]
pub struct Below {
    below: Option<i64>,
}

/// `GET /c/{no}/history`
pub async fn list(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    Query(q): Query<Below>,
) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    let mut conn = app.db.pool.acquire().await?;
    let lines = history::of_conversion(&mut conn, c.id, q.below, PAGE + 1).await?;
    drop(conn);
    let more = i64::try_from(lines.len()).unwrap_or(0) > PAGE;
    let shown = &lines[..lines.len().min(usize::try_from(PAGE).unwrap_or(0))];
    let older = shown.last().filter(|_| more).map(|l| format!("/c/{no}/history?below={}", l.seq));
    let shell = Shell::new(&app, &who, format!("History · № {no} {}", c.draft.title), "/");
    let page = HistoryPage {
        shell,
        head: head(&c, &app, None),
        lines: shown.iter().map(|l| line(&app, l)).collect(),
        older: older.unwrap_or_default(),
    };
    Ok(Page::ok(page).into_response())
}

fn line(app: &App, l: &history::Line) -> LineView {
    let noun = l.noun.replace('_', " ");
    let action = l.action.replace('_', " ");
    let no = parse(l.after.as_deref().or(l.before.as_deref()))
        .and_then(|m| m.get("no").map(|v| format!(" {v}")))
        .unwrap_or_default();
    let who = l.person.clone().unwrap_or_else(|| "not said".to_owned());
    LineView {
        when: when::day_time(l.at, app.now(), app.offset),
        who: if l.via.is_empty() { who } else { format!("{who}, by bringing in {}", l.via) },
        what: format!("{noun}{no} {action}"),
        fields: differences(l),
    }
}

fn parse(json: Option<&str>) -> Option<Map<String, Value>> {
    serde_json::from_str(json?).ok()
}

/// Field, from, to: of what changed, or of what was written when it is new.
fn differences(l: &history::Line) -> Vec<(String, String, String)> {
    let before = parse(l.before.as_deref()).unwrap_or_default();
    let after = parse(l.after.as_deref()).unwrap_or_default();
    let mut names: Vec<&String> = before.keys().chain(after.keys()).collect();
    names.sort();
    names.dedup();
    let hidden = ["id", "version", "no"];
    names
        .into_iter()
        .filter(|n| !hidden.contains(&n.as_str()) && !n.ends_with("_id"))
        .filter_map(|n| {
            let (from, to) = (shown(before.get(n)), shown(after.get(n)));
            (from != to).then(|| (n.replace('_', " "), from, to))
        })
        .collect()
}

fn shown(value: Option<&Value>) -> String {
    match value {
        None | Some(Value::Null) => String::new(),
        Some(Value::String(s)) => s.clone(),
        Some(Value::Object(m)) => {
            let said =
                m.iter().filter(|(k, v)| *k != "id" && !v.is_null() && v.as_str() != Some(""));
            said.map(|(k, v)| format!("{k} {}", shown(Some(v)))).collect::<Vec<_>>().join(", ")
        }
        Some(Value::Array(all)) => {
            all.iter().map(|v| shown(Some(v))).collect::<Vec<_>>().join("; ")
        }
        Some(other) => other.to_string(),
    }
}
