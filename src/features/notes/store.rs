//! Every query on `note`.

use super::model::Note;
use crate::db::{Action, Change, ConversionId, Error, NoteId, Write, expect_one};
use sqlx::SqliteConnection;

struct Row {
    id: NoteId,
    text: String,
    at: i64,
    person_name: Option<String>,
    version: i64,
}

impl Row {
    fn read(self) -> Note {
        let person = self.person_name.unwrap_or_default();
        Note { id: self.id, text: self.text, at: self.at, person, version: self.version }
    }
}

macro_rules! select_notes {
    ($rest:literal $(, $arg:expr)*) => {
        sqlx::query_as!(
            Row,
            r#"SELECT n.id AS "id: NoteId", n.text, n.at, p.name AS "person_name?", n.version
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

/// Adds a note.
pub async fn add(write: &mut Write, conversion: ConversionId, text: &str) -> Result<Note, Error> {
    let (at, person) = (write.at, write.person);
    let note =
        Note { id: NoteId::new(), text: text.to_owned(), at, person: String::new(), version: 1 };
    sqlx::query!(
        "INSERT INTO note (id, conversion_id, text, at, person_id) VALUES (?1, ?2, ?3, ?4, ?5)",
        note.id,
        conversion,
        note.text,
        at,
        person
    )
    .execute(write.conn())
    .await?;
    record(write, conversion, &note, Action::Added, None).await?;
    Ok(note)
}

/// Changes a note's text, if nobody else did since `version`.
pub async fn change(
    write: &mut Write,
    conversion: ConversionId,
    (old, version): (&Note, i64),
    text: &str,
) -> Result<(), Error> {
    let done = sqlx::query!(
        "UPDATE note SET text = ?3, version = version + 1 WHERE id = ?1 AND version = ?2 AND aside_at IS NULL",
        old.id,
        version,
        text
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "note")?;
    let new = Note { text: text.to_owned(), version: version + 1, ..old.clone() };
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
