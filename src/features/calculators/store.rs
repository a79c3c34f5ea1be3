//! Every query on `saved_calc`.

use super::model::Saved;
use crate::db::{Action, Change, ConversionId, Error, SavedCalcId, Write, corrupt, expect_one};
use serde::Serialize;
use serde_json::{Map, Value};
use sqlx::SqliteConnection;

/// An input longer than this, characters, is not repeated whole in the history line of its own
/// keeping: it stands in the table, and whole as *before* in the line of the next change.
const LONG: usize = 65_536;

struct Row {
    id: SavedCalcId,
    name: String,
    input: String,
    at: i64,
    person_name: Option<String>,
    version: i64,
    aside_at: Option<i64>,
}

impl Row {
    fn read(self) -> Result<Saved, Error> {
        let input: Option<Map<String, Value>> = serde_json::from_str(&self.input).ok();
        Ok(Saved {
            id: self.id,
            input: input.ok_or_else(|| corrupt("saved_calc", "input", 0, &self.name))?,
            name: self.name,
            at: self.at,
            person: self.person_name.unwrap_or_default(),
            version: self.version,
            aside: self.aside_at.is_some(),
        })
    }
}

macro_rules! select_saved {
    ($rest:literal $(, $arg:expr)*) => {
        sqlx::query_as!(
            Row,
            r#"SELECT s.id AS "id: SavedCalcId", s.name, s.input, s.at, p.name AS "person_name?", s.version, s.aside_at
               FROM saved_calc s LEFT JOIN person p ON p.id = s.person_id "# + $rest
            $(, $arg)*
        )
    };
}

/// Every kept input of a conversion, forgotten ones left out.
pub async fn list(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
) -> Result<Vec<Saved>, Error> {
    select_saved!("WHERE s.conversion_id = ?1 AND s.aside_at IS NULL ORDER BY s.name", conversion)
        .fetch_all(conn)
        .await?
        .into_iter()
        .map(Row::read)
        .collect()
}

/// The kept inputs that a gate's check may stand on, forgotten ones left out. A logged trace can be
/// large and proves nothing, so it is not read here.
pub async fn list_proving(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
) -> Result<Vec<Saved>, Error> {
    select_saved!(
        "WHERE s.conversion_id = ?1 AND s.aside_at IS NULL AND s.name IN ('heat', 'gap', 'holdup') ORDER BY s.name",
        conversion
    )
    .fetch_all(conn)
    .await?
    .into_iter()
    .map(Row::read)
    .collect()
}

/// The kept input of a calculation, forgotten or not.
pub async fn find(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
    name: &str,
) -> Result<Option<Saved>, Error> {
    select_saved!("WHERE s.conversion_id = ?1 AND s.name = ?2", conversion, name)
        .fetch_optional(conn)
        .await?
        .map(Row::read)
        .transpose()
}

/// Keeps an input: the first of its calculation, or over the one a person saw at `version`.
pub async fn keep(
    write: &mut Write,
    conversion: ConversionId,
    (old, version): (Option<&Saved>, i64),
    (name, input): (&str, Map<String, Value>),
) -> Result<Saved, Error> {
    let (at, person) = (write.at, write.person);
    let text = serde_json::to_string(&input)?;
    let new = Saved {
        id: old.map_or_else(SavedCalcId::new, |o| o.id),
        name: name.to_owned(),
        input,
        at,
        person: String::new(),
        version: old.map_or(1, |o| o.version + 1),
        aside: false,
    };
    let done = if old.is_some() {
        sqlx::query!(
            "UPDATE saved_calc SET input = ?3, at = ?4, person_id = ?5, version = version + 1, aside_at = NULL
             WHERE id = ?1 AND version = ?2",
            new.id,
            version,
            text,
            at,
            person
        )
        .execute(write.conn())
        .await?
    } else {
        sqlx::query!(
            "INSERT INTO saved_calc (id, conversion_id, name, input, at, person_id)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6) ON CONFLICT (conversion_id, name) DO NOTHING",
            new.id,
            conversion,
            new.name,
            text,
            at,
            person
        )
        .execute(write.conn())
        .await?
    };
    expect_one(done.rows_affected(), "kept input")?;
    let action = if old.is_some() { Action::Changed } else { Action::Added };
    note(write, conversion, action, (old, &new)).await?;
    Ok(new)
}

/// Forgets a kept input, if nobody changed it since `version`.
pub async fn put_aside(
    write: &mut Write,
    conversion: ConversionId,
    (old, version): (&Saved, i64),
) -> Result<(), Error> {
    let at = write.at;
    let done = sqlx::query!(
        "UPDATE saved_calc SET aside_at = ?3, version = version + 1 WHERE id = ?1 AND version = ?2 AND aside_at IS NULL",
        old.id,
        version,
        at
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "kept input")?;
    note(write, conversion, Action::PutAside, (Some(old), old)).await
}

/// What the history line holds.
#[derive(Serialize)]
struct Told<'a> {
    name: &'a str,
    input: Value,
    version: i64,
}

async fn note(
    write: &mut Write,
    conversion: ConversionId,
    action: Action,
    (before, after): (Option<&Saved>, &Saved),
) -> Result<(), Error> {
    let whole = |s: &Saved| Value::Object(s.input.clone());
    let told = |s: &Saved| {
        let length = serde_json::to_string(&s.input).map_or(0, |t| t.len());
        if length > LONG { Value::String(format!("{length} characters")) } else { whole(s) }
    };
    let told_before = before.map(|s| Told { name: &s.name, input: whole(s), version: s.version });
    let told_after = Told { name: &after.name, input: told(after), version: after.version };
    let change = Change {
        noun: "saved_calc",
        id: after.id.0,
        conversion: Some(conversion),
        action,
        before: told_before.as_ref(),
        after: Some(&told_after),
    };
    write.note(change).await
}
