//! What can go wrong between the notebook and its file.

/// An error of the storage rooms. The web turns it into a page or a problem document.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// SQLite or the driver refused.
    #[error(transparent)]
    Sqlx(#[from] sqlx::Error),
    /// A migration failed or does not fit.
    #[error(transparent)]
    Migrate(#[from] sqlx::migrate::MigrateError),
    /// The record isn't there.
    #[error("no such {0}")]
    NotFound(&'static str),
    /// Somebody else saved the record since it was read.
    #[error("{0} was changed by somebody else")]
    Conflict(&'static str),
    /// A value that must be the only one of its kind is taken.
    #[error("{field}: {message}")]
    Taken {
        /// Form field it belongs to.
        field: &'static str,
        /// What to tell the person.
        message: String,
    },
    /// A stored value makes no sense.
    #[error("{table}.{column} holds {value:?}, which makes no sense (row {row})")]
    Corrupt {
        /// Table.
        table: &'static str,
        /// Column.
        column: &'static str,
        /// The row's id.
        row: String,
        /// What it holds.
        value: String,
    },
    /// The file or its place is not usable.
    #[error("{0}")]
    File(String),
    /// A record could not be written as JSON for the history.
    #[error("history: {0}")]
    Json(#[from] serde_json::Error),
}

impl Error {
    /// Whether the disk is full, by SQLite's result code 13.
    pub fn is_disk_full(&self) -> bool {
        matches!(self, Error::Sqlx(sqlx::Error::Database(e)) if e.code().as_deref() == Some("13"))
    }

    /// Whether a UNIQUE rule was broken on `table.column`.
    pub fn is_taken(&self, column: &str) -> bool {
        matches!(self, Error::Sqlx(sqlx::Error::Database(e))
            if e.is_unique_violation() && e.message().contains(column))
    }
}

/// An error for a stored code that no list knows.
pub fn corrupt(
    table: &'static str,
    column: &'static str,
    row: impl std::fmt::Display,
    value: &str,
) -> Error {
    Error::Corrupt { table, column, row: row.to_string(), value: value.to_owned() }
}

/// Checks that a versioned change touched its one row; otherwise somebody was faster.
pub fn expect_one(rows: u64, noun: &'static str) -> Result<(), Error> {
    if rows == 1 { Ok(()) } else { Err(Error::Conflict(noun)) }
}
