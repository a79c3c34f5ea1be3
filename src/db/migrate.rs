//! Bringing an older file up to this program, one process at a time, after a verified copy.

use super::{Error, Millis, backup};
use sqlx::migrate::Migrator;
use sqlx::sqlite::{SqliteConnectOptions, SqlitePool, SqlitePoolOptions};
use std::collections::BTreeSet;
use std::fs::{File, OpenOptions};
use std::path::{Path, PathBuf};

/// The migrations compiled into this program.
pub static MIGRATOR: Migrator = sqlx::migrate!("./migrations");

/// What opening did to the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Migrated {
    /// The file was made.
    Created,
    /// It was up to date.
    Current,
    /// It was brought up by this many steps; the copy from before is at `copy`.
    Upgraded {
        /// Steps applied.
        steps: usize,
        /// The verified copy of the file as it was.
        copy: PathBuf,
    },
}

/// Applies what is missing. SQLite gives migrations no lock of its own, so a lock file beside the
/// notebook keeps a second process out; the system drops it when the process ends, however it ends.
pub async fn migrate(
    path: &Path,
    options: SqliteConnectOptions,
    now: Millis,
) -> Result<Migrated, Error> {
    let _lock = lock(path)?;
    let pool = SqlitePoolOptions::new().max_connections(1).connect_with(options).await?;
    let result = upgrade(&pool, path, now).await;
    pool.close().await;
    result
}

async fn upgrade(pool: &SqlitePool, path: &Path, now: Millis) -> Result<Migrated, Error> {
    let applied = applied(pool).await?;
    let known: BTreeSet<i64> = MIGRATOR.iter().map(|m| m.version).collect();
    if let Some(newer) = applied.iter().find(|v| !known.contains(v)) {
        return Err(Error::File(format!(
            "{} was written by a newer Undershell (step {newer} is not known here): use that \
             program, or open a copy from before its upgrade",
            path.display()
        )));
    }
    let steps = known.difference(&applied).count();
    if steps == 0 {
        return Ok(Migrated::Current);
    }
    if applied.is_empty() {
        MIGRATOR.run(pool).await?;
        return Ok(Migrated::Created);
    }
    let copy = backup::beside(path, "before-upgrade", now);
    backup::copy_to(pool, &copy).await?;
    MIGRATOR.run(pool).await?;
    let orphans: Vec<(String,)> =
        sqlx::query_as("SELECT \"table\" FROM pragma_foreign_key_check").fetch_all(pool).await?;
    if !orphans.is_empty() {
        return Err(Error::File(format!(
            "the upgrade left {} broken references; the file from before it is {}",
            orphans.len(),
            copy.display()
        )));
    }
    Ok(Migrated::Upgraded { steps, copy })
}

/// Versions already applied; empty for a new file. A file of some other program is refused.
async fn applied(pool: &SqlitePool) -> Result<BTreeSet<i64>, Error> {
    let tables: Vec<(String,)> =
        sqlx::query_as("SELECT name FROM sqlite_schema WHERE type = 'table'")
            .fetch_all(pool)
            .await?;
    if tables.is_empty() {
        return Ok(BTreeSet::new());
    }
    if !tables.iter().any(|(name,)| name == "_sqlx_migrations") {
        return Err(Error::File("this SQLite file is not an Undershell notebook".to_owned()));
    }
    let rows: Vec<(i64,)> =
        sqlx::query_as("SELECT version FROM _sqlx_migrations WHERE success = 1")
            .fetch_all(pool)
            .await?;
    Ok(rows.into_iter().map(|(v,)| v).collect())
}

/// Takes the lock beside the notebook, or says who has it.
pub(super) fn lock(path: &Path) -> Result<File, Error> {
    let mut name = path.as_os_str().to_owned();
    name.push(".lock");
    let file = OpenOptions::new().create(true).append(true).open(&name).map_err(|e| {
        Error::File(format!("can't write beside {}: {e}. Is the folder writable?", path.display()))
    })?;
    file.try_lock().map_err(|_| {
        Error::File(format!(
            "another Undershell is opening {} at this moment: try again in a minute",
            path.display()
        ))
    })?;
    Ok(file)
}
