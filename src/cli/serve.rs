//! `undershell serve`: open the notebook, say where it is, listen.

use super::{End, say, wait};
use crate::db::{self, Migrated};
use crate::server;
use crate::settings::{Flags, Settings};
use crate::web::{App, Clock};
use time::UtcOffset;
use tracing_subscriber::EnvFilter;

/// Runs the command.
pub fn run(flags: Flags) -> End {
    match Settings::resolve(flags) {
        Ok(settings) => with(&settings, |_| std::future::ready(Ok(()))),
        Err(e) => End::Failed(e),
    }
}

/// Opens the notebook, lets `fill` write into it, and serves.
pub fn with<F, W>(settings: &Settings, fill: F) -> End
where
    F: FnOnce(App) -> W,
    W: Future<Output = Result<(), String>>,
{
    // asked before any thread is started: afterwards the system's answer is not safe to read
    let offset = UtcOffset::current_local_offset().unwrap_or(UtcOffset::UTC);
    start_log(settings.log_json);
    let served = wait(async {
        let clock = Clock::system();
        let (db, migrated) =
            db::open(&settings.file, clock.now()).await.map_err(|e| e.to_string())?;
        tell(settings, &migrated);
        let app = App { db, clock, offset, kept_on: settings.kept_on.clone() };
        fill(app.clone()).await?;
        server::serve(app, settings, |address| {
            say::out(&format!("listening on http://{address}"));
        })
        .await
    });
    match served {
        Ok(Ok(())) => End::Done,
        Ok(Err(e)) | Err(e) => End::Failed(e),
    }
}

/// Says where the notebook is and what opening did to it.
fn tell(settings: &Settings, migrated: &Migrated) {
    let file = std::path::absolute(&settings.file).unwrap_or_else(|_| settings.file.clone());
    let file = file.display();
    say::out(&match migrated {
        Migrated::Created => format!("new notebook {file}"),
        Migrated::Current => format!("notebook {file}"),
        Migrated::Upgraded { steps, copy } => format!(
            "notebook {file}, brought up by {steps} steps; as it was before: {}",
            copy.display()
        ),
    });
    if !settings.listen.ip().is_loopback() {
        say::out(
            "Anybody who reaches this address can read and write the notebook: there are no passwords yet.",
        );
    }
}

/// Log lines go to standard error; RUST_LOG changes what is logged.
fn start_log(json: bool) {
    let filter = EnvFilter::try_from_default_env()
        .unwrap_or_else(|_| EnvFilter::new("undershell=info,tower_http=info,warn"));
    let builder = tracing_subscriber::fmt().with_env_filter(filter).with_writer(std::io::stderr);
    let started = if json { builder.json().try_init() } else { builder.try_init() };
    tracing::debug!(ok = started.is_ok(), "log started");
}
