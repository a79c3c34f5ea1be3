//! `undershell export` and `undershell import`: archives out of a notebook and into it.

#[cfg(test)]
mod tests;

use super::{End, Take, say, wait};
use crate::db;
use crate::features::conversions;
use crate::features::transfer::model::{Holds, MOST_BYTES, Refused, Taking, plain_name};
use crate::features::transfer::plan::{Standing, Step};
use crate::features::transfer::store::{self, Came, Failed, Preview, Told};
use crate::features::transfer::words;
use crate::web::Clock;
use std::fs::File;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use time::UtcOffset;

/// Records listed one by one at most.
const MOST_LISTED: usize = 200;

/// Runs `export`.
pub fn export(file: &Path, out: &Path, conversion: Option<i64>) -> End {
    if out.exists() {
        return End::Failed(format!("{} exists already: name another file", out.display()));
    }
    let packed = wait(async {
        let pool = db::open_read_only(file).await?;
        let packed = pack(&pool, conversion).await;
        pool.close().await;
        packed
    });
    let (bytes, what) = match packed {
        Ok(Ok(Ok(packed))) => packed,
        Ok(Ok(Err(no))) => {
            say::err(&format!("undershell: there is no conversion № {no} in {}", file.display()));
            return End::Refused;
        }
        Ok(Err(e)) => return End::Failed(e.to_string()),
        Err(e) => return End::Failed(e),
    };
    if let Err(e) = keep(out, &bytes) {
        return End::Failed(format!("{}: {e}", out.display()));
    }
    say::out(&format!("{what} of {}: {}", file.display(), out.display()));
    say::out(&format!("sha256 {}", db::sha256(&bytes)));
    End::Done
}

type Packed = Result<(Vec<u8>, String), i64>;

async fn pack(pool: &sqlx::SqlitePool, conversion: Option<i64>) -> Result<Packed, db::Error> {
    let Some(no) = conversion else {
        let bytes = store::export(pool, Holds::Everything).await?;
        return Ok(Ok((bytes, "everything".to_owned())));
    };
    let mut conn = pool.acquire().await?;
    let found = conversions::store::find(&mut conn, no).await?;
    drop(conn);
    let Some(c) = found else { return Ok(Err(no)) };
    let what = format!("conversion № {no} {}", c.draft.title);
    let holds = Holds::Conversion { id: c.id.0, no, title: c.draft.title };
    Ok(Ok((store::export(pool, holds).await?, what)))
}

/// Writes a file under another name first, so that the name only ever points at a whole one.
fn keep(out: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let mut part = out.as_os_str().to_owned();
    part.push(".part");
    let part = PathBuf::from(part);
    let written = File::create(&part)
        .and_then(|mut f| f.write_all(bytes).and_then(|()| f.sync_all()))
        .and_then(|()| std::fs::rename(&part, out));
    if written.is_err() {
        let removed = std::fs::remove_file(&part);
        tracing::debug!(?removed, "removed the unfinished archive");
    }
    written
}

fn read(archive: &Path) -> Result<Vec<u8>, End> {
    let size = archive.metadata().map(|m| m.len());
    let size = size.map_err(|e| End::Failed(format!("{}: {e}", archive.display())))?;
    if size > MOST_BYTES as u64 {
        let why = Refused::new(format!(
            "It is larger than {} MiB, the most that is taken.",
            MOST_BYTES >> 20
        ));
        return Err(refused(archive, &why.to_string()));
    }
    std::fs::read(archive).map_err(|e| End::Failed(format!("{}: {e}", archive.display())))
}

fn refused(archive: &Path, why: &str) -> End {
    say::err(&format!("undershell: {} is not taken. {why}", archive.display()));
    End::Refused
}

/// Runs `import`.
pub fn import(file: &Path, archive: &Path, dry_run: bool, take: Option<Take>) -> End {
    // asked before any thread is started: afterwards the system's answer is not safe to read
    let offset = UtcOffset::current_local_offset().unwrap_or(UtcOffset::UTC);
    let bytes = match read(archive) {
        Ok(bytes) => bytes,
        Err(end) => return end,
    };
    let looked = if dry_run {
        wait(look(file, &bytes)).map(|p| p.map(|p| (p, None)))
    } else {
        wait(bring(file, &bytes, (archive, take)))
    };
    match looked {
        Ok(Ok((p, came))) => said(&p, (file, archive), came, (dry_run, offset)),
        Ok(Err(Failed::Db(e))) => End::Failed(e.to_string()),
        Ok(Err(e)) => refused(archive, &e.to_string()),
        Err(e) => End::Failed(e),
    }
}

