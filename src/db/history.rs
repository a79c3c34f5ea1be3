//! Reading the history: who changed what, when, from what to what.

use super::{ConversionId, Error, Millis};
use sqlx::SqliteConnection;
use uuid::Uuid;

/// One line of history.
#[derive(Debug, Clone)]
pub struct Line {
    /// Order of writing.
    pub seq: i64,
    /// When, ms.
    pub at: Millis,
    /// Who, if said.
    pub person: Option<String>,
    /// Table name of the record.
    pub noun: String,
    /// The record.
    pub record: Uuid,
    /// added, changed, put_aside, restored, taken_back.
    pub action: String,
    /// JSON before.
    pub before: Option<String>,
    /// JSON after.
    pub after: Option<String>,
    /// Archive an import wrote it from; empty when a person wrote it.
    pub via: String,
}

/// The newest lines of a conversion, newest first, before `before_seq` where given.
pub async fn of_conversion(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
    before_seq: Option<i64>,
    limit: i64,
) -> Result<Vec<Line>, Error> {
    let before = before_seq.unwrap_or(i64::MAX);
    Ok(sqlx::query_as!(
        Line,
        r#"SELECT c.seq AS "seq!", c.at, p.name AS "person?", c.noun, c.record_id AS "record: Uuid", c.action, c.before, c.after, c.via
           FROM change c LEFT JOIN person p ON p.id = c.person_id
           WHERE c.conversion_id = ?1 AND c.seq < ?2 ORDER BY c.seq DESC LIMIT ?3"#,
        conversion,
        before,
        limit
    )
    .fetch_all(conn)
    .await?)
}

/// When the last entry was kept and by whom, over the whole notebook.
pub async fn last(conn: &mut SqliteConnection) -> Result<Option<(Millis, Option<String>)>, Error> {
    let row = sqlx::query!(
        r#"SELECT c.at, p.name AS "person?" FROM change c LEFT JOIN person p ON p.id = c.person_id
           ORDER BY c.seq DESC LIMIT 1"#
    )
    .fetch_optional(conn)
    .await?;
    Ok(row.map(|r| (r.at, r.person)))
}
