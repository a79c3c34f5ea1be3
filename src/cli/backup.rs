//! `undershell backup` and `undershell restore`: the whole file out, and back.

use super::{End, say, wait};
use crate::db;
use crate::web::Clock;
use std::path::Path;

/// Runs `backup`: a verified copy, also while the notebook is being served.
pub fn backup(file: &Path, out: &Path) -> End {
    let made = wait(async {
        let pool = db::open_read_only(file).await?;
        let copied = db::copy_to(&pool, out).await;
        pool.close().await;
        copied.and_then(|()| db::sha256_of_file(out))
    });
    match made {
        Ok(Ok(sha256)) => {
            say::out(&format!("backup of {}: {}", file.display(), out.display()));
            say::out("verified: its structure and its references are sound");
            say::out(&format!("sha256 {sha256}"));
            End::Done
        }
        Ok(Err(e)) => End::Failed(e.to_string()),
        Err(e) => End::Failed(e),
    }
}

/// Runs `restore`: a verified backup in the notebook's place.
pub fn restore(file: &Path, from: &Path) -> End {
    let done = wait(async {
        if let Err(e) = db::verify_backup(from).await {
            return Ok(Err(e));
        }
        db::restore(file, from, Clock::system().now()).await.map(Ok)
    });
    match done {
        Ok(Ok(Ok(restored))) => {
            say::out(&format!("{} is now as in {}", file.display(), from.display()));
            if let Some(kept) = restored.kept {
                say::out(&format!("as it was before: {}", kept.display()));
            }
            say::out(&format!("sha256 {}", restored.sha256));
            End::Done
        }
        Ok(Ok(Err(e))) => {
            say::err(&format!("undershell: {e}. Nothing was changed."));
            End::Refused
        }
        Ok(Err(e)) => End::Failed(format!("{e}. Nothing was changed.")),
        Err(e) => End::Failed(e),
    }
}
