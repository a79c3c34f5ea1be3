//! `undershell demo`: a fresh notebook with an invented club in it.

use super::{End, seed, serve};
use crate::settings::{Flags, Settings};
use std::path::{Path, PathBuf};

/// Runs the command.
pub fn run(flags: Flags) -> End {
    let named = flags.file.is_some();
    let mut settings = match Settings::resolve(flags) {
        Ok(settings) => settings,
        Err(e) => return End::Failed(e),
    };
    if named && settings.file.exists() {
        return End::Failed(format!(
            "{} is there already, and the demo only fills a fresh file: name another one",
            settings.file.display()
        ));
    }
    if !named {
        settings.file = temporary();
    }
    let end = serve::with(&settings, |app| async move {
        let now = app.now();
        seed::fill(&app.db, now, app.offset).await.map_err(|e| format!("the demo data: {e}"))
    });
    if !named {
        remove(&settings.file);
    }
    end
}

/// A file of this run alone.
fn temporary() -> PathBuf {
    std::env::temp_dir().join(format!("undershell-demo-{}.sqlite", uuid::Uuid::now_v7()))
}

/// Removes a notebook of this run and what SQLite and the lock left beside it.
pub(super) fn remove(file: &Path) {
    for ending in ["", "-wal", "-shm", ".lock"] {
        let mut name = file.as_os_str().to_owned();
        name.push(ending);
        let removed = std::fs::remove_file(PathBuf::from(name));
        tracing::debug!(ok = removed.is_ok(), ending, "removed a notebook of this run");
    }
}
