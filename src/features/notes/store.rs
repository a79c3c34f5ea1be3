//! Every query on `note`.

use super::about::About;
use super::model::Note;
use crate::db::{Action, Change, ConversionId, Error, NoteId, Write, expect_one};
use sqlx::SqliteConnection;
use uuid::Uuid;

struct Row {
    id: NoteId,
    conversion_id: ConversionId,
    text: String,
    about_kind: String,
    about_id: Option<Uuid>,
    about_no: i64,
    at: i64,
    person_name: Option<String>,
    version: i64,
}

impl Row {
    fn read(self) -> Note {
        let person = self.person_name.unwrap_or_default();
        Note {
            id: self.id,
            conversion_id: self.conversion_id,
            text: self.text,
            about: About::read(&self.about_kind, self.about_id, self.about_no),
            at: self.at,
            person,
            version: self.version,
        }
    }
}

macro_rules! select_notes {
    ($rest:literal $(, $arg:expr)*) => {
        sqlx::query_as!(
            Row,
            r#"SELECT n.id AS "id: NoteId", n.conversion_id AS "conversion_id: ConversionId", n.text, n.about_kind,
                 n.about_id AS "about_id: Uuid", n.about_no, n.at, p.name AS "person_name?", n.version
               FROM note n LEFT JOIN person p ON p.id = n.person_id "# + $rest
            $(, $arg)*
        )
    };
}

/// The notes of a conversion, newest first.
pub async fn list(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
) -> Result<Vec<Note>, Error> {
    let rows = select_notes!(
        "WHERE n.conversion_id = ?1 AND n.aside_at IS NULL ORDER BY n.at DESC, n.id DESC",
        conversion
    )
    .fetch_all(conn)
    .await?;
    Ok(rows.into_iter().map(Row::read).collect())
}

/// Notes of a conversion put aside, newest first.
pub async fn list_aside(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
) -> Result<Vec<Note>, Error> {
    let rows = select_notes!(
        "WHERE n.conversion_id = ?1 AND n.aside_at IS NOT NULL ORDER BY n.aside_at DESC",
        conversion
    )
    .fetch_all(conn)
    .await?;
    Ok(rows.into_iter().map(Row::read).collect())
}

/// The notes about a record, newest first.
pub async fn about(conn: &mut SqliteConnection, record: Uuid) -> Result<Vec<Note>, Error> {
    let rows = select_notes!(
        "WHERE n.about_id = ?1 AND n.aside_at IS NULL ORDER BY n.at DESC, n.id DESC",
        record
    )
    .fetch_all(conn)
    .await?;
    Ok(rows.into_iter().map(Row::read).collect())
}

/// The note of that id in a conversion, put aside or not.
pub async fn find(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
    id: NoteId,
) -> Result<Option<Note>, Error> {
    let row = select_notes!("WHERE n.conversion_id = ?1 AND n.id = ?2", conversion, id)
        .fetch_optional(conn)
        .await?;
    Ok(row.map(Row::read))
}

/// Adds a note, about a record or about the conversion as a whole.
pub async fn add(
    write: &mut Write,
    conversion: ConversionId,
    text: &str,
    about: Option<About>,
) -> Result<Note, Error> {
    let (at, person) = (write.at, write.person);
    let note = Note {
        id: NoteId::new(),
        conversion_id: conversion,
        text: text.to_owned(),
        about,
        at,
        person: String::new(),
        version: 1,
    };
    let (kind, record_id, record_no) = About::stored(about);
    sqlx::query!(
        "INSERT INTO note (id, conversion_id, text, about_kind, about_id, about_no, at, person_id)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
        note.id,
        conversion,
        note.text,
        kind,
        record_id,
        record_no,
        at,
        person
    )
    .execute(write.conn())
    .await?;
    record(write, conversion, &note, Action::Added, None).await?;
    Ok(note)
}

/// Changes what a note says and what it is about, if nobody else did since `version`.
pub async fn change(
    write: &mut Write,
    conversion: ConversionId,
    (old, version): (&Note, i64),
    (text, about): (&str, Option<About>),
) -> Result<(), Error> {
    let (kind, record_id, record_no) = About::stored(about);
    let done = sqlx::query!(
        "UPDATE note SET text = ?3, about_kind = ?4, about_id = ?5, about_no = ?6, version = version + 1
         WHERE id = ?1 AND version = ?2 AND aside_at IS NULL",
        old.id,
        version,
        text,
        kind,
        record_id,
        record_no
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "note")?;
    let new = Note { text: text.to_owned(), about, version: version + 1, ..old.clone() };
    record(write, conversion, &new, Action::Changed, Some(old)).await
}

/// Puts a note aside, if nobody changed it since `version`.
pub async fn put_aside(
    write: &mut Write,
    conversion: ConversionId,
    (old, version): (&Note, i64),
) -> Result<(), Error> {
    let at = write.at;
    let done = sqlx::query!(
        "UPDATE note SET aside_at = ?3, version = version + 1 WHERE id = ?1 AND version = ?2 AND aside_at IS NULL",
        old.id,
        version,
        at
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "note")?;
    record(write, conversion, old, Action::PutAside, Some(old)).await
}

/// Brings a note back.
pub async fn restore(write: &mut Write, conversion: ConversionId, old: &Note) -> Result<(), Error> {
    let done = sqlx::query!(
        "UPDATE note SET aside_at = NULL, version = version + 1 WHERE id = ?1 AND aside_at IS NOT NULL",
        old.id
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "note")?;
    record(write, conversion, old, Action::Restored, Some(old)).await
}

async fn record(
    write: &mut Write,
    conversion: ConversionId,
    after: &Note,
    action: Action,
    before: Option<&Note>,
) -> Result<(), Error> {
    let change = Change {
        noun: "note",
        id: after.id.0,
        conversion: Some(conversion),
        action,
        before,
        after: Some(after),
    };
    write.note(change).await
}
