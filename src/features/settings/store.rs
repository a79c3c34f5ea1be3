//! Every query on `setting`.

use super::model::Household;
use crate::db::{Action, Change, Error, Write};
use sqlx::SqliteConnection;
use std::collections::BTreeMap;
use uuid::Uuid;

/// All settings.
pub async fn household(conn: &mut SqliteConnection) -> Result<Household, Error> {
    let (stored, version) = stored(conn).await?;
    Ok(Household::from_stored(&stored, version))
}

async fn stored(conn: &mut SqliteConnection) -> Result<(BTreeMap<String, String>, i64), Error> {
    let rows = sqlx::query!("SELECT key, value, version FROM setting").fetch_all(conn).await?;
    let version = rows.iter().map(|r| r.version).sum();
    Ok((rows.into_iter().map(|r| (r.key, r.value)).collect(), version))
}

/// Writes settings, if nobody else did since the form of that version was opened.
pub async fn put(
    write: &mut Write,
    version: i64,
    values: &BTreeMap<String, String>,
) -> Result<(), Error> {
    let (before, now_at) = stored(write.conn()).await?;
    if now_at != version {
        return Err(Error::Conflict("settings"));
    }
    let (at, person) = (write.at, write.person);
    for (key, value) in values {
        if before.get(key) == Some(value) {
            continue;
        }
        sqlx::query!(
            "INSERT INTO setting (key, value, version, changed_at, person_id) VALUES (?1, ?2, 1, ?3, ?4)
             ON CONFLICT (key) DO UPDATE SET value = ?2, version = version + 1, changed_at = ?3, person_id = ?4",
            key,
            value,
            at,
            person
        )
        .execute(write.conn())
        .await?;
    }
    let change = Change {
        noun: "setting",
        id: Uuid::nil(),
        conversion: None,
        action: Action::Changed,
        before: Some(&before),
        after: Some(values),
    };
    write.note(change).await
}
