//! A copy of the notebook that has been looked at before it gets its name.

use super::{Error, Millis};
use sqlx::sqlite::{SqliteConnectOptions, SqlitePool, SqlitePoolOptions};
use std::fs::File;
use std::path::{Path, PathBuf};

/// A name beside the file: `notebook.before-upgrade-1764061200000.sqlite`.
pub fn beside(path: &Path, what: &str, now: Millis) -> PathBuf {
    let stem = path.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
    path.with_file_name(format!("{stem}.{what}-{now}.sqlite"))
}

/// Writes a consistent copy: `VACUUM INTO` a temporary name in the same folder, verified, synced to
/// disk, then renamed. A name only ever points at a verified file.
///
/// Errors: the target exists, the disk is full, or the copy does not verify (it is removed).
pub async fn copy_to(pool: &SqlitePool, target: &Path) -> Result<(), Error> {
    if target.exists() {
        return Err(Error::File(format!("{} exists already: name another file", target.display())));
    }
    let mut part = target.as_os_str().to_owned();
    part.push(".part");
    let part = PathBuf::from(part);
    let removed = std::fs::remove_file(&part);
    tracing::trace!(?removed, "an interrupted copy from before, if any");
    let result = write_and_verify(pool, &part).await;
    if let Err(e) = result {
        let removed = std::fs::remove_file(&part);
        tracing::debug!(?removed, "removed the copy that did not verify");
        return Err(e);
    }
    let io = |e: std::io::Error| Error::File(format!("{}: {e}", target.display()));
    std::fs::rename(&part, target).map_err(io)?;
    if let Some(folder) = target.parent().filter(|p| !p.as_os_str().is_empty()) {
        File::open(folder).and_then(|f| f.sync_all()).map_err(io)?;
    }
    Ok(())
}

async fn write_and_verify(pool: &SqlitePool, part: &Path) -> Result<(), Error> {
    let name = part
        .to_str()
        .ok_or_else(|| Error::File(format!("{} is not a plain name", part.display())))?;
    sqlx::query("VACUUM INTO ?1").bind(name).execute(pool).await?;
    verify_copy(part).await?;
    File::open(part)
        .and_then(|f| f.sync_all())
        .map_err(|e| Error::File(format!("{}: {e}", part.display())))
}

/// Opens a copy read-only and runs SQLite's integrity and foreign-key checks on it.
pub async fn verify_copy(path: &Path) -> Result<(), Error> {
    let options = SqliteConnectOptions::new().filename(path).read_only(true).immutable(true);
    let pool = SqlitePoolOptions::new().max_connections(1).connect_with(options).await?;
    let word: String = sqlx::query_scalar("PRAGMA integrity_check(1)").fetch_one(&pool).await?;
    let orphans: i64 = sqlx::query_scalar("SELECT count(*) FROM pragma_foreign_key_check")
        .fetch_one(&pool)
        .await?;
    pool.close().await;
    if word == "ok" && orphans == 0 {
        return Ok(());
    }
    Err(Error::File(format!(
        "the copy {} does not verify: {word}, {orphans} broken references",
        path.display()
    )))
}