/// Holds an archive against a notebook, or against an empty one where there is none yet.
async fn look(file: &Path, bytes: &[u8]) -> Result<Preview, Failed> {
    let pool =
        if file.exists() { db::open_read_only(file).await? } else { db::in_memory().await? };
    let mut tx = pool.begin().await?;
    let seen = store::preview(&mut tx, bytes).await;
    drop(tx);
    pool.close().await;
    seen
}

/// Brings it in, unless something has to be said about records that are here already.
async fn bring(
    file: &Path,
    bytes: &[u8],
    (archive, take): (&Path, Option<Take>),
) -> Result<(Preview, Option<Came>), Failed> {
    let is_new = !file.exists();
    if is_new {
        // a notebook is made only for an archive that is taken
        look(file, bytes).await?;
    }
    let now = Clock::system().now();
    let (db, _) = db::open(file, now).await?;
    let mut tx = db.pool.begin().await?;
    let seen = store::preview(&mut tx, bytes).await;
    drop(tx);
    let done = match seen {
        Ok(p) if take.is_none() && undecided(&p).next().is_some() => Ok((p, None)),
        Ok(p) => {
            let taking = match take {
                None | Some(Take::Mine) => Taking::Mine,
                Some(Take::Newer) => Taking::Newer,
                Some(Take::Theirs) => Taking::Theirs,
            };
            let name = plain_name(&archive.to_string_lossy());
            let told = Told { name, person: None, at: now, token: None };
            let came = store::import(&db, bytes, (&taking, Some(&p.fingerprint)), told).await;
            came.map(|came| (p, Some(came)))
        }
        Err(e) => Err(e),
    };
    db.pool.close().await;
    if is_new && done.is_err() {
        super::demo::remove(file);
    }
    done
}

fn undecided(p: &Preview) -> impl Iterator<Item = &Step> {
    p.plan.steps.iter().filter(|s| matches!(s.standing, Standing::Newer | Standing::Clash))
}

fn list(p: &Preview, archive: &Path, offset: UtcOffset) {
    let m = &p.archive.manifest;
    say::out(&format!(
        "{}: {}, written by {}",
        archive.display(),
        words::holds(&m.holds),
        m.program
    ));
    for (layout, count) in p.layouts.iter().zip(&p.plan.counts) {
        if let Some((name, words)) = words::counts(layout, count) {
            say::out(&format!("  {name}: {words}"));
        }
    }
    let told = p.plan.steps.iter().filter(|s| s.here.is_some() || !s.notes.is_empty());
    for (i, s) in told.enumerate() {
        if i == MOST_LISTED {
            say::out("  … and more");
            break;
        }
        let how = match s.standing {
            Standing::New => "new",
            Standing::Newer => "changed there",
            Standing::Older => "changed here",
            Standing::Clash => "changed on both sides",
        };
        say::out(&format!("  {how}: {}", s.label));
        s.notes.iter().for_each(|n| say::out(&format!("    {n}")));
        for d in &s.differences {
            let value = |cell| words::value(&d.field, cell, (Clock::system().now(), offset));
            let field = d.field.replace('_', " ");
            say::out(&format!("    {field}: here {}, there {}", value(&d.here), value(&d.there)));
        }
    }
}

/// Says what came of it.
fn said(
    p: &Preview,
    (file, archive): (&Path, &Path),
    came: Option<Came>,
    (dry_run, offset): (bool, UtcOffset),
) -> End {
    list(p, archive, offset);
    match came {
        None if dry_run => {
            say::out("Nothing was written: this was a dry run.");
            End::Done
        }
        None => {
            say::err(
                "undershell: nothing was written. Say what happens to the records above that are here already: --take mine, --take newer or --take theirs.",
            );
            End::Refused
        }
        Some(Came { copy: None, .. }) => {
            say::out("Everything in it is here already. Nothing was written.");
            End::Done
        }
        Some(Came { new, changed, left, copy: Some(copy), .. }) => {
            let new: Vec<String> = new.into_iter().map(|(words, _)| words).collect();
            let new = if new.is_empty() { "nothing".to_owned() } else { new.join(", ") };
            say::out(&format!("Brought into {}: {new}", file.display()));
            say::out(&format!("{changed} written over, {left} left as they were"));
            say::out(&format!("the notebook as it was before: {}", copy.display()));
            End::Done
        }
    }
}
