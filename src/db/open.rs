//! Opening the file, and refusing to work on one that would not keep its promises.

use super::{Error, MIGRATOR, Migrated, migrate};
use sqlx::sqlite::{
    SqliteConnectOptions, SqliteJournalMode, SqlitePool, SqlitePoolOptions, SqliteSynchronous,
};
use std::path::{Path, PathBuf};
use std::time::Duration;

/// The open notebook.
#[derive(Debug, Clone)]
pub struct Db {
    /// Connections, each opened and asserted alike.
    pub pool: SqlitePool,
    /// Where the file is.
    pub path: PathBuf,
}

/// Connections kept: four serve a club on a small machine.
const CONNECTIONS: u32 = 4;

/// WAL file size to fall back to after a checkpoint, bytes.
const WAL_KEEP: &str = "16777216";

/// How every connection is opened: WAL, FULL (a commit survives power loss), foreign keys.
fn options(path: &Path) -> SqliteConnectOptions {
    SqliteConnectOptions::new()
        .filename(path)
        .create_if_missing(true)
        .journal_mode(SqliteJournalMode::Wal)
        .synchronous(SqliteSynchronous::Full)
        .foreign_keys(true)
        .busy_timeout(Duration::from_secs(10))
        .pragma("trusted_schema", "OFF")
        .pragma("cell_size_check", "ON")
        .pragma("journal_size_limit", WAL_KEEP)
        .pragma("cache_size", "-16000")
}

/// Opens the notebook, migrates it where needed (after setting a verified copy aside), and asserts
/// the promises on every connection. Returns what was migrated.
///
/// Errors: the folder is missing or not writable, another process is migrating, the file is of a
/// newer program, damaged, or one of the settings did not take.
pub async fn open(path: &Path, now: super::Millis) -> Result<(Db, Migrated), Error> {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    if !folder.is_dir() {
        return Err(Error::File(format!(
            "the folder {} does not exist: make it first, or name another file with --file",
            folder.display()
        )));
    }
    let migrated = migrate::migrate(path, options(path), now).await?;
    let pool = SqlitePoolOptions::new()
        .max_connections(CONNECTIONS)
        .acquire_timeout(Duration::from_secs(10))
        .after_connect(|connection, _| Box::pin(async move { assert_promises(connection).await }))
        .connect_with(options(path))
        .await?;
    Ok((Db { pool, path: path.to_owned() }, migrated))
}

/// Opens a file for looking only; nothing is created or migrated.
pub async fn open_read_only(path: &Path) -> Result<SqlitePool, Error> {
    if !path.is_file() {
        return Err(Error::File(format!("there is no file {}", path.display())));
    }
    let options = SqliteConnectOptions::new()
        .filename(path)
        .read_only(true)
        .create_if_missing(false)
        .foreign_keys(true)
        .busy_timeout(Duration::from_secs(10))
        .pragma("trusted_schema", "OFF")
        .pragma("cell_size_check", "ON");
    Ok(SqlitePoolOptions::new().max_connections(1).connect_with(options).await?)
}

/// An empty notebook that is kept nowhere, to hold something against.
pub async fn in_memory() -> Result<SqlitePool, Error> {
    let options = SqliteConnectOptions::new().in_memory(true).foreign_keys(true);
    let pool = SqlitePoolOptions::new()
        .max_connections(1)
        .idle_timeout(None)
        .max_lifetime(None)
        .connect_with(options)
        .await?;
    MIGRATOR.run(&pool).await?;
    Ok(pool)
}

/// Reads the settings back; a connection that lost one must not be used.
async fn assert_promises(connection: &mut sqlx::SqliteConnection) -> Result<(), sqlx::Error> {
    let journal: String =
        sqlx::query_scalar("PRAGMA journal_mode").fetch_one(&mut *connection).await?;
    let synchronous: i64 =
        sqlx::query_scalar("PRAGMA synchronous").fetch_one(&mut *connection).await?;
    let foreign_keys: i64 =
        sqlx::query_scalar("PRAGMA foreign_keys").fetch_one(&mut *connection).await?;
    if journal == "wal" && synchronous == 2 && foreign_keys == 1 {
        return Ok(());
    }
    Err(sqlx::Error::Configuration(
        format!(
            "the notebook needs journal_mode wal, synchronous FULL (2) and foreign_keys 1, but this \
             file gives {journal}, {synchronous}, {foreign_keys}; is it on a network share?"
        )
        .into(),
    ))
}
