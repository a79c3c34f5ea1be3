//! The only way to write: one transaction, begun IMMEDIATE, with its history line and its person.

use super::{ConversionId, Db, Error, Millis, PersonId};
use serde::Serialize;
use sqlx::{Sqlite, SqliteConnection, Transaction};
use uuid::Uuid;

/// What was done to a record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Action {
    /// It is new.
    Added,
    /// Some of its values changed.
    Changed,
    /// It was put aside; it can be restored.
    PutAside,
    /// It was brought back.
    Restored,
    /// It was taken back as a mistake; it stays readable.
    TakenBack,
}

impl Action {
    fn code(self) -> &'static str {
        match self {
            Action::Added => "added",
            Action::Changed => "changed",
            Action::PutAside => "put_aside",
            Action::Restored => "restored",
            Action::TakenBack => "taken_back",
        }
    }
}

/// One history line about to be written.
#[derive(Debug)]
pub struct Change<'a, T: Serialize> {
    /// Table name.
    pub noun: &'static str,
    /// The record's id.
    pub id: Uuid,
    /// Conversion it belongs to, if any.
    pub conversion: Option<ConversionId>,
    /// What was done.
    pub action: Action,
    /// The record before.
    pub before: Option<&'a T>,
    /// The record after.
    pub after: Option<&'a T>,
}

/// A write in progress. Dropping it undoes everything; [`Write::commit`] keeps it.
#[derive(Debug)]
pub struct Write {
    tx: Transaction<'static, Sqlite>,
    /// When it is done, ms.
    pub at: Millis,
    /// Who does it, if the device said so.
    pub person: Option<PersonId>,
    /// The archive it comes from, when an import writes; empty when a person does.
    pub via: String,
}

impl Write {
    /// Begins a write. IMMEDIATE, because a deferred transaction that reads and then writes fails
    /// at once when another writer came between.
    pub async fn begin(db: &Db, at: Millis, person: Option<PersonId>) -> Result<Self, Error> {
        let tx = db.pool.begin_with("BEGIN IMMEDIATE").await?;
        Ok(Write { tx, at, person, via: String::new() })
    }

    /// The connection to write on.
    pub fn conn(&mut self) -> &mut SqliteConnection {
        &mut self.tx
    }

    /// Writes the history line of a change.
    pub async fn note<T: Serialize>(&mut self, change: Change<'_, T>) -> Result<(), Error> {
        let before = change.before.map(serde_json::to_string).transpose()?;
        let after = change.after.map(serde_json::to_string).transpose()?;
        let (at, person, action) = (self.at, self.person, change.action.code());
        let via = self.via.clone();
        sqlx::query!(
            "INSERT INTO change (at, person_id, conversion_id, noun, record_id, action, before, after, via)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
            at,
            person,
            change.conversion,
            change.noun,
            change.id,
            action,
            before,
            after,
            via
        )
        .execute(self.conn())
        .await?;
        Ok(())
    }

    /// Where a form with this token led before, if it was sent before.
    pub async fn seen(&mut self, token: Uuid) -> Result<Option<String>, Error> {
        Ok(sqlx::query_scalar!("SELECT answer FROM form_seen WHERE token = ?1", token)
            .fetch_optional(self.conn())
            .await?)
    }

    /// Keeps what was written, remembering the form's token with where it led.
    pub async fn commit_form(mut self, token: Option<Uuid>, answer: &str) -> Result<(), Error> {
        if let Some(token) = token {
            let at = self.at;
            sqlx::query!(
                "INSERT INTO form_seen (token, at, answer) VALUES (?1, ?2, ?3)",
                token,
                at,
                answer
            )
            .execute(self.conn())
            .await?;
            let long_ago = at - 30 * 86_400_000;
            sqlx::query!("DELETE FROM form_seen WHERE at < ?1", long_ago)
                .execute(self.conn())
                .await?;
        }
        self.commit().await
    }

    /// Keeps what was written.
    pub async fn commit(self) -> Result<(), Error> {
        Ok(self.tx.commit().await?)
    }
}
