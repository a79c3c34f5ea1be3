//! Every query on `snag`.

use super::model::{Draft, GateName, Severity, Snag};
use crate::choice::Choice;
use crate::db::{Action, Change, ConversionId, Error, SnagId, Write, corrupt, expect_one};
use sqlx::SqliteConnection;

struct Row {
    id: SnagId,
    no: i64,
    what: String,
    severity: String,
    blocks: String,
    opened_at: i64,
    opened_name: Option<String>,
    closed_at: Option<i64>,
    closed_name: Option<String>,
    how: String,
    version: i64,
}

impl Row {
    fn read(self) -> Result<Snag, Error> {
        let severity = Severity::from_code(&self.severity)
            .ok_or_else(|| corrupt("snag", "severity", self.no, &self.severity))?;
        let blocks = match self.blocks.as_str() {
            "" => None,
            code => Some(
                GateName::from_code(code)
                    .ok_or_else(|| corrupt("snag", "blocks", self.no, code))?,
            ),
        };
        Ok(Snag {
            id: self.id,
            no: self.no,
            draft: Draft { what: self.what, severity, blocks },
            opened_at: self.opened_at,
            opened_by: self.opened_name.unwrap_or_default(),
            closed_at: self.closed_at,
            closed_by: self.closed_name.unwrap_or_default(),
            how: self.how,
            version: self.version,
        })
    }
}

macro_rules! select_snags {
    ($rest:literal $(, $arg:expr)*) => {
        sqlx::query_as!(
            Row,
            r#"SELECT s.id AS "id: SnagId", s.no, s.what, s.severity, s.blocks, s.opened_at, o.name AS "opened_name?",
                 s.closed_at, c.name AS "closed_name?", s.how, s.version
               FROM snag s LEFT JOIN person o ON o.id = s.opened_by LEFT JOIN person c ON c.id = s.closed_by "# + $rest
            $(, $arg)*
        )
    };
}

/// All snags of a conversion: open ones first, newest first.
pub async fn list(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
) -> Result<Vec<Snag>, Error> {
    select_snags!(
        "WHERE s.conversion_id = ?1 AND s.aside_at IS NULL ORDER BY s.closed_at IS NOT NULL, s.no DESC",
        conversion
    )
    .fetch_all(conn)
    .await?
    .into_iter()
    .map(Row::read)
    .collect()
}

/// The snag of that number in a conversion.
pub async fn find(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
    no: i64,
) -> Result<Option<Snag>, Error> {
    select_snags!("WHERE s.conversion_id = ?1 AND s.no = ?2 AND s.aside_at IS NULL", conversion, no)
        .fetch_optional(conn)
        .await?
        .map(Row::read)
        .transpose()
}

/// Opens a snag with the next number.
pub async fn add(write: &mut Write, conversion: ConversionId, draft: Draft) -> Result<Snag, Error> {
    let no = sqlx::query_scalar!(r#"SELECT coalesce(max(no), 0) + 1 AS "no!: i64" FROM snag"#)
        .fetch_one(write.conn())
        .await?;
    let snag = Snag {
        id: SnagId::new(),
        no,
        draft,
        opened_at: write.at,
        opened_by: String::new(),
        closed_at: None,
        closed_by: String::new(),
        how: String::new(),
        version: 1,
    };
    let (severity, blocks) =
        (snag.draft.severity.code(), snag.draft.blocks.map_or("", Choice::code));
    let person = write.person;
    sqlx::query!(
        "INSERT INTO snag (id, conversion_id, no, what, severity, blocks, opened_at, opened_by)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
        snag.id,
        conversion,
        snag.no,
        snag.draft.what,
        severity,
        blocks,
        snag.opened_at,
        person
    )
    .execute(write.conn())
    .await?;
    note(write, conversion, &snag, Action::Added, None).await?;
    Ok(snag)
}

/// Writes a snag as it is now, if nobody else changed it since `version`.
pub async fn change(
    write: &mut Write,
    conversion: ConversionId,
    (old, version): (&Snag, i64),
    new: Snag,
) -> Result<(), Error> {
    let (severity, blocks) = (new.draft.severity.code(), new.draft.blocks.map_or("", Choice::code));
    let closed_by = if new.closed_at.is_some() { write.person } else { None };
    let done = sqlx::query!(
        "UPDATE snag SET what = ?3, severity = ?4, blocks = ?5, closed_at = ?6, closed_by = ?7, how = ?8, version = version + 1
         WHERE id = ?1 AND version = ?2 AND aside_at IS NULL",
        old.id, version, new.draft.what, severity, blocks, new.closed_at, closed_by, new.how
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "snag")?;
    note(write, conversion, &new, Action::Changed, Some(old)).await
}

async fn note(
    write: &mut Write,
    conversion: ConversionId,
    after: &Snag,
    action: Action,
    before: Option<&Snag>,
) -> Result<(), Error> {
    let change = Change {
        noun: "snag",
        id: after.id.0,
        conversion: Some(conversion),
        action,
        before,
        after: Some(after),
    };
    write.note(change).await
}
