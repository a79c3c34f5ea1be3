//! Archives out of a notebook and into it. Reading is one snapshot; an import is one transaction.

use super::archive::{self, Archive};
use super::json;
use super::model::{Holds, Refused, Taking};
use super::plan::{Plan, Standing, Step, plan};
use super::words;
use crate::db::travel::{self, Cell, IMPORT, Layout, Row};
use crate::db::{
    self, Action, Change, ConversionId, Db, Error, Millis, PersonId, Write, backup_beside, sha256,
};
use serde_json::{Map, Value, json};
use sqlx::{SqliteConnection, SqlitePool};
use std::collections::BTreeMap;
use std::path::PathBuf;
use uuid::Uuid;

/// Why something could not be brought in or out.
#[derive(Debug, thiserror::Error)]
pub enum Failed {
    /// The archive is not taken; nothing was written.
    #[error(transparent)]
    Refused(#[from] Refused),
    /// The notebook changed since the preview was shown; nothing was written.
    #[error("The notebook changed since this preview was made. Look at it again.")]
    Moved,
    /// The notebook would not do it.
    #[error(transparent)]
    Db(#[from] Error),
}

impl From<sqlx::Error> for Failed {
    fn from(e: sqlx::Error) -> Self {
        Failed::Db(e.into())
    }
}

/// Packs everything, or one conversion.
///
/// Errors: a stored value that can't travel.
pub async fn export(pool: &SqlitePool, holds: Holds) -> Result<Vec<u8>, Error> {
    // one snapshot: what is written meanwhile is in all tables or in none
    let mut tx = pool.begin().await?;
    let layouts = travel::layouts(&mut tx).await?;
    let tables = match &holds {
        Holds::Everything => travel::everything(&mut tx, &layouts).await?,
        Holds::Conversion { id, .. } => {
            travel::of_conversion(&mut tx, &layouts, ConversionId(*id)).await?
        }
    };
    drop(tx);
    tokio::task::spawn_blocking(move || archive::write(&layouts, &tables, holds))
        .await
        .map_err(|e| Error::File(e.to_string()))?
        .map_err(Error::File)
}

/// An archive that was looked over, and what bringing it in would change.
#[derive(Debug)]
pub struct Preview {
    /// Layouts of this notebook.
    pub layouts: Vec<Layout>,
    /// The archive.
    pub archive: Archive,
    /// What would change.
    pub plan: Plan,
    /// Another when anything that is shown is another.
    pub fingerprint: String,
}

/// Looks an archive over and holds it against the notebook; writes nothing.
pub async fn preview(conn: &mut SqliteConnection, bytes: &[u8]) -> Result<Preview, Failed> {
    let layouts = travel::layouts(conn).await?;
    let archive = archive::read(&layouts, bytes)?;
    let ours = travel::everything(conn, &layouts).await?;
    let plan = plan(&layouts, &archive.tables, &ours);
    let fingerprint = sha256(format!("{} {}", archive.sha256, plan.essence()).as_bytes());
    Ok(Preview { layouts, archive, plan, fingerprint })
}

/// How an import is told in the history.
#[derive(Debug, Clone)]
pub struct Told {
    /// Name of the archive.
    pub name: String,
    /// Who brings it in.
    pub person: Option<PersonId>,
    /// When, ms.
    pub at: Millis,
    /// Token of the form, against sending it twice.
    pub token: Option<Uuid>,
}

/// What an import came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Came {
    /// Its id in the history.
    pub id: Uuid,
    /// New records by table, in words.
    pub new: Vec<(String, usize)>,
    /// Records written over.
    pub changed: usize,
    /// Records left as they were here.
    pub left: usize,
    /// The notebook as it was before; none when nothing had to be written.
    pub copy: Option<PathBuf>,
}

/// Brings an archive in: sets a verified copy of the notebook aside, then writes everything in one
/// transaction, looks the result over, and keeps it only when every rule of the notebook holds.
///
/// `fingerprint` is that of the preview; when the notebook changed since, nothing is written.
pub async fn import(
    db: &Db,
    bytes: &[u8],
    (taking, fingerprint): (&Taking, Option<&str>),
    told: Told,
) -> Result<Came, Failed> {
    let mut conn = db.pool.acquire().await?;
    let seen = preview(&mut conn, bytes).await?;
    drop(conn);
    if fingerprint.is_some_and(|f| f != seen.fingerprint) {
        return Err(Failed::Moved);
    }
    let nothing = Came { id: Uuid::nil(), new: vec![], changed: 0, left: 0, copy: None };
    if seen.plan.is_empty() {
        return Ok(Came { left: seen.plan.steps.len(), ..nothing });
    }
    let names = (told.at..).map(|at| backup_beside(&db.path, "before-import", at));
    let copy = names.into_iter().find(|name| !name.exists()).unwrap_or_default();
    db::copy_to(&db.pool, &copy).await?;
    let written = write(db, bytes, (taking, &seen.fingerprint), (&told, &copy)).await;
    if written.is_err() {
        // nothing came in: the copy of what is still there is not left behind
        let removed = std::fs::remove_file(&copy);
        tracing::debug!(ok = removed.is_ok(), "removed the copy from before an import that failed");
    }
    written
}

async fn write(
    db: &Db,
    bytes: &[u8],
    (taking, fingerprint): (&Taking, &str),
    (told, copy): (&Told, &PathBuf),
) -> Result<Came, Failed> {
    let mut w = Write::begin(db, told.at, told.person).await?;
    w.via.clone_from(&told.name);
    let p = preview(w.conn(), bytes).await?;
    if p.fingerprint != fingerprint {
        return Err(Failed::Moved);
    }
    // a part may stand in for one that comes after it
    sqlx::query("PRAGMA defer_foreign_keys = ON").execute(w.conn()).await.map_err(Error::from)?;
    let taken: Vec<&Step> = p.plan.steps.iter().filter(|s| takes(taking, s)).collect();
    for step in taken.iter().filter(|s| s.here.is_some()) {
        over(w.conn(), &p.layouts, step).await?;
    }
    new_rows(w.conn(), &p.layouts, &taken).await?;
    if let Some(t) = p.layouts.iter().position(|l| l.table.reach == travel::Reach::History) {
        let lines = travel::insert(w.conn(), &p.layouts[t], &p.plan.lines).await;
        lines.map_err(|(i, e)| refused(&format!("line {} of the history", i + 1), e))?;
    }
    let id = Uuid::now_v7();
    let came = tell(&mut w, &p, &taken, (id, copy)).await?;
    let broken = db::broken(w.conn()).await?;
    if let Some(first) = broken.first() {
        return Err(Refused::new(format!(
            "With it the notebook would no longer make sense: {first}. Nothing was written."
        ))
        .into());
    }
    w.commit_form(told.token, &format!("/transfer?came={id}")).await?;
    Ok(came)
}

fn takes(taking: &Taking, step: &Step) -> bool {
    match (step.standing, taking) {
        (Standing::New, _)
        | (Standing::Newer, Taking::Newer | Taking::Theirs)
        | (Standing::Clash, Taking::Theirs) => true,
        (_, Taking::Marked(marks)) => marks.contains(&step.mark),
        _ => false,
    }
}

fn refused(what: &str, e: Error) -> Failed {
    let Error::Sqlx(sqlx::Error::Database(why)) = &e else { return e.into() };
    let rule = why.message().rsplit(": ").next().unwrap_or("").to_owned();
    if why.is_check_violation() || why.is_unique_violation() || why.is_foreign_key_violation() {
        let what = words::short(what);
        return Refused::new(format!(
            "“{what}” breaks a rule of the notebook ({rule}). Nothing was written."
        ))
        .into();
    }
    e.into()
}

/// Writes a record over, its parts put in anew.
async fn over(conn: &mut SqliteConnection, layouts: &[Layout], step: &Step) -> Result<(), Failed> {
    let layout = &layouts[step.table];
    let done = travel::update(conn, layout, &step.row).await;
    if done.map_err(|e| refused(&step.label, e))? != 1 {
        return Err(Failed::Moved);
    }
    for (t, rows) in &step.parts_here {
        for row in rows {
            travel::delete(conn, &layouts[*t], row).await?;
        }
    }
    for (t, rows) in &step.parts {
        let put = travel::insert(conn, &layouts[*t], rows).await;
        put.map_err(|(_, e)| refused(&step.label, e))?;
    }
    Ok(())
}

/// Puts new records in, table by table, then their parts.
async fn new_rows(
    conn: &mut SqliteConnection,
    layouts: &[Layout],
    taken: &[&Step],
) -> Result<(), Failed> {
    let mut rows: BTreeMap<usize, (Vec<Row>, Vec<&str>)> = BTreeMap::new();
    for step in taken.iter().filter(|s| s.here.is_none()) {
        let own = std::slice::from_ref(&step.row);
        let parts = step.parts.iter().map(|(t, r)| (*t, r.as_slice()));
        for (t, new) in std::iter::once((step.table, own)).chain(parts) {
            let (all, labels) = rows.entry(t).or_default();
            all.extend(new.iter().cloned());
            labels.extend(new.iter().map(|_| step.label.as_str()));
        }
    }
    for (t, (rows, labels)) in rows {
        let put = travel::insert(conn, &layouts[t], &rows).await;
        put.map_err(|(i, e)| refused(labels.get(i).copied().unwrap_or(""), e))?;
    }
    Ok(())
}

/// A record with its parts, for the history.
fn record(layouts: &[Layout], table: usize, row: &Row, parts: &[(usize, Vec<Row>)]) -> Value {
    let mut object = json::object(&layouts[table], row);
    for (t, rows) in parts.iter().filter(|(_, rows)| !rows.is_empty()) {
        let name = layouts[*t].table.many.to_owned();
        let all = rows.iter().map(|r| Value::Object(json::object(&layouts[*t], r)));
        object.insert(name, Value::Array(all.collect()));
    }
    Value::Object(object)
}

fn id_of(layout: &Layout, row: &Row) -> Uuid {
    match layout.id().and_then(|p| row.get(p)) {
        Some(Cell::Id(id)) => *id,
        _ => Uuid::nil(),
    }
}

/// The conversion a row belongs to.
fn conversion_of(layout: &Layout, row: &Row) -> Option<ConversionId> {
    let travel::Reach::Conversion(column) = layout.table.reach else { return None };
    match layout.place(column).and_then(|p| row.get(p)) {
        Some(Cell::Id(id)) => Some(ConversionId(*id)),
        _ => None,
    }
}

/// The lines of history: one for each record written over, one for each new record that brought no
/// line of its own, one for each conversion that got something, one for the whole.
async fn tell(
    w: &mut Write,
    p: &Preview,
    taken: &[&Step],
    (id, copy): (Uuid, &PathBuf),
) -> Result<Came, Failed> {
    let mut new: BTreeMap<Option<ConversionId>, BTreeMap<usize, usize>> = BTreeMap::new();
    for step in taken {
        let layout = &p.layouts[step.table];
        let conversion = conversion_of(layout, &step.row);
        let record_id = id_of(layout, &step.row);
        let after = record(&p.layouts, step.table, &step.row, &step.parts);
        let before =
            step.here.as_ref().map(|h| record(&p.layouts, step.table, h, &step.parts_here));
        let action = match (&before, step.aside) {
            (None, _) => Action::Added,
            (Some(_), true) => Action::PutAside,
            (Some(_), false) => Action::Changed,
        };
        if before.is_none() {
            *new.entry(conversion).or_default().entry(step.table).or_default() += 1;
            if layout.place("version").is_none() || p.plan.told.contains(&record_id) {
                continue;
            }
        }
        let (before, after) = (before.as_ref(), Some(&after));
        w.note(Change {
            noun: layout.table.name,
            id: record_id,
            conversion,
            action,
            before,
            after,
        })
        .await?;
    }
    let mut all: BTreeMap<usize, usize> = BTreeMap::new();
    for (conversion, counts) in &new {
        for (t, n) in counts {
            *all.entry(*t).or_default() += n;
        }
        if conversion.is_some() {
            line(w, (id, *conversion), whole(p, counts)).await?;
        }
    }
    let changed = taken.iter().filter(|s| s.here.is_some()).count();
    let mut whole = whole(p, &all);
    whole.insert("sha256".to_owned(), json!(p.archive.sha256));
    whole.insert("written_over".to_owned(), json!(changed));
    whole.insert("copy_before".to_owned(), json!(copy.display().to_string()));
    line(w, (id, None), whole).await?;
    let new = all.iter().map(|(t, n)| (counted(&p.layouts[*t], *n), *n)).collect();
    let left = p.plan.steps.len() - taken.len();
    Ok(Came { id, new, changed, left, copy: Some(copy.clone()) })
}

/// `41 readings`, `1 snag`.
fn counted(layout: &Layout, n: usize) -> String {
    format!("{n} {}", if n == 1 { layout.table.one } else { layout.table.many })
}

fn whole(p: &Preview, counts: &BTreeMap<usize, usize>) -> Map<String, Value> {
    let new: Vec<String> = counts.iter().map(|(t, n)| counted(&p.layouts[*t], *n)).collect();
    let mut out = Map::new();
    out.insert("new".to_owned(), json!(new.join(", ")));
    out
}

async fn line(
    w: &mut Write,
    (id, conversion): (Uuid, Option<ConversionId>),
    mut after: Map<String, Value>,
) -> Result<(), Error> {
    after.insert("archive".to_owned(), json!(w.via));
    let after = Some(&after);
    let (action, before) = (Action::Added, None);
    w.note(Change { noun: IMPORT, id, conversion, action, before, after }).await
}

/// An import as the history tells it.
#[derive(Debug, Clone)]
pub struct Past {
    /// Its id.
    pub id: Uuid,
    /// When, ms.
    pub at: Millis,
    /// By whom; empty when not said.
    pub person: String,
    /// Name of the archive.
    pub name: String,
    /// What was new, in words.
    pub new: String,
    /// Records written over.
    pub written_over: i64,
    /// The notebook as it was before.
    pub copy: String,
}

/// The newest imports.
pub async fn past(conn: &mut SqliteConnection, most: i64) -> Result<Vec<Past>, Error> {
    let rows = sqlx::query!(
        r#"SELECT c.record_id AS "id: Uuid", c.at, p.name AS "person?", c.via, c.after FROM change c
           LEFT JOIN person p ON p.id = c.person_id
           WHERE c.noun = 'import' AND c.conversion_id IS NULL ORDER BY c.seq DESC LIMIT ?1"#,
        most
    )
    .fetch_all(conn)
    .await?;
    let read = |after: Option<String>| -> Map<String, Value> {
        after.and_then(|a| serde_json::from_str(&a).ok()).unwrap_or_default()
    };
    let text = |m: &Map<String, Value>, key: &str| {
        m.get(key).and_then(Value::as_str).unwrap_or_default().to_owned()
    };
    Ok(rows
        .into_iter()
        .map(|r| {
            let after = read(r.after);
            Past {
                id: r.id,
                at: r.at,
                person: r.person.unwrap_or_default(),
                name: r.via,
                new: text(&after, "new"),
                written_over: after.get("written_over").and_then(Value::as_i64).unwrap_or(0),
                copy: text(&after, "copy_before"),
            }
        })
        .collect())
}
