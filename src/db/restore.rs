//! Putting a backup in a notebook's place.

use super::backup::{beside, verify_copy};
use super::migrate::lock;
use super::{Error, MIGRATOR, Millis, sha256_of_file};
use sqlx::sqlite::{SqliteConnectOptions, SqlitePool, SqlitePoolOptions};
use std::fs::File;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// What restoring did.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Restored {
    /// SHA-256 of the notebook as it is now, that of the backup.
    pub sha256: String,
    /// Where the notebook as it was is kept; none when there was none.
    pub kept: Option<PathBuf>,
}

fn ending(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(ending);
    PathBuf::from(name)
}

/// Looks a backup over: SQLite's own checks, then that it is a notebook of a layout this program
/// knows, with exactly that layout's tables and nothing that could run by itself.
///
/// Errors: anything about it that is not as it should be, in one sentence.
pub async fn verify_backup(path: &Path) -> Result<(), Error> {
    let name = path.display();
    if !path.is_file() {
        return Err(Error::File(format!("there is no file {name}")));
    }
    let log = ending(path, "-wal");
    if log.metadata().is_ok_and(|m| m.len() > 0) {
        return Err(Error::File(format!(
            "{name} has a write-ahead log beside it, so it is in use or was copied while it was: make a backup with `undershell backup`"
        )));
    }
    let unreadable = |e: Error| match e {
        Error::Sqlx(e) => Error::File(format!("{name} is not a sound SQLite file: {e}")),
        other => other,
    };
    verify_copy(path).await.map_err(unreadable)?;
    let options = SqliteConnectOptions::new()
        .filename(path)
        .read_only(true)
        .immutable(true)
        .pragma("trusted_schema", "OFF")
        .pragma("cell_size_check", "ON");
    let pool = SqlitePoolOptions::new().max_connections(1).connect_with(options).await?;
    let found = layout(&pool).await;
    pool.close().await;
    let (steps, schema) = found.map_err(|e| {
        tracing::debug!(error = %e, "no layout");
        Error::File(format!("{name} is not an Undershell notebook"))
    })?;
    let known: Vec<i64> = MIGRATOR.iter().map(|m| m.version).collect();
    if let Some(newer) = steps.iter().find(|s| !known.contains(s)) {
        return Err(Error::File(format!(
            "{name} was written by a newer Undershell (step {newer} is not known here): use that program"
        )));
    }
    let Some(newest) = steps.last() else {
        return Err(Error::File(format!("{name} is an empty notebook file without a layout")));
    };
    if schema != reference(*newest).await? {
        return Err(Error::File(format!(
            "the tables of {name} are not those Undershell makes: it was changed by another program"
        )));
    }
    Ok(())
}

type Schema = Vec<(String, String, String)>;

/// The steps applied and everything in the schema.
async fn layout(pool: &SqlitePool) -> Result<(Vec<i64>, Schema), sqlx::Error> {
    let steps: Vec<i64> = sqlx::query_scalar(
        "SELECT version FROM _sqlx_migrations WHERE success = 1 ORDER BY version",
    )
    .fetch_all(pool)
    .await?;
    let schema = sqlx::query_as(
        "SELECT type, name, coalesce(sql, '') FROM sqlite_schema WHERE name NOT LIKE 'sqlite_stat%' ORDER BY type, name",
    )
    .fetch_all(pool)
    .await?;
    Ok((steps, schema))
}

/// The schema as this program makes it, up to a step.
async fn reference(step: i64) -> Result<Schema, Error> {
    let options = SqliteConnectOptions::new().in_memory(true);
    let pool = SqlitePoolOptions::new().max_connections(1).connect_with(options).await?;
    MIGRATOR.run_to(step, &pool).await?;
    let (_, schema) = layout(&pool).await?;
    pool.close().await;
    Ok(schema)
}

/// Verifies a backup and puts it in the place of the notebook `path`, which stays beside it under
/// another name. Nothing is changed when it fails.
///
/// Errors: the backup does not verify, another process has the notebook open, the disk is full.
pub async fn restore(path: &Path, from: &Path, now: Millis) -> Result<Restored, Error> {
    verify_backup(from).await?;
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    if !folder.is_dir() {
        return Err(Error::File(format!(
            "the folder {} does not exist: make it first, or name another file with --file",
            folder.display()
        )));
    }
    let same = |a: &Path, b: &Path| matches!((a.canonicalize(), b.canonicalize()), (Ok(a), Ok(b)) if a == b);
    if same(path, from) {
        return Err(Error::File("the backup is the notebook itself: name another file".to_owned()));
    }
    let _lock = lock(path)?;
    if path.exists() {
        alone(path).await?;
    }
    let part = ending(path, ".part");
    let placed = place(path, (from, &part), (folder, now)).await;
    if placed.is_err() {
        let removed = std::fs::remove_file(&part);
        tracing::debug!(?removed, "removed the copy that could not be put in place");
    }
    placed
}

async fn place(
    path: &Path,
    (from, part): (&Path, &Path),
    (folder, now): (&Path, Millis),
) -> Result<Restored, Error> {
    let io = |what: &Path| {
        let what = what.display().to_string();
        move |e: std::io::Error| Error::File(format!("{what}: {e}"))
    };
    std::fs::copy(from, part).map_err(io(part))?;
    File::open(part).and_then(|f| f.sync_all()).map_err(io(part))?;
    let sha256 = sha256_of_file(from)?;
    if sha256_of_file(part)? != sha256 {
        return Err(Error::File(format!("{} was not copied as it is", from.display())));
    }
    verify_copy(part).await?;
    let kept = path.exists().then(|| beside(path, "before-restore", now));
    if let Some(kept) = &kept {
        if kept.exists() {
            return Err(Error::File(format!("{} is there already", kept.display())));
        }
        for end in ["-wal", "-shm"] {
            let left = ending(path, end);
            if left.exists() {
                std::fs::rename(&left, ending(kept, end)).map_err(io(&left))?;
            }
        }
        std::fs::rename(path, kept).map_err(io(path))?;
    }
    if let Err(e) = std::fs::rename(part, path) {
        if let Some(kept) = &kept {
            std::fs::rename(kept, path).map_err(io(path))?;
        }
        return Err(io(path)(e));
    }
    File::open(folder).and_then(|f| f.sync_all()).map_err(io(folder))?;
    Ok(Restored { sha256, kept })
}

/// Makes sure that nobody else has the notebook open, by what SQLite allows only then: leaving the
/// write-ahead log. That also brings the last entries into the file. A file that is no database at
/// all is nobody's.
async fn alone(path: &Path) -> Result<(), Error> {
    let options = SqliteConnectOptions::new()
        .filename(path)
        .create_if_missing(false)
        .busy_timeout(Duration::from_millis(200));
    let held = |e: sqlx::Error| match &e {
        // 5 and 261 to 773: busy in its kinds
        sqlx::Error::Database(d)
            if d.code().and_then(|c| c.parse::<i64>().ok()).is_some_and(|c| c & 0xff == 5) =>
        {
            Err(Error::File(format!(
                "{} is open in another program: stop it first, then restore",
                path.display()
            )))
        }
        _ => {
            tracing::info!(error = %e, "what is restored over is no sound notebook");
            Ok(())
        }
    };
    let pool = match SqlitePoolOptions::new().max_connections(1).connect_with(options).await {
        Ok(pool) => pool,
        Err(e) => return held(e),
    };
    let left: Result<String, sqlx::Error> =
        sqlx::query_scalar("PRAGMA journal_mode = DELETE").fetch_one(&pool).await;
    let locked = match left {
        Ok(_) => sqlx::raw_sql("BEGIN EXCLUSIVE; ROLLBACK").execute(&pool).await.map(|_| ()),
        Err(e) => Err(e),
    };
    pool.close().await;
    match locked {
        Ok(()) => Ok(()),
        Err(e) => held(e),
    }
}
